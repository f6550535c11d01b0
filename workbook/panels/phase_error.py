"""Worksheet *phase error*: a velocity factor or another fault in; degrees, lengths, pattern and figures out."""

from pathlib import Path

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.figures.phase_error import before_after_picture, channel_errors_picture
from workbook.figures.style import for_screen
from workbook.panels import controls
from workbook.panels.phase_error_controls import NOTHING, PhaseErrorControls
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.plan.designs import Design
from workbook.plan.element_lines import element_lines
from workbook.plan.known_faults import dispersion, fault_reports
from workbook.tables.phase_error import answer, channels_table, figures_table, lines_table, same_everywhere

LADDER = "A ladder's piece is part of every tap farther out, so that its error counts for all of them."


class PhaseErrorPanel(PlanPanel[PhaseErrorControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "directions", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.sliders, self.looks = controls.row(), controls.row()
        self.errors, self.pattern = Picture(), Picture()
        self.answer, self.page = controls.page("answer"), controls.page("results")
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel: controls beside each other where there is room, the answer, two pictures, the tables."""
        first, second = controls.column(self.errors), controls.column(self.pattern)
        for part in (first, second):
            part.layout.flex, part.layout.padding, part.layout.width = "1 1 360px", "0 6px 0 0", "auto"
        for part in (self.file, self.path, self.where):
            part.layout.flex, part.layout.width = "1 1 330px", "auto"
        return controls.column(
            controls.row(self.file, self.path),
            self.sliders,
            self.looks,
            controls.row(self.buttons, self.where),
            self.status,
            self.old,
            self.answer,
            controls.row(first, second),
            self.page,
        )

    def make_controls(self, design: Design) -> PhaseErrorControls:
        """Return fresh controls."""
        labels = tuple(line.label for line in design.stages().computed("delay_lines").delay_lines)
        return PhaseErrorControls(design, labels, self.show, self.look, self.units.value)

    def place_controls(self) -> None:
        """Put those that only try something below those of the design."""
        super().place_controls()
        self.looks.children = self.design_controls.looks

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def draw(self) -> None:
        """Show what the faults do, pictures first; say why where they cannot be."""
        made, plan = self.design_controls, self.plan
        direction, band, faults = made.direction.value, made.shown_band.value, made.faults
        made.velocity.offer(tuple(line.label for line in plan.delay_lines))
        try:
            reports = fault_reports(plan, direction, faults)
            said = answer(reports, direction)
            pattern = before_after_picture(plan, reports[band], direction, band).svg()
            figures = figures_table(reports, direction).html()
        except InputError as error:
            self.answer.value = controls.tables(controls.sentence(str(error), "refused"))
            self.errors.svg = self.pattern.svg = self.page.value = ""
            return
        self.mark_current()
        self.answer.value = controls.tables(
            controls.sentence(said, "done"), controls.sentence(same_everywhere(reports[band]), "done")
        )
        state, true = self._state(direction), faults.cable.true * dispersion(plan)[band]
        self.errors.svg = for_screen(channel_errors_picture(plan, reports, state).svg())
        self.errors.describes = f"Phase error of every channel, {state}"
        self.pattern.svg = for_screen(pattern)
        self.pattern.describes = f"Pattern from above, {direction} on {band}, {said}"
        self.page.value = controls.tables(
            *(controls.sentence(text, "warning") for text in plan.warnings),
            figures,
            channels_table(reports, element_lines(plan, direction).labels, band, true).html(),
            lines_table(plan, faults.cable.assumed, faults.cable.true).html() if plan.delay_lines else "",
            controls.sentence(LADDER, "note") if plan.hub_kind.in_series else "",
        )

    def _state(self, direction: str) -> str:
        """Return what the first picture depends on."""
        cable, other = self.design_controls.faults.cable, self.design_controls.other.fault.value
        besides = "" if other == NOTHING else f", {other}"
        return f"{direction}, velocity factor {cable.assumed:.4f} assumed, {cable.true:.4f} true{besides}"


def phase_error(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *phase error*, on the design files of a folder."""
    return PhaseErrorPanel(Path(folder)).widget
