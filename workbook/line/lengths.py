"""Delay, phase and length of a line, and the frequency at which a cut line is checked."""

from typing import Any

import numpy as np

from workbook.checks import check_broadcast, check_velocity_factor, magnitude, not_negative, one_of, positive, real
from workbook.errors import InputError, shown
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.units import NEPER_IN_DB, with_unit

# quarter waves at the low-resistance crossing of zero reactance
QUARTERS = {"open": 1, "short": 2}


def electrical_length(length: Any, frequency: Any, velocity_factor: Any) -> Any:
    """Return how many degrees long a line is, not wrapped.

    Parameters
    ----------
    length, frequency
        Length and frequency quantities.
    velocity_factor
        A plain number, or a `Cable`, which is asked at the frequency.

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


def physical_length(electrical_length: Any, frequency: Any, velocity_factor: Any) -> Any:
    """Return the length of line that is so many degrees long; the inverse of `electrical_length`.

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


def delay_length(delay: Any, velocity_factor: Any, frequency: Any = None) -> Any:
    """Return the length of line that has a delay; with a `Cable` the frequency is needed.

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


def phase_of_delay(delay: Any, frequency: Any) -> Any:
    """Return the phase lag of a delay at a frequency, 360 f tau, not wrapped.

    Examples
    --------
    >>> phase_of_delay("100 ns", "1.83 MHz").m_as("degree")
    65.88
    """
    seconds = real(delay, "s", "delay")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(seconds, hertz)
    return with_unit(360 * hertz * seconds, "degree")


def _cable(cable: Any) -> Cable:
    if not isinstance(cable, Cable):
        raise InputError(
            f"{shown(cable)} is no cable", where="cable", remedy="write wb.cable('series-6-copper') or another name"
        )
    return cable


def _velocity(velocity_factor: Any, hertz: Any) -> Any:
    return (
        velocity_factor.velocity(hertz)
        if isinstance(velocity_factor, Cable)
        else check_velocity_factor(velocity_factor)
    )


def input_impedance(cable: Cable, length: Any, frequency: Any, load: Any) -> Any:
    """Return the impedance at the near end of a terminated line [ohm].

    Parameters
    ----------
    cable
        What the line is made of.
    length, frequency
        Length and frequency quantities.
    load
        Impedance at the far end; infinite ohm for an open end, 0 ohm for a short.

    Raises
    ------
    InputError
        When the load's resistance is negative.
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    ohms = _load(load)
    check_broadcast(metres, hertz, ohms)
    gamma, impedance = _cable(cable).constants(hertz)
    with np.errstate(divide="ignore", invalid="ignore"):
        return with_unit(lines.input_impedance(gamma, impedance, metres, ohms), "ohm")


def total_loss(cable: Cable, length: Any, frequency: Any, load: Any) -> Any:
    """Return the whole loss of a line with its load [dB]: power into the line over power in the load.

    Exact for a complex characteristic impedance, where the usual formula by SWR is not.

    Raises
    ------
    InputError
        When the load takes no power (open, short, pure reactance) or its resistance is negative.
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    ohms = _load(load)
    if np.any(np.real(ohms) == 0) or np.any(np.isinf(ohms)):
        raise InputError(
            "an open, a short or a pure reactance takes no power", where="load", remedy="give a load with resistance"
        )
    check_broadcast(metres, hertz, ohms)
    gamma, impedance = _cable(cable).constants(hertz)
    return with_unit(lines.total_loss(gamma, impedance, metres, ohms) * NEPER_IN_DB, "dB")


def _load(load: Any) -> Any:
    ohms = magnitude(load, "ohm", "load")
    if np.any(np.real(ohms) < 0):
        raise InputError("its resistance is negative", where="load", remedy="give a resistance of 0 ohm or more")
    return ohms


def check_frequency(cable: Cable, length: Any, far_end: str = "open", connector_delay: Any = "0 ns") -> Any:
    """Return the lowest frequency at which the reactance at the near end is zero, from the exact input impedance.

    Parameters
    ----------
    cable
        What the line is made of.
    length
        Its length between connectors.
    far_end
        ``"open"`` (a quarter wave) or ``"short"`` (a half wave).
    connector_delay
        Electrical delay of one connector; one at each end counts as cable of that delay.

    Raises
    ------
    InputError
        On a length that is not above zero, another word for the far end, or a line so lossy that its reactance
        never vanishes.

    Examples
    --------
    >>> from workbook.line.cable import ideal_cable
    >>> check_frequency(ideal_cable("75 ohm", 0.66), "10 m").m_as("MHz")
    4.9466
    """
    metres = positive(length, "m", "length")
    seconds = not_negative(connector_delay, "s", "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    check_broadcast(metres, seconds)
    return with_unit(solve_check_frequency(_cable(cable), metres, quarters, 2 * seconds), "Hz")


def solve_check_frequency(cable: Cable, metres: Any, quarters: int, extra_delay: Any) -> Any:
    """Solve for the check frequency [Hz] on plain numbers; `extra_delay` [s] is that of both connectors."""
    target = quarters * np.pi / 2
    hertz = quarters / 4 / (metres / (cable.nominal_velocity_factor * lines.C) + extra_delay)

    def improved(hertz: Any) -> Any:
        gamma, impedance = cable.constants(hertz)
        whole = metres + 2 * np.pi * hertz * extra_delay / gamma.imag
        excess = lines.zero_reactance_phase(gamma, impedance, whole)
        return hertz * (target + excess) / (gamma.imag * whole)

    return _settled(improved, hertz)


def length_from_check_frequency(
    cable: Cable, frequency: Any, far_end: str = "open", connector_delay: Any = "0 ns"
) -> Any:
    """Return the length of cable whose check frequency is given; the inverse of `check_frequency`.

    Raises
    ------
    InputError
        As `check_frequency`, and when the connectors alone are longer than the line.
    """
    hertz = positive(frequency, "Hz", "frequency")
    seconds = not_negative(connector_delay, "s", "connector_delay")
    quarters = QUARTERS[one_of(far_end, QUARTERS, "far_end")]
    check_broadcast(hertz, seconds)
    gamma, impedance = _cable(cable).constants(hertz)

    def improved(whole: Any) -> Any:
        return (quarters * np.pi / 2 + lines.zero_reactance_phase(gamma, impedance, whole)) / gamma.imag

    whole = _settled(improved, quarters * np.pi / 2 / gamma.imag + 0 * seconds)
    metres = whole - 2 * np.pi * hertz * 2 * seconds / gamma.imag
    if np.any(metres <= 0):
        raise InputError(
            "both connectors are longer than the line", where="connector_delay", remedy="check the unit of the delay"
        )
    return with_unit(metres, "m")


def _settled(improved: Any, start: Any) -> Any:
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
