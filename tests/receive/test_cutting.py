"""Cutting plans against every way there is, and what they must refuse."""

import itertools

import numpy as np
import pytest

import workbook as wb
from workbook.receive import packing
from workbook.receive.packing import Item


def check_plan(plan, pieces, reels, kerf, together=()):
    """Every piece once, nothing cut beyond a reel, groups together; return the total length of opened reels."""
    lengths = {label: wb.Quantity(length).m_as("m") for label, length, *_ in pieces}
    stock = {label: wb.Quantity(length).m_as("m") for label, length, *_ in reels}
    assert sorted(label for cut in plan.cuts for label in cut.pieces) == sorted(lengths)
    assert len({cut.reel for cut in plan.cuts}) == len(plan.cuts)
    for reel, labels in plan.cuts:
        rest = stock[reel] - sum(lengths[label] for label in labels) - kerf * (len(labels) - 1)
        assert labels
        assert abs(rest) < 1e-9 or rest >= kerf - 1e-9
    for group in together:
        members = {label for label, _, own in pieces if own == group}
        assert sum(bool(members & set(cut.pieces)) for cut in plan.cuts) == 1
    opened = sum(stock[cut.reel] for cut in plan.cuts)
    assert plan.waste.m_as("m") == pytest.approx(opened - sum(lengths.values()), abs=1e-8)
    assert plan.opened.m_as("m") == pytest.approx(opened)
    return opened


def brute_force(pieces, reels, kerf, together=()):
    """The least total length of opened reels by trying every assignment; None where nothing fits. Whole numbers."""
    best = None
    for chosen in itertools.product(range(len(reels)), repeat=len(pieces)):
        where = {}
        if any(
            where.setdefault(own, reel) != reel
            for (_, _, own), reel in zip(pieces, chosen, strict=True)
            if own in together
        ):
            continue
        opened = 0
        for reel in set(chosen):
            held = [pieces[n][1] for n in range(len(pieces)) if chosen[n] == reel]
            rest = reels[reel][1] - sum(held) - kerf * (len(held) - 1)
            if rest != 0 and rest < kerf:
                break
            opened += reels[reel][1]
        else:
            best = opened if best is None else min(best, opened)
    return best


@pytest.mark.parametrize("seed", range(40))
def test_plan_opens_as_little_as_any_assignment(refused, seed):
    rng = np.random.default_rng(seed)
    pieces = [(f"p{n}", int(rng.integers(2, 12)), rng.choice(["a", "b", None])) for n in range(rng.integers(3, 7))]
    reels = [(f"r{n}", int(rng.integers(8, 26))) for n in range(rng.integers(2, 4))]
    kerf, together = int(rng.integers(0, 3)), [g for g in ("a",) if any(p[2] == g for p in pieces)]
    rows = [(label, wb.Quantity(length, "m"), own) for label, length, own in pieces]
    stock = [(label, wb.Quantity(length, "m")) for label, length in reels]
    best = brute_force(pieces, reels, kerf, together)
    if best is None:
        refused(lambda: wb.cut_plan(rows, stock, wb.Quantity(kerf, "m"), together))
        return
    plan = wb.cut_plan(rows, stock, wb.Quantity(kerf, "m"), together)
    assert plan.proven
    assert plan.gap == 0
    assert check_plan(plan, rows, stock, kerf, together) == pytest.approx(best)


def first_fit_decreasing(pieces, length):
    rest = []
    for piece in sorted(pieces, reverse=True):
        for n, room in enumerate(rest):
            if piece <= room:
                rest[n] -= piece
                break
        else:
            rest.append(length - piece)
    return len(rest)


def test_plan_saves_a_reel_that_first_fit_decreasing_wastes():
    """Five reels of 100 m are filled; longest first takes six."""
    lengths = [51, 27, 22, 46, 30, 24, 44, 34, 22, 52, 26, 22, 40, 33, 27]
    assert sum(lengths) == 500
    assert first_fit_decreasing(lengths, 100) == 6
    pieces = [(f"p{n}", wb.Quantity(length, "m"), None) for n, length in enumerate(lengths)]
    reels = [(f"r{n}", "100 m") for n in range(6)]
    plan = wb.cut_plan(pieces, reels, "0 m")
    assert len(plan.cuts) == 5
    assert plan.proven
    assert check_plan(plan, pieces, reels, 0) == pytest.approx(500)


def test_last_piece_costs_no_kerf_where_it_ends_at_the_reel_s_end():
    pieces = [("A", "10 m", None), ("B", "9.99 m", None)]
    assert wb.cut_plan(pieces, [("R", "20 m")], "1 cm").cuts == (("R", ("A", "B")),)


def test_a_rest_shorter_than_the_kerf_cannot_be_cut_off(refused):
    refused(lambda: wb.cut_plan([("A", "19.995 m", None)], [("R", "20 m")], "1 cm"), "A", "no reel holds it")
    assert wb.cut_plan([("A", "19.99 m", None)], [("R", "20 m")], "1 cm").waste.m_as("m") == pytest.approx(0.01)
    assert wb.cut_plan([("A", "20 m", None)], [("R", "20 m")], "1 cm").waste.m_as("m") == 0


def test_hundredths_of_a_millimetre_decide(refused):
    """HiGHS works to a millionth of the longest reel; what it takes for a fit is checked in whole nanometres."""
    long = [("A", "60.00001 m", None), ("B", "40 m", None), ("C", "30 m", None)]
    plan = wb.cut_plan(long, [("R", "100 m"), ("S", "90 m"), ("T", "40 m")], "0 m")
    opened = check_plan(plan, long, [("R", "100 m"), ("S", "90 m"), ("T", "40 m")], 0)
    assert opened == pytest.approx(140)
    refused(lambda: wb.cut_plan(long[:2], [("R", "100 m")], "0 m"), "do not fit")


def test_feet_and_inches_that_fill_a_reel_are_seen_to():
    pieces = [(f"p{n}", "8 ft 3 7/16 in", None) for n in range(12)]
    exact = wb.quantity("8 ft 3 7/16 in") * 12 + wb.quantity("1/8 in") * 11
    assert wb.cut_plan(pieces, [("R", exact)], "1/8 in").waste.m_as("inch") == pytest.approx(11 / 8)


def test_what_must_match_comes_from_one_reel():
    pieces = [("A1", "40 m", "A"), ("A2", "40 m", "A"), ("B", "30 m", "B"), ("C", "30 m", None)]
    reels = [("long", "100 m"), ("short", "70 m"), ("other", "70 m")]
    apart = wb.cut_plan(pieces, reels, "0 m")
    both = wb.cut_plan(pieces, reels, "0 m", ("A",))
    assert apart.opened.m_as("m") == 140
    assert both.opened.m_as("m") == 170
    check_plan(both, pieces, reels, 0, ("A",))


def test_order_of_cuts_keeps_groups_side_by_side_and_long_pieces_first():
    pieces = [("x", "5 m", "B"), ("y", "20 m", "A"), ("z", "8 m", "B"), ("w", "6 m", None)]
    assert wb.cut_plan(pieces, [("R", "50 m")], "1 cm").cuts[0].pieces == ("y", "z", "x", "w")


def test_measured_reels_keep_their_velocity_factor():
    plan = wb.cut_plan([("A", "5 m", None)], [("R", "50 m", 0.833)], "0 m")
    assert plan.reels[0].velocity_factor == 0.833


def test_a_time_limit_leaves_a_plan_with_its_gap():
    rng = np.random.default_rng(5)
    pieces = [(f"p{n}", wb.Quantity(float(rng.uniform(9, 40)), "m"), None) for n in range(40)]
    reels = [(f"r{n}", wb.Quantity(float(rng.uniform(150, 305)), "m")) for n in range(8)]
    plan = wb.cut_plan(pieces, reels, "1 cm", time_limit="20 ms")
    opened = check_plan(plan, pieces, reels, 0.01)
    assert plan.proven == (plan.gap == 0)
    assert 0 <= plan.gap < 1
    assert opened >= sum(wb.Quantity(length).m_as("m") for _, length, _ in pieces)


def test_bound_is_a_sum_of_reels():
    assert packing._reachable(101, [50, 60, 70]) == 110
    assert packing._reachable(500, [50, 60, 70]) == 500


def test_an_overfilled_reel_is_cut_off_and_solved_again():
    """Two kinds of item and a reel too short by 20 nm."""
    items = [Item(60_000_000_020, (0,)), Item(40_000_000_000, (1,)), Item(40_000_000_000, (2,))]
    found = packing.pack(items, [100_000_000_000, 100_000_000_000], 0, 5.0)
    assert [sorted(item.length for item in held) for held in found.bins] in (
        [[60_000_000_020], [40_000_000_000] * 2],
        [[40_000_000_000] * 2, [60_000_000_020]],
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.cut_plan([("A", "400 m", None)], [("R", "305 m")], "0 m"), ("'A'", "no reel holds it", "305.000")),
        (lambda: wb.cut_plan([("A", "4 m", "g"), ("B", "4 m", "g")], [("R", "5 m"), ("S", "5 m")], "0 m", ("g",)),
         ("the group 'g'", "together")),
        (lambda: wb.cut_plan([("A", "4 m", None)], [("R", "5 m"), ("R", "6 m")], "0 m"), ("reels", "'R'", "twice")),
        (lambda: wb.cut_plan([("A", "4 m", None)] * 2, [("R", "50 m")], "0 m"), ("pieces", "'A'", "twice")),
        (lambda: wb.cut_plan([("A", "4 m", "g")], [("R", "5 m")], "0 m", ("h",)), ("together", "'h'", "g")),
        (lambda: wb.cut_plan([("A", "4 m", "g")], [("R", "5 m")], "0 m", "g"), ("together",)),
        (lambda: wb.cut_plan([("A", "4 m", None), ("B", "4 m", None)], [("R", "5 m")], "0 m"), ("reels", "do not fit")),
        (lambda: wb.cut_plan([], [("R", "5 m")], "0 m"), ("pieces", "empty")),
        (lambda: wb.cut_plan([("A", 4, None)], [("R", "5 m")], "0 m"), ("pieces[1]",)),
        (lambda: wb.cut_plan([("A",)], [("R", "5 m")], "0 m"), ("pieces[1]",)),
        (lambda: wb.cut_plan([("A", "4 m", None)], [("R", "5 m", 83)], "0 m"), ("reels[1]", "0.83")),
        (lambda: wb.cut_plan([("A", "4 m", None)], [("R", "5 m")], "-1 mm"), ("kerf",)),
        (lambda: wb.cut_plan([("A", "4 m", None)], [("R", "5 m")], "0 m", time_limit="0 s"), ("time_limit",)),
        (lambda: wb.cut_plan(None, [("R", "5 m")], "0 m"), ("pieces",)),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
