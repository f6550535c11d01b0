"""A worksheet as a page in a real browser: nothing typed, clicked or dragged outside a control changes or hides it."""

import string

import pytest
from harness import Sheet, files

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("default")]

SHEET = "03-delay-lines"
KEYS = [*string.ascii_lowercase, *string.digits, "Delete", "Backspace", "Escape", "Enter"]
KEYS += ["ArrowDown", "ArrowUp", "ArrowRight", "ArrowLeft"]
COMBINATIONS = [
    *("d d", "i i", "0 0"),
    *("Shift+Enter", "Control+Enter", "Alt+Enter", "Shift+m", "Shift+l", "Control+s", "Control+z", "Control+b"),
    *(
        "Control+Shift+c",
        "Control+Shift+f",
        "Control+Shift+h",
        "Control+Shift+d",
        "Alt+ArrowUp",
        "Control+Shift+ArrowUp",
    ),
]
# where the focus is: each kind of control, and whatever else of the page can be clicked
CONTROLS = {
    "slider": ".spacing .noUi-handle",
    "steps": ".band .noUi-handle",
    "choice": ".file select",
    "text field": ".path input",
    "button": "button.again",
    "list of worksheets": ".worksheet-strip select",
}
ELSEWHERE = {
    "text": ".jp-MarkdownCell .jp-RenderedMarkdown p",
    "picture": ".jp-OutputArea svg[role=img]",
    "table": ".results caption",
    "label": ".spacing .widget-label",
}
# The worksheet as its reader has it: cells, what is seen of them, and that nothing else is open.
STATE = """() => {
  const panel = window.jupyterapp.shell.currentWidget, {content} = panel;
  const seen = css => [...panel.node.querySelectorAll(css)].filter(node => node.getBoundingClientRect().height > 0);
  return {
    path: panel.context.path,
    cells: content.model.toJSON().cells.map(({id, cell_type, source, metadata}) => ({id, cell_type, source, metadata})),
    texts: seen(".jp-RenderedMarkdown").map(node => node.innerText),
    code: seen(".cm-editor, .jp-InputPlaceholder, .jp-InputPrompt, .jp-OutputPrompt, .jp-Collapser").length,
    bars: seen(".jp-Toolbar, .jp-cell-toolbar, .jp-Notebook-footer").length,
    panels: seen(".results").length,
    pictures: seen("svg[role=img]").length,
    around: [...document.querySelectorAll(
      "#jp-menu-panel, #jp-bottom-panel, #jp-left-stack, .jp-SideBar, #jp-title-panel-title")]
      .filter(node => node.offsetHeight * node.offsetWidth > 0).map(node => node.id || node.className),
    open: [...document.querySelectorAll(".lm-Menu, .jp-Dialog, .lm-CommandPalette, .jp-DocumentSearch-overlay")]
      .filter(node => node.offsetHeight > 0).length,
    page: document.body.classList.contains("worksheet-page"),
    asks: content.model.dirty,
  };
}"""


def ready(sheet: Sheet) -> dict:
    sheet.wait_text(".results", "cut list")
    sheet.wait_text("svg text", "Heron Fen ring")
    sheet.wait_run()
    state = sheet.page.evaluate(STATE)
    assert state["page"]
    assert [state[part] for part in ("code", "bars", "around", "open", "asks")] == [0, 0, [], 0, False]
    assert state["panels"]
    assert state["pictures"]
    assert not any(cell["metadata"]["editable"] or cell["metadata"]["deletable"] for cell in state["cells"])
    return state


def check_as_it_was(sheet: Sheet, before: dict, what: str) -> None:
    after = sheet.page.evaluate(STATE)
    changed = {key: after[key] for key in before if after[key] != before[key]}
    assert not changed, f"{what}: {changed}"


def press(sheet: Sheet, keys: str) -> None:
    for key in keys.split():
        sheet.page.keyboard.press(key)


@pytest.mark.parametrize("place", CONTROLS)
def test_no_key_pressed_in_a_control_changes_the_worksheet(folder, worksheet, place):
    with worksheet(SHEET) as sheet:
        before = ready(sheet)
        for keys in [*KEYS, *COMBINATIONS]:
            if place == "list of worksheets" and (keys[0].isdigit() or "Arrow" in keys):
                continue  # it chooses a worksheet, which is what the list is for
            sheet.page.locator(CONTROLS[place]).first.focus()
            press(sheet, keys)
        check_as_it_was(sheet, before, place)


def test_no_key_pressed_elsewhere_changes_anything(folder, worksheet):
    kept = files(folder)
    with worksheet(SHEET) as sheet:
        before = ready(sheet)
        said, drawn = sheet.said(".results", ".where"), sheet.drawn()
        for place, css in ELSEWHERE.items():
            for keys in [*KEYS, *COMBINATIONS]:
                sheet.page.locator(css).first.click(position={"x": 3, "y": 3})
                press(sheet, keys)
            check_as_it_was(sheet, before, place)
        sheet.page.evaluate("document.activeElement.blur()")
        for keys in [*KEYS, *COMBINATIONS]:
            press(sheet, keys)
        check_as_it_was(sheet, before, "page")
        assert (sheet.said(".results", ".where"), sheet.drawn()) == (said, drawn)
    assert files(folder) == kept


def test_double_click_drag_paste_and_context_menu_change_nothing(folder, worksheet):
    with worksheet(SHEET) as sheet:
        before = ready(sheet)
        said, drawn = sheet.said(".results", ".where"), sheet.drawn()
        text, last = (sheet.page.locator(".jp-MarkdownCell .jp-RenderedMarkdown p").nth(n) for n in (0, -1))
        for place in (text, last, *(sheet.page.locator(css).first for css in ELSEWHERE.values())):
            place.dblclick(position={"x": 3, "y": 3})
            sheet.page.keyboard.press("Control+c")
            sheet.page.keyboard.press("Control+v")
            sheet.page.keyboard.press("Control+x")
            place.click(button="middle", position={"x": 3, "y": 3})
            place.click(button="right", position={"x": 3, "y": 3})
            sheet.page.keyboard.press("Escape")
            check_as_it_was(sheet, before, "mouse")
        text.drag_to(last)
        last.drag_to(text)
        sheet.page.evaluate("""() => {
          const data = new DataTransfer();
          data.setData("text/plain", "dropped");
          for (const node of document.querySelectorAll(".jp-Cell, .jp-Notebook, .jp-RenderedMarkdown")) {
            for (const kind of ["dragenter", "dragover", "drop"]) {
              node.dispatchEvent(new DragEvent(kind, {dataTransfer: data, bubbles: true, cancelable: true}));
            }
            node.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}));
          }
        }""")
        check_as_it_was(sheet, before, "drag and drop")
        assert (sheet.said(".results", ".where"), sheet.drawn()) == (said, drawn)


def test_a_double_click_in_a_field_still_selects_and_pastes(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        field = sheet.page.locator(".path input")
        field.fill("stakes")
        field.dblclick()
        sheet.page.keyboard.press("Control+c")
        sheet.page.keyboard.press("ArrowRight")
        sheet.page.keyboard.press("Control+v")
        assert field.input_value() == "stakesstakes"
        field.fill("")


def test_run_again_starts_from_the_design_file(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        value = sheet.readout("spacing")
        sheet.press("spacing", "ArrowRight", 3)
        sheet.wait_text(".where", "not saved")
        sheet.page.get_by_role("button", name="Run again", exact=True).click()
        sheet.wait_text(".where", "as it is in the file")
        sheet.wait_run()
        assert sheet.readout("spacing") == value


def test_the_browser_asks_before_changes_that_are_not_saved_are_closed(folder, worksheet):
    with worksheet(SHEET) as sheet:
        ready(sheet)
        dialogs = []

        def answer(dialog):
            dialogs.append(dialog.type)
            dialog.accept()

        sheet.page.on("dialog", answer)
        sheet.page.reload()
        ready(sheet)
        assert dialogs == []
        sheet.press("elevation", "ArrowRight", 3)
        sheet.wait_text(".where", "not saved")
        sheet.page.reload()
        ready(sheet)
        assert dialogs == ["beforeunload"]


@pytest.mark.parametrize(
    ("name", "css", "shown"),
    [
        ("05-cable-loss", ".jupyter-widgets input[type=checkbox]", "Loss on every band"),
        ("05-cable-loss", ".resistance input", "Loss on every band"),
        ("00-start", ".new-design .jupyter-widget-Collapse-header", "Heron Fen ring"),
        ("00-start", ".worksheet-list a", "Heron Fen ring"),
    ],
)
def test_no_key_pressed_in_other_kinds_of_control_changes_the_worksheet(folder, worksheet, name, css, shown):
    with worksheet(name) as sheet:
        sheet.wait_text(".results", shown)
        sheet.wait_run()
        before = sheet.page.evaluate(STATE)
        for keys in [*KEYS, *COMBINATIONS]:
            if "Enter" in keys and css.endswith(" a"):
                continue  # it follows the link
            sheet.page.locator(css).first.focus()
            press(sheet, keys)
        check_as_it_was(sheet, before, css)
