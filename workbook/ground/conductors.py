"""Straps and wires to ground: their inductance and reactance, and the voltage along them for a surge."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from workbook.checks import check_broadcast, not_negative, positive
from workbook.errors import InputError
from workbook.formulas import grounding
from workbook.units import Frequency, Impedance, Length, Quantity, Time, with_unit


def strap_inductance(length: Length, width: Length, thickness: Length) -> Quantity:
    """Return the inductance of a straight flat strap.

    0.2 uH/m l (ln(2 l/(w + t)) + 0.5 + 0.2235 (w + t)/l) (Terman and Grover, from memory). It is that of the strap
    alone, its return far away; a strap against a wall of metal has less. Length counts nearly in full, width only by
    its logarithm: twice the width saves 0.14 uH/m.

    Parameters
    ----------
    length
        Length.
    width
        Width.
    thickness
        Thickness.

    Returns
    -------
    quantity in H

    Raises
    ------
    InputError
        When one is not above zero.

    Examples
    --------
    >>> strap_inductance("1 m", "25 mm", "0.5 mm").m_as("uH")
    0.974
    """
    metres = positive(length, "m", "length")
    wide = positive(width, "m", "width")
    thick = positive(thickness, "m", "thickness")
    check_broadcast(metres, wide, thick)
    return with_unit(grounding.strap_inductance(metres, wide, thick), "H")


def wire_inductance(length: Length, diameter: Length) -> Quantity:
    """Return the inductance of a straight round wire, its current on the skin.

    0.2 uH/m l (ln(4 l/d) - 1) (Terman, from memory); its return is far away.

    Parameters
    ----------
    length
        Length.
    diameter
        Diameter of the conductor.

    Returns
    -------
    quantity in H

    Raises
    ------
    InputError
        When one is not above zero, or the wire is not longer than its diameter.

    Examples
    --------
    >>> wire_inductance("1 m", "2 mm").m_as("uH")
    1.320
    """
    metres = positive(length, "m", "length")
    thick = positive(diameter, "m", "diameter")
    check_broadcast(metres, thick)
    if np.any(metres <= thick):
        raise InputError("a wire must be longer than its diameter", where="length", remedy="check the units of both")
    return with_unit(grounding.wire_inductance(metres, thick), "H")


def inductive_reactance(inductance: Quantity, frequency: Frequency) -> Impedance:
    """Return the reactance of an inductance.

    Parameters
    ----------
    inductance
        Inductance.
    frequency
        Frequency.

    Returns
    -------
    quantity in ohm

    Raises
    ------
    InputError
        When the inductance is negative or the frequency not above zero.

    Examples
    --------
    A strap of one metre is far from a short circuit on 40 m.

    >>> inductive_reactance(strap_inductance("1 m", "25 mm", "0.5 mm"), "7 MHz").m_as("ohm")
    42.8
    """
    henry = not_negative(inductance, "H", "inductance")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(henry, hertz)
    return with_unit(2 * np.pi * hertz * henry, "ohm")


@dataclass(frozen=True)
class SurgeWave:
    """A standard test wave of current.

    `rise_time` is the front time T1 and `half_time` the time to half value T2 [s]; `peak` is the peak current that
    goes with it [A]; `use` says what it stands for, and `source` where it is defined.
    """

    name: str
    rise_time: Time
    half_time: Time
    peak: Quantity
    use: str
    source: str


def _wave(name: str, rise: float, half: float, peak: float, use: str, source: str) -> SurgeWave:
    return SurgeWave(name, Quantity(rise * 1e-6, "s"), Quantity(half * 1e-6, "s"), Quantity(peak, "A"), use, source)


_STROKE = "IEC 62305-1, lightning protection level III-IV, from memory"
SURGE_WAVES: Mapping[str, SurgeWave] = MappingProxyType(
    {
        wave.name: wave
        for wave in (
            _wave(
                "8/20", 8, 20, 5e3, "surge on a cable from a stroke near by", "IEC 62475; class of 5 kA, from memory"
            ),
            _wave("10/350", 10, 350, 100e3, "first positive stroke, direct", _STROKE),
            _wave("1/200", 1, 200, 50e3, "first negative stroke, direct", _STROKE),
            _wave("0.25/100", 0.25, 100, 25e3, "subsequent stroke, direct, the steepest", _STROKE),
        )
    }
)
"""Standard waves by name: front time/time to half value in microseconds. The mean steepness is peak/front time."""


def surge_voltage(inductance: Quantity, resistance: Impedance, peak_current: Quantity, rise_time: Time) -> Quantity:
    """Return the voltage along a conductor to earth while a surge rises, at its peak: L I/t + R I.

    Parameters
    ----------
    inductance
        Inductance of strap or wire.
    resistance
        Resistance that the current also passes, such as that of the rod; 0 ohm for the conductor alone.
    peak_current
        Peak current.
    rise_time
        Time of the rise, taken as straight.

    Returns
    -------
    quantity in V

    Raises
    ------
    InputError
        When inductance, resistance or current is negative, or the rise time not above zero.

    Examples
    --------
    Two metres of strap carry kilovolts even for the smallest of standard surges.

    >>> strap = strap_inductance("2 m", "50 mm", "0.5 mm")
    >>> surge_voltage(strap, "0 ohm", "5 kA", "8 us").m_as("kV")
    1.22
    """
    henry = not_negative(inductance, "H", "inductance")
    ohms = not_negative(resistance, "ohm", "resistance")
    amperes = not_negative(peak_current, "A", "peak_current")
    seconds = positive(rise_time, "s", "rise_time")
    check_broadcast(henry, ohms, amperes, seconds)
    return with_unit(henry * amperes / seconds + ohms * amperes, "V")
