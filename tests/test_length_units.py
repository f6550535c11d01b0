"""Lengths in metres, in feet, or in both: what a builder chose stands alone on everything that is printed."""

import csv
import html
import re

import pytest
from length_words import feet, metric

import workbook as wb
from workbook.cli import main
from workbook.files import shipped
from workbook.formatting import LengthUnits
from workbook.report.files import write_sheets
from workbook.report.sheets import build_sheet, labels
from workbook.tables.buy import buy_table
from workbook.tables.cuts import spreadsheet
from workbook.tables.reels import cutting_table
from workbook.tables.summary import summary_text

BANDS = ("160 m", "80 m", "40 m")


def printed(design):
    """Everything that a plan prints, without tags: sheets, what a terminal shows, spreadsheets."""
    plan = design.plan()
    sheets = re.sub(r"<style.*?</style>|<[^>]+>", " ", build_sheet(plan, full=True) + labels(plan), flags=re.DOTALL)
    # what sources of cables say
    sheets = html.unescape(re.sub(r"Not known about these cables.*?Heron", "Heron", sheets, flags=re.DOTALL))
    # names of columns have no spaces
    columns = ", ".join(spreadsheet(plan).headings).replace("_", " ")
    lists = f"{buy_table(plan).csv()}\n{cutting_table(plan.reels, plan.units).csv()}".replace('"', "")
    return f"{sheets}\n{summary_text(plan)}\n{lists}\n{columns}"


@pytest.fixture(params=["ring", "square", "row", "eight"])
def design(request):
    return wb.load_design(shipped("notebooks") / f"heron-fen-{request.param}.toml")


def test_metric_shows_no_feet(design):
    words = printed(design.in_units(LengthUnits.METRIC))
    assert not feet(words, BANDS)
    assert metric(words, BANDS)


def test_feet_show_no_metres(design):
    words = printed(design.in_units(LengthUnits.FEET))
    assert not metric(words, BANDS)
    assert feet(words, BANDS)


@pytest.mark.parametrize(("units", "hidden"), [("feet", metric), ("metric", feet)])
def test_written_files_are_in_one_system(units, hidden, tmp_path):
    design = wb.load_design(shipped("notebooks") / "heron-fen-eight.toml").in_units(units)
    for path in write_sheets(design.plan(), tmp_path / "out"):
        if path.suffix == ".csv":
            assert not hidden(path.read_text().replace("_", " ").replace('"', ""), BANDS), path.name
    # lengths of the spreadsheet are those of the plan; 1 ft = 0.3048 m exactly
    rows = list(csv.DictReader((tmp_path / "out" / "cuts.csv").read_text().splitlines()))
    shown = {float(row["first_cut_ft"]) * 0.3048 if units == "feet" else float(row["first_cut_m"]) for row in rows}
    assert {round(metres, 3) for metres in shown} >= {round(line.first_cut_m, 3) for line in design.plan().delay_lines}


@pytest.mark.parametrize("units", ["both", "feet"])
def test_no_length_begins_with_zero_feet(design, units):
    assert not re.search(r"(?<![\d.])0 ft", printed(design.in_units(units)))


def test_the_file_says_which_units_and_the_sheets_follow(tmp_path):
    file = tmp_path / "array.toml"
    file.write_text('units = "feet"\n' + (shipped("notebooks") / "heron-fen-square.toml").read_text())
    design = wb.load_design(file)
    assert design.plan().units is LengthUnits.FEET
    assert design.plan().to_dict()["units"] == "feet"
    assert not metric(printed(design), BANDS)


def test_unknown_units_are_refused_with_the_known_ones(tmp_path):
    file = tmp_path / "array.toml"
    file.write_text('units = "imperial"\n' + (shipped("notebooks") / "heron-fen-square.toml").read_text())
    with pytest.raises(wb.InputError, match=r"units.*metric"):
        wb.load_design(file)


def test_showing_other_units_changes_no_number_and_is_not_saved(design):
    other = design.in_units("feet")
    assert (other.text, other.sha256) == (design.text, design.sha256)
    assert {**other.plan().to_dict(), "units": "both", "warnings": ()} == {
        **design.plan().to_dict(),
        "units": "both",
        "warnings": (),
    }


@pytest.mark.parametrize(("option", "shown", "hidden"), [("--feet", feet, metric), ("--metric", metric, feet)])
def test_the_command_shows_one_system(option, shown, hidden, tmp_path, capsysbinary):
    file = shipped("notebooks") / "heron-fen-square.toml"
    assert main(["plan", str(file), "--out", str(tmp_path / "out"), option]) == 0
    text = capsysbinary.readouterr().out.decode().split("wrote")[0]
    assert shown(text, BANDS)
    assert not hidden(text, BANDS)
