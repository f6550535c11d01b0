"""Lengths in metres, in feet, or in both: what a builder chose stands alone on everything that is printed."""

import re

import pytest

import workbook as wb
from workbook.cli import main
from workbook.files import shipped
from workbook.formatting import LengthUnits
from workbook.report.sheets import build_sheet, labels
from workbook.tables.summary import summary_text

# figures behind the number are a band's name; MHz, mS/m and dB/m are no lengths
METRES = re.compile(r"\d (?:m|mm|cm)\b(?!/)")
FEET = re.compile(r"\d (?:ft|in)\b|\binch|[0-9]\"")


def printed(design):
    """Everything that a plan prints, without tags and the names of bands."""
    plan = design.plan()
    sheets = re.sub(r"<style.*?</style>|<[^>]+>", " ", build_sheet(plan, full=True) + labels(plan), flags=re.DOTALL)
    # what sources of cables say, and how large the labels are on paper
    sheets = re.sub(r"Not known about these cables.*?Heron|Print at 100 %.*?tape\.", "Heron", sheets, flags=re.DOTALL)
    words = f"{sheets}\n{summary_text(plan)}"
    for band in plan.bands:
        words = words.replace(band.name, "band")
    return words


@pytest.fixture(params=["heron-fen-ring.toml", "heron-fen-square.toml", "heron-fen-eight.toml"])
def design(request):
    return wb.load_design(shipped("notebooks") / request.param)


def test_metric_shows_no_feet(design):
    words = printed(design.in_units(LengthUnits.METRIC))
    assert not FEET.findall(words), [words[m.start() - 40 : m.end() + 10] for m in FEET.finditer(words)]
    assert METRES.search(words)


def test_feet_show_no_metres(design):
    words = printed(design.in_units(LengthUnits.FEET))
    assert not METRES.findall(words), [words[m.start() - 40 : m.end() + 10] for m in METRES.finditer(words)]
    assert FEET.search(words)


@pytest.mark.parametrize("units", ["both", "feet"])
def test_no_length_begins_with_zero_feet(design, units):
    assert not re.search(r"(?<![\d.])0 ft", printed(design.in_units(units)))


def test_the_file_says_which_units_and_the_sheets_follow(tmp_path):
    file = tmp_path / "array.toml"
    file.write_text('units = "feet"\n' + (shipped("notebooks") / "heron-fen-square.toml").read_text())
    design = wb.load_design(file)
    assert design.plan().units is LengthUnits.FEET
    assert design.plan().to_dict()["units"] == "feet"
    assert not METRES.findall(printed(design))


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


@pytest.mark.parametrize(("option", "shown", "hidden"), [("--feet", FEET, METRES), ("--metric", METRES, FEET)])
def test_the_command_shows_one_system(option, shown, hidden, tmp_path, capsysbinary):
    file = shipped("notebooks") / "heron-fen-square.toml"
    assert main(["plan", str(file), "--out", str(tmp_path / "out"), option]) == 0
    text = capsysbinary.readouterr().out.decode().split("wrote")[0]
    text = re.sub(r"\b(160|80|40) m\b", "band", text)
    assert shown.search(text)
    assert not hidden.findall(text)
