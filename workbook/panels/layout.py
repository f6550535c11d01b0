"""Worksheet *layout and stake-out*: kind, count, size and turn in; drawing, stakes, tapes and distances out."""

from collections.abc import Iterator
from pathlib import Path

import ipywidgets as widgets

from workbook.array.stakeout import StakeOut, stake_out
from workbook.design.editing import becomes_custom, move_stake, place_stakes
from workbook.design.site import CustomArray
from workbook.errors import InputError
from workbook.figures.stake_drawing import stake_drawing
from workbook.figures.style import for_screen
from workbook.panels import controls
from workbook.panels.design_panel import DesignPanel
from workbook.panels.layout_controls import LayoutControls
from workbook.panels.picture import Picture
from workbook.panels.skeleton import Answer, Folds, worksheet
from workbook.panels.stake_editor import StakeEditor
from workbook.plan.acceptance import USUAL_DEG, accepting
from workbook.plan.cuts import element_runs
from workbook.plan.designs import Design
from workbook.plan.line_costs import LineCosts
from workbook.plan.pieces import ElementRuns
from workbook.plan.stages import Stages
from workbook.tables.fewer_lines import farthest_stake, lines_sentence, merge_table
from workbook.tables.stakeout import (
    cautions,
    distances_table,
    position_table,
    runs_table,
    stake_answer,
    stakes_table,
    tapes_table,
    tolerance_m,
)

DRIVE, CHECK = "Drive the stakes", "Check the stakes"
HOLD, RUNS, FEWER = "Hold the tolerance", "Cut the element runs", "Use fewer delay lines"
"""What is done with each fold of tables."""
SEARCH_FIRST = (
    "How many delay lines these stakes take, and what an error of a stake costs, is known after a search: save, or "
    "see worksheet 02."
)


class LayoutPanel(DesignPanel[LayoutControls]):
    """The controls of the worksheet and what they do; holds the stakes and the runs of the design as it is shown."""

    out: StakeOut
    runs: ElementRuns

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.drawing, self.answer = Picture(), Answer()
        self.stakes = StakeEditor(self._move_stake, self._take_stakes)
        self.page = Folds(DRIVE, CHECK, HOLD, RUNS, FEWER)
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (self.design_group.box(), self.sliders, self.stakes.group.box())
        return worksheet(groups, (self.answer.page,), (self.drawing,), self.page, self.status)

    def make_controls(self, design: Design) -> LayoutControls:
        """Return fresh controls."""
        return LayoutControls(design, self.show, self.look, self.units.value)

    def work_out(self, design: Design, moved: bool) -> None:
        """Stake the layout out, and measure the runs."""
        content = design.content
        layout = content.array.layout()
        out = stake_out(layout, None if content.site is None else content.site.east_of_north())
        self.out, self.runs = out, element_runs(accepting(content, USUAL_DEG), layout.metres)

    def remark(self, design: Design) -> str:
        """Say so when the other keys of the file do not go with the layout."""
        if _searches(design):
            return ""
        try:
            # all that can refuse; the pattern metrics take longer than everything else, and refuse nothing more
            design.stages().computed("directions", "delay_lines", "receiver_run", "match", "hub_options")
        except InputError as error:
            return f"no plan can be made yet: {error}"
        return ""

    def _plan(self) -> Stages | None:
        """Return the plan with these stakes, where there is one and no search is needed for it."""
        if _searches(self.shown):
            return None
        try:
            return self.shown.stages().computed("merges")
        except InputError:
            return None  # `remark` says why

    def _cautions(self, plan: Stages | None, band: str, degrees: float) -> Iterator[str]:
        filed, kind = self.design_controls.design.content.array, self.shown.content.array.kind
        if isinstance(filed, CustomArray) and kind != filed.kind:
            yield f"Once saved, this {kind} takes the place of the positions entered in the file."
        yield from filter(None, (farthest_stake(self.shown.stages()), "" if plan is None else lines_sentence(plan)))
        if _searches(self.shown):
            yield SEARCH_FIRST
        yield from cautions(self.shown.content, self.out, band, degrees)

    def draw(self) -> None:
        """Show drawing and tables."""
        content, out = self.shown.content, self.out
        band, degrees = self.design_controls.band.value, self.design_controls.accept.value
        bands = {name: float(frequency.m_as("Hz")) for name, frequency in content.bands.items()}
        used = {name: hertz for name, hertz in bands.items() if hertz <= bands[band]}
        units = content.units
        hold = f"one stake alone within {units.text(tolerance_m(bands[band], degrees))}: {degrees:g} deg on {band}"
        east, north = (float(place.m_as("m")) for place in content.hub.position)
        chosen = self.design_controls.chosen(len(out.stakes))
        stake = out.stakes[chosen - 1]
        self.stakes.show(chosen, (stake.east_m, stake.north_m), units)
        titles = content.name, content.array.description(units)
        self.drawing.svg = for_screen(stake_drawing(titles, out, (east, north), chosen, hold, units))
        self.drawing.describes = f"{': '.join(titles)}, tapes to stake {chosen}"
        self.answer.show(stake_answer(content, out, self.runs, band, degrees))
        plan = self._plan()
        said = (controls.sentence(text, "todo") for text in self._cautions(plan, band, degrees))
        self.page.show(
            DRIVE, *said, stakes_table(out, units).without_empty_columns().html(), tapes_table(out, units).html()
        )
        self.page.show(CHECK, distances_table(out, units).html())
        costs = None
        if plan is not None:
            line_costs = LineCosts(plan)
            costs = {name: line_costs.of_element(name, degrees) for name in used}
        self.page.show(HOLD, position_table(used, degrees, units, costs).html())
        self.page.show(RUNS, runs_table(self.runs, units).html())
        self.page.show(FEWER, merge_table(plan).html() if plan is not None and plan.merges else "")

    def _move_stake(self, east: str, north: str) -> None:
        """Put the stake whose tapes are shown somewhere else."""
        number = self.design_controls.stake.value
        done = f"Stake {number} is moved. {becomes_custom(self.shown)}".strip().rstrip(".")
        self.edit(lambda design: move_stake(design, number, east, north), done)

    def _take_stakes(self, text: str) -> None:
        """Put the stakes of a pasted table in place of all."""
        if self.edit(lambda design: place_stakes(design, text), "The stakes are those of the table"):
            self.stakes.table.value = ""


def _searches(design: Design) -> bool:
    """Return whether a plan needs a search, which takes longer than a slider can wait."""
    return design.is_changed and design.content.phasing.searches


def layout_and_stake_out(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *layout and stake-out*, on the design files of a folder."""
    return LayoutPanel(Path(folder)).widget
