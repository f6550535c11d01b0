"""The worksheet *ground and entry* in a real browser: controls move numbers and drawings, and nothing is written."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "15-ground-and-entry"
PLACES = (".answer", ".results")


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".answer", "against another earth")
    sheet.wait_text("svg text", "entry panel")
    sheet.wait_run()


def test_controls_move_numbers_and_drawings_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        for act, pictures in (
            (lambda: sheet.choose("soil", "clay"), ()),
            (lambda: sheet.choose("shape", "square"), ()),
            (lambda: sheet.press("count", "ArrowRight", 2), (0,)),
            (lambda: sheet.press("strap-length", "ArrowRight", 4), (1,)),
            (lambda: sheet.type_in("strap-width-exact", "100"), (1,)),
            (lambda: sheet.choose("wave", "0.25/100"), (1,)),
            (lambda: sheet.press("share", "ArrowLeft", 5), (1,)),
            (lambda: sheet.type_in("rod-length-exact", "8 ft"), ()),
        ):
            sheet.moves(act, *pictures, places=PLACES)
    assert files(folder) == before


def test_a_wrong_entry_is_answered_in_place(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        numbers = sheet.said(*PLACES)
        sheet.type_in("rod-diameter", "5 kg")
        sheet.wait_text(".status .refused", "kg")
        assert sheet.said(*PLACES) == numbers


@pytest.mark.parametrize(("theme", "width"), [("dark", 390), ("light", 1280)])
def test_it_can_be_read_without_scrolling_sideways(folder, worksheet, theme, width):
    with worksheet(SHEET, theme=theme, width=width, height=800) as sheet:
        ready(sheet)
        sheet.check_readable(theme)
