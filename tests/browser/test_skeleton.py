"""The one face of the worksheets in a real browser: answer and pictures in sight of every control, order on a phone."""

import pytest
from harness import Sheet

from workbook.files import shipped
from workbook.worksheets import worksheets

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEETS = [sheet.name.removesuffix(".ipynb") for sheet in worksheets(shipped("notebooks"))][1:]
"""Every worksheet; the start page, which is the first, has no controls."""
# controls of the left column that can be seen, each scrolled to: what of answer and pictures is then out of the window,
# and which of them lies under something else
SCROLLED = """async () => {
  const found = [], strip = document.querySelector(".worksheet-strip").getBoundingClientRect().bottom;
  const controls = [...document.querySelectorAll(
    ".worksheet-controls :is(input:not([type=file]), select, textarea, button, .noUi-handle)")]
    .filter(node => node.offsetParent);
  document.querySelector(".jp-RenderedMarkdown").scrollIntoView();
  const called = node => node.closest("[class*=jupyter-widget]").className;
  for (const control of [...controls, ...controls.toReversed()]) {
    const before = control.getBoundingClientRect().top;
    control.scrollIntoView({block: "nearest"});
    if (control.getBoundingClientRect().top !== before) await new Promise(done => requestAnimationFrame(done));
    for (const node of document.querySelectorAll(".worksheet-answer, .worksheet-pictures svg[role=img]")) {
      const box = node.getBoundingClientRect();
      if (!node.getClientRects().length) continue; // another picture is chosen
      if (box.top < strip - 1 || box.bottom > innerHeight + 1 || box.height < 20)
        found.push(`${called(control)}: ${node.className.baseVal ?? node.className} ${box.top} to ${box.bottom}`);
    }
    const own = control.closest(".noUi-target") ?? control, box = control.getBoundingClientRect();
    for (const y of [box.top + 3, box.bottom - 3]) {
      const hit = document.elementFromPoint((box.left + box.right) / 2, y);
      if (!own.contains(hit)) found.push(`${called(control)}: under ${hit?.className ?? "nothing"}`);
    }
  }
  return [controls.length, found];
}"""
IN_SIGHT = """() => [...document.querySelectorAll(".worksheet-answer, .worksheet-pictures svg[role=img]")]
  .filter(node => node.getClientRects().length).map(node => node.getBoundingClientRect())
  .filter(box => box.top < 37 || box.bottom > innerHeight + 1).map(box => [box.top, box.bottom])"""
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
SLIDERS = ".worksheet-controls .noUi-target:not([disabled]) .noUi-handle:visible"


def ready(sheet: Sheet) -> None:
    sheet.wait_run()
    sheet.page.wait_for_selector(".worksheet-answer dd")
    if sheet.name == "12-reels-and-cutting-plan":
        sheet.type_in("reels", "A, 400 m")  # nothing is drawn of no reel
    sheet.page.wait_for_selector(".worksheet-pictures svg[role=img]")


def check_in_sight(sheet: Sheet) -> None:
    """Answer and pictures are in sight of every control, and nothing covers it; so too once the last slider moves."""
    count, hidden = sheet.page.evaluate(SCROLLED)
    assert count > 5
    assert hidden == []
    assert sheet.page.evaluate(LETTERS, 11.9) == []
    if sliders := sheet.page.locator(SLIDERS).all():
        sliders[-1].evaluate("node => { node.scrollIntoView({block: 'nearest'}); node.focus({preventScroll: true}); }")
        at_end = sliders[-1].get_attribute("aria-valuenow") == sliders[-1].get_attribute("aria-valuemax")
        key = "ArrowLeft" if at_end else "ArrowRight"
        sheet.moves(lambda: sheet.page.keyboard.press(key), places=(".worksheet-sheet",))
        sheet.wait_run()
        assert sheet.page.evaluate(IN_SIGHT) == []


def check_on_a_phone(sheet: Sheet) -> None:
    """Answer and picture come first, and all can be read and moved without scrolling sideways."""
    places = sheet.page.evaluate(ORDER)
    assert places == sorted(places)
    assert sheet.page.evaluate(SMALL) == []
    assert sheet.page.evaluate(LETTERS, 11) == []
    assert all(track >= 150 for track in sheet.page.evaluate(TRACKS))
    assert sheet.scroll_width() == 0


@pytest.mark.parametrize("name", SHEETS)
def test_answer_and_pictures_are_in_sight_grow_with_the_window_come_first_on_a_phone_and_can_be_read(
    folder, worksheet, name
):
    with worksheet(name, width=1280, height=900) as sheet:
        ready(sheet)
        scales = []
        for width, height in ((1280, 900), (1920, 1080)):
            sheet.page.set_viewport_size({"width": width, "height": height})
            check_in_sight(sheet)
            sheet.check_readable("light")
            scales.append(sheet.page.evaluate(SCALE))
        sheet.page.set_viewport_size({"width": 1920, "height": 1300})
        scales.append(sheet.page.evaluate(SCALE))
        assert scales == sorted(scales)
        assert scales[-1] > 1.2 * scales[0]
        sheet.page.set_viewport_size({"width": 390, "height": 800})
        check_on_a_phone(sheet)
        sheet.look("dark", 390, 800)
        sheet.check_readable("dark")


def test_another_system_of_lengths_is_kept_in_the_next_worksheet(folder, lab, worksheet):
    with worksheet("02-spacing-directions-pattern") as sheet:
        ready(sheet)
        sheet.choose("units", "feet")
        sheet.wait_text(".across-readout", "150 ft 11 in")
        assert sheet.page.locator(".across-exact input").input_value() == "150 ft 11 in"
    with worksheet("05-cable-loss") as sheet:
        ready(sheet)
        sheet.wait_text(".length-readout", "100 ft 0 in")


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
