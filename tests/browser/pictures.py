"""Make the README's pictures anew: `python tests/browser/pictures.py`."""

import shutil
import tempfile
from pathlib import Path

from harness import need_chromium, worksheet
from playwright.sync_api import sync_playwright

from workbook.cli import main
from workbook.files import shipped

PICTURES = shipped("notebooks") / "pictures"


def cut_list(folder: Path) -> None:
    """The top of the demo's build sheet."""
    main(["plan", "--out", str(folder)])
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=need_chromium(), args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 860, "height": 1000})
        page.goto((folder / "build-sheet.html").as_uri())
        page.screenshot(path=PICTURES / "cut-list.png")
        browser.close()


def delay_lines(folder: Path) -> None:
    """The first worksheet as it opens."""
    for path in shipped("notebooks").iterdir():
        if path.is_file():
            shutil.copy(path, folder)
    with worksheet(folder, "03-delay-lines", width=1240, height=1320) as sheet:
        sheet.wait_text("svg text", "Heron Fen ring")
        sheet.wait_run()
        sheet.screenshot(PICTURES / "delay-lines.png")


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    for make in (cut_list, delay_lines):
        with tempfile.TemporaryDirectory() as scratch:
            make(Path(scratch))
