"""Plane waves over ground on plain numbers: reflection, one element's response, averages over the sky.

Convention e^{+jwt}. Sources: reflection of a vertically polarised wave after Fresnel as in Recommendation ITU-R P.527
and any textbook on wave propagation; the average over azimuth of a pair of elements is the Bessel function J0 (for
example C. A. Balanis, "Antenna Theory", chapter on circular arrays). Both cited from memory.
"""

import functools
from typing import Any

import numpy as np
from scipy.special import j0

from workbook.formulas.lines import C

EPSILON0 = 1 / (4e-7 * np.pi * C**2)


def wave_number(hertz: Any) -> Any:
    """Return the phase per metre of a wave in air.

    Parameters
    ----------
    hertz
        Frequency [Hz].

    Returns
    -------
    float array [1/m]
    """
    return 2 * np.pi * np.asarray(hertz) / C


def complex_permittivity(relative: float, conductivity: float, hertz: Any) -> Any:
    """Return a ground's permittivity relative to that of vacuum, losses in the imaginary part.

    Parameters
    ----------
    relative
        Relative permittivity [1].
    conductivity
        Conductivity [S/m].
    hertz
        Frequency [Hz].

    Returns
    -------
    complex array [1]
    """
    return relative - 1j * conductivity / (2 * np.pi * np.asarray(hertz) * EPSILON0)


def vertical_reflection(permittivity: Any, elevation: Any) -> Any:
    """Return the reflection coefficient of flat ground for vertical polarisation.

    Parameters
    ----------
    permittivity
        Complex relative permittivity of the ground [1].
    elevation
        Elevation above the horizon [rad].

    Returns
    -------
    complex array [1]
    """
    direct = permittivity * np.sin(elevation)
    # written so that nothing cancels where the ground is nearly vacuum
    refracted = np.sqrt(permittivity - 1 + np.sin(elevation) ** 2)
    total = direct + refracted
    # ground that is vacuum reflects nothing; toward its horizon both vanish, and the limit is that of any other ground
    return np.where(total == 0, -1.0, (direct - refracted) / np.where(total == 0, 1.0, total))


def sky_nodes(count: int) -> tuple[Any, Any]:
    """Return elevations from horizon to zenith and their weights for an integral over elevation.

    Gauss-Legendre points in s, with the elevation (pi/2) s squared, so that they crowd to the horizon, where the
    response over well-conducting ground rises within a fraction of a degree.

    Parameters
    ----------
    count
        How many points [1].

    Returns
    -------
    (float array [rad], float array [rad])
    """
    node, weight = _legendre(count)
    s = (node + 1) / 2
    return np.pi / 2 * s**2, np.pi / 2 * s * weight


@functools.lru_cache(maxsize=64)
def _legendre(count: int) -> tuple[Any, Any]:
    # kept, since finding the points takes longer than using them
    return np.polynomial.legendre.leggauss(count)


def pair_average(phase: Any, elevation: Any, weight: Any, power: Any) -> Any:
    """Return the average over the whole sphere of a pair of elements' common response, nothing below ground.

    B = (1/2) integral p(el) J0(kd cos el) cos el d el.

    Parameters
    ----------
    phase
        Phase between the two, wave number times distance (...,) [rad].
    elevation, weight
        Points of the integral (M,), their weights (M,) [rad].
    power
        Response of one element in power at these elevations (M,) [1].

    Returns
    -------
    float array (...,) [1]
    """
    across = np.cos(elevation)
    return j0(np.multiply.outer(phase, across)) @ (weight * power * across / 2)
