"""The worksheet *spacing, directions and pattern* in a real browser: each control moves numbers and pictures."""

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "02-spacing-directions-pattern"
ABOVE, SECOND = 0, 1
OLD_PARTS = (".answer-line", ".worksheet-pictures svg", ".worksheet-folds")
# a quick search may be over before the page is looked at
LISTEN = """() => {
  window.said = [];
  const place = document.querySelector(".old");
  new MutationObserver(() => window.said.push(place.textContent)).observe(place, {childList: true, subtree: true});
}"""


def ready(sheet: Sheet) -> None:
    sheet.wait_text("svg text", "Heron Fen ring, aligned: from above")
    sheet.wait_text(".results", "What to expect")
    sheet.wait_run()


def all_change(sheet: Sheet, act) -> None:
    """Do something to a control; the tables and both pictures must become others."""
    sheet.moves(act, ABOVE, SECOND)


def slide(sheet: Sheet, *names: str, pictures: tuple[int, ...] = (ABOVE, SECOND)) -> None:
    for name in names:
        value = sheet.readout(name)
        # once only: a second step's answer would be taken for that of what comes next
        sheet.moves(lambda name=name: sheet.press(name, "ArrowRight"), *pictures)
        assert sheet.readout(name) != value


def visible(sheet: Sheet, *names: str) -> list[bool]:
    return [sheet.page.locator(f".{name}").is_visible() for name in names]


def test_every_control_moves_numbers_and_pictures_and_nothing_is_written(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        slide(sheet, "across", "spacing", "elevation")
        all_change(sheet, lambda: sheet.press("band", "ArrowRight"))
        # a ring looks the same from the side in all its directions, and ground weighs all azimuths alike
        sheet.moves(lambda: sheet.choose("direction", "south-west"), ABOVE)
        all_change(sheet, lambda: sheet.type_in("across-exact", "150 ft"))
        assert sheet.readout("across") == "45.720 m"
        sheet.moves(lambda: sheet.choose("ground", "sea water"), SECOND)
        sheet.moves(lambda: sheet.choose("ground", "entered below"), SECOND)
        slide(sheet, "permittivity", "conductivity", pictures=(SECOND,))
        assert visible(sheet, "null", "inversion", "gain", "lines", "limited") == [False] * 5
        all_change(sheet, lambda: sheet.choose("rule", "endfire"))
        slide(sheet, "null")
        all_change(sheet, lambda: sheet.choose("inversion", "yes"))
        all_change(sheet, lambda: sheet.choose("rule", "greatest-rdf"))
        slide(sheet, "gain")
        assert files(folder) == before


def test_fewest_delays_is_searched_and_every_picture_is_shown(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("rule", "fewest-delays"))
        sheet.wait_text(".results", "Tolerance of each delay")
        all_change(sheet, lambda: sheet.press("lines", "ArrowLeft"))
        all_change(sheet, lambda: sheet.press("lines", "ArrowRight"))
        sheet.press("gain", "End")  # 9 dB, which no wait but none at all can keep
        sheet.wait_text(".status .refused", "no choice of lines reaches it")
        all_change(sheet, lambda: sheet.choose("limited", "no limit"))
        sheet.wait_text(".results", "would ruin this")
        all_change(sheet, lambda: sheet.choose("inversion", "no"))
        for name, title in (
            ("the whole sky", "the whole sky"),
            ("against spacing", "why not closer?"),
            ("against frequency", "over frequency"),
            ("phase of every line", "phase of every line"),
            ("map of two delays", "least RDF"),
            ("from the side", "from the side"),
        ):
            sheet.moves(lambda name=name: sheet.choose("picture", name), SECOND, places=())
            sheet.wait_text("svg text", f"fewest-delays: {title}")
        assert files(folder) == before


def test_a_moved_slider_shows_a_provisional_answer_until_the_search_is_made(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("rule", "fewest-delays"))
        sheet.wait_text(".results", "next 1")
        sheet.page.evaluate(LISTEN)
        all_change(sheet, lambda: sheet.press("elevation", "ArrowRight"))
        sheet.page.wait_for_function("() => window.said.some(text => text.includes('Provisional'))")
        sheet.page.wait_for_function("() => !document.querySelector('.old').textContent.includes('Provisional')")
        assert sheet.said(".status")[0].strip() == ""


def _opacity(sheet: Sheet, css: str) -> float:
    return float(sheet.page.locator(css).first.evaluate("node => getComputedStyle(node).opacity"))


def test_a_refusal_is_a_sentence_and_saving_writes_what_was_set(folder, worksheet):
    before = files(folder)
    with worksheet(SHEET) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("file", "heron-fen-row.toml"))
        sheet.wait_text("svg text", "Heron Fen row, endfire: from above")
        assert visible(sheet, "null", "inversion") == [True, True]
        sheet.press("null", "Home")
        sheet.press("elevation", "Home")
        sheet.wait_text(".old .refused", "nothing arrives at 0 deg")
        sheet.wait_text(".old", "those of the previous settings")
        # old figures are grey, tables and pictures too
        assert [_opacity(sheet, css) for css in OLD_PARTS] == [0.45] * 3
        all_change(sheet, lambda: sheet.choose("file", "heron-fen-ring.toml"))
        assert not sheet.page.locator(".old .refused").count()
        assert [_opacity(sheet, css) for css in OLD_PARTS] == [1.0] * 3
        sheet.press("elevation", "ArrowRight", 10)
        sheet.wait_text("svg text", "north, 23 deg elevation")
        all_change(sheet, lambda: sheet.choose("rule", "endfire"))
        ring = "heron-fen-ring.toml"
        elevation = ('elevation = "22 deg"', 'elevation = "23 deg"')
        sheet.save(folder, before, ring, elevation, ('rule = "aligned" ', 'rule = "endfire" '))


def test_a_phone_in_the_dark_need_not_scroll_sideways(folder, worksheet):
    with worksheet(SHEET, theme="dark", width=390, height=800) as sheet:
        ready(sheet)
        all_change(sheet, lambda: sheet.choose("rule", "fewest-delays"))
        sheet.wait_text(".results", "next 1")
        sheet.check_readable("dark")
        size = sheet.page.evaluate(
            "() => Math.min(...[...document.querySelectorAll('svg[role=img] text')].map("
            "text => text.getBoundingClientRect().height))"
        )
        assert size > 7
