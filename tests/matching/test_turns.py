"""Turns of a transformer: nearest ratio, fewest turns, by trying everything."""

import fractions
import math

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity


def tried(ratio, most):
    """Exact fractions, every pair: nearest first, then fewest turns."""
    wanted = fractions.Fraction(ratio)
    pairs = [(n, m) for n in range(1, most + 1) for m in range(1, most + 1)]
    return min(pairs, key=lambda pair: (abs(fractions.Fraction(*pair) ** 2 - wanted), sum(pair)))


@pytest.mark.parametrize("most", [2, 3, 4, 5, 7, 12, 30])
@pytest.mark.parametrize(("source", "load"), [(75, 50), (50, 75), (50, 50), (200, 50), (300, 75), (93, 75), (52, 75)])
def test_nearest_ratio_with_fewest_turns(most, source, load):
    turns = wb.transformer_turns(Q(source, "ohm"), Q(load, "ohm"), most)
    assert (turns.source, turns.load) == tried(fractions.Fraction(source, load), most)
    assert turns.impedance_error == pytest.approx((turns.source / turns.load) ** 2 / (source / load) - 1, abs=1e-14)
    assert isinstance(turns.source, int)
    assert isinstance(turns.impedance_error, float)


def test_ties_take_the_fewest_turns():
    # 1 and 4 are both 1.5 away from 2.5; 1 to 1 has fewer turns than 2 to 1
    turns = wb.transformer_turns("125 ohm", "50 ohm", 2)
    assert (turns.source, turns.load) == (1, 1)
    turns = wb.transformer_turns("200 ohm", "50 ohm", 50)
    assert (turns.source, turns.load) == (2, 1)


def test_arrays_broadcast():
    turns = wb.transformer_turns(Q([[75.0], [50.0]], "ohm"), Q([50.0, 75.0, 12.5], "ohm"), 9)
    assert turns.source.shape == turns.load.shape == turns.impedance_error.shape == (2, 3)
    one = wb.transformer_turns("75 ohm", "12.5 ohm", 9)
    assert (turns.source[0, 2], turns.load[0, 2]) == (one.source, one.load)


@pytest.mark.parametrize("most", [0, -1, 201, 2.5, True, None, "5", math.inf])
def test_rejects_non_numbers_of_turns(refused, most):
    refused(lambda: wb.transformer_turns("75 ohm", "50 ohm", most), "most_turns", "whole number from 1 to 200")


def test_a_limit_of_turns_that_is_too_small(refused):
    said = refused(lambda: wb.transformer_turns("450 ohm", "50 ohm", 2), "most_turns", "9", "allow 3 turns")
    assert "up to 4" in said
    assert wb.transformer_turns("450 ohm", "50 ohm", 3).impedance_error == pytest.approx(0, abs=1e-15)
    refused(lambda: wb.transformer_turns("50 ohm", "450 ohm", 2), "most_turns", "allow 3 turns")
    refused(lambda: wb.transformer_turns("75 ohm", "50 ohm", 1), "most_turns", "allow 4 turns")
    refused(lambda: wb.transformer_turns("1 Mohm", "1 ohm", 12), "most_turns", "no winding")
    refused(lambda: wb.transformer_turns(Q([75, 500], "ohm"), "50 ohm", 2), "most_turns", "10")


@pytest.mark.parametrize("ratio", [1.25, 1.5, 1.7, 2.6, 3.3, 7.3, 300.0])
def test_the_limit_that_is_advised_is_the_least_that_works(refused, ratio):
    """With it the nearest ratio leaves an SWR of 1.2 or less, with one turn less it does not."""
    said = refused(lambda: wb.transformer_turns(Q(50 * ratio, "ohm"), "50 ohm", 1), "most_turns")
    least = int(said.partition("allow ")[2].partition(" turns")[0])

    def left(most):
        ratios = [n**2 / m**2 / ratio for n in range(1, most + 1) for m in range(1, most + 1)]
        return min(max(each, 1 / each) for each in ratios)

    assert left(least) <= 1.2 < left(least - 1)
    error = wb.transformer_turns(Q(50 * ratio, "ohm"), "50 ohm", least).impedance_error
    assert max(1 + error, 1 / (1 + error)) <= 1.2


def test_empty_impedances_give_empty_turns():
    assert wb.transformer_turns(Q(np.array([]), "ohm"), "50 ohm", 5).source.shape == (0,)


@pytest.mark.parametrize(
    "bad", ["1e300 ohm", "0.0001 ohm", "0 ohm", "-50 ohm", "50 m", 50, Q(np.inf, "ohm"), Q(50 + 1j, "ohm")]
)
def test_impedances_of_a_transformer_are_resistances(refused, bad):
    refused(lambda: wb.transformer_turns(bad, "50 ohm", 5), "source")
    refused(lambda: wb.transformer_turns("50 ohm", bad, 5), "load")
