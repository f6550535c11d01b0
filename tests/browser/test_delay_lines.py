"""The worksheet *delay lines for a design* in a real browser: each control moves numbers and drawing."""

from pathlib import Path

import pytest
from harness import Sheet, worksheet

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "03-delay-lines"
PICTURES = "() => [...document.querySelectorAll('.jp-OutputArea svg[role=img]')].map(svg => svg.outerHTML)"
CHANGED = f"before => {{ const now = ({PICTURES})(); return now.length === 2 && now[0] !== before[0]; }}"
TABLES = "() => document.querySelector('.results').innerText"
NUMBERS = f"before => ({TABLES})() !== before"


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "cut list")
    sheet.wait_text("svg text", "Heron Fen ring")
    sheet.wait_run()


def both_change(sheet: Sheet, act) -> None:
    """Do something to a control; a number in the tables and the drawing must both become others."""
    tables, pictures = sheet.page.evaluate(TABLES), sheet.page.evaluate(PICTURES)
    act()
    sheet.page.wait_for_function(NUMBERS, arg=tables)
    sheet.page.wait_for_function(CHANGED, arg=pictures)


def designs(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("*.toml")}


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written_until_saved(folder):
    before = designs(folder)
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        both_change(sheet, lambda: sheet.press("band", "ArrowRight"))
        both_change(sheet, lambda: sheet.choose("cable", "series-11-copper"))
        for slider in ("across", "spacing", "elevation"):
            value = sheet.readout(slider)
            both_change(sheet, lambda slider=slider: sheet.press(slider, "ArrowRight", 5))
            assert sheet.readout(slider) != value
        both_change(sheet, lambda: sheet.choose("direction", "south-west"))
        both_change(sheet, lambda: sheet.choose("file", "heron-fen-square.toml"))
        sheet.wait_text("svg text", "Heron Fen square")
        # a slider whose range changed under it would answer with a value of its own
        assert (sheet.readout("spacing"), sheet.readout("across")) == ("24.00", "33.90")
        both_change(sheet, lambda: sheet.type_in("path", str(folder / "heron-fen-ring.toml")))
        sheet.wait_text("svg text", "Heron Fen ring")
        sheet.type_in("measured-D", "1.70 MHz")
        sheet.wait_text(".advice-D", "cut off")
        sheet.type_in("measured-D", "1.7O MHz")
        sheet.wait_text(".advice-D", "cannot be read")
        assert designs(folder) == before
        both_change(sheet, lambda: sheet.press("elevation", "ArrowRight", 10))
        # the last of many quick moves may still be on its way
        sheet.wait_text("svg text", "23 deg elevation")
        assert designs(folder) == before
        sheet.click("save")
        sheet.wait_text(".status", "saved")
    ring = before["heron-fen-ring.toml"].replace(b'elevation = "22 deg"', b'elevation = "23 deg"')
    assert designs(folder) == before | {"heron-fen-ring.toml": ring}


def test_a_wrong_path_is_answered_in_place(folder):
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        sheet.type_in("path", "barn.toml")
        sheet.wait_text(".status .refused", "barn.toml")
        assert "Heron Fen ring" in sheet.page.evaluate(TABLES)


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder):
    with worksheet(folder, SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        assert sheet.scroll_width() == 0
        ink = sheet.page.evaluate("() => getComputedStyle(document.querySelector('svg[role=img] text')).fill")
        # light text on the dark theme: all three channels well above the middle
        assert min(int(part) for part in ink.strip("rgba()").split(",")[:3]) > 150
