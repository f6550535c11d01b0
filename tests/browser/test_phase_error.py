"""The worksheet *phase error* in a real browser: each control moves numbers and a picture, and nothing is written."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "08-phase-error"
PLACES = (".answer", ".results", ".fold-check-every-channel", ".fold-check-every-line")
CHANNELS, PATTERN = 0, 1


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "Phase error of every channel")
    sheet.wait_text("svg text", "Heron Fen ring: pattern from above")
    sheet.wait_run()


def moves(sheet: Sheet, act, *which: int) -> None:
    """Do something to a control; a number and the pictures named must change."""
    sheet.moves(act, *which, places=PLACES)


def test_every_control_moves_numbers_and_pictures_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        for control in ("assumed", "true"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowLeft", 5), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.click("line-D"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.choose("runs", "the run of element 3"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.press("shown-band", "ArrowRight"), PATTERN)
        moves(sheet, lambda: sheet.choose("direction", "south-west"), CHANNELS, PATTERN)
        sheet.wait_text(".answer", "south-west, 80 m at")
        for fault, sliders, which in (
            ("chosen cables too long", ("excess",), (CHANNELS, PATTERN)),
            ("chosen cables warmer", ("kelvin", "drift"), (CHANNELS, PATTERN)),
            ("an element elsewhere", ("east", "north"), (PATTERN,)),
            ("unmatched ends", ("source", "port"), (CHANNELS, PATTERN)),
        ):
            moves(sheet, lambda fault=fault: sheet.choose("fault", fault))
            for slider in sliders:
                moves(sheet, lambda slider=slider: sheet.press(slider, "ArrowLeft", 20), *which)
        moves(sheet, lambda: sheet.choose("fault", "two lines swapped"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.choose("other", "5"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.choose("fault", "a dead element"), CHANNELS, PATTERN)
        sheet.wait_text(".results", "no signal")
        moves(sheet, lambda: sheet.choose("element", "4"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.choose("fault", "nothing else"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.choose("cable", "series-11-clad"), CHANNELS, PATTERN)
        moves(sheet, lambda: sheet.press("band", "ArrowRight"), CHANNELS)
        moves(sheet, lambda: sheet.type_in("band-frequency", "3.5"), CHANNELS)
        sheet.type_in("band-frequency", "")
        moves(sheet, lambda: sheet.press("spacing", "ArrowRight", 10), CHANNELS, PATTERN)
        assert files(folder) == before
        moves(sheet, lambda: sheet.choose("file", "heron-fen-row.toml"), CHANNELS, PATTERN)
        sheet.wait_text(".results", "part of every tap farther out")
        sheet.type_in("spacing-exact", "13 parsecs of")
        sheet.wait_text(".status .refused", "spacing")
        moves(sheet, lambda: sheet.type_in("spacing-exact", "13 m"), CHANNELS, PATTERN)
        sheet.save(folder, before, "heron-fen-row.toml", ('spacing = "12 m"', 'spacing = "13 m"'))


@pytest.mark.parametrize(("theme", "width"), [("dark", 390), ("light", 1280)])
def test_it_needs_no_scrolling_sideways_and_can_be_read(folder, worksheet, theme, width):
    with worksheet(SHEET, theme=theme, width=width, height=800) as sheet:
        ready(sheet)
        sheet.check_readable(theme)
