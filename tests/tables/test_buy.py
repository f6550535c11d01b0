"""What to buy: counted from the plan, by hand."""

import csv
import io

import pytest

import workbook as wb
from workbook.files import demo, shipped
from workbook.tables.buy import buy_table, to_cut


def rows(name, **changes):
    design = wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml")
    plan = design.changed({tuple(key.split("__")): value for key, value in changes.items()}).plan()
    return plan, {what: (much, why) for what, much, why, *_ in buy_table(plan).rows}


def test_cable_has_a_tenth_spare_rounded_up_and_two_connectors_a_piece():
    plan, found = rows("ring")
    assert {total.cable for total in plan.totals} == {"series-6-copper", "series-11-clad"}
    for total in plan.totals:
        much, why = found[total.cable]
        metres = float(much.split()[0])
        # by hand: the totals count the runs without what is trimmed off each
        trims = plan.element_runs.count * plan.trim_m if total.cable == plan.element_runs.cable else 0.0
        needed = (total.length_m + trims) * 1.1
        assert needed - 1e-6 <= metres < needed + 1
        assert metres == int(metres)
        assert why == f"{total.pieces} piece{'' if total.pieces == 1 else 's'}, first cuts and 10% spare"
        assert found[f"connector for {total.cable}"][0] == str(2 * total.pieces)


@pytest.mark.parametrize("name", ["ring", "row", "square", "eight"])
def test_what_is_needed_is_enough_for_all_pieces_of_the_cutting_plan(name):
    """The pieces of the cutting plan summed up cable by cable, as someone with a tape would."""
    plan = wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml").plan()
    for total in to_cut(plan):
        pieces = wb.pieces_to_cut(plan, total.cable)
        assert total.length_m == pytest.approx(sum(piece.length.m_as("m") for piece in pieces), abs=1e-9)
        assert total.pieces == len(pieces)


def test_the_hub_of_the_demo_has_combiners_inverting_transformers_and_their_cores():
    """Two lines, one of them straight and reversed: three pieces of line, eight runs, one run to the receiver."""
    plan = wb.load_design(demo()).plan()
    own = next(option for option in plan.hub_options if option.kind == "joined")
    found = {what: much for what, much, *_ in buy_table(plan).rows}
    assert found["connector for series-6-copper"] == str(2 * (3 + 8))
    assert found["connector for series-11-clad"] == "2"
    combiners = {what: int(much) for what, much in found.items() if what.startswith("combiner")}
    assert combiners == {f"combiner with {n} inputs": own.combiner_inputs.count(n) for n in set(own.combiner_inputs)}
    assert own.inverting_transformers > 0
    assert found["inverting transformer 1:1"] == found["transformer core"] == str(own.inverting_transformers)


def test_an_aligned_array_needs_no_transformer():
    assert not [what for what in rows("square")[1] if "transformer" in what]


def test_parts_of_the_match_are_bought_too():
    plan, found = rows("row", match__way="wideband transformer")
    assert any(part.unit == "turns" for part in plan.match.components)
    own = next(option for option in plan.hub_options if option.kind == "ladder")
    assert found["transformer core"] == (str(own.inverting_transformers + 1), "inverting transformers and match")


def test_lines_that_are_there_are_not_bought():
    _, found = rows("ring", hub__lines=["40 ns", "110 ns"])
    assert found["connector for series-6-copper"][0] == "16"


@pytest.mark.parametrize("name", ["ring", "row", "square", "eight"])
def test_the_list_is_csv_with_three_columns_and_the_cost_where_there_are_prices(name):
    plan, _ = rows(name)
    lines = list(csv.reader(io.StringIO(buy_table(plan).csv())))
    cost = [each for each in lines[0] if each.startswith("cost")]
    assert lines[0] == ["what", "how much", "for", *cost]
    assert bool(cost) == bool(wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml").content.prices)
    assert all(len(line) == len(lines[0]) for line in lines)
