"""One element is the reference of every figure; what needs more elements refuses it."""

import numpy as np
import pytest

import workbook as wb
from workbook.array.layout import rows_toward
from workbook.tables.stakeout import distances_table, stakes_table, tapes_table

LAND = wb.Ground(13, "5 mS/m")
AT_CENTRE = wb.layout_from(wb.Quantity([[0, 0]], "m"))
AWAY = wb.layout_from(wb.Quantity([[30, 40]], "m"))


def fired(layout, ground=LAND, elevation="20 deg", weight=1.0):
    return wb.Firing(layout, [weight], "1.83 MHz", "45 deg", elevation, ground)


@pytest.mark.parametrize("layout", [AT_CENTRE, AWAY])
@pytest.mark.parametrize("figure", [wb.signal_gain, wb.noise_gain, wb.white_noise_gain, wb.front_to_back])
def test_gains_and_front_to_back_are_0_db(layout, figure):
    assert figure(fired(layout)).m_as("dB") == pytest.approx(0, abs=1e-12)


def test_signal_and_noise_gain_follow_the_weight():
    for figure in (wb.signal_gain, wb.noise_gain):
        assert figure(fired(AWAY, weight=2j)).m_as("dB") == pytest.approx(20 * np.log10(2))
    assert wb.white_noise_gain(fired(AWAY, weight=2j)).m_as("dB") == pytest.approx(0, abs=1e-12)


def test_rdf_is_that_of_a_short_monopole():
    """1/(half the integral of cos^3 over elevation) = 3 over perfect ground at the horizon; 1 in free space."""
    horizon = wb.rdf(fired(AWAY, wb.PERFECT_GROUND, "0 deg")).m_as("dB")
    assert horizon == pytest.approx(10 * np.log10(3), abs=1e-9)
    assert wb.rdf(fired(AWAY, wb.FREE_SPACE)).m_as("dB") == pytest.approx(0, abs=1e-12)
    # an element with weight 0 beside it changes nothing
    pair = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "45 deg", "20 deg", LAND)
    assert wb.rdf(fired(AWAY)).m_as("dB") == pytest.approx(wb.rdf(pair).m_as("dB"), abs=1e-9)


def test_pattern_is_round():
    found = wb.pattern_metrics(fired(AWAY))
    assert np.isnan(found.azimuth_beamwidth.m_as("degree"))
    assert found.nulls == ()
    assert 0 < found.elevation_beamwidth.m_as("degree") < 90
    assert 0 < found.peak_elevation.m_as("degree") < 90


def test_layout_of_one_element():
    assert AWAY.count == 1
    assert AWAY.apart.tolist() == [[0.0]]
    assert AWAY.nearest_m == np.inf
    assert rows_toward(AWAY.metres, 0.3).members == ((1,),)


def test_aligned_and_greatest_rdf_weights_are_1():
    assert wb.aligned_weights(AWAY, "1.83 MHz", "45 deg", "20 deg") == pytest.approx([1])
    found = wb.greatest_rdf_weights(AWAY, "1.83 MHz", "0 deg", "20 deg", LAND, "-8 dB")
    assert np.abs(found) == pytest.approx([1])


def test_rules_of_several_elements_refuse_it(refused):
    refused(lambda: wb.endfire_weights(AWAY, "1.83 MHz", "0 deg", "20 deg"), "layout", "2 elements", "aligned")
    refused(lambda: wb.fewest_delays(AWAY, "1.83 MHz", "0 deg", "20 deg", LAND, 1), "layout", "2 elements", "aligned")
    refused(lambda: wb.greatest_rdf_weights(AWAY, "1.83 MHz", "0 deg", "20 deg", LAND, "1 dB"), "1 element can have")


def test_stake_out_of_one_stake():
    out = wb.stake_out(AWAY, "10 deg")
    assert (out.stakes[0].distance_m, len(out.tapes), out.distances) == (50.0, 1, ())
    assert out.stakes[0].magnetic_deg == pytest.approx(np.degrees(np.arctan2(3, 4)) - 10)
    centre = wb.stake_out(AT_CENTRE)
    assert (centre.fixes[0].side, centre.tapes) == ("centre", ())
    for made in (out, centre):
        assert [len(table(made).rows) for table in (stakes_table, tapes_table, distances_table)] == [1, 1, 0]
