"""Reading sweeps: what scikit-rf writes is read back, what is not a sweep is refused, and nothing is unpickled."""

import pickle

import numpy as np
import pytest

import workbook as wb

ROWS = "# MHz S RI R 75\n1 0.1 0.2\n2 0.3 -0.4\n3 0.5 0.6\n"


@pytest.fixture
def network():
    frequency = wb.Quantity(np.linspace(1e6, 6e6, 51), "Hz")
    return wb.cable("series-6-copper").network(frequency, "20 m")


@pytest.mark.parametrize("form", ["ri", "ma", "db"])
@pytest.mark.parametrize("ports", [1, 2])
def test_what_scikit_rf_writes_is_read_back(network, tmp_path, form, ports):
    """The general-purpose library writes the file; the columns of a two-port are S11 S21 S12 S22 (Touchstone 1.1)."""
    written = network if ports == 2 else network.s11
    written.write_touchstone(f"piece.s{ports}p", dir=str(tmp_path), form=form)
    sweep = wb.read_sweep(tmp_path / f"piece.s{ports}p")
    assert sweep.s == pytest.approx(written.s, abs=1e-12)
    assert sweep.frequency.m_as("Hz") == pytest.approx(network.f, rel=1e-12)
    assert sweep.port_impedance.m_as("ohm") == 50


def test_the_order_of_a_two_port_row(tmp_path):
    """Touchstone 1.1: S11 S21 S12 S22 on one row of a two-port file (from memory)."""
    (tmp_path / "a.s2p").write_text("# Hz S RI R 50\n1 11 0 21 0 12 0 22 0\n2 11 0 21 0 12 0 22 0\n")
    s = wb.read_sweep(tmp_path / "a.s2p").s
    assert s[0].real.tolist() == [[11, 12], [21, 22]]


def test_a_bare_option_line_means_ghz_ma_50(tmp_path):
    (tmp_path / "a.s1p").write_text("! by hand\n#\n1 0.5 90 ! note\n\n2 0.5 180\n")
    sweep = wb.read_sweep(tmp_path / "a.s1p")
    assert sweep.frequency.m_as("GHz").tolist() == [1, 2]
    assert sweep.s[:, 0, 0] == pytest.approx([0.5j, -0.5])
    assert sweep.port_impedance.m_as("ohm") == 50


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "option line"),
        ("1 2 3\n", "option line"),
        ("# MHz S RI R 50\n", "no rows of numbers"),
        (ROWS.replace("2 0.3 -0.4", "2 0.3"), "row 3"),
        (ROWS.replace("2 0.3 -0.4", "2 0.3 nan"), "is not a number"),
        (ROWS.replace("2 0.3 -0.4", "2 0.3 1e999"), "is not a number"),
        (ROWS.replace("2 0.3 -0.4", "1 0.3 -0.4"), "does not rise"),
        (ROWS.replace("R 75", "R 0"), "not above zero"),
        (ROWS.replace("R 75", "R -50"), "not above zero"),
        (ROWS.replace(" S ", " H "), "'H'"),
        ("frequency MHz, R ohm\n1, 2\n", "R and X"),
        ("frequency, R ohm, X ohm\n1, 2, 3\n", "unit"),
        ("frequency MHz, R ohm, X ohm\n1, 2\n", "row 2"),
        ("frequency MHz, R ohm, X ohm\n1, 2, 3\n1, 2, 3\n", "does not rise"),
        ("frequency MHz, R ohm, X ohm\n1, -2, 3\n", "negative"),
        ("frequency MHz, R ohm, X ohm\n1, 2, three\n", "not a number"),
        ("[Version] 2.0\n# MHz S RI\n[Reference] 50 75\n[Network Data]\n1 0 0\n", "port to port"),
        ("[Version] 2.0\n# MHz S RI\n[Matrix Format] Lower\n[Network Data]\n1 0 0\n", "full"),
        ("# MHz S RI R 50\n1 2 3 4\n", "3 numbers (one port) or 9"),
        ("# MHz S RI R 50\n-1 0 0\n2 0 0\n", "negative"),
    ],
)
def test_rows_that_are_wrong_are_named(tmp_path, text, words):
    path = tmp_path / "bad.s1p"
    path.write_text(text)
    with pytest.raises(wb.InputError) as refusal:
        wb.read_sweep(path)
    assert words in str(refusal.value)
    assert str(path) in str(refusal.value)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("form", ["ri", "ma", "db"])
@pytest.mark.parametrize("parameter", ["Z", "Y"])
def test_impedances_and_admittances_are_answered_as_s(network, tmp_path, parameter, form):
    """Touchstone 1.1 normalizes Z and Y by the reference; scikit-rf converts the network that is compared with."""
    values = (network.z / 50 if parameter == "Z" else network.y * 50).transpose(0, 2, 1).reshape(-1, 4)
    pairs = {
        "ri": np.stack([values.real, values.imag], -1),
        "ma": np.stack([np.abs(values), np.angle(values, deg=True)], -1),
        "db": np.stack([20 * np.log10(np.abs(values)), np.angle(values, deg=True)], -1),
    }[form].reshape(len(values), 8)
    rows = np.column_stack([network.f, pairs])
    text = "\n".join(" ".join(f"{number:.15g}" for number in row) for row in rows)
    (tmp_path / "a.s2p").write_text(f"# Hz {parameter} {form} R 50\n{text}\n")
    assert wb.read_sweep(tmp_path / "a.s2p").s == pytest.approx(network.s, abs=1e-9)


def test_version_2_is_read_and_its_order_followed(tmp_path):
    """Touchstone 2.0 (from memory): keywords, order 12_21, Z not normalized, noise at the end."""
    text = (
        "[Version] 2.0\n# Hz S RI R 75\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n"
        "[Number of Frequencies] 1\n[Reference]\n50 50\n[Network Data]\n"
        "1 11 0 12 0 21 0 22 0\n[Noise Data]\n1 2 3 4 5\n[End]\n"
    )
    (tmp_path / "a.ts").write_text(text)
    sweep = wb.read_sweep(tmp_path / "a.ts")
    assert sweep.s[0].real.tolist() == [[11, 12], [21, 22]]
    assert sweep.port_impedance.m_as("ohm") == 50
    (tmp_path / "b.ts").write_text("[Version] 2.0\n# Hz Z RI R 50\n[Network Data]\n1 150 0\n")
    assert wb.read_sweep(tmp_path / "b.ts").s[0, 0, 0] == pytest.approx(0.5)


def test_byte_order_mark_old_code_page_and_noise_rows_are_read(tmp_path):
    body = "! Länge 20 m\n# Hz S RI R\n1 1 0 2 0 3 0 4 0\n2 1 0 2 0 3 0 4 0\n1 0.5 0.5 90 0.1\n2 0.5 0.5 90 0.1\n"
    for name, content in (("a", b"\xef\xbb\xbf" + body.encode()), ("b", body.encode("latin-1"))):
        (tmp_path / f"{name}.s2p").write_bytes(content)
        sweep = wb.read_sweep(tmp_path / f"{name}.s2p")
        assert sweep.frequency.m_as("Hz").tolist() == [1, 2]
        assert sweep.port_impedance.m_as("ohm") == 50


@pytest.mark.parametrize(
    "text",
    [
        "Frequency (MHz),R (ohm),X (ohm),SWR\n1,100,50,2\n2,75,0,1.5\n",
        "freq_khz;Rs;Xs\n1000;100;50\n2000;75;0\n",
        "f [MHz]\t|Z| [ohm]\tangle [deg]\n1\t111.80339887\t26.56505118\n2\t75\t0\n",
    ],
)
def test_a_table_of_impedances_is_read(tmp_path, text):
    (tmp_path / "a.csv").write_text(text)
    sweep = wb.read_sweep(tmp_path / "a.csv")
    assert sweep.frequency.m_as("MHz").tolist() == [1, 2]
    assert sweep.s[:, 0, 0] == pytest.approx([(50 + 50j) / (150 + 50j), 0.2])


def test_a_pickle_is_refused_unread(tmp_path):
    trap = tmp_path / "trap.s1p"

    class Trap:
        def __reduce__(self):
            return (exec, ("raise SystemExit('unpickled')",))

    trap.write_bytes(pickle.dumps(Trap()))
    with pytest.raises(wb.InputError, match="not text"):
        wb.read_sweep(trap)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    huge = tmp_path / "huge.s1p"
    with huge.open("wb") as stream:
        stream.truncate(65 * 2**20)
    with pytest.raises(wb.InputError, match="64 MiB"):
        wb.read_sweep(huge)


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "none.s1p", tmp_path):
        with pytest.raises(wb.InputError, match="cannot be read"):
            wb.read_sweep(path)


@pytest.mark.parametrize("far_end", ["open", "short"])
@pytest.mark.parametrize("name", ["series-6-copper", "series-6-clad", "rg-213-solid-pe"])
def test_the_check_frequency_is_found_in_a_sweep(name, far_end, tmp_path):
    """The sweep is scikit-rf's terminated line; its zero of reactance is the one solved for, to 10 ppm."""
    cable = wb.cable(name)
    line = cable.network(wb.Quantity(np.linspace(0.5e6, 9e6, 401), "Hz"), "20 m")
    seen = line ** _end(line, far_end)
    seen.write_touchstone("seen.s1p", dir=str(tmp_path), form="ri")
    found = wb.check_frequency_in(wb.read_sweep(tmp_path / "seen.s1p"), far_end)
    assert found.m_as("Hz") == pytest.approx(wb.check_frequency(cable, "20 m", far_end).m_as("Hz"), rel=1e-5)


def _end(line, far_end):
    import skrf

    media = skrf.media.DefinedGammaZ0(line.frequency, z0=50)
    return media.open() if far_end == "open" else media.short()


@pytest.mark.parametrize(("low", "high", "words"), [(3.5e6, 9e6, "lowest zero"), (0.5e6, 2e6, "lowest zero")])
def test_a_sweep_without_its_check_frequency_is_refused(low, high, words, tmp_path):
    line = wb.cable("series-6-copper").network(wb.Quantity(np.linspace(low, high, 101), "Hz"), "20 m")
    (line ** _end(line, "open")).write_touchstone("seen.s1p", dir=str(tmp_path))
    with pytest.raises(wb.InputError, match=words):
        wb.check_frequency_in(wb.read_sweep(tmp_path / "seen.s1p"))


def test_too_coarse_a_sweep_is_refused(tmp_path):
    line = wb.cable("series-6-copper").network(wb.Quantity(np.linspace(0.5e6, 30e6, 8), "Hz"), "20 m")
    (line ** _end(line, "open")).write_touchstone("seen.s1p", dir=str(tmp_path))
    with pytest.raises(wb.InputError, match="finer"):
        wb.check_frequency_in(wb.read_sweep(tmp_path / "seen.s1p"))


# --- under attack -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("# MHz S DB R 50\n1 6200 0\n", ["120 dB"]),
        ("# MHz S MA R 50\n1 1e308 1e308\n", ["120 dB"]),
        ("# MHz S RI R 50\n1 0 0\n2 1e200 1e200\n", ["120 dB", "2e+06 Hz"]),
        ("# GHz S MA R 50\n1e300 1 1\n", ["frequency"]),
        ("# GHz S MA R 50\n2000 1 1\n", ["frequency", "1 THz"]),
        ("# MHz S RI R 1e300\n1 1 1\n", ["port_impedance"]),
    ],
)
def test_values_that_are_beyond_anything_after_conversion_are_refused(tmp_path, refused, text, words):
    (tmp_path / "a.s1p").write_text(text)
    refused(lambda: wb.read_sweep(tmp_path / "a.s1p"), "a.s1p", *words)


@pytest.mark.parametrize("mark", ["\x85", "\u2028", "\u2029"])
def test_a_comment_ends_only_with_its_line(tmp_path, mark):
    text = f"# MHz S RI R 50\n1 0.1 0.2 ! seen {mark}2 3 4\n5 0.5 0.6\n"
    (tmp_path / "a.s1p").write_text(text, encoding="utf-8")
    assert wb.read_sweep(tmp_path / "a.s1p").frequency.m_as("MHz").tolist() == [1.0, 5.0]


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_lines_end_as_on_any_computer(tmp_path, line_end):
    (tmp_path / "a.s1p").write_bytes(ROWS.replace("\n", line_end).encode())
    assert len(wb.read_sweep(tmp_path / "a.s1p").s) == 3


@pytest.mark.parametrize("word", ["nan", "inf", "1e999", "0x10", "1_0", "1,5", "--1", "1e", "١"])
@pytest.mark.parametrize("row", [3, 25_000])
def test_a_fault_is_placed_by_its_row_wherever_it_stands(tmp_path, refused, word, row):
    lines = ["# Hz S RI R 50", *(f"{n} 0.5 0.25" for n in range(2, 30_000))]
    lines[row - 1] = f"{row} {word} 0"
    (tmp_path / "a.s1p").write_text("\n".join(lines), encoding="utf-8")
    refused(lambda: wb.read_sweep(tmp_path / "a.s1p"), f"row {row}", "not a number")


def test_frequencies_rise_from_block_to_block(tmp_path, refused):
    lines = ["# Hz S RI R 50", *(f"{n} 0.5 0.25" for n in range(1, 20_001)), "19999 0 0"]
    (tmp_path / "a.s1p").write_text("\n".join(lines), encoding="utf-8")
    refused(lambda: wb.read_sweep(tmp_path / "a.s1p"), "row 20002", "does not rise")
