"""Every way against scikit-rf's own elements and cascades, between real and complex ends, to 1e-9."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.direct import direct_connection
from workbook.matching.match import Match
from workbook.matching.pad import pad_match
from workbook.matching.sections import nearest_cables, quarter_wave
from workbook.matching.transformer import Core, transformer_match

Q = wb.Quantity
HERTZ = np.geomspace(0.3e6, 60e6, 41)
CLAD, COPPER, FIFTY = (wb.cable(name) for name in ("series-6-clad", "series-6-copper", "rg-58-solid-pe"))
REAL = [(75.0, 50.0), (50.0, 75.0), (50.0, 450.0), (300.0, 20.0)]
# all of them can be matched by a single line too
COMPLEX = [(60 + 20j, 40 - 15j), (40 + 0.5j, 120 - 80j), (75.0, 50 + 15j), (50 + 10j, 200.0)]


def ways(source, load):
    """Every way that these ends allow."""
    ends = Q(source, "ohm"), Q(load, "ohm")
    yield direct_connection(*ends)
    yield transformer_match(*ends, Core("1 uH", 0.99, 3, 20))
    yield transformer_match(*ends, Core("300 nH", 1, 100, 1000))
    for values in (None, 24, 96):
        yield pad_match(*ends, values)
    for cable in (None, CLAD):
        yield wb.quarter_wave_match(*ends, "7.1 MHz", cable)
    yield quarter_wave(source, load, 3.65e6, COPPER, np.pi / 2, count=2)
    if np.isreal(source) and np.isreal(load):
        yield wb.twelfth_wave_match(*ends, "1.83 MHz")
    if np.isreal(source):
        yield wb.series_section_match(ends[0], Q(2000, "ohm"), ends[1], "14 MHz")
        yield wb.series_section_match(ends[0], Q(8, "ohm"), ends[1], "14 MHz")


@pytest.mark.parametrize(("source", "load"), REAL + COMPLEX)
def test_every_match_has_the_s_parameters_of_scikit_rf(by_library, source, load):
    for match in ways(source, load):
        assert np.abs(match.network(Q(HERTZ, "Hz")).s - by_library(match, HERTZ)).max() < 1e-9, match.name


@pytest.mark.parametrize("match", wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m")), ids=lambda m: m.name)
def test_matches_of_real_cables_have_the_s_parameters_of_scikit_rf(by_library, match):
    s = by_library(match, HERTZ)
    network = match.network(Q(HERTZ, "Hz"))
    assert np.abs(network.s - s).max() < 1e-9
    assert match.insertion_loss(Q(HERTZ, "Hz")).m_as("dB") == pytest.approx(
        -20 * np.log10(np.abs(s[:, 1, 0])), abs=1e-8
    )
    size = np.abs(s[:, 0, 0]), np.abs(s[:, 1, 1])
    assert match.swr_in(Q(HERTZ, "Hz")) == pytest.approx((1 + size[0]) / (1 - size[0]), rel=1e-7)
    assert match.swr_out(Q(HERTZ, "Hz")) == pytest.approx((1 + size[1]) / (1 - size[1]), rel=1e-7)
    phase = match.phase_shift(Q(HERTZ, "Hz")).m_as("degree")
    assert np.abs(np.exp(1j * np.radians(phase)) - s[:, 1, 0] / np.abs(s[:, 1, 0])).max() < 1e-8


def test_pairs_of_real_cables_in_the_wrong_order_differ():
    """So that the comparison above could fail: the parts of one way exchanged are another two-port."""
    match = wb.twelfth_wave_match("75 ohm", "50 ohm", "3.65 MHz", (FIFTY, COPPER))
    wrong = Match("wrong", "", 75.0, 50.0, match.parts[::-1], match.hertz)
    frequency = Q(HERTZ, "Hz")
    assert np.abs(match.network(frequency).s - wrong.network(frequency).s).max() > 0.1


def test_two_in_parallel_are_two_lines_side_by_side():
    choice = nearest_cables("37.5 ohm", "1.83 MHz")[0]
    assert choice.count == 2
    assert choice.impedance.m_as("ohm") == pytest.approx(
        choice.cable.characteristic_impedance("1.83 MHz").m_as("ohm") / 2
    )
