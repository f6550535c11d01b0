"""The demo that opens, in a real browser: worksheets 02 and 03 follow every move at once, and search afterwards."""

import shutil

import pytest
from harness import Sheet, files

from workbook.files import demo

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

# worksheets, the picture that follows every slider, and the text that shows that they are ready
SHEETS = {
    "02-spacing-directions-pattern": (0, "What to expect"),
    "03-delay-lines": (1, "cut list"),
}
# notes when the first picture changes and when the search has been made, in ms after a key is pressed
LISTEN = """number => {
  const old = document.querySelector(".old"), began = {};
  window.waited = {};
  const note = (what, ready) => { if (began.at && !(what in window.waited) && ready()) {
    window.waited[what] = performance.now() - began.at; } };
  const look = () => {
    note("provisional", () => old.textContent.includes("Provisional"));
    note("picture", () => document.querySelectorAll("svg[role=img]")[number].outerHTML !== began.svg);
    note("final", () => "provisional" in window.waited && !old.textContent.includes("Provisional"));
  };
  new MutationObserver(look).observe(document.querySelector(".worksheet-sheet"), {childList: true, subtree: true});
  document.addEventListener("keydown", () => { began.at ??= performance.now();
    began.svg ??= document.querySelectorAll("svg[role=img]")[number].outerHTML; }, {capture: true});
}"""


def ready(sheet: Sheet, text: str) -> None:
    sheet.wait_text("svg text", "Heron Fen eight")
    sheet.wait_text(".results", text)
    sheet.wait_run()


@pytest.mark.parametrize("name", SHEETS)
def test_a_moved_slider_is_answered_before_the_search_and_the_search_follows(folder, worksheet, name):
    shutil.copy(demo(), folder)
    picture, text = SHEETS[name]
    before = files(folder)
    with worksheet(name) as sheet:
        ready(sheet, text)
        assert sheet.page.locator(".file select").evaluate("node => node.value") == demo().name
        sheet.page.evaluate(LISTEN, picture)
        sheet.press("elevation", "ArrowRight")
        sheet.page.wait_for_function("() => 'final' in window.waited")
        waited = sheet.page.evaluate("() => window.waited")
        # what is drawn at once is provisional, and the search has not been waited for
        assert waited["picture"] < waited["final"]
        assert waited["provisional"] < waited["final"]
        sheet.wait_text("svg text", "22.1 deg elevation")
        assert files(folder) == before


@pytest.mark.parametrize("name", SHEETS)
def test_every_control_of_the_demo_moves_its_pictures(folder, worksheet, name):
    shutil.copy(demo(), folder)
    picture, text = SHEETS[name]
    before = files(folder)
    with worksheet(name) as sheet:
        ready(sheet, text)
        for slider in ("across", "spacing", "elevation"):
            sheet.moves(lambda slider=slider: sheet.press(slider, "ArrowRight", 3), picture)
        sheet.moves(lambda: sheet.press("band", "ArrowRight"), picture)
        sheet.moves(lambda: sheet.choose("direction", "south-west"), 0)
        assert files(folder) == before
