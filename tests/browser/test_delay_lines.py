"""The worksheet *delay lines for a design* in a real browser: each control moves numbers and drawing."""

import pytest
from harness import Sheet, files

import workbook as wb

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "03-delay-lines"
PLAN, ERRORS = 0, 1


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "cut list")
    sheet.wait_text("svg text", "Heron Fen ring")
    sheet.wait_run()


def test_every_control_moves_numbers_and_drawing_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.moves(lambda: sheet.press("band", "ArrowRight"), ERRORS)
        sheet.moves(lambda: sheet.choose("cable", "series-11-copper"), ERRORS)
        for slider, *pictures in (("across", PLAN, ERRORS), ("spacing", PLAN, ERRORS), ("elevation", ERRORS)):
            value = sheet.readout(slider)
            sheet.moves(lambda slider=slider: sheet.press(slider, "ArrowRight", 5), *pictures)
            assert sheet.readout(slider) != value
        sheet.moves(lambda: sheet.choose("direction", "south-west"), PLAN)
        sheet.moves(lambda: sheet.choose("file", "heron-fen-square.toml"), PLAN, ERRORS)
        sheet.wait_text("svg text", "Heron Fen square")
        # a slider whose range changed under it would answer with a value of its own
        assert (sheet.readout("spacing"), sheet.readout("across")) == ("24.000 m", "33.941 m")
        sheet.moves(lambda: sheet.type_in("path", str(folder / "heron-fen-ring.toml")), PLAN, ERRORS)
        sheet.wait_text("svg text", "Heron Fen ring")
        sheet.type_in("measured-D", "1.90 MHz")
        sheet.wait_text(".advice-D", "too short")
        sheet.type_in("measured-D", "1.7O MHz")
        sheet.wait_text(".advice-D", "cannot be read")
        assert files(folder) == before
        sheet.moves(lambda: sheet.press("elevation", "ArrowRight", 10), ERRORS)
        # the last of many quick moves may still be on its way
        sheet.wait_text("svg text", "23 deg elevation")
        sheet.save(folder, before, "heron-fen-ring.toml", ('elevation = "22 deg"', 'elevation = "23 deg"'))


def test_the_reel_of_the_readings_is_offered_above_the_list_with_a_button_of_full_height(folder, worksheet):
    with worksheet(SHEET, width=1280, height=900) as sheet:
        ready(sheet)
        design = wb.load_design(folder / "heron-fen-ring.toml").plan()
        for line in design.cut_order[:2]:
            sheet.type_in(f"measured-{line.label}", f"{line.check.first_cut_frequency_hz * 1.03 / 1e6:.6f} MHz")
        sheet.wait_text(".reel-velocity", "your reel's velocity factor")
        places = {name: sheet.page.locator(name).bounding_box() for name in (".put-reel", ".worksheet-readings")}
        button, listed = places.values()
        assert button["height"] >= 24
        assert button["y"] + button["height"] <= listed["y"] + 1
        assert sheet.page.locator(".reel-velocity p").bounding_box()["y"] < button["y"]


def test_a_wrong_path_is_answered_in_place(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.type_in("path", "barn.toml")
        sheet.wait_text(".status .refused", "barn.toml")
        assert "Heron Fen ring" in sheet.said(".results")[0]


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        sheet.check_readable("dark")
