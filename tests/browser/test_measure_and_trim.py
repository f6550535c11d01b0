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
        sheet.choose("piece", "A")
        sheet.wait_text(".answer", "A")
        sheet.type_in("reading", "1 kHz")
        sheet.wait_text(".status .refused", "decimal point")
        sheet.type_in("reading", "")
        sheet.type_in("azimuth", "100")
        sheet.wait_text(".results", "from 100 deg")
        sheet.choose("picture", "distance")
        sheet.wait_text("svg text", "distance (m)")
        assert files(folder) == before


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        sheet.check_readable("dark")
