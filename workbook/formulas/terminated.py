"""Lines between real ends on plain numbers: transfer, the phase that mismatch adds, and matched pads.

Sources: voltages and currents along a line as in R. E. Collin, "Foundations for Microwave Engineering", chapter 3;
attenuators as in any handbook; the greatest phase is derived in `greatest_phases`.
"""

from collections.abc import Iterable
from typing import Any

import numpy as np

from workbook.formulas.lines import reflection


def transfer(sections: Iterable[tuple[Any, Any, Any]], source: Any, load: Any) -> Any:
    """Return voltage on the load over the source's open voltage, through a cascade of lines.

    One volt on the load is carried back to the source; with e = e^{-2 gamma l} a length of line turns V, I into
    e^{gamma l} (V (1 + e) + Zc I (1 - e))/2 and e^{gamma l} (V (1 - e)/Zc + I (1 + e))/2. For one line this is
    Zc/(Zc + Zs) (1 + rho_L) e^{-gamma l}/(1 - rho_s rho_L e^{-2 gamma l}). Nothing overflows, and no input impedance
    can become infinite.

    Parameters
    ----------
    sections
        From the source on, each as propagation constant [1/m], characteristic impedance [ohm] and length [m].
    source
        Source impedance [ohm], complex.
    load
        Load impedance [ohm], complex; infinite for an open end.

    Returns
    -------
    complex array [1]
    """
    is_open = np.isinf(load)
    voltage, current = 1.0, np.where(is_open, 0, 1 / np.where(is_open, 1, load))
    along = 1.0
    for gamma, impedance, length in reversed(tuple(sections)):
        one_way = np.exp(-gamma * length)
        even, odd = (1 + one_way**2) / 2, (1 - one_way**2) / 2
        voltage, current = voltage * even + impedance * current * odd, voltage * odd / impedance + current * even
        along = along * one_way
    return along / (voltage + source * current)


def reflection_product(impedance: Any, source: Any, load: Any) -> Any:
    """Return rho_s rho_L, what goes twice along a line before it disturbs the phase.

    Parameters
    ----------
    impedance
        Characteristic impedance [ohm], complex.
    source
        Source impedance [ohm], complex.
    load
        Load impedance [ohm], complex; infinite for an open end.

    Returns
    -------
    complex array [1]
    """
    return reflection(source, impedance) * reflection(load, impedance)


def phase_bound(product: Any) -> Any:
    """Return the closed answer asin|rho_s rho_L|: no length of line is farther off; pi where |rho_s rho_L| >= 1.

    1 - rho_s rho_L e^{-2 gamma l} lies in a circle of that radius about 1, and a tangent from the origin to it has
    this angle. Two lines that are both off may differ by the sum of their bounds.

    Parameters
    ----------
    product
        Reflection coefficients of both ends multiplied [1], complex.

    Returns
    -------
    float array [rad]
    """
    size = np.abs(product)
    return np.where(size < 1, np.arcsin(np.minimum(size, 1)), np.pi)[()]


def greatest_phases(gamma: Any, product: Any) -> tuple[Any, Any]:
    """Return the least and the greatest of arg 1/(1 - rho_s rho_L e^{-2 gamma l}) over all lengths l >= 0.

    With w = rho_s rho_L e^{-2 gamma l} = q e^{j phi} and gamma = |gamma| e^{j delta} the phase is stationary where
    Im(gamma w/(1 - w)) = 0, which is sin(phi + delta) = q sin(delta). Both solutions are followed as q falls along
    the line; the extremes lie in the first turn, or at its start. For |rho_s rho_L| < 1.

    Parameters
    ----------
    gamma
        Propagation constant [1/m], complex, imaginary part above zero.
    product
        Reflection coefficients of both ends multiplied [1], complex.

    Returns
    -------
    (float array [rad], float array [rad])
    """
    slant, turn = np.angle(gamma), 2 * np.imag(gamma)
    # two solutions in each turn; the turn before and the one behind make sure of the first beyond l = 0
    turns = np.reshape([-1, 0, 1], (-1, *[1] * np.ndim(gamma + product)))
    found = [np.zeros_like(np.real(gamma + product))[None]]
    for sign, start in ((1, 0.0), (-1, np.pi)):
        length = found[0]
        for _ in range(60):
            size = np.abs(product) * np.exp(-2 * np.real(gamma) * length)
            stationary = start + sign * np.arcsin(np.minimum(size * np.sin(slant), 1)) - slant
            length = np.maximum((np.angle(product) - stationary + 2 * np.pi * turns) / turn, 0)
        found.append(length)
    phases = -np.angle(1 - product * np.exp(-2 * gamma * np.concatenate(np.broadcast_arrays(*found[1:]))))
    phases = np.concatenate((phases, -np.angle(1 - product + 0 * gamma)[None]))
    return phases.min(axis=0), phases.max(axis=0)


def pi_pad(loss: Any, impedance: Any) -> tuple[Any, Any]:
    """Return the series arm and each shunt arm of a pi attenuator that is matched at both ends.

    Parameters
    ----------
    loss
        Loss [Np]; without loss the shunt arms are infinite.
    impedance
        Resistance of both ends [ohm].

    Returns
    -------
    (float array [ohm], float array [ohm])
    """
    with np.errstate(divide="ignore"):
        return impedance * np.sinh(np.asarray(loss)), impedance / np.tanh(np.asarray(loss) / 2)
