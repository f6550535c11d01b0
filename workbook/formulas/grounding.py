"""Ground rods, and the inductance of the conductors that lead to them, on plain numbers.

A rod leaks the same current from every metre, and the surface of the earth is a mirror: a rod of length L is half of a
line of length 2 L in unbounded earth. Every resistance here is the mean potential along that line (E. D. Sunde, "Earth
Conduction Effects in Transmission Systems"; H. B. Dwight, "Calculation of Resistances to Ground", 1936; both cited from
memory).
"""

from typing import Any

import numpy as np

from workbook.formulas.conductors import MU0


def rod_resistance(resistivity: Any, length: Any, diameter: Any) -> Any:
    """Return the resistance of one rod driven from the surface.

    R = rho/(2 pi L) (ln(4 L/a) - 1), a the radius (H. B. Dwight, 1936).

    Parameters
    ----------
    resistivity
        Resistivity of the soil [ohm m].
    length
        Length in the soil [m].
    diameter
        Diameter of the rod [m].

    Returns
    -------
    float array [ohm]
    """
    return resistivity / (2 * np.pi * length) * (np.log(8 * length / diameter) - 1)


def two_rods_resistance(resistivity: Any, length: Any, diameter: Any, spacing: Any) -> Any:
    """Return the resistance of two equal rods that are joined.

    rho/(4 pi L) (ln(4 L/a) - 1) + rho/(4 pi s) (1 - L^2/(3 s^2) + 2 L^4/(5 s^4)), for a spacing s of L or more (H. B.
    Dwight, 1936): the first terms in L/s of `mutual_resistance`, of which they are 0.1 % too much at two lengths and
    29 % at one.

    Parameters
    ----------
    resistivity
        Resistivity of the soil [ohm m].
    length
        Length in the soil [m].
    diameter
        Diameter of the rods [m].
    spacing
        Distance between the rods [m].

    Returns
    -------
    float array [ohm]
    """
    ratio = (length / spacing) ** 2
    between = resistivity / (2 * np.pi * spacing) * (1 - ratio / 3 + 2 * ratio**2 / 5)
    return (rod_resistance(resistivity, length, diameter) + between) / 2


def mutual_resistance(resistivity: Any, length: Any, spacing: Any) -> Any:
    """Return the potential that one rod takes from another, for each ampere that the other leaks.

    rho/(2 pi L) (asinh u - sqrt(1 + 1/u^2) + 1/u) with u = 2 L/s: the mean potential along one line of length 2 L
    beside another.

    Parameters
    ----------
    resistivity
        Resistivity of the soil [ohm m].
    length
        Length of both in the soil [m].
    spacing
        Distance between them [m].

    Returns
    -------
    float array [ohm]
    """
    inverse = spacing / (2 * length)
    mean = np.arcsinh(1 / inverse) - np.sqrt(1 + inverse**2) + inverse
    return resistivity / (2 * np.pi * length) * mean


def joined_rods_resistance(resistivity: Any, length: Any, diameter: Any, distances: Any) -> Any:
    """Return the resistance of any number of equal rods that are joined, hence at one potential.

    Parameters
    ----------
    resistivity
        Resistivity of the soil [ohm m], shape (...).
    length
        Length in the soil [m], shape (...).
    diameter
        Diameter of the rods [m], shape (...).
    distances
        Distances between the rods, zero on the diagonal [m], shape (..., n, n).

    Returns
    -------
    float array [ohm], shape (...)
    """
    soil, metres = (np.asarray(value)[..., None, None] for value in (resistivity, length))
    own = np.eye(distances.shape[-1], dtype=bool)
    alone = np.asarray(rod_resistance(resistivity, length, diameter))[..., None, None]
    potentials = np.where(own, alone, mutual_resistance(soil, metres, np.where(own, 1.0, distances)))
    currents = np.linalg.solve(potentials, np.ones((*potentials.shape[:-1], 1)))
    return 1 / currents.sum(axis=(-2, -1))


def strap_inductance(length: Any, width: Any, thickness: Any) -> Any:
    """Return the inductance of a straight flat strap far from its return.

    0.2 uH/m l (ln(2 l/(w + t)) + 0.5 + 0.2235 (w + t)/l) (F. E. Terman, "Radio Engineers' Handbook"; F. W. Grover,
    "Inductance Calculations"; both cited from memory).

    Parameters
    ----------
    length
        Length [m].
    width
        Width [m].
    thickness
        Thickness [m].

    Returns
    -------
    float array [H]
    """
    size = width + thickness
    return MU0 / (2 * np.pi) * length * (np.log(2 * length / size) + 0.5 + 0.2235 * size / length)


def wire_inductance(length: Any, diameter: Any) -> Any:
    """Return the inductance of a straight round wire far from its return, all current on its skin.

    0.2 uH/m l (ln(4 l/d) - 1) (F. E. Terman, "Radio Engineers' Handbook", cited from memory).

    Parameters
    ----------
    length
        Length [m].
    diameter
        Diameter [m].

    Returns
    -------
    float array [H]
    """
    return MU0 / (2 * np.pi) * length * (np.log(4 * length / diameter) - 1)
