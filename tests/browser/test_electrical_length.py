"""The worksheet *electrical length and velocity factor* in a real browser: each control moves numbers and drawing."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "04-electrical-length"


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "A piece of")
    sheet.wait_text("svg text", "Velocity factor of series-6-copper")
    sheet.wait_run()
    sheet.choose("cable", "series-6-clad")
    sheet.wait_text("svg text", "Velocity factor of series-6-clad")


def both_change(sheet: Sheet, act) -> None:
    """Do something to a control; the tables and the drawing must both become others."""
    sheet.moves(act, 0)


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        both_change(sheet, lambda: sheet.press("band", "ArrowRight"))
        sheet.wait_text("svg text", "at 3.6 MHz")
        assert sheet.page.locator(".band-frequency input").input_value() == "3.6 MHz"
        both_change(sheet, lambda: sheet.type_in("band-frequency", "1.83"))
        sheet.wait_text(".results", "true at 1.83 MHz")
        both_change(sheet, lambda: sheet.press("cladding", "ArrowRight", 10))
        sheet.wait_text("svg text", "16 um of copper")
        # the curve is of the cable, not of the piece
        sheet.retitles(lambda: sheet.press("amount", "ArrowRight", 5))
        sheet.wait_text("svg text", "100.5 ns")
        for kind, unit in (("length", " m at"), ("degrees", " deg at")):
            sheet.retitles(lambda kind=kind: sheet.choose("given", kind))
            sheet.wait_text("svg text", unit)
            sheet.wait_text(".amount", f"{kind} (")  # a fresh slider may come after the tables
            sheet.retitles(lambda: sheet.press("amount", "ArrowRight"))
        sheet.retitles(lambda: sheet.type_in("exact", "88 ft 3 1/2 in"))
        # a slider whose range changed under it would answer with a value of its own
        sheet.wait_text(".results", "26.911 m")
        sheet.wait_text(".amount .widget-readout", "26.91")
        both_change(sheet, lambda: sheet.choose("velocity", "nominal"))
        assert sheet.readout("amount") == "26.91"
        sheet.wait_text(".results", "what it really is")
        both_change(sheet, lambda: sheet.type_in("coefficient", "-220"))
        sheet.wait_text("svg text", "20 K warmer")
        both_change(sheet, lambda: sheet.choose("cable", "series-6-copper"))
        sheet.wait_text(".cladding", "none")
        assert "26.911 m" in sheet.said(".results")[0]
    assert files(folder) == before


def test_wrong_entries_are_answered_in_place(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        before = sheet.said(".results")
        sheet.type_in("exact", "71 kg")
        sheet.wait_text(".exact-answer .refused", "a length, delay or angle is wanted")
        sheet.type_in("band-frequency", "1,83")
        sheet.wait_text(".frequency-answer .refused", "decimal point")
        assert sheet.said(".results") == before
        both_change(sheet, lambda: sheet.type_in("band-frequency", "1.83"))
        assert not sheet.page.locator(".frequency-answer").is_visible()


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        sheet.type_in("exact", "71 kg")
        sheet.wait_text(".exact-answer .refused", "a length, delay or angle is wanted")
        both_change(sheet, lambda: sheet.choose("velocity", "nominal"))
        both_change(sheet, lambda: sheet.type_in("coefficient", "-220"))
        sheet.check_readable("dark")
