"""Worksheet *cable loss*: up to six cables, a length and a load in; curves and the loss on every band out."""

from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path

import ipywidgets as widgets

from workbook.bands import band, bands
from workbook.checks import real
from workbook.errors import InputError
from workbook.figures.loss import loss_curves
from workbook.figures.style import for_screen
from workbook.formatting import FOOT
from workbook.line.catalogue import cable, cables
from workbook.line.losses import MOST_CABLES, LossComparison, compare_losses
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.picture import Picture
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.panels.units_switch import UnitsSwitch
from workbook.tables.lines import band_loss_table, loss_answer, loss_notes, loss_table, loss_title, root_rule_errors
from workbook.units import Quantity

AT_FIRST = ("series-6-clad", "series-6-copper", "series-11-clad")
MISLED_NONE = "The square root of frequency is within a tenth of the model on every band for these cables."


BAND, EVERY_BAND, NOTES = "Compare on the band of interest", "Compare on every band", "Check how far to trust it"
"""What is done with each fold of tables."""


class CableLossPanel:
    """The controls of the worksheet and what they do; `ticked` names the cables in the order of their ticking."""

    def __init__(self, folder: Path) -> None:
        self.ticks: Mapping[str, widgets.Checkbox] = {
            name: controls.tick("cable", name, f"draw and list {name}") for name in cables()
        }
        self.ticked: list[str] = []
        self.units = UnitsSwitch(folder)
        scale = Scale("length", "length", "length of every cable", 1, 300, 0.5)
        self.amount = LinkedSlider(scale, "m", 30.0, self._show, self.units.value, 100 * FOOT)
        self.resistance = controls.entry("resistance", "load resistance (ohm)", "what the far end feeds", "75")
        self.reactance = controls.entry("reactance", "load reactance (ohm)", "negative is capacitive", "0")
        middles = {name: band(name).centre for name in bands()}
        labels = ("band", "band of interest", "orders the tables, marked in the picture")
        self.band = BandRow(labels, middles, self._show, self._show, nearest=True)
        self.picture, self.answer = Picture(), Answer()
        self.page, self.status = Folds(BAND, EVERY_BAND, NOTES), controls.page("status")
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
        wrapped = widgets.Layout(flex_flow="row wrap", width="100%", min_width="0")
        boxes = widgets.Box(tuple(self.ticks.values()), layout=wrapped)
        groups = (
            Group("Line", (self.amount.row, self.resistance, self.reactance)),
            Group("View", (self.band.row, self.units.control)),
            Group(f"Cables, {MOST_CABLES} at most", (boxes,)),
        )
        return worksheet([group.box() for group in groups], [self.answer.page], [self.picture], self.page, self.status)

    def _listen(self) -> None:
        for name, tick in self.ticks.items():
            tick.observe(partial(self._tick, name), "value")
        for control in (self.resistance, self.reactance):
            control.observe(lambda _: self._show(), "value")
        self.units.observe(self._other_units)

    def _other_units(self) -> None:
        self.amount.use(self.units.value)
        self._show()

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
        interest = self.band.name, self.band.frequency
        chosen = [cable(name) for name in self.ticked]
        return compare_losses(chosen, self.amount.quantity, Quantity(complex(*ohms), "ohm"), *interest)

    def _show(self) -> None:
        """Show the comparison that the controls set; a refusal is answered, and the last result stays."""
        try:
            self.comparison = self._compared()
        except InputError as error:
            self._say(f"{error} Below stands the last result that could be worked out.")
            return
        self.status.value = ""
        # the numbers are ready long before the picture
        found, units = self.comparison, self.units.value
        self.answer.show(loss_answer(found, units))
        self.page.show(BAND, band_loss_table(found, units).html())
        self.page.show(EVERY_BAND, loss_table(found, units).html())
        self.page.show(NOTES, *_trust(found))
        self.picture.describes = f"Loss against frequency of {', '.join(self.ticked)}, {loss_title(found, units)}"
        self.picture.svg = for_screen(loss_curves(found, units).svg())

    def _say(self, text: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, "refused"))


def _trust(comparison: LossComparison) -> Iterator[str]:
    """Yield where the square root of frequency misleads, and what else has to be known to trust the losses."""
    misled = [controls.sentence(text, "warning") for text in root_rule_errors(comparison)]
    yield from misled or [controls.sentence(MISLED_NONE, "note")]
    yield from (controls.sentence(text, "note") for text in loss_notes(comparison))


def cable_loss(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *cable loss*; the system of lengths is kept for the folder."""
    return CableLossPanel(Path(folder)).widget
