"""Random streams, distributions and intervals."""

import numpy as np
import pytest

from workbook.formulas import chance

DRAWS = {"normal": chance.normal, "uniform": chance.uniform, "triangular": chance.triangular}


def test_stream_is_the_same_every_time():
    first, again = (chance.stream(5, 2, 7).random(10) for _ in range(2))
    np.testing.assert_array_equal(first, again)


@pytest.mark.parametrize("other", [(6, 2, 7), (5, 3, 7), (5, 2, 8)], ids=["seed", "source", "block"])
def test_streams_of_other_seeds_sources_and_blocks_are_unrelated(other):
    one, two = chance.stream(5, 2, 7).standard_normal(20_000), chance.stream(*other).standard_normal(20_000)
    assert abs(np.corrcoef(one, two)[0, 1]) < 0.03
    assert not np.intersect1d(one, two).size


def test_blocks_do_not_overlap_however_many_numbers_are_drawn():
    """A block's counter starts 2^128 numbers after the last block's."""
    long = chance.stream(1, 0, 0).random(200_000)
    assert not np.intersect1d(long, chance.stream(1, 0, 1).random(200_000)).size


@pytest.mark.parametrize("kind", DRAWS)
def test_draws_have_mean_zero_and_deviation_one(kind):
    drawn = DRAWS[kind](chance.stream(1, 0, 0), (1_000_000,))
    assert drawn.mean() == pytest.approx(0, abs=0.004)
    assert drawn.std() == pytest.approx(1, abs=0.003)


@pytest.mark.parametrize(("kind", "half_width"), [("uniform", 3**0.5), ("triangular", 6**0.5)])
def test_bounded_draws_fill_their_half_width_and_never_leave_it(kind, half_width):
    drawn = np.abs(DRAWS[kind](chance.stream(1, 0, 0), (200_000,)))
    assert 0.98 * half_width < drawn.max() <= half_width


def test_distributions_differ_by_their_fourth_moment():
    kurtosis = {kind: float(np.mean(draw(chance.stream(1, 0, 0), (400_000,)) ** 4)) for kind, draw in DRAWS.items()}
    assert kurtosis["normal"] == pytest.approx(3, abs=0.06)
    assert kurtosis["uniform"] == pytest.approx(1.8, abs=0.02)
    assert kurtosis["triangular"] == pytest.approx(2.4, abs=0.03)


@pytest.mark.parametrize("count", [1, 2, 10, 999, 1000, 100_001])
@pytest.mark.parametrize("coverage", [0.05, 0.5, 0.95, 0.999])
def test_ranks_enclose_the_coverage_with_equal_tails(count, coverage):
    low, high = chance.coverage_ranks(count, coverage)
    assert 0 <= low <= high < count
    assert abs((high - low) - coverage * count) <= 1
    assert abs(low - (count - 1 - high)) <= 1


def test_order_statistics_equal_a_sort_with_infinite_values():
    values = np.append(np.random.default_rng(1).normal(size=501), [np.inf, np.inf])
    ranks = [0, 17, 17, 502]
    np.testing.assert_array_equal(chance.order_statistics(values, ranks), np.sort(values)[ranks])


def test_quantile_error_is_that_of_repeated_samples():
    samples = np.random.default_rng(1).normal(size=(400, 2000))
    seen = np.quantile(samples, 0.975, axis=1).std()
    assert np.mean([chance.quantile_error(one, 0.975) for one in samples]) == pytest.approx(seen, rel=0.15)


def test_shares_add_up_to_one_or_are_all_zero():
    np.testing.assert_allclose(chance.variance_shares([1.0, 3.0]), [0.25, 0.75])
    np.testing.assert_array_equal(chance.variance_shares([0.0, 0.0]), [0, 0])
