"""Worksheet *delay lines for a design*: sliders in, plan drawing, delays, cut list and trimming out."""

from pathlib import Path

import ipywidgets as widgets

from workbook.bench.trimming import TrimAdvice, trim_advice
from workbook.checks import positive
from workbook.errors import InputError
from workbook.figures.delay_errors import delay_errors
from workbook.figures.plan_drawing import plan_drawing
from workbook.figures.style import for_screen
from workbook.panels import controls
from workbook.panels.design_controls import DelayLineControls
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.plan.cuts import design_cable
from workbook.plan.designs import Design
from workbook.plan.line_costs import LineCosts
from workbook.plan.pieces import Check
from workbook.plan.results import Cost
from workbook.plan.stages import AnyPlan
from workbook.tables.costs import cost_sentence
from workbook.tables.cuts import RUNS, band_table, cut_list, mhz, piece_name
from workbook.tables.lines import trim_sentence
from workbook.tables.wiring import delay_table
from workbook.units import Quantity
from workbook.worksheets import remember_readings, remembered_readings


def tables(plan: AnyPlan, direction: str) -> str:
    """Return the warnings and tables that the worksheet shows of a plan, fired in one direction."""
    warnings = "".join(controls.sentence(text, "warning") for text in plan.warnings)
    parts = (warnings, cut_list(plan).html(), delay_table(plan, direction).html(), band_table(plan).html())
    return controls.tables(*parts)


class DelayLinesPanel(PlanPanel[DelayLineControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "match", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.measured = controls.column()
        self.drawing, self.errors = Picture(), Picture()
        self.page = controls.page("results")
        self.fields: dict[str, tuple[widgets.Text, widgets.HTML]] = {}
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        help_text = widgets.HTML(
            "<b>Measured check frequency</b>: fit the connectors, leave the far end open, and enter the lowest "
            "frequency of zero reactance."
        )
        return controls.column(
            self.file,
            self.path,
            self.sliders,
            self.where,
            self.buttons,
            self.status,
            self.old,
            controls.row(self.drawing, self.errors),
            self.page,
            help_text,
            self.measured,
        )

    def make_controls(self, design: Design) -> DelayLineControls:
        """Return fresh sliders."""
        return DelayLineControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def forget(self) -> None:
        """Let go of the readings, which belong to the lines of one design."""
        self.fields.clear()

    def draw(self) -> None:
        """Show the plan, in the order of how soon each part is ready, since the browser shows each as it comes."""
        direction = self.design_controls.direction.value
        self.mark_current()
        self._fields()
        self.drawing.svg = for_screen(plan_drawing(self.plan, direction))
        self.page.value = tables(self.plan, direction)
        self.errors.svg = for_screen(delay_errors(self.plan).svg())

    def _fields(self) -> None:
        """Keep one field for every line and one for the runs, with what was typed into them."""
        names = [line.label for line in self.plan.cut_order] + [RUNS]
        known = remembered_readings(self._path)
        for name in names:
            if name not in self.fields:
                field = controls.entry(
                    f"measured-{name}", name, "lowest frequency of zero reactance", "such as 1.7522 MHz"
                )
                field.value = known.get(name, "")
                answer = controls.page(f"advice-{name}")
                field.observe(lambda _, name=name: self._measured(name), "value")
                self.fields[name] = (field, answer)
        self.measured.children = [part for name in names for part in self.fields[name]]
        for name in names:
            self._advise(name)

    @property
    def _path(self) -> Path:
        assert self.shown.path is not None  # a panel loads its designs from files
        return self.shown.path

    def _measured(self, name: str) -> None:
        """Answer a reading, and keep it for when the worksheet is opened again."""
        self._advise(name)
        typed = {piece: field.value.strip() for piece, (field, _) in self.fields.items()}
        remember_readings(self._path, {piece: text for piece, text in typed.items() if text})

    def _advise(self, name: str) -> None:
        field, answer = self.fields[name]
        check = self._check(name)
        field.description = f"{self._called(name)} (MHz)"
        field.placeholder = f"such as {mhz(check.first_cut_frequency_hz)}"
        text = ""
        try:
            if field.value.strip():
                advice = self._advice(name, controls.with_default_unit(field.value, "MHz"), check.frequency_hz)
                kind = {"keep": "done", "trim": "todo"}.get(advice.verdict, "refused")
                costs = cost_sentence(self._cost(name, float(advice.error.m_as("turn"))))
                text = controls.sentence(f"{self._called(name)}: {trim_sentence(advice)} {costs}", kind)
        except InputError as error:
            text = controls.sentence(str(error), "refused")
        answer.value = controls.tables(text) if text else ""

    def _cost(self, name: str, late_turns: float) -> Cost | None:
        """Return what a piece costs that is late by turns on the cut band."""
        seconds = late_turns / self.plan.band(self.plan.cut_band).frequency_hz
        costs = LineCosts(self.plan)
        return costs.of_run(seconds) if name == RUNS else costs.of_delay(name, seconds)

    def _called(self, name: str) -> str:
        """Return how the cut list calls a piece."""
        if name == RUNS:
            return "element run"
        called = piece_name(name, self.plan.line(name))
        return f"line {name}" if called == name else called

    def _check(self, name: str) -> Check:
        return self.plan.element_runs.check if name == RUNS else self.plan.line(name).check

    def _advice(self, name: str, text: str, wanted_hz: float) -> TrimAdvice:
        content = self.shown.content
        hertz = Quantity(content.bands[content.phasing.cut_band].m_as("Hz"), "Hz")
        measured = positive(text, "Hz", "measured check frequency")
        if not 0.5 < measured / wanted_hz < 2:
            raise InputError(
                f"{mhz(measured)} MHz is far from the {mhz(wanted_hz)} MHz wanted",
                where="measured check frequency",
                remedy="check the decimal point and the unit before you cut",
            )
        if name == RUNS:
            made_of, end = design_cable(content, content.cables.element_run), content.ends.element_run
            degrees = next(
                b for b in self.plan.element_runs.bands if b.name == self.plan.cut_band
            ).electrical_length_deg
            wanted = degrees / 360 / hertz.m_as("Hz")
        else:
            made_of, end = design_cable(content, content.cables.delay_line), content.ends.delay_line
            wanted = self.plan.line(name).delay_s
        return trim_advice(
            made_of,
            text,
            Quantity(wanted, "s"),
            hertz,
            Quantity(self.plan.accept_deg, "degree"),
            connector_delay=end.delay,
        )


def delay_lines(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *delay lines for a design*, on the design files of a folder."""
    return DelayLinesPanel(Path(folder)).widget
