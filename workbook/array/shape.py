"""The shape of a pattern: peak, widths, nulls, front over rear; and the cuts that pictures show."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern import decibels, response
from workbook.errors import InputError
from workbook.units import Quantity

DEEP = 15.0
"""A dip this far below the greatest of a cut [dB] is told as a null."""
_AZIMUTHS = np.radians(np.arange(0.0, 360.0, 0.5))
_HEIGHTS = np.radians(np.arange(0.0, 90.25, 0.25))


@dataclass(frozen=True, eq=False)
class Cut:
    """Power along a cut, in dB over one element on perfect ground at the horizon; angles in degrees."""

    angle_deg: Any
    level_db: Any


@dataclass(frozen=True, eq=False)
class Shape:
    """Figures of a pattern's shape as quantities; `nulls` are pairs of azimuth and depth below the cut's greatest."""

    front_to_rear_worst: Any
    front_to_rear_mean: Any
    azimuth_beamwidth: Any
    elevation_beamwidth: Any
    peak_elevation: Any
    nulls: tuple[tuple[Any, Any], ...]


def _single(firing: Firing) -> Firing:
    if firing.weights.ndim != 1:
        raise InputError(
            "firing: one set of weights is wanted for a pattern's shape, not several; take them one by one."
        )
    return firing


def _power(firing: Firing, azimuth: Any, elevation: Any) -> Any:
    return np.abs(response(firing, azimuth, elevation)) ** 2


def _levels(power: Any) -> Any:
    # nothing is drawn below this; rounding would make noise of it
    return 10 * np.log10(np.maximum(power, 1e-20))


def azimuth_cut(firing: Firing) -> Cut:
    """Return the level all round at the firing's elevation, every half degree."""
    power = _power(_single(firing), _AZIMUTHS, firing.si[2])
    return Cut(np.degrees(_AZIMUTHS), _levels(power))


def elevation_cut(firing: Firing) -> Cut:
    """Return the level from the front horizon (0) over the zenith (90) to the horizon behind (180)."""
    _, azimuth, _ = _single(firing).si
    front = _power(firing, azimuth, _HEIGHTS)
    back = _power(firing, azimuth + np.pi, _HEIGHTS)
    angle = np.concatenate((_HEIGHTS, np.pi - _HEIGHTS[-2::-1]))
    return Cut(np.degrees(angle), _levels(np.concatenate((front, back[-2::-1]))))


def full_sky(firing: Firing, steps: int = 2) -> tuple[Any, Any, Any]:
    """Return azimuths (A,) and elevations (E,) in degrees and the level (E, A) over the whole sky, in dB."""
    azimuth, elevation = np.arange(0.0, 360.1, steps), np.arange(0.0, 90.1, steps)
    power = _power(_single(firing), np.radians(azimuth)[None, :], np.radians(elevation)[:, None])
    return azimuth, elevation, _levels(power)


def shape(firing: Firing) -> Shape:
    """Return the figures of a pattern's shape.

    Rear half: azimuths more than 90 degrees from the firing's; worst over every elevation, mean over solid angle.
    Beamwidths: between the half-power points either side of the main lobe's peak in the cut through the firing's
    elevation or azimuth; not a number where the level never falls that far.

    Raises
    ------
    InputError
        When the firing carries several sets of weights.
    """
    _, azimuth, elevation = _single(firing).si
    front = float(_power(firing, azimuth, elevation))
    rear = azimuth + np.pi + np.radians(np.arange(-89.0, 90.0, 2.0))
    heights = np.radians(np.arange(0.5, 90.0, 1.0))
    behind = _power(firing, rear[None, :], heights[:, None])
    mean = float((behind.mean(axis=1) * np.cos(heights)).sum() / np.cos(heights).sum())
    with np.errstate(divide="ignore"):
        worst, average = (np.float64(front) / x for x in (behind.max(), mean))
    around = _power(firing, azimuth + _AZIMUTHS, elevation)
    upward = _power(firing, azimuth, _HEIGHTS)
    peak = int(np.argmax(upward))
    return Shape(
        decibels(worst),
        decibels(average),
        Quantity(_width(np.roll(around, 360), 360, 0.5), "degree"),
        Quantity(_width(upward, peak, 0.25), "degree"),
        Quantity(float(np.degrees(_HEIGHTS[peak])), "degree"),
        _nulls(firing, around),
    )


def _width(power: Any, start: int, step: float) -> float:
    """Return the width [degree] between the half-power points round the peak that lies uphill from an entry."""
    while 0 < start < len(power) - 1 and power[start] < max(power[start - 1], power[start + 1]):
        start += 1 if power[start + 1] > power[start - 1] else -1
    half = power[start] / 2
    ends = []
    for side in (power[start::-1], power[start:]):
        below = np.flatnonzero(side < half)
        if not below.size:
            # a lobe that touches the horizon ends there
            ends.append(float(len(side) - 1) if len(power) < len(_AZIMUTHS) else np.nan)
            continue
        n = below[0]
        ends.append(float(n - 1 + (side[n - 1] - half) / (side[n - 1] - side[n])))
    return sum(ends) * step


def _nulls(firing: Firing, around: Any) -> tuple[tuple[Any, Any], ...]:
    """Return the dips of the azimuth cut, deepest first, each found to a hundredth of a degree."""
    _, azimuth, elevation = firing.si
    level = _levels(around)
    lower = (level < np.roll(level, 1)) & (level <= np.roll(level, -1)) & (level < level.max() - DEEP)
    found = []
    for start in azimuth + _AZIMUTHS[lower]:
        near = start + np.radians(np.linspace(-0.5, 0.5, 101))
        fine = _levels(_power(firing, near, elevation))
        place = int(np.argmin(fine))
        found.append((float(np.degrees(near[place]) % 360), float(fine[place] - level.max())))
    found.sort(key=lambda pair: pair[1])
    return tuple((Quantity(where, "degree"), Quantity(depth, "dB")) for where, depth in found)
