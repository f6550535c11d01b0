"""Sliders that each stand for a key of the design file, and what they say otherwise than the file."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import ipywidgets as widgets

from workbook.design.reception import EnvironmentTable, ReceiverTable
from workbook.design.schema import DesignFile
from workbook.design.store import Changes
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.linked_slider import LinkedSlider, Scale

WITHOUT = MappingProxyType({"environment": EnvironmentTable, "receiver": ReceiverTable})
"""Tables with a default for every key, which a file may lack."""


@dataclass(frozen=True)
class Key:
    """A key and its slider: `unit` is "" for a plain number, which is shown `times` as large.

    `none` is the value that stands for a key left out.
    """

    table: str
    name: str
    scale: Scale
    unit: str = ""
    times: float = 1.0
    none: float | None = None

    def shown(self, content: DesignFile) -> float:
        """Return what the slider shows of a design."""
        table = getattr(content, self.table)
        value = getattr(WITHOUT[self.table]() if table is None else table, self.name)
        if value is None:
            return 0.0 if self.none is None else self.none
        return float(value.m_as(self.unit)) if self.unit else self.times * float(value)


class KeySliders:
    """One row for each key, set to a design."""

    def __init__(
        self, keys: Sequence[Key], content: DesignFile, changed: Callable[[], None], units: LengthUnits
    ) -> None:
        self._keys = {key.name: key for key in keys}
        self._first = {key.name: key.shown(content) for key in keys}
        self.amounts: dict[str, LinkedSlider] = {}
        self.plain: dict[str, widgets.FloatSlider] = {}
        for name, key in self._keys.items():
            if key.unit:
                self.amounts[name] = LinkedSlider(key.scale, key.unit, self._first[name], changed, units)
            else:
                self.plain[name] = made = key.scale.slider(self._first[name])
                self._first[name] = made.value
                made.observe(lambda _: changed(), "value")

    def row(self, name: str) -> widgets.Widget:
        """Return the row of a key."""
        return self.amounts[name].row if name in self.amounts else self.plain[name]

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The rows in the order of the keys."""
        return tuple(self.row(name) for name in self._keys)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the sliders say otherwise than the design they were set to."""
        found = dict[tuple[str, ...], Any]()
        for name, key in self._keys.items():
            if name in self.plain:
                value: Any = self.plain[name].value
                moved, said = value != self._first[name], round(value / key.times, 9)
            else:
                amount = self.amounts[name]
                value, moved, said = amount.value, not amount.matches(self._first[name]), amount.text
            if moved:
                left_out = key.none is not None and math.isclose(value, key.none, abs_tol=1e-9)
                found[key.table, name] = None if left_out else said
        return found

    def close(self) -> None:
        """Let go of the controls."""
        for row in self.rows:
            controls.close(row)


def with_usual(changes: Changes, usual: Changes) -> dict[tuple[str, ...], Any]:
    """Return changes with the keys that a design needs for them, where there are any."""
    return {**usual, **changes} if changes else {}
