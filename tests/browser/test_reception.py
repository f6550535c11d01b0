"""The worksheets of the receiving chain in a real browser: every control moves numbers; nothing is written."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

FRONT_END, LONG_RUNS, REELS = "10-element-front-end", "11-coax-for-long-runs", "12-reels-and-cutting-plan"
PLACES = (".answer", ".results")
RING = "heron-fen-ring.toml"


def ready(sheet: Sheet, title: str) -> None:
    sheet.wait_text("svg text", title)
    sheet.wait_run()


def moves(sheet: Sheet, act, *which: int) -> None:
    """Do something to a control; a number and the pictures named must change."""
    sheet.moves(act, *which, places=PLACES)


def test_the_front_end_follows_every_control_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(FRONT_END) as sheet:
        ready(sheet, "Response, and phase between elements")
        sheet.wait_text(".old", "has no [front_end]")
        for control in ("height", "diameter", "inductance", "q", "choke-capacitance", "choke-tolerance"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowLeft", 8), 0)
        for control in ("input-resistance", "input-capacitance"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowLeft", 10), 0)
        # a transmitter turns no response
        for control in ("limit", "power", "distance", "frequency"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowLeft", 10))
        moves(sheet, lambda: sheet.type_in("frequency-exact", "1.84 MHz"))
        sheet.wait_text(".results", "A sequencer must switch the buffers off")
        sheet.type_in("height-exact", "60 m")
        sheet.wait_text(".status .refused", "quarter wave")
        moves(sheet, lambda: sheet.type_in("height-exact", "20 ft"), 0)
        assert files(folder) == before
        sheet.click("save")
        sheet.wait_text(".status", "saved")
        assert 'height = "20 ft"' in files(folder)[RING].decode()


def test_cables_follow_every_control_and_nothing_is_written_until_saved(folder, worksheet):
    before = files(folder)
    with worksheet(LONG_RUNS) as sheet:
        ready(sheet, "Loss, and margin over internal noise")
        for control in ("receiver-run", "spacing", "margin", "noise-figure", "amplifier"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowRight", 8), 0)
        moves(sheet, lambda: sheet.choose("noise", "rural"), 0)
        for control in ("strong", "supply", "least", "current"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowRight", 6))
        moves(sheet, lambda: sheet.choose("pair", "a pair of AWG 20"))
        moves(sheet, lambda: sheet.choose("cable", "series-6-copper"), 0)
        moves(sheet, lambda: sheet.type_in("price", "95"))
        moves(sheet, lambda: sheet.type_in("per", "1000 ft"))
        sheet.wait_text(".answer", "series-6-copper")
        moves(sheet, lambda: sheet.choose("band", "80 m"), 0)
        moves(sheet, lambda: sheet.choose("runs", "receiver run alone"), 0)
        moves(sheet, lambda: sheet.choose("impedance", "75 ohm"), 0)
        moves(sheet, lambda: sheet.press("widest", "ArrowLeft", 42), 0)
        moves(sheet, lambda: sheet.click("filter-for-burial-only"), 0)
        sheet.type_in("price", "much")
        sheet.wait_text(".status .refused", "number")
        assert files(folder) == before


def test_reels_follow_every_control_and_only_the_buttons_write(folder, worksheet):
    before = files(folder)
    with worksheet(REELS) as sheet:
        sheet.wait_run()
        sheet.wait_text(".old", "type what you have")
        assert sheet.page.locator(".jp-OutputArea svg[role=img]").count() == 0
        sheet.type_in("reels", "A, 400 m")
        sheet.wait_text("svg text", "cuts from the reels")
        moves(sheet, lambda: sheet.type_in("reels", "A, 250 m\nB, 250 m, 0.832"), 0)
        moves(sheet, lambda: sheet.choose("one-reel", "nothing"), 0)
        for control in ("kerf", "trim"):
            moves(sheet, lambda control=control: sheet.press(control, "ArrowRight", 20), 0)
        sheet.type_in("reels", "A")
        sheet.wait_text(".status .refused", "label, length")
        moves(sheet, lambda: sheet.type_in("reels", "A, 400 m"), 0)
        assert files(folder) == before
        sheet.click("write-cuts")
        sheet.wait_text(".status", "reels.csv: written")
        assert set(files(folder)) - set(before) == {"reels.csv"}
        sheet.click("save")
        sheet.wait_text(".status", "saved")
        assert "[[stock]]" in files(folder)[RING].decode()
