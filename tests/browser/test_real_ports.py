"""The worksheet *delay lines between real ports* in a real browser: each control moves numbers and a picture."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "07-real-ports"
# the first fold is open; what the other says is read though it is closed
PLACES = (".results", ".answer", ".fold-read-the-second-picture")
CHANNELS, SECOND = 0, 1


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", "Channels between 75 and 75 ohm")
    sheet.wait_text("svg text", "one line; dotted: limits (deg)")
    sheet.wait_run()


def moves(sheet: Sheet, act, *which: int) -> None:
    """Do something to a control; a number and the pictures named must change."""
    sheet.moves(act, *which, places=PLACES)


def test_every_control_moves_numbers_and_pictures_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        sheet.wait_text(".note", "75 ohm at both ends")
        for end, there in (("source", "55 to 75 ohm"), ("port", "to 55 ohm")):
            moves(sheet, lambda end=end: sheet.press(end, "ArrowLeft", 20), CHANNELS, SECOND)
            sheet.wait_text("svg text", there)
            moves(sheet, lambda end=end: sheet.type_in(f"{end}-exact", "61.5"), CHANNELS, SECOND)
            sheet.wait_text("svg text", "61.5 ")
            moves(sheet, lambda end=end: sheet.press(f"{end}-tolerance", "ArrowRight", 4), CHANNELS)
        sheet.wait_text("svg text", "61.5 to 61.5 ohm ±2, ±2 %")
        # lines that are summed first end in the same ports
        sheet.retitles(lambda: sheet.choose("hub", "ports"))
        for hub in ("ladder", "joined"):
            # up to its tap a ladder's line has the same length but for some connectors
            moves(sheet, lambda hub=hub: sheet.choose("hub", hub), CHANNELS)
        moves(sheet, lambda: sheet.choose("cable", "series-11-copper"), CHANNELS, SECOND)
        moves(sheet, lambda: sheet.press("cut-band", "ArrowRight"), CHANNELS, SECOND)
        moves(sheet, lambda: sheet.press("length", "ArrowRight", 5), SECOND)
        assert sheet.readout("length") == "50.00"
        moves(sheet, lambda: sheet.press("band", "ArrowRight"), SECOND)
        # else the frequency of the other band may come while one is typed, and take its place
        sheet.page.wait_for_function("() => document.querySelector('.band-frequency input').value === '3.6 MHz'")
        moves(sheet, lambda: sheet.type_in("band-frequency", "3.5"), CHANNELS, SECOND)
        moves(sheet, lambda: sheet.choose("picture", "from above: ideal, real, compensated"), SECOND)
        moves(sheet, lambda: sheet.choose("direction", "south-west"), SECOND)
        moves(sheet, lambda: sheet.choose("file", "heron-fen-square.toml"), CHANNELS, SECOND)
        sheet.wait_text("svg text", "Heron Fen square")
        sheet.retitles(lambda: sheet.choose("hub", "joined"))
        sheet.choose("hub", "ports")
        moves(sheet, lambda: sheet.type_in("path", str(folder / "heron-fen-row.toml")), CHANNELS, SECOND)
        sheet.wait_text("svg text", "Heron Fen row")
        assert sheet.readout("source-tolerance") == "10.00"
        sheet.type_in("port-exact", "75 m")
        sheet.wait_text(".status .refused", "port_impedance")
        sheet.wait_text(".old", "still those of the previous settings")
        assert files(folder) == before
        moves(sheet, lambda: sheet.type_in("port-exact", "80.5 ohm"), CHANNELS, SECOND)
        moves(sheet, lambda: sheet.press("slack", "ArrowRight", 10), CHANNELS, SECOND)
        sheet.wait_text("svg text", "runs 20.000 m")
        ends = ('port_impedance = "75 ohm"', 'port_impedance = "80.5 ohm"')
        sheet.save(folder, before, "heron-fen-row.toml", ('slack = "1 m"', 'slack = "2 m"'), ends)


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        assert sheet.scroll_width() == 0
        sheet.choose("picture", "from above: ideal, real, compensated")
        sheet.wait_text("svg text", "ideal, RDF")
        sheet.check_readable("dark")
