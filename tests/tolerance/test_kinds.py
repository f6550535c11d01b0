"""A tolerance, and what is refused of it."""

import pytest

import workbook as wb
from workbook.tolerance.kinds import UNITS


@pytest.mark.parametrize("what", UNITS)
@pytest.mark.parametrize("kind", ["normal", "uniform", "triangular"])
def test_every_kind_takes_every_distribution(what, kind):
    value = wb.Quantity(0.01, UNITS[what]) if UNITS[what] else 0.01
    tolerance = wb.Tolerance(what, kind, standard_uncertainty=value)
    assert tolerance.deviation == pytest.approx(0.01)
    assert tolerance.uncertainty == value


@pytest.mark.parametrize(("kind", "ratio"), [("uniform", 3**0.5), ("triangular", 6**0.5)])
def test_half_width_gives_the_standard_uncertainty(kind, ratio):
    tolerance = wb.Tolerance("position", kind, half_width="3 in")
    assert tolerance.uncertainty.m_as("inch") == pytest.approx(3 / ratio)
    assert tolerance.half_width.m_as("inch") == pytest.approx(3)


def test_scaling_multiplies_the_spread_as_it_was_given():
    half = wb.Tolerance("cut length", "uniform", half_width="1 cm", shared="reel").scaled(2)
    assert half.half_width.m_as("cm") == pytest.approx(2)
    assert half.standard_uncertainty is None
    assert half.shared == "reel"
    assert wb.Tolerance("amplitude", "normal", standard_uncertainty=0.01).scaled(3).standard_uncertainty == 0.03


REFUSED = [
    ({"what": "velocity factors"}, "what", "velocity factor"),
    ({"kind": "gaussian"}, "kind", "known are"),
    ({"shared": "batch"}, "shared", "each"),
    ({"half_width": None}, "spread is missing"),
    ({"standard_uncertainty": "1 cm"}, "both spreads"),
    ({"half_width": "0 cm"}, "half_width", "not above zero", "leave the tolerance out"),
    ({"half_width": "-1 cm"}, "not above zero", "leave the tolerance out"),
    ({"half_width": 0.01}, "half_width", "bare"),
    ({"half_width": "1 ns"}, "half_width", "m is wanted"),
    ({"half_width": wb.Quantity([1, 2], "cm")}, "half_width", "one value"),
    ({"kind": "normal"}, "normal", "standard_uncertainty"),
    ({"what": "amplitude"}, "plain relative number"),
    ({"what": "amplitude", "half_width": 0}, "not above zero", "leave the tolerance out"),
    ({"what": "amplitude", "half_width": -0.1}, "not above zero"),
    ({"what": "velocity factor", "half_width": 2}, "per cent", "0.02"),
    ({"what": "velocity factor", "half_width": True}, "plain relative number"),
    ({"what": "velocity factor", "half_width": float("nan")}, "plain relative number"),
]


@pytest.mark.parametrize(("changed", "words"), [(row[0], row[1:]) for row in REFUSED], ids=[str(r[0]) for r in REFUSED])
def test_refuses_what_is_not_a_tolerance(refused, changed, words):
    arguments = {"what": "cut length", "kind": "uniform", "half_width": "1 cm"} | changed
    refused(lambda: wb.Tolerance(**arguments), *words)


def test_equal_tolerances_are_equal_and_hash_alike():
    one, other = (wb.Tolerance("cut length", "uniform", half_width="1 cm") for _ in range(2))
    assert one == other
    assert hash(one) == hash(other)
