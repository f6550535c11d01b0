"""The worksheet *layout and stake-out* in a real browser: each control moves numbers and drawing."""

from pathlib import Path

import pytest
from harness import Sheet, worksheet

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "01-layout-and-stake-out"
PICTURE = "() => document.querySelector('.jp-OutputArea svg[role=img]').outerHTML"
TABLES = "() => document.querySelector('.results').innerText"
# any words of the picture that run off it
OFF = """() => {
  const svg = document.querySelector('.jp-OutputArea svg[role=img]'), all = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < all.left - 1 || box.right > all.right + 1 || box.bottom > all.bottom + 1;
  }).map(text => text.textContent);
}"""


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "Stakes from the centre")
    sheet.wait_text("svg text", "Heron Fen ring")
    sheet.wait_run()


def changes(sheet: Sheet, act, *watched: str) -> None:
    """Do something to a control; what is watched, first of all the picture, must become another."""
    before = [(what, sheet.page.evaluate(what)) for what in (PICTURE, *watched)]
    act()
    for what, was in before:
        sheet.page.wait_for_function(f"before => ({what})() !== before", arg=was)
    assert sheet.page.evaluate(OFF) == []


def designs(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("*.toml")}


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written_until_saved(folder):
    before = designs(folder)
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)

        def moves(slider: str, key: str = "ArrowRight") -> None:
            # one step at a time, since what is still under way would pass for the answer to the next
            value = sheet.readout(slider)
            changes(sheet, lambda: sheet.press(slider, key), TABLES)
            assert sheet.readout(slider) != value

        for slider in ("count", "diameter", "azimuth", "hub-east", "hub-north", "accept"):
            moves(slider)
        moves("band", "ArrowLeft")
        changes(sheet, lambda: sheet.type_in("exact-diameter", "138 ft 3 1/2 in"), TABLES)
        sheet.wait_text(".results", "69 ft 1 3/4 in")
        sheet.type_in("exact-diameter", "138,5 ft")
        sheet.wait_text(".status .refused", "comma")
        for kind, sizes, gone in (
            ("square", ["side"], "diameter"),
            ("two-row", ["spacing", "width"], "side"),
            ("row", ["spacing"], "width"),
        ):
            changes(sheet, lambda kind=kind: sheet.choose("kind", kind), TABLES)
            sheet.page.wait_for_selector(f".{gone} .noUi-handle", state="detached")
            for size in sizes:
                moves(size)
                changes(sheet, lambda size=size: sheet.type_in(f"exact-{size}", "60 ft 1 in"), TABLES)
        changes(sheet, lambda: sheet.choose("stake", "5"))
        sheet.choose("bearings", "declination entered")
        sheet.wait_text(".status .refused", "declination: is blank")
        changes(sheet, lambda: sheet.type_in("declination", "-3"), TABLES)
        sheet.choose("bearings", "from place and date")
        sheet.wait_text(".status .refused", "latitude: is blank")
        sheet.type_in("latitude", "52.3")
        sheet.wait_text(".status .refused", "longitude: is blank")
        changes(sheet, lambda: sheet.type_in("longitude", "-1.2"), TABLES)
        changes(sheet, lambda: sheet.type_in("latitude", "-31"), TABLES)
        changes(sheet, lambda: sheet.type_in("date", "2012-06-01"), TABLES)
        sheet.type_in("date", "1999-01-01")
        sheet.wait_text(".status .refused", "no magnetic model")
        changes(sheet, lambda: sheet.choose("bearings", "no compass"), TABLES)
        changes(sheet, lambda: sheet.choose("file", "heron-fen-square.toml"), TABLES)
        assert (sheet.readout("side"), sheet.readout("azimuth")) == ("24.00", "45.00")
        changes(sheet, lambda: sheet.type_in("path", str(folder / "heron-fen-ring.toml")), TABLES)
        assert designs(folder) == before
        changes(sheet, lambda: sheet.press("diameter", "ArrowRight", 10), TABLES)
        sheet.wait_text("svg text", "47 m across")
        assert designs(folder) == before
        sheet.click("save")
        sheet.wait_text(".status", "saved")
    ring = before["heron-fen-ring.toml"].replace(b'diameter = "46 m"', b'diameter = "47 m"')
    assert designs(folder) == before | {"heron-fen-ring.toml": ring}


def test_a_size_between_the_steps_stays_when_its_slider_is_drawn(folder):
    """A slider put at 14.5 by the kernel reports 14.499999999999998, which must not become the size."""
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        sheet.choose("kind", "two-row")
        # 46 m / hypot(3, 1)
        sheet.wait_text("svg text", "14.546 m apart")
        changes(sheet, lambda: sheet.press("count", "ArrowRight", 1), TABLES)
        sheet.wait_text("svg text", "two rows of 5, 14.546 m apart, rows 14.546 m apart")


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder):
    with worksheet(folder, SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        changes(sheet, lambda: sheet.choose("kind", "two-row"), TABLES)
        sheet.choose("bearings", "declination entered")
        changes(sheet, lambda: sheet.type_in("declination", "12"), TABLES)
        assert sheet.scroll_width() == 0
        ink = sheet.page.evaluate("() => getComputedStyle(document.querySelector('svg[role=img] text')).fill")
        # light text on the dark theme: all three channels well above the middle
        assert min(int(part) for part in ink.strip("rgba()").split(",")[:3]) > 150
