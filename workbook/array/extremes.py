"""Where a pattern is greatest and least: a look all over, fine enough for the array's size, then closer and closer."""

from collections.abc import Callable
from itertools import product
from typing import Any

import numpy as np
from scipy.optimize import brentq

from workbook.array.firing import Firing
from workbook.array.ground import MOST_PHASE, TOO_WIDE
from workbook.array.layout import projections
from workbook.array.pattern import response
from workbook.errors import InputError
from workbook.formulas.waves import wave_number

COARSEST, FINEST = np.radians(4.0), np.radians(0.25)
"""Steps of a look, for small arrays, where the ground shapes the pattern, and for those 40 wavelengths and more across.
"""
LOOK, CUT_LOOK = 0.6, 0.25
"""Phase of the outermost element by which two directions of a look, and of a cut, differ [rad]; lobes are 3 wide."""
NEAR_GREATEST = 10 ** (-1.5 / 10)
"""What a look finds may fall so far short of the lobe's own greatest."""
MOST_LOBES, MOST_ROUNDS = 16, 24
"""Lobes that are looked at closer, the strongest of a look, and rounds of coming closer, also along a ridge."""


def power(firing: Firing, azimuth: Any, elevation: Any) -> Any:
    """Return the power toward directions [rad] beside that of one element on perfect ground at the horizon."""
    return np.abs(response(firing, azimuth, elevation)) ** 2


def reach(firing: Firing) -> float:
    """Return by how much phase the outermost elements lie from the middle [rad], refusing what no look can cover."""
    phase = float(wave_number(firing.arrival.hertz) * firing.layout.apart.max())
    if phase > MOST_PHASE:
        raise InputError(TOO_WIDE)
    return phase / 2


def greatest_behind(firing: Firing) -> float:
    """Return the greatest power from azimuths 90 degrees or more off the firing's, at any elevation, both ends in."""
    step = float(np.clip(LOOK / reach(firing), FINEST, COARSEST))
    azimuth = firing.arrival.azimuth + np.pi + _evenly(-np.pi / 2, np.pi / 2, step)
    elevation = _evenly(0.0, np.pi / 2, step)
    look = glance(firing, azimuth, elevation)
    row, column = np.nonzero(tops(look))
    first = np.argsort(-look[row, column], kind="stable")[:MOST_LOBES]
    _, found = closer(
        lambda near: power(firing, near[..., 0], near[..., 1]),
        np.column_stack((azimuth[column], elevation[row]))[first],
        step,
        (np.array([azimuth[0], 0.0]), np.array([azimuth[-1], np.pi / 2])),
        parts=2,
        finest=step / 100,
    )
    return float(found.max())


def _evenly(start: float, stop: float, step: float) -> Any:
    """Return places from start to stop, both in, and the middle, at most a step apart."""
    return np.linspace(start, stop, 2 * int(np.ceil((stop - start) / step / 2)) + 1)


def glance(firing: Firing, azimuth: Any, elevation: Any) -> Any:
    """Return the power (E, A) in half the digits, for which the many cosines of a look take a tenth of the time.

    It is good to a millionth of the sum of the weights, squared: enough for a look and for a mean, not for a null.
    """
    turns = wave_number(firing.arrival.hertz) * projections(firing.layout.metres, azimuth)
    phase = np.multiply.outer(np.cos(elevation).astype(np.float32), turns.astype(np.float32))
    cosine, sine = np.cos(phase), np.sin(phase)
    strongest = np.abs(firing.weights).max()
    weights = (firing.weights / strongest).astype(np.complex64)
    real, imaginary = (
        np.einsum("ean,n->ea", cosine, one) + np.einsum("ean,n->ea", sine, other)
        for one, other in ((weights.real, -weights.imag), (weights.imag, weights.real))
    )
    element = np.abs(strongest * firing.ground.element(firing.arrival.hertz, elevation)) ** 2
    return (real**2 + imaginary**2) * element[:, None]


def tops(look: Any) -> Any:
    """Return where a look (E, A) is no less than at all eight places around, and not far below its greatest."""
    edged = np.pad(look, 1, constant_values=-1.0)
    height, width = look.shape
    around = [edged[i : i + height, j : j + width] for i, j in product(range(3), repeat=2)]
    return (look >= np.max(around, axis=0)) & (look >= NEAR_GREATEST * look.max())


def closer(
    found_at: Callable[[Any], Any], places: Any, step: float, within: tuple[Any, Any], parts: int, finest: float
) -> tuple[Any, Any]:
    """Return places (K, D) moved to the greatest nearby, and what is found there (K,).

    Each round takes the greatest on a grid of parts of the step, up to one step to every side. Where that is one step
    away the next round goes on from there, as along a ridge; elsewhere its step is a part of this one, until all are
    under the finest. `found_at` takes places (..., D); none leaves the bounds `within`.
    """
    # the place itself comes first, so that what is level stays where it is
    moves = np.array(list(product(sorted(range(-parts, parts + 1), key=abs), repeat=places.shape[1]))) / parts
    far = np.abs(moves).max(axis=1) == 1
    each, steps = np.arange(len(places)), np.full((len(places), 1, 1), step)
    for _ in range(MOST_ROUNDS):
        near = np.clip(places[:, None] + steps * moves, *within)
        found = found_at(near)
        best = found.argmax(axis=1)
        places = near[each, best]
        steps = np.where(far[best, None, None], steps, steps / parts)
        if np.all(steps < finest):
            break
    return places, found[each, best]


def summits(
    found_at: Callable[[Any], Any], places: Any, step: float, within: tuple[float, float], near: float = 1e-3
) -> tuple[Any, Any]:
    """Return places (K,) of a cut moved to the greatest nearby, so near as part of a step, and what is found there."""
    bounds = np.array([within[0]]), np.array([within[1]])
    moved, found = closer(lambda place: found_at(place[..., 0]), places[:, None], step, bounds, 4, step * near)
    return moved[:, 0], found


def edge(found_at: Callable[[Any], Any], places: Any, found: Any, level: float) -> float | None:
    """Return the first of places along a cut where what is found there falls to a level, None if it never does."""
    below = np.flatnonzero(found < level)
    if not below.size:
        return None
    inner, outer = places[below[0] - 1], places[below[0]]
    return float(brentq(lambda place: float(found_at(place)) - level, inner, outer, xtol=1e-6))
