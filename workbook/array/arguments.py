"""Reading the arguments that layouts, firings and rules have in common; plain SI numbers come out."""

from typing import Any

import numpy as np

from workbook.checks import positive, real
from workbook.errors import InputError, shown


def one(value: Any, name: str) -> float:
    """Return the only value of an argument that takes no array."""
    if np.ndim(value):
        raise InputError(f"one value is wanted here, not {np.size(value)}", where=name, remedy="call once for each")
    return float(value)


def frequencies(frequency: Any, name: str = "frequency") -> Any:
    """Return frequencies [Hz] between 1 kHz and 1 GHz: outside there are no arrays of verticals."""
    hertz = positive(frequency, "Hz", name)
    if np.any((hertz < 1e3) | (hertz > 1e9)):
        worst = np.atleast_1d(hertz)[(np.atleast_1d(hertz) < 1e3) | (np.atleast_1d(hertz) > 1e9)][0]
        raise InputError(f"{worst:g} Hz is outside 1 kHz to 1 GHz", where=name, remedy="check its unit")
    return hertz


def one_frequency(frequency: Any) -> float:
    """Return one frequency [Hz]."""
    return one(frequencies(frequency), "frequency")


def one_azimuth(azimuth: Any) -> float:
    """Return one azimuth [rad]."""
    return one(real(azimuth, "radian", "azimuth"), "azimuth")


def truth(value: Any, name: str) -> bool:
    """Return a yes or no, refusing what only passes for one."""
    if not isinstance(value, (bool, np.bool_)):
        raise InputError(f"{shown(value)} is neither True nor False", where=name, remedy="write one of them")
    return bool(value)


def elevation_angle(elevation: Any, name: str = "elevation", least: float = 0.0) -> Any:
    """Return elevations [rad] after checking that they lie between horizon, or a least one [rad], and zenith."""
    radians = real(elevation, "radian", name)
    outside = (radians < least - 1e-12) | (radians > np.pi / 2 + 1e-12)
    if np.any(outside):
        worst = float(np.degrees(np.atleast_1d(radians)[np.atleast_1d(outside)][0]))
        raise InputError(
            (f"{_beside(worst, (np.degrees(least), 90.0))} deg is outside {np.degrees(least):.0f} to 90 deg"),
            where=name,
            remedy="give the height of the wave above the horizon",
        )
    return np.clip(radians, least, np.pi / 2)


def _beside(degrees: float, ends: tuple[float, ...]) -> str:
    """Write an angle with as many digits as tell it from the ends of its range."""
    return next((text for n in range(6, 17) if float(text := f"{degrees:.{n}g}") not in ends), repr(degrees))
