"""Open a worksheet in our JupyterLab with a real browser, and use it as a reader would.

Everything waits for what the page shows, never for a time.
"""

import os
import secrets
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote, urlsplit

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, sync_playwright

from workbook import lab
from workbook.files import demo, shipped

REQUIRED = "FEEDLINE_WORKBOOK_REQUIRE_BROWSER"
_SECONDS = 90  # how long anything may take before the test is given up; a slow machine needs a quarter of it
_CHROMIUM_OPTIONS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
]

_SHOWS = "([css, text]) => [...document.querySelectorAll(css)].some(node => node.textContent.includes(text))"
_OPEN = "() => window.jupyterapp?.shell.currentWidget?.content?.model?.cells?.length > 0"
_HAS_THEME = "light => document.body.dataset.jpThemeLight === light"
_RUN_AGAIN = "async () => { await window.jupyterapp.commands.execute('notebook:run-all-cells'); }"
# A cell that failed ends the run, and the cells after it get no number.
_RAN = """() => {
  const sheet = window.jupyterapp.shell.currentWidget;
  const cells = sheet.content.widgets.map(cell => cell.model).filter(
    model => model.type === "code" && model.sharedModel.source.trim());
  const failed = cells.some(model => model.outputs.toJSON().some(output => output.output_type === "error"));
  return failed || cells.every(model => model.executionCount !== null)
    && sheet.sessionContext.session?.kernel?.status === "idle";
}"""
_COMPLAINTS = """() => [...document.querySelectorAll(
  '[data-mime-type="application/vnd.jupyter.stderr"], [data-mime-type="application/vnd.jupyter.error"]')]
  .map(node => node.dataset.mimeType.split(".").pop() + " output: " + node.textContent.trim())"""
# Each picture as it is drawn: words and legend tell the state, and so would change whatever is drawn.
_DRAWN = """() => [...document.querySelectorAll(".jp-OutputArea svg[role=img]")].map(picture => {
  const copy = picture.cloneNode(true);
  copy.querySelectorAll("text, .legend").forEach(part => part.remove());
  return copy.innerHTML;
})"""
# What stands in places, in closed folds too, without the style sheets.
_SAID = """places => places.map(css => document.querySelector(css)).map(place => {
  const copy = place?.cloneNode(true);
  copy?.querySelectorAll("style").forEach(part => part.remove());
  return copy?.textContent ?? "";
})"""
_FIRST_PICTURE = ".jp-OutputArea svg[role=img]"
_MOVED = f"""([places, words, pictures, which]) => {{
  const said = ({_SAID})(places), drawn = ({_DRAWN})(), moved = drawn.map((one, n) => one !== pictures[n]);
  return drawn.length === pictures.length && (!places.length || said.some((text, n) => text !== words[n]))
    && which.every(n => moved[n]);
}}"""
_INKS = "() => [...document.querySelectorAll('svg[role=img] text')].map(text => getComputedStyle(text).fill)"
# Most pixels by which any part of the sheet that can be scrolled is wider than its window.
_SIDEWAYS = """() => {
  const sheet = window.jupyterapp.shell.currentWidget.content.node;
  const parts = [sheet, ...sheet.querySelectorAll("*")].filter(
    node => node.clientWidth > 0 && /auto|scroll/.test(getComputedStyle(node).overflowX));
  return Math.max(0, ...parts.map(node => node.scrollWidth - node.clientWidth));
}"""


def chromium() -> str | None:
    """Return the path of the installed chromium, or None."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def files(folder: Path) -> dict[str, bytes]:
    """Return all that a reader would find in a folder, by name."""
    found = (path for path in folder.rglob("*") if path.is_file() and ".ipynb_checkpoints" not in path.parts)
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def need_chromium() -> str:
    """Return the path of chromium; without one skip the test, or fail it where the browser is required."""
    path = chromium()
    if path is None:
        reason = "no chromium on the search path, so no worksheet can be opened in a browser"
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(f"{reason}, though {REQUIRED} is 1", pytrace=False)
        pytest.skip(reason)
    return path


@dataclass
class Sheet:
    """A worksheet open in the browser. Controls are named by the CSS class given them with `add_class`."""

    page: Page
    name: str
    heard: list[str] = field(default_factory=list)  # what the browser reported, in order
    used: bool = False

    def problems(self) -> list[str]:
        """What should not have been: outside requests, script errors, warnings and errors in the sheet."""
        return [*self.heard, *self.page.evaluate(_COMPLAINTS)]

    def look(self, theme: str, width: int, height: int) -> None:
        """Set the window's size, and whether the browser prefers `light` or `dark`, which the page follows."""
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        self.page.wait_for_function(_HAS_THEME, arg="false" if theme == "dark" else "true")

    def run_again(self) -> None:
        """Run all cells again, which makes fresh panels."""
        self.page.evaluate(_RUN_AGAIN)

    def wait_run(self) -> None:
        """Wait until every code cell has run, or one has failed."""
        self.page.wait_for_function(_RAN)

    def wait_text(self, css: str, text: str) -> None:
        """Wait until an element that `css` selects contains `text`."""
        self.page.wait_for_function(_SHOWS, arg=[css, text])

    def said(self, *places: str) -> list[str]:
        """Return the text of the places that CSS selectors name."""
        return list(self.page.evaluate(_SAID, list(places)))

    def drawn(self) -> list[str]:
        """Return what each picture draws, apart from its words and legend."""
        return list(self.page.evaluate(_DRAWN))

    def moves(
        self, act: Callable[[], object], *pictures: int, places: tuple[str, ...] = (".answer", ".results")
    ) -> None:
        """Do something to a control; text in `places`, and what each picture of these numbers draws, must change."""
        before = [list(places), self.said(*places), self.drawn(), list(pictures)]
        act()
        self.page.wait_for_function(_MOVED, arg=before)

    def retitles(self, act: Callable[[], object]) -> None:
        """Do something to a control that the first picture only puts into words; these and the tables must change."""
        self.moves(lambda: self.moves(act), places=(_FIRST_PICTURE,))

    def press(self, control: str, key: str, times: int = 1) -> None:
        """Press a key such as `ArrowRight` on a slider's first handle."""
        self.page.locator(f".{control} .noUi-handle").first.focus()
        for _ in range(times):
            self.page.keyboard.press(key)

    def readout(self, control: str) -> str:
        """Return the value that a slider shows beside itself."""
        amount = self.page.locator(f".{control}-readout")
        shown = amount if amount.count() else self.page.locator(f".{control} .widget-readout")
        return shown.inner_text().strip()

    def type_in(self, control: str, text: str) -> None:
        """Put `text` into a text or number field in place of what is there, and leave the field."""
        entry = self.page.locator(f".{control} :is(input, textarea)").first
        entry.fill(text)
        if entry.evaluate("node => node.tagName") == "INPUT":
            entry.press("Enter")
        entry.press("Tab")

    def choose(self, control: str, option: str) -> None:
        """Choose a dropdown's option by the text it shows."""
        self.page.locator(f".{control} select").select_option(label=option)

    def click(self, control: str, label: str | None = None) -> None:
        """Click a button or tick box; `label` is needed only where the control is a row of buttons."""
        self._buttons(control, label).first.click()

    def _buttons(self, control: str, label: str | None) -> Locator:
        css = f"button.{control}, .{control} button, .{control} input[type=checkbox]"
        return self.page.locator(css) if label is None else self.page.locator(css, has_text=label)

    def save(self, folder: Path, before: dict[str, bytes], name: str, *changes: tuple[str, str]) -> None:
        """Save the design and load it again; only now, and only by `changes`, may a file differ from `before`."""
        assert files(folder) == before
        self.click("save")
        self.wait_text(".status", "saved")
        text = before[name].decode()
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        assert files(folder) == before | {name: text.encode()}
        self.click("again")
        self.wait_text(".status", "loaded")
        self.wait_text(".where", "as it is in the file")

    def check_readable(self, theme: str) -> None:
        """Check that all fits the width, and that the pictures' words stand out on the theme's paper."""
        assert self.scroll_width() == 0
        inks = self.page.evaluate(_INKS)
        assert inks
        for ink in inks:
            parts = [int(part) for part in ink.strip("rgba()").split(",")[:3]]
            # light words in the dark and dark ones in the light, well away from the middle
            assert min(parts) > 150 if theme == "dark" else max(parts) < 100

    def scroll_width(self) -> int:
        """Pixels by which the sheet, or anything in it, must be scrolled sideways; 0 when all of it fits."""
        return int(self.page.evaluate(_SIDEWAYS))

    def screenshot(self, path: Path) -> None:
        """Save what the window shows as PNG."""
        self.page.screenshot(path=path)


@dataclass
class Laboratory:
    """Our JupyterLab on a folder, and a browser. The worksheet opened last stays open, to be run again."""

    folder: Path
    state: Path  # what our JupyterLab remembers, outside the folder
    browser: Browser
    _address: str  # of the server, `{}` in place of what is opened
    _sheet: Sheet | None = None

    @property
    def cables(self) -> Path:
        """Where the kernels look for the user's own cables; not there at first."""
        return self.state / "cables"

    def fill(self) -> None:
        """Put the shipped worksheets and demos into the folder, and take everything else out; forget the rest."""
        shutil.rmtree(self.cables, ignore_errors=True)
        for remembered in ("chosen-designs", "readings", "units"):
            shutil.rmtree(self.state / remembered, ignore_errors=True)
        for path in self.folder.iterdir():
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        for path in shipped("notebooks").iterdir():
            # not the demo that opens: its search would take most of the tests' time
            if path.is_file() and path != demo():
                shutil.copy(path, self.folder)

    @contextmanager
    def open(
        self,
        name: str,
        *,
        theme: str = "light",
        width: int = 1280,
        height: int = 1600,
        allow_problems: bool = False,
    ) -> Iterator[Sheet]:
        """Open a worksheet, or run it again if it is open; on leaving, any of `Sheet.problems()` fails the test.

        A test that looks at the problems itself allows them.
        """
        sheet = self._sheet if self._sheet and self._sheet.name == name else self._opened(name)
        self._sheet = None  # unless all goes well
        try:
            sheet.look(theme, width, height)
            if sheet.used:
                sheet.run_again()
            sheet.used = True
            yield sheet
        except BaseException as error:
            if isinstance(error, Exception):
                error.add_note("\n".join(["Problems in the page:", *sheet.problems()]))
            self.close(sheet)
            raise
        problems = [] if allow_problems else sheet.problems()
        if allow_problems or problems:
            self.close(sheet)
        else:
            self._sheet = sheet
        assert not problems, "\n".join(problems)

    def close(self, sheet: Sheet | None = None) -> None:
        """Close a worksheet, that which stayed open if none is named, and end its kernel."""
        sheet = sheet or self._sheet
        self._sheet = None
        if sheet is not None:
            sheet.page.evaluate("() => window.jupyterapp?.serviceManager.sessions.shutdownAll()")
            sheet.page.context.close()

    def _opened(self, name: str) -> Sheet:
        self.close()
        page = self.browser.new_page(viewport={"width": 1280, "height": 1600})
        page.set_default_timeout(_SECONDS * 1000)
        sheet = Sheet(page, name)
        _listen(sheet)
        page.goto(self._address.format(f"lab/tree/{quote(name)}.ipynb") + "&reset")
        page.wait_for_function(_OPEN)
        return sheet


@contextmanager
def laboratory(folder: Path) -> Iterator[Laboratory]:
    """Run our JupyterLab, nothing remembered, on a folder that is there, and a browser."""
    executable = need_chromium()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as scratch:
        state = Path(scratch)
        with _server(folder, state) as address, sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=executable, args=_CHROMIUM_OPTIONS)
            try:
                yield Laboratory(folder, state, browser, address)
            finally:
                browser.close()


def _listen(sheet: Sheet) -> None:
    """Note every request that leaves this machine and every complaint of the page's scripts."""

    def request(address: str) -> None:
        parts = urlsplit(address)
        if parts.scheme not in ("data", "blob", "about") and parts.hostname != "127.0.0.1":
            sheet.heard.append(f"outside request: {address}")

    def console(message: ConsoleMessage) -> None:
        if message.type == "error":
            sheet.heard.append(f"console error: {message.text}")

    sheet.page.context.on("request", lambda asked: request(asked.url))
    sheet.page.on("websocket", lambda socket: request(socket.url))
    sheet.page.on("console", console)
    sheet.page.on("pageerror", lambda error: sheet.heard.append(f"page error: {error}"))


@contextmanager
def _server(folder: Path, state: Path) -> Iterator[str]:
    """Run our JupyterLab on `folder`; yield its address, `{}` in place of what is opened."""
    token, port = secrets.token_hex(16), _free_port()
    base = f"http://127.0.0.1:{port}"
    options = ["--LabApp.expose_app_in_browser=True", f"--IdentityProvider.token={token}", "--allow-root"]
    with (state / "log").open("w", encoding="utf-8") as log:
        server = subprocess.Popen(
            lab.command(folder, port, open_browser=False, options=options),
            env=_fresh(state),
            stdout=log,
            stderr=subprocess.STDOUT,
        )
    try:
        _wait_listening(server, f"{base}/api/status?token={token}", state / "log")
        yield f"{base}/{{}}?token={token}"
    finally:
        _end(server)


def _fresh(state: Path) -> dict[str, str]:
    """Environment of a first start: nothing of the user's own Jupyter, IPython or cables."""
    elsewhere = {name: str(state / name.lower()) for name in ("JUPYTER_RUNTIME_DIR", "JUPYTER_DATA_DIR", "IPYTHONDIR")}
    own = {"FEEDLINE_WORKBOOK_CABLES": str(state / "cables")}
    return {**os.environ, **lab.environment(state), **elsewhere, **own}


def _free_port() -> int:
    """Return a port of this machine that nothing listens on."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


def _wait_listening(server: subprocess.Popen[bytes], status: str, log: Path) -> None:
    """Wait until the server answers at the address `status`."""
    deadline = time.monotonic() + _SECONDS
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(status, timeout=5):
                return
        except OSError:
            time.sleep(0.05)
    raise RuntimeError(f"JupyterLab did not start:\n{log.read_text(encoding='utf-8')}")


def _end(server: subprocess.Popen[bytes]) -> None:
    """End the server, which ends its kernels; only one that does not listen is killed."""
    server.terminate()
    try:
        server.wait(timeout=_SECONDS)
    except subprocess.TimeoutExpired:
        server.kill()
        server.wait()
