"""Where elements stand: ring, square, row, two rows, or as entered."""

import dataclasses
import functools
import math

import numpy as np
import pint
import pytest

import workbook as wb

Q = wb.Quantity


def metres(layout):
    return layout.positions.m_as("m")


def test_a_ring_goes_clockwise_from_its_first_azimuth():
    assert metres(wb.ring(4, "20 m", "0 deg")) == pytest.approx(np.array([[0, 10], [10, 0], [0, -10], [-10, 0]]))
    assert metres(wb.ring(4, "20 m", "90 deg"))[0] == pytest.approx([10, 0])
    assert metres(wb.ring(2, "20 m", "-90 deg")) == pytest.approx(np.array([[-10, 0], [10, 0]]))
    half = 10 * math.sqrt(3) / 2
    assert metres(wb.ring(3, "20 m", "0 deg")) == pytest.approx(np.array([[0, 10], [half, -5], [-half, -5]]))


def test_a_square_has_its_first_corner_at_the_azimuth():
    assert metres(wb.square("24 m", "45 deg")) == pytest.approx(np.array([[12, 12], [12, -12], [-12, -12], [-12, 12]]))
    across = 12 * math.sqrt(2)
    assert metres(wb.square("24 m", "0 deg")) == pytest.approx(
        np.array([[0, across], [across, 0], [0, -across], [-across, 0]])
    )


def test_a_row_begins_at_the_end_nearest_to_its_azimuth():
    assert metres(wb.row(3, "20 m", "0 deg")) == pytest.approx(np.array([[0, 20], [0, 0], [0, -20]]))
    assert metres(wb.row(2, "20 m", "90 deg")) == pytest.approx(np.array([[10, 0], [-10, 0]]))
    assert metres(wb.row(4, "1 m", "180 deg"))[:, 1] == pytest.approx([-1.5, -0.5, 0.5, 1.5])


def test_two_rows_begin_on_the_left_at_the_end_nearest_to_their_azimuth():
    north = [[-4, 10], [-4, 0], [-4, -10], [4, 10], [4, 0], [4, -10]]
    assert metres(wb.two_rows(3, "10 m", "8 m", "0 deg")) == pytest.approx(np.array(north))
    east = [[5, 2], [-5, 2], [5, -2], [-5, -2]]
    assert metres(wb.two_rows(2, "10 m", "4 m", "90 deg")) == pytest.approx(np.array(east))
    # each row alone is the row of that azimuth, moved aside by half the width
    both, one = metres(wb.two_rows(5, "7 m", "11 m", "37 deg")), metres(wb.row(5, "7 m", "37 deg"))
    assert (both[:5] + both[5:]) / 2 == pytest.approx(one)
    assert np.linalg.norm(both[:5] - both[5:], axis=1) == pytest.approx(11)


def test_entered_positions_stay_as_they_are():
    positions = Q([[0, 0], [3, 4], [-1, 2]], "ft")
    layout = wb.layout_from(positions)
    assert metres(layout) == pytest.approx(np.array([[0, 0], [3, 4], [-1, 2]]) * 0.3048)
    assert layout.count == 3
    assert layout.positions.units == Q(1, "m").units
    assert metres(wb.layout_from(Q([[0.0, 0.0], [0.0, 0.02]], "m"))).shape == (2, 2)


@pytest.mark.parametrize("count", [2, 3, 5, 24])
def test_rings_and_rows_are_centred(count):
    pairs = wb.two_rows(min(count, 12), "7 m", "3 m", "200 deg")
    for layout in (wb.ring(count, "30 m", "17 deg"), wb.row(count, "7 m", "200 deg"), wb.square("9 m", "5 deg"), pairs):
        assert metres(layout).mean(axis=0) == pytest.approx([0, 0], abs=1e-12)
        assert layout.count == len(metres(layout))


def test_units_and_texts_are_all_the_same():
    one = metres(wb.ring(6, "42 m", "30 deg"))
    for other in (
        wb.ring(6, Q(42, "m"), Q(30, "degree")),
        wb.ring(6, "137 ft 9 9/16 in", "0.52359877559829887 rad"),
        wb.ring(np.int64(6), Q(np.array(4200), "cm"), Q(1 / 12, "turn")),
    ):
        assert metres(other) == pytest.approx(one, abs=1e-3)


def test_a_layout_cannot_be_changed():
    layout = wb.square("24 m", "0 deg")
    with pytest.raises(dataclasses.FrozenInstanceError):
        layout.metres = None
    positions = layout.positions
    positions[0, 0] = Q(99, "m")
    assert metres(layout)[0, 0] != 99
    own = np.array([[0.0, 0.0], [1.0, 1.0]])
    entered = wb.layout_from(Q(own, "m"))
    own[0, 0] = 7
    assert metres(entered)[0, 0] == 0


COUNTS = (0, 1, -2, 25, 2.0, 4.5, "4", None, True, [4], math.nan, np.array([4, 5]))
SIZES = ("0 m", "-1 m", 20, 20.0, "20", "20 MHz", None, Q(math.nan, "m"), Q(math.inf, "m"), Q([20, 21], "m"), Q(20, ""))
SIZES += (Q(1j, "m"), "10,5 m", pint.UnitRegistry().Quantity(20, "m"), np.arange(4000.0), Q([20], "m"))
AZIMUTHS = (0, 45.0, "45", "45 m", None, Q(1, ""), Q(math.nan, "deg"), Q(math.inf, "deg"), Q([0, 1], "deg"), "5 %")
CALLS = {
    "ring": (wb.ring, {"count": 4, "diameter": "20 m", "first_azimuth": "0 deg"}),
    "square": (wb.square, {"side": "20 m", "first_azimuth": "0 deg"}),
    "row": (wb.row, {"count": 4, "spacing": "20 m", "azimuth": "0 deg"}),
    "two_rows": (wb.two_rows, {"count": 4, "spacing": "20 m", "width": "9 m", "azimuth": "0 deg"}),
    "layout_from": (wb.layout_from, {"positions": Q([[0, 0], [1, 1]], "m")}),
}
BAD = {
    "count": COUNTS,
    "diameter": SIZES,
    "side": SIZES,
    "spacing": SIZES,
    "width": SIZES,
    "azimuth": AZIMUTHS,
    "first_azimuth": AZIMUTHS,
    "positions": (
        [[0, 0], [1, 1]],
        [["0 m", "0 m"], ["1 m", "1 m"]],
        "5 m",
        None,
        Q([[0, 0], [1, 1]], "MHz"),
        Q(np.empty((0, 2)), "m"),
        Q([], "m"),
        Q([0, 1], "m"),
        Q(5, "m"),
        Q(np.arange(9.0).reshape(3, 3), "m"),
        Q(np.arange(8.0).reshape(2, 2, 2), "m"),
        Q(np.arange(130.0).reshape(65, 2), "m"),
        Q([[0, math.nan], [1, 1]], "m"),
        Q([[0, math.inf], [1, 1]], "m"),
        Q([[0, 1j], [1, 1]], "m"),
    ),
}


@pytest.mark.parametrize(("function", "argument"), [(f, a) for f, (_, given) in CALLS.items() for a in given])
def test_every_argument_is_checked(refused, function, argument):
    call, given = CALLS[function]
    call(**given)
    wrong = []
    for value in BAD[argument]:
        changed = {**given, argument: value}
        try:
            refused(functools.partial(call, **changed), argument)
        except (Exception, pytest.fail.Exception) as error:
            wrong.append(f"{value!r:.60}: {type(error).__name__}: {error!s:.120}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    "call",
    [
        lambda: wb.layout_from(Q([[0, 0], [5, 5], [0, 0]], "m")),
        lambda: wb.layout_from(Q([[0, 0], [5, 5], [0, 0.009]], "m")),
    ],
)
def test_elements_in_one_place_are_named(refused, call):
    refused(call, "elements 1 and 3", "positions")


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: wb.ring(24, "5 cm", "0 deg"), "diameter"),
        (lambda: wb.square("5 mm", "0 deg"), "side"),
        (lambda: wb.row(2, "5 mm", "0 deg"), "spacing"),
        (lambda: wb.two_rows(2, "5 mm", "9 m", "0 deg"), "spacing"),
        (lambda: wb.two_rows(2, "9 m", "5 mm", "0 deg"), "width"),
    ],
)
def test_an_array_as_small_as_a_post_is_refused(refused, call, word):
    refused(call, "elements", "same place", word)


def test_two_rows_have_at_most_twelve_each(refused):
    refused(lambda: wb.two_rows(13, "9 m", "5 m", "0 deg"), "count", "13", "12")


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: wb.ring(4, "1e50 m", "0 deg"), "diameter"),
        (lambda: wb.row(4, "400 Mm", "0 deg"), "spacing"),
        (lambda: wb.layout_from(Q([[0, 0], [3, 1e50]], "m")), "positions"),
    ],
)
def test_an_array_as_wide_as_the_earth_is_refused(refused, call, word):
    refused(call, word, "km", "unit")
