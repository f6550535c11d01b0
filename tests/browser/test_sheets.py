"""The printed sheets in a real browser: nothing runs off A4 or Letter paper, nothing is fetched, the page is light."""

import json
import re

import pytest

from workbook.cli import main
from workbook.files import shipped

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

# printable width at 96 dots an inch: paper less twice the 12 mm margin (ISO 216; ANSI/ASME Y14.1)
WIDTHS = {"A4": round((210 - 24) / 25.4 * 96), "Letter": round((215.9 - 24) / 25.4 * 96)}
OVER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
CLIPPED = "() => [...document.querySelectorAll('.wide')].map(box => box.scrollWidth - box.clientWidth)"


PAGE = re.compile(rb"/Type\s*/Page\b")
FIRST = "() => [...document.querySelectorAll('body > *')].sort((a, b) => a.offsetTop - b.offsetTop)[1].className"
WIDER = "() => document.documentElement.scrollWidth > window.innerWidth"


def pages(pdf: bytes) -> int:
    """Return how many pages a PDF has."""
    return len(PAGE.findall(pdf))


def test_on_a_phone_the_check_frequencies_come_first(lab, tmp_path, capsysbinary):
    assert main(["plan", "--out", str(tmp_path)]) == 0
    page = lab.browser.new_page(viewport={"width": 390, "height": 800})
    page.goto((tmp_path / "build-sheet.html").as_uri())
    assert not page.evaluate(WIDER)
    assert page.evaluate(FIRST) == "first"
    trimmed = page.locator(".cuts tbody tr:not(.untrimmed)").first
    check, length = trimmed.locator("td.check").bounding_box(), trimmed.locator("td").nth(2).bounding_box()
    assert check["y"] < min(length["y"], 400)
    last = page.locator(".cuts tbody tr:not(.untrimmed)").last.bounding_box()
    assert page.locator(".cuts tr.untrimmed").bounding_box()["y"] > last["y"]
    page.close()


RECEIVING = """
[front_end]
height = "7 m"
diameter = "25 mm"
choke_inductance = "200 uH"
choke_q = 60
choke_tolerance = 0.1
greatest_voltage = "5 V"

[[transmitters]]
name = "40 m, 400 W"
power = "400 W"
distance = "100 m"
frequency = "7.1 MHz"

[feed]
supply = "13.8 V"
least_voltage = "10 V"
current = "30 mA"

[prices]
"series-6-copper" = { price = 95, per = "305 m" }

[[stock]]
label = "R1"
cable = "series-6-copper"
length = "305 m"

[[stock]]
label = "R2"
cable = "series-6-copper"
length = "152 m"
velocity_factor = 0.83
"""


@pytest.mark.parametrize("paper", WIDTHS)
def test_a_sheet_with_runs_feed_and_reels_fits_the_paper_on_four_pages(lab, tmp_path, capsysbinary, paper):
    file = tmp_path / "ring.toml"
    demo = (shipped("notebooks") / "heron-fen-ring.toml").read_text(encoding="utf-8")
    file.write_text(demo + RECEIVING, encoding="utf-8")
    page = lab.browser.new_page(viewport={"width": WIDTHS[paper], "height": 1000})
    page.emulate_media(media="print")
    for options in (("--full",), ()):
        assert main(["plan", str(file), "--out", str(tmp_path), *options]) == 0
        page.goto((tmp_path / "build-sheet.html").as_uri())
        assert page.evaluate(OVER) <= 0
        assert all(over <= 0 for over in page.evaluate(CLIPPED))
    assert "11.6 V arrive" in page.inner_text("body")
    assert pages(page.pdf(prefer_css_page_size=True)) <= 4
    page.close()


@pytest.mark.parametrize("paper", WIDTHS)
@pytest.mark.parametrize("design", ["heron-fen-eight", "heron-fen-ring", "heron-fen-square", "heron-fen-row"])
def test_the_sheets_fit_the_paper(lab, tmp_path, capsysbinary, paper, design):
    file = str(shipped("notebooks") / f"{design}.toml")
    assert main(["plan", file, "--out", str(tmp_path), "--full"]) == 0
    page = lab.browser.new_page(viewport={"width": WIDTHS[paper], "height": 1000})
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.emulate_media(media="print")
    for sheet in ("build-sheet.html", "labels.html"):
        page.goto((tmp_path / sheet).as_uri())
        assert page.evaluate(OVER) <= 0
        assert all(over <= 0 for over in page.evaluate(CLIPPED))
        assert page.evaluate("() => getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert main(["plan", file, "--out", str(tmp_path)]) == 0
    page.goto((tmp_path / "build-sheet.html").as_uri())
    assert pages(page.pdf(prefer_css_page_size=True)) <= 4
    assert all(address.startswith("file:") for address in asked), json.dumps(asked)
    page.close()
