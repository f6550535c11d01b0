"""What an element's ground does to its signal, and current on the outside of a cable's shield with a choke against it.

The rod of an element is in series with its signal. Behind a high-impedance buffer that does nothing, but the same rod
carries what comes along the outside of the cable's shield, and the voltage of that current adds to the signal.
"""

import math
from dataclasses import dataclass

import numpy as np

from workbook.checks import check_broadcast, magnitude, not_negative, plain_number, positive, real, single
from workbook.errors import InputError
from workbook.units import Angle, Complexes, Gain, Impedance, Loss, Quantity, with_unit

MOST_TURNS = 100


@dataclass(frozen=True)
class SeriesGround:
    """What a ground resistance does to one element's signal.

    `loss` [dB], positive = weaker; `phase` [degree], positive = later.
    """

    loss: Loss
    phase: Angle


def series_ground(source: Impedance, load: Impedance, resistance: Impedance) -> SeriesGround:
    """Return what the ground resistance of an element does to its signal: (Zs + Zl)/(Zs + R + Zl).

    Parameters
    ----------
    source
        Impedance of the vertical, such as `ShortVertical.impedance(frequency)`.
    load
        Input impedance of the buffer.
    resistance
        Resistance of the element's ground.

    Returns
    -------
    SeriesGround
        Loss [dB] and phase [degree].

    Raises
    ------
    InputError
        When a resistance is negative, or source and load cancel.

    Examples
    --------
    A poor rod behind a high-impedance buffer does not matter to the level; its phase is common to elements whose rods
    are alike.

    >>> poor = series_ground(Quantity(0.7 - 1100j, "ohm"), Quantity(33 - 5700j, "ohm"), "300 ohm")
    >>> poor.loss.m_as("dB"), poor.phase.m_as("degree")
    (0.0103, 2.53)
    """
    first, second = (_impedance(value, name) for value, name in ((source, "source"), (load, "load")))
    ohms = not_negative(resistance, "ohm", "resistance")
    check_broadcast(first, second, ohms)
    whole = np.asarray(first + second)
    if np.any(whole == 0):
        raise InputError("source and load cancel each other", where="load", remedy="check the signs of the reactances")
    change = whole / (whole + ohms)
    return SeriesGround(
        with_unit(-20 * np.log10(np.abs(change)) + 0.0, "dB"), with_unit(-np.degrees(np.angle(change)), "degree")
    )


def _impedance(value: Impedance, name: str) -> Complexes:
    ohms = np.asarray(magnitude(value, "ohm", name))
    if not np.all(np.isfinite(ohms)) or np.any(ohms.real < 0):
        raise InputError(
            "not such an impedance", where=name, wanted="a finite impedance with a resistance of zero or more"
        )
    return ohms


def common_mode_rejection(choke: Impedance, shared: Impedance) -> Loss:
    """Return by how much a choke on a cable lowers the voltage that the cable's shield current causes: |1 + Z/R|.

    Parameters
    ----------
    choke
        Impedance of the choke on the cable, complex.
    shared
        Resistance that shield current and signal share: the element's rod, or the shield of the run.

    Returns
    -------
    quantity in dB
        Voltage without the choke over that with it.

    Raises
    ------
    InputError
        When the shared resistance is not above zero, or a resistance is negative.

    Examples
    --------
    >>> common_mode_rejection(Quantity(3000 + 1500j, "ohm"), "100 ohm").m_as("dB")
    30.7
    """
    ohms = _impedance(choke, "choke")
    under = positive(shared, "ohm", "shared")
    check_broadcast(ohms, under)
    return with_unit(20 * np.log10(np.abs(1 + ohms / under)), "dB")


def choke_wanted(shared: Impedance, rejection: Gain) -> Impedance:
    """Return the resistance that a choke on a cable needs for a rejection: R (10^(A/20) - 1).

    Only the choke's resistance counts here: the outside of the cable may have any reactance, also one that cancels
    the choke's.

    Parameters
    ----------
    shared
        Resistance that shield current and signal share: the element's rod, or the shield of the run.
    rejection
        How much lower the voltage of the shield current shall be.

    Returns
    -------
    quantity in ohm

    Raises
    ------
    InputError
        When the shared resistance is not above zero, or the rejection is negative or above 120 dB.

    Examples
    --------
    A poor rod needs a large choke, a good one a small one: 30 dB at 100 ohm and at 20 ohm.

    >>> choke_wanted("100 ohm", "30 dB").m_as("ohm"), choke_wanted("20 ohm", "30 dB").m_as("ohm")
    (3062.3, 612.5)
    """
    under = positive(shared, "ohm", "shared")
    decibels = real(rejection, "dB", "rejection")
    check_broadcast(under, decibels)
    if np.any((decibels < 0) | (decibels > 120)):
        raise InputError("not from 0 dB to 120 dB", where="rejection", remedy="write it like '30 dB'")
    return with_unit(under * (10 ** (decibels / 20) - 1), "ohm")


@dataclass(frozen=True)
class ShieldChoke:
    """Turns of a cable on a core.

    `turns` and their `impedance` [ohm, complex]; `rejection` by it [dB]; `wanted`: the resistance that was wanted
    [ohm].
    """

    turns: int
    impedance: Impedance
    rejection: Loss
    wanted: Impedance


def shield_choke(turn_impedance: Impedance, shared: Impedance, rejection: Gain, cores: int = 1) -> ShieldChoke:
    """Return the fewest turns of the cable on cores that reach a rejection.

    The impedance goes with the square of the turns, which holds well below the self-resonance of the winding; from
    about ten turns of coaxial cable on it is to be measured.

    Parameters
    ----------
    turn_impedance
        Impedance of one turn on one core on the band, complex, from the core's data sheet.
    shared
        Resistance that shield current and signal share: the element's rod, or the shield of the run.
    rejection
        How much lower the voltage of the shield current shall be.
    cores
        Number of cores one behind the other.

    Returns
    -------
    ShieldChoke

    Raises
    ------
    InputError
        When the turn has no resistance, more than 100 turns would be needed, or a figure is not single.

    Examples
    --------
    >>> choke = shield_choke(Quantity(25 + 20j, "ohm"), "50 ohm", "30 dB")
    >>> choke.turns, choke.impedance.m_as("ohm")
    (8, (1600+1280j))
    """
    each = complex(single(_impedance(turn_impedance, "turn_impedance"), "turn_impedance"))
    under = single(positive(shared, "ohm", "shared"), "shared")
    wanted = single(choke_wanted(shared, rejection).m_as("ohm"), "rejection")
    number = plain_number(cores, "cores", 1, 100, "1")
    if each.real <= 0:
        raise InputError(
            "a turn without resistance damps nothing", where="turn_impedance", remedy="write it like 25+20j ohm"
        )
    turns = max(1, math.ceil(math.sqrt(wanted / (number * each.real)) - 1e-9))
    if turns > MOST_TURNS:
        raise InputError(
            f"{turns} turns would be needed",
            where="turn_impedance",
            remedy="take more cores, a core of higher permeability, or a lower rod resistance",
        )
    ohms = each * number * turns**2
    found = Quantity(ohms, "ohm")
    return ShieldChoke(turns, found, common_mode_rejection(found, Quantity(under, "ohm")), Quantity(wanted, "ohm"))
