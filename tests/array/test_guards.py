"""What is no array, no layout, no yes or no, or beyond reckoning is refused in one sentence by whatever takes it."""

import copy
import pickle

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


@pytest.mark.parametrize("value", ["false", 1, -1, None, float("nan"), [3], np.array([1, 2]), wb.Quantity(3, "m")])
def test_what_only_passes_for_yes_or_no_is_refused(refused, value):
    refused(lambda: wb.endfire_weights(RING, "1.83 MHz", "0 deg", "20 deg", value), "polarity_inversion", "True")
    refused(lambda: wb.fewest_delays(RING, "1.83 MHz", "0 deg", "20 deg", LAND, 1, value), "polarity_inversion", "True")


@pytest.mark.parametrize("frequency", ["1.83 Hz", "1.83e300 MHz", "10 GHz"])
def test_no_array_hears_such_frequencies(refused, frequency):
    refused(lambda: wb.aligned_weights(RING, frequency, "0 deg", "20 deg"), "frequency", "1 kHz to 1 GHz")
    refused(lambda: wb.fewest_delays(RING, frequency, "0 deg", "20 deg", LAND, 1), "frequencies", "1 kHz to 1 GHz")


@pytest.mark.parametrize(
    "weights", [["1"] * 8, np.full(8, 1e200), np.full(8, 1e-200), np.ma.masked_array(np.ones(8), [1] + [0] * 7)]
)
def test_weights_that_are_none_are_refused(refused, weights):
    refused(lambda: wb.Firing(RING, weights, "1.83 MHz", "0 deg", "20 deg", LAND), "weights")


def test_what_rounding_decides_is_refused_and_not_answered(refused):
    tiny = wb.ring(8, "1 m", "0 deg")
    weights = wb.greatest_rdf_weights(tiny, "1.83 MHz", "0 deg", "20 deg", LAND, "-120 dB")
    refused(lambda: wb.rdf(wb.Firing(tiny, weights, "1.83 MHz", "0 deg", "20 deg", LAND)), "weights", "rounding")


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
