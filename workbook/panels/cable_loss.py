"""Worksheet *cable loss*: up to six cables, a length and a load in; curves and the loss on every band out."""

from collections.abc import Mapping
from functools import partial

import ipywidgets as widgets

from workbook.bands import bands
from workbook.checks import real
from workbook.errors import InputError
from workbook.figures.loss import loss_curves
from workbook.figures.style import for_screen
from workbook.line.catalogue import cable, cables
from workbook.line.losses import MOST_CABLES, LossComparison, compare_losses
from workbook.panels import controls
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.picture import Picture
from workbook.tables.lines import band_loss_table, loss_notes, loss_table, loss_title, root_rule_errors
from workbook.units import Quantity, quantity

AT_FIRST = ("series-6-clad", "series-6-copper", "series-11-clad")
MISLED_NONE = "The square root of frequency is within a tenth of the model on every band for these cables."


def summary(comparison: LossComparison) -> str:
    """Return the table of the band of interest, and where the square root of frequency misleads."""
    misled = "".join(controls.sentence(text, "warning") for text in root_rule_errors(comparison))
    return controls.tables(band_loss_table(comparison).html(), misled or controls.sentence(MISLED_NONE, "note"))


def tables(comparison: LossComparison) -> str:
    """Return the table of every band, and what else has to be known to trust it."""
    notes = "".join(controls.sentence(text, "note") for text in loss_notes(comparison))
    return controls.tables(loss_table(comparison).html(), notes)


class CableLossPanel:
    """The controls of the worksheet and what they do; `ticked` names the cables in the order of their ticking."""

    def __init__(self) -> None:
        self.ticks: Mapping[str, widgets.Checkbox] = {
            name: controls.tick("cable", name, f"draw and list {name}") for name in cables()
        }
        self.ticked: list[str] = []
        exact = controls.entry("exact-length", "exact length (m or ft)", "wins over the slider", "98 ft 5 1/8 in")
        scale = Scale("length", "length (m)", "length of every cable", 1, 300, 0.5)
        self.amount = LinkedSlider(scale, "m", 30.0, exact, self._show, bare=False)
        self.length, self.exact = self.amount.slider, exact
        self.resistance = controls.entry("resistance", "load resistance (ohm)", "what the far end feeds", "75")
        self.reactance = controls.entry("reactance", "load reactance (ohm)", "negative is capacitive", "0")
        self.band = controls.steps("band", "band of interest", "orders the tables, marked in the picture", bands())
        self.picture, self.summary = Picture(), controls.page("summary")
        self.page, self.status = controls.page("results"), controls.page("status")
        self.comparison: LossComparison | None = None
        self._placing = False
        self.resistance.value, self.reactance.value = "75", "0"
        for name in AT_FIRST:
            if name in self.ticks:
                self.ticks[name].value = True
                self.ticked.append(name)
        self._listen()
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        label = widgets.HTML(f"<b>Cables</b>, {MOST_CABLES} at most")
        wrapped = widgets.Layout(flex_flow="row wrap", width="100%", max_width="960px", min_width="0")
        boxes = widgets.Box(tuple(self.ticks.values()), layout=wrapped)
        entries = (*self.amount.rows, self.resistance, self.reactance, self.band)
        # beside each other where there is room, so that the answer is in sight of the controls
        self.picture.layout = widgets.Layout(flex="0 1 450px", min_width="0")
        self.summary.layout = widgets.Layout(flex="1 1 340px", min_width="0", width="auto")
        answer = widgets.Box(
            (self.picture, self.summary), layout=widgets.Layout(flex_flow="row wrap", width="100%", min_width="0")
        )
        return controls.column(label, boxes, *entries, self.status, answer, self.page)

    def _listen(self) -> None:
        for name, tick in self.ticks.items():
            tick.observe(partial(self._tick, name), "value")
        for control in (self.resistance, self.reactance, self.band):
            control.observe(lambda _: self._show(), "value")

    def _tick(self, name: str, change: Mapping[str, bool]) -> None:
        """Add or drop a cable; what cannot be added loses its tick again, and everything else stays."""
        if self._placing:
            return
        if not change["new"]:
            self.ticked.remove(name)
            self._show()
            return
        try:
            if len(self.ticked) >= MOST_CABLES:
                raise InputError(
                    "six cables at most can be distinguished", where=name, remedy="take the tick off another one first"
                )
            cable(name)
        except InputError as error:
            self._placing = True
            self.ticks[name].value = False
            self._placing = False
            self._say(str(error))
            return
        self.ticked.append(name)
        self._show()

    def _compared(self) -> LossComparison:
        """Return the comparison that the controls set, or refuse."""
        ohms = [
            real(controls.with_default_unit(control.value, "ohm"), "ohm", control.description.removesuffix(" (ohm)"))
            for control in (self.resistance, self.reactance)
        ]
        chosen = [cable(name) for name in self.ticked]
        return compare_losses(chosen, quantity(self.amount.text), Quantity(complex(*ohms), "ohm"), self.band.value)

    def _show(self) -> None:
        """Show the comparison that the controls set; a refusal is answered, and the last result stays."""
        try:
            self.comparison = self._compared()
        except InputError as error:
            self._say(f"{error} Below stands the last result that could be worked out.")
            return
        self.status.value = ""
        # the numbers are ready long before the picture
        self.summary.value, self.page.value = summary(self.comparison), tables(self.comparison)
        self.picture.describes = f"Loss against frequency of {', '.join(self.ticked)}, {loss_title(self.comparison)}"
        self.picture.svg = for_screen(loss_curves(self.comparison).svg())

    def _say(self, text: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, "refused"))


def cable_loss() -> widgets.Widget:
    """Return the panel of the worksheet *cable loss*."""
    return CableLossPanel().widget
