"""Worksheet *delay lines for a design*: sliders in, plan drawing, delays, cut list and trimming out."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from workbook.bench.trimming import trim_advice
from workbook.errors import InputError
from workbook.figures.delay_errors import delay_errors
from workbook.figures.plan_drawing import plan_drawing
from workbook.figures.style import for_screen, to_svg
from workbook.files import shipped
from workbook.line.catalogue import cables
from workbook.panels import controls
from workbook.panels.picture import Picture
from workbook.plan.cuts import design_cable
from workbook.plan.lists import RUNS, band_table, cut_list, delay_table
from workbook.plan.results import Plan
from workbook.plan.schema import RingArray, RowArray, SquareArray
from workbook.plan.store import Design, load_design
from workbook.units import Quantity

DEMO = "heron-fen-ring.toml"


@dataclass(frozen=True)
class View:
    """What the worksheet shows for one design: two pictures and the tables."""

    drawing: str
    errors: str
    tables: str


def view(plan: Plan, direction: str) -> View:
    """Return everything the worksheet shows of a plan, fired in one direction."""
    warnings = "".join(controls.sentence(text, "refused") for text in plan.warnings)
    parts = (warnings, cut_list(plan).html(), delay_table(plan, direction).html(), band_table(plan).html())
    drawing, errors = (for_screen(to_svg(figure)) for figure in (plan_drawing(plan, direction), delay_errors(plan)))
    return View(drawing, errors, controls.tables(*parts))


@dataclass(frozen=True)
class Size:
    """How a kind of array is sized: its key in the file, and the key and the width across per spacing."""

    key: str
    key_per_spacing: float
    across_per_spacing: float


def size_of(array: Any) -> Size | None:
    """Return how an array is sized; None where every position is entered."""
    if isinstance(array, RingArray):
        ratio = 1 / math.sin(math.pi / array.count)
        return Size("diameter", ratio, ratio)
    if isinstance(array, SquareArray):
        return Size("side", 1.0, math.sqrt(2))
    if isinstance(array, RowArray):
        return Size("spacing", 1.0, array.count - 1)
    return None


def design_files(folder: Path) -> tuple[str, ...]:
    """Return the design files at hand: those in the folder, else the bundled demo."""
    here = sorted(path.name for path in folder.glob("*.toml"))
    return tuple(here) or (str(shipped("notebooks") / DEMO),)


class DelayLinesPanel:
    """The controls of the worksheet and what they do; holds the design as it was loaded and as it is shown."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = controls.choice("file", "design file", "the design files in this folder", design_files(folder))
        self.path = controls.entry("path", "another file", "path of a design file elsewhere", "path/to/design.toml")
        self.band = controls.steps("band", "cut band", "lines have exactly their delay on this band", ("",))
        self.cable = controls.choice("cable", "delay-line cable", "what the delay lines are made of", cables())
        self.across = controls.slider("across", "size across (m)", "how wide the whole array is", 1, 200, 0.1)
        self.spacing = controls.slider("spacing", "spacing (m)", "from one element to the next", 0.5, 120, 0.1)
        self.elevation = controls.slider("elevation", "elevation (deg)", "of the waves to add in step", 0, 89, 0.1)
        self.direction = controls.choice("direction", "show direction", "which direction the drawing and delays show")
        self.save = controls.button("save", "save to the design file", "write the sliders' values into the file")
        self.drawing, self.errors = Picture(), Picture()
        self.page, self.status = controls.page("results"), controls.page("status")
        self.measured = widgets.VBox(layout=widgets.Layout(width="100%", min_width="0", overflow="hidden"))
        self.fields: dict[str, tuple[widgets.Text, widgets.HTML]] = {}
        self.loaded: Design | None = None
        self.shown: Design | None = None
        self.plan: Plan | None = None
        self.spacing_m = self.elevation_placed = 0.0
        self._busy = False
        self._wire()
        self._load(str(folder / self.file.value))

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        sliders = (self.band, self.cable, self.across, self.spacing, self.elevation, self.direction)
        pictures = widgets.Box(
            [self.drawing, self.errors], layout=widgets.Layout(flex_flow="row wrap", width="100%", min_width="0")
        )
        help_text = widgets.HTML(
            "<b>Measured check frequency</b>: fit the connectors, leave the far end open, and enter the lowest "
            "frequency of zero reactance, such as 1.7522 MHz."
        )
        rows = [self.file, self.path, *sliders, self.save, self.status, pictures, self.page, help_text, self.measured]
        return widgets.VBox(rows, layout=widgets.Layout(width="100%", min_width="0", overflow="hidden"))

    def _wire(self) -> None:
        self.file.observe(lambda change: self._load(str(self.folder / change.new)), "value")
        self.path.observe(lambda change: self._load(change.new.strip()), "value")
        for control in (self.across, self.spacing):
            control.observe(lambda change: self._resize(change.owner), "value")
        for control in (self.band, self.cable, self.elevation, self.direction):
            control.observe(lambda change: self._show(), "value")
        self.save.on_click(lambda _: self._save())

    def _load(self, path: str) -> None:
        """Read a design and set the controls to it; a design that cannot be read leaves everything as it is."""
        if not path:
            return
        try:
            design = load_design(path)
            design.plan()
        except InputError as error:
            self._say(str(error), "refused")
            return
        self.loaded, self._busy = design, True
        try:
            self._set_controls(design)
        finally:
            self._busy = False
        self._show()
        self._say(f"{path}: loaded.", "done")

    def _set_controls(self, design: Design) -> None:
        content = design.content
        self.band.options = tuple(content.bands)
        self.band.value = content.phasing.cut_band
        self.cable.value = content.cables.delay_line
        self.direction.options = tuple(direction.name for direction in content.directions)
        self.direction.value = content.directions[0].name
        self.elevation.disabled = content.phasing.rule == "entered"
        if content.phasing.elevation is not None:
            controls.place(self.elevation, content.phasing.elevation.m_as("degree"))
        self.elevation_placed = self.elevation.value
        size = size_of(content.array)
        self.across.disabled = self.spacing.disabled = size is None
        if size:
            self.spacing_m = spacing = getattr(content.array, size.key).m_as("m") / size.key_per_spacing
            for control, ratio in ((self.across, size.across_per_spacing), (self.spacing, 1.0)):
                # the upper end first, since a slider refuses a lower end above it
                control.max = math.ceil(max(60.0, 2 * spacing) * ratio)
                # steps are counted from the lower end, so it has to be a whole number of them
                control.min = math.ceil(10 * min(1.0, spacing) * ratio) / 10
                controls.place(control, spacing * ratio)

    def _resize(self, moved: widgets.FloatSlider) -> None:
        """Move the other size slider along, since an array has only one size."""
        size = None if self._busy or self.loaded is None else size_of(self.loaded.content.array)
        if size is None:
            return
        self._busy = True
        if moved is self.across:
            self.spacing_m = moved.value / size.across_per_spacing
            controls.place(self.spacing, self.spacing_m)
        else:
            self.spacing_m = moved.value
            controls.place(self.across, self.spacing_m * size.across_per_spacing)
        self._busy = False
        self._show()

    def changes(self) -> Mapping[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        assert self.loaded is not None
        content = self.loaded.content
        found: dict[tuple[str, ...], Any] = {}
        if self.band.value != content.phasing.cut_band:
            found["phasing", "cut_band"] = self.band.value
        if self.cable.value != content.cables.delay_line:
            found["cables", "delay_line"] = self.cable.value
        if content.phasing.elevation is not None and self.elevation.value != self.elevation_placed:
            found["phasing", "elevation"] = f"{self.elevation.value:.6g} deg"
        size = size_of(content.array)
        if size:
            value = self.spacing_m * size.key_per_spacing
            if not math.isclose(value, getattr(content.array, size.key).m_as("m"), abs_tol=1e-6):
                found["array", size.key] = f"{value:.6g} m"
        return found

    def _show(self) -> None:
        if self._busy or self.loaded is None:
            return
        try:
            self.shown = self.loaded.changed(self.changes())
            self.plan = self.shown.plan()
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._say("", "done")
        self._fields()
        shown = view(self.plan, self.direction.value)
        self.drawing.svg, self.errors.svg, self.page.value = shown.drawing, shown.errors, shown.tables

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
        try:
            text = controls.sentence(self._advice(name, field.value), "done") if field.value.strip() else ""
        except InputError as error:
            text = controls.sentence(str(error).replace("_", " "), "refused")
        answer.value = controls.tables(text) if text else ""

    def _advice(self, name: str, text: str) -> str:
        assert self.shown is not None
        assert self.plan is not None
        # the field's own unit stands in its label
        text = f"{text} MHz" if text.strip().replace(".", "", 1).isdecimal() else text
        content = self.shown.content
        hertz = Quantity(content.bands[content.phasing.cut_band].m_as("Hz"), "Hz")
        if name == RUNS:
            made_of, end = design_cable(content, content.cables.element_run), content.ends.element_run
            degrees = next(
                b for b in self.plan.element_runs.bands if b.name == self.plan.cut_band
            ).electrical_length_deg
            wanted = degrees / 360 / hertz.m_as("Hz")
        else:
            made_of, end = design_cable(content, content.cables.delay_line), content.ends.delay_line
            wanted = self.plan.line(name).delay_s
        advice = trim_advice(
            made_of, text, Quantity(wanted, "s"), hertz, content.cutting.accept, connector_delay=end.delay
        )
        return f"{name}: {advice.sentence()}"

    def _save(self) -> None:
        if self.shown is None:
            return
        try:
            self.loaded = self.shown.save()
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._show()
        self._say(f"{self.loaded.path}: saved.", "done")

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))


def delay_lines(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *delay lines for a design*, on the design files of a folder."""
    return DelayLinesPanel(Path(folder)).widget
