"""Quarter wave, twelfth-wave pair and series section: what they do, in which order, of which cables."""

import math

import numpy as np
import pytest

import workbook as wb
from workbook.formulas import twoports
from workbook.matching.sections import nearest_cables, quarter_wave_impedance

Q = wb.Quantity
SERIES_6, RG_58 = wb.cable("series-6-copper"), wb.cable("rg-58-solid-pe")


def test_a_quarter_wave_of_ideal_line_matches_on_odd_multiples_only():
    match = wb.quarter_wave_match("75 ohm", "50 ohm", "2 MHz")
    assert match.swr_in(Q([2, 6, 10], "MHz")) == pytest.approx([1, 1, 1], abs=1e-9)
    assert match.swr_in(Q([4, 8], "MHz")) == pytest.approx([1.5, 1.5], abs=1e-9)
    assert match.insertion_loss("2 MHz").m_as("dB") == pytest.approx(0, abs=1e-12)


def test_the_phase_is_not_wrapped_along_the_lines():
    """Where the quarter wave matches it delays by its own length, whatever the ends."""
    match = wb.quarter_wave_match("75 ohm", "50 ohm", "2 MHz")
    assert match.phase_shift(Q([2, 6, 10, 18], "MHz")).m_as("degree") == pytest.approx(
        [-90, -270, -450, -810], abs=1e-9
    )
    fine = match.phase_shift(Q(np.linspace(0.1, 30, 600), "MHz")).m_as("degree")
    assert np.all(np.diff(fine) < 0)
    assert np.abs(np.diff(fine)).max() < 5


def test_a_section_of_cable_has_its_length_at_the_true_velocity_factor():
    match = wb.quarter_wave_match("75 ohm", "50 ohm", "1.83 MHz", RG_58)
    line = match.sections[0]
    assert line.cable is RG_58
    assert line.length.m_as("m") == pytest.approx(wb.physical_length("90 deg", "1.83 MHz", RG_58).m_as("m"), rel=1e-12)
    assert line.electrical_length.m_as("degree") == pytest.approx(90, abs=1e-12)
    assert line.impedance.m_as("ohm") == RG_58.characteristic_impedance("1.83 MHz").m_as("ohm")
    assert line.check_frequency.m_as("Hz") == wb.check_frequency(RG_58, line.length).m_as("Hz")
    assert match.insertion_loss("1.83 MHz").m_as("dB") > RG_58.attenuation("1.83 MHz").m_as("dB/m") * line.length.m_as(
        "m"
    )


def test_a_section_without_cable_has_no_length():
    line = wb.quarter_wave_match("75 ohm", "50 ohm", "1.83 MHz").sections[0]
    assert (line.cable, line.length, line.check_frequency) == (None, None, None)
    assert isinstance(line.impedance.magnitude, float)


@pytest.mark.parametrize(("source", "load"), [(60 + 20j, 40 - 15j), (75.0, 50 + 15j), (40 - 5j, 200 + 30j)])
def test_one_line_between_complex_ends(source, load):
    match = wb.quarter_wave_match(Q(source, "ohm"), Q(load, "ohm"), "7 MHz")
    line = match.sections[0]
    z, t = line.impedance.m_as("ohm"), math.tan(line.electrical_length.m_as("radian"))
    seen = z * (load + 1j * z * t) / (z + 1j * load * t)
    assert seen == pytest.approx(np.conj(source), rel=1e-9)
    assert z == quarter_wave_impedance(Q(source, "ohm"), Q(load, "ohm")).m_as("ohm")


def test_equal_ends_with_reactance_have_a_quarter_wave_of_their_modulus():
    """Z^2/(R + jX) is R - jX where Z^2 = R^2 + X^2: the conjugate, which is what the source wants to see."""
    match = wb.quarter_wave_match(Q(50 + 20j, "ohm"), Q(50 + 20j, "ohm"), "7 MHz")
    assert match.sections[0].impedance.m_as("ohm") == pytest.approx(math.hypot(50, 20))
    assert match.sections[0].electrical_length.m_as("degree") == pytest.approx(90)
    assert match.swr_in("7 MHz") == pytest.approx(1, abs=1e-9)


def test_a_reason_has_the_swr_that_is_left():
    """50-ohm cable leaves 75 to 50 ohm nearly as it was; the ideal line leaves nothing."""
    match = wb.quarter_wave_match("75 ohm", "50 ohm", "1.8 MHz", RG_58)
    assert f"SWR of {match.swr_in('1.8 MHz'):.2f} is left" in match.reason
    assert match.swr_in("1.8 MHz") > 1.4
    assert "no mismatch is left at the source at 1.8 MHz" in wb.quarter_wave_match("75 ohm", "50 ohm", "1.8 MHz").reason
    assert "no mismatch is left at the source at 7 MHz" in wb.twelfth_wave_match("75 ohm", "50 ohm", "7 MHz").reason
    pair = wb.twelfth_wave_match("75 ohm", "50 ohm", "1.8 MHz", (RG_58, SERIES_6))
    assert f"SWR of {pair.swr_in('1.8 MHz'):.2f} is left" in pair.reason


@pytest.mark.parametrize(("source", "load"), [(75, 50), (50, 75), (50, 300), (600, 50)])
def test_the_twelfth_wave_pair(source, load):
    """Closed answer: tan^2 = 1/(r + 1 + 1/r), r the ratio of the resistances."""
    match = wb.twelfth_wave_match(Q(source, "ohm"), Q(load, "ohm"), "3.65 MHz")
    assert [line.impedance.m_as("ohm") for line in match.sections] == [load, source]
    r = source / load
    wanted = math.degrees(math.atan(1 / math.sqrt(r + 1 + 1 / r)))
    lengths = [line.electrical_length.m_as("degree") for line in match.sections]
    assert lengths == pytest.approx([wanted, wanted], abs=1e-9)
    assert match.swr_in("3.65 MHz") == pytest.approx(1, abs=1e-9)


def test_pairs_of_real_cables_match_nearly_on_their_frequency():
    """What is left comes from the loss and the small reactance of Zc; with ideal cables nothing is left."""
    match = wb.twelfth_wave_match("75 ohm", "50 ohm", "3.65 MHz", (RG_58, SERIES_6))
    assert match.sections[0].cable is RG_58
    assert match.swr_in("3.65 MHz") < 1.05
    ideal = (wb.ideal_cable("52 ohm", 0.66), wb.ideal_cable("73 ohm", 0.85))
    match = wb.twelfth_wave_match("75 ohm", "50 ohm", "3.65 MHz", ideal)
    assert match.swr_in("3.65 MHz") == pytest.approx(1, abs=1e-9)


def test_a_series_section_of_cables():
    match = wb.series_section_match(SERIES_6, RG_58, "50 ohm", "3.65 MHz")
    assert [line.cable for line in match.sections] == [RG_58, SERIES_6]
    assert match.source.m_as("ohm") == 75
    assert match.swr_in("3.65 MHz") < 1.05


@pytest.mark.parametrize("load", [50.0, 110.0, 60 + 30j, 20 - 5j])
def test_advice_on_the_section_is_right(refused, load):
    """What the sentence calls the nearest does match, and what lies a little on the wrong side does not."""
    said = refused(lambda: wb.series_section_match("75 ohm", "74 ohm", Q(load, "ohm"), "7 MHz"), "section", "74 ohm")
    near = float(said.rpartition("nearest being ")[2].removesuffix(" ohm."))
    match = wb.series_section_match("75 ohm", Q(near, "ohm"), Q(load, "ohm"), "7 MHz")
    assert match.swr_in("7 MHz") == pytest.approx(1, abs=1e-6)
    wrong = near + math.copysign(0.02, 75 - near)
    refused(lambda: wb.series_section_match("75 ohm", Q(wrong, "ohm"), Q(load, "ohm"), "7 MHz"), "section")
    # closed answer: the line's impedance times and over the root of the load's SWR on it
    size = abs((load - 75) / (load + 75))
    root = math.sqrt((1 + size) / (1 - size))
    assert f"{math.floor(75 / root * 100) / 100:.2f} ohm or less" in said
    assert f"{math.ceil(75 * root * 100) / 100:.2f} ohm or more" in said


def test_edges_of_the_first_line_by_trying_all():
    draw = np.random.default_rng(6).uniform
    for _ in range(40):
        source, load = complex(draw(20, 100), draw(-60, 60)), complex(draw(20, 100), draw(-60, 60))
        second, first = draw(20, 150), draw(1, 300, 40)
        low, high, beyond = twoports.first_line_edges(source, second, load)
        possible = np.isfinite(twoports.pair_lags(source, first, second, load)).all(axis=(1, 2))
        inside = (low <= first) & (first <= high)
        assert np.array_equal(possible, (first <= low) | (first >= high) if beyond else inside)


def test_cables_that_cannot_be_a_pair_say_which_could(refused):
    pair = wb.ideal_cable("70 ohm", 0.8), wb.ideal_cable("75 ohm", 0.8)
    refused(lambda: wb.twelfth_wave_match("75 ohm", "50 ohm", "7 MHz", pair), "cables", "61.23 ohm or less", "91.86")


# --- nearest cables ---------------------------------------------------------------------------------------


def test_nearest_cables_are_ranked_by_their_true_impedance():
    found = nearest_cables("61.24 ohm", "1.83 MHz")
    away = [abs(choice.impedance.m_as("ohm") - 61.24) for choice in found]
    assert away == sorted(away)
    assert len(found) == 2 * (len(wb.cables()) - 1)  # without the balanced pair
    assert not any(choice.cable.is_balanced for choice in found)
    assert {choice.count for choice in found} == {1, 2}
    assert all(choice.count == 1 for choice in nearest_cables("61.24 ohm", "1.83 MHz", most_parallel=1))
    assert nearest_cables("37.5 ohm", "7 MHz", (SERIES_6, "rg-58-solid-pe"))[0].name == "two series-6-copper"


# --- refusals ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "bad",
    [
        "0 ohm",
        "-50 ohm",
        "1e-9 ohm",
        "1e200 ohm",
        Q(-1 + 5j, "ohm"),
        Q(np.inf, "ohm"),
        "50 m",
        50,
        None,
        Q([50.0, 60.0], "ohm"),
        Q(50j, "ohm"),
    ],
)
def test_ends_that_cannot_be_matched(refused, bad):
    for make in (wb.quarter_wave_match, wb.twelfth_wave_match):
        refused(lambda make=make: make(bad, "50 ohm", "7 MHz"), "source")
        refused(lambda make=make: make("75 ohm", bad, "7 MHz"), "load")
    refused(lambda: wb.series_section_match(bad, "50 ohm", "50 ohm", "7 MHz"), "line")
    refused(lambda: wb.series_section_match("75 ohm", bad, "50 ohm", "7 MHz"), "section")
    refused(lambda: wb.series_section_match("75 ohm", "50 ohm", bad, "7 MHz"), "load")


@pytest.mark.parametrize("bad", ["0 Hz", "-7 MHz", "7 m", 7e6, None, Q([7.0, 14.0], "MHz")])
def test_one_design_frequency_is_wanted(refused, bad):
    refused(lambda: wb.quarter_wave_match("75 ohm", "50 ohm", bad), "frequency")
    refused(lambda: wb.twelfth_wave_match("75 ohm", "50 ohm", bad), "frequency")
    refused(lambda: wb.series_section_match("75 ohm", "50 ohm", "50 ohm", bad), "frequency")


def test_equal_ends_need_no_section(refused):
    refused(lambda: wb.quarter_wave_match("50 ohm", "50 ohm", "7 MHz"), "no section is needed")
    refused(lambda: wb.twelfth_wave_match("50 ohm", "50 ohm", "7 MHz"), "no section is needed")
    refused(lambda: wb.series_section_match("50 ohm", "75 ohm", "50 ohm", "7 MHz"), "no section is needed")


def test_rejects_reactance_that_lines_cannot_match(refused):
    refused(lambda: wb.twelfth_wave_match("75 ohm", Q(50 + 10j, "ohm"), "7 MHz"), "load", "reactance", "50+10j")
    refused(lambda: wb.quarter_wave_match("75 ohm", Q(75 + 10j, "ohm"), "7 MHz"), "no single line")
    refused(lambda: wb.quarter_wave_match("75 ohm", Q(70 + 300j, "ohm"), "7 MHz"), "no single line")


def test_rejects_non_cables(refused):
    for bad in ("rg-58-solid-pe", 50, "50 ohm"):
        refused(lambda bad=bad: wb.quarter_wave_match("75 ohm", "50 ohm", "7 MHz", bad), "cable")
        refused(lambda bad=bad: wb.twelfth_wave_match("75 ohm", "50 ohm", "7 MHz", bad), "cables")
        refused(lambda bad=bad: wb.twelfth_wave_match("75 ohm", "50 ohm", "7 MHz", (bad, RG_58)), "cables")
    refused(lambda: nearest_cables("60 ohm", "7 MHz", "rg-58-solid-pe"), "cables")
    refused(lambda: nearest_cables("60 ohm", "7 MHz", ()), "cables")
    refused(lambda: nearest_cables("60 ohm", "7 MHz", ("rg-59",)), "is the name of several cables")
    refused(lambda: nearest_cables("60 ohm", "7 MHz", most_parallel=3), "most_parallel")
