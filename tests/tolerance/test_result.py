"""Intervals, sensitivities and envelopes of a run."""

import numpy as np
import pytest

import workbook as wb


@pytest.fixture(scope="module")
def result(ring, every_kind):
    return wb.run_tolerance(ring.firing, every_kind, 20_000, 1, **ring.lines)


def test_trials_are_plain_floats_in_order(result):
    assert result.trials("rdf").dtype == float
    assert result.trials("rdf").shape == (20_000,)
    assert result.values.dtype == np.float32


def test_result_cannot_be_changed(result):
    result.trials("rdf")[0] = 0
    assert result.trials("rdf")[0] != 0
    with pytest.raises(ValueError, match="read-only"):
        result.values[0, 0] = 0


@pytest.mark.parametrize("coverage", [0.5, 0.95, 0.99])
def test_interval_has_equal_tails(result, coverage):
    low, high = result.interval("rdf", coverage)
    trials = result.trials("rdf")
    assert np.mean(trials < low) == pytest.approx((1 - coverage) / 2, abs=1e-4)
    assert np.mean(trials > high) == pytest.approx((1 - coverage) / 2, abs=1e-4)
    assert low < result.median("rdf") < high


def test_interval_error_is_what_other_seeds_show(ring, every_kind):
    runs = [wb.run_tolerance(ring.firing, every_kind, 2000, seed, **ring.lines) for seed in range(30)]
    seen = np.std([run.interval("rdf")[0] for run in runs])
    stated = np.mean([run.interval_error("rdf")[0] for run in runs])
    assert stated == pytest.approx(seen, rel=0.4)


def test_nominal_figures_are_those_of_the_firing(result, ring):
    assert result.nominal("rdf") == pytest.approx(wb.rdf(ring.firing).m_as("dB"), abs=1e-6)
    assert result.nominal("front_to_back") == pytest.approx(wb.front_to_back(ring.firing).m_as("dB"), abs=1e-6)


def test_pattern_with_a_null_has_infinite_front_to_back_without_errors(cardioid):
    result = wb.run_tolerance(cardioid.firing, [wb.Tolerance("phase", "uniform", half_width="1 deg")], 1000, 1)
    assert result.nominal("front_to_back") == np.inf
    assert np.all(np.isfinite(result.trials("front_to_back")))


def test_interval_of_infinite_figures_is_infinite_not_missing(cardioid):
    alike = wb.Tolerance("amplitude", "uniform", half_width=0.1, shared="all")
    result = wb.run_tolerance(cardioid.firing, [alike], 100, 1)
    assert result.interval("front_to_back") == (np.inf, np.inf)
    assert result.sensitivities("front_to_back") == ((alike, 0.0),)


# --- sensitivities ----------------------------------------------------------------------------------------


def test_shares_are_sorted_and_add_up_to_one(result, every_kind):
    pairs = result.sensitivities("rdf")
    assert sum(share for _, share in pairs) == pytest.approx(1)
    assert [share for _, share in pairs] == sorted((share for _, share in pairs), reverse=True)
    assert {id(tolerance) for tolerance, _ in pairs} == {id(tolerance) for tolerance in every_kind}


def test_shares_of_a_linear_problem_are_squares_of_the_spreads(ring):
    """Pointing of the ring goes with the phases, so that 3 to 1 in spread is 9 to 1 in variance."""
    three = wb.Tolerance("phase", "normal", standard_uncertainty="0.3 deg")
    one = wb.Tolerance("phase", "uniform", half_width=wb.Quantity(0.1 * 3**0.5, "deg"))
    result = wb.run_tolerance(ring.firing, [one, three], 1000, 1, figures=("pointing",))
    (first, most), (_, least) = result.sensitivities("pointing")
    assert first is three
    assert most == pytest.approx(0.9, abs=0.005)
    assert least == pytest.approx(0.1, abs=0.005)


@pytest.mark.parametrize("figure", ["rdf", "front_to_back"])
@pytest.mark.parametrize("number", [0, 1, 2])
def test_doubling_a_tolerance_raises_its_share_as_predicted(ring, figure, number):
    """Shares s become 4 s / (1 + 3 s) for the doubled one, where the model is linear."""
    kinds = [
        wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.004, shared="reel"),
        wb.Tolerance("phase", "normal", standard_uncertainty="0.3 deg"),
        wb.Tolerance("amplitude", "normal", standard_uncertainty=0.01),
    ]
    before = dict(wb.run_tolerance(ring.firing, kinds, 10, 1, **ring.lines).sensitivities(figure))
    share = before[kinds[number]]
    doubled = [kind.scaled(2) if n == number else kind for n, kind in enumerate(kinds)]
    after = dict(wb.run_tolerance(ring.firing, doubled, 10, 1, **ring.lines).sensitivities(figure))
    assert after[doubled[number]] == pytest.approx(4 * share / (1 + 3 * share), rel=0.1)


def test_filled_null_is_shared_by_leaked_power(cardioid):
    """In dB both would spread alike; what leaks on average goes with the variances, 16 to 1."""
    big = wb.Tolerance("phase", "normal", standard_uncertainty="2 deg")
    small = wb.Tolerance("phase", "uniform", half_width=wb.Quantity(0.5 * 3**0.5, "deg"))
    result = wb.run_tolerance(cardioid.firing, [small, big], 100, 1)
    (first, most), _ = result.sensitivities("front_to_back")
    assert first is big
    assert most == pytest.approx(16 / 17, abs=0.005)


# --- envelope ---------------------------------------------------------------------------------------------


def test_envelope_encloses_the_pattern_without_errors(result, ring):
    azimuth = wb.Quantity(np.arange(0, 360, 10.0), "deg")
    low, median, high = (level.m_as("dB") for level in result.envelope(azimuth))
    assert low.shape == (36,)
    assert np.all(low < median)
    assert np.all(median < high)
    nominal = np.abs(wb.array_response(ring.firing, azimuth, "20 deg")) ** 2
    nominal = 10 * np.log10(nominal / np.abs(wb.array_response(ring.firing, "22.5 deg", "20 deg")) ** 2)
    assert np.all(low < nominal)
    assert np.all(nominal < high)


def test_envelope_at_the_back_is_the_distribution_there(cardioid):
    phase = wb.Tolerance("phase", "uniform", half_width="5 deg")
    result = wb.run_tolerance(cardioid.firing, [phase], 4000, 1)
    _, median, _ = result.envelope("180 deg")
    assert median.m_as("dB")[0] == pytest.approx(-result.median("front_to_back"), abs=0.05)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda r: r.trials("null_depth"), ("figure", "known are")),
        (lambda r: r.interval("rdf", 0), ("coverage", "between 0 and 1")),
        (lambda r: r.interval("rdf", 1), ("coverage", "between 0 and 1")),
        (lambda r: r.interval("rdf", 95), ("coverage", "per cent", "0.95")),
        (lambda r: r.interval("rdf", "0.95"), ("coverage", "plain number")),
        (lambda r: r.envelope(10.0), ("azimuth", "bare")),
    ],
    ids=["figure", "zero", "one", "per cent", "text", "bare azimuth"],
)
def test_refuses_figures_and_probabilities_that_are_none(refused, result, call, words):
    refused(lambda: call(result), *words)
