"""The record: what is there stays byte for byte, what cannot be a row is refused, seasons are compared."""

import csv
import datetime

import numpy as np
import pytest

import workbook as wb
from workbook.bench.record import (
    COLUMNS,
    Measurement,
    append_measurements,
    measurement,
    movements,
    read_record,
    record_path,
)

Q = wb.Quantity
SPRING, AUTUMN = datetime.date(2026, 4, 2), datetime.date(2026, 11, 26)


def row(piece="A", hertz=2e6, date=AUTUMN, error=200.0, **extra):
    return Measurement(date, piece, "check frequency", hertz, "Hz", error, **extra)


def test_rows_come_back_as_they_were_written(tmp_path):
    path = record_path(tmp_path / "meadow.toml")
    first = [row(temperature_degc=-3.5, instrument='analyser, "old" one'), row("run 3", 1.9e6, SPRING, None)]
    append_measurements(path, first)
    append_measurements(path, [row("B", 2.5e6)])
    assert read_record(path) == (*first, row("B", 2.5e6))
    # Python's own reader of CSV reads it too
    with path.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert tuple(rows[0]) == COLUMNS
    assert rows[0]["instrument"] == 'analyser, "old" one'


def test_appending_leaves_what_is_there_byte_for_byte(tmp_path):
    path = tmp_path / "a-measurements.csv"
    append_measurements(path, [row()])
    by_hand = path.read_bytes() + b"2026-05-01, B ,check frequency,2.50,MHz,,,by hand"
    path.write_bytes(by_hand)
    append_measurements(path, [row("C")])
    assert path.read_bytes().startswith(by_hand + b"\n")
    assert [one.piece for one in read_record(path)] == ["A", " B ", "C"]


def test_a_write_that_is_cut_short_leaves_the_record_as_it_was(tmp_path, monkeypatch, refused):
    import os

    path = tmp_path / "a-measurements.csv"
    append_measurements(path, [row()])
    before, whole = path.read_bytes(), os.write
    monkeypatch.setattr(os, "write", lambda handle, content: whole(handle, content[:7]))
    refused(lambda: append_measurements(path, [row("B")]), "cannot be written")
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"date,piece\n2026-01-01,A\n", "not a record"),
        (b"", ""),
        (",".join(COLUMNS).encode() + b"\n2026-01-01,A,check frequency,two,Hz,,,\n", "row 2"),
        (",".join(COLUMNS).encode() + b"\n2026-13-01,A,check frequency,2,Hz,,,\n", "row 2"),
        (",".join(COLUMNS).encode() + b"\n2026-01-01,A,check frequency,2\n", "4 cells"),
        (b"\x80\x04\x95\xff\xfe", "not a table of text"),
    ],
)
def test_another_file_is_refused_and_stays_untouched(tmp_path, content, words, refused):
    path = tmp_path / "a-measurements.csv"
    path.write_bytes(content)
    if not words:  # an empty file becomes a record
        append_measurements(path, [row()])
        assert read_record(path) == (row(),)
        return
    refused(lambda: append_measurements(path, [row()]), words)
    assert path.read_bytes() == content


def test_values_of_every_kind_become_rows():
    of_quantity = measurement("A", "loop resistance", Q(3.1, "ohm"), AUTUMN)
    of_measured = measurement("A", "velocity factor", wb.Measured(0.829, 0.001), AUTUMN)
    assert (of_quantity.value, of_quantity.unit, of_quantity.uncertainty) == (3.1, "Ω", None)
    assert (of_measured.value, of_measured.unit, of_measured.uncertainty) == (0.829, "", 0.001)


@pytest.mark.parametrize(
    "wrong",
    [
        {"piece": ""},
        {"what": "two\nlines"},
        {"value": float("nan")},
        {"date": "2026-01-01"},
        {"instrument": "x" * 300},
    ],
)
def test_what_no_row_can_hold_is_refused(wrong, refused):
    good = {"date": AUTUMN, "piece": "A", "what": "check frequency", "value": 2e6, "unit": "Hz"}
    refused(lambda: Measurement(**(good | wrong)))


def test_the_piece_that_moved_apart_from_the_others_is_named():
    """All pieces move by the weather's 0.2 %; one takes up water and falls by 1.5 % more."""
    rng = np.random.default_rng(4)
    pieces = [f"run {n}" for n in range(1, 9)]
    before = {piece: 2e6 * rng.uniform(0.99, 1.01) for piece in pieces}
    after = {
        piece: hertz * (1.002 if piece != "run 6" else 0.987) + rng.normal(0, 200) for piece, hertz in before.items()
    }
    record = [row(piece, hertz, SPRING) for piece, hertz in before.items()]
    record += [row(piece, hertz, AUTUMN) for piece, hertz in after.items()]
    found = movements(record)
    assert [one.now.piece for one in found if one.odd] == ["run 6"]
    assert found[0].now.piece == "run 6"
    assert found[0].common == pytest.approx(0.002, abs=3e-4)


def test_measurements_of_one_season_are_not_compared():
    assert movements([row(date=AUTUMN), row(hertz=2.1e6, date=AUTUMN + datetime.timedelta(days=20))]) == ()
