"""What is no array, no layout, no yes or no, or beyond reckoning is refused in one sentence by whatever takes it."""

import copy
import pickle
import re

import numpy as np
import pytest

import workbook as wb
from workbook.plan.patterns import ground_below

RING, LAND = wb.ring(8, "42 m", "0 deg"), wb.Ground(13, "5 mS/m")
FIGURES = (wb.rdf, wb.front_to_back, wb.signal_gain, wb.noise_gain, wb.white_noise_gain)


@pytest.mark.parametrize("figure", [*FIGURES, lambda firing: wb.array_response(firing, "0 deg", "0 deg")])
@pytest.mark.parametrize("firing", [None, 3, "ring", RING])
def test_what_is_no_firing_is_refused(refused, figure, firing):
    refused(lambda: figure(firing), "firing", "wb.Firing")


@pytest.mark.parametrize("layout", [None, [[0, 0], [0, 5]], RING.positions])
def test_what_is_no_layout_is_refused(refused, layout):
    given = layout, "1.83 MHz", "0 deg", "20 deg"
    for call in (
        lambda: wb.aligned_weights(*given),
        lambda: wb.endfire_weights(*given),
        lambda: wb.greatest_rdf_weights(*given, LAND, "-8 dB"),
        lambda: wb.fewest_delays(*given, LAND, 2),
    ):
        refused(call, "layout", "wb.ring")


@pytest.mark.parametrize(
    "metres", [None, 3, "ring", np.empty((0, 2)), [[0, 0, 0], [1, 1, 1]], [[0, 0], [0, np.nan]], [[0], [0, 1]]]
)
def test_a_layout_of_what_are_no_places_is_refused(refused, metres):
    refused(
        lambda: wb.Firing(wb.Layout(metres), np.ones(2), "1.83 MHz", "0 deg", "20 deg", LAND), "metres", "layout_from"
    )


def test_a_layout_keeps_its_own_places():
    mine = np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 0.0]])
    layout = wb.Layout(mine)
    mine[0] = 9
    assert layout.apart == pytest.approx(np.array([[0, 5, 3], [5, 0, 4], [3, 4, 0]]))
    assert layout.nearest_m == 3
    with pytest.raises(ValueError, match="read-only"):
        layout.metres[0] = 9


def test_free_space_has_a_nadir_and_no_more(refused):
    firing = wb.Firing(RING, np.ones(8), "1.83 MHz", "0 deg", "20 deg", wb.FREE_SPACE)
    assert abs(wb.array_response(firing, "0 deg", "-90 deg")) == pytest.approx(8)
    for elevation in ("100 deg", "-91 deg", "180 deg"):
        refused(lambda e=elevation: wb.array_response(firing, "0 deg", e), "elevation", "-90 to 90 deg")


@pytest.mark.parametrize("elevation", ["90.0000001 deg", "-0.0000001 deg", "90.00000000011 deg"])
def test_an_elevation_just_outside_is_told_with_digits_enough(refused, elevation):
    sentence = refused(lambda: wb.aligned_weights(RING, "1.83 MHz", "0 deg", elevation), "0 to 90 deg")
    told = float(sentence.removeprefix("elevation: ").partition(" deg")[0])
    assert told < 0 or told > 90


@pytest.mark.parametrize("value", ["false", 1, -1, None, float("nan"), [3], np.array([1, 2]), wb.Quantity(3, "m")])
def test_what_only_passes_for_yes_or_no_is_refused(refused, value):
    refused(lambda: wb.endfire_weights(RING, "1.83 MHz", "0 deg", "20 deg", value), "polarity_inversion", "True")
    refused(lambda: wb.fewest_delays(RING, "1.83 MHz", "0 deg", "20 deg", LAND, 1, value), "polarity_inversion", "True")


@pytest.mark.parametrize("frequency", ["1.83 Hz", "1.83e3 MHz", "10 GHz"])
def test_rejects_frequencies_outside_1_khz_to_1_ghz(refused, frequency):
    refused(lambda: wb.aligned_weights(RING, frequency, "0 deg", "20 deg"), "frequency", "1 kHz to 1 GHz")
    refused(lambda: wb.fewest_delays(RING, frequency, "0 deg", "20 deg", LAND, 1), "frequencies", "1 kHz to 1 GHz")


@pytest.mark.parametrize(
    "weights", [["1"] * 8, np.full(8, 1e200), np.full(8, 1e-200), np.ma.masked_array(np.ones(8), [1] + [0] * 7)]
)
def test_weights_that_are_none_are_refused(refused, weights):
    refused(lambda: wb.Firing(RING, weights, "1.83 MHz", "0 deg", "20 deg", LAND), "weights")


def test_what_rounding_decides_is_refused_and_not_answered(refused):
    """Differences of N - 1st order along a row next to nothing long: what is left is rounding."""
    row = wb.row(6, "0.5 m", "0 deg")
    weights = [1, -5, 10, -10, 5, -1]
    refused(lambda: wb.rdf(wb.Firing(row, weights, "1.83 MHz", "0 deg", "20 deg", LAND)), "weights", "rounding")


NEAR = {
    # layout, frequency, azimuth
    "ring": (wb.ring(8, "1 m", "0 deg"), "1.83 MHz", "0 deg"),
    "row": (wb.row(6, "0.5 m", "0 deg"), "1.83 MHz", "0 deg"),
    "row of many": (wb.row(24, "0.5 m", "0 deg"), "1.83 MHz", "0 deg"),
    "row, sideways": (wb.row(6, "0.5 m", "0 deg"), "1.83 MHz", "90 deg"),
    "next to nothing": (wb.row(3, "0.01 m", "0 deg"), "1 kHz", "0 deg"),
}


@pytest.mark.parametrize("ground", [LAND, wb.PERFECT_GROUND, wb.FREE_SPACE])
@pytest.mark.parametrize("limit", ["-300 dB", "-120 dB"])
@pytest.mark.parametrize("name", NEAR)
def test_a_limit_so_low_that_rounding_decides_is_refused(refused, name, limit, ground):
    """The sentence says which limit can be kept; with it RDF is not above the one of an easier limit by nothing."""
    layout, frequency, azimuth = NEAR[name]

    def weights(least):
        return wb.greatest_rdf_weights(layout, frequency, azimuth, "20 deg", ground, least)

    sentence = refused(lambda: weights(limit), "least_white_noise_gain", "rounding", "dB or more")
    kept = wb.Quantity(float(re.search(r"give (-\d+) dB", sentence)[1]), "dB")
    fired = [
        wb.Firing(layout, weights(least), frequency, azimuth, "20 deg", ground)
        for least in (kept, kept + wb.Quantity(10, "dB"))
    ]
    assert wb.white_noise_gain(fired[0]).m_as("dB") == pytest.approx(kept.m_as("dB"), abs=1e-6)
    assert wb.rdf(fired[0]) > wb.rdf(fired[1])


def test_elements_near_each_other_may_still_be_in_phase():
    """Across a pair the wave is the same at both: nothing is ill about that, however low the limit and the spacing."""
    pair = wb.row(2, "0.01 m", "0 deg")
    weights = wb.greatest_rdf_weights(pair, "100 kHz", "90 deg", "20 deg", LAND, "-300 dB")
    assert weights == pytest.approx(1, abs=1e-9)


def test_beyond_anything_that_can_be_built(refused):
    given = RING, "1.83 MHz", "0 deg", "20 deg", LAND
    refused(lambda: wb.greatest_rdf_weights(*given, "5000 dB"), "least_white_noise_gain")
    wide = wb.Firing(wb.ring(8, "200 km", "0 deg"), np.ones(8), "30 MHz", "0 deg", "20 deg", LAND)
    refused(lambda: wb.rdf(wide), "wavelengths across")
    found = wb.fewest_delays(*given, 2)
    for delays in ("3 ns", wb.Quantity([1.0], "ns")):
        refused(lambda delays=delays: found.least_rdf_at(delays), "delays", "2 lines")


@pytest.mark.parametrize("ground", [wb.PERFECT_GROUND, wb.FREE_SPACE])
def test_grounds_stay_what_they_are_when_copied(ground):
    for other in (pickle.loads(pickle.dumps(ground)), copy.deepcopy(ground)):
        assert other == ground
        assert ground_below(other) == ground_below(ground)
    assert wb.PERFECT_GROUND != wb.FREE_SPACE


def test_ground_that_is_vacuum_leaves_the_short_vertical_its_dipole_pattern():
    """Nothing is reflected: cos(el)/2 above the horizon; the RDF is 3 cos^2(el), by the integral over half the sky."""
    vacuum, heights = wb.Ground(1, "0 S/m"), np.array([1e-9, 5.0, 20.0, 60.0, 89.0])
    one = wb.Firing(wb.layout_from(wb.Quantity([[0.0, 0.0]], "m")), [1], "1.83 MHz", "0 deg", "20 deg", vacuum)
    found = wb.array_response(one, "0 deg", wb.Quantity(np.append(0.0, heights), "deg"))
    assert np.all(np.isfinite(found))
    assert found[1:] == pytest.approx(np.cos(np.radians(heights)) / 2, abs=1e-9)
    assert wb.rdf(one).m_as("dB") == pytest.approx(10 * np.log10(3 * np.cos(np.radians(20)) ** 2), abs=1e-6)


@pytest.mark.parametrize("elevation", ["89.999999 deg", "89.99999999 deg"])
@pytest.mark.parametrize("ground", [LAND, wb.PERFECT_GROUND, wb.Ground(1, "0 S/m")])
def test_a_pair_that_cancels_near_the_zenith_is_answered_or_refused(elevation, ground):
    try:
        found = wb.fewest_delays(wb.row(2, "20 m", "0 deg"), "1.83 MHz", "0 deg", elevation, ground, 1)
    except wb.InputError:
        return
    assert np.all(np.isfinite(found.delays.m_as("ns")))
    assert np.all(np.isfinite(found.rdf.m_as("dB")))
