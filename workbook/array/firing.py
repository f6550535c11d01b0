"""An array fired one way on one frequency: layout, weights, direction and ground together."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from workbook.array import field
from workbook.array.arguments import elevation_angle, one, one_azimuth, one_frequency
from workbook.array.ground import AnyGround, _FreeSpace, _OverGround
from workbook.array.layout import Layout, check_layout
from workbook.errors import InputError, shown
from workbook.units import Quantity

NOTHING = 1e-24
"""One element's power, beside that at the horizon over perfect ground, below which it hears nothing."""


def check_ground(ground: Any) -> None:
    """Refuse anything but a ground."""
    if not isinstance(ground, (_OverGround, _FreeSpace)):
        raise InputError(
            f"{shown(ground)} is none",
            where="ground",
            remedy="give wb.Ground(13, '5 mS/m'), wb.PERFECT_GROUND or wb.FREE_SPACE",
        )


def check_arrival(ground: AnyGround, hertz: float, elevation: float) -> None:
    """Refuse what is no ground, and an elevation [rad] from which one element over it hears nothing."""
    check_ground(ground)
    if element_power(ground, hertz, elevation) < NOTHING:
        raise InputError(
            f"nothing arrives at {np.degrees(elevation):g} deg over {ground}",
            where="elevation",
            remedy="try 20 deg, or another height between horizon and zenith",
        )


def element_power(ground: AnyGround, hertz: float, elevation: float) -> float:
    """Return one element's power at an elevation [rad]."""
    return float(np.abs(ground.element(hertz, elevation)) ** 2)


def _checked_weights(weights: Any, count: int) -> Any:
    if isinstance(weights, Quantity):
        raise InputError(
            "plain complex numbers are wanted, not a quantity", where="weights", remedy="take the unit off"
        )
    try:
        if np.asarray(weights).dtype.kind not in "buifc" or np.ma.is_masked(weights):
            raise TypeError
        plain = np.array(weights, dtype=complex)
    except (TypeError, ValueError):
        raise InputError(
            f"{shown(weights)} are no complex numbers", where="weights", remedy="give one for each element"
        ) from None
    if plain.ndim == 0 or plain.shape[-1] != count:
        raise InputError(
            (
                f"came with {(plain.shape[-1] if plain.ndim else 'no')} entries along the last axis, but "
                f"the array has {count} elements"
            ),
            where="weights",
            remedy=f"give {count}",
        )
    if not np.all(np.isfinite(plain)):
        raise InputError("some are not finite numbers", where="weights", remedy="check them")
    if np.any(~np.any(plain, axis=-1)):
        raise InputError("every element is off", where="weights", remedy="leave at least one on")
    size = np.abs(plain).max(axis=-1)
    if np.any((size < 1e-100) | (size > 1e100)):
        raise InputError(
            "too large or too small to calculate with", where="weights", remedy="scale them so that the largest is 1"
        )
    plain.flags.writeable = False
    return plain


def check_firing(firing: Any) -> None:
    """Refuse anything but an array fired one way."""
    if not isinstance(firing, Firing):
        raise InputError(
            f"{shown(firing)} is none", where="firing", remedy="make one by wb.Firing(layout, weights, ...)"
        )


@dataclass(frozen=True, eq=False)
class Firing:
    """The array fired one way on one frequency; `weights` (..., N) may carry leading axes, and figures have them too.

    Weights are amplitude times polarity times e^{-j omega tau}, plain complex numbers.

    Raises
    ------
    InputError
        On weights that do not fit the layout, several frequencies or directions, an elevation outside 0 to 90
        degrees, or a direction from which one element hears nothing over this ground.

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> Firing(row(2, "20 m", "0 deg"), [1, 1], "1.83 MHz", "0 deg", "20 deg", PERFECT_GROUND).weights
    array([1.+0.j, 1.+0.j])
    """

    layout: Layout
    weights: Any
    frequency: Any
    azimuth: Any
    elevation: Any
    ground: AnyGround

    def __post_init__(self) -> None:
        """Check at birth, so that no figure has to."""
        check_layout(self.layout)
        hertz = one_frequency(self.frequency)
        azimuth = one_azimuth(self.azimuth)
        elevation = one(elevation_angle(self.elevation), "elevation")
        check_arrival(self.ground, hertz, elevation)
        object.__setattr__(self, "weights", _checked_weights(self.weights, self.layout.count))
        object.__setattr__(self, "frequency", Quantity(hertz, "Hz"))
        object.__setattr__(self, "azimuth", Quantity(np.degrees(azimuth), "degree"))
        object.__setattr__(self, "elevation", Quantity(np.degrees(elevation), "degree"))

    @cached_property
    def si(self) -> tuple[float, float, float]:
        """Frequency [Hz], azimuth and elevation [rad]."""
        return self.frequency.m_as("Hz"), self.azimuth.m_as("radian"), self.elevation.m_as("radian")

    @cached_property
    def noise_form(self) -> Any:
        """B of w^H B w, float (N, N)."""
        return field.form(self.layout.metres, self.si[0], self.ground)

    @cached_property
    def weight_power(self) -> Any:
        """Sum of |w|^2 over the elements, float (...)."""
        return field.weight_power(self.weights)

    @cached_property
    def toward(self) -> Any:
        """Phases of a wave from the firing's direction, complex (N,)."""
        return field.steering(self.layout.metres, *self.si)

    @cached_property
    def element_power(self) -> float:
        """One element's power toward the firing's elevation."""
        return element_power(self.ground, self.si[0], self.si[2])
