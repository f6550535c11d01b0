"""Loss of a length of several cables on every band, and where the square root of frequency misleads."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from workbook.bands import band, bands
from workbook.checks import check_broadcast, magnitude, one_of, positive, single
from workbook.errors import InputError, shown
from workbook.line.cable import Cable, check_cable
from workbook.line.lengths import total_loss
from workbook.units import BoolArray, FloatArray, Floats, Frequency, Impedance, Length, Loss, Quantity, with_unit

MOST_CABLES = 6
"""More curves than this cannot be distinguished in one picture."""

MISLEADS = 0.10
"""Relative error of the square root of frequency above which it is reported."""

_ROOT_HZ, _USUAL_HZ = 50e6, 55e6
_PRINTED_DB = 0.0005


class Range(NamedTuple):
    """Matched loss [dB]: least, typical and greatest over the known claddings; all the same for a plain centre."""

    least: Loss
    typical: Loss
    greatest: Loss


def matched_loss(cable: Cable, length: Length, frequency: Frequency) -> Loss:
    """Return the loss of a length of cable whose load is its own impedance.

    Parameters
    ----------
    cable
        Cable of the line.
    length
        Above zero.
    frequency
        Above zero.

    Returns
    -------
    quantity [dB]

    Raises
    ------
    InputError
        When an argument is out of range or of another kind.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> matched_loss(cable("series-6-copper"), "100 m", "1.83 MHz").m_as("dB")
    0.81
    """
    metres = positive(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(metres, hertz)
    return with_unit(_per_metre(_Identity(check_cable(cable)), *_packed(hertz)) * metres, "dB")


def matched_range(cable: Cable, length: Length, frequency: Frequency) -> Range:
    """Return least, typical and greatest matched loss of a length of cable over the known claddings.

    Parameters
    ----------
    cable
        Cable of the line.
    length
        Above zero.
    frequency
        Above zero.

    Returns
    -------
    Range
        Three quantities [dB].

    Raises
    ------
    InputError
        When an argument is out of range or of another kind.
    """
    metres = positive(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(metres, hertz)
    per_metre = _range_per_metre(_Identity(check_cable(cable)), *_packed(hertz))
    return Range(*(with_unit(part * metres, "dB") for part in per_metre))


class _Identity:
    """A cable as a key: the very object, since comparing what it holds would cost more than is saved."""

    def __init__(self, cable: Cable) -> None:
        self.cable = cable

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Identity) and self.cable is other.cable

    def __hash__(self) -> int:
        return id(self.cable)


def _packed(hertz: Floats) -> tuple[bytes, tuple[int, ...]]:
    return np.ascontiguousarray(hertz, dtype=float).tobytes(), np.shape(hertz)


@functools.lru_cache(maxsize=64)
def _per_metre(key: _Identity, packed: bytes, shape: tuple[int, ...]) -> Floats:
    """Return the matched loss [dB/m], remembered since no length and no load changes it."""
    return _kept(key.cable.attenuation(_frequency(packed, shape)).m_as("dB/m"))


@functools.lru_cache(maxsize=64)
def _range_per_metre(key: _Identity, packed: bytes, shape: tuple[int, ...]) -> tuple[Floats, Floats, Floats]:
    """Return the range of the matched loss [dB/m], remembered since finding it costs a grid of claddings."""
    least, typical, greatest = (part.m_as("dB/m") for part in key.cable.span("attenuation", _frequency(packed, shape)))
    return _kept(least), _kept(typical), _kept(greatest)


def _frequency(packed: bytes, shape: tuple[int, ...]) -> Frequency:
    return Quantity(np.frombuffer(packed).reshape(shape)[()], "Hz")


def _kept(values: Floats) -> Floats:
    """Return values that many callers may share, safe from being written into."""
    array = np.array(values, dtype=float)
    array.flags.writeable = False
    return array[()]


@dataclass(frozen=True, eq=False)
class RootRule:
    """The rule of thumb that loss grows with the square root of frequency, from one published point.

    Attributes
    ----------
    frequency
        Of the point.
    loss
        Of the point [dB/m].
    status
        Kind of the point; None where the model itself had to serve.
    ratio
        The model's loss over the point's at that frequency; a standard's maximum lies above the model.
    """

    frequency: Frequency
    loss: Quantity
    status: str | None
    ratio: float

    def at(self, length: Length, frequency: Frequency) -> Loss:
        """Return the loss of a length of cable by the rule [dB]."""
        metres = positive(length, "m", "length")
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.loss.m_as("dB/m") * np.sqrt(hertz / self.frequency.m_as("Hz")) * metres, "dB")


def root_rule(cable: Cable) -> RootRule:
    """Return the rule from the lowest published point at or above 50 MHz, else from the model at 55 MHz.

    A typical or measured point goes before a standard's maximum, and a disputed point is passed over: the rule is
    judged, not the point that it starts from.
    """
    return _root_rule(_Identity(check_cable(cable)))


@functools.lru_cache(maxsize=64)
def _root_rule(key: _Identity) -> RootRule:
    cable = key.cable
    points = [
        point
        for point in (cable.record.attenuation if cable.record else ())
        if point.frequency.m_as("Hz") >= _ROOT_HZ * (1 - 1e-9) and not point.disputed
    ]
    if not points:
        start = Quantity(_USUAL_HZ, "Hz")
        return RootRule(start, matched_loss(cable, "1 m", start) / Quantity(1.0, "m"), None, 1.0)
    first = min(points, key=lambda point: (point.status == "standard maximum", point.frequency.m_as("Hz")))
    loss = first.loss.to("dB/m")
    ratio = matched_loss(cable, "1 m", first.frequency).m_as("dB") / loss.m_as("dB/m")
    return RootRule(first.frequency.to("Hz"), loss, first.status, float(ratio))


class PublishedPoints(NamedTuple):
    """Published points of one status of one cable: plain frequencies [Hz] and losses [dB/m].

    `seen` is false where they are quoted from memory; `disputed` marks those that the model does not follow.
    """

    status: str
    seen: bool
    hertz: FloatArray
    loss: FloatArray
    disputed: FloatArray


def published_points(cable: Cable) -> tuple[PublishedPoints, ...]:
    """Return a cable's published points by status and by whether they were seen; none for a cable without a record."""
    return _published_points(_Identity(check_cable(cable)))


@functools.lru_cache(maxsize=64)
def _published_points(key: _Identity) -> tuple[PublishedPoints, ...]:
    record = key.cable.record
    if record is None:
        return ()
    kinds: dict[tuple[str, bool], list[tuple[float, float, bool]]] = {}
    for point in record.attenuation:
        row = (point.frequency.m_as("Hz"), point.loss.m_as("dB/m"), point.disputed is not None)
        kinds.setdefault((point.status, record.sources[point.source].seen), []).append(row)
    return tuple(
        PublishedPoints(status, seen, *(_kept(part) for part in np.transpose(rows)))
        for (status, seen), rows in kinds.items()
    )


@dataclass(frozen=True, eq=False)
class CableLoss:
    """One cable in the middle of every band; arrays over the bands.

    Attributes
    ----------
    cable
        The cable.
    matched
        Matched loss [dB] over the known claddings.
    total
        Loss with the load [dB].
    rule
        The square root of frequency, and the point it starts from.
    by_root
        Loss by that rule [dB].
    misled
        Where the rule is wrong by more than a tenth.
    """

    cable: Cable
    matched: Range
    total: Loss
    rule: RootRule
    by_root: Loss
    misled: BoolArray


@dataclass(frozen=True, eq=False)
class LossComparison:
    """Losses of up to six cables of one length with one load.

    Attributes
    ----------
    chosen
        The cables in the order given.
    length, load
        One quantity each.
    band
        Name of the band of interest.
    names
        Names of all bands.
    frequency
        Their middles, of the band of interest the frequency given if any; one quantity.
    """

    chosen: tuple[CableLoss, ...]
    length: Length
    load: Impedance
    band: str
    names: tuple[str, ...]
    frequency: Frequency

    @property
    def ordered(self) -> tuple[CableLoss, ...]:
        """The cables by their loss with the load on the band of interest, least first."""
        here = self.names.index(self.band)
        return tuple(sorted(self.chosen, key=lambda one: (one.total.m_as("dB")[here], one.cable.name)))


def compare_losses(
    cables: Sequence[Cable],
    length: Length,
    load: Impedance,
    band_of_interest: str = "160 m",
    frequency: Frequency | None = None,
) -> LossComparison:
    """Compare the losses of one to six cables on every band.

    Parameters
    ----------
    cables
        One to six different cables.
    length
        One length above zero.
    load
        One impedance with some resistance, the same at every frequency.
    band_of_interest
        Name of the band by whose losses the cables are ordered.
    frequency
        Used for that band in place of its middle; above zero.

    Returns
    -------
    LossComparison

    Raises
    ------
    InputError
        On no cable, more than six or one twice, a length or frequency that is not above zero, a load that takes no
        power, or an unknown band.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> both = compare_losses([cable("series-6-copper"), cable("series-11-copper")], "30 m", "75 ohm")
    >>> both.ordered[0].cable.name
    'series-11-copper'
    """
    metres, ohms = _checked(cables, length, load)
    names = bands()
    one_of(band_of_interest, names, "band_of_interest")
    hertz = np.array([band(name).centre.m_as("Hz") for name in names])
    if frequency is not None:
        hertz[names.index(band_of_interest)] = single(positive(frequency, "Hz", "frequency"), "frequency")
    length, load, used = Quantity(metres, "m"), Quantity(ohms, "ohm"), Quantity(hertz, "Hz")
    chosen = tuple(_cable_loss(cable, length, load, used) for cable in cables)
    return LossComparison(chosen, length, load, band_of_interest, names, used)


def _checked(cables: Sequence[Cable], length: Length, load: Impedance) -> tuple[float, complex]:
    if not isinstance(cables, (list, tuple)):
        raise InputError(f"got {shown(cables)}", where="cables", wanted="a list of cables")
    names = [check_cable(cable, "cables").name for cable in cables]
    if not 1 <= len(names) <= MOST_CABLES:
        raise InputError(f"got {len(names)} cables", where="cables", wanted=f"a choice of one to {MOST_CABLES}")
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise InputError(f"{twice[0]} is chosen twice", where="cables", remedy="choose it once")
    metres, ohms = positive(length, "m", "length"), magnitude(load, "ohm", "load")
    return float(single(metres, "length")), complex(single(ohms, "load"))


def _cable_loss(cable: Cable, length: Length, load: Impedance, frequency: Frequency) -> CableLoss:
    matched, rule = matched_range(cable, length, frequency), root_rule(cable)
    total, by_root = total_loss(cable, length, frequency, load), rule.at(length, frequency)
    root, typical = by_root.m_as("dB"), matched.typical.m_as("dB")
    # a maximum that is merely generous is not the rule's fault, so the rule must be wrong from the model's own
    # loss as well as from the point; an error below what is printed does not count
    misled = np.abs(typical - root) > np.maximum(MISLEADS * root, _PRINTED_DB)
    misled &= np.abs(typical - rule.ratio * root) > MISLEADS * rule.ratio * root
    return CableLoss(cable, matched, total, rule, by_root, misled)
