"""Delay, phase and length of a line, and the frequency at which a cut line is checked."""

from collections.abc import Callable
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, check_velocity_factor, magnitude, not_negative, one_of, positive, real
from workbook.errors import InputError
from workbook.formulas import lines
from workbook.line.cable import Cable, check_cable
from workbook.units import NEPER_IN_DB, Angle, Complexes, Floats, Frequency, Impedance, Length, Loss, Time, with_unit

QUARTERS = {"open": 1, "short": 2}
"""Quarter waves at the lowest zero of reactance, by what is at the far end."""


def electrical_length(length: Length, frequency: Frequency, velocity_factor: Floats | Cable) -> Angle:
    """Return the phase lag of a length of line, 360 f L / (v c), not wrapped.

    Parameters
    ----------
    length
        Zero or more.
    frequency
        Above zero.
    velocity_factor
        A plain number, or a `Cable`, whose velocity factor at the frequency is used.

    Returns
    -------
    quantity [degree]

    Raises
    ------
    InputError
        When an argument is out of range or of another kind.

    Examples
    --------
    >>> electrical_length("26.911 m", "1.83 MHz", 0.8329).m_as("degree")
    71.00
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    v = _velocity(velocity_factor, hertz)
    check_broadcast(metres, hertz, v)
    return with_unit(np.degrees(lines.phase(metres, hertz, v)), "degree")


def physical_length(electrical_length: Angle, frequency: Frequency, velocity_factor: Floats | Cable) -> Length:
    """Return the length of line of an electrical length; the inverse of `electrical_length`.

    Parameters
    ----------
    electrical_length
        Zero or more, not wrapped.
    frequency
        Above zero.
    velocity_factor
        A plain number, or a `Cable`, whose velocity factor at the frequency is used.

    Returns
    -------
    quantity [m]

    Raises
    ------
    InputError
        When an argument is out of range or of another kind.

    Examples
    --------
    >>> physical_length("45 degree", "200 MHz", 0.66).m_as("m")
    0.12366
    """
    lag = not_negative(electrical_length, "radian", "electrical_length")
    hertz = positive(frequency, "Hz", "frequency")
    v = _velocity(velocity_factor, hertz)
    check_broadcast(lag, hertz, v)
    return with_unit(lines.length_of_phase(lag, hertz, v), "m")


def delay_length(delay: Time, velocity_factor: Floats | Cable, frequency: Frequency | None = None) -> Length:
    """Return the length of line of a delay, tau v c.

    Parameters
    ----------
    delay
        Zero or more.
    velocity_factor
        A plain number, or a `Cable`, whose velocity factor at the frequency is used.
    frequency
        Needed with a `Cable` only.

    Returns
    -------
    quantity [m]

    Raises
    ------
    InputError
        When an argument is out of range or of another kind, or a cable comes without the frequency.

    Examples
    --------
    >>> delay_length("100 ns", 0.66).m_as("m")
    19.786
    """
    seconds = not_negative(delay, "s", "delay")
    if frequency is None and isinstance(velocity_factor, Cable):
        raise InputError(
            "a cable's velocity factor depends on it",
            where="frequency",
            remedy="give the frequency, such as '1.83 MHz'",
        )
    hertz = None if frequency is None else positive(frequency, "Hz", "frequency")
    v = _velocity(velocity_factor, hertz)
    check_broadcast(seconds, v)
    return with_unit(lines.length_of_delay(seconds, v), "m")


def phase_of_delay(delay: Time, frequency: Frequency) -> Angle:
    """Return the phase lag of a delay, 360 f tau, not wrapped.

    Parameters
    ----------
    delay
        Positive is later.
    frequency
        Above zero.

    Returns
    -------
    quantity [degree]

    Raises
    ------
    InputError
        When an argument is out of range or of another kind.

    Examples
    --------
    >>> phase_of_delay("100 ns", "1.83 MHz").m_as("degree")
    65.88
    """
    seconds = real(delay, "s", "delay")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(seconds, hertz)
    return with_unit(360 * hertz * seconds, "degree")


def _velocity(velocity_factor: Any, hertz: Floats | None) -> Floats:
    if isinstance(velocity_factor, Cable):
        return velocity_factor.velocity(hertz)
    return check_velocity_factor(velocity_factor)


def input_impedance(cable: Cable, length: Length, frequency: Frequency, load: Impedance) -> Impedance:
    """Return the impedance at the near end of a terminated line, Zc (Zl + Zc tanh gl) / (Zc + Zl tanh gl).

    Parameters
    ----------
    cable
        Cable of the line.
    length
        Zero or more.
    frequency
        Above zero.
    load
        Impedance at the far end; infinite ohm for an open end, 0 ohm for a short.

    Returns
    -------
    complex quantity [ohm]

    Raises
    ------
    InputError
        When the load's resistance is negative, or an argument is out of range or of another kind.
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    ohms = _load(load)
    check_broadcast(metres, hertz, ohms)
    gamma, impedance = check_cable(cable).constants(hertz)
    with np.errstate(divide="ignore", invalid="ignore"):
        return with_unit(lines.input_impedance(gamma, impedance, metres, ohms), "ohm")


def total_loss(cable: Cable, length: Length, frequency: Frequency, load: Impedance) -> Loss:
    """Return the whole loss of a line with its load: power into the line over power in the load.

    Exact for a complex characteristic impedance, where the usual formula by SWR is not.

    Parameters
    ----------
    cable
        Cable of the line.
    length
        Zero or more.
    frequency
        Above zero.
    load
        Impedance at the far end.

    Returns
    -------
    quantity [dB]

    Raises
    ------
    InputError
        When the load takes no power (open, short, pure reactance) or its resistance is negative, or an argument is
        out of range or of another kind.
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    ohms = _load(load)
    if np.any(np.real(ohms) == 0) or np.any(np.isinf(ohms)):
        raise InputError(
            "an open, a short or a pure reactance takes no power", where="load", remedy="give a load with resistance"
        )
    check_broadcast(metres, hertz, ohms)
    gamma, impedance = check_cable(cable).constants(hertz)
    return with_unit(lines.total_loss(gamma, impedance, metres, ohms) * NEPER_IN_DB, "dB")


def _load(load: Impedance) -> Complexes:
    ohms = magnitude(load, "ohm", "load")
    if np.any(np.real(ohms) < 0):
        raise InputError("its resistance is negative", where="load", remedy="give a resistance of 0 ohm or more")
    return ohms


def check_frequency(cable: Cable, length: Length, far_end: str = "open", connector_delay: Time = "0 ns") -> Frequency:
    """Return the lowest frequency at which the reactance at the near end is zero, from the exact input impedance.

    Parameters
    ----------
    cable
        Cable of the line.
    length
        Length between its connectors, above zero.
    far_end
        ``"open"`` (a quarter wave) or ``"short"`` (a half wave).
    connector_delay
        Electrical delay of one connector; one at each end counts as cable of that delay.

    Returns
    -------
    quantity [Hz]

    Raises
    ------
    InputError
        On a length that is not above zero, another word for the far end, or a line so lossy that its reactance
        never vanishes.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> check_frequency(ideal_cable("75 ohm", 0.66), "10 m").m_as("MHz")
    4.9466
    """
    metres = positive(length, "m", "length")
    seconds = not_negative(connector_delay, "s", "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    check_broadcast(metres, seconds)
    return with_unit(solve_check_frequency(check_cable(cable), metres, quarters, 2 * seconds), "Hz")


def solve_check_frequency(cable: Cable, metres: Floats, quarters: int, extra_delay: Floats) -> Floats:
    """Solve for the check frequency [Hz] on plain numbers; `extra_delay` [s] is that of both connectors."""
    target = quarters * np.pi / 2
    hertz = quarters / 4 / (metres / (cable.nominal_velocity_factor * lines.C) + extra_delay)

    def improved(hertz: Floats) -> Floats:
        gamma, impedance = cable.constants(hertz)
        whole = metres + 2 * np.pi * hertz * extra_delay / gamma.imag
        excess = lines.zero_reactance_phase(gamma, impedance, whole)
        return hertz * (target + excess) / (gamma.imag * whole)

    return _settled(improved, hertz)


def length_from_check_frequency(
    cable: Cable, frequency: Frequency, far_end: str = "open", connector_delay: Time = "0 ns"
) -> Length:
    """Return the length of cable whose check frequency is given; the inverse of `check_frequency`.

    Parameters
    ----------
    cable
        Cable of the line.
    frequency
        Check frequency, above zero.
    far_end
        ``"open"`` (a quarter wave) or ``"short"`` (a half wave).
    connector_delay
        Electrical delay of one connector; one at each end counts as cable of that delay.

    Returns
    -------
    quantity [m]
        Length between the connectors.

    Raises
    ------
    InputError
        As `check_frequency`, and when the connectors alone are longer than the line.
    """
    hertz = positive(frequency, "Hz", "frequency")
    seconds = not_negative(connector_delay, "s", "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    check_broadcast(hertz, seconds)
    gamma, impedance = check_cable(cable).constants(hertz)

    def improved(whole: Floats) -> Floats:
        return (quarters * np.pi / 2 + lines.zero_reactance_phase(gamma, impedance, whole)) / gamma.imag

    whole = _settled(improved, quarters * np.pi / 2 / gamma.imag + 0 * seconds)
    metres = whole - 2 * np.pi * hertz * 2 * seconds / gamma.imag
    if np.any(metres <= 0):
        raise InputError(
            "both connectors are longer than the line", where="connector_delay", remedy="check the unit of the delay"
        )
    return with_unit(metres, "m")


def _settled(improved: Callable[[Floats], Floats], start: Floats) -> Floats:
    """Repeat a step that shrinks the error by the change of velocity with frequency, a few per cent each."""
    value = start
    for _ in range(200):
        last, value = value, improved(value)
        if not np.all(np.isfinite(value)):
            break
        if np.all(np.abs(value - last) <= 1e-14 * np.abs(value)):
            return value
    if np.all(np.isfinite(value)) and np.all(np.abs(value - last) <= 1e-12 * np.abs(value)):
        return value
    raise InputError(
        "the line is so lossy that its reactance never vanishes", where="length", remedy="check a shorter piece"
    )
