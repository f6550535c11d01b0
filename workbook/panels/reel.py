"""Worksheet part *reel calibration*: a measurement calibrates a cable, and a button saves the result."""

import datetime
from pathlib import Path

import ipywidgets as widgets

from workbook.bench.reading import read_sweep
from workbook.bench.sweeps import check_frequency_in
from workbook.errors import InputError
from workbook.line.catalogue import cable, cables, first_readable, user_folder
from workbook.line.reel import (
    CalibratedCable,
    calibrate_by_check_frequency,
    calibrate_by_resistance,
    save_calibrated_cable,
)
from workbook.panels import controls
from workbook.panels.units_switch import UnitsSwitch
from workbook.tables.cables import band_table, calibration_sentence

FIRST_CABLE = "series-6-clad"
METHODS = ("centre resistance", "loop resistance, far end shorted", "check frequency, far end open", "sweep file")
READINGS = ("reading (ohm)", "reading (ohm)", "reading (MHz)", "file (.s1p)")
EXAMPLES = ("13.8 ohm", "15.3 ohm", "3.10 MHz", "reel.s1p")


class ReelPanel:
    """The controls and what they do; nothing is written but by the button."""

    def __init__(self, folder: Path) -> None:
        self.units = UnitsSwitch(folder)
        self.cable = controls.choice("reel-cable", "cable", "what the reel is said to be", cables())
        self.cable.value = first_readable(FIRST_CABLE)
        self.method = controls.choice("way", "measured", "what was measured on the reel", METHODS)
        self.value = controls.entry("value", "reading (ohm)", "what the meter or analyser said", EXAMPLES[0])
        self.length = controls.entry("length", "length measured", "cable between its connectors", "")
        self.delay = controls.entry("connector", "connector delay (ns)", "of one connector; empty is none", "0.11 ns")
        self.name = controls.entry("name", "name to keep it by", "small letters, digits, hyphens", "my-reel-1")
        self.keep = controls.button("keep", "save to my cables", f"writes a cable file to {user_folder()}")
        self.page, self.status = controls.page("reel-results"), controls.page("reel-status")
        self.found: CalibratedCable | None = None
        for control in (self.cable, self.method, self.value, self.length, self.delay):
            control.observe(lambda _: self._show(), "value")
        self.units.observe(self._other_units)
        self.keep.on_click(lambda _: self._keep())
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        entries = (self.units.control, self.cable, self.method, self.value, self.length, self.delay)
        return controls.column(*entries, self.page, self.name, self.keep, self.status)

    def _other_units(self) -> None:
        """Show the other system; a length that was typed without a unit keeps the one it had."""
        if self.length.value:
            self.length.value = controls.with_default_unit(self.length.value, self._unit)
        self._show()

    def _show(self) -> None:
        units = self.units.value
        self._unit = units.scale[0]
        self.length.description = f"length measured ({self._unit})"
        self.length.placeholder = f"such as {units.joined('100 m', '300 ft')}"
        number = METHODS.index(self.method.value)
        self.value.description, self.value.placeholder = READINGS[number], EXAMPLES[number]
        self.delay.disabled = self.method.value in METHODS[:2]
        self.found = None
        try:
            shown = cable(self.cable.value)
            if self.value.value.strip() and self.length.value.strip():
                self.found = self._calibrated()
                shown = self.found.cable
        except InputError as error:
            self.page.value = controls.tables(controls.sentence(str(error), "refused"))
            return
        said = controls.sentence(calibration_sentence(self.found), "done") if self.found else ""
        self.page.value = controls.tables(said, band_table(shown, units).html())

    def _calibrated(self) -> CalibratedCable:
        original, method, reading = cable(self.cable.value), self.method.value, self.value.value.strip()
        length = controls.with_default_unit(self.length.value, self._unit)
        if method in METHODS[:2]:
            ohms = controls.with_default_unit(reading, "ohm")
            return calibrate_by_resistance(original, ohms, length, loop=method == METHODS[1])
        in_sweep = method == METHODS[3]
        frequency = check_frequency_in(read_sweep(reading)) if in_sweep else controls.with_default_unit(reading, "MHz")
        delay = controls.with_default_unit(self.delay.value or "0", "ns")
        return calibrate_by_check_frequency(original, frequency, length, connector_delay=delay)

    def _keep(self) -> None:
        if self.found is None:
            self._say("there is nothing to save yet; enter a reading and the length.", "refused")
            return
        try:
            path = save_calibrated_cable(self.found, self.name.value.strip(), datetime.date.today())
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._say(f"{path}: saved; design files may now say {path.stem!r}.", "done")
        chosen = self.cable.value
        self.cable.options = cables()
        self.cable.value = chosen

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))


def reel(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet part *reel calibration*, in the units chosen for a folder."""
    return ReelPanel(Path(folder)).widget
