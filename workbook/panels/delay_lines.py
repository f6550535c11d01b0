"""Worksheet *delay lines for a design*: sliders in, plan drawing, delays, cut list and trimming out."""

from pathlib import Path

import ipywidgets as widgets

from workbook.bench.record import read_record, record_path
from workbook.errors import InputError
from workbook.figures.delay_errors import delay_errors
from workbook.figures.hub import hub_drawing
from workbook.figures.plan_drawing import plan_drawing
from workbook.figures.style import for_screen
from workbook.panels import controls
from workbook.panels.cut_controls import CutControls
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.readings import Readings
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.plan.designs import Design
from workbook.plan.reel_velocity import ReelVelocity
from workbook.report.files import sheets_folder, write_sheets
from workbook.tables.buy import buy_table
from workbook.tables.cuts import accept_sentence, band_table, cut_answer, cut_list, expectations
from workbook.tables.wiring import delay_table

CUT, WIRE, BUY, BANDS = "Cut and check", "Wire the hub", "Buy", "Check the errors on every band"
"""What is done with each fold of tables."""
PLAN, ERRORS = "from above, with every element's line", "error of every line on every band"


class DelayLinesPanel(PlanPanel[CutControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "match", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.readings = Readings(self._put_reel)
        self.picture = controls.choice("picture", "picture", "which picture is shown", (PLAN, ERRORS))
        self.drawing, self.errors = Picture(), Picture()
        self.answer, self.page = Answer(), Folds(CUT, WIRE, BUY, BANDS)
        tip = "writes build sheet, labels, cut list and list of what to buy into a folder beside the design file"
        self.make = controls.button("make-sheets", "make the sheets", tip)
        self.make.on_click(lambda _: self._make_sheets())
        self.picture.observe(lambda _: self._choose_picture(), "value")
        self._choose_picture()
        self.start()

    @property
    def fields(self) -> dict[str, tuple[widgets.Text, widgets.HTML]]:
        """The box for every reading, and its answer, by the label of the piece."""
        return self.readings.fields

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        return worksheet(
            (self.design_group.box(), self.sliders, Group("Sheets", (self.make,)).box()),
            (self.old, self.answer.page, self.readings.widget),
            (widgets.VBox((self.picture, self.drawing, self.errors)),),
            self.page,
            self.status,
        )

    def make_controls(self, design: Design) -> CutControls:
        """Return fresh controls."""
        return CutControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def forget(self) -> None:
        """Let go of the readings, which belong to the lines of one design."""
        self.readings.forget()

    def draw(self) -> None:
        """Show the plan, in the order of how soon each part is ready, since the browser shows each as it comes."""
        plan, direction = self.plan, self.design_controls.direction.value
        assert self.shown.path is not None  # a panel loads its designs from files
        self.mark_current()
        self.answer.show(cut_answer(plan))
        self.readings.show(plan, self.shown.path)
        self.drawing.svg = for_screen(plan_drawing(plan, direction))
        warnings = (controls.sentence(text, "warning") for text in plan.warnings)
        accepted = controls.sentence(accept_sentence(plan), "note") if plan.delay_lines else ""
        self.page.show(CUT, *warnings, accepted, cut_list(plan).html())
        self.page.show(WIRE, for_screen(hub_drawing(plan, direction)), delay_table(plan, direction).html())
        self.page.show(BUY, buy_table(plan).html())
        self.page.show(BANDS, band_table(plan).html(), expectations(plan).html() if plan.delay_lines else "")
        self.errors.svg = for_screen(delay_errors(plan).svg())

    def _choose_picture(self) -> None:
        for name, picture in ((PLAN, self.drawing), (ERRORS, self.errors)):
            picture.layout.display = None if name == self.picture.value else "none"

    def _put_reel(self, found: ReelVelocity) -> None:
        """Put the reel's velocity factor into the design, as a change that is not saved yet."""
        done = f"{found.cable} has velocity factor {found.velocity_factor:.4f} now"
        self.edit(lambda design: design.changed(found.changes()), done)

    def _make_sheets(self) -> None:
        """Write the sheets of what is shown beside the design file."""
        with self._one_at_a_time:
            path = self.shown.path
            assert path is not None
            try:
                if self.save.disabled or self.plan.provisional:
                    raise InputError("what is shown is not final yet", where="sheets", remedy="try again in a moment")
                folder = sheets_folder(self.shown.content.name, beside=path.parent)
                write_sheets(self.plan.plan(), folder, record=read_record(record_path(path)))
            except InputError as error:
                self.say(str(error), "refused")
                return
            unsaved = " The design file itself is not saved yet." if self.shown.is_changed else ""
            self.say(f"{folder}: build sheet, labels, cut list and list of what to buy are there.{unsaved}", "done")


def delay_lines(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *delay lines for a design*, on the design files of a folder."""
    return DelayLinesPanel(Path(folder)).widget
