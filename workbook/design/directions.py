"""Switch positions, what every element gets in them, and the array that a phasing rule is solved for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Self

import numpy as np
from pydantic import BeforeValidator, Field

from workbook.array.ground import AnyGround
from workbook.array.layout import Layout
from workbook.array.phasing import weights_of
from workbook.errors import InputError, shown
from workbook.schema import Angle, DelayOrOff, PhaseOrOff, Strict
from workbook.units import ComplexArray, FloatArray, IntArray


def name_text(value: Any) -> str:
    """Return a name, refusing what cannot stand on a label."""
    if not isinstance(value, str) or not value.strip() or len(value) > 80 or not value.isprintable():
        raise InputError(f"{shown(value)} cannot be a name", remedy="write 1 to 80 characters on one line")
    return value.strip()


Name = Annotated[str, BeforeValidator(name_text)]
"""What a band, a direction or a design is called."""


class Direction(Strict):
    """One switch position; delays or phases, one per element, where the rule is `entered`."""

    name: Name = Field(examples=['"north-east"'])
    """Name on the switch."""
    azimuth: Angle = Field(examples=['"45 deg"'])
    """Beam heading, clockwise from true north."""
    delays: list[DelayOrOff] | None = None
    """With rule = "entered": one delay for each element, such as ["0 ns", "38 ns", "off"]."""
    phases: list[PhaseOrOff] | None = None
    """With rule = "entered": one lag on the cut band for each element, such as ["0 deg", "110 deg", "off"]."""
    polarity: list[Literal[1, -1]] | None = None
    """With rule = "entered": 1, or -1 for a reversed element, such as [1, -1, 1]."""

    @property
    def radians(self) -> float:
        """Azimuth [rad]."""
        return float(self.azimuth.m_as("radian"))

    def entered(self) -> dict[str, list[Any]]:
        """Return the lists that the file enters for the elements, by key."""
        lists = {key: getattr(self, key) for key in ("delays", "phases", "polarity")}
        return {key: entries for key, entries in lists.items() if entries is not None}


@dataclass(frozen=True, eq=False)
class ArraySetup:
    """The array that a phasing rule is solved for.

    Parameters
    ----------
    layout
        Where the elements stand.
    ground
        What they stand on.
    bands
        Design frequencies [Hz] by band.
    cut_hertz
        Frequency of the cut band [Hz].
    """

    layout: Layout
    ground: AnyGround
    bands: Mapping[str, float]
    cut_hertz: float

    def scaled(self, scale: float) -> "ArraySetup":
        """Return the same with the array made larger by a factor."""
        return ArraySetup(Layout(self.layout.metres * scale), self.ground, self.bands, self.cut_hertz)


@dataclass(frozen=True, eq=False)
class Feeds:
    """How elements are fed, (N,) in one direction or (D, N) in several.

    Parameters
    ----------
    delays
        Delays [s], not a number where an element is off.
    polarity
        1, -1, or 0 where off.
    amplitude
        From 0 to 1.
    """

    delays: FloatArray
    polarity: IntArray
    amplitude: FloatArray

    @classmethod
    def equal(cls, delays: FloatArray, polarity: IntArray) -> Self:
        """Return feeds of equal amplitude, the least delay made 0."""
        return cls(delays - np.nanmin(delays), polarity, np.where(polarity == 0, 0.0, 1.0))

    @classmethod
    def stacked(cls, rows: "Iterable[Feeds]") -> Self:
        """Return the feeds of several directions together, (D, N)."""
        rows = tuple(rows)
        return cls(*(np.array([getattr(row, key) for row in rows]) for key in ("delays", "polarity", "amplitude")))

    def weights(self, hertz: float) -> ComplexArray:
        """Return the weights on a frequency [Hz]: amplitude times polarity, later by the delays."""
        return weights_of(self.delays, self.polarity * self.amplitude, hertz)
