"""The build sheet prints what was measured beside the plan, and without measurements nothing of it."""

import datetime

import workbook as wb
from workbook.bench.record import Measurement, append_measurements, record_path
from workbook.cli import main
from workbook.files import shipped
from workbook.report.sheets import build_sheet
from workbook.tables.record import measured_table, movement_sentences


def record(date=datetime.date(2026, 11, 26), share=1.0):
    values = {"A": 2.1e6, "run 3": 1.95e6}
    return tuple(Measurement(date, piece, "check frequency", hz * share, "Hz", 100.0) for piece, hz in values.items())


def test_measured_pieces_stand_beside_the_plan():
    plan = wb.load_design(shipped("notebooks") / "heron-fen-square.toml").plan()
    table = measured_table(plan, record())
    assert table.rows[0][1:3] == (f"{plan.line('A').check.frequency_hz / 1e6:.4f}", "2.1000")
    assert table.rows[1][1] == f"{plan.element_runs.check.frequency_hz / 1e6:.4f}"
    assert "Measured so far" in build_sheet(plan, record=record())
    assert "Measured so far" not in build_sheet(plan)


def test_seasons_are_compared_in_words():
    spring = record(datetime.date(2026, 4, 1))
    (calm,) = movement_sentences((*spring, *record(share=1.001)))
    assert "+0.10 %" in calm
    assert "nothing needs to be done" in calm


def test_the_command_prints_the_record_that_lies_beside_the_design(tmp_path):
    design = tmp_path / "meadow.toml"
    design.write_bytes((shipped("notebooks") / "heron-fen-square.toml").read_bytes())
    append_measurements(record_path(design), record())
    main(["plan", str(design), "--out", str(tmp_path / "sheets")])
    assert "Measured so far" in (tmp_path / "sheets" / "build-sheet.html").read_text()
