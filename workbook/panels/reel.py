"""Worksheet part *the reel in your hands*: a measurement narrows a cable's record, and a button keeps the result."""

import datetime

import ipywidgets as widgets

from workbook.bench.sweeps import check_frequency_in, read_sweep
from workbook.errors import InputError
from workbook.line.card import band_figures
from workbook.line.catalogue import cable, cables, user_folder
from workbook.line.narrow import Narrowed, narrowed_by_check_frequency, narrowed_by_resistance, save_narrowed
from workbook.panels import controls

WAYS = ("centre resistance", "loop resistance, far end shorted", "check frequency, far end open", "sweep file")
READINGS = ("reading (ohm)", "reading (ohm)", "reading (MHz)", "file (.s1p)")
EXAMPLES = ("13.8 ohm", "15.3 ohm", "3.10 MHz", "reel.s1p")


class ReelPanel:
    """The controls and what they do; nothing is written but by the button."""

    def __init__(self) -> None:
        self.cable = controls.choice("reel-cable", "cable", "what the reel is said to be", cables())
        self.cable.value = "series-6-clad"
        self.way = controls.choice("way", "measured", "what was measured on the reel", WAYS)
        self.value = controls.entry("value", "reading (ohm)", "what the meter or analyser said", EXAMPLES[0])
        self.length = controls.entry("length", "length measured (m)", "cable between its connectors", "such as 100 m")
        self.delay = controls.entry("connector", "connector delay (ns)", "of one connector; empty is none", "0.11 ns")
        self.name = controls.entry("name", "name to keep it by", "small letters, digits, hyphens", "my-reel-1")
        self.keep = controls.button("keep", "save to my cables", f"writes a cable file to {user_folder()}")
        self.page, self.status = controls.page("reel-results"), controls.page("reel-status")
        self.found: Narrowed | None = None
        for control in (self.cable, self.way, self.value, self.length, self.delay):
            control.observe(lambda _: self._show(), "value")
        self.keep.on_click(lambda _: self._keep())
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        entries = (self.cable, self.way, self.value, self.length, self.delay)
        return controls.column(*entries, self.page, self.name, self.keep, self.status)

    def _show(self) -> None:
        self.value.description = READINGS[WAYS.index(self.way.value)]
        self.value.placeholder = EXAMPLES[WAYS.index(self.way.value)]
        self.delay.disabled = self.way.value in WAYS[:2]
        self.found = None
        made_of = cable(self.cable.value)
        try:
            if self.value.value.strip() and self.length.value.strip():
                self.found = self._narrowed()
        except InputError as error:
            self.page.value = controls.tables(controls.sentence(str(error), "refused"))
            return
        said = controls.sentence(self.found.sentence(), "done") if self.found else ""
        shown = self.found.cable if self.found else made_of
        self.page.value = controls.tables(said, band_figures(shown).html())

    def _narrowed(self) -> Narrowed:
        made_of, way, reading = cable(self.cable.value), self.way.value, self.value.value.strip()
        length = controls.with_default_unit(self.length.value, "m")
        if way in WAYS[:2]:
            return narrowed_by_resistance(
                made_of, controls.with_default_unit(reading, "ohm"), length, loop=way == WAYS[1]
            )
        frequency = (
            check_frequency_in(read_sweep(reading)) if way == WAYS[3] else controls.with_default_unit(reading, "MHz")
        )
        delay = controls.with_default_unit(self.delay.value or "0", "ns")
        return narrowed_by_check_frequency(made_of, frequency, length, connector_delay=delay)

    def _keep(self) -> None:
        if self.found is None:
            self._say("there is nothing to save yet; enter a reading and the length.", "refused")
            return
        try:
            path = save_narrowed(self.found, self.name.value.strip(), datetime.date.today())
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._say(f"{path}: saved; design files may now say {path.stem!r}.", "done")
        chosen = self.cable.value
        self.cable.options = cables()
        self.cable.value = chosen

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))


def reel() -> widgets.Widget:
    """Return the panel of the worksheet part *the reel in your hands*."""
    return ReelPanel().widget
