"""The worksheet *spacing, directions and pattern* in a real browser: each control moves numbers and both pictures."""

from pathlib import Path

import pytest
from harness import Sheet, worksheet

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "02-spacing-directions-pattern"
PICTURES = "() => [...document.querySelectorAll('.jp-OutputArea svg[role=img]')].map(svg => svg.outerHTML)"
TABLES = "() => document.querySelector('.results').innerText"
CHANGED = f"""([tables, pictures]) => {{
  const now = ({PICTURES})();
  return now.length === 2 && now.every((svg, n) => svg !== pictures[n]) && ({TABLES})() !== tables; }}"""
SECOND = f"before => {{ const now = ({PICTURES})(); return now.length === 2 && now[1] !== before[1]; }}"


def ready(sheet: Sheet) -> None:
    sheet.wait_text("svg text", "Heron Fen ring, aligned: from above")
    sheet.wait_text(".results", "What to expect")
    sheet.wait_run()


def all_change(sheet: Sheet, act) -> None:
    """Do something to a control; the tables and both pictures must become others."""
    before = [sheet.page.evaluate(TABLES), sheet.page.evaluate(PICTURES)]
    act()
    sheet.page.wait_for_function(CHANGED, arg=before)


def slide(sheet: Sheet, *names: str) -> None:
    for name in names:
        value = sheet.readout(name)
        # once only: a second step's answer would be taken for that of what comes next
        all_change(sheet, lambda name=name: sheet.press(name, "ArrowRight"))
        assert sheet.readout(name) != value


def visible(sheet: Sheet, *names: str) -> list[bool]:
    return [sheet.page.locator(f".{name}").is_visible() for name in names]


def designs(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("*.toml")}


def test_every_control_moves_numbers_and_pictures_and_nothing_is_written(folder):
    before = designs(folder)
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        slide(sheet, "across", "spacing", "elevation")
        all_change(sheet, lambda: sheet.press("band", "ArrowRight"))
        all_change(sheet, lambda: sheet.choose("direction", "south-west"))
        all_change(sheet, lambda: sheet.type_in("exact", "150 ft"))
        assert sheet.readout("across") == "45.70"
        all_change(sheet, lambda: sheet.choose("ground", "sea water"))
        all_change(sheet, lambda: sheet.choose("ground", "entered below"))
        slide(sheet, "permittivity", "conductivity")
        assert visible(sheet, "null", "inversion", "gain", "lines", "limited") == [False] * 5
        all_change(sheet, lambda: sheet.choose("rule", "endfire"))
        slide(sheet, "null")
        all_change(sheet, lambda: sheet.choose("inversion", "yes"))
        all_change(sheet, lambda: sheet.choose("rule", "greatest-rdf"))
        slide(sheet, "gain")
        assert designs(folder) == before


def test_fewest_delays_is_searched_and_every_picture_is_shown(folder):
    before = designs(folder)
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("rule", "fewest-delays"))
        sheet.wait_text(".results", "How exact each delay must be")
        all_change(sheet, lambda: sheet.press("lines", "ArrowLeft"))
        all_change(sheet, lambda: sheet.press("lines", "ArrowRight"))
        sheet.press("gain", "End")  # 9 dB, which no wait but none at all can keep
        sheet.wait_text(".status .refused", "no choice of lines keeps it")
        all_change(sheet, lambda: sheet.choose("limited", "no limit"))
        sheet.wait_text(".results", "would ruin this")
        all_change(sheet, lambda: sheet.choose("inversion", "no"))
        for name, title in (
            ("the whole sky", "the whole sky"),
            ("against spacing", "why not closer?"),
            ("against frequency", "over frequency"),
            ("phase of every line", "phase of every line"),
            ("map of two delays", "least RDF"),
            ("from the side", "from the side"),
        ):
            seen = sheet.page.evaluate(PICTURES)
            sheet.choose("picture", name)
            sheet.page.wait_for_function(SECOND, arg=seen)
            sheet.wait_text("svg text", f"fewest-delays: {title}")
        assert designs(folder) == before


def test_a_refusal_is_a_sentence_and_saving_writes_what_was_set(folder):
    before = designs(folder)
    with worksheet(folder, SHEET) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("file", "heron-fen-row.toml"))
        sheet.wait_text("svg text", "Heron Fen row, endfire: from above")
        assert visible(sheet, "null", "inversion") == [True, True]
        sheet.press("null", "Home")
        sheet.press("elevation", "Home")
        sheet.wait_text(".old .refused", "nothing arrives at 0 deg")
        sheet.wait_text(".old", "those of before")
        all_change(sheet, lambda: sheet.choose("file", "heron-fen-ring.toml"))
        assert not sheet.page.locator(".old .refused").count()
        sheet.press("elevation", "ArrowRight", 10)
        sheet.wait_text("svg text", "north, 23 deg up")
        all_change(sheet, lambda: sheet.choose("rule", "endfire"))
        assert designs(folder) == before
        sheet.click("save")
        sheet.wait_text(".status", "saved")
    text = before["heron-fen-ring.toml"].replace(b'elevation = "22 deg"', b'elevation = "23 deg"')
    text = text.replace(b'rule = "aligned" ', b'rule = "endfire" ')
    assert designs(folder) == before | {"heron-fen-ring.toml": text}


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder):
    with worksheet(folder, SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("rule", "fewest-delays"))
        sheet.wait_text(".results", "next 1")
        assert sheet.scroll_width() == 0
        ink = sheet.page.evaluate("() => getComputedStyle(document.querySelector('svg[role=img] text')).fill")
        # light text on the dark theme: all three channels well above the middle
        assert min(int(part) for part in ink.strip("rgba()").split(",")[:3]) > 150
        size = sheet.page.evaluate(
            "() => Math.min(...[...document.querySelectorAll('svg[role=img] text')].map("
            "text => text.getBoundingClientRect().height))"
        )
        assert size > 7
