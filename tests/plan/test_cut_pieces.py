"""Pieces of a plan for a cutting plan."""

from collections import Counter
from pathlib import Path

import pytest

import workbook as wb

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
RING = wb.load_design(NOTEBOOKS / "heron-fen-ring.toml").plan()
SQUARE = wb.load_design(NOTEBOOKS / "heron-fen-square.toml").plan()


@pytest.mark.parametrize("plan", [RING, SQUARE], ids=["ring", "square"])
def test_pieces_are_those_of_the_plan_s_lines_and_runs(plan):
    names = {line.cable for line in plan.delay_lines} | {plan.element_runs.cable, plan.receiver_run.cable}
    pieces = [piece for name in names for piece in wb.pieces_to_cut(plan, name)]
    sections = plan.match.sections if plan.match else ()
    count = sum(line.count for line in plan.delay_lines) + plan.element_runs.count + 1
    metres = sum(line.count * line.first_cut_m for line in plan.delay_lines)
    metres += plan.element_runs.count * plan.element_runs.first_cut_m + plan.receiver_run.length_m
    metres += sum(part.count * part.first_cut_m for part in sections if part.cable in names)
    assert len(pieces) == count + sum(part.count for part in sections if part.cable in names)
    assert sum(piece.length.m_as("m") for piece in pieces) == pytest.approx(metres)
    assert len({piece.label for piece in pieces}) == len(pieces)


def test_copies_of_a_line_and_the_element_runs_are_groups():
    pieces = wb.pieces_to_cut(RING, RING.delay_lines[0].cable)
    groups = Counter(piece.group for piece in pieces)
    for line in RING.delay_lines:
        assert groups.get(f"line {line.label}", 1) == line.count
    assert groups["element runs"] == RING.element_runs.count


def test_pieces_of_a_plan_fit_a_cutting_plan():
    pieces = wb.pieces_to_cut(SQUARE, SQUARE.element_runs.cable)
    plan = wb.cut_plan(pieces, [("R1", "152 m"), ("R2", "152 m"), ("R3", "305 m")], "5 mm", ("element runs",))
    holding = [cut.reel for cut in plan.cuts if any("element run" in label for label in cut.pieces)]
    assert len(holding) == 1


def test_refuses_a_cable_that_the_plan_does_not_need(refused):
    refused(lambda: wb.pieces_to_cut(RING, "rg-58-solid-pe"), "rg-58-solid-pe", "cable")
    refused(lambda: wb.pieces_to_cut("ring", "rg-58-solid-pe"), "plan")
