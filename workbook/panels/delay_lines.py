"""Worksheet *delay lines for a design*: sliders in, plan drawing, delays, cut list and trimming out."""

from pathlib import Path

import ipywidgets as widgets

from workbook.bench.trimming import TrimAdvice, trim_advice
from workbook.errors import InputError
from workbook.figures.delay_errors import delay_errors
from workbook.figures.plan_drawing import plan_drawing
from workbook.figures.style import for_screen, to_svg
from workbook.files import shipped
from workbook.panels import controls
from workbook.panels.picture import Picture
from workbook.panels.variation import Variation
from workbook.plan.cuts import design_cable
from workbook.plan.lists import RUNS, band_table, cut_list, delay_table, mhz
from workbook.plan.results import Check, Plan
from workbook.plan.store import Design, load_design
from workbook.units import Quantity, positive

DEMO = "heron-fen-ring.toml"


def tables(plan: Plan, direction: str) -> str:
    """Return the warnings and tables that the worksheet shows of a plan, fired in one direction."""
    warnings = "".join(controls.sentence(text, "refused") for text in plan.warnings)
    parts = (warnings, cut_list(plan).html(), delay_table(plan, direction).html(), band_table(plan).html())
    return controls.tables(*parts)


def design_files(folder: Path) -> tuple[str, ...]:
    """Return the design files at hand: those in the folder, else the bundled demo."""
    here = sorted(path.name for path in folder.glob("*.toml"))
    return tuple(here) or (str(shipped("notebooks") / DEMO),)


class DelayLinesPanel:
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = controls.choice("file", "design file", "the design files in this folder", design_files(folder))
        self.path = controls.entry("path", "another file", "path of a design file elsewhere", "path/to/design.toml")
        self.save = controls.button("save", "save to the design file", "write the sliders' values into the file")
        self.again = controls.button("again", "load again", "read the file anew; what is not saved is dropped")
        self.sliders, self.measured = controls.column(), controls.column()
        self.drawing, self.errors = Picture(), Picture()
        self.page, self.status = controls.page("results"), controls.page("status")
        self.where = controls.page("where")
        self.fields: dict[str, tuple[widgets.Text, widgets.HTML]] = {}
        self.variation: Variation | None = None
        self.shown: Design | None = None
        self.plan: Plan | None = None
        self.file.observe(lambda change: self._pick(change.new), "value")
        self.path.observe(lambda change: self._type(change.new.strip()), "value")
        self.save.on_click(lambda _: self._save())
        self.again.on_click(lambda _: self.shown and self._load(str(self.shown.path)))
        self._load(str(folder / self.file.value))

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        pictures = widgets.Box(
            [self.drawing, self.errors], layout=widgets.Layout(flex_flow="row wrap", width="100%", min_width="0")
        )
        help_text = widgets.HTML(
            "<b>Measured check frequency</b>: fit the connectors, leave the far end open, and enter the lowest "
            "frequency of zero reactance."
        )
        return controls.column(
            self.file,
            self.path,
            self.sliders,
            self.where,
            widgets.HBox([self.save, self.again], layout=widgets.Layout(flex_flow="row wrap")),
            self.status,
            pictures,
            self.page,
            help_text,
            self.measured,
        )

    def _pick(self, name: str | None) -> None:
        """Load a design chosen from the list."""
        if name:
            self.path.value = ""
            self._load(str(self.folder / name))

    def _type(self, path: str) -> None:
        """Load a design by its path; the list then shows none, so that any of it can be chosen again."""
        if path and self._load(path):
            self.file.value = None

    def _load(self, path: str) -> bool:
        """Read a design and set the controls to it; a design that cannot be read leaves everything as it is."""
        try:
            design = load_design(path)
            design.plan()
        except InputError as error:
            self._say(str(error), "refused")
            return False
        self.fields.clear()
        self._vary(design)
        self._say(f"{path}: loaded.", "done")
        return True

    def _vary(self, design: Design) -> None:
        """Start from a design with fresh controls."""
        old, self.variation = self.variation, Variation(design, self._show)
        self.sliders.children = self.variation.rows
        if old:
            old.close()
        self._show()

    def _show(self) -> None:
        assert self.variation is not None
        try:
            self.shown = self.variation.design.changed(self.variation.changes())
            self.plan = self.shown.plan()
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._say("", "done")
        unsaved = bool(self.shown.changes)
        text = f"{self.shown.path}: {'changed here and not saved.' if unsaved else 'as it is in the file.'}"
        self.where.value = controls.tables(controls.sentence(text, "todo" if unsaved else "done"))
        self._fields()
        direction = self.variation.direction.value
        # in the order of how soon they are ready, since the browser shows each as it comes
        self.drawing.svg = for_screen(plan_drawing(self.plan, direction))
        self.page.value = tables(self.plan, direction)
        self.errors.svg = for_screen(to_svg(delay_errors(self.plan)))

    def _fields(self) -> None:
        """Keep one field for every line and one for the runs, with what was typed into them."""
        assert self.plan is not None
        names = [line.label for line in self.plan.cut_order] + [RUNS]
        for name in names:
            if name not in self.fields:
                label = f"line {name} (MHz)" if name != RUNS else "element run (MHz)"
                field = controls.entry(
                    f"measured-{name}", label, "lowest frequency of zero reactance", "such as 1.7522 MHz"
                )
                answer = controls.page(f"advice-{name}")
                field.observe(lambda _, name=name: self._advise(name), "value")
                self.fields[name] = (field, answer)
        self.measured.children = [part for name in names for part in self.fields[name]]
        for name in names:
            self._advise(name)

    def _advise(self, name: str) -> None:
        field, answer = self.fields[name]
        check = self._check(name)
        field.placeholder = f"such as {mhz(check.first_cut_frequency_hz)}"
        text = ""
        try:
            if field.value.strip():
                advice = self._advice(name, controls.with_unit(field.value, "MHz"), check.frequency_hz)
                kind = {"keep": "done", "trim": "todo"}.get(advice.verdict, "refused")
                text = controls.sentence(f"{name}: {advice.sentence()}", kind)
        except InputError as error:
            text = controls.sentence(str(error).replace("_", " "), "refused")
        answer.value = controls.tables(text) if text else ""

    def _check(self, name: str) -> Check:
        assert self.plan is not None
        return self.plan.element_runs.check if name == RUNS else self.plan.line(name).check

    def _advice(self, name: str, text: str, wanted_hz: float) -> TrimAdvice:
        assert self.shown is not None
        assert self.plan is not None
        content = self.shown.content
        hertz = Quantity(content.bands[content.phasing.cut_band].m_as("Hz"), "Hz")
        measured = positive(text, "Hz", "measured_check_frequency")
        if not 0.5 < measured / wanted_hz < 2:
            raise InputError(
                f"measured_check_frequency: {mhz(measured)} MHz is far from the {mhz(wanted_hz)} MHz wanted; check the "
                "decimal point and the unit before you cut."
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
            made_of, text, Quantity(wanted, "s"), hertz, content.cutting.accept, connector_delay=end.delay
        )

    def _save(self) -> None:
        if self.shown is None:
            return
        try:
            saved = self.shown.save()
        except InputError as error:
            self._say(str(error), "refused")
            return
        direction = self.variation.direction.value if self.variation else None
        self._vary(saved)
        if self.variation and direction:
            self.variation.direction.value = direction
        self._say(f"{saved.path}: saved.", "done")

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))


def delay_lines(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *delay lines for a design*, on the design files of a folder."""
    return DelayLinesPanel(Path(folder)).widget
