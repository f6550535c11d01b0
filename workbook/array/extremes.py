"""Where a pattern is greatest and least: coarse power on a grid, its local maxima, then refinement of each."""

from collections.abc import Callable
from itertools import product

import numpy as np

from workbook.array.firing import Firing
from workbook.array.ground import MOST_PHASE, too_wide
from workbook.array.layout import projections
from workbook.array.pattern import response
from workbook.formulas.waves import wave_number
from workbook.units import BoolArray, FloatArray, Floats

COARSEST, FINEST = np.radians(4.0), np.radians(0.25)
"""Steps of a grid, for small arrays, where the ground shapes the pattern, and for those 40 wavelengths and more across.
"""
GRID_PHASE, CUT_PHASE = 0.6, 0.25
"""Phase of the outermost element between neighbours of a grid, and of a cut [rad]; lobes are 3 wide."""
NEAR_GREATEST = 10 ** (-1.5 / 10)
"""Coarse power may be this far below the maximum of its own lobe."""
MOST_LOBES, MOST_ROUNDS = 16, 24
"""Lobes that are refined, the strongest of a grid, and rounds of refinement, also along a ridge."""


def power(firing: Firing, azimuth: Floats, elevation: Floats) -> FloatArray:
    """Return the power from directions [rad] beside that of one element on perfect ground at the horizon."""
    return np.asarray(np.abs(response(firing, azimuth, elevation)) ** 2)


def radius_phase(firing: Firing) -> float:
    """Return the phase from the middle to the outermost elements [rad], refusing what no grid can cover."""
    phase = float(wave_number(firing.arrival.hertz) * firing.layout.apart.max())
    if phase > MOST_PHASE:
        raise too_wide()
    return phase / 2


def greatest_rear_power(firing: Firing) -> float:
    """Return the greatest power from azimuths 90 degrees or more off the firing's, at any elevation."""
    # the least phase serves a single element, whose pattern the ground alone shapes
    step = float(np.clip(GRID_PHASE / max(radius_phase(firing), 1e-9), FINEST, COARSEST))
    azimuth = firing.arrival.azimuth + np.pi + _grid(-np.pi / 2, np.pi / 2, step)
    elevation = _grid(0.0, np.pi / 2, step)
    coarse = coarse_power(firing, azimuth, elevation)
    row, column = np.nonzero(local_maxima(coarse))
    first = np.argsort(-coarse[row, column], kind="stable")[:MOST_LOBES]
    _, found = refine(
        lambda near: power(firing, near[..., 0], near[..., 1]),
        np.column_stack((azimuth[column], elevation[row]))[first],
        step,
        (np.array([azimuth[0], 0.0]), np.array([azimuth[-1], np.pi / 2])),
        parts=2,
        finest=step / 100,
    )
    return float(found.max())


def _grid(start: float, stop: float, step: float) -> FloatArray:
    """Return points from start to stop, both included, and the middle, at most a step apart."""
    return np.linspace(start, stop, 2 * int(np.ceil((stop - start) / step / 2)) + 1)


def coarse_power(firing: Firing, azimuth: FloatArray, elevation: FloatArray) -> FloatArray:
    """Return the power (E, A) in single precision, which takes a tenth of the time for the many cosines of a grid.

    It is good to a millionth of the sum of the weights, squared: enough for a grid and for a mean, not for a null.
    """
    hertz = firing.arrival.hertz
    turns = wave_number(hertz) * projections(firing.layout.metres, azimuth)
    phase = np.multiply.outer(np.cos(elevation).astype(np.float32), turns.astype(np.float32))
    cosine, sine = np.cos(phase), np.sin(phase)
    strongest = np.abs(firing.weights).max()
    weights = (firing.weights / strongest).astype(np.complex64)
    real, imaginary = (
        np.einsum("ean,n->ea", cosine, one) + np.einsum("ean,n->ea", sine, other)
        for one, other in ((weights.real, -weights.imag), (weights.imag, weights.real))
    )
    element = np.abs(strongest * firing.ground.element(hertz, elevation)) ** 2
    return np.asarray((real**2 + imaginary**2) * element[:, None])


def local_maxima(coarse: FloatArray) -> BoolArray:
    """Return where power on a grid (E, A) is no less than at every neighbour, and not far below its greatest."""
    edged = np.pad(coarse, 1, constant_values=-1.0)
    height, width = coarse.shape
    around = [edged[i : i + height, j : j + width] for i, j in product(range(3), repeat=2)]
    return np.asarray((coarse >= np.max(around, axis=0)) & (coarse >= NEAR_GREATEST * coarse.max()))


def refine(
    found_at: Callable[[FloatArray], FloatArray],
    points: FloatArray,
    step: float,
    bounds: tuple[FloatArray, FloatArray],
    parts: int,
    finest: float,
) -> tuple[FloatArray, FloatArray]:
    """Return points (K, D) moved to the nearest maximum, and the values there (K,).

    Each round takes the greatest on a grid of parts of the step, up to one step to every side. Where that is one step
    away the next round continues from there, as along a ridge; elsewhere its step is a part of this one, until all are
    below the finest. `found_at` takes points (..., D); none leaves the bounds.
    """
    # the point itself comes first, so that a level one stays where it is
    moves = np.array(list(product(sorted(range(-parts, parts + 1), key=abs), repeat=points.shape[1]))) / parts
    far = np.abs(moves).max(axis=1) == 1
    each, steps = np.arange(len(points)), np.full((len(points), 1, 1), step)
    for _ in range(MOST_ROUNDS):
        near = np.clip(points[:, None] + steps * moves, *bounds)
        found = found_at(near)
        best = found.argmax(axis=1)
        points = near[each, best]
        steps = np.where(far[best, None, None], steps, steps / parts)
        if np.all(steps < finest):
            break
    return points, found[each, best]


def refine_cut(
    found_at: Callable[[FloatArray], FloatArray],
    points: FloatArray,
    step: float,
    bounds: tuple[float, float],
    share: float = 1e-3,
) -> tuple[FloatArray, FloatArray]:
    """Return points (K,) of a cut moved to the nearest maximum, to a share of a step, and the values there.

    Each round moves to the top of the parabola through the value at the point and those a step to either side, and the
    next step is an eighth. Where the top lies farther, or there is none, it moves a step uphill and keeps the step.
    """
    steps = np.full(points.shape, step)
    for _ in range(MOST_ROUNDS):
        before, here, after = found_at(np.clip(points + np.outer((-1, 0, 1), steps), *bounds))
        rise, bend = after - before, 2 * here - after - before
        has_top = np.abs(rise) < 2 * bend
        moves = np.divide(rise, 2 * bend, where=has_top, out=np.sign(rise))
        points = np.clip(points + moves * steps, *bounds)
        steps = np.where(has_top | (rise == 0), steps / 8, steps)
        if np.all(steps < step * share):
            break
    return points, found_at(points)


def first_crossing(
    found_at: Callable[[FloatArray], FloatArray], points: FloatArray, found: FloatArray, level: float
) -> float | None:
    """Return the first point along a cut where the value falls to a level, None if it never does.

    Each round keeps one of sixteen parts of the interval, and the last one is taken as straight: the point is then
    within 1e-7 of the first interval, unless the value only just reaches the level.
    """
    below = np.flatnonzero(found < level)
    if not below.size:
        return None
    inner, outer = points[below[0] - 1], points[below[0]]
    for _ in range(3):
        between = np.linspace(inner, outer, 17)
        values = found_at(between)
        # the values that gave the interval may differ by their rounding: then the crossing is at its end
        first = int(np.argmax(np.append(values[1:-1] < level, True))) + 1
        inner, outer = between[first - 1], between[first]
    return float(np.interp(-level, -values[first - 1 : first + 1], between[first - 1 : first + 1]))
