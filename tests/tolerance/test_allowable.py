"""The inverse: how wide tolerances may be."""

import numpy as np
import pytest

import workbook as wb


def phase(degrees=1.0, **more):
    return wb.Tolerance("phase", "uniform", half_width=wb.Quantity(degrees, "deg"), **more)


def test_allowed_tolerances_keep_the_figure_with_the_confidence(ring, every_kind):
    held = wb.allowable(ring.firing, every_kind, "front_to_back", "5.7 dB", 0.95, **ring.lines)
    result = wb.run_tolerance(ring.firing, held, 50_000, 99, **ring.lines, figures=("front_to_back",))
    assert np.mean(result.trials("front_to_back") >= 5.7) == pytest.approx(0.95, abs=0.004)


def test_one_common_factor_on_all_in_the_same_order(ring, every_kind):
    held = wb.allowable(ring.firing, every_kind, "rdf", "6.8 dB", 0.9, **ring.lines)
    assert [t.what for t in held] == [t.what for t in every_kind]
    factors = [got.deviation / given.deviation for got, given in zip(held, every_kind, strict=True)]
    np.testing.assert_allclose(factors, factors[0])
    assert [t.kind for t in held] == [t.kind for t in every_kind]


@pytest.mark.parametrize("start", [1e-3, 0.5, 20.0])
def test_starting_spread_does_not_matter(cardioid, start):
    (held,) = wb.allowable(cardioid.firing, [phase(start)], "front_to_back", "30 dB", 0.9)
    (other,) = wb.allowable(cardioid.firing, [phase(1.0)], "front_to_back", "30 dB", 0.9)
    assert held.half_width.m_as("deg") == pytest.approx(other.half_width.m_as("deg"), rel=1e-3)


def test_certainty_of_a_pair_is_the_closed_form(cardioid):
    """With confidence near 1 both phases at their ends must keep cot^2 of half their difference: 2 a <= 2 acot."""
    (held,) = wb.allowable(cardioid.firing, [phase()], "front_to_back", "30 dB", 0.99999, trials=100_000)
    assert held.half_width.m_as("deg") == pytest.approx(np.degrees(np.arctan(10 ** (-30 / 20))), rel=0.01)


def test_alone_each_may_be_wider_than_together(ring, every_kind):
    together = wb.allowable(ring.firing, every_kind, "front_to_back", "5.7 dB", 0.95, **ring.lines, trials=4000)
    alone = wb.allowable_alone(ring.firing, every_kind, "front_to_back", "5.7 dB", 0.95, **ring.lines, trials=4000)
    for one, other in zip(alone, together, strict=True):
        assert one is None or one.deviation >= other.deviation
    assert alone[-1] is not None


def test_tolerance_that_never_matters_has_no_limit_alone(ring):
    alike = phase(shared="all")
    alone = wb.allowable_alone(ring.firing, [alike, phase()], "rdf", "6.8 dB", 0.95, trials=1000)
    assert alone[0] is None
    assert alone[1].deviation > 0


def test_pointing_takes_an_angle(ring):
    (held,) = wb.allowable(ring.firing, [phase()], "pointing", "-2 deg", 0.95, trials=4000)
    result = wb.run_tolerance(ring.firing, [held], 4000, 1, figures=("pointing",))
    assert np.mean(result.trials("pointing") >= -2) == pytest.approx(0.95, abs=0.002)


REFUSED = {
    "even perfect cutting misses": ({"least": "7.5 dB"}, "even without errors", "6.85 dB", "7.50 dB"),
    "bare figure": ({"least": 6.8}, "least", "bare"),
    "figure in another unit": ({"least": "6.8 deg"}, "least", "dB"),
    "unknown figure": ({"figure": "gain"}, "figure", "known are"),
    "certainty": ({"confidence": 1}, "confidence", "between 0 and 1"),
    "no confidence": ({"confidence": 0.0}, "confidence", "between 0 and 1"),
    "confidence in per cent": ({"confidence": 95}, "confidence", "0.95"),
    "too few trials": ({"trials": 10}, "trials", "100"),
    "kept whatever comes": ({"tolerances": [phase(shared="all")]}, "least", "however wide"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refuses_in_a_sentence(refused, ring, name):
    changed, *words = REFUSED[name]
    arguments = {"firing": ring.firing, "tolerances": [phase()], "figure": "rdf", "least": "6.8 dB", "confidence": 0.9}
    refused(lambda: wb.allowable(**(arguments | {"trials": 500} | changed)), *words)
