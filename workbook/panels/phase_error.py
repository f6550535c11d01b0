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
from workbook.panels.skeleton import Answer, Folds, worksheet
from workbook.plan.designs import Design
from workbook.plan.element_lines import element_lines
from workbook.plan.known_faults import dispersion, fault_reports
from workbook.tables.phase_error import (
    answer,
    channels_table,
    figures_table,
    lines_table,
    phase_error_answer,
    same_everywhere,
)

PATTERN, CHANNELS, LINES = "Compare the pattern before and after", "Check every channel", "Check every line"
"""What is done with each fold of tables."""
LADDER = "A ladder's piece is part of every tap farther out, so that its error counts for all of them."


class PhaseErrorPanel(PlanPanel[PhaseErrorControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "directions", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.errors, self.pattern = Picture(), Picture()
        self.answer, self.page = Answer(), Folds(PATTERN, CHANNELS, LINES)
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        return worksheet(
            (self.design_group.box(), self.sliders),
            (self.old, self.answer.page),
            (self.errors, self.pattern),
            self.page,
            self.status,
        )

    def make_controls(self, design: Design) -> PhaseErrorControls:
        """Return fresh controls."""
        return PhaseErrorControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def draw(self) -> None:
        """Show what the faults do; where they cannot be, say why, and leave what was shown."""
        made, plan = self.design_controls, self.plan
        direction, band = made.direction.value, made.shown_band.value
        made.velocity.offer(tuple(line.label for line in plan.delay_lines))
        faults = made.faults
        try:
            if wrong := made.other.wrong:
                raise wrong
            reports = fault_reports(plan, direction, faults)
            said = answer(reports, direction)
            pattern = before_after_picture(plan, reports[band], direction, band).svg()
            figures = figures_table(reports, direction).html()
        except InputError as error:
            self.mark_old(str(error))
            return
        self.mark_current()
        self.answer.show(phase_error_answer(plan, reports, (direction, band), faults))
        state, true = self._state(direction), faults.cable.true * dispersion(plan)[band]
        self.errors.svg = for_screen(channel_errors_picture(plan, reports, state).svg())
        self.errors.describes = f"Phase error of every channel, {state}"
        self.pattern.svg = for_screen(pattern)
        self.pattern.describes = f"Pattern from above, {direction} on {band}, {said}"
        self.page.show(
            PATTERN,
            controls.sentence(said, "done"),
            controls.sentence(same_everywhere(reports[band]), "done"),
            *(controls.sentence(text, "warning") for text in plan.warnings),
            figures,
        )
        labels = element_lines(plan, direction).labels
        self.page.show(CHANNELS, channels_table(reports, labels, band, true, plan.units).html())
        self.page.show(
            LINES,
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
