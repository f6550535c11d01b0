"""Figures of an array fired one way: response, RDF, front-to-back, gains for signal and noise.

Mutual coupling is neglected: elements are verticals shorter than an eighth of a wavelength behind high-impedance
buffers, and the field is flat.
"""

from typing import Any

import numpy as np

from workbook.array import field
from workbook.array.arguments import elevation_angle, one
from workbook.array.firing import Firing, check_firing
from workbook.checks import check_broadcast, real
from workbook.errors import InputError, shown
from workbook.units import NEPER_IN_DB, scalar, with_unit

NO_BACK = 1e-15
"""A back weaker than this beside the front is rounding, and the ratio infinite."""


def decibels(ratio: Any) -> Any:
    """Return a power ratio as a quantity in dB, minus infinity for nothing."""
    with np.errstate(divide="ignore"):
        return with_unit(10 * np.log10(ratio), "dB")


def as_ratio(gain: Any, name: str) -> Any:
    """Return a gain quantity as a power ratio."""
    decibel = real(gain, "dB", name)
    if np.any(np.abs(decibel) > 1000):
        raise InputError(
            f"{shown(gain)} is beyond anything that can be built", where=name, remedy="give it in dB, such as -8 dB"
        )
    return np.exp(decibel * 2 / NEPER_IN_DB)


def gain_limit(least: Any, count: int) -> float:
    """Return a least white-noise gain as a ratio, refusing more than so many elements can have."""
    limit = one(as_ratio(least, "least_white_noise_gain"), "least_white_noise_gain")
    if limit > count * (1 + 1e-12):
        raise InputError(
            f"{10 * np.log10(limit):.3g} dB is more than {count} elements can have",
            where="least_white_noise_gain",
            remedy=f"give at most {10 * np.log10(count):.2f} dB",
        )
    return limit


def heard_power(firing: Firing) -> Any:
    """Return w^H B w, refusing weights that cancel so exactly that rounding decides what is left."""
    power = field.received(firing.weights, firing.noise_form)
    if np.any(power < field.ROUNDING * firing.noise_form[0, 0] * firing.weight_power):
        raise InputError(field.CANCELLED)
    return power


def response(firing: Firing, azimuth: Any, elevation: Any) -> Any:
    """Return the complex response on plain radians: shape of the weights' leading axes, then of the directions."""
    hertz = firing.si[0]
    # the ground is asked before the directions are spread out, once for each elevation
    element = firing.ground.element(hertz, elevation)
    phases = field.steering(firing.layout.metres, hertz, *np.broadcast_arrays(azimuth, elevation))
    # not a matrix product: so small a one waits longer for its threads than it takes
    total = np.einsum("...n,dn->...d", firing.weights, phases.reshape(-1, phases.shape[-1]))
    total = total.reshape((*firing.weights.shape[:-1], *phases.shape[:-1]))
    return total * element


def array_response(firing: Firing, azimuth: Any, elevation: Any) -> Any:
    """Return the response toward directions: sum of w_n e^{+jk u.r_n} times one element's response.

    One element over perfect ground has size 1 at the horizon; in free space it has 1 everywhere.

    Parameters
    ----------
    firing
        The array with its weights (..., N), frequency and ground; its own direction plays no part.
    azimuth, elevation
        Directions; arrays broadcast, and their axes follow the weights' own.

    Returns
    -------
    plain complex number or array [1]

    Raises
    ------
    InputError
        On an elevation outside 0 to 90 degrees (-90 to 90 in free space).

    Examples
    --------
    >>> from workbook.array.ground import FREE_SPACE
    >>> from workbook.array.layout import row
    >>> pair = Firing(row(2, "20 m", "0 deg"), [1, 1], "1.83 MHz", "0 deg", "0 deg", FREE_SPACE)
    >>> abs(array_response(pair, "90 deg", "0 deg"))
    2.0
    """
    check_firing(firing)
    azimuths = real(azimuth, "radian", "azimuth")
    elevations = elevation_angle(elevation, least=-np.pi / 2 if firing.ground.sphere else 0.0)
    check_broadcast(azimuths, elevations)
    return scalar(response(firing, azimuths, elevations))


def rdf(firing: Firing) -> Any:
    """Return the receiving directivity factor: power toward the firing's direction over the average of the sphere.

    RDF = |sum of w e^{jk u.r}|^2 p(el) / w^H B w, nothing arriving from below ground.

    Returns
    -------
    dB quantity, shape of the weights' leading axes

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> one = Firing(row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "0 deg", PERFECT_GROUND)
    >>> rdf(one).m_as("dB")
    4.771
    """
    check_firing(firing)
    front = field.sensed(firing.weights, firing.toward) * firing.element_power
    return decibels(front / heard_power(firing))


def front_to_back(firing: Firing) -> Any:
    """Return the power toward the firing's direction over that from the opposite azimuth at the same elevation.

    Returns
    -------
    dB quantity; infinite where the back is under 1e-15 of the front
    """
    check_firing(firing)
    front = field.sensed(firing.weights, firing.toward)
    # a half turn of azimuth turns every phase round
    back = field.sensed(firing.weights, firing.toward.conj())
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(back < NO_BACK * front, np.inf, front / back)
    return decibels(ratio)


def signal_gain(firing: Firing) -> Any:
    """Return the power toward the firing's direction, relative to one element with weight 1.

    Returns
    -------
    dB quantity
    """
    check_firing(firing)
    return decibels(field.sensed(firing.weights, firing.toward))


def noise_gain(firing: Firing) -> Any:
    """Return the external noise received from all directions alike, w^H B w / B(0), relative to one element.

    Returns
    -------
    dB quantity
    """
    check_firing(firing)
    return decibels(heard_power(firing) / firing.noise_form[0, 0])


def white_noise_gain(firing: Firing) -> Any:
    """Return |sum of w e^{jk u.r}|^2 over sum |w|^2: the signal over what elements make themselves, as to one element.

    Returns
    -------
    dB quantity; 0 dB for one element, 10 log N for N in phase
    """
    check_firing(firing)
    return decibels(field.sensed(firing.weights, firing.toward) / firing.weight_power)
