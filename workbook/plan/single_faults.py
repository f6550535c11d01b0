"""Finding a fault without a vector instrument: the level when one element at a time is disconnected.

A steady signal from a known direction is received, one element at a time is disconnected, and the change of level is
noted. In step with the others an element takes its share away; a dead one changes nothing; a reversed one makes the
signal stronger when it goes. Positions of the switch toward the signal and away from it together show most.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from workbook.array.merit import steering_vector
from workbook.checks import listed, not_negative, positive, real, single
from workbook.errors import InputError, shown
from workbook.plan.firings import firing
from workbook.plan.stages import AnyPlan
from workbook.units import Angle, ComplexArray, FloatArray, Frequency, Gain, Quantity

FLOOR_DB = 20.0
"""Changes of level beyond this are taken for this much: in a null everything changes everything."""
APART = 6.0
"""Difference of chi squared at which one fault is distinguished from another: 20 to 1."""
KINDS = ("healthy", "dead", "reversed", "swapped")


@dataclass(frozen=True)
class SingleFault:
    """One fault: its kind, and the numbers of the elements concerned, none where all are healthy."""

    kind: str
    elements: tuple[int, ...] = ()

    def __str__(self) -> str:
        """Write it for a reader."""
        if self.kind == "healthy":
            return "all healthy"
        if self.kind == "swapped":
            return f"elements {self.elements[0]} and {self.elements[1]} swapped"
        return f"element {self.elements[0]} {self.kind}"


@dataclass(frozen=True)
class SourceSignal:
    """A steady signal: band, azimuth and elevation [degree] that it comes from.

    An exact frequency [Hz] takes the place of that of the band.
    """

    band: str
    azimuth_deg: float
    elevation_deg: float
    frequency_hz: float | None = None

    @property
    def on(self) -> str:
        """The band, and the exact frequency where there is one."""
        return self.band if self.frequency_hz is None else f"{self.band} at {self.frequency_hz / 1e6:.7g} MHz"


@dataclass(frozen=True)
class LikeliestFault:
    """The fault that explains entered levels best.

    Attributes
    ----------
    fault
        The likeliest.
    not_distinguishable
        Others that the levels do not rule out, the likelier first.
    misfit_db
        Root mean square of what the likeliest leaves unexplained [dB].
    explained
        Whether that is within what the stated uncertainty makes likely.
    """

    fault: SingleFault
    not_distinguishable: tuple[SingleFault, ...]
    misfit_db: float
    explained: bool


def single_faults(elements: int) -> tuple[SingleFault, ...]:
    """Return every single fault of an array of some elements, healthy first."""
    numbers = range(1, elements + 1)
    return (
        SingleFault("healthy"),
        *(SingleFault("dead", (n,)) for n in numbers),
        *(SingleFault("reversed", (n,)) for n in numbers),
        *(SingleFault("swapped", pair) for pair in combinations(numbers, 2)),
    )


def source(band: str, azimuth: Angle, elevation: Angle = "0 deg", frequency: Frequency | None = None) -> SourceSignal:
    """Return a signal, such as that of a broadcast station by ground wave, at elevation 0.

    Parameters
    ----------
    band
        A band of the plan.
    azimuth, elevation
        Where it comes from.
    frequency
        Its exact frequency; None for that of the band.

    Raises
    ------
    InputError
        When an angle or the frequency is of another kind, or the elevation is negative.
    """
    hertz = None if frequency is None else single(positive(frequency, "Hz", "frequency"), "frequency")
    up = single(not_negative(elevation, "degree", "elevation"), "elevation")
    return SourceSignal(band, single(real(azimuth, "degree", "azimuth"), "azimuth"), up, hertz)


def toward_and_away(plan: AnyPlan, signal: SourceSignal) -> tuple[str, ...]:
    """Return the switch positions nearest to a signal's azimuth and farthest from it, one where there is only one."""
    off = [abs((one.azimuth_deg - signal.azimuth_deg + 180) % 360 - 180) for one in plan.directions]
    names = [one.name for one in plan.directions]
    return tuple(dict.fromkeys((names[int(np.argmin(off))], names[int(np.argmax(off))])))


def level_changes(plan: AnyPlan, signal: SourceSignal, direction: str, *faults: SingleFault) -> FloatArray:
    """Return the change of level [dB] when each element is disconnected (N,), within 20 dB; of several faults (F, N).

    Raises
    ------
    InputError
        When there is no such direction or band.
    """
    array = firing(plan, direction, signal.band, signal.frequency_hz)
    azimuth, elevation = np.radians(signal.azimuth_deg), np.radians(signal.elevation_deg)
    waves = steering_vector(array.layout.metres, array.arrival.hertz, azimuth, elevation)
    received = np.array([_received(array.weights, waves, fault) for fault in faults])
    total = received.sum(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        change = 20 * np.log10(np.abs(total - received) / np.abs(total))
    found = np.clip(np.nan_to_num(change, nan=0.0), -FLOOR_DB, FLOOR_DB)
    return found[0] if len(faults) == 1 else found


def _received(weights: ComplexArray, waves: ComplexArray, fault: SingleFault) -> ComplexArray:
    """Return what every element gives to the sum; of swapped elements each goes through the other's channel."""
    concerned = [number - 1 for number in fault.elements]
    if fault.kind == "swapped":
        waves = waves.copy()
        waves[concerned] = waves[concerned[::-1]]
        received = weights * waves
        # the plug that is pulled is that of the element, so the changes come in the order of the elements
        received[concerned] = received[concerned[::-1]]
        return received
    factor = np.ones(len(weights))
    factor[concerned] = {"healthy": 1.0, "dead": 0.0, "reversed": -1.0}[fault.kind]
    return weights * waves * factor


def likeliest_fault(
    plan: AnyPlan, signal: SourceSignal, levels: Mapping[str, Sequence[Gain | None]], uncertainty: Gain = "0.5 dB"
) -> LikeliestFault:
    """Return the single fault that explains levels best, every kind being as likely beforehand.

    Parameters
    ----------
    plan
        The plan.
    signal
        The signal that was received.
    levels
        By direction of the switch, the change of level when element 1, 2, ... is disconnected; None where it was not
        measured, or the element is off.
    uncertainty
        Standard uncertainty of one change.

    Raises
    ------
    InputError
        When there is no level, not one for each element, or no such direction or band.
    """
    error = single(positive(uncertainty, "dB", "uncertainty"), "uncertainty")
    measured = {name: _levels(plan, name, row) for name, row in levels.items()}
    seen = np.concatenate(list(measured.values())) if measured else np.array([])
    known = ~np.isnan(seen)
    if not known.any():
        raise InputError("nothing was entered", where="levels", wanted="the change of level for each element")
    faults = single_faults(len(plan.elements))
    expected = np.concatenate([level_changes(plan, signal, name, *faults) for name in measured], axis=1)
    square = np.sum(((expected - seen)[:, known] / error) ** 2, axis=1)
    kinds = [fault.kind for fault in faults]
    unlikely = square + 2 * np.log([kinds.count(kind) for kind in kinds])
    order = np.argsort(unlikely, kind="stable")
    best = order[0]
    others = [n for n in order[1:] if square[n] - square[best] < APART]
    freedom = int(known.sum())
    return LikeliestFault(
        faults[best],
        tuple(faults[n] for n in others),
        float(error * np.sqrt(square[best] / freedom)),
        # mean and three standard deviations of chi squared
        bool(square[best] < freedom + 3 * np.sqrt(2 * freedom)),
    )


def levels_in(text: str) -> dict[str, list[Gain | None]]:
    """Return entered levels from lines such as ``north: -1.2, -0.9, -, -1.1``, bare numbers in dB.

    Raises
    ------
    InputError
        When a line has no direction, or a level cannot be read.
    """
    found: dict[str, list[Gain | None]] = {}
    for line in text.splitlines():
        if not line.strip() or line.strip().startswith("#"):
            continue
        direction, colon, row = line.partition(":")
        if not colon:
            raise InputError(f"got {shown(line)}", where="levels", remedy="write it like 'north: -1.2, -0.9, -, -1.1'")
        cells = [cell.strip() for cell in row.split(",")]
        if direction.strip() in found:
            raise InputError("comes twice", where=direction.strip(), remedy="write one line for each direction")
        found[direction.strip()] = [_level(cell, direction.strip()) for cell in cells]
    return found


def _level(cell: str, where: str) -> Gain | None:
    if cell in ("", "-"):
        return None
    try:
        return Quantity(float(cell.replace("−", "-")), "dB")
    except ValueError:
        return Quantity(real(cell, "dB", where), "dB")


def _levels(plan: AnyPlan, direction: str, row: Sequence[Gain | None]) -> FloatArray:
    plan.direction(direction)
    given = listed(row, direction, "give a level or None for each element")
    if len(given) != len(plan.elements):
        raise InputError(f"got {len(given)} levels", where=direction, wanted=f"{len(plan.elements)}, one an element")
    found = [np.nan if one is None else single(real(one, "dB", direction), direction) for one in given]
    return np.clip(np.array(found), -FLOOR_DB, FLOOR_DB)
