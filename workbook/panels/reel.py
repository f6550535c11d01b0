"""Controls that calibrate a reel: a measurement calibrates a cable, and a button saves the result."""

import datetime
from collections.abc import Callable

import ipywidgets as widgets

from workbook.bench.reading import read_sweep
from workbook.bench.sweeps import check_frequency_in
from workbook.errors import InputError
from workbook.line.cable import Cable
from workbook.line.catalogue import user_folder
from workbook.line.reel import (
    CalibratedCable,
    calibrate_by_check_frequency,
    calibrate_by_resistance,
    save_calibrated_cable,
)
from workbook.panels import controls
from workbook.panels.units_switch import UnitsSwitch
from workbook.tables.cables import calibration_sentence

METHODS = ("centre resistance", "loop resistance, far end shorted", "check frequency, far end open", "sweep file")
READINGS = ("reading (ohm)", "reading (ohm)", "reading (MHz)", "file (.s1p)")
EXAMPLES = ("13.8 ohm", "15.3 ohm", "3.10 MHz", "reel.s1p")


class ReelCalibration:
    """The rows and what they do; nothing is written but by the button.

    `cable` returns what the reel is said to be, `saved` is called when a calibrated one was added to the user's own.
    """

    def __init__(self, units: UnitsSwitch, cable: Callable[[], Cable], saved: Callable[[], None]) -> None:
        self.units, self._cable, self._saved = units, cable, saved
        self._changed: Callable[[], None] = lambda: None
        self.method = controls.choice("way", "measured", "what was measured on the reel", METHODS)
        self.value = controls.entry("value", "reading (ohm)", "what the meter or analyser said", EXAMPLES[0])
        self.length = controls.entry("length", "length measured", "cable between its connectors", "")
        self.delay = controls.entry("connector", "connector delay (ns)", "of one connector; empty is none", "0.11 ns")
        self.name = controls.entry("name", "name to keep it by", "small letters, digits, hyphens", "my-reel-1")
        self.keep = controls.button("keep", "save to my cables", f"writes a cable file to {user_folder()}")
        self.page, self.status = controls.page("reel-results"), controls.page("reel-status")
        self.found: CalibratedCable | None = None
        self._unit = self.units.value.scale[0]
        for control in (self.method, self.value, self.length, self.delay):
            control.observe(lambda _: self._show(), "value")
        self.keep.on_click(lambda _: self._keep())
        self.compute()

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work, with what they say."""
        entries = (self.method, self.value, self.length, self.delay)
        return (*entries, self.page, self.name, self.keep, self.status)

    @property
    def calibrated(self) -> Cable:
        """The cable as it was measured, else as its record has it."""
        return self._cable() if self.found is None else self.found.cable

    def observe(self, changed: Callable[[], None]) -> None:
        """Call when something else was measured."""
        self._changed = changed

    def _show(self) -> None:
        self.compute()
        self._changed()

    def compute(self) -> None:
        """Calibrate again, in the units shown; a length that was typed without a unit keeps the one it had."""
        if self.length.value and self._unit != self.units.value.scale[0]:
            self.length.value = controls.with_default_unit(self.length.value, self._unit)
        units = self.units.value
        self._unit = units.scale[0]
        self.length.description = f"length measured ({self._unit})"
        self.length.placeholder = f"such as {units.joined('100 m', '300 ft')}"
        number = METHODS.index(self.method.value)
        self.value.description, self.value.placeholder = READINGS[number], EXAMPLES[number]
        self.delay.disabled = self.method.value in METHODS[:2]
        self.found = None
        self.page.value = ""
        if not (self.value.value.strip() and self.length.value.strip()):
            return
        try:
            self.found = self._calibrated()
        except InputError as error:
            self.page.value = controls.tables(controls.sentence(str(error), "refused"))
        else:
            self.page.value = controls.tables(controls.sentence(calibration_sentence(self.found), "done"))

    def _calibrated(self) -> CalibratedCable:
        original, method, reading = self._cable(), self.method.value, self.value.value.strip()
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
        self._say(f"{path}: saved; it can be chosen as cable, and design files may say {path.stem!r}.", "done")
        self._saved()

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))
