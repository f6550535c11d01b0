"""Response and figures of an array fired one way, as quantities: RDF, front-to-back, gains for signal and noise."""

import numpy as np

from workbook.array.firing import Firing, check_firing, elevation_angle
from workbook.array.merit import steering_vector
from workbook.checks import check_broadcast, real
from workbook.units import Angle, ComplexArray, Floats, Gain, scalar, with_unit


def response(firing: Firing, azimuth: Floats, elevation: Floats) -> ComplexArray:
    """Return the complex response to directions [rad] (D...): the weights' leading axes, then those of the directions.

    One element over perfect ground has size 1 at the horizon.
    """
    hertz = firing.arrival.hertz
    # one element's response is computed once for each elevation, before the directions are broadcast
    element = firing.ground.element(hertz, elevation)
    phases = steering_vector(firing.layout.metres, hertz, *np.broadcast_arrays(azimuth, elevation))
    # not a matrix product: for so small a one, starting threads takes longer than the product
    total = np.einsum("...n,dn->...d", firing.weights, phases.reshape(-1, phases.shape[-1]))
    return np.asarray(total.reshape((*firing.weights.shape[:-1], *phases.shape[:-1])) * element)


def array_response(firing: Firing, azimuth: Angle, elevation: Angle) -> ComplexArray | complex:
    """Return the response to directions: sum of w_n e^{+jk u.r_n} times one element's response.

    One element over perfect ground has size 1 at the horizon; in free space it has 1 everywhere.

    Parameters
    ----------
    firing
        The array with its weights (..., N), frequency and ground; its own direction plays no part.
    azimuth, elevation
        Directions; arrays broadcast.

    Returns
    -------
    plain complex number or array [1]; the weights' leading axes, then those of the directions

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


def rdf(firing: Firing) -> Gain:
    """Return the receiving directivity factor: power toward the firing's direction over the average of the sphere.

    RDF = |sum of w e^{jk u.r}|^2 p(el) / w^H B w, nothing arriving from below ground.

    Parameters
    ----------
    firing
        The array with its weights (..., N) and direction.

    Returns
    -------
    dB quantity (...)

    Raises
    ------
    InputError
        When the weights cancel so exactly that rounding decides the noise.

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> one = Firing(row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "0 deg", PERFECT_GROUND)
    >>> rdf(one).m_as("dB")
    4.771
    """
    check_firing(firing)
    return with_unit(firing.figures.rdf_db, "dB")


def front_to_back(firing: Firing) -> Gain:
    """Return the power toward the firing's direction over that from the opposite azimuth at the same elevation.

    Parameters
    ----------
    firing
        The array with its weights (..., N) and direction.

    Returns
    -------
    dB quantity (...), infinite where the back is under 1e-15 of the front

    Raises
    ------
    InputError
        On anything but a `Firing`.
    """
    check_firing(firing)
    return with_unit(firing.figures.front_to_back_db, "dB")


def signal_gain(firing: Firing) -> Gain:
    """Return the power toward the firing's direction, relative to one element with weight 1.

    Parameters
    ----------
    firing
        The array with its weights (..., N) and direction.

    Returns
    -------
    dB quantity (...)

    Raises
    ------
    InputError
        On anything but a `Firing`.
    """
    check_firing(firing)
    return with_unit(firing.figures.signal_gain_db, "dB")


def noise_gain(firing: Firing) -> Gain:
    """Return the external noise received from all directions alike, w^H B w / B(0), relative to one element.

    Parameters
    ----------
    firing
        The array with its weights (..., N); its direction plays no part.

    Returns
    -------
    dB quantity (...)

    Raises
    ------
    InputError
        When the weights cancel so exactly that rounding decides the noise.
    """
    check_firing(firing)
    return with_unit(firing.figures.noise_gain_db, "dB")


def white_noise_gain(firing: Firing) -> Gain:
    """Return |sum of w e^{jk u.r}|^2 over sum |w|^2: signal over the elements' own noise, relative to one element.

    Parameters
    ----------
    firing
        The array with its weights (..., N) and direction.

    Returns
    -------
    dB quantity (...); 0 dB for one element, 10 log N for N in phase

    Raises
    ------
    InputError
        On anything but a `Firing`.
    """
    check_firing(firing)
    return with_unit(firing.figures.white_noise_gain_db, "dB")
