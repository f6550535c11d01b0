"""The one face of the worksheets in a real browser: answer and pictures in sight of every control, order on a phone."""

import pytest
from harness import Sheet

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEETS = {
    "01-layout-and-stake-out": "Stakes from the centre",
    "02-spacing-directions-pattern": "Figures at",
    "03-delay-lines": "cut list",
    "05-cable-loss": "Loss on every band",
    "07-real-ports": "Channels between",
    "08-phase-error": "as planned and with these errors",
    "09-tolerance": "what arrays built so will do",
    "15-ground-and-entry": "Resistance of rods",
}
"""Worksheets with the text that shows that they are ready."""
# controls of the left column that can be seen, each scrolled to; what of answer and pictures is then out of the window
OUT_OF_SIGHT = """async () => {
  const found = [], strip = document.querySelector(".worksheet-strip").getBoundingClientRect().bottom;
  const controls = [...document.querySelectorAll(
    ".worksheet-controls :is(input, select, button, .noUi-handle)")].filter(node => node.offsetParent);
  for (const control of [...controls, ...controls.toReversed()]) {
    control.scrollIntoView({block: "nearest"});
    await new Promise(done => requestAnimationFrame(done));
    for (const node of document.querySelectorAll(".worksheet-answer, .worksheet-pictures svg[role=img]")) {
      const box = node.getBoundingClientRect();
      if (!node.getClientRects().length) continue; // another picture is chosen
      if (box.top < strip - 1 || box.bottom > innerHeight + 1 || box.height < 20) {
        found.push(`${control.closest("[class*=jupyter-widget]").className}: ${box.top} to ${box.bottom}`);
      }
    }
  }
  return [controls.length, found];
}"""
ORDER = """() => [".worksheet-answer", ".worksheet-pictures svg", ".worksheet-controls :is(select, input)",
  ".worksheet-folds"].map(css => document.querySelector(css).getBoundingClientRect().top)"""
# texts of the page by their size, and the widths of the tracks of all sliders
SMALL = """() => [...document.querySelectorAll(".worksheet-sheet *, .worksheet-strip *")].filter(node =>
  node.offsetParent && [...node.childNodes].some(child => child.nodeType === 3 && child.textContent.trim()))
  .filter(node => parseFloat(getComputedStyle(node).fontSize) < 11).map(node => node.textContent)"""
# letters of the pictures below a size on the screen [px]; 9 pt are 12 px
LETTERS = """least => [...document.querySelectorAll(".worksheet-pictures svg[role=img]")]
  .filter(svg => svg.getClientRects().length).flatMap(svg => [...svg.querySelectorAll("text")].map(text => {
    const place = text.getScreenCTM();
    return [text.textContent, parseFloat(getComputedStyle(text).fontSize) * Math.hypot(place.a, place.b)];
  })).filter(([, size]) => size < least)"""
SCALE = """() => document.querySelector(".worksheet-pictures svg[role=img]").getScreenCTM().a"""
TRACKS = """() => [...document.querySelectorAll(".worksheet-controls .noUi-target")].filter(node => node.offsetParent)
  .map(node => node.getBoundingClientRect().width)"""


def ready(sheet: Sheet) -> None:
    sheet.wait_text(".results", SHEETS[sheet.name])
    sheet.page.wait_for_selector(".worksheet-pictures svg[role=img]")
    sheet.wait_run()


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (1920, 1080)])
@pytest.mark.parametrize("name", SHEETS)
def test_answer_and_pictures_are_in_sight_of_every_control(folder, worksheet, name, width, height):
    with worksheet(name, width=width, height=height) as sheet:
        ready(sheet)
        count, hidden = sheet.page.evaluate(OUT_OF_SIGHT)
        assert count > 5
        assert hidden == []
        assert sheet.page.evaluate(LETTERS, 11.9) == []


@pytest.mark.parametrize("name", SHEETS)
def test_pictures_grow_with_the_window(folder, worksheet, name):
    with worksheet(name, width=1280, height=800) as sheet:
        ready(sheet)
        scales = []
        for width, height in ((1280, 800), (1600, 1000), (1920, 1200)):
            sheet.page.set_viewport_size({"width": width, "height": height})
            scales.append(sheet.page.evaluate(SCALE))
        assert scales == sorted(scales)
        assert scales[-1] > 1.2 * scales[0]


@pytest.mark.parametrize("name", SHEETS)
def test_on_a_phone_answer_and_picture_come_first_and_all_can_be_read_and_moved(folder, worksheet, name):
    with worksheet(name, width=390, height=800) as sheet:
        ready(sheet)
        places = sheet.page.evaluate(ORDER)
        assert places == sorted(places)
        assert sheet.page.evaluate(SMALL) == []
        assert sheet.page.evaluate(LETTERS, 11) == []
        tracks = sheet.page.evaluate(TRACKS)
        assert tracks
        assert min(tracks) >= 150
        assert sheet.scroll_width() == 0


def test_another_system_of_lengths_is_kept_in_the_next_worksheet(folder, lab, worksheet):
    with worksheet("02-spacing-directions-pattern") as sheet:
        ready(sheet)
        sheet.choose("units", "feet")
        sheet.wait_text(".across-readout", "150 ft 11 in")
        assert sheet.page.locator(".across-exact input").input_value() == "150 ft 11 in"
    with worksheet("05-cable-loss") as sheet:
        ready(sheet)
        sheet.wait_text(".length-readout", "98 ft 5 1/8 in")


def test_a_refusal_is_in_sight_of_the_control_that_it_concerns(folder, worksheet):
    with worksheet("02-spacing-directions-pattern", width=1280, height=700) as sheet:
        ready(sheet)
        for field, text, good in (("across-exact", "abc", "46 m"), ("heading", "north-ish", "0")):
            entry = sheet.page.locator(f".{field} input")
            entry.scroll_into_view_if_needed()
            sheet.type_in(field, text)
            sheet.wait_text(".status .refused", text)
            box = sheet.page.locator(".status .refused").bounding_box()
            assert entry.bounding_box()["y"] > 0
            assert 0 < box["y"] < box["y"] + box["height"] <= 701
            sheet.type_in(field, good)
            sheet.page.wait_for_function("() => !document.querySelector('.status .refused')")
