"""The controls of the worksheet *tolerance*: how exactly the array is built, and what is shown of it."""

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple, Self

import ipywidgets as widgets

from workbook.design.tolerances import USUAL, ToleranceTable
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design
from workbook.tables.tolerance import NAMES
from workbook.tolerance.kinds import DISTRIBUTIONS, Tolerance
from workbook.units import Quantity


class Spread(NamedTuple):
    """A slider of one tolerance: label, tip, usual end, step, and unit; a relative one is shown in per cent."""

    label: str
    tip: str
    most: float
    step: float
    unit: str


SPREADS: Mapping[str, Spread] = MappingProxyType(
    {
        "reel_velocity_factor": Spread("VF of the reel (%)", "one error for all delay lines", 3.0, 0.05, ""),
        "line_velocity_factor": Spread("VF of each line (%)", "an error of its own for each line", 2.0, 0.05, ""),
        "cut_length": Spread("cut, each line", "an error of its own for each line", 100.0, 1.0, "mm"),
        "shared_cut_length": Spread("cut, all lines", "one error for all, as with a wrong tape", 100.0, 1.0, "mm"),
        "connector_delay": Spread("connectors (ns)", "both of a line together", 1.0, 0.01, "ns"),
        "position": Spread("stakes", "of each stake, east and north", 100.0, 1.0, "cm"),
        "gain": Spread("channel gain (dB)", "of each channel, as from its amplifier", 3.0, 0.05, "dB"),
        "phase": Spread("channel phase (deg)", "of each channel, as from its amplifier", 15.0, 0.1, "degree"),
    }
)
LENGTHS = ("cut_length", "shared_cut_length", "position")
"""Tolerances that are lengths, which any unit may be typed for."""
LINES = ("reel_velocity_factor", "line_velocity_factor", "cut_length", "shared_cut_length", "connector_delay")
"""Tolerances of the delay lines."""
COVERAGES = (50, 80, 90, 95, 99)


class ToleranceControls:
    """Fresh controls over one design: tolerances, which change it, and what is only viewed."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design, content = design, design.content
        self._filed = content.tolerance
        said = USUAL if self._filed is None else self._filed
        self._shown = {key: _number(said, key) for key in SPREADS}
        self.amounts = {key: _amount(key, self._shown[key], changed, units) for key in SPREADS if key in LENGTHS}
        self._relative = {key: _slider(key, self._shown[key]) for key in SPREADS if key not in LENGTHS}
        self._first = {key: slider.value for key, slider in self._relative.items()}
        self.distribution = controls.choice(
            "distribution",
            "distribution",
            "uniform: no error beyond; normal: standard deviations",
            tuple(DISTRIBUTIONS),
        )
        self.distribution.value = said.distribution
        for control in (*self._relative.values(), self.distribution):
            control.observe(lambda _: changed(), "value")
        labels = ("band", "show band", "which band is drawn")
        self.band_row = BandRow(labels, content.bands, viewed, changed)
        self.band_row.choose(content.phasing.cut_band)
        self._looks(viewed)

    def _looks(self, viewed: Callable[[], None]) -> None:
        names = [one.name for one in self.design.content.directions]
        self.direction = controls.choice("direction", "show direction", "switch position that is shown", names)
        self.figure = controls.choice(
            "figure", "show figure", "which figure is drawn", [(name, key) for key, name in NAMES.items()]
        )
        self.coverage = controls.steps(
            "coverage", "arrays inside (%)", "how many arrays lie in the interval", COVERAGES
        )
        self.coverage.value = 95
        tip = "how much of the figure the widest tolerances may cost"
        self.lost = controls.slider("lost", "may lose (dB)", tip, 0.05, 6, 0.05)
        controls.place(self.lost, 0.5)
        for control in self.looks:
            control.observe(lambda _: viewed(), "value")

    @property
    def sliders(self) -> dict[str, widgets.FloatSlider]:
        """The sliders of the tolerances by key."""
        return {key: self.amounts[key].slider if key in self.amounts else self._relative[key] for key in SPREADS}

    @property
    def band(self) -> widgets.SelectionSlider:
        """The band that is drawn."""
        return self.band_row.band

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        rows = {**self._relative, **{key: amount.row for key, amount in self.amounts.items()}}
        return (
            Group("Tolerances of the delay lines", tuple(rows[key] for key in SPREADS if key in LINES)),
            Group(
                "Tolerances of stakes and channels",
                (*(rows[key] for key in SPREADS if key not in LINES), self.distribution),
            ),
            Group("View", (self.band_row.row, *self.looks)),
        )

    @property
    def looks(self) -> tuple[widgets.Widget, ...]:
        """What is shown besides the band, and never saved."""
        return (self.direction, self.figure, self.coverage, self.lost)

    @property
    def assumed(self) -> bool:
        """Whether the file says no tolerances, and none was moved."""
        return self._filed is None and not self._moved

    @property
    def _moved(self) -> list[str]:
        said = USUAL if self._filed is None else self._filed
        moved = [key for key, slider in self._relative.items() if slider.value != self._first[key]]
        moved += [key for key, amount in self.amounts.items() if not amount.matches(self._shown[key])]
        return [*moved, *(["distribution"] if self.distribution.value != said.distribution else [])]

    @property
    def tolerances(self) -> tuple[Tolerance, ...]:
        """What the controls say; an unmoved one says exactly what the file does."""
        said = USUAL if self._filed is None else self._filed
        moved, values = self._moved, dict[str, Any]()
        for key in SPREADS:
            if key not in moved:
                values[key] = getattr(said, key)
            elif (shown := self._value(key)) > 0:
                unit = SPREADS[key].unit
                values[key] = Quantity(shown, unit) if unit else round(shown / 100, 9)
        return ToleranceTable(distribution=self.distribution.value, **values).tolerances()

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        moved, found = self._moved, self.band_row.changes()
        if not moved:
            return found
        keys = moved if self._filed is not None else ["distribution", *SPREADS]
        for key in keys:
            if key == "distribution":
                found["tolerance", key] = self.distribution.value
            elif self._value(key) > 0:
                found["tolerance", key] = self._text(key)
            elif self._filed is not None:
                found["tolerance", key] = None
        return found

    def _value(self, key: str) -> float:
        """Return what is shown in its own unit; what cannot be read counts as not zero, so that it is refused."""
        if key not in self.amounts:
            return float(self._relative[key].value)
        return math.inf if self.amounts[key].refusal() else self.amounts[key].value

    def _text(self, key: str) -> Any:
        """Return what is written into the file."""
        if key in self.amounts:
            return self.amounts[key].text
        unit, shown = SPREADS[key].unit, self._relative[key].value
        return f"{shown:g} {'deg' if unit == 'degree' else unit}" if unit else round(shown / 100, 9)

    def copy_view(self, other: Self) -> None:
        """Show what the controls before showed."""
        for mine, before in zip((self.band, *self.looks), (other.band, *other.looks), strict=True):
            mine.value = before.value

    def close(self) -> None:
        """Let go of the controls."""
        for group in self.groups:
            for row in group.rows:
                controls.close(row)


def _amount(key: str, value: float, changed: Callable[[], None], units: LengthUnits) -> LinkedSlider:
    label, tip, most, step, unit = SPREADS[key]
    scale = Scale(key.replace("_", "-"), label, tip, 0.0, most, step, "zero")
    return LinkedSlider(scale, unit, value, changed, units)


def _slider(key: str, value: float) -> widgets.FloatSlider:
    label, tip, most, step, _ = SPREADS[key]
    name = key.replace("_", "-")
    made = controls.slider(name, label, tip, 0.0, max(most, math.ceil(value)), step)
    controls.place(made, value)
    return made


def _number(table: ToleranceTable, key: str) -> float:
    """Return what a slider shows of a table, 0 where it says nothing."""
    value, unit = getattr(table, key), SPREADS[key].unit
    if value is None:
        return 0.0
    return float(value.m_as(unit)) if unit else 100 * float(value)
