"""The least and greatest of a quantity over a clad cable's whole range of claddings and steels.

Loss and velocity are not monotonic in the cladding (the velocity factor has a maximum inside the range), so the
ends alone would mislead: the whole range is laid out as a grid, which is then refined around the best cell.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from workbook.formulas import lines
from workbook.line.models import CoaxModel

COARSE, FINE, STEELS = 33, 17, 5

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
    low, high = (np.full(rows.shape, end) for end in model.cladding_range)
    # the typical figures belong to the grid, so that they never lie outside what is returned
    steels = np.append(np.geomspace(*model.permeability_range, STEELS), model.permeability)[:, None]
    typical = np.full((1, *rows.shape), model.cladding)
    for count in (COARSE, FINE):
        claddings = np.concatenate((np.geomspace(low, high, count), typical))
        constants = lines.propagation(*model.at(claddings[:, None], steels).per_metre(rows))
        values = measure(rows, *constants)
        best = np.argmin(rank(values).reshape(-1, rows.size), axis=0)
        found = values.reshape(-1, rows.size)[best, np.arange(rows.size)]
        row = best // steels.size
        step = (high / low) ** (1 / (count - 1))
        centre = claddings[row, np.arange(rows.size)]
        low, high = np.maximum(low, centre / step), np.minimum(high, centre * step)
    return found.reshape(np.shape(omega))[()]
