"""What is cut and measured: every piece with its first cut, check frequency and a box for the reading, answered."""

import html
from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from workbook.checks import positive
from workbook.errors import InputError
from workbook.panels import controls
from workbook.plan.marks import RUN, piece_marks
from workbook.plan.pieces import DelayLine, ElementRuns
from workbook.plan.reel_velocity import ReelVelocity, reel_velocity
from workbook.plan.stages import Stages
from workbook.plan.trimming import PieceTrim, trim_plan
from workbook.tables.cuts import mhz
from workbook.tables.reel_velocity import reel_sentence
from workbook.tables.trimming import trim_cost, trim_sentence, verdict
from workbook.units import Quantity
from workbook.worksheets import remember_readings, remembered_readings

NOT_MEASURED = "not measured"
"""Verdict on a piece without a reading."""
_HEAD = "".join(f"<span>{name}</span>" for name in ("piece", "first cut", "MHz, first cut", "MHz, trimmed", "verdict"))


class Readings:
    """A row for each piece of delay line and each element run; readings are kept for when the worksheet opens again.

    Readings that are off by the same share give the velocity factor of the reel; a button calls `put` with it.
    """

    def __init__(self, put: Callable[[ReelVelocity], None]) -> None:
        self.fields: dict[str, tuple[widgets.Text, widgets.HTML]] = {}
        self._cells: dict[str, widgets.HTML] = {}
        self._rows, self.reel_page = controls.column(), controls.page("reel-velocity")
        self.put = controls.button(
            "put-reel",
            "use this velocity factor",
            "for this cable in the design, which is then saved by its own button",
        )
        self.put.layout.display = "none"
        self.put.on_click(lambda _: put(self.reel) if self.reel else None)
        self.reel: ReelVelocity | None = None
        head = widgets.HTML(_HEAD)
        label = widgets.Label("reading MHz")
        listed = widgets.VBox((_row(head, label), self._rows))
        listed.add_class("worksheet-readings")
        # above the list, which scrolls; neither is squeezed where the window is low
        self.reel_page.layout.flex = self.put.layout.flex = "0 0 auto"
        self.widget = widgets.VBox((self.reel_page, self.put, listed))

    def show(self, plan: Stages, path: Path) -> None:
        """Show the pieces of a plan, with what was typed for them."""
        self._plan, self._path = plan, path
        self._lines = piece_marks(plan)
        names = list(self._lines)
        known = remembered_readings(path)
        for name in names:
            if name not in self.fields:
                self._add(name, known.get(name, ""))
        self._rows.children = tuple(
            part for name in names for part in (_row(self._cells[name], self.fields[name][0]), self.fields[name][1])
        )
        self._answer()

    def forget(self) -> None:
        """Let go of the readings, which belong to the pieces of one design."""
        self.fields.clear()
        self._cells.clear()

    def _add(self, name: str, typed: str) -> None:
        tip = "lowest frequency of zero reactance, connectors fitted, far end open"
        kind = name.replace(" ", "-")
        field = controls.entry(f"measured-{kind}", name, tip, "such as 1.7522 MHz")
        field.add_class("amount-field")
        field.value = typed
        self.fields[name] = (field, controls.page(f"advice-{kind}"))
        self._cells[name] = widgets.HTML()
        field.observe(lambda _: self._measured(name), "value")

    def _measured(self, name: str) -> None:
        """Answer a reading, and keep it for when the worksheet is opened again."""
        typed = remembered_readings(self._path) | {name: self.fields[name][0].value.strip()}
        remember_readings(self._path, {piece: text for piece, text in typed.items() if text})
        self._answer()

    def _answer(self) -> None:
        """Answer every reading, since what a run has to be follows from the others."""
        readings, refused = {}, {}
        for name in self._lines:
            try:
                if self.fields[name][0].value.strip():
                    readings[name] = self._hertz(name)
                    trim_plan(self._plan, {name: Quantity(readings[name], "Hz")})
            except InputError as error:
                readings.pop(name, None)
                refused[name] = str(error)
        trims = trim_plan(self._plan, {name: Quantity(hertz, "Hz") for name, hertz in readings.items()})
        by_name = {one.name: one for one in trims}
        for name in self._lines:
            self._advise(name, by_name.get(name), refused.get(name))
        self._find_reel(readings)

    def _advise(self, name: str, trim: PieceTrim | None, refused: str | None) -> None:
        """Say what to do with a piece, with the costs of its error below its row."""
        (field, answer), piece = self.fields[name], self._piece(name)
        field.description = f"{name} (MHz)"
        field.placeholder = f"such as {mhz(piece.check.first_cut_frequency_hz)}"
        said, text = NOT_MEASURED, ""
        if refused is not None:
            said, text = "check the reading", controls.sentence(refused, "refused")
        elif trim is not None:
            said = verdict(trim)
            kind = {"keep": "done", "trim": "todo", "measure": "todo"}.get(said.split(" ")[0].strip(":"), "refused")
            text = controls.sentence(f"{trim_sentence(trim, self._plan.units)} {trim_cost(trim)}", kind)
        check = piece.check
        frequencies = mhz(check.first_cut_frequency_hz), mhz(check.frequency_hz)
        cells = (name, self._plan.units.text(piece.first_cut_m), *frequencies, said)
        self._cells[name].value = "".join(f"<span>{html.escape(cell)}</span>" for cell in cells)
        answer.value = controls.tables(text) if text else ""

    def _find_reel(self, readings: dict[str, float]) -> None:
        """Say what the reel's velocity factor is where the readings agree, unless the design has one of its own."""
        design = self._plan.design
        own = design.cables.delay_line in design.velocity_factor
        self.reel = None if own else reel_velocity(self._plan, readings)
        said = controls.sentence(reel_sentence(self.reel), "todo") if self.reel else ""
        self.reel_page.value = controls.tables(said) if said else ""
        self.put.layout.display = None if self.reel else "none"

    def _piece(self, name: str) -> DelayLine | ElementRuns:
        line = self._lines[name]
        return self._plan.element_runs if line == RUN else self._plan.line(line)

    def _hertz(self, name: str) -> float:
        """Return a reading [Hz], refused where it is far from what is wanted."""
        wanted = self._piece(name).check.frequency_hz
        text = controls.with_default_unit(self.fields[name][0].value, "MHz")
        measured = float(positive(text, "Hz", "measured check frequency"))
        if not 0.5 < measured / wanted < 2:
            raise InputError(
                f"{mhz(measured)} MHz is far from the {mhz(wanted)} MHz wanted",
                where="measured check frequency",
                remedy="check the decimal point and the unit before you cut",
            )
        return measured


def _row(cells: widgets.Widget, field: widgets.Widget) -> widgets.Box:
    made = widgets.Box((cells, field))
    cells.add_class("reading-cells")
    made.add_class("reading-row")
    return made
