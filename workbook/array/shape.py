"""The shape of a pattern: peak, widths, nulls, front over rear; and the cuts that pictures show."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.extremes import CUT_LOOK, edge, glance, greatest_behind, power, reach, summits, tops
from workbook.array.firing import Firing
from workbook.array.merit import decibels
from workbook.errors import InputError
from workbook.formulas.waves import sky_nodes
from workbook.units import Quantity

Nulls = tuple[tuple[Any, Any], ...]
DEEP = 15.0
"""A dip this far below the greatest of a cut [dB] is told as a null."""
TOLD_DEEP, BOTTOMLESS = DEEP - 3.0, 100.0
"""A look may miss the depth of a dip by 3 dB; of those deeper than 100 dB only rounding tells which is deepest."""
ANYWHERE, DEPTH = (-np.inf, np.inf), 1e-4
"""A cut all round has no ends; so small a part of a step from its bottom, a null is deeper than any can be built."""
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
    nulls: Nulls


def _single(firing: Firing) -> Firing:
    if firing.weights.ndim != 1:
        raise InputError(
            "one set of weights is wanted for a pattern's shape, not several",
            where="firing",
            remedy="take them one by one",
        )
    return firing


def _levels(found: Any) -> Any:
    # nothing is drawn below this; rounding would make noise of it
    return 10 * np.log10(np.maximum(found, 1e-20))


def azimuth_cut(firing: Firing) -> Cut:
    """Return the level all round at the firing's elevation, every half degree."""
    return Cut(np.degrees(_AZIMUTHS), _levels(power(_single(firing), _AZIMUTHS, firing.arrival.elevation)))


def elevation_cut(firing: Firing) -> Cut:
    """Return the level from the front horizon (0) over the zenith (90) to the horizon behind (180)."""
    azimuth = _single(firing).arrival.azimuth
    front = power(firing, azimuth, _HEIGHTS)
    back = power(firing, azimuth + np.pi, _HEIGHTS)
    angle = np.concatenate((_HEIGHTS, np.pi - _HEIGHTS[-2::-1]))
    return Cut(np.degrees(angle), _levels(np.concatenate((front, back[-2::-1]))))


def full_sky(firing: Firing, steps: int = 2) -> tuple[Any, Any, Any]:
    """Return azimuths (A,) and elevations (E,) in degrees and the level (E, A) over the whole sky, in dB."""
    azimuth, elevation = np.arange(0.0, 360.1, steps), np.arange(0.0, 90.1, steps)
    found = power(_single(firing), np.radians(azimuth)[None, :], np.radians(elevation)[:, None])
    return azimuth, elevation, _levels(found)


def shape(firing: Firing) -> Shape:
    """Return the figures of a pattern's shape.

    Rear half: azimuths 90 degrees or more from the firing's; worst over every elevation, mean over solid angle.
    Beamwidths: between the half-power points either side of the main lobe's peak in the cut through the firing's
    elevation or azimuth; not a number where the level never falls that far.

    Raises
    ------
    InputError
        When the firing carries several sets of weights.
    """
    front = float(power(_single(firing), firing.arrival.azimuth, firing.arrival.elevation))
    with np.errstate(divide="ignore"):
        worst, average = (np.float64(front) / rear for rear in (greatest_behind(firing), _mean_behind(firing)))
    azimuth_width, nulls = _around(firing)
    elevation_width, peak = _upward(firing)
    return Shape(
        Quantity(float(decibels(worst)), "dB"),
        Quantity(float(decibels(average)), "dB"),
        Quantity(float(np.degrees(azimuth_width)), "degree"),
        Quantity(float(np.degrees(elevation_width)), "degree"),
        Quantity(float(np.degrees(peak)), "degree"),
        nulls,
    )


def _mean_behind(firing: Firing) -> float:
    """Return the power averaged over the solid angle of the rear half."""
    # either quarter turn by the rule for elevations; so many points serve an array so wide, up to forty wavelengths
    wide = min(int(reach(firing)), 250)
    (turn, share), (height, weight) = sky_nodes(12 + wide), sky_nodes(24 + wide)
    behind = firing.arrival.azimuth + np.pi + np.concatenate((turn, -turn))
    over_azimuth = glance(firing, behind, height) @ np.concatenate((share, share)) / np.pi
    return float(over_azimuth @ (weight * np.cos(height)))


def _around(firing: Firing) -> tuple[float, Nulls]:
    """Return the width of the main lobe [rad] and the nulls, of the azimuth cut at the firing's elevation."""
    azimuth, elevation = firing.arrival.azimuth, firing.arrival.elevation
    count = _looks(firing, 720, 2 * np.pi)
    turns = 2 * np.pi * np.arange(count) / count

    def found_at(turn: Any) -> Any:
        return power(firing, azimuth + turn, elevation)

    found = found_at(turns)
    peak = _uphill(found)
    high = np.append(peak, np.flatnonzero(tops(found[None])))
    _, highest = summits(found_at, turns[high], turns[1], ANYWHERE)
    half = highest[0] / 2
    right = edge(found_at, turns[peak] + turns, np.roll(found, -peak), half)
    left = edge(found_at, turns[peak] - turns, np.roll(found[::-1], peak + 1), half)
    width = np.nan if left is None or right is None else right - left
    low = np.flatnonzero(_lower(found) & (_levels(found) < _levels(found.max()) - TOLD_DEEP))
    places, lowest = summits(lambda turn: -found_at(turn), turns[low], turns[1], ANYWHERE, DEPTH)
    return width, _nulls(azimuth + places, _levels(-lowest) - _levels(highest.max()))


def _upward(firing: Firing) -> tuple[float, float]:
    """Return width and peak of the main lobe [rad] of the elevation cut; horizon and zenith end a lobe."""
    heights = np.linspace(0.0, np.pi / 2, 1 + _looks(firing, 360, np.pi / 2))

    def found_at(height: Any) -> Any:
        return power(firing, firing.arrival.azimuth, height)

    found = found_at(heights)
    high = np.flatnonzero(tops(found[None]))
    places, highest = summits(found_at, heights[high], heights[1], (0.0, np.pi / 2))
    best = int(np.argmax(highest))
    start, half = high[best], highest[best] / 2
    upper = edge(found_at, heights[start:], found[start:], half)
    lower = edge(found_at, heights[start::-1], found[start::-1], half)
    return (np.pi / 2 if upper is None else upper) - (lower or 0.0), float(places[best])


def _looks(firing: Firing, least: int, turn: float) -> int:
    """Return into how many steps to part a cut over so many rad, fine enough for the array's size."""
    return max(least, int(np.ceil(turn * reach(firing) / CUT_LOOK)))


def _lower(found: Any) -> Any:
    """Return where a cut all round is lower than before and no higher than after."""
    return (found < np.roll(found, 1)) & (found <= np.roll(found, -1))


def _uphill(found: Any) -> int:
    """Return the entry of the peak that lies uphill from the first, of a cut all round."""
    place = 0
    while found[place] < max(found[place - 1], found[(place + 1) % len(found)]):
        place = (place + (1 if found[(place + 1) % len(found)] > found[place - 1] else -1)) % len(found)
    return place


def _nulls(azimuths: Any, depths: Any) -> Nulls:
    """Return the dips that are deep enough, deepest first."""
    deep = depths < -DEEP
    found = [
        (float(np.degrees(one) % 360), float(depth)) for one, depth in zip(azimuths[deep], depths[deep], strict=True)
    ]
    found.sort(key=lambda pair: (max(round(pair[1], 3), -BOTTOMLESS), round(pair[0], 6)))
    return tuple((Quantity(where, "degree"), Quantity(depth, "dB")) for where, depth in found)
