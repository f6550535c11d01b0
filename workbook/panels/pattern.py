"""Worksheet *spacing, directions and pattern*: rule, size, direction and ground in; pattern, RDF and wiring out."""

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.figures.delay_map import delay_map_picture
from workbook.figures.frequency import frequency_picture, phase_picture
from workbook.figures.hub import hub_drawing
from workbook.figures.pattern import azimuth_picture, elevation_picture, sky_picture, state_of, titled
from workbook.figures.spacing import spacing_picture
from workbook.figures.style import for_screen
from workbook.panels import controls
from workbook.panels.direction_editor import DirectionEditor
from workbook.panels.pattern_controls import PatternControls
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, worksheet
from workbook.plan.delay_map import delay_map
from workbook.plan.designs import Design
from workbook.plan.direction_check import expected_levels
from workbook.plan.feeds import place_of
from workbook.plan.firings import firing
from workbook.plan.stages import Stages
from workbook.plan.sweeps import frequency_sweep, spacing_sweep
from workbook.tables.choices import choice_table
from workbook.tables.direction_check import levels_table, most_different
from workbook.tables.fewer_lines import farthest_stake, merge_table
from workbook.tables.pattern import beam_cautions, figure_table, pattern_answer, shape_table
from workbook.tables.wiring import delay_table, hub_table, slack_table, switch_tables, tap_table

SPACING_STEPS, FREQUENCY_STEPS = 21, 61
"""Points of the two sweeps: no more than their curves need to look smooth, since a slider waits for them."""

NUMBERS_WORDS = (
    "Lines 1, 2, 3 are those of one choice for one direction, the shortest first; A, B, C are those of the whole "
    "design, which directions may share."
)
DROPPED = "The delays entered in the file do not go with this rule: saving takes them out."


def _from_the_side(plan: Stages, direction: str, band: str) -> str:
    return elevation_picture(plan, direction, band).svg()


def _whole_sky(plan: Stages, direction: str, band: str) -> str:
    return sky_picture(plan, direction, band).svg()


def _against_spacing(plan: Stages, direction: str, _: str) -> str:
    sweep = spacing_sweep(plan, direction, SPACING_STEPS)
    return spacing_picture(sweep, titled(plan, "why not closer?"), state_of(plan, direction), plan.units).svg()


def _against_frequency(plan: Stages, direction: str, _: str) -> str:
    sweep = frequency_sweep(plan, direction, FREQUENCY_STEPS)
    return frequency_picture(sweep, plan, titled(plan, "over frequency"), state_of(plan, direction)).svg()


def _phases(plan: Stages, _: str, __: str) -> str:
    return phase_picture(plan, titled(plan, "phase of every line"), f"cut for {plan.cut_band}").svg()


def _two_delays(plan: Stages, direction: str, _: str) -> str:
    if not plan.design.phasing.searches:
        raise InputError(
            "the map is of the rule fewest-delays with 2 delay lines", where="picture", remedy="choose another picture"
        )
    found = delay_map(plan.choices(direction))
    return delay_map_picture(found, titled(plan, "least RDF"), state_of(plan, direction)).svg()


PICTURES: dict[str, Callable[[Stages, str, str], str]] = {
    "from the side": _from_the_side,
    "the whole sky": _whole_sky,
    "against spacing": _against_spacing,
    "against frequency": _against_frequency,
    "phase of every line": _phases,
    "map of two delays": _two_delays,
}


FIGURES, CHOICES = "Compare directions and bands", "See the next best choices of lines"
FEWER, SHAPES = "Use fewer delay lines", "Read beamwidth and nulls"
WIRING, CHECK = "Wire the hub", "Check the finished array"
"""What is done with each fold of tables."""


def pages(plan: Stages, direction: str, band: str) -> dict[str, tuple[str, ...]]:
    """Return what each fold holds of a plan, on one direction and band."""
    number, searches = place_of(plan.design, direction), plan.design.phasing.searches
    fired = firing(plan, direction, band)
    said = (*beam_cautions(plan, direction, band, fired), *plan.warnings, farthest_stake(plan))
    warnings = (controls.sentence(text, "warning") for text in filter(None, said))
    shape = shape_table(fired, f"Shape of the pattern, beam {direction} on {band}")
    wiring = [delay_table(plan, direction), switch_tables(plan)[number], hub_table(plan)]
    choices = (
        [slack_table(plan, direction), choice_table(plan.design, plan.choices(direction), direction)]
        if searches
        else []
    )
    levels = expected_levels(plan, band)
    return {
        FIGURES: (*warnings, figure_table(plan).html()),
        CHOICES: (*(table.html() for table in choices), controls.sentence(NUMBERS_WORDS if searches else "", "note")),
        FEWER: (merge_table(plan).html(),) if plan.merges else (),
        SHAPES: (shape.html(),),
        WIRING: (
            for_screen(hub_drawing(plan, direction)),
            *(table.html() for table in (*wiring, *((tap_table(plan),) if plan.delay_lines else ()))),
        ),
        CHECK: (levels_table(levels).html(), controls.sentence(most_different(levels), "done")),
    }


class PatternPanel(PlanPanel[PatternControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("directions", "hub_options", "delay_lines", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.picture = controls.choice("picture", "picture", "what the second picture shows", tuple(PICTURES))
        self.from_above, self.second = Picture(), Picture()
        self.second_answer, self.answer = controls.page("second-answer"), Answer()
        self.page = Folds(FIGURES, CHOICES, FEWER, SHAPES, WIRING, CHECK)
        self.directions = DirectionEditor(self._edit_direction)
        self.picture.observe(lambda _: self._draw_second(), "value")
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        second = widgets.VBox((self.picture, self.second_answer, self.second))
        return worksheet(
            (self.design_group.box(), self.sliders, self.directions.group.box()),
            (self.old, self.answer.page),
            (self.from_above, second),
            self.page,
            self.status,
        )

    def make_controls(self, design: Design) -> PatternControls:
        """Return fresh controls."""
        return PatternControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def show_design(self) -> None:
        """Show the chosen direction with its name and heading, before any plan knows it."""
        planned = {one.name for one in self.plan.directions}
        waits = not self.ready() and any(one.name not in planned for one in self.shown.content.directions)
        self.directions.show(self.shown, self.design_controls.direction.value, waits)

    def draw(self) -> None:
        """Show the plan, in the order of how soon each part is ready, since the browser shows each as it comes."""
        direction, band = self.design_controls.direction.value, self.design_controls.band.value
        try:
            answer = pattern_answer(self.plan, direction, band)
            found = pages(self.plan, direction, band)
            self.from_above.svg = for_screen(azimuth_picture(self.plan, direction, band).svg())
        except InputError as error:
            self.mark_old(str(error))
            return
        self.mark_current(DROPPED if self.design_controls.rule.drops_entries else "")
        self.answer.show(answer)
        self.from_above.describes = f"Pattern from above, {state_of(self.plan, direction, band)}"
        self._draw_second()
        for title, parts in found.items():
            self.page.show(title, *parts)

    def _edit_direction(self, change: Callable[[Design], Design], name: str, done: str) -> None:
        """Change the directions of the design, and show the one of this name."""
        if self.edit(change, done):
            self.design_controls.direction.value = name

    def _draw_second(self) -> None:
        """Show the picture that is chosen, or say why it cannot be."""
        direction, band = self.design_controls.direction.value, self.design_controls.band.value
        try:
            svg = PICTURES[self.picture.value](self.plan, direction, band)
        except InputError as error:
            self.second.svg, answer = "", str(error)
        else:
            self.second.svg, answer = for_screen(svg), ""
        self.second.describes = f"{self.picture.value}, {state_of(self.plan, direction, band)}"
        self.second_answer.value = controls.tables(controls.sentence(answer, "refused")) if answer else ""


def pattern(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *spacing, directions and pattern*, on the design files of a folder."""
    return PatternPanel(Path(folder)).widget
