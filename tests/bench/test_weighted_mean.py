"""The weighted mean against another library, and against the Birge ratio by hand."""

import numpy as np
import pytest

import workbook as wb


@pytest.mark.parametrize("seed", range(5))
def test_weighted_mean_is_that_of_least_squares(seed):
    """numpy.polyfit of a constant, weights 1/u, unscaled covariance: the textbook weighted mean."""
    rng = np.random.default_rng(seed)
    errors = rng.uniform(0.5e-3, 3e-3, 6)
    values = 0.83 + errors * rng.uniform(-0.8, 0.8, 6)
    coefficient, covariance = np.polyfit(np.zeros(6), values, 0, w=1 / errors, cov="unscaled")
    found = wb.weighted_mean([wb.Measured(v, u) for v, u in zip(values, errors, strict=True)])
    assert found.value == pytest.approx(coefficient[0], rel=1e-12)
    assert found.uncertainty == pytest.approx(np.sqrt(covariance[0, 0]), rel=1e-9)


def test_values_that_disagree_have_a_larger_uncertainty():
    """Two values 0.010 apart, each known to 0.001: chi squared is 50 for one degree of freedom, by hand."""
    found = wb.weighted_mean([wb.Measured(0.830, 0.001), wb.Measured(0.840, 0.001)])
    assert found.uncertainty == pytest.approx(0.001 / np.sqrt(2) * np.sqrt(50))


def test_a_single_value_stays_as_it_is():
    found = wb.weighted_mean([wb.Measured("120 ns", "1 ns")])
    assert (found.value.m_as("ns"), found.uncertainty.m_as("ns")) == pytest.approx((120, 1))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([], "at least one"),
        ([0.83], "Measured"),
        ([wb.Measured(0.83, 0)], "uncertainty"),
        ([wb.Measured(0.83, 0.01), wb.Measured("1 m", "1 mm")], "one kind"),
        ([wb.Measured("1 m", "1 mm"), wb.Measured("1 ns", "1 ns")], "m"),
    ],
)
def test_what_has_no_mean_is_refused(values, words, refused):
    refused(lambda: wb.weighted_mean(values), words)
