"""A short vertical behind chokes and a buffer, and the field of a transmitter near by, on plain numbers.

Convention e^{+jwt}; field strengths are rms, and the vertical stands on perfectly conducting ground.
"""

from typing import Any

import numpy as np

from workbook.formulas.lines import C
from workbook.formulas.waves import EPSILON0, wave_number


def vertical_capacitance(height: Any, diameter: Any) -> Any:
    """Return the capacitance of a short vertical to the ground it stands on.

    C = 2 pi eps0 h / ln(1.15 h/d), which is 24 h/log10(1.15 h/d) pF with h in metres (H. Meinke and F. W. Gundlach,
    "Taschenbuch der Hochfrequenztechnik", 3rd edition, as quoted in a web article).

    Parameters
    ----------
    height
        Height [m].
    diameter
        Diameter of the rod or wire [m].

    Returns
    -------
    float array [F]
    """
    return 2 * np.pi * EPSILON0 * height / np.log(1.15 * height / diameter)


def vertical_effective_height(height: Any, hertz: Any) -> Any:
    """Return the effective height: open-circuit voltage over field strength.

    h_e = tan(kh/2)/k, the area under a sinusoidal current that is zero at the top (S. A. Schelkunoff and H. T. Friis,
    "Antennas: Theory and Practice", cited from memory); half the height where it is short.

    Parameters
    ----------
    height
        Height, less than a quarter wave [m].
    hertz
        Frequency [Hz].

    Returns
    -------
    float array [m]
    """
    k = wave_number(hertz)
    return np.tan(k * height / 2) / k


def vertical_impedance(height: Any, capacitance: Any, hertz: Any) -> Any:
    """Return the impedance at the base of a short vertical.

    Z = 10 (kh)^2 ohm - j Z0 cot(kh), an open line of length h with the capacitance C: Z0 = h/(c C). The resistance is
    40 pi^2 (h/wavelength)^2 ohm (J. D. Kraus, "Antennas", chapter on short antennas).

    Parameters
    ----------
    height
        Height, less than a quarter wave [m].
    capacitance
        Capacitance to ground where it is short [F].
    hertz
        Frequency [Hz].

    Returns
    -------
    complex array [ohm]
    """
    kh = wave_number(hertz) * height
    return 10 * kh**2 - 1j * height / (C * capacitance * np.tan(kh))


def choke_impedance(inductance: Any, loss: Any, capacitance: Any, hertz: Any) -> Any:
    """Return the impedance of a choke: inductance with series resistance, in parallel with its self-capacitance.

    Parameters
    ----------
    inductance
        Inductance, zero for none [H].
    loss
        Series resistance over reactance, 1/Q [1].
    capacitance
        Self-capacitance [F].
    hertz
        Frequency [Hz].

    Returns
    -------
    complex array [ohm]
    """
    omega = 2 * np.pi * np.asarray(hertz)
    coil = (1j + loss) * omega * inductance
    return coil / (1 + 1j * omega * capacitance * coil)


def input_impedance(resistance: Any, capacitance: Any, hertz: Any) -> Any:
    """Return the impedance of a resistance in parallel with a capacitance.

    Parameters
    ----------
    resistance
        Resistance [ohm].
    capacitance
        Capacitance [F].
    hertz
        Frequency [Hz].

    Returns
    -------
    complex array [ohm]
    """
    return resistance / (1 + 2j * np.pi * np.asarray(hertz) * capacitance * resistance)


def divider_phase_range(fixed: Any, direction: Any, offset: Any, least: Any, greatest: Any) -> Any:
    """Return by how much the angle of `fixed + 1/(offset + u direction)` varies for u between two ends.

    As u varies the impedance runs along a circle, so the extremes inside the range are the roots of a quadratic: with
    p = 1 + fixed offset and q = fixed direction, Im(q p*) |offset + u direction|^2 = Im(direction offset*) |p + u q|^2.
    A passive circuit stays in the right half plane, where the angle is continuous.

    Parameters
    ----------
    fixed
        Impedance in series [ohm].
    direction
        Admittance that u multiplies, of size 1 or so [1].
    offset
        Admittance in parallel with it [S].
    least, greatest
        Ends of u [S].

    Returns
    -------
    float array [rad]
    """
    p, q = 1 + fixed * offset, fixed * direction
    above, below = np.imag(q * np.conj(p)), np.imag(direction * np.conj(offset))
    c2 = above * np.abs(direction) ** 2 - below * np.abs(q) ** 2
    c1 = 2 * (above * np.real(offset * np.conj(direction)) - below * np.real(p * np.conj(q)))
    c0 = above * np.abs(offset) ** 2 - below * np.abs(p) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        # written so that neither root loses digits, nor needs the leading coefficient
        half = -(c1 + np.copysign(np.sqrt(c1**2 - 4 * c2 * c0), c1)) / 2
        roots = [np.where(np.isfinite(root), root, least) for root in (half / c2, c0 / half)]
    tried = np.stack(np.broadcast_arrays(least, greatest, *(np.clip(root, least, greatest) for root in roots)))
    return np.ptp(np.angle(fixed + 1 / (offset + tried * direction)), axis=0)


def vertical_field(power: Any, distance: Any, hertz: Any) -> Any:
    """Return the vertical field on perfect ground beside a short vertical, near field included.

    E = sqrt(90 ohm P)/d |1 + 1/(jkd) - 1/(kd)^2|, the field of a short current element over its image (any textbook on
    antennas, such as C. A. Balanis, "Antenna Theory", chapter on the infinitesimal dipole); far away 300 mV/m at 1 km
    for 1 kW (reference of Recommendation ITU-R P.368, from memory).

    Parameters
    ----------
    power
        Power radiated [W].
    distance
        Distance on the ground [m].
    hertz
        Frequency [Hz].

    Returns
    -------
    float array, rms [V/m]
    """
    kd = wave_number(hertz) * distance
    return np.sqrt(90 * power) / distance * np.abs(1 + 1 / (1j * kd) - 1 / kd**2)
