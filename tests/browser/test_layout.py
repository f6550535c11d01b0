"""The worksheet *layout and stake-out* in a real browser: each control moves numbers and drawing."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "01-layout-and-stake-out"
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


def changes(sheet: Sheet, act) -> None:
    """Do something to a control; the tables and the drawing must both become others, with every word on it."""
    sheet.moves(act, 0)
    assert sheet.page.evaluate(OFF) == []


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)

        def moves(slider: str) -> None:
            # one step at a time, since what is still under way would pass for the answer to the next
            value = sheet.readout(slider)
            changes(sheet, lambda: sheet.press(slider, "ArrowRight"))
            assert sheet.readout(slider) != value

        for slider in ("count", "diameter", "azimuth", "hub-east", "hub-north"):
            moves(slider)
        # how exact the stakes must be moves none of them
        sheet.retitles(lambda: sheet.press("accept", "ArrowRight"))
        sheet.retitles(lambda: sheet.press("band", "ArrowLeft"))
        changes(sheet, lambda: sheet.type_in("diameter-exact", "138 ft 3 1/2 in"))
        sheet.wait_text(".results", "21.076 m")  # half of 138 ft 3 1/2 in
        sheet.type_in("diameter-exact", "138,5 ft")
        sheet.wait_text(".status .refused", "comma")
        for kind, sizes, gone in (
            ("square", ["side"], "diameter"),
            ("two-row", ["spacing", "width"], "side"),
            ("row", ["spacing"], "width"),
        ):
            changes(sheet, lambda kind=kind: sheet.choose("kind", kind))
            sheet.page.wait_for_selector(f".{gone} .noUi-handle", state="detached")
            for size in sizes:
                moves(size)
                changes(sheet, lambda size=size: sheet.type_in(f"{size}-exact", "60 ft 1 in"))
        sheet.moves(lambda: sheet.choose("stake", "5"), 0, places=())
        sheet.choose("bearings", "declination entered")
        sheet.wait_text(".status .refused", "declination: is blank")
        changes(sheet, lambda: sheet.type_in("declination", "-3"))
        sheet.choose("bearings", "from place and date")
        sheet.wait_text(".status .refused", "latitude: is blank")
        sheet.type_in("latitude", "52.3")
        sheet.wait_text(".status .refused", "longitude: is blank")
        changes(sheet, lambda: sheet.type_in("longitude", "-1.2"))
        changes(sheet, lambda: sheet.type_in("latitude", "-31"))
        changes(sheet, lambda: sheet.type_in("date", "2012-06-01"))
        sheet.type_in("date", "1999-01-01")
        sheet.wait_text(".status .refused", "no magnetic model")
        changes(sheet, lambda: sheet.choose("bearings", "no compass"))
        changes(sheet, lambda: sheet.choose("file", "heron-fen-square.toml"))
        assert (sheet.readout("side"), sheet.readout("azimuth")) == ("24.000 m", "45.00")
        changes(sheet, lambda: sheet.type_in("path", str(folder / "heron-fen-ring.toml")))
        assert files(folder) == before
        changes(sheet, lambda: sheet.press("diameter", "ArrowRight", 10))
        sheet.wait_text("svg text", "47 m across")
        sheet.save(folder, before, "heron-fen-ring.toml", ('diameter = "46 m"', 'diameter = "47 m"'))


def test_a_size_between_the_steps_stays_when_its_slider_is_drawn(folder, worksheet):
    """A slider put at 14.5 by the kernel reports 14.499999999999998, which must not become the size."""
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.choose("kind", "two-row")
        # 46 m / hypot(3, 1)
        sheet.wait_text("svg text", "14.546 m apart")
        changes(sheet, lambda: sheet.press("count", "ArrowRight", 1))
        sheet.wait_text("svg text", "two rows of 5, 14.546 m apart, rows 14.546 m apart")


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        changes(sheet, lambda: sheet.choose("kind", "two-row"))
        sheet.choose("bearings", "declination entered")
        changes(sheet, lambda: sheet.type_in("declination", "12"))
        sheet.check_readable("dark")
