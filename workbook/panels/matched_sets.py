"""Worksheet *matched sets*: a column of measured values in, sets, spares and spread out."""

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from workbook.bench.matched_sets import MatchedSets, matched_pairs_in_series, matched_sets
from workbook.bench.parts import values_in
from workbook.bench.reading import text_of
from workbook.errors import InputError
from workbook.figures.matched_sets import sets_chart
from workbook.figures.style import for_screen
from workbook.files import demo
from workbook.panels import controls
from workbook.panels.picture import Picture
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.plan.designs import load_design
from workbook.tables.matched_sets import (
    bought_sentence,
    delay_cost_sentence,
    sets_answer,
    sets_table,
    spares_sentence,
)
from workbook.worksheets import remembered_design

SETS, PAIRS = "sets of like parts", "pairs in series with like sums"
SORT = "Sort the parts"
EXAMPLE = """# twelve chokes marked 100 uH, an invented example
C1  101.2 uH
C2  97.4 uH
C3  108.9 uH
C4  99.1 uH
C5  92.3 uH
C6  104.4 uH
C7  100.3 uH
C8  95.8 uH
C9  110.7 uH
C10 98.2 uH
C11 103.5 uH
C12 106.1 uH
"""


class MatchedSetsPanel:
    """The controls and what they do; nothing is written anywhere."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        tip = "one line a part: label and value with its unit; several values apart by commas"
        self.values = controls.text_area("values", "values", tip, "C1  101.2 uH", 10)
        self.values.value = EXAMPLE
        self.upload = widgets.FileUpload(accept=".csv,.txt", multiple=False, description="or a text file")
        self.upload.tooltip = "a file with the same lines"
        self.upload.add_class("upload")
        tip = "unit of values that have none, in their order"
        self.units = controls.entry("unit", "units of bare numbers", tip, "such as uH, or dB, deg")
        tip = "for several values of a part: the spread of each that counts as much as the other's"
        self.scales = controls.entry("scales", "scales", tip, "such as 0.1 dB, 1 deg")
        self.kind = controls.choice("kind", "sort into", "what the parts are used as", (SETS, PAIRS))
        self.size = controls.slider("size", "parts in a set", "how many parts have to be alike", 2, 12, 1)
        self.count = controls.slider(
            "sets", "sets (0: all)", "how many sets or pairs; 0 makes as many as there are parts for", 0, 40, 1
        )
        for control, value in ((self.size, 4), (self.count, 0)):
            control.value, control.readout_format = value, ".0f"
        self.answer, self.page, self.picture = Answer(), Folds(SORT), Picture()
        self.status = controls.page("status")
        self.found: MatchedSets | None = None
        for control in (self.values, self.units, self.scales, self.kind, self.size, self.count):
            control.observe(lambda _: self._show(), "value")
        self.upload.observe(lambda change: self._take(change.new), "value")
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (
            Group("Sets", (self.kind, self.size, self.count)),
            Group("Measured parts", (self.values, self.upload)),
            Group("Units and scales", (self.units, self.scales)),
        )
        boxes = tuple(group.box() for group in groups)
        return worksheet(boxes, (self.answer.page,), (self.picture,), self.page, self.status)

    def _take(self, files: Any) -> None:
        """Put the text of an uploaded file into the field."""
        if not files:
            return
        try:
            self.values.value = text_of(bytes(files[0]["content"]))
        except InputError as error:
            self._say(str(error.within(files[0]["name"])))

    def _show(self) -> None:
        try:
            values = values_in(self.values.value, _listed(self.units.value))
            found = self._sorted(values)
        except InputError as error:
            self._say(str(error))
            return
        self.found = found
        self._say("")
        self.size.disabled = self.kind.value == PAIRS
        self.answer.show(sets_answer(found))
        self.picture.svg = for_screen(sets_chart(found, values).svg())
        self.picture.describes = bought_sentence(found)
        said = [bought_sentence(found), self._cost(found), spares_sentence(found)]
        notes = [controls.sentence(text, "note") for text in said if text]
        self.page.show(SORT, *notes, sets_table(found, values).html())

    def _sorted(self, values: dict[str, Any]) -> MatchedSets:
        count = round(self.count.value) or None
        if self.kind.value == PAIRS:
            return matched_pairs_in_series(values, count or max(1, len(values) // 2))
        return matched_sets(values, round(self.size.value), count, _listed(self.scales.value) or None)

    def _cost(self, found: MatchedSets) -> str:
        """Say what a spread of delays costs the design that is chosen in this folder."""
        if not found.spread.is_compatible_with("s"):
            return ""
        plan = load_design(remembered_design(self.folder) or demo()).stages()
        return delay_cost_sentence(found, plan)

    def _say(self, text: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, "refused")) if text else ""


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def matched(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *matched sets*."""
    return MatchedSetsPanel(Path(folder)).widget
