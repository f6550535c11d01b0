"""Cladding range: the least and greatest of a quantity over a clad cable's whole range of claddings and steels.

Loss and velocity are not monotonic in the cladding (the velocity factor has a maximum inside the range), so the
ends alone would mislead: the whole range is laid out as a grid, which is then refined around the best cell.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from workbook.formulas import lines
from workbook.line.models import CoaxModel, LineModel, propagation
from workbook.units import NEPER_IN_DB, Complexes, FloatArray, Floats

COARSE, FINE = (33, 6), (17, 9)
"""Claddings and steels in each pass."""


def _loss(omega: Floats, gamma: Complexes, impedance: Complexes, slowing: float) -> Complexes:
    return gamma.real * NEPER_IN_DB


def _velocity(omega: Floats, gamma: Complexes, impedance: Complexes, slowing: float) -> Complexes:
    return omega / (gamma.imag * slowing * lines.C)


def _impedance(omega: Floats, gamma: Complexes, impedance: Complexes, slowing: float) -> Complexes:
    return impedance


class Measure(NamedTuple):
    """A quantity of a cable: from omega, propagation constant, impedance and slowing; and its unit."""

    of: Callable[[Floats, Complexes, Complexes, float], Complexes]
    unit: str


MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "attenuation": Measure(_loss, "dB/m"),
        "velocity_factor": Measure(_velocity, ""),
        "characteristic_impedance": Measure(_impedance, "ohm"),
    }
)
"""The quantities that have a range."""


def span(model: LineModel, quantity: str, omega: Floats, slowing: float) -> tuple[Complexes, Complexes, Complexes]:
    """Return least, typical and greatest of one of the measures, ranked by modulus.

    Parameters
    ----------
    model
        Cable; one without a range of claddings has three equal values.
    quantity
        Key of `MEASURES`.
    omega
        Angular frequencies [rad/s], any shape.
    slowing
        Factor on the phase constant.

    Returns
    -------
    (least, typical, greatest), each of the shape of omega
    """

    def measure(omega: Floats, gamma: Complexes, impedance: Complexes) -> Complexes:
        return MEASURES[quantity].of(omega, gamma, impedance, slowing)

    typical = measure(omega, *propagation(model, omega))
    if not isinstance(model, CoaxModel) or not model.is_clad:
        return typical, typical, typical
    least = _extreme(model, omega, measure, np.abs)
    return least, typical, _extreme(model, omega, measure, lambda value: -np.abs(value))


def _extreme(
    model: CoaxModel,
    omega: Floats,
    measure: Callable[[Floats, Complexes, Complexes], Complexes],
    rank: Callable[[Complexes], FloatArray],
) -> Complexes:
    """Return the measure where its rank is least, at each angular frequency by itself.

    Parameters
    ----------
    model
        Cable with ranges of cladding and permeability.
    omega
        Angular frequencies [rad/s], any shape.
    measure
        The quantity, from omega, propagation constant and impedance.
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
    ranges: list[tuple[FloatArray, FloatArray]] = [
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


def _around(centre: FloatArray, bounds: tuple[Floats, Floats], count: int) -> tuple[FloatArray, FloatArray]:
    """Return the range of one grid cell on either side of a place, kept inside the whole range."""
    low, high = bounds
    step = (high / low) ** (1 / (count - 1))
    return np.maximum(low, centre / step), np.minimum(high, centre * step)
