"""Internal impedance of conductors and shields, with the skin effect."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, plain_array, positive
from workbook.errors import InputError, shown
from workbook.formulas import conductors
from workbook.line.models import CONDUCTIVITY
from workbook.units import Floats, Frequency, Impedance, Length, Quantity, with_unit


def conductor_impedance(
    frequency: Frequency,
    radius: Length,
    layers: Sequence[tuple[Length, Quantity, Floats]] | None = None,
    inner_radius: Length | None = None,
) -> Impedance:
    """Return the internal impedance per metre of a round conductor whose return lies outside.

    Bessel functions for every layer, joined by the continuity of the fields: S. A. Schelkunoff, Bell System Technical
    Journal 13 (1934), pp. 532-579.

    Parameters
    ----------
    frequency
        Above zero, any shape.
    radius
        Outer radius.
    layers
        (outer radius, conductivity, relative permeability) from the centre outwards; the last outer radius equals
        `radius`. None is annealed copper, 58.0 MS/m.
    inner_radius
        The conductor is hollow up to there; None is solid.

    Returns
    -------
    complex quantity [ohm/m]
        Arguments broadcast.

    Raises
    ------
    InputError
        When layers do not grow outwards to the radius, or a value is not above zero.

    Examples
    --------
    >>> f"{conductor_impedance('1.83 MHz', '0.512 mm').m_as('ohm/m'):.4f}"
    '0.1151+0.1095j'
    """
    hertz = positive(frequency, "Hz", "frequency")
    outer = positive(radius, "m", "radius")
    hollow = None if inner_radius is None else positive(inner_radius, "m", "inner_radius")
    if layers is None:
        layers = ((Quantity(outer, "m"), Quantity(CONDUCTIVITY["copper"], "S/m"), 1.0),)
    _check_layers(layers)
    radii = [positive(layer[0], "m", "layers: outer radius") for layer in layers]
    conductivities = [positive(layer[1], "S/m", "layers: conductivity") for layer in layers]
    permeabilities = [permeability(layer[2], "layers: relative permeability") for layer in layers]
    check_broadcast(hertz, outer, *radii, *conductivities, *permeabilities, 0.0 if hollow is None else hollow)
    _check_radii(radii, outer, hollow)
    omega = 2 * np.pi * hertz
    return with_unit(conductors.rod_impedance(omega, radii, conductivities, permeabilities, hollow), "ohm/m")


def _check_layers(layers: Any) -> None:
    rows = layers if isinstance(layers, (list, tuple)) else ()
    if not rows or not all(isinstance(row, (list, tuple)) and len(row) == 3 for row in rows):
        raise InputError(
            f"got {shown(layers)}",
            where="layers",
            wanted="a list of (outer radius, conductivity, relative permeability)",
        )


def _check_radii(radii: Sequence[Floats], outer: Floats, hollow: Floats | None) -> None:
    if not np.allclose(radii[-1], outer, rtol=1e-9, atol=0):
        raise InputError(
            "the last outer radius must equal the radius of the conductor", where="layers", remedy="correct one of them"
        )
    steps = [0.0 if hollow is None else hollow, *radii]
    if any(np.any(np.asarray(a) >= np.asarray(b)) for a, b in pairwise(steps)):
        raise InputError(
            "the radii must rise from the inside outwards", where="layers", remedy="check inner_radius and each layer"
        )


def permeability(value: Any, name: str) -> Floats:
    """Check a relative permeability: a plain number (or array) above zero."""
    return positive(Quantity(plain_array(value, name, "write it like 1 or 200"), ""), "", name)


def shield_impedance(
    frequency: Frequency, radius: Length, thickness: Length, conductivity: Quantity, relative_permeability: Floats = 1
) -> Impedance:
    """Return the internal impedance per metre of a tube whose return lies inside.

    By Bessel functions: S. A. Schelkunoff, Bell System Technical Journal 13 (1934), pp. 532-579.

    Parameters
    ----------
    frequency
        Above zero, any shape.
    radius
        Inner radius of the tube.
    thickness
        Thickness of its wall.
    conductivity
        Such as ``"35 MS/m"``.
    relative_permeability
        A plain number above zero.

    Returns
    -------
    complex quantity [ohm/m]
        Arguments broadcast.

    Raises
    ------
    InputError
        When a value is not above zero.

    Examples
    --------
    >>> f"{shield_impedance('1.83 MHz', '2.286 mm', '9 um', '35 MS/m').m_as('ohm/m').real:.3f}"
    '0.221'
    """
    hertz = positive(frequency, "Hz", "frequency")
    inner = positive(radius, "m", "radius")
    wall = positive(thickness, "m", "thickness")
    sigma = positive(conductivity, "S/m", "conductivity")
    mu = permeability(relative_permeability, "relative_permeability")
    check_broadcast(hertz, inner, wall, sigma, mu)
    return with_unit(conductors.tube_impedance(2 * np.pi * hertz, inner, wall, sigma, mu), "ohm/m")
