"""A worksheet as its reader sees it: controls by their names, tables by their cells, pictures by their shapes."""

import html
import re
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ipywidgets as widgets

from workbook import panels
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import THREAD

CONTROLS = (
    widgets.Dropdown,
    widgets.FloatSlider,
    widgets.SelectionSlider,
    widgets.Text,
    widgets.Textarea,
    widgets.Checkbox,
)
ANSWERS = ("status", "where", "old", "note")
"""Places that report on a move; they do not show its result."""
SHEETS: dict[str, Callable[[Path], widgets.Widget]] = {
    "01": panels.layout_and_stake_out,
    "02": panels.pattern,
    "03": panels.delay_lines,
    "04": lambda _: panels.electrical_length(),
    "05": panels.cable_loss,
    "06": lambda _: panels.matching(),
    "07": panels.real_ports,
    "08": panels.phase_error,
    "09": panels.tolerance,
    "10": panels.front_end,
    "11": panels.coax_for_long_runs,
    "12": panels.reels_and_cutting_plan,
    "13": panels.measure_and_trim,
    "14": panels.matched,
    "15": panels.ground_and_entry,
}


@dataclass(frozen=True)
class Sheet:
    """A panel, looked at from outside only."""

    root: widgets.Widget

    def everything(self) -> Iterator[widgets.Widget]:
        waiting = [self.root]
        while waiting:
            found = waiting.pop(0)
            yield found
            waiting[:0] = getattr(found, "children", ())

    @property
    def controls(self) -> dict[str, widgets.Widget]:
        """Every control by its name, which is its CSS class."""
        return {each._dom_classes[0]: each for each in self.everything() if isinstance(each, CONTROLS)}

    def move(self, name: str, value: Any) -> None:
        """Set a control that can be seen and used."""
        control = self.controls[name]
        assert control.layout.display != "none", f"{name} is not shown"
        assert not control.disabled, f"{name} cannot be used"
        control.value = value
        settle()

    def press(self, name: str) -> None:
        next(
            each for each in self.everything() if isinstance(each, widgets.Button) and name in each._dom_classes
        ).click()

    def page(self, name: str) -> str:
        """What is said in a place, without the style sheet."""
        return next(
            each for each in self.everything() if isinstance(each, widgets.HTML) and name in each._dom_classes
        ).value

    def _pages(self) -> Iterator[tuple[str, str]]:
        for each in self.everything():
            if isinstance(each, widgets.HTML) and each._dom_classes and "workbook-tables" in each.value:
                yield each._dom_classes[0], each.value.split("</style>")[-1]

    def tables(self) -> list[list[str]]:
        """Captions and cells of all tables, and every sentence that shows a result."""
        found = []
        for name, text in self._pages():
            rows = re.findall(r"<(?:tr|caption)>.*?</(?:tr|caption)>", text, flags=re.S)
            found += [re.findall(r"<(?:td|th|caption)[^>]*>(.*?)</", row, flags=re.S) for row in rows]
            if name not in ANSWERS:
                found += [re.findall(r'<p class="(?!refused)\w+">(.*?)</p>', text, flags=re.S)]
        return [row for row in found if row]

    def refusals(self) -> str:
        """What is refused, as it is read."""
        found = (part for _, text in self._pages() for part in re.findall(r'<p class="refused">(.*?)</p>', text))
        return html.unescape(" ".join(found))

    def pictures(self) -> list[list[tuple[str, dict[str, str]]]]:
        """The shapes of every picture: words and legend describe the state, and straight lines of aim follow it."""
        return [_shapes(each.svg) for each in self.everything() if isinstance(each, Picture)]


def settle() -> None:
    """Wait for the search that a moved control started."""
    for thread in threading.enumerate():
        if thread.name == THREAD:
            thread.join()


def _shapes(svg: str) -> list[tuple[str, dict[str, str]]]:
    if not svg:
        return []
    picture = ElementTree.fromstring(svg)
    for group in list(picture.iter()):
        for part in list(group):
            if part.tag.endswith("}text") or part.get("class") == "legend":
                group.remove(part)
    parts = [(part.tag, dict(part.attrib)) for part in picture.iter() if not part.tag.endswith(("}g", "}svg"))]
    return [(tag, shape) for tag, shape in parts if not re.fullmatch(r"M[-\d.,]+L[-\d.,]+", shape.get("d", ""))]


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
