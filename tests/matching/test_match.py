"""What a match answers: shapes, networks, usable band, Touchstone; and what leaving a mismatch does."""

import math

import numpy as np
import pytest

import workbook as wb
from workbook.formulas import twoports
from workbook.matching.arguments import band_edges
from workbook.matching.direct import (
    direct_connection,
    length_ripple,
    length_sweep,
    loss_with_length,
    mismatch_loss,
    run_connection,
)
from workbook.matching.pad import pad_match
from workbook.matching.touchstone import save_touchstone, touchstone

Q = wb.Quantity
QUARTER = wb.quarter_wave_match("75 ohm", "50 ohm", "2 MHz")
MATCHES = [QUARTER, direct_connection("75 ohm", "50 ohm"), pad_match("75 ohm", "50 ohm")]


@pytest.mark.parametrize("match", MATCHES, ids=lambda match: match.name)
def test_a_scalar_gives_a_scalar_and_an_array_its_shape(match):
    assert isinstance(match.swr_in("2 MHz"), float)
    assert isinstance(match.swr_out("2 MHz"), float)
    assert isinstance(match.insertion_loss("2 MHz").magnitude, float)
    assert isinstance(match.phase_shift("2 MHz").magnitude, float)
    hertz = Q(np.linspace(1, 3, 6).reshape(2, 3), "MHz")
    for figure in match.response(hertz):
        assert np.shape(getattr(figure, "magnitude", figure)) == (2, 3)


def test_a_network_has_the_ends_at_its_ports():
    network = QUARTER.network(Q([1.0, 2.0, 3.0], "MHz"))
    assert network.z0 == pytest.approx(np.tile([75, 50], (3, 1)))
    assert list(network.f) == [1e6, 2e6, 3e6]
    assert abs(network.s[1, 0, 0]) < 1e-9
    assert QUARTER.network("2 MHz").s.shape == (1, 2, 2)


@pytest.mark.parametrize(
    "bad", [Q([2.0, 1.0], "MHz"), Q([1.0, 1.0], "MHz"), Q([[1.0, 2.0]], "MHz"), Q([], "MHz"), "0 Hz"]
)
def test_a_network_takes_a_rising_row(refused, bad):
    refused(lambda: QUARTER.network(bad), "frequenc")


def test_a_cable_that_loses_nearly_all_is_refused_and_left_out(refused):
    """R and G alone make sqrt(RG), 70.7 neper/m or 614 dB/m, and hardly any phase: a quarter wave is long and deaf."""
    lossy = wb.constant_cable(Q(5000, "ohm/m"), Q(0.25, "uH/m"), Q(1, "S/m"), Q(100, "pF/m"))
    refused(lambda: wb.quarter_wave_match("75 ohm", "50 ohm", "1.83 MHz", lossy), "cable", "loses", "less loss")
    known = wb.compare_matches("75 ohm", "50 ohm", ("160 m",), (lossy, wb.cable("rg-58-solid-pe")))
    assert all(match.reason for match in known)
    assert not any(line.cable is lossy and line.radians > 0.1 for match in known for line in match.sections)
    # what is left of a wave after far too much cable is nothing, but a number
    loss = loss_with_length("75 ohm", "50 ohm", lossy, "1 km", "1.83 MHz").m_as("dB")
    assert 2600 < loss < 2700


def test_a_lossy_line_passes_the_same_both_ways():
    """S12 is S21 with the ends exchanged, to the last figures of more than 90 dB."""
    cable = wb.cable("rg-58-solid-pe")
    there, back = (
        run_connection("75 ohm", "50 ohm", cable, "2 km", "14 MHz"),
        run_connection("50 ohm", "75 ohm", cable, "2 km", "14 MHz"),
    )
    returned = there.network("14 MHz").s[0, 0, 1]
    assert abs(returned) < 10 ** (-90 / 20)
    assert returned == pytest.approx(back.network("14 MHz").s[0, 1, 0], rel=1e-9)


@pytest.mark.parametrize("bad", ["0 Hz", "-1 MHz", "1 m", 1e6, Q([1.0, np.nan], "MHz"), "1e-308 Hz", Q(1e300, "Hz")])
def test_frequencies_are_checked(refused, bad):
    for ask in (QUARTER.swr_in, QUARTER.swr_out, QUARTER.insertion_loss, QUARTER.phase_shift, QUARTER.response):
        refused(lambda ask=ask: ask(bad), "frequency")


# --- usable band ------------------------------------------------------------------------------------------


def test_edges_of_the_usable_band_just_meet_the_limit():
    low, high = QUARTER.usable_band(1.2, "1 dB")
    assert QUARTER.swr_in(low) == pytest.approx(1.2, abs=1e-9)
    assert QUARTER.swr_in(high) == pytest.approx(1.2, abs=1e-9)
    # symmetric about the design frequency
    assert (low + high).m_as("MHz") == pytest.approx(4, rel=1e-9)
    inside = Q(np.linspace(low.m_as("Hz"), high.m_as("Hz"), 500), "Hz")
    assert QUARTER.swr_in(inside).max() < 1.2 + 1e-9


def test_the_loss_limits_too():
    cable = wb.cable("rg-58-solid-pe")
    match = wb.quarter_wave_match("75 ohm", "50 ohm", "2 MHz", cable)
    limit = match.insertion_loss("2.3 MHz")
    _, high = match.usable_band(3, limit)
    assert match.insertion_loss(high).m_as("dB") == pytest.approx(limit.m_as("dB"), rel=1e-9)


def test_a_band_without_end_and_no_band():
    pad = pad_match("75 ohm", "50 ohm")
    low, high = pad.usable_band(1.1, "6 dB")
    assert (low.m_as("kHz"), high.m_as("GHz")) == pytest.approx((10, 1))
    assert pad.usable_band(1.1, "5 dB") is None
    assert direct_connection("75 ohm", "50 ohm").usable_band(1.4, "1 dB") is None
    # just at the limit counts
    assert direct_connection("75 ohm", "50 ohm").usable_band(1.5, "1 dB") is not None


# --- leaving it -------------------------------------------------------------------------------------------


def test_mismatch_loss_is_what_the_direct_connection_loses():
    for source, load in ((75, 50), (75 + 20j, 50 - 40j), (10, 200 + 5j)):
        direct = direct_connection(Q(source, "ohm"), Q(load, "ohm"))
        # available power |V|^2/4Rs against |V/(Zs + ZL)|^2 RL
        exact = -10 * math.log10(4 * np.real(source) * np.real(load) / abs(source + load) ** 2)
        assert mismatch_loss(Q(source, "ohm"), Q(load, "ohm")).m_as("dB") == pytest.approx(exact, abs=1e-12)
        assert direct.insertion_loss("1 MHz").m_as("dB") == pytest.approx(exact, abs=1e-12)
    assert mismatch_loss(Q(50 + 10j, "ohm"), Q(50 - 10j, "ohm")).m_as("dB") == pytest.approx(0, abs=1e-12)
    assert mismatch_loss(Q([75.0, 100.0], "ohm"), Q([[50.0], [60.0], [70.0]], "ohm")).shape == (3, 2)


@pytest.mark.parametrize(
    ("source", "load", "line"), [(75, 50, 93), (50, 60, 90), (75 + 10j, 50 - 20j, 75), (50, 300, 75)]
)
def test_ripple_with_length(source, load, line):
    """Greatest less least loss over all lengths of a lossless line, found by trying them."""
    cable = wb.ideal_cable(Q(line, "ohm"), 0.66)
    lengths = wb.physical_length(Q(np.linspace(0, 180, 3601), "degree"), "7 MHz", 0.66)
    loss = loss_with_length(Q(source, "ohm"), Q(load, "ohm"), cable, lengths, "7 MHz").m_as("dB")
    ripple = length_ripple(Q(source, "ohm"), Q(load, "ohm"), Q(line, "ohm"))
    assert np.ptp(loss) == pytest.approx(ripple.loss.m_as("dB"), abs=1e-5)
    # the transfer's own phase, less the line's: V_load/V_source = 1/cosh(jt) / (...) written out as a divider
    t = np.linspace(0, np.pi, 3601)
    seen = line * (load * np.cos(t) + 1j * line * np.sin(t)) / (line * np.cos(t) + 1j * load * np.sin(t))
    volts = seen / (seen + source) / (np.cos(t) + 1j * line / load * np.sin(t))
    left = np.degrees(np.angle(volts * np.exp(1j * t) * (source + line) * (load + line) / load))
    assert np.abs(left).max() == pytest.approx(ripple.phase.m_as("degree"), abs=1e-4)


def test_a_line_that_matches_one_end_has_no_ripple():
    assert length_ripple("75 ohm", "50 ohm", "75 ohm").loss.m_as("dB") == 0
    assert length_ripple("75 ohm", "50 ohm", "50 ohm").phase.m_as("degree") == 0


def test_phase_ripple_between_60_and_90_ohm():
    """It is arcsin |p q|, p = -1/9 and q = 1/11 on 75 ohm: 0.5787 degree, which a 45-degree line reaches nearly."""
    ripple = length_ripple("60 ohm", "90 ohm", "75 ohm")
    assert ripple.phase.m_as("degree") == pytest.approx(math.degrees(math.asin(1 / 99)), rel=1e-9)


def test_loss_with_length_of_a_real_cable_rises():
    cable = wb.cable("series-6-clad")
    loss = loss_with_length("75 ohm", "50 ohm", cable, Q([0.0, 100.0, 200.0], "m"), "1.83 MHz").m_as("dB")
    assert loss[0] == pytest.approx(0.1773, abs=1e-4)
    assert np.all(np.diff(loss) > 1)


def test_direct_connection_rejects_impossible_ends(refused):
    for bad in ("0 ohm", "-5 ohm", 50, "5 m", "1e-13 ohm", "1e300 ohm", Q(50 + 2e6j, "ohm")):
        refused(lambda bad=bad: mismatch_loss(bad, "50 ohm"), "source")
        refused(lambda bad=bad: direct_connection("50 ohm", bad), "load")
        refused(lambda bad=bad: length_ripple("50 ohm", "75 ohm", bad), "line")


# --- a run of cable between the ends ----------------------------------------------------------------------


def test_a_run_between_equal_ends_has_the_swr_of_textbooks():
    """A lossless quarter wave of 75 ohm between 50-ohm ends: 75^2/50 = 112.5 ohm at the source, SWR 2.25; a half
    wave repeats the load, SWR 1.
    """
    cable = wb.ideal_cable("75 ohm", 0.8)
    quarter = Q(299_792_458 * 0.8 / 4 / 5e6, "m")
    match = run_connection("50 ohm", "50 ohm", cable, quarter, "5 MHz")
    assert match.swr_in("5 MHz") == pytest.approx(2.25, abs=1e-9)
    assert match.swr_in("10 MHz") == pytest.approx(1, abs=1e-9)
    assert match.sections[0].electrical_length.m_as("degree") == pytest.approx(90)


@pytest.mark.parametrize("bad", ["0 m", "-1 m", "5 MHz", 5])
def test_a_run_rejects_what_is_not_a_length_above_zero(refused, bad):
    refused(lambda: run_connection("50 ohm", "50 ohm", wb.cable("rg-58-solid-pe"), bad, "5 MHz"), "length")


def test_a_run_rejects_what_is_not_a_cable(refused):
    for bad in ("rg-58-solid-pe", None, 50):
        refused(lambda bad=bad: run_connection("50 ohm", "50 ohm", bad, "5 m", "5 MHz"), "cable")
        refused(lambda bad=bad: loss_with_length("50 ohm", "50 ohm", bad, "5 m", "5 MHz"), "cable")


def test_the_sweep_of_lengths_is_the_loss_of_a_run_of_that_length():
    cable, ends = wb.cable("rg-58-solid-pe"), ("50 ohm", "450 ohm")
    sweep = length_sweep(*ends, (cable, 20.0), band_edges(("160 m", "80 m")))
    at = int(np.argmin(abs(sweep.metres - 20.0)))
    assert (sweep.metres[at], sweep.present) == (20, 20)
    assert sweep.bands == ("160 m", "80 m")
    match = run_connection(*ends, cable, "20 m", "2 MHz")
    assert sweep.loss[:, at] == pytest.approx(match.insertion_loss(Q([1.9, 3.75], "MHz")).m_as("dB"), abs=1e-12)
    assert len(length_sweep(*ends, (cable, 0.0), band_edges(wb.bands())).bands) == 4


# --- Touchstone -------------------------------------------------------------------------------------------


def test_a_touchstone_file_reads_back(tmp_path):
    frequency = Q(np.linspace(1.8, 2.0, 11), "MHz")
    path = save_touchstone(QUARTER, frequency, tmp_path / "quarter.s2p")
    sweep = wb.read_sweep(path)
    assert sweep.port_impedance.m_as("ohm") == 50
    assert sweep.frequency.m_as("MHz") == pytest.approx(np.linspace(1.8, 2.0, 11), rel=1e-12)
    # the same two-port between 50 and 50 ohm
    between = wb.Quantity(50, "ohm")
    same = wb.quarter_wave_match("75 ohm", "50 ohm", "2 MHz").network(frequency)
    same.renormalize(between.m_as("ohm"))
    assert np.abs(sweep.s - same.s).max() < 1e-12
    text = path.read_text()
    assert "source 75 ohm at port 1" in text
    assert "http" not in text
    assert touchstone(QUARTER, frequency) == text
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("ends", [("75 ohm", "50 ohm"), ("50 ohm", "75 ohm"), (Q(75 + 30j, "ohm"), Q(5 - 20j, "ohm"))])
def test_direct_connection_passes_all_between_equal_ports(tmp_path, ends):
    """Nothing comes back and all passes, exactly, whatever the match's own ends; renormalising would be 1e-9 off."""
    sweep = wb.read_sweep(save_touchstone(direct_connection(*ends), "2 MHz", tmp_path / "l.s2p"))
    assert np.abs(sweep.s - [[0, 1], [1, 0]]).max() < 1e-15


@pytest.mark.parametrize("match", wb.compare_matches("75 ohm", "50 ohm", ("160 m",)), ids=lambda match: match.name)
def test_a_touchstone_file_is_the_chain_of_the_parts_between_its_ports(tmp_path, match):
    """S between equal ports r from the chain matrix, as textbooks have it."""
    a, b, c, d = twoports.cascade(part.chain(1.9e6) for part in match.parts)
    r = 60.0
    whole = a + b / r + c * r + d
    wanted = np.array([[a + b / r - c * r - d, 2.0], [2.0, -a + b / r - c * r + d]]) / whole
    sweep = wb.read_sweep(save_touchstone(match, "1.9 MHz", tmp_path / "m.s2p", Q(r, "ohm")))
    assert np.abs(sweep.s - wanted).max() < 1e-11


def test_touchstone_to_other_ports(tmp_path):
    path = save_touchstone(QUARTER, "2 MHz", tmp_path / "q.s2p", "75 ohm")
    assert wb.read_sweep(path).port_impedance.m_as("ohm") == 75


def test_touchstone_refuses(refused, tmp_path):
    refused(lambda: touchstone("match", "2 MHz"), "match")
    refused(lambda: touchstone(QUARTER, Q([2.0, 1.0], "MHz")), "frequency")
    refused(lambda: touchstone(QUARTER, "2 MHz", "0 ohm"), "port_impedance")
    refused(lambda: touchstone(QUARTER, "2 MHz", "1e300 ohm"), "port_impedance")
    refused(lambda: save_touchstone(QUARTER, "2 MHz", tmp_path / "q.txt"), ".s2p")
    for bad in (None, 5, b"q.s2p", "q\0.s2p"):
        refused(lambda bad=bad: save_touchstone(QUARTER, "2 MHz", bad), "path", "the name of a file")
    refused(lambda: save_touchstone(QUARTER, "2 MHz", tmp_path / "none" / "q.s2p"), "path", "folder")
    assert not list(tmp_path.iterdir())
