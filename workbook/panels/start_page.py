"""The start page: which design the worksheets show, its state, and links to them in the order of the work."""

import contextlib
import threading
from pathlib import Path

import ipywidgets as widgets

from workbook.checks import positive
from workbook.errors import InputError
from workbook.files import demo, shipped
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.new_design import NewDesignForm
from workbook.panels.units_switch import UnitsSwitch
from workbook.plan.designs import Design, load_design
from workbook.plan.plan import Plan
from workbook.plan.stages import Stages
from workbook.plan.trimming import PieceTrim, trim_plan
from workbook.tables.start import design_facts, facts_list, open_points, worksheet_list
from workbook.units import Quantity
from workbook.worksheets import design_files, names_of_designs, remember_design, remembered_readings, worksheets

HERE = "00-start.ipynb"
SOON = 2.0  # seconds that a plan may take before the page is shown without its lines

_STYLE = """<style>
.workbook-tables ul.worksheets { list-style: none; margin: 0; padding: 0; }
.workbook-tables ul.worksheets li { margin: 0 0 10px; line-height: 1.4; font-size: 14px; }
.workbook-tables ul.worksheets a { font-weight: 600; color: var(--jp-content-link-color); }
.workbook-tables dl.facts { display: grid; grid-template-columns: 8em 1fr; gap: 4px 12px; margin: 8px 0;
  line-height: 1.4; color: var(--jp-ui-font-color1); }
.workbook-tables dl.facts :is(dt, dd) { margin: 0; padding: 0; width: auto; float: none; }
.workbook-tables dl.facts dt { color: var(--jp-ui-font-color2); font-weight: normal; }
</style>"""


class StartPanel:
    """The choice of a design, what it is and what is open, the worksheets, and the form for a new design."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._loads = 0
        self.file = controls.choice("file", "design file", "the design that every worksheet shows")
        self.path = controls.entry("path", "another file", "path of a design file elsewhere", "path/to/design.toml")
        self.status, self.state = controls.page("status"), controls.page("results")
        self.sheets = controls.page("worksheet-list")
        found = [sheet for sheet in worksheets(shipped("notebooks")) if sheet.name != HERE]
        self.sheets.value = _STYLE + controls.tables("<h3>Worksheets</h3>", worksheet_list(found))
        self.units = UnitsSwitch(folder)
        self.form = NewDesignForm(folder, self._written)
        self.form.units.value = str(self.units.value)
        self._list()
        self.file.observe(lambda change: self._choose(change.new), "value")
        self.path.observe(lambda change: self._choose(change.new.strip()), "value")
        self.units.observe(self._other_units)
        self._show(self.file.value)

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel: the design and its state beside the worksheets where there is room."""
        new = widgets.Accordion([self.form.widget], layout=widgets.Layout(width="100%", min_width="0"))
        new.set_title(0, "A new design")
        new.add_class("new-design")
        design = controls.column(self.file, self.path, self.units.control, self.status, self.state, new)
        for part, flex in ((design, "3 1 340px"), (self.sheets, "2 1 300px")):
            part.layout.width, part.layout.flex, part.layout.padding = "auto", flex, "0 12px 0 0"
        return controls.row(design, self.sheets)

    def _list(self) -> None:
        """List the design files at hand, the one chosen last in front."""
        names = names_of_designs(self.folder, design_files(self.folder))
        self.file.options = tuple(dict.fromkeys(names))
        self.file.value = names[0]

    def _choose(self, name: str | None) -> None:
        if name:
            self._show(name, chosen=True)

    def _other_units(self) -> None:
        self.form.units.value = str(self.units.value)
        self._show(self.shown)

    def _written(self, path: Path) -> None:
        remember_design(self.folder, path)
        self.units.control.value = LengthUnits(self.form.units.value)
        self._list()
        self.path.value = ""

    def _show(self, name: str, chosen: bool = False) -> None:
        """Show a design and what is open, and remember one that was chosen; a plan that takes long comes later."""
        self._loads, self.shown = self._loads + 1, name
        try:
            design = load_design(self.folder / name)
            self.units.follow(design.content.units)
            design = design.in_units(self.units.value)
        except InputError as error:
            self.status.value = controls.tables(controls.sentence(str(error), "refused"))
            self.state.value = ""
            return
        if chosen:
            remember_design(self.folder, self.folder / name)
        note = "This is the demo; a new design is written below." if design.path == demo() else ""
        self.status.value = controls.tables(controls.sentence(note, "note"))
        self.state.value = controls.tables(
            facts_list(design_facts(design, None)), controls.sentence("The delay lines are being computed.", "note")
        )
        planning = threading.Thread(target=self._plan, args=(design, self._loads), daemon=True)
        planning.start()
        planning.join(SOON)

    def _plan(self, design: Design, load: int) -> None:
        """Plan a design and show its lines and what is open, unless another was chosen meanwhile."""
        plan: Plan | None = None
        try:
            stages = design.stages()
            plan = stages.plan()
            trims = _trims(stages, design.path) if design.path else ()
            points = "".join(controls.sentence(text, "todo") for text in open_points(design, plan, trims))
            said = points or controls.sentence("Nothing is open.", "done")
        except InputError as error:
            said = controls.sentence(f"There is no plan yet: {error}", "refused")
        if load == self._loads:
            self.state.value = controls.tables(facts_list(design_facts(design, plan)), "<h3>Still open</h3>", said)


def _trims(plan: Stages, path: Path) -> tuple[PieceTrim, ...]:
    """Return what to do with every piece that has a reading, but for readings that are refused."""
    readings = {}
    for name, text in remembered_readings(path).items():
        with contextlib.suppress(InputError):
            reading = Quantity(positive(controls.with_default_unit(text, "MHz"), "Hz", "check frequency"), "Hz")
            trim_plan(plan, {name: reading})
            readings[name] = reading
    return trim_plan(plan, readings)


def start(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the start page, on the design files of a folder."""
    return StartPanel(Path(folder)).widget
