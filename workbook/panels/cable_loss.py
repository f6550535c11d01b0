"""Worksheet *cable loss*: up to six cables, a length and a load in; curves and the loss on every band out."""

import re
from collections.abc import Mapping
from functools import partial

import ipywidgets as widgets

from workbook.bands import bands
from workbook.errors import InputError
from workbook.figures.loss import loss_curves
from workbook.figures.style import for_screen, to_svg
from workbook.line.catalogue import cable, cables
from workbook.line.losses import MOST_CABLES, LossComparison, compare_losses
from workbook.panels import controls
from workbook.panels.picture import Picture
from workbook.units import Quantity, quantity, real

AT_FIRST = ("series-6-clad", "series-6-copper", "series-11-clad")
MISLED_NONE = "The square root of frequency is within a tenth of the model on every band for these cables."


def summary(comparison: LossComparison) -> str:
    """Return the table of the band of interest, and where the square root of frequency misleads."""
    misled = "".join(controls.sentence(text, "refused") for text in comparison.misleading())
    return controls.tables(comparison.band_table().html(), misled or controls.sentence(MISLED_NONE, "note"))


def tables(comparison: LossComparison) -> str:
    """Return the table of every band, and what else has to be known to trust it."""
    notes = "".join(controls.sentence(text, "note") for text in comparison.notes())
    return controls.tables(comparison.table().html(), notes)


class CableLossPanel:
    """The controls of the worksheet and what they do; `ticked` names the cables in the order of their ticking."""

    def __init__(self) -> None:
        self.ticks: Mapping[str, widgets.Checkbox] = {name: _tick(name) for name in cables()}
        self.ticked: list[str] = []
        self.length = controls.slider("length", "length (m)", "length of every cable", 1, 300, 0.5)
        self.exact = controls.entry("exact-length", "exact length (m or ft)", "wins over the slider", "98 ft 5 1/8 in")
        self.resistance = controls.entry("resistance", "load resistance (ohm)", "what the far end feeds", "75")
        self.reactance = controls.entry("reactance", "load reactance (ohm)", "negative is capacitive", "0")
        self.band = controls.steps("band", "band of interest", "orders the tables, marked in the picture", bands())
        self.picture, self.summary = Picture(), controls.page("summary")
        self.page, self.status = controls.page("results"), controls.page("status")
        self.comparison: LossComparison | None = None
        self._placing = False
        self.length.value, self.resistance.value, self.reactance.value = 30.0, "75", "0"
        self._length = Quantity(30.0, "m")
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
        entries = (self.length, self.exact, self.resistance, self.reactance, self.band)
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
        self.length.observe(lambda _: self._slide(), "value")
        self.exact.observe(lambda _: self._enter(), "value")
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
                raise InputError(f"{name}: six cables at most can be told apart; take the tick off another one first.")
            cable(name)
        except InputError as error:
            self._place(self.ticks[name], value=False)
            self._say(str(error))
            return
        self.ticked.append(name)
        self._show()

    def _place(self, control: widgets.Widget, value: object) -> None:
        """Set a control without it being taken for the reader's own move."""
        self._placing = True
        control.value = value
        self._placing = False

    def _slide(self) -> None:
        if self._placing:
            return
        self._place(self.exact, "")
        self._length = Quantity(self.length.value, "m")
        self._show()

    def _enter(self) -> None:
        """Take a length as it was typed; the slider goes to the nearest of its steps."""
        if self._placing:
            return
        if self._show():
            metres = self._length.m_as("m")
            self._placing = True
            controls.place(self.length, min(max(metres, self.length.min), self.length.max))
            self._placing = False

    def _compared(self) -> LossComparison:
        """Return what the controls ask for, or refuse."""
        typed = self.exact.value.strip()
        length = quantity(typed) if typed else self._length
        ohms = [
            real(controls.with_unit(control.value, "ohm"), "ohm", control.description.removesuffix(" (ohm)"))
            for control in (self.resistance, self.reactance)
        ]
        chosen = [cable(name) for name in self.ticked]
        return compare_losses(chosen, length, Quantity(complex(*ohms), "ohm"), self.band.value)

    def _show(self) -> bool:
        """Show what the controls say; what cannot be worked out is answered, and the last result stays."""
        try:
            self.comparison = self._compared()
        except InputError as error:
            self._say(f"{error} Below stands the last result that could be worked out.")
            return False
        self._length = self.comparison.length
        self.status.value = ""
        # the numbers are ready long before the picture
        self.summary.value, self.page.value = summary(self.comparison), tables(self.comparison)
        self.picture.describes = f"Loss against frequency of {', '.join(self.ticked)}, {self.comparison.state}"
        self.picture.svg = for_screen(to_svg(loss_curves(self.comparison)))
        return True

    def _say(self, text: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, "refused"))


def _tick(name: str) -> widgets.Checkbox:
    """Return the tick box of one cable; the name of a user's file may hold what no class of a page may."""
    made = widgets.Checkbox(
        description=name,
        tooltip=f"draw and list {name}",
        indent=False,
        layout=widgets.Layout(width="auto", min_width="9.6em", margin="0 8px 0 0", flex="0 0 auto"),
    )
    made.add_class("cable-" + re.sub(r"[^\w-]+", "-", name))
    return made


def cable_loss() -> widgets.Widget:
    """Return the panel of the worksheet *cable loss*."""
    return CableLossPanel().widget
