"""One name for a piece: cut list, readings, labels, lid, drawing and cutting plan call it the same."""

import re

import pytest

import workbook as wb
from workbook.figures.hub import hub_ports
from workbook.files import shipped
from workbook.plan.marks import in_short, marks, piece_marks, reel_mark, used_marks
from workbook.plan.trimming import line_of, piece_names
from workbook.report.sheets import labels, pieces
from workbook.tables.cuts import cut_list, line_count, spreadsheet
from workbook.tables.wiring import lid_table

DEMOS = ("eight", "ring", "square", "row")


@pytest.fixture(params=[(demo, hub) for demo in DEMOS for hub in ("joined", "ports", "ladder")], ids="-".join)
def stages(request):
    demo, kind = request.param
    design = wb.load_design(shipped("notebooks") / f"heron-fen-{demo}.toml")
    return design.changed({("hub", "kind"): kind, ("hub", "summing_impedance"): None}).stages()


def test_every_place_calls_a_piece_the_same(stages):
    names = set(piece_names(stages))
    sections = {mark for number, part in enumerate(stages.match.sections if stages.match else (), 1)
                for mark in marks(f"match {number}", part)}  # fmt: skip
    assert {piece.mark for piece in pieces(stages.plan())} == names | sections
    assert names <= set(re.findall(r"<h2>([^<]+)</h2>", labels(stages.plan())))
    listed = [row[0] for row in cut_list(stages).rows]
    assert listed == [row[-1] for row in spreadsheet(stages).rows]
    assert all(name in listed for name in names if not name[-1].isdigit())
    # in a ladder ports are taps, which have letters of their own
    if not stages.hub_kind.in_series:
        assert {port.piece for port in hub_ports(stages)} - {None} <= names
        cells = {cell.rstrip("-") for row in lid_table(stages).rows for cell in row[2:]}
        assert cells - {"0", "off"} <= names


def test_as_many_pieces_as_elements_need_at_once(stages):
    """No piece carries two elements at once where each has its own; else none but those that are summed before it."""
    for one in stages.directions:
        used = [piece for piece in used_marks(stages, one) if piece]
        if stages.hub_kind.numbers_ports:
            assert len(set(used)) == len(used)
        polarities = {}
        for feed, piece in zip(one.elements, used_marks(stages, one), strict=True):
            if piece and not stages.hub_kind.in_series:
                polarities.setdefault(piece, set()).add(feed.polarity)
        assert stages.hub_kind.numbers_ports or all(len(signs) == 1 for signs in polarities.values())


def test_names_lead_back_to_their_line(stages):
    for name, line in piece_marks(stages).items():
        assert line_of(stages, name) == line
    for line in stages.delay_lines:
        assert line_of(stages, line.label) == line.label
        if line.count > 1:
            # as records were written before
            assert line_of(stages, f"{line.label} 2") == line.label


def test_lines_and_pieces_are_counted_apart(stages):
    lines, total = len(stages.delay_lines), sum(line.count for line in stages.delay_lines)
    assert line_count(stages) == (f"{lines} ({total} pieces)" if total > lines else f"{lines}")


def test_names_in_short():
    assert in_short(["B1", "B2", "A"]) == "B1, B2, A"
    assert in_short(["B1", "B2", "B3", "run 1", "run 2", "run 3", "run 4"]) == "B1 to B3, run 1 to 4"
    assert in_short(["C to B", "B to A", "A to end"]) == "C to B, B to A, A to end"
    assert reel_mark("receiver run") == "receiver run"
    assert reel_mark("matching section 1, 2") == "match 1-2"
