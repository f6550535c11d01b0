"""The worksheet *tolerance* in a real browser: each control moves numbers and a picture, a run can be stopped."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "09-tolerance"
PLACES = (".answer", ".results", ".fold-choose-what-to-hold")
SPREAD, ENVELOPE, SHARES = 0, 1, 2


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "what arrays built so will do")
    sheet.wait_text("svg text", "What spreads the RDF")
    sheet.wait_run()


def moves(sheet: Sheet, act, *which: int) -> None:
    """Do something to a control; a number and the pictures named must change."""
    sheet.moves(act, *which, places=PLACES)


def test_every_control_moves_numbers_and_pictures_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.wait_text(".results", "has no [tolerance]")
        for key in (
            *("reel-velocity-factor", "line-velocity-factor", "cut-length", "shared-cut-length"),
            *("connector-delay", "position", "gain", "phase"),
        ):
            moves(sheet, lambda key=key: sheet.press(key, "ArrowRight", 4), SPREAD, ENVELOPE)
        moves(sheet, lambda: sheet.choose("distribution", "normal"), SPREAD, ENVELOPE, SHARES)
        moves(sheet, lambda: sheet.choose("distribution", "uniform"), SPREAD, ENVELOPE, SHARES)
        moves(sheet, lambda: sheet.choose("direction", "north-east"), SPREAD, ENVELOPE)
        moves(sheet, lambda: sheet.press("band", "ArrowRight"), SPREAD, ENVELOPE, SHARES)
        for figure in ("front-to-back", "front-to-rear", "null depth", "pointing", "RDF"):
            moves(sheet, lambda figure=figure: sheet.choose("figure", figure), SPREAD, SHARES)
        moves(sheet, lambda: sheet.press("coverage", "ArrowLeft"), SPREAD, ENVELOPE)
        moves(sheet, lambda: sheet.type_in("band-frequency", "3.5"), SPREAD, ENVELOPE)
        # waited for, since a design that changes ends the search for the widest
        moves(sheet, lambda: sheet.type_in("band-frequency", ""), SPREAD, ENVELOPE)
        moves(sheet, lambda: sheet.press("lost", "ArrowLeft", 6))
        sheet.click("find")
        sheet.wait_text(".fold-choose-what-to-hold", "Widest tolerances that keep RDF above")
        assert files(folder) == before
        sheet.click("save")
        sheet.wait_text(".status", "saved")
        assert "[tolerance]" in files(folder)["heron-fen-ring.toml"].decode()
        sheet.wait_text(".where", "as it is in the file")
        moves(sheet, lambda: sheet.choose("file", "heron-fen-square.toml"), SPREAD, ENVELOPE)


def test_a_long_run_shows_how_far_it_is_and_can_be_stopped(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.choose("trials", "1,000,000")
        sheet.click("run")
        sheet.wait_text(".left", "of 1,000,000 trials, about")
        sheet.click("stop")
        sheet.wait_text(".results", "stopped before all 1,000,000 were done")
        sheet.choose("trials", "10,000")
        sheet.click("run")
        sheet.wait_text(".answer", "10,000 arrays")
        sheet.wait_text(".results", "pointing [deg]")


@pytest.mark.parametrize(("theme", "width"), [("dark", 390), ("light", 1280)])
def test_it_needs_no_scrolling_sideways_and_can_be_read(folder, worksheet, theme, width):
    with worksheet(SHEET, theme=theme, width=width, height=800) as sheet:
        ready(sheet)
        sheet.check_readable(theme)
