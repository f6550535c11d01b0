"""Worksheet *coax for long runs*: runs, noise, feed and prices in; every cable's loss, margin and cost out."""

from pathlib import Path

import ipywidgets as widgets

from workbook.chain.cable_comparison import CableComparison, cable_comparison, suitable_cables
from workbook.chain.long_runs import CableRuns
from workbook.errors import InputError
from workbook.figures.long_runs import long_runs_picture
from workbook.figures.style import for_screen
from workbook.line.catalogue import cables, compared_unasked, readable
from workbook.panels import controls
from workbook.panels.long_runs_controls import (
    ANY,
    ELEMENT,
    EVERY_BAND,
    RECEIVER,
    WIDEST_MM,
    LongRunsControls,
    usual_keys,
)
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, worksheet
from workbook.plan.designs import Design
from workbook.plan.reception import Reception
from workbook.tables import receive
from workbook.tables.long_runs import burial_sentences, cable_table, long_runs_answer, recommendation_sentences
from workbook.units import Quantity

NOT_COMPARED = "There are more than 40 cables of your own: each is compared when it is chosen as the receiver run."
CHOOSE, LIMITS, FEEDING, TRUST = (
    "Choose the cable",
    "See what limits the margin",
    "Feed the front ends",
    "Check how far to trust it",
)
"""What is done with each fold of tables."""


class LongRunsPanel(PlanPanel[LongRunsControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown, its plan and the comparison."""

    parts = ("reception", "feed")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.picture, self.answer = Picture(), Answer()
        self.page = Folds(CHOOSE, LIMITS, FEEDING, TRUST)
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (self.design_group.box(), self.sliders)
        return worksheet(groups, (self.old, self.answer.page), (self.picture,), self.page, self.status)

    def make_controls(self, design: Design) -> LongRunsControls:
        """Return fresh controls."""
        return LongRunsControls(design, self.show, self.look, self.units.value)

    def work_out(self, design: Design, moved: bool) -> None:
        """Plan the design, with usual values where it does not say front end, feed or receiver run."""
        super().work_out(design.changed(usual_keys(design, self.units.value)), moved)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.answer.value)

    def draw(self) -> None:
        """Show what every cable does."""
        made, plan = self.design_controls, self.plan
        assert plan.reception is not None  # the usual front end and feed are there where the design says none
        assert plan.feed is not None
        try:
            found = self._compared(plan.reception)
        except InputError as error:
            self.refuse(error)
            return
        usual = ", ".join(made.assumed)
        self.mark_current(f"The design file gives no {usual}: usual values are shown in their place." if usual else "")
        chosen = str(made.cable.value)
        self.answer.show(long_runs_answer(found, chosen, plan.reception, plan.feed))
        said = recommendation_sentences(found)
        self.picture.svg = for_screen(long_runs_picture(found, chosen).svg())
        self.picture.describes = f"Loss and margin of every cable. {said[0]}"
        self.page.show(
            CHOOSE,
            controls.sentence(said[0], "todo" if found.recommendation.best is None else "done"),
            *(controls.sentence(text, "note") for text in said[1:]),
            *((controls.sentence(NOT_COMPARED, "note"),) if len(compared_unasked()) < len(cables()) else ()),
            cable_table(found, self.units.value).html(),
        )
        signals = receive.signal_table(plan.reception)
        self.page.show(
            LIMITS,
            controls.sentence(receive.margin_sentence(plan.reception), "done"),
            receive.reception_table(plan.reception).html(),
            receive.contribution_table(plan.reception.least).html(),
            signals.html() if signals else "",
        )
        fed = controls.sentence(receive.feed_sentence(plan.feed), "done" if plan.feed.is_enough else "todo")
        self.page.show(FEEDING, fed, receive.feed_table(plan.feed, self.units.value).html())
        self.page.show(TRUST, *(controls.sentence(text, "note") for text in burial_sentences(found)))

    def _compared(self, reception: Reception) -> CableComparison:
        """Return the comparison of the cables that pass the filters."""
        made, plan, content = self.design_controls, self.plan, self.plan.design
        widest = None if made.widest.value >= WIDEST_MM else Quantity(made.widest.value, "mm")
        names = suitable_cables(
            None if made.impedance.value == ANY else made.impedance.value,
            widest,
            made.buried.value,
            tuple(filter(readable, dict.fromkeys((*compared_unasked(), str(made.cable.value))))),
        )
        if not names:
            raise InputError("no cable passes these filters", where="compare", remedy="allow more of them")
        element, run = plan.element_runs, plan.receiver_run
        runs = CableRuns(
            Quantity(0.0 if made.runs.value == RECEIVER else element.length_m, "m"),
            element.count,
            Quantity(0.0 if made.runs.value == ELEMENT or run is None else run.length_m, "m"),
        )
        prices = {name: price.per_metre for name, price in content.prices.items()}
        feed = content.feed.dc_supply() if content.feed else None
        bands = [one for one in plan.chain.worst_bands(reception) if made.band.value in (EVERY_BAND, one.name)]
        return cable_comparison(names, runs, bands, plan.chain.wanted_margin, prices, feed)


def coax_for_long_runs(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *coax for long runs*, on the design files of a folder."""
    return LongRunsPanel(Path(folder)).widget
