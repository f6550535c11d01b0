"""The controls of the worksheet *tolerance*: how exactly the array is built, and what is shown of it."""

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple, Self

import ipywidgets as widgets

from workbook.design.tolerances import USUAL, ToleranceTable
from workbook.panels import controls
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
        "cut_length": Spread("cut, each line (mm)", "an error of its own for each line", 100.0, 1.0, "mm"),
        "shared_cut_length": Spread("cut, all lines (mm)", "one error for all, as with a wrong tape", 100.0, 1.0, "mm"),
        "connector_delay": Spread("connectors (ns)", "both of a line together", 1.0, 0.01, "ns"),
        "position": Spread("stakes (cm)", "of each stake, east and north", 100.0, 1.0, "cm"),
        "gain": Spread("channel gain (dB)", "of each channel, as from its amplifier", 3.0, 0.05, "dB"),
        "phase": Spread("channel phase (deg)", "of each channel, as from its amplifier", 15.0, 0.1, "degree"),
    }
)
COVERAGES = (50, 80, 90, 95, 99)


class ToleranceControls:
    """Fresh controls over one design: what changes it in `rows`, what is only viewed in `looks`."""

    def __init__(self, design: Design, changed: Callable[[], None], viewed: Callable[[], None]) -> None:
        self.design, content = design, design.content
        self._filed = content.tolerance
        said = USUAL if self._filed is None else self._filed
        self.sliders = {key: _slider(key, _number(said, key)) for key in SPREADS}
        self._first = {key: slider.value for key, slider in self.sliders.items()}
        self.distribution = controls.choice(
            "distribution",
            "distribution",
            "uniform: no error beyond; normal: standard deviations",
            tuple(DISTRIBUTIONS),
        )
        self.distribution.value = said.distribution
        self.direction = controls.choice(
            "direction", "show direction", "which one is shown", [one.name for one in content.directions]
        )
        self.band = controls.steps("band", "show band", "which band is drawn", content.bands)
        self.band.value = content.phasing.cut_band
        self.figure = controls.choice(
            "figure", "show figure", "which figure is drawn", [(name, key) for key, name in NAMES.items()]
        )
        self.coverage = controls.steps(
            "coverage", "arrays inside (%)", "how many arrays lie in the interval", COVERAGES
        )
        self.coverage.value = 95
        self.lost = controls.slider(
            "lost", "may lose (dB)", "how much of the figure the widest may cost", 0.05, 6, 0.05
        )
        controls.place(self.lost, 0.5)
        for control in (*self.rows, *self.looks):
            control.layout.flex, control.layout.width, control.layout.max_width = "1 1 330px", "auto", "460px"
        for control in self.rows:
            control.observe(lambda _: changed(), "value")
        for control in self.looks:
            control.observe(lambda _: viewed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (*self.sliders.values(), self.distribution)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (Group("Tolerances", self.rows),)

    @property
    def looks(self) -> tuple[widgets.Widget, ...]:
        """What is shown, and never saved."""
        return (self.direction, self.band, self.figure, self.coverage, self.lost)

    @property
    def assumed(self) -> bool:
        """Whether the file says no tolerances, and none was moved."""
        return self._filed is None and not self._moved

    @property
    def _moved(self) -> list[str]:
        said = USUAL if self._filed is None else self._filed
        moved = [key for key, slider in self.sliders.items() if slider.value != self._first[key]]
        return [*moved, *(["distribution"] if self.distribution.value != said.distribution else [])]

    @property
    def tolerances(self) -> tuple[Tolerance, ...]:
        """What the controls say; an unmoved slider says exactly what the file does."""
        said = USUAL if self._filed is None else self._filed
        values: dict[str, Any] = {}
        for key, slider in self.sliders.items():
            if slider.value == self._first[key]:
                values[key] = getattr(said, key)
            elif slider.value > 0:
                values[key] = _value(key, slider.value)
        return ToleranceTable(distribution=self.distribution.value, **values).tolerances()

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        moved, found = self._moved, dict[tuple[str, ...], Any]()
        if not moved:
            return found
        keys = moved if self._filed is not None else ["distribution", *self.sliders]
        for key in keys:
            if key == "distribution":
                found["tolerance", key] = self.distribution.value
            elif self.sliders[key].value > 0:
                found["tolerance", key] = _text(key, self.sliders[key].value)
            elif self._filed is not None:
                found["tolerance", key] = None
        return found

    def copy_view(self, other: Self) -> None:
        """Show what the controls before showed."""
        for mine, before in zip(self.looks, other.looks, strict=True):
            mine.value = before.value

    def close(self) -> None:
        """Let go of the controls."""
        for control in (*self.rows, *self.looks):
            control.close()


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


def _value(key: str, shown: float) -> Any:
    unit = SPREADS[key].unit
    return Quantity(shown, unit) if unit else round(shown / 100, 9)


def _text(key: str, shown: float) -> Any:
    """Return what is written into the file."""
    unit = SPREADS[key].unit
    return f"{shown:g} {'deg' if unit == 'degree' else unit}" if unit else round(shown / 100, 9)
