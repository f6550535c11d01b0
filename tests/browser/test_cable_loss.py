"""The worksheet *cable loss* in a real browser: each control moves numbers and drawing, and nothing is written."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "05-cable-loss"
PLACES = (".results",)


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "Loss on every band")
    sheet.wait_text("svg text", "Loss of 30.000 m")
    sheet.wait_run()


def both_change(sheet: Sheet, act) -> None:
    """Do something to a control; a number in the tables and the drawing must both become others."""
    sheet.moves(act, 0, places=PLACES)


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        both_change(sheet, lambda: sheet.press("length", "ArrowRight", 5))
        sheet.wait_text("svg text", "Loss of 32.500 m")
        both_change(sheet, lambda: sheet.type_in("length-exact", "18 ft 3 1/2 in"))
        sheet.wait_text("svg text", "Loss of 5.575 m")
        assert sheet.readout("length") == "5.575 m"
        both_change(sheet, lambda: sheet.type_in("resistance", "50"))
        both_change(sheet, lambda: sheet.type_in("reactance", "-20"))
        sheet.wait_text("svg text", "50 − j20 ohm")
        both_change(sheet, lambda: sheet.press("band", "ArrowRight"))
        both_change(sheet, lambda: sheet.click("cable-trunk-500"))
        both_change(sheet, lambda: sheet.click("cable-trunk-500"))
        both_change(sheet, lambda: _by_keyboard(sheet, "cable-rg-213-solid-pe"))
    assert files(folder) == before


def _by_keyboard(sheet: Sheet, control: str) -> None:
    sheet.page.locator(f".{control} input").focus()
    sheet.page.keyboard.press("Space")


def test_wrong_entries_and_a_seventh_cable_are_answered_in_place(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        numbers = sheet.said(*PLACES)
        sheet.type_in("length-exact", "10,5 m")
        sheet.wait_text(".status .refused", "comma")
        assert sheet.said(*PLACES) == numbers
        sheet.type_in("length-exact", "30 m")
        sheet.page.wait_for_function("() => !document.querySelector('.status .refused')")
        sheet.type_in("resistance", "0")
        sheet.wait_text(".status .refused", "takes no power")
        sheet.type_in("resistance", "75")
        for name in ("trunk-500", "rg-8x-foam", "rg-213-solid-pe"):
            both_change(sheet, lambda name=name: sheet.click(f"cable-{name}"))
        sheet.click("cable-rg-58-solid-pe")
        sheet.wait_text(".status .refused", "six cables at most")
        sheet.page.wait_for_function("() => !document.querySelector('.cable-rg-58-solid-pe input').checked")


@pytest.mark.parametrize(("theme", "width"), [("dark", 390), ("light", 1280)])
def test_six_cables_need_no_scrolling_sideways_and_can_be_read(folder, worksheet, theme, width):
    with worksheet(SHEET, theme=theme, width=width, height=800) as sheet:
        ready(sheet)
        for name in ("trunk-500", "rg-8x-foam", "series-59-clad"):
            both_change(sheet, lambda name=name: sheet.click(f"cable-{name}"))
        sheet.check_readable(theme)
