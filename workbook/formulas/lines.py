"""Uniform lines on plain numbers: propagation, input impedance, total loss, check frequency, delay and length.

Sources: the telegrapher's equations as in any textbook, for example R. E. Collin, "Foundations for Microwave
Engineering", chapter 3; the condition for zero reactance is derived in `zero_reactance_phase`.
"""

from typing import Any

import numpy as np

C = 299_792_458.0


def propagation(series: Any, shunt: Any) -> tuple[Any, Any]:
    """Return the propagation constant and the characteristic impedance of a line.

    Parameters
    ----------
    series
        Series impedance per metre R + jwL [ohm/m], complex.
    shunt
        Shunt admittance per metre G + jwC [S/m], complex.

    Returns
    -------
    (complex array [1/m], complex array [ohm])
    """
    # each root lies in the first quarter of the plane, so no branch has to be chosen
    root_series, root_shunt = np.sqrt(series), np.sqrt(shunt)
    return root_series * root_shunt, root_series / root_shunt


def reflection(load: Any, impedance: Any) -> Any:
    """Return the voltage reflection coefficient of a load; an infinite load is an open end.

    Parameters
    ----------
    load
        Load impedance [ohm], complex.
    impedance
        Characteristic impedance [ohm], complex.

    Returns
    -------
    complex array [1]
    """
    load, impedance = np.broadcast_arrays(np.asarray(load), np.asarray(impedance))
    is_open = np.isinf(load)
    load = np.where(is_open, 0, load)
    return np.where(is_open, 1, (load - impedance) / (load + impedance))


def input_impedance(gamma: Any, impedance: Any, length: Any, load: Any) -> Any:
    """Return the impedance at the near end of a terminated line.

    Parameters
    ----------
    gamma
        Propagation constant [1/m], complex.
    impedance
        Characteristic impedance [ohm], complex.
    length
        Length [m].
    load
        Load impedance [ohm], complex; infinite for an open end.

    Returns
    -------
    complex array [ohm]
    """
    back = reflection(load, impedance) * np.exp(-2 * gamma * length)
    return impedance * (1 + back) / (1 - back)


def total_loss(gamma: Any, impedance: Any, length: Any, load: Any) -> Any:
    """Return half the natural logarithm of power into the line over power in the load, exact for complex impedance.

    Parameters
    ----------
    gamma
        Propagation constant [1/m], complex.
    impedance
        Characteristic impedance [ohm], complex.
    length
        Length [m].
    load
        Load impedance [ohm], complex, with a positive and finite real part.

    Returns
    -------
    float array [Np]
    """
    rho = reflection(load, impedance)
    back = rho * np.exp(-2 * gamma * length)
    power_in = np.real((1 + back) * np.conj((1 - back) / impedance))
    power_out = np.real((1 + rho) * np.conj((1 - rho) / impedance))
    return np.real(gamma) * length + np.log(power_in / power_out) / 2


def zero_reactance_phase(gamma: Any, impedance: Any, length: Any) -> Any:
    """Return by how much beta times length at zero reactance exceeds a whole number of quarter waves.

    The input impedance of an open line is Zc coth(gamma l); with Zc = R0 + jX0 its imaginary part vanishes where
    R0 sin(2 beta l) = X0 sinh(2 alpha l), that of a shorted line where R0 sin(2 beta l) = -X0 sinh(2 alpha l).
    At the low-resistance crossing both say 2 beta l = n pi + arcsin(-(X0/R0) sinh(2 alpha l)), n = 1 for the
    open quarter wave and n = 2 for the shorted half wave. Half of that arcsin is returned, not a number where
    the line is so lossy that the reactance never vanishes.

    Parameters
    ----------
    gamma
        Propagation constant [1/m], complex.
    impedance
        Characteristic impedance [ohm], complex.
    length
        Length [m].

    Returns
    -------
    float array [rad]
    """
    with np.errstate(over="ignore", invalid="ignore"):
        tilt = -np.imag(impedance) / np.real(impedance) * np.sinh(2 * np.real(gamma) * length)
        return np.arcsin(np.where(np.abs(tilt) <= 1, tilt, np.nan)) / 2


def phase(length: Any, frequency: Any, velocity_factor: Any) -> Any:
    """Return the phase lag along a length of line.

    Parameters
    ----------
    length
        Length [m].
    frequency
        Frequency [Hz].
    velocity_factor
        Velocity factor [1].

    Returns
    -------
    float array [rad]
    """
    return 2 * np.pi * frequency * length / (velocity_factor * C)


def length_of_phase(lag: Any, frequency: Any, velocity_factor: Any) -> Any:
    """Return the length of line that has a phase lag.

    Parameters
    ----------
    lag
        Phase lag [rad].
    frequency
        Frequency [Hz].
    velocity_factor
        Velocity factor [1].

    Returns
    -------
    float array [m]
    """
    return lag * velocity_factor * C / (2 * np.pi * frequency)


def length_of_delay(delay: Any, velocity_factor: Any) -> Any:
    """Return the length of line that has a delay.

    Parameters
    ----------
    delay
        Delay [s].
    velocity_factor
        Velocity factor [1].

    Returns
    -------
    float array [m]
    """
    return delay * velocity_factor * C
