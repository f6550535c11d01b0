"""Disjoint sets of points that are near each other in several values: an integer program with a stated bound."""

import time
from typing import NamedTuple

import numpy as np

from workbook.units import BoolArray, FloatArray

SECONDS = 3.0
"""Time after which the best sets so far are returned with a bound."""
_MOST_COLUMNS = 40_000
"""Possible sets above which a spread is not decided."""


class Packing(NamedTuple):
    """Sets of indices; whether their greatest spread is proven least; a bound on it."""

    sets: tuple[tuple[int, ...], ...]
    proven: bool
    bound: float


def pack_sets(points: FloatArray, size: int, count: int) -> Packing:
    """Return sets of points (n, values) with the least greatest spread, the largest over the values."""
    end = time.monotonic() + SECONDS
    apart = np.abs(points[:, None] - points[None]).max(-1)
    best = _improved(_started(points, size, count), points, end)
    limits = np.unique(apart[np.triu_indices(len(points), 1)])
    high = int(np.searchsorted(limits, _greatest(best, apart)))
    # no set of `size` lies closer than the nearest neighbours of its parts
    nearest = np.sort(np.sort(apart, axis=1)[:, size - 1])[count * size - 1]
    low = int(np.searchsorted(limits, nearest))
    proven_below = low
    while low < high:
        middle = (low + high) // 2
        found = _decided(apart <= limits[middle], size, count, end)
        if found is None:  # too large, or out of time: what is below stays proven
            return Packing(best, False, float(limits[proven_below]))
        if found:
            best, high = found, middle
        else:
            low = proven_below = middle + 1
    return Packing(best, True, float(limits[high]))


def _greatest(sets: tuple[tuple[int, ...], ...], apart: FloatArray) -> float:
    return max(float(apart[np.ix_(held, held)].max()) for held in sets)


def _started(points: FloatArray, size: int, count: int) -> tuple[tuple[int, ...], ...]:
    """Return sets by nearest neighbours: each time the closest group of the free points."""
    apart = np.abs(points[:, None] - points[None]).max(-1)
    free, found = np.ones(len(points), bool), []
    for _ in range(count):
        among = np.where(free[None], apart, np.inf)
        near = np.argsort(among, axis=1, kind="stable")[:, :size]
        widths = np.array([apart[np.ix_(held, held)].max() if free[n] else np.inf for n, held in enumerate(near)])
        held = near[int(widths.argmin())]
        free[held] = False
        found.append(tuple(held.tolist()))
    return tuple(found)


def _improved(sets: tuple[tuple[int, ...], ...], points: FloatArray, end: float) -> tuple[tuple[int, ...], ...]:
    """Return sets after exchanging parts of the widest set with others and with spares while that helps."""
    held = [list(one) for one in sets]
    spares = [n for n in range(len(points)) if not any(n in one for one in held)]
    while time.monotonic() < end and _exchanged(held, spares, points):
        continue
    return tuple(tuple(one) for one in held)


def _exchanged(held: list[list[int]], spares: list[int], points: FloatArray) -> bool:
    """Make the first exchange after which both sets are narrower than the widest was; say whether there was one."""
    widths = [_width(one, points) for one in held]
    limit, worst = max(widths), held[int(np.argmax(widths))]
    for place in range(len(worst)):
        for other in [*(one for one in held if one is not worst), spares]:
            for there in range(len(other)):
                worst[place], other[there] = other[there], worst[place]
                if _width(worst, points) < limit and (other is spares or _width(other, points) < limit):
                    return True
                worst[place], other[there] = other[there], worst[place]
    return False


def _width(held: list[int], points: FloatArray) -> float:
    return float(np.ptp(points[held], axis=0).max())


def _decided(near: BoolArray, size: int, count: int, end: float) -> tuple[tuple[int, ...], ...] | None:
    """Return disjoint cliques of near points, none at all where there are not enough; None where it is not decided."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csc_array

    columns = _cliques(near, size)
    if columns is None or time.monotonic() > end:
        return None
    if len(columns) < count:
        return ()
    entries = np.array(columns)
    rows, places = entries.ravel(), np.repeat(np.arange(len(entries)), size)
    once = csc_array((np.ones(rows.size), (rows, places)), shape=(len(near), len(entries)))
    found = milp(
        -np.ones(len(entries)),
        integrality=np.ones(len(entries)),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(once, -np.inf, 1.0),
            LinearConstraint(np.ones((1, len(entries))), -np.inf, count),
        ],
        options={"time_limit": max(end - time.monotonic(), 0.1), "mip_rel_gap": 0.0},
    )
    if found.x is not None and np.rint(found.x).sum() >= count:
        return tuple(tuple(columns[n]) for n in np.flatnonzero(np.rint(found.x)))
    return () if found.status == 0 else None


def _cliques(near: BoolArray, size: int) -> list[list[int]] | None:
    """Return every set of so many points that are all near each other, None where there are too many."""
    found: list[list[int]] = [[n] for n in range(len(near))]
    common = near & (np.arange(len(near))[:, None] < np.arange(len(near)))
    allowed = [common[n] for n in range(len(near))]
    for _ in range(size - 1):
        longer, left = [], []
        for one, room in zip(found, allowed, strict=True):
            for n in np.flatnonzero(room).tolist():
                longer.append([*one, n])
                left.append(room & common[n])
            if len(longer) > _MOST_COLUMNS:
                return None
        found, allowed = longer, left
    return found
