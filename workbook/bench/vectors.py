"""Impedance from voltage, current and phase, and polar values of a vector near zero, with honest uncertainties."""

from typing import NamedTuple

import numpy as np

from workbook.bench.measured import Measured
from workbook.checks import plain_number, positive, real
from workbook.errors import InputError
from workbook.units import Quantity

_REACH, _POINTS = 6.0, 600


class ImpedanceReadings(NamedTuple):
    """Resistance, reactance and modulus [ohm], each a `Measured`; correlations of R with X, R with Z, X with Z."""

    resistance: Measured
    reactance: Measured
    modulus: Measured
    correlations: tuple[float, float, float]


def impedance_of_readings(voltage: Quantity, current: Quantity, phase: Quantity) -> ImpedanceReadings:
    """Return the impedance that repeated simultaneous readings of voltage, current and phase mean.

    Each set of readings gives R = V cos(phi)/I, X = V sin(phi)/I and Z = V/I; their means and standard errors take the
    correlation of the readings into account (JCGM 100:2008, H.2, approach 2).

    Parameters
    ----------
    voltage, current, phase
        Amplitudes and phase difference, each a row of as many readings, at least two.

    Returns
    -------
    ImpedanceReadings
        Quantities [ohm].

    Raises
    ------
    InputError
        When rows differ in length or have fewer than two readings, or a reading is out of range.

    Examples
    --------
    >>> volts, milliamps = Quantity([5.0, 5.1], "V"), Quantity([20.0, 20.2], "mA")
    >>> impedance_of_readings(volts, milliamps, Quantity([0.0, 0.0], "rad")).resistance.value.m_as("ohm")
    251.2
    """
    volts, amps = positive(voltage, "V", "voltage"), positive(current, "A", "current")
    angle = real(phase, "radian", "phase")
    shapes = {np.shape(one) for one in (volts, amps, angle)}
    if len(shapes) != 1 or len(next(iter(shapes))) != 1 or np.size(volts) < 2:
        raise InputError("are not rows of as many readings", where="voltage", wanted="two or more of each")
    z = volts / amps
    rows = np.array([z * np.cos(angle), z * np.sin(angle), z])
    errors = rows.std(axis=1, ddof=1) / np.sqrt(rows.shape[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        related = np.nan_to_num(np.corrcoef(rows))
    resistance, reactance, modulus = (
        Measured(Quantity(float(mean), "ohm"), Quantity(float(error), "ohm"))
        for mean, error in zip(rows.mean(axis=1), errors, strict=True)
    )
    correlations = float(related[0, 1]), float(related[0, 2]), float(related[1, 2])
    return ImpedanceReadings(resistance, reactance, modulus, correlations)


class Polar(NamedTuple):
    """Modulus, a plain number, and phase [rad] of a vector, each a `Measured`."""

    modulus: Measured
    phase: Measured


def polar(value: complex, uncertainty: float, correlation: float = 0.0) -> Polar:
    """Return modulus and phase of a measured vector as their distribution has them, not normal near zero.

    Real and imaginary part are normal with one standard uncertainty. Far from zero this is the usual propagation; in a
    null the modulus is never zero and the phase is hardly known (JCGM 102:2011, 9.2).

    Parameters
    ----------
    value
        The vector, a plain complex number.
    uncertainty
        Standard uncertainty of real and of imaginary part.
    correlation
        Between real and imaginary part.

    Returns
    -------
    Polar
        Plain numbers; phase [rad].

    Raises
    ------
    InputError
        When a number is out of range or of another kind.

    Examples
    --------
    >>> found = polar(0.001, 0.01)
    >>> found.modulus.value, found.modulus.uncertainty
    (0.01256, 0.00657)
    """
    if isinstance(value, (bool, str)) or not isinstance(value, (int, float, complex, np.number)):
        raise InputError("is not a plain complex number", where="value", remedy="write it like 0.01 + 0.002j")
    centre = complex(value)
    for part in (centre.real, centre.imag):
        plain_number(part, "value", -1e30, 1e30)
    spread = plain_number(uncertainty, "uncertainty", 1e-30, 1e30, "0.01")
    related = plain_number(correlation, "correlation", -1.0, 1.0, "0.9")
    # the midpoint rule over both normal variables; their tails beyond six standard deviations do not count
    step = 2 * _REACH / _POINTS
    normal = -_REACH + step * (np.arange(_POINTS) + 0.5)
    weight = np.exp(-(normal**2) / 2)
    weights = np.outer(weight, weight) / weight.sum() ** 2
    one, other = np.meshgrid(normal, normal, indexing="ij")
    points = centre + spread * (one + 1j * (related * one + np.sqrt(1 - related**2) * other))
    aim = centre / abs(centre) if centre else 1.0
    return Polar(_moments(np.abs(points), weights), _moments(np.angle(points / aim), weights, float(np.angle(aim))))


def _moments(values: np.ndarray, weights: np.ndarray, offset: float = 0.0) -> Measured:
    mean = float(np.sum(values * weights))
    return Measured(mean + offset, float(np.sqrt(np.sum((values - mean) ** 2 * weights))))
