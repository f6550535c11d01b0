"""The start page and the way from one worksheet to the next in a real browser."""

import pytest
from harness import Laboratory, Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

START, LAYOUT, LINES = "00-start", "01-layout-and-stake-out", "03-delay-lines"
RING, SQUARE = "Heron Fen ring", "Heron Fen square"


@pytest.fixture
def start(lab: Laboratory, folder):
    """The start page opened afresh, and closed afterwards, since these tests leave it for other worksheets."""
    lab.close()
    with lab.open(START, width=1280, height=900) as sheet:
        sheet.wait_text(".results", "Still open")
        yield sheet
    lab.close()


def in_front(sheet: Sheet, name: str) -> None:
    """Wait until a worksheet is in front and has run, and it alone is open with one program."""
    sheet.page.wait_for_function(
        "name => window.jupyterapp.shell.currentWidget?.context?.path === name", arg=f"{name}.ipynb"
    )
    sheet.wait_run()
    sheet.page.wait_for_function("""async () => {
      const {shell, serviceManager} = window.jupyterapp;
      await serviceManager.sessions.refreshRunning();
      return [...shell.widgets("main")].length === 1 && [...serviceManager.sessions.running()].length === 1;
    }""")
    assert sheet.page.evaluate("document.body.classList.contains('worksheet-page')")


def test_links_lead_to_every_worksheet_and_back(start, folder):
    page = start.page
    links = page.locator(".worksheet-list a")
    names = [link.get_attribute("href") for link in links.all()]
    assert names == sorted(path.name for path in folder.glob("*.ipynb"))[1:]
    page.get_by_role("link", name="Layout and stake-out").first.click()
    in_front(start, LAYOUT)
    start.wait_text(".results", "Stakes from the centre")
    page.locator(".worksheet-strip .next").click()
    in_front(start, "02-spacing-directions-pattern")
    page.locator(".worksheet-strip select").select_option(label="03 Delay lines for a design")
    in_front(start, LINES)
    start.type_in("measured-D", "1.70 MHz")
    start.wait_text(".advice-D", "cut off")
    page.locator(".worksheet-strip .previous").click()
    in_front(start, "02-spacing-directions-pattern")
    page.go_back()
    in_front(start, LINES)
    start.wait_text(".advice-D", "cut off")  # a reading is kept
    assert page.locator(".measured-D input").input_value() == "1.70 MHz"
    page.locator(".worksheet-strip select").select_option(label="Start")
    in_front(start, START)
    assert page.locator(".worksheet-strip .previous.none").count() == 1


def test_a_design_chosen_in_one_worksheet_is_chosen_in_the_next(start):
    start.choose("file", "heron-fen-square.toml")
    start.wait_text(".results", SQUARE)
    start.page.locator(".worksheet-strip .next").click()
    in_front(start, LAYOUT)
    start.wait_text("svg text", SQUARE)
    start.choose("file", "heron-fen-row.toml")
    start.wait_text("svg text", "Heron Fen row")
    start.page.locator(".worksheet-strip .previous").click()
    in_front(start, START)
    start.wait_text(".results", "Heron Fen row")


def test_changes_that_are_not_saved_are_asked_about_before_leaving(start, folder):
    page, before = start.page, files(folder)
    page.locator(".worksheet-strip select").select_option(label="03 Delay lines for a design")
    in_front(start, LINES)
    start.wait_text("svg text", RING)
    start.press("elevation", "ArrowRight", 3)
    start.wait_text(".where", "not saved")
    elevation = start.readout("elevation")
    page.locator(".worksheet-strip .previous").click()
    start.wait_text(".jp-Dialog", "not saved")
    page.get_by_role("button", name="Stay", exact=True).click()
    in_front(start, LINES)
    page.locator(".worksheet-strip select").select_option(label="Start")
    start.wait_text(".jp-Dialog", "not saved")
    page.get_by_role("button", name="Stay", exact=True).click()
    assert page.locator(".worksheet-strip select").input_value() == f"{LINES}.ipynb"
    assert files(folder) == before
    page.locator(".worksheet-strip .previous").click()
    page.get_by_role("button", name="Save and go", exact=True).click()
    in_front(start, "02-spacing-directions-pattern")
    saved = before["heron-fen-ring.toml"].decode().replace('"22 deg"', f'"{float(elevation):g} deg"')
    assert files(folder) == before | {"heron-fen-ring.toml": saved.encode()}


def test_a_new_design_is_written_and_shown_everywhere(start, folder):
    page = start.page
    page.get_by_text("A new design", exact=True).click()
    page.wait_for_selector(".new-write", state="visible")
    start.type_in("new-name", "Long Meadow")
    start.choose("new-kind", "square")
    start.choose("new-units", "feet")
    page.wait_for_selector(".new-size input[placeholder='80 ft']")  # the usual size of what was chosen
    start.type_in("new-size", "82 ft 6 in")
    start.choose("new-rule", "aligned")
    start.click("new-write")
    start.wait_text(".new-answer", "written")
    start.wait_text(".results", "Long Meadow")
    assert 'side = "82 ft 6 in"' in (folder / "long-meadow.toml").read_text()
    page.locator(".worksheet-strip .next").click()
    in_front(start, LAYOUT)
    start.wait_text("svg text", "Long Meadow")


def test_the_start_page_fits_and_leads_on(start):
    page = start.page
    for theme, width in (("dark", 390), ("light", 390), ("light", 1280)):
        start.look(theme, width, 800)
        fold = page.get_by_text("A new design", exact=True)
        form = page.locator(".new-write")
        for state in ("visible", "hidden"):
            assert start.scroll_width() == 0
            fold.click()
            form.wait_for(state=state)
        strip = page.locator(".worksheet-strip").bounding_box()
        for part in (".next", "select", ".run-again"):
            box = page.locator(f".worksheet-strip {part}").bounding_box()
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width
            assert strip["y"] <= box["y"]
            assert box["y"] + box["height"] <= strip["y"] + strip["height"]
    page.locator(".worksheet-strip .next").click()
    in_front(start, LAYOUT)
