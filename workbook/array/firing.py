"""An array fired one way on one frequency, and the checks of its arguments."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from workbook.array.ground import AnyGround, check_arrival
from workbook.array.layout import Layout, check_layout
from workbook.array.merit import Arrival, FiguresOfMerit, weight_power
from workbook.checks import instance, positive, real, single
from workbook.errors import InputError, shown
from workbook.units import Angle, ComplexArray, Floats, Frequency, Quantity

LEAST_POWER, GREATEST_POWER = 1e-200, 1e200
"""Sums of |w|^2 outside which figures would leave the range of a float."""


def array_frequency(frequency: Frequency, name: str = "frequency") -> Floats:
    """Return frequencies [Hz], refusing those outside 1 kHz to 1 GHz, for which no such array is built."""
    hertz = positive(frequency, "Hz", name)
    outside = np.ravel(hertz)[(np.ravel(hertz) < 1e3) | (np.ravel(hertz) > 1e9)]
    if outside.size:
        raise InputError(f"{outside[0]:g} Hz is outside 1 kHz to 1 GHz", where=name, remedy="check its unit")
    return hertz


def elevation_angle(elevation: Angle, name: str = "elevation", least: float = 0.0) -> Floats:
    """Return elevations [rad], refusing those outside the horizon, or a least one [rad], and the zenith."""
    radians = real(elevation, "radian", name)
    outside = np.ravel(radians)[(np.ravel(radians) < least - 1e-12) | (np.ravel(radians) > np.pi / 2 + 1e-12)]
    if outside.size:
        worst = _unlike(float(np.degrees(outside[0])), (np.degrees(least), 90.0))
        raise InputError(
            f"{worst} deg is outside {np.degrees(least):.0f} to 90 deg",
            where=name,
            remedy="give the angle of the wave above the horizon",
        )
    return np.clip(radians, least, np.pi / 2)


def _unlike(degrees: float, limits: tuple[float, ...]) -> str:
    """Write an angle with as many digits as distinguish it from limits."""
    return next((text for n in range(6, 17) if float(text := f"{degrees:.{n}g}") not in limits), repr(degrees))


@dataclass(frozen=True, eq=False)
class Firing:
    """The array with one beam on one frequency.

    Parameters
    ----------
    layout
        N elements.
    weights
        Plain complex numbers (..., N): amplitude times polarity times e^{-j omega tau}. Leading axes are those of the
        figures.
    frequency, azimuth, elevation
        One each.
    ground
        What the elements stand on.

    Raises
    ------
    InputError
        On weights that do not fit the layout, several frequencies or directions, an elevation outside 0 to 90
        degrees, or a direction from which one element receives nothing over this ground.

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> Firing(row(2, "20 m", "0 deg"), [1, 1], "1.83 MHz", "0 deg", "20 deg", PERFECT_GROUND).weights
    array([1.+0.j, 1.+0.j])
    """

    layout: Layout
    weights: ComplexArray
    frequency: Frequency
    azimuth: Angle
    elevation: Angle
    ground: AnyGround

    def __post_init__(self) -> None:
        """Check at birth, so that no figure has to."""
        check_layout(self.layout)
        hertz = single(array_frequency(self.frequency), "frequency")
        azimuth = single(real(self.azimuth, "radian", "azimuth"), "azimuth")
        elevation = single(elevation_angle(self.elevation), "elevation")
        check_arrival(self.ground, hertz, elevation)
        object.__setattr__(self, "weights", _checked_weights(self.weights, self.layout.count))
        object.__setattr__(self, "frequency", Quantity(hertz, "Hz"))
        object.__setattr__(self, "azimuth", Quantity(np.degrees(azimuth), "degree"))
        object.__setattr__(self, "elevation", Quantity(np.degrees(elevation), "degree"))

    def __reduce__(self) -> tuple[Any, ...]:
        """Survive pickling with the weights still protected from writing."""
        return type(self), (self.layout, self.weights, self.frequency, self.azimuth, self.elevation, self.ground)

    @cached_property
    def arrival(self) -> Arrival:
        """The wave from the firing's direction, on plain numbers."""
        azimuth, elevation = self.azimuth.m_as("radian"), self.elevation.m_as("radian")
        return Arrival(self.layout.metres, self.frequency.m_as("Hz"), azimuth, elevation, self.ground)

    @cached_property
    def figures(self) -> FiguresOfMerit:
        """Figures of the weights, plain numbers in dB."""
        return FiguresOfMerit(self.arrival, self.weights)


def check_firing(firing: Any) -> None:
    """Refuse anything but an array fired one way."""
    instance(firing, Firing, "firing", "make one by wb.Firing(layout, weights, ...)")


def _checked_weights(weights: Any, count: int) -> ComplexArray:
    """Return a copy of weights that no one can write to, after one pass over their values."""
    plain = _complex(weights)
    if plain.ndim == 0 or plain.shape[-1] != count:
        entries = plain.shape[-1] if plain.ndim else "no"
        raise InputError(
            f"got {entries} entries along the last axis, and the array has {count} elements",
            where="weights",
            remedy=f"give {count}",
        )
    power = weight_power(plain)
    # written so that a power that is not a number fails too
    if power.size and not (power.min() >= LEAST_POWER and power.max() <= GREATEST_POWER):
        raise _out_of_range(plain)
    plain.flags.writeable = False
    return plain


def _complex(weights: Any) -> ComplexArray:
    """Return a copy of weights as complex numbers."""
    if isinstance(weights, Quantity):
        raise InputError("got a quantity", where="weights", wanted="plain complex numbers", remedy="take the unit off")
    try:
        if np.asarray(weights).dtype.kind not in "buifc" or np.ma.is_masked(weights):
            raise TypeError
        return np.array(weights, dtype=complex, order="C")
    except (TypeError, ValueError):
        raise InputError(
            f"got {shown(weights)}",
            where="weights",
            wanted="plain complex numbers",
            remedy="give one for each element",
        ) from None


def _out_of_range(weights: ComplexArray) -> InputError:
    if not np.all(np.isfinite(weights)):
        return InputError("some are not finite numbers", where="weights", remedy="check them")
    if np.any(~np.any(weights, axis=-1)):
        return InputError("every element is off", where="weights", remedy="leave at least one on")
    return InputError(
        "too large or too small to compute with", where="weights", remedy="scale them so that the largest is 1"
    )
