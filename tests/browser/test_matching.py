"""The worksheet *75 to 50 ohms* in a real browser: each control moves numbers and drawing, only the button writes."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "06-75-to-50-ohms"
PLACES = (".results",)
OVERLAY, DETAIL = 0, 1


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "75 to 50 ohm on 160 m, 80 m")
    sheet.wait_text("svg text", "75 to 50 ohm: 6 matches")
    sheet.wait_text("svg text", "place 1 of 6")
    sheet.wait_run()


def changes(sheet: Sheet, act, *pictures: int) -> None:
    """Do something to a control; a number and the pictures told, both if none, must become others."""
    sheet.moves(act, *(pictures or (OVERLAY, DETAIL)), places=PLACES)


def test_every_control_moves_numbers_and_pictures_and_only_the_button_writes(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        for control, count in (("swr", 4), ("core-q", 4), ("winding-q", 4)):
            changes(sheet, lambda control=control, count=count: sheet.press(control, "ArrowRight", count))
        changes(sheet, lambda: sheet.press("loss", "ArrowRight", 20), OVERLAY)
        sheet.wait_text(".swr .widget-readout", "1.40")
        changes(sheet, lambda: sheet.press("coupling", "ArrowLeft", 4))
        sheet.wait_text(".coupling .widget-readout", "99.60")
        changes(sheet, lambda: sheet.press("turns", "Home"))
        changes(sheet, lambda: sheet.press("turns", "PageUp"), OVERLAY)
        changes(sheet, lambda: sheet.type_in("inductance", "900 nH"))
        changes(sheet, lambda: sheet.choose("core", "MnZn ferrite, µi 2000, 12.7 mm ring: 1,220 nH"))
        sheet.wait_text(".coupling .widget-readout", "99.90")
        changes(sheet, lambda: sheet.choose("way", "minimum-loss pad"))
        sheet.wait_text("svg text", "strong: minimum-loss pad")
        changes(sheet, lambda: sheet.choose("pad", "exact"))
        sheet.wait_text(".results", "43.301 ohm")
        changes(sheet, lambda: sheet.choose("pad", "E24"))
        sheet.wait_text(".results", "43 ohm")
        changes(sheet, lambda: sheet.press("run", "ArrowRight", 10), OVERLAY)
        changes(sheet, lambda: sheet.choose("picture", "no matching: loss with length"), DETAIL)
        sheet.wait_text("svg text", "now 5 m")
        changes(sheet, lambda: sheet.choose("run-cable", "series-6-copper"))
        changes(sheet, lambda: sheet.click("band-40-m"))
        changes(sheet, lambda: sheet.type_in("range", "5 to 5.5"))
        sheet.wait_text("svg text", "5 to 5.5 MHz")
        for control, text in (
            ("source", "72"),
            ("source-reactance", "5"),
            ("load", "60 ohm"),
            ("load-reactance", "-8"),
        ):
            changes(sheet, lambda control=control, text=text: sheet.type_in(control, text))
        sheet.wait_text("svg text", "72 + j5 to 60 − j8 ohm")
        changes(sheet, lambda: sheet.click("cable-rg-213-solid-pe"), OVERLAY)
        changes(sheet, lambda: sheet.click("all-cables"), OVERLAY)
        changes(sheet, lambda: sheet.click("usual-cables"), OVERLAY)
        assert files(folder) == before
        sheet.click("put")
        sheet.wait_text(".in-design .refused", "resistances only")
        assert files(folder) == before
        changes(sheet, lambda: sheet.type_in("source-reactance", "0"))
        changes(sheet, lambda: sheet.type_in("load-reactance", "0"))
        sheet.click("put")
        saved = "saved; on the file's own bands (160 m, 80 m), minimum-loss pad, E24 resistors"
        sheet.wait_text(".in-design .done", saved)
        assert 'way = "minimum-loss pad, E24 resistors"' in (folder / "heron-fen-ring.toml").read_text()
        changes(sheet, lambda: sheet.type_in("source", "90"))
        changes(sheet, lambda: sheet.click("take"))
        sheet.wait_text("svg text", "72 to 60 ohm")
        sheet.type_in("file", "my-pad.s2p")
        sheet.click("write")
        sheet.wait_text(".written .done", "my-pad.s2p: written")
        sheet.click("write")
        sheet.wait_text(".written .refused", "is there already")
    assert set(files(folder)) == {*before, "my-pad.s2p"}
    assert "two ports of 50 ohm" in (folder / "my-pad.s2p").read_text()


def test_what_cannot_be_is_answered_in_words(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        numbers = sheet.said(*PLACES)
        sheet.type_in("source", "-75")
        sheet.wait_text(".status .refused", "above 0")
        assert sheet.said(*PLACES) == numbers
        sheet.type_in("source", "75")
        sheet.page.wait_for_function("() => !document.querySelector('.status .refused')")
        changes(sheet, lambda: sheet.type_in("load", "450"))
        sheet.wait_text(".results", "the nearest being")
        sheet.choose("way", "twelfth-wave pair")
        sheet.wait_text(".results .refused", "cannot match 75 to 450 ohm")


@pytest.mark.parametrize(("theme", "width"), [("dark", 390), ("light", 1280)])
def test_nothing_scrolls_sideways_and_the_pictures_can_be_read(folder, worksheet, theme, width):
    with worksheet(SHEET, theme=theme, width=width, height=800) as sheet:
        ready(sheet)
        changes(sheet, lambda: sheet.choose("way", "quarter-wave line"))
        changes(sheet, lambda: sheet.type_in("load", "450"))
        sheet.type_in("range", "nonsense")
        sheet.wait_text(".status .refused", "not two frequencies")
        sheet.check_readable(theme)
