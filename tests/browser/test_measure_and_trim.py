"""Worksheet *measure and trim* in a real browser: reading, practice set and levels move numbers and picture."""

import pytest
from harness import files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "13-measure-and-trim"


def ready(sheet):
    sheet.wait_text(".results", "Change of level")
    sheet.wait_run()


def test_every_control_moves_numbers_or_picture_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.type_in("reading", "1 kHz")
        sheet.wait_text(".status .refused", "decimal point")
        sheet.type_in("reading", "")
        sheet.moves(lambda: sheet.choose("piece", "A"), 0)
        sheet.moves(lambda: sheet.type_in("reading", "12.2"), 0)
        sheet.moves(lambda: sheet.type_in("tape", "5.25"), places=(".results",))
        sheet.wait_text(".results", "weighted mean")
        sheet.moves(lambda: sheet.choose("picture", "distance"), 0, places=())
        sheet.moves(lambda: sheet.choose("units", "feet"), 0, places=())
        sheet.wait_text("svg text", "distance (ft)")
        sheet.wait_text(".tape", "length by tape (ft)")
        sheet.moves(lambda: sheet.choose("picture", "pattern as built"), 0, places=())
        sheet.moves(lambda: sheet.choose("direction", "south"), 0, places=())
        sheet.moves(lambda: sheet.press("band", "ArrowRight"), 0)
        sheet.moves(lambda: sheet.type_in("band-frequency", "3.75"), 0)
        sheet.wait_text(".results", "on 80 m at 3.75 MHz")
        sheet.moves(lambda: sheet.type_in("azimuth", "100"), places=(".results",))
        sheet.wait_text(".results", "from 100 deg")
        sheet.moves(lambda: sheet.type_in("levels", "north: -1, -1, -1, -1, -1, -1, 0, -1"), places=(".results",))
        sheet.moves(lambda: sheet.choose("file", "heron-fen-square.toml"), 0)
        assert files(folder) == before


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        sheet.check_readable("dark")
