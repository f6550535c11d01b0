"""Worksheet *matched sets* in a real browser: values, sliders and choices move numbers and picture; no file changes."""

import pytest
from harness import files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "14-matched-sets"
# the colour of a choice's arrow, and that of the paper below it
ARROW = """async () => {
  const style = getComputedStyle(document.querySelector(".kind select")), image = new Image();
  image.src = style.backgroundImage.slice(5, -2);
  await image.decode();
  const pen = new OffscreenCanvas(36, 36).getContext("2d");
  pen.drawImage(image, 0, 0, 36, 36);
  const data = [...pen.getImageData(0, 0, 36, 36).data], alpha = data.filter((_, n) => n % 4 === 3);
  const darkest = 4 * alpha.indexOf(Math.max(...alpha));
  return [data.slice(darkest, darkest + 3), style.backgroundColor.match(/[\\d.]+/g).slice(0, 3).map(Number)];
}"""


def test_every_control_moves_the_sets_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        sheet.wait_text(".results", "Sorted parts")
        sheet.wait_run()
        sheet.moves(lambda: sheet.press("size", "ArrowLeft"), 0)
        sheet.moves(lambda: sheet.press("sets", "ArrowRight"), 0)
        sheet.moves(lambda: sheet.choose("kind", "pairs in series with like sums"), 0)
        assert files(folder) == before


def luminance(colour: list[float]) -> float:
    """Relative luminance of an sRGB colour by WCAG 2.2."""
    parts = [part / 255 for part in colour]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_arrow_of_a_choice_stands_out_on_either_paper(folder, worksheet, theme):
    """WCAG 2.2, success criterion 1.4.11: a contrast of 3 to 1 for what shows that something is a control."""
    with worksheet(SHEET, theme=theme, width=390, height=800) as sheet:
        sheet.wait_run()
        sheet.page.wait_for_selector(".kind select")
        low, high = sorted(luminance(colour) for colour in sheet.page.evaluate(ARROW))
        assert (high + 0.05) / (low + 0.05) >= 3


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        sheet.wait_text(".results", "Sorted parts")
        sheet.wait_run()
        sheet.check_readable("dark")
