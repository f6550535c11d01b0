"""Impedance per metre of round conductors and shields, with the skin effect, by Bessel functions.

Source: S. A. Schelkunoff, "The electromagnetic theory of coaxial transmission lines and cylindrical shields",
Bell System Technical Journal 13 (1934), pp. 532-579 (solid rod and tube); layers are joined by the continuity of
the electric and magnetic field along their common face. Bessel functions are scaled, so nothing overflows.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

MU0 = 4e-7 * np.pi


def wave_number(omega: Any, conductivity: Any, relative_permeability: Any) -> Any:
    """Return the complex wave number inside a metal, (1 + j)/skin depth, displacement current left out.

    Parameters
    ----------
    omega
        Angular frequency [rad/s].
    conductivity
        Conductivity [S/m].
    relative_permeability
        Relative permeability [1].

    Returns
    -------
    complex array [1/m]
    """
    return (1 + 1j) * np.sqrt(omega * MU0 * relative_permeability * conductivity / 2)


def _ive(order: int, x: Any) -> Any:
    from scipy.special import ive  # a fifth of the time of a command that needs no Bessel function

    return ive(order, x)


def _kve(order: int, x: Any) -> Any:
    from scipy.special import kve

    return kve(order, x)


def _cylinder_waves(x: Any) -> tuple[Any, Any, Any, Any]:
    """Return the scaled I0, I1, K0 and K1; I0 by their Wronskian I0 K1 + I1 K0 = 1/x, which saves an evaluation."""
    i1, k0, k1 = _ive(1, x), _kve(0, x), _kve(1, x)
    return (np.exp(1j * x.imag) / x - i1 * k0) / k1, i1, k0, k1


def rod_face_impedance(k: Any, conductivity: Any, radius: Any) -> Any:
    """Return the electric over the magnetic field at the face of a solid rod.

    Parameters
    ----------
    k
        Wave number inside the metal [1/m], complex.
    conductivity
        Conductivity [S/m].
    radius
        Radius of the rod [m].

    Returns
    -------
    complex array [ohm]
    """
    x = k * radius
    return k / conductivity * _ive(0, x) / _ive(1, x)


def layer_face_impedance(k: Any, conductivity: Any, inner: Any, outer: Any, below: Any) -> Any:
    """Return the electric over the magnetic field at the outer face of a layer around something.

    Parameters
    ----------
    k
        Wave number inside the layer [1/m], complex.
    conductivity
        Conductivity of the layer [S/m].
    inner
        Inner radius of the layer [m].
    outer
        Outer radius of the layer [m].
    below
        The same ratio of fields at the inner face [ohm], complex; None where the inside is hollow.

    Returns
    -------
    complex array [ohm]
    """
    x, y, thickness = k * inner, k * outer, k * (outer - inner)
    if below is None:
        sent_back = _ive(1, x) / _kve(1, x)
    else:
        i0, i1, k0, k1 = _cylinder_waves(x)
        g = below * conductivity / k
        sent_back = (g * i1 - i0) / (k0 + g * k1)
    # the scaling of the Bessel functions leaves the round trip through the layer
    sent_back = sent_back * np.exp(-(thickness + thickness.real))
    i0, i1, k0, k1 = _cylinder_waves(y)
    return k / conductivity * (i0 + sent_back * k0) / (i1 - sent_back * k1)


def rod_impedance(
    omega: Any,
    radii: Sequence[Any],
    conductivities: Sequence[Any],
    relative_permeabilities: Sequence[Any],
    hollow: Any = None,
) -> Any:
    """Return the internal impedance per metre of a round conductor whose return lies outside.

    Parameters
    ----------
    omega
        Angular frequency [rad/s], any shape.
    radii
        Outer radii of the layers from the centre outwards [m], each broadcasting against omega.
    conductivities
        Their conductivities [S/m].
    relative_permeabilities
        Their relative permeabilities [1].
    hollow
        Inner radius of the innermost layer [m]; None for a solid centre.

    Returns
    -------
    complex array [ohm/m]
    """
    face, inner = None, hollow
    for radius, conductivity, permeability in zip(radii, conductivities, relative_permeabilities, strict=True):
        k = wave_number(omega, conductivity, permeability)
        if inner is None:
            face = rod_face_impedance(k, conductivity, radius)
        else:
            face = layer_face_impedance(k, conductivity, inner, radius, face)
        inner = radius
    return face / (2 * np.pi * inner)


def tube_impedance(omega: Any, radius: Any, thickness: Any, conductivity: Any, relative_permeability: Any) -> Any:
    """Return the internal impedance per metre of a tube whose return lies inside, as in a shield.

    Parameters
    ----------
    omega
        Angular frequency [rad/s], any shape.
    radius
        Inner radius of the tube [m].
    thickness
        Wall thickness [m].
    conductivity
        Conductivity [S/m].
    relative_permeability
        Relative permeability [1].

    Returns
    -------
    complex array [ohm/m]
    """
    k = wave_number(omega, conductivity, relative_permeability)
    x, y, wall = k * radius, k * (radius + thickness), k * thickness
    sent_back = _kve(1, y) / _ive(1, y) * np.exp(-(wall + wall.real))
    i0, i1, k0, k1 = _cylinder_waves(x)
    ratio = (k0 + sent_back * i0) / (k1 - sent_back * i1)
    return k / conductivity * ratio / (2 * np.pi * radius)


def tube_thickness(radius: Any, resistance: Any, conductivity: Any) -> Any:
    """Return the wall that gives a tube a wanted direct-current resistance per metre.

    Parameters
    ----------
    radius
        Inner radius [m].
    resistance
        Direct-current resistance [ohm/m].
    conductivity
        Conductivity [S/m].

    Returns
    -------
    float array [m]
    """
    area = 1 / (conductivity * resistance)
    return area / np.pi / (np.sqrt(radius**2 + area / np.pi) + radius)
