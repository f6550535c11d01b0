"""Direct current to the front ends: what a run drops, what arrives, and which supply or wire would do."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from workbook.checks import check_broadcast, instance, listed, not_negative, positive, single, whole_number
from workbook.errors import InputError
from workbook.units import Impedance, Length, Quantity, with_unit

# annealed copper at 20 degC, IEC 60028
COPPER = 58.0e6
THICKEST, THINNEST = 0, 40


def dc_drop(current: Quantity, length: Length, loop_resistance: Impedance) -> Quantity:
    """Return the voltage that a run drops: current times length times the resistance of both conductors per length.

    Parameters
    ----------
    current
        Direct current.
    length
        Length of the run, one way.
    loop_resistance
        Resistance of both conductors together per length, such as `Cable.loop_resistance`.

    Returns
    -------
    quantity in V

    Raises
    ------
    InputError
        When one of them is negative.

    Examples
    --------
    >>> dc_drop("80 mA", "100 m", "50 ohm/km").m_as("V")
    0.4
    """
    amperes = not_negative(current, "A", "current")
    metres = not_negative(length, "m", "length")
    ohms = not_negative(loop_resistance, "ohm/m", "loop_resistance")
    check_broadcast(amperes, metres, ohms)
    return with_unit(amperes * metres * ohms, "V")


def wire_resistance(gauge: int) -> Impedance:
    """Return the resistance of one solid copper wire per length at 20 degC, by its American wire gauge.

    d = 0.005 in x 92^((36 - n)/39) (ASTM B258) and copper of 58.0 MS/m. A pair has twice this resistance.

    Parameters
    ----------
    gauge
        Gauge number from 0 to 40.

    Returns
    -------
    quantity in ohm/m

    Raises
    ------
    InputError
        When the gauge is not a whole number from 0 to 40.

    Examples
    --------
    >>> wire_resistance(18).m_as("ohm/km")
    20.95
    """
    number = whole_number(gauge, "gauge", THICKEST, THINNEST)
    return with_unit(_wire_ohms(number), "ohm/m")


def _wire_ohms(gauge: int) -> float:
    diameter = 0.005 * 0.0254 * 92 ** ((36 - gauge) / 39)
    return 4 / (COPPER * np.pi * diameter**2)


@dataclass(frozen=True)
class FeedRun:
    """One run that carries the feed.

    Parameters
    ----------
    name
        What it is, for tables.
    length
        Length, one way.
    loop_resistance
        Resistance of both conductors per length.
    front_ends
        How many front ends are fed through it.

    Raises
    ------
    InputError
        When a figure is negative or not single, or the count is not from 1 to 64.
    """

    name: str
    length: Length
    loop_resistance: Impedance
    front_ends: int = 1

    def __post_init__(self) -> None:
        """Check every figure."""
        instance(self.name, str, "name", "write what it is, such as 'receiver run'")
        whole_number(self.front_ends, "front_ends", 1, 64)
        for name, unit in (("length", "m"), ("loop_resistance", "ohm/m")):
            plain = single(not_negative(getattr(self, name), unit, name), name)
            object.__setattr__(self, name, Quantity(plain, unit))


@dataclass(frozen=True)
class DcFeed:
    """What arrives at the farthest front end.

    `drops` of the runs and `voltage` left at the end [V]; `is_enough`: it is not below `least_voltage`;
    `supply_needed` for these runs [V]; `gauge_needed`: the thinnest solid copper pair (American wire gauge) which
    along all runs would do with this supply, None where not even AWG 0 would.
    """

    supply: Quantity
    least_voltage: Quantity
    current: Quantity
    runs: tuple[FeedRun, ...]
    drops: tuple[Quantity, ...]
    voltage: Quantity
    supply_needed: Quantity
    gauge_needed: int | None

    @property
    def is_enough(self) -> bool:
        """Whether the least voltage arrives, to a microvolt."""
        return bool(self.voltage.m_as("V") >= self.least_voltage.m_as("V") - 1e-6)


def dc_feed(supply: Quantity, least_voltage: Quantity, current: Quantity, runs: Iterable[FeedRun]) -> DcFeed:
    """Return the voltage at the far end of runs in series, and what would do where it is too low.

    Parameters
    ----------
    supply
        Voltage of the supply at the receiver's end.
    least_voltage
        What a front end needs.
    current
        Current of one front end.
    runs
        The runs from the supply to the farthest front end.

    Returns
    -------
    DcFeed
        Voltages in V.

    Raises
    ------
    InputError
        When the supply is not above the least voltage, so that no wire would do, or there is no run.

    Examples
    --------
    >>> pair = 2 * wire_resistance(24)
    >>> runs = [FeedRun("receiver run", "150 m", pair, 4), FeedRun("element run", "30 m", pair)]
    >>> found = dc_feed("12 V", "10 V", "80 mA", runs)
    >>> found.voltage.m_as("V"), found.supply_needed.m_as("V"), found.gauge_needed
    (3.52, 18.5, 17)
    """
    volts, least = (
        single(positive(value, "V", name), name)
        for value, name in ((supply, "supply"), (least_voltage, "least_voltage"))
    )
    amperes = single(not_negative(current, "A", "current"), "current")
    remedy = "make one by wb.FeedRun('receiver run', '150 m', cable.loop_resistance, 4)"
    row = tuple(instance(run, FeedRun, "runs", remedy) for run in listed(runs, "runs", remedy))
    if not row:
        raise InputError("the list is empty", where="runs", remedy=remedy)
    if volts <= least:
        raise InputError(
            f"no wire brings {least:g} V to a front end from {volts:g} V",
            where="supply",
            remedy=f"take a supply above {least:g} V",
        )
    drops = tuple(dc_drop(Quantity(amperes * run.front_ends, "A"), run.length, run.loop_resistance) for run in row)
    lost = sum(drop.m_as("V") for drop in drops)
    ampere_metres = sum(amperes * run.front_ends * run.length.m_as("m") for run in row)
    fits = (g for g in range(THINNEST, THICKEST - 1, -1) if 2 * _wire_ohms(g) * ampere_metres <= volts - least)
    return DcFeed(
        Quantity(volts, "V"),
        Quantity(least, "V"),
        Quantity(amperes, "A"),
        row,
        drops,
        Quantity(volts - lost, "V"),
        Quantity(least + lost, "V"),
        next(fits, None),
    )
