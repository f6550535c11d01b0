"""A band chosen from a list, or its frequency typed exactly, in one row."""

import math
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets as widgets

from workbook.checks import positive
from workbook.errors import InputError
from workbook.panels import controls
from workbook.units import Frequency, Quantity


class BandRow:
    """The bands with their usual frequencies, and the frequency of the one that is chosen.

    A typed frequency stays that of its band; with `nearest` it chooses the band nearest to it, until another is chosen.
    """

    def __init__(
        self,
        labels: tuple[str, str, str],
        usual: Mapping[str, Frequency],
        chosen: Callable[[], None],
        typed: Callable[[], None],
        nearest: bool = False,
    ) -> None:
        name, self._label, tip = labels
        self._usual = {band: float(frequency.m_as("MHz")) for band, frequency in usual.items()}
        self._chosen, self._typing, self._nearest, self._linking = chosen, typed, nearest, False
        self._typed: dict[str, str] = {}
        self._others: tuple[BandRow, ...] = ()
        self.band = controls.steps(name, self._label, tip, tuple(usual))
        tip = "an exact frequency in place of the one shown; a number alone is in MHz"
        self.field = controls.entry(f"{name}-frequency", f"{self._label}, frequency", tip, "such as 1.8 MHz")
        self.field.add_class("amount-field")
        self.row = widgets.Box((self.band, self.field))
        self.row.add_class("amount-row")
        self.row.add_class("band-row")
        self._write()
        self.band.observe(lambda _: self._choose(), "value")
        self.field.observe(lambda _: self._type(), "value")

    @property
    def name(self) -> str:
        """The band."""
        return str(self.band.value)

    @property
    def typed(self) -> dict[str, str]:
        """The frequencies that were typed, by band, each with its unit; not checked."""
        return {band: controls.with_default_unit(text, "MHz") for band, text in self._typed.items()}

    @property
    def frequency(self) -> Frequency:
        """The frequency typed for the band, else its usual one.

        Raises
        ------
        InputError
            When what is typed is not a frequency.
        """
        text = self.typed.get(self.name)
        return Quantity(self._usual[self.name] if text is None else _megahertz(text, self._label), "MHz")

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return the frequencies that were typed as changes of a design's bands."""
        return {("bands", band): text for band, text in self.typed.items()}

    def share(self, other: "BandRow") -> None:
        """Hold the same frequencies as another row over the same bands: typed in one, they are shown in both."""
        self._typed = other._typed
        self._others, other._others = (*self._others, other), (*other._others, self)
        self._write()

    def choose(self, band: str) -> None:
        """Set the band without calling `chosen`."""
        self._linking = True
        self.band.value = band
        self._linking = False
        self._write()

    def _write(self) -> None:
        self._linking = True
        self.field.value = self._typed.get(self.name, f"{self._usual[self.name]:.7g} MHz")
        self._linking = False

    def _choose(self) -> None:
        if not self._linking:
            if self._nearest:
                self._typed.clear()
            self._write()
            self._chosen()

    def _type(self) -> None:
        if self._linking:
            return
        text = self.field.value.strip()
        if self._nearest:
            self._typed.clear()
            self._to_nearest(text)
        self._typed.pop(self.name, None)
        if text:
            self._typed[self.name] = text
        else:
            self._write()
        for other in self._others:
            other._write()
        self._typing()

    def _to_nearest(self, text: str) -> None:
        try:
            megahertz = _megahertz(controls.with_default_unit(text, "MHz"), self._label)
        except InputError:
            return  # refused by what reads `frequency`
        self._linking = True
        self.band.value = min(self._usual, key=lambda band: abs(math.log(self._usual[band] / megahertz)))
        self._linking = False


def _megahertz(text: str, where: str) -> float:
    return float(positive(text, "MHz", where))
