"""Matched sets against every other choice (brute force), and what cannot be sorted."""

from itertools import combinations

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity


def labelled(values, unit="uH"):
    return {f"p{n}": Q(float(value), unit) for n, value in enumerate(values)}


def partitions(parts, size, count):
    """Yield every choice of so many disjoint sets of so many parts."""
    if count == 0:
        yield ()
        return
    for first in combinations(parts, size):
        # of the sets the one with the lowest part comes first, so that each choice comes once
        rest = [n for n in parts if n > first[0] and n not in first]
        for others in partitions(rest, size, count - 1):
            yield (first, *others)


def spreads(points, sets):
    return [max(np.ptp(points[list(one)], axis=0)) for one in sets]


@pytest.mark.parametrize("size", [2, 3, 4])
@pytest.mark.parametrize("ties", [True, False])
def test_sets_of_one_value_are_the_best_of_all(size, ties):
    """Every choice of sets of up to nine parts: least greatest spread, and of those the least sum of spreads."""
    rng = np.random.default_rng(size)
    for parts in range(size, 10):
        for count in range(1, parts // size + 1):
            values = rng.integers(0, 12, parts) if ties else rng.uniform(0, 1, parts)
            found = wb.matched_sets(labelled(values), size, count)
            points = np.array(values, dtype=float)[:, None]
            best = min(
                (max(each), sum(each)) for each in (spreads(points, s) for s in partitions(range(parts), size, count))
            )
            assert (found.spread.max().m_as("uH"), found.spread.sum().m_as("uH")) == pytest.approx(best)
            _check_whole(found, values, size, count)


def _check_whole(found, values, size, count):
    """Every part is in one set or a spare, and the spread is that of the sets."""
    used = [label for one in found.sets for label in one]
    assert sorted((*used, *found.spares)) == sorted(f"p{n}" for n in range(len(values)))
    assert [len(one) for one in found.sets] == [size] * count
    own = [np.ptp([values[int(label[1:])] for label in one]) for one in found.sets]
    assert found.spread.m_as("uH").tolist() == pytest.approx(own)
    assert found.proven
    assert found.bound.m_as("uH") == pytest.approx(max(own))


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(("parts", "size", "count"), [(6, 2, 3), (7, 2, 3), (8, 4, 2), (8, 3, 2), (9, 3, 3), (9, 4, 2)])
def test_sets_of_gain_and_phase_are_the_best_of_all(seed, parts, size, count):
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(parts, 2)) if seed % 2 else rng.integers(0, 6, (parts, 2)).astype(float)
    values = {f"p{n}": (Q(float(gain) / 10, "dB"), Q(float(phase), "deg")) for n, (gain, phase) in enumerate(points)}
    found = wb.matched_sets(values, size, count, ("0.1 dB", "1 deg"))
    best = min(max(spreads(points, sets)) for sets in partitions(range(parts), size, count))
    assert found.spread.max().m_as("") == pytest.approx(best)
    assert found.proven


@pytest.mark.parametrize("seed", range(30))
def test_pairs_in_series_are_the_best_of_all(seed):
    """Every choice of disjoint pairs of up to eight parts."""
    rng = np.random.default_rng(seed)
    parts = int(rng.integers(2, 9))
    values = rng.integers(80, 121, parts).astype(float) if seed % 2 else rng.uniform(80, 120, parts)
    for pairs in range(1, parts // 2 + 1):
        sums = ([values[a] + values[b] for a, b in chosen] for chosen in partitions(range(parts), 2, pairs))
        best = min(max(each) - min(each) for each in sums)
        found = wb.matched_pairs_in_series(labelled(values), pairs)
        assert found.spread.m_as("uH") == pytest.approx(best, abs=1e-9)
        used = [label for pair in found.sets for label in pair]
        assert sorted((*used, *found.spares)) == sorted(f"p{n}" for n in range(parts))


def test_pairs_agree_where_sums_were_designed_to():
    """Ten pairs of 200 uH each are hidden among chokes of +-20 %, a maker's usual tolerance."""
    rng = np.random.default_rng(0)
    low = rng.uniform(80, 99, 10)
    values = rng.permutation(np.concatenate([low, 200 - low, [120.0, 119.0, 80.5]]))
    found = wb.matched_pairs_in_series(labelled(values), 10)
    assert found.spread.m_as("uH")[0] < 1e-9
    assert found.unsorted_spread > Q(20, "uH")


def test_more_parts_than_can_be_proven_have_a_bound():
    """Forty parts of two values with four spare: either proven, or a bound that is not above what was found."""
    rng = np.random.default_rng(3)
    values = {f"p{n}": (Q(float(a), "dB"), Q(float(b), "deg")) for n, (a, b) in enumerate(rng.normal(size=(40, 2)))}
    found = wb.matched_sets(values, 4, 9, ("0.1 dB", "1 deg"))
    assert found.bound <= found.spread.max()
    assert found.proven == (found.bound == found.spread.max())
    assert found.spread.max() < found.unsorted_spread


def test_sets_without_a_number_use_as_many_parts_as_there_are():
    found = wb.matched_sets(labelled([1, 2, 3, 4, 5, 9, 10]), 3)
    assert len(found.sets) == 2
    assert len(found.spares) == 1


@pytest.mark.parametrize(
    ("values", "size", "extra", "words"),
    [
        ({"a": "1 uH", "b": "2 ohm"}, 2, {}, "values"),
        ({"a": "1 uH", "b": 2}, 2, {}, "bare value"),
        ({"a": "1 uH", "b": "2 uH"}, 3, {}, "2 parts"),
        ({"a": "1 uH", "b": "2 uH"}, 2, {"sets": 2}, "2 parts"),
        ({"a": "1 uH", "b": ("2 uH", "3 dB")}, 2, {}, "different numbers"),
        ({"a": ("1 dB", "2 deg"), "b": ("1 dB", "3 deg")}, 2, {}, "scales"),
        ({"a": ("1 dB", "2 deg"), "b": ("1 dB", "3 deg")}, 2, {"scales": ("1 dB",)}, "2, one for each"),
        ({"a": ("1 dB", "2 deg"), "b": ("1 dB", "3 deg")}, 2, {"scales": ("1 dB", "1 dB")}, "scales"),
        ({}, 2, {}, "a value for each label"),
        (["1 uH", "2 uH"], 2, {}, "a value for each label"),
        ({"a": "1 uH", "b": "2 uH"}, 1, {}, "set_size"),
    ],
)
def test_what_cannot_be_sorted_is_refused(values, size, extra, words, refused):
    refused(lambda: wb.matched_sets(values, size, **extra), words)


def test_pairs_that_cannot_be_made_are_refused(refused):
    refused(lambda: wb.matched_pairs_in_series({"a": "1 uH", "b": "2 uH"}, 2), "2 parts")
    refused(lambda: wb.matched_pairs_in_series({"a": ("1 uH", "1 ohm"), "b": ("2 uH", "1 ohm")}, 1), "one of each")
