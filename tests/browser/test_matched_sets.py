"""Worksheet *matched sets* in a real browser: values, sliders and choices move numbers and picture; no file changes."""

import pytest
from harness import files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "14-matched-sets"


def test_every_control_moves_the_sets_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        sheet.wait_text(".results", "Sorted parts")
        sheet.wait_run()
        sheet.moves(lambda: sheet.press("size", "ArrowLeft"), 0)
        sheet.moves(lambda: sheet.press("sets", "ArrowRight"), 0)
        sheet.moves(lambda: sheet.choose("kind", "pairs in series with like sums"), 0)
        assert files(folder) == before


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        sheet.wait_text(".results", "Sorted parts")
        sheet.wait_run()
        sheet.check_readable("dark")
