"""Stake-out against plane geometry."""

import pytest

import workbook as wb

Q = wb.Quantity
OCTAGON = "plane geometry of a regular octagon of radius R"


# --- chords -----------------------------------------------------------------------------------------------


def test_chords_of_the_octagon(assert_printed):
    """Side 0.76537 R, next chord 1.41421 R, then 1.84776 R and 2 R."""
    found = wb.stake_out(wb.ring(8, "42 m", "0 deg")).distances
    printed = {"0.76537": ("neighbour", 8), "1.41421": ("diagonal", 8), "1.84776": ("diagonal", 8)}
    printed |= {"2.00000": ("across", 4)}
    for each, (chord, (kind, pairs)) in zip(found, printed.items(), strict=True):
        assert_printed(each.length_m / 21, chord, source=OCTAGON)
        assert (each.kind, len(each.pairs)) == (kind, pairs)


def test_sides_and_diagonals_of_a_square(assert_printed):
    side, diagonal = wb.stake_out(wb.square("24 m", "45 deg")).distances
    assert_printed(side.length_m, "24.000", source="square of 24 m")
    assert side.pairs == ((1, 2), (1, 4), (2, 3), (3, 4))
    assert_printed(diagonal.length_m, "33.941", source="diagonal of a square of 24 m, 24 sqrt 2")
    assert (diagonal.kind, diagonal.pairs) == ("across", ((1, 3), (2, 4)))


def test_two_tapes_at_a_right_angle(assert_printed):
    """Tapes of 3 and 4 over a base of 5: an inch on each moves the stake by the diagonal of a square inch."""
    out = wb.stake_out(wb.layout_from(Q([[5, 0], [1.8, 2.4]], "m")))
    assert [tape.length_m for tape in out.fixes[1].tapes] == pytest.approx([3, 4])
    for tape in out.fixes[1].tapes:
        assert_printed(tape.place_error_m / 0.0254, "1.414214", source="diagonal of a square")
