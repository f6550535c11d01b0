"""What runs when a notebook is opened: the code of the shipped worksheets, and any other only on the reader's word."""

import json
from pathlib import Path

import pytest
from harness import Laboratory

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "05-cable-loss"
MARK = "code-of-another-has-run"


def changed(folder: Path) -> None:
    """Put a line of another's code into the worksheet's cell."""
    path = folder / f"{SHEET}.ipynb"
    sheet = json.loads(path.read_text())
    cell = next(cell for cell in sheet["cells"] if cell["cell_type"] == "code")
    cell["source"] = [f"from pathlib import Path\nPath('{MARK}').touch()\n", *cell["source"]]
    path.write_text(json.dumps(sheet))


def test_code_that_is_not_shipped_runs_only_when_the_reader_says_so(lab: Laboratory, folder):
    lab.close()
    changed(folder)
    with lab.open(SHEET, allow_problems=True) as sheet:
        sheet.wait_text(".jp-Dialog", "not that of a worksheet that came with the workbook")
        assert sheet.page.evaluate("document.activeElement.textContent") == "Do not run"
        sheet.page.get_by_role("button", name="Do not run", exact=True).click()
        sheet.page.wait_for_selector(".jp-Dialog", state="detached")
        # its code is there to be read
        sheet.page.wait_for_selector("body:not(.worksheet-page) .jp-InputPlaceholder", state="visible")
        # whatever would run after all would have run before a cell that is run now
        sheet.page.evaluate("""async () => {
          const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
          await kernel.requestExecute({code: "pass"}).done;
        }""")
        assert not (folder / MARK).exists()
        sheet.page.reload()
        sheet.wait_text(".jp-Dialog", SHEET)
        assert not (folder / MARK).exists()
        sheet.page.get_by_role("button", name="Run", exact=True).click()
        sheet.wait_text(".results", "Loss on every band")
        assert (folder / MARK).exists()


def test_a_shipped_worksheet_runs_unasked_and_takes_no_module_from_its_folder(lab: Laboratory, folder):
    lab.close()
    for name in ("numpy", "workbook", "ipykernel_launcher"):
        (folder / f"{name}.py").write_text(f"from pathlib import Path\nPath('{MARK}').touch()\n")
    with lab.open(SHEET) as sheet:
        sheet.wait_text(".results", "Loss on every band")
        assert not sheet.page.locator(".jp-Dialog").count()
        assert not (folder / MARK).exists()
