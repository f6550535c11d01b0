"""The least and greatest of a quantity over a clad cable's whole range of claddings and steels.

Loss and velocity are not monotonic in the cladding (the velocity factor has a maximum inside the range), so the
ends alone would mislead: the whole range is laid out as a grid, which is then refined around the best cell.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from workbook.formulas import lines
from workbook.line.models import CoaxModel

COARSE, FINE = (33, 6), (17, 9)
"""Claddings and steels in each pass."""

Measure = Callable[[Any, Any, Any], Any]


def extreme(model: CoaxModel, omega: Any, measure: Measure, rank: Callable[[Any], Any]) -> Any:
    """Return the measure where its rank is least, at each angular frequency by itself.

    Parameters
    ----------
    model
        Cable with ranges of cladding and permeability.
    omega
        Angular frequencies [rad/s], any shape.
    measure
        What is wanted, from omega, propagation constant and impedance.
    rank
        Turns the measure into the number to be made least.

    Returns
    -------
    array of the shape of omega
    """
    assert model.cladding_range is not None
    assert model.permeability_range is not None
    rows = np.ravel(omega)
    if not rows.size:
        return np.array(omega)
    found = np.full(rows.shape, np.nan)
    ranges: list[tuple[Any, Any]] = [
        (np.full(rows.shape, low), np.full(rows.shape, high))
        for low, high in (model.cladding_range, model.permeability_range)
    ]
    for counts in (COARSE, FINE):
        grids = [np.geomspace(low, high, count) for (low, high), count in zip(ranges, counts, strict=True)]
        # the typical figures belong to the grid, so that they never lie outside what is returned
        for number, typical in enumerate((model.cladding, model.permeability)):
            grids[number] = np.concatenate((grids[number], np.full((1, *rows.shape), typical)))
        claddings, steels = grids
        constants = lines.propagation(*model.at(claddings[:, None], steels[None]).per_metre(rows))
        values = measure(rows, *constants)
        best = np.argmin(rank(values).reshape(-1, rows.size), axis=0)
        here = np.arange(rows.size)
        found = values.reshape(-1, rows.size)[best, here]
        places = divmod(best, len(steels))
        ranges = [
            _around(grid[place, here], bounds, count)
            for grid, place, bounds, count in zip(grids, places, ranges, counts, strict=True)
        ]
    return found.reshape(np.shape(omega))[()]


def _around(centre: Any, bounds: tuple[Any, Any], count: int) -> tuple[Any, Any]:
    """Return the range of one grid cell on either side of a place, kept inside the whole range."""
    low, high = bounds
    step = (high / low) ** (1 / (count - 1))
    return np.maximum(low, centre / step), np.minimum(high, centre * step)
