"""What a reader sees when a worksheet's program or the whole workbook ends, and the worksheets as notebooks."""

import pytest
from harness import Laboratory, Sheet

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "05-cable-loss"
RESULT = "Loss on every band"
END = """() => {
  const {kernel} = window.jupyterapp.shell.currentWidget.sessionContext.session;
  kernel.requestExecute({code: "import os; os._exit(1)"}).done.catch(() => {});
}"""
# The page's settings as `lab --code` serves them.
SWITCHED = """
  const find = document.getElementById.bind(document);
  document.getElementById = id => {
    const node = find(id);
    if (id === "jupyter-config-data" && node) {
      node.textContent = node.textContent.replace('"showCode": false', '"showCode": true');
    }
    return node;
  };
"""
REFRESH = "() => { window.jupyterapp.serviceManager.sessions.refreshRunning().catch(() => {}); }"


@pytest.fixture
def sheet(lab: Laboratory, folder):
    lab.close()
    with lab.open(SHEET, allow_problems=True) as opened:
        opened.wait_text(".results", RESULT)
        yield opened


def test_a_worksheet_whose_program_ends_is_started_again_and_says_so(sheet: Sheet):
    sheet.page.evaluate(END)
    sheet.wait_text(".jp-Dialog", "started again")
    assert "kernel" not in sheet.said(".jp-Dialog")[0].lower()
    sheet.page.get_by_role("button", name="OK", exact=True).click()
    sheet.wait_text(".results", RESULT)
    before = sheet.said(".results")
    sheet.page.locator(".tick-input, .results").first.wait_for()
    sheet.press("length", "ArrowRight", 3)
    sheet.page.wait_for_function("before => document.querySelector('.results').innerText !== before", arg=before[0])


def test_a_workbook_that_has_ended_says_what_to_do_and_comes_back(sheet: Sheet):
    page = sheet.page
    page.context.set_offline(True)
    page.evaluate(REFRESH)
    sheet.wait_text(".jp-Dialog", "feedline-workbook lab")
    page.get_by_role("button", name="Reload", exact=True).click()
    sheet.wait_text(".jp-Dialog", "feedline-workbook lab")  # still away
    page.context.set_offline(False)
    page.evaluate("window.isOldPage = true")
    page.get_by_role("button", name="Reload", exact=True).click()
    page.wait_for_function("() => !window.isOldPage")
    page.wait_for_selector(".jp-Dialog", state="detached")
    sheet.wait_text(".results", RESULT)


def test_with_the_switch_worksheets_are_notebooks_to_be_edited(sheet: Sheet):
    page = sheet.page

    page.add_init_script(SWITCHED)
    page.reload()
    sheet.wait_text(".results", RESULT)
    assert not page.evaluate("document.body.classList.contains('worksheet-page')")
    assert page.locator(".jp-InputPlaceholder").first.is_visible()
    assert page.locator(".worksheet-strip select").is_visible()
    page.locator(".jp-MarkdownCell").first.dblclick()
    page.wait_for_selector(".jp-MarkdownCell .cm-editor")
    count = page.evaluate("window.jupyterapp.shell.currentWidget.content.model.cells.length")
    page.keyboard.press("Escape")
    page.keyboard.press("b")
    page.wait_for_function(
        "count => window.jupyterapp.shell.currentWidget.content.model.cells.length === count + 1", arg=count
    )
