"""Metrics of a pattern: front-to-rear, beamwidths, peak, nulls; and the cuts that pictures show."""

from dataclasses import dataclass

import numpy as np

from workbook.array.extremes import (
    CUT_PHASE,
    coarse_power,
    first_crossing,
    greatest_rear_power,
    local_maxima,
    power,
    radius_phase,
    refine_cut,
)
from workbook.array.firing import Firing, check_firing
from workbook.array.merit import decibels
from workbook.errors import InputError
from workbook.formulas.waves import sky_nodes
from workbook.units import Angle, BoolArray, FloatArray, Floats, Gain, Quantity

Nulls = tuple[tuple[Angle, Gain], ...]
NULL_DEPTH = 15.0
"""A minimum this far below the greatest of a cut [dB] is a null."""
COARSE_NULL_DEPTH, DEEPEST = NULL_DEPTH - 3.0, 100.0
"""A coarse cut may miss the depth of a minimum by 3 dB; beyond 100 dB rounding decides which minimum is deeper."""
ALL_ROUND, NULL_SHARE = (-np.inf, np.inf), 1e-4
"""Bounds of a cut all round; this share of a step from its minimum a null is deeper than any that can be built."""
_AZIMUTHS = np.radians(np.arange(0.0, 360.0, 0.5))
_ELEVATIONS = np.radians(np.arange(0.0, 90.25, 0.25))


@dataclass(frozen=True, eq=False)
class Cut:
    """Power along a cut, in dB over one element on perfect ground at the horizon; angles in degrees."""

    angle_deg: FloatArray
    level_db: FloatArray


@dataclass(frozen=True, eq=False)
class PatternMetrics:
    """Metrics of a pattern.

    Attributes
    ----------
    front_to_rear_worst, front_to_rear_mean
        Front over the greatest, and over the mean power of the rear half: azimuths 90 degrees or more from the
        firing's, every elevation, mean over solid angle. dB quantities.
    azimuth_beamwidth, elevation_beamwidth
        Between the -3 dB points either side of the main lobe's peak, in the cut through the firing's elevation or
        azimuth. Angles; not a number where the level never falls by 3 dB.
    peak_elevation
        Where the elevation cut is greatest, an angle.
    nulls
        Pairs of azimuth and depth below the azimuth cut's greatest, an angle and a dB quantity, deepest first.
    """

    front_to_rear_worst: Gain
    front_to_rear_mean: Gain
    azimuth_beamwidth: Angle
    elevation_beamwidth: Angle
    peak_elevation: Angle
    nulls: Nulls


def _single(firing: Firing) -> Firing:
    check_firing(firing)
    if firing.weights.ndim != 1:
        raise InputError(
            "got several sets of weights", where="firing", wanted="one set of weights", remedy="call once for each"
        )
    return firing


def _levels(found: FloatArray) -> FloatArray:
    # the limit is below anything drawn, where rounding would show
    return np.asarray(10 * np.log10(np.maximum(found, 1e-20)))


def azimuth_cut(firing: Firing) -> Cut:
    """Return the level all round at the firing's elevation, every half degree.

    Parameters
    ----------
    firing
        The array with one set of weights.

    Returns
    -------
    Cut

    Raises
    ------
    InputError
        When the firing has several sets of weights.
    """
    return Cut(np.degrees(_AZIMUTHS), _levels(power(_single(firing), _AZIMUTHS, firing.arrival.elevation)))


def elevation_cut(firing: Firing) -> Cut:
    """Return the level from the front horizon (0) over the zenith (90) to the horizon behind (180).

    Parameters
    ----------
    firing
        The array with one set of weights.

    Returns
    -------
    Cut

    Raises
    ------
    InputError
        When the firing has several sets of weights.
    """
    azimuth = _single(firing).arrival.azimuth
    front = power(firing, azimuth, _ELEVATIONS)
    back = power(firing, azimuth + np.pi, _ELEVATIONS)
    angle = np.concatenate((_ELEVATIONS, np.pi - _ELEVATIONS[-2::-1]))
    return Cut(np.degrees(angle), _levels(np.concatenate((front, back[-2::-1]))))


def full_sky(firing: Firing, steps: int = 2) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return azimuths (A,) and elevations (E,) in degrees and the level (E, A) over the whole sky, in dB."""
    azimuth, elevation = np.arange(0.0, 360.1, steps), np.arange(0.0, 90.1, steps)
    found = power(_single(firing), np.radians(azimuth)[None, :], np.radians(elevation)[:, None])
    return azimuth, elevation, _levels(found)


def pattern_metrics(firing: Firing) -> PatternMetrics:
    """Return front-to-rear, beamwidths, peak elevation and nulls of a pattern.

    Parameters
    ----------
    firing
        The array with one set of weights.

    Returns
    -------
    PatternMetrics

    Raises
    ------
    InputError
        When the firing has several sets of weights.

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> pair = Firing(row(2, "20 m", "0 deg"), [1, 1], "3.65 MHz", "0 deg", "0 deg", PERFECT_GROUND)
    >>> pattern_metrics(pair).elevation_beamwidth.m_as("degree")
    55.88
    """
    front = float(power(_single(firing), firing.arrival.azimuth, firing.arrival.elevation))
    with np.errstate(divide="ignore"):
        worst, mean = (np.float64(front) / rear for rear in (greatest_rear_power(firing), _mean_rear_power(firing)))
    azimuth_width, nulls = _azimuth_metrics(firing)
    elevation_width, peak = _elevation_metrics(firing)
    return PatternMetrics(
        Quantity(float(decibels(worst)), "dB"),
        Quantity(float(decibels(mean)), "dB"),
        Quantity(float(np.degrees(azimuth_width)), "degree"),
        Quantity(float(np.degrees(elevation_width)), "degree"),
        Quantity(float(np.degrees(peak)), "degree"),
        nulls,
    )


def _mean_rear_power(firing: Firing) -> float:
    """Return the power averaged over the solid angle of the rear half."""
    # each quarter turn by the rule for elevations; the number of points serves arrays up to forty wavelengths wide
    wide = min(int(radius_phase(firing)), 250)
    (turn, share), (elevation, weight) = sky_nodes(12 + wide), sky_nodes(24 + wide)
    behind = firing.arrival.azimuth + np.pi + np.concatenate((turn, -turn))
    over_azimuth = coarse_power(firing, behind, elevation) @ np.concatenate((share, share)) / np.pi
    return float(over_azimuth @ (weight * np.cos(elevation)))


def _azimuth_metrics(firing: Firing) -> tuple[float, Nulls]:
    """Return the width of the main lobe [rad] and the nulls, of the azimuth cut at the firing's elevation."""
    azimuth, elevation = firing.arrival.azimuth, firing.arrival.elevation
    count = _steps(firing, 720, 2 * np.pi)
    turns = 2 * np.pi * np.arange(count) / count

    def found_at(turn: Floats) -> FloatArray:
        return power(firing, azimuth + turn, elevation)

    found = coarse_power(firing, azimuth + turns, np.array([elevation]))[0]
    deep = _levels(found) < _levels(found.max()) - COARSE_NULL_DEPTH
    found[deep] = found_at(turns[deep])
    peak = _uphill(found)
    high = np.append(peak, np.flatnonzero(local_maxima(found[None])))
    _, highest = refine_cut(found_at, turns[high], turns[1], ALL_ROUND)
    half = highest[0] / 2
    right = first_crossing(found_at, turns[peak] + turns, np.roll(found, -peak), half)
    left = first_crossing(found_at, turns[peak] - turns, np.roll(found[::-1], peak + 1), half)
    width = np.nan if left is None or right is None else right - left
    low = np.flatnonzero(_minima(found) & deep)
    points, lowest = refine_cut(lambda turn: -found_at(turn), turns[low], turns[1], ALL_ROUND, NULL_SHARE)
    return width, _nulls(azimuth + points, _levels(-lowest) - _levels(highest.max()))


def _elevation_metrics(firing: Firing) -> tuple[float, float]:
    """Return width and peak of the main lobe [rad] of the elevation cut; horizon and zenith end a lobe."""
    elevations = np.linspace(0.0, np.pi / 2, 1 + _steps(firing, 360, np.pi / 2))

    def found_at(elevation: Floats) -> FloatArray:
        return power(firing, firing.arrival.azimuth, elevation)

    found = coarse_power(firing, np.array([firing.arrival.azimuth]), elevations)[:, 0]
    high = np.flatnonzero(local_maxima(found[None]))
    points, highest = refine_cut(found_at, elevations[high], elevations[1], (0.0, np.pi / 2))
    best = int(np.argmax(highest))
    start, half = high[best], highest[best] / 2
    upper = first_crossing(found_at, elevations[start:], found[start:], half)
    lower = first_crossing(found_at, elevations[start::-1], found[start::-1], half)
    return (np.pi / 2 if upper is None else upper) - (lower or 0.0), float(points[best])


def _steps(firing: Firing, least: int, turn: float) -> int:
    """Return into how many steps to divide a cut over so many rad, fine enough for the array's size."""
    return max(least, int(np.ceil(turn * radius_phase(firing) / CUT_PHASE)))


def _minima(found: FloatArray) -> BoolArray:
    """Return where a cut all round is lower than before and no higher than after."""
    return np.asarray((found < np.roll(found, 1)) & (found <= np.roll(found, -1)))


def _uphill(found: FloatArray) -> int:
    """Return the entry of the peak that lies uphill from the first, of a cut all round."""
    place = 0
    while found[place] < max(found[place - 1], found[(place + 1) % len(found)]):
        place = (place + (1 if found[(place + 1) % len(found)] > found[place - 1] else -1)) % len(found)
    return place


def _nulls(azimuths: FloatArray, depths: FloatArray) -> Nulls:
    """Return the minima that are deep enough, deepest first."""
    deep = depths < -NULL_DEPTH
    found = [
        (float(np.degrees(one) % 360), float(depth)) for one, depth in zip(azimuths[deep], depths[deep], strict=True)
    ]
    found.sort(key=lambda pair: (max(round(pair[1], 3), -DEEPEST), round(pair[0], 6)))
    return tuple((Quantity(azimuth, "degree"), Quantity(depth, "dB")) for azimuth, depth in found)
