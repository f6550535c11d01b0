"""Make the README's pictures again: `python tests/browser/pictures.py`."""

import tempfile
from pathlib import Path

from harness import Laboratory, laboratory

from workbook.cli import main
from workbook.files import shipped

PICTURES = shipped("notebooks") / "pictures"


def cut_list(lab: Laboratory) -> None:
    """The top of the demo's build sheet."""
    main(["plan", "--out", str(lab.folder)])
    page = lab.browser.new_page(viewport={"width": 860, "height": 1000})
    page.goto((lab.folder / "build-sheet.html").as_uri())
    page.screenshot(path=PICTURES / "cut-list.png")


def delay_lines(lab: Laboratory) -> None:
    """The worksheet of the delay lines as it opens."""
    lab.fill()
    with lab.open("03-delay-lines", width=1240, height=1320) as sheet:
        sheet.wait_text("svg text", "Heron Fen ring")
        sheet.wait_run()
        sheet.screenshot(PICTURES / "delay-lines.png")


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, laboratory(Path(scratch)) as running:
        for make in (cut_list, delay_lines):
            make(running)
