"""What a length of several cables loses on every band, and where the square root of frequency misleads."""

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from workbook.bands import band, bands
from workbook.checks import magnitude, one_of, positive
from workbook.errors import InputError
from workbook.formatting import both_lengths
from workbook.line.cable import Cable
from workbook.line.lengths import total_loss
from workbook.table import Table
from workbook.units import Quantity, with_unit

MOST_CABLES = 6
"""More curves than this cannot be told apart in one picture."""

MISLEADS = 0.10
"""Share by which the square root of frequency may be wrong before the sheet says so."""

_ROOT_HZ, _USUAL_HZ = 50e6, 55e6
_PRINTED_DB = 0.0005


class Range(NamedTuple):
    """Matched loss [dB]: least, typical and greatest over the known claddings; all the same for a plain centre."""

    least: Any
    typical: Any
    greatest: Any


def matched_loss(cable: Cable, length: Any, frequency: Any) -> Any:
    """Return the loss of a length of cable whose load is its own impedance [dB].

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> matched_loss(cable("series-6-copper"), "100 m", "1.83 MHz").m_as("dB")
    0.81
    """
    metres = positive(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    return with_unit(_per_metre(_Same(cable), *_packed(hertz)) * metres, "dB")


def matched_range(cable: Cable, length: Any, frequency: Any) -> Range:
    """Return least, typical and greatest matched loss of a length of cable over the known claddings [dB]."""
    metres = positive(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    return Range(*(with_unit(part * metres, "dB") for part in _range_per_metre(_Same(cable), *_packed(hertz))))


class _Same:
    """A cable as a key: the very object, since comparing what it holds would cost more than is saved."""

    def __init__(self, cable: Cable) -> None:
        self.cable = cable

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.cable is other.cable

    def __hash__(self) -> int:
        return id(self.cable)


def _packed(hertz: Any) -> tuple[bytes, tuple[int, ...]]:
    return np.ascontiguousarray(hertz, dtype=float).tobytes(), np.shape(hertz)


@functools.lru_cache(maxsize=64)
def _per_metre(key: _Same, packed: bytes, shape: tuple[int, ...]) -> Any:
    """Return the matched loss [dB/m], remembered since no length and no load changes it."""
    return _kept(key.cable.attenuation(_frequency(packed, shape)).m_as("dB/m"))


@functools.lru_cache(maxsize=64)
def _range_per_metre(key: _Same, packed: bytes, shape: tuple[int, ...]) -> tuple[Any, Any, Any]:
    """Return the range of the matched loss [dB/m], remembered since finding it costs a grid of claddings."""
    least, typical, greatest = (part.m_as("dB/m") for part in key.cable.span("attenuation", _frequency(packed, shape)))
    return _kept(least), _kept(typical), _kept(greatest)


def _frequency(packed: bytes, shape: tuple[int, ...]) -> Any:
    return Quantity(np.frombuffer(packed).reshape(shape)[()], "Hz")


def _kept(values: Any) -> Any:
    """Return values that many callers may share, safe from being written into."""
    array = np.array(values, dtype=float)
    array.flags.writeable = False
    return array[()]


@dataclass(frozen=True, eq=False)
class RootRule:
    """What a builder does with one published point: loss grows with the square root of frequency.

    `frequency` [Hz] and `loss` [dB/m] are the point; `status` says what it is, None where the model itself had to
    serve. `share` is the model's loss over the point's at that frequency: a standard's maximum lies above it.
    """

    frequency: Any
    loss: Any
    status: str | None
    share: float

    def at(self, length: Any, frequency: Any) -> Any:
        """Return what the rule says a length of cable loses [dB]."""
        metres = positive(length, "m", "length")
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.loss.m_as("dB/m") * np.sqrt(hertz / self.frequency.m_as("Hz")) * metres, "dB")

    @property
    def origin(self) -> str:
        """Where the rule starts, such as "the standard maximum at 55 MHz"."""
        return f"the {_worded(self.status)} at {self.frequency.m_as('MHz'):g} MHz"


def _worded(status: str | None) -> str:
    return "model" if status is None else status if status == "standard maximum" else f"{status} value"


def root_rule(cable: Cable) -> RootRule:
    """Return the rule from the lowest published point at or above 50 MHz, else from the model at 55 MHz.

    A typical or measured point goes before a standard's maximum, and a disputed point is passed over: the rule is
    to be judged, not the point that it starts from.
    """
    return _root_rule(_Same(cable))


@functools.lru_cache(maxsize=64)
def _root_rule(key: _Same) -> RootRule:
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
    share = matched_loss(cable, "1 m", first.frequency).m_as("dB") / loss.m_as("dB/m")
    return RootRule(first.frequency.to("Hz"), loss, first.status, float(share))


class Drawn(NamedTuple):
    """Published points of one status of one cable: plain frequencies [Hz] and losses [dB/m].

    `seen` is false where they are quoted from memory; `disputed` marks those that the model does not follow.
    """

    status: str
    seen: bool
    hertz: Any
    loss: Any
    disputed: Any


def published_points(cable: Cable) -> tuple[Drawn, ...]:
    """Return a cable's published points by status and by whether they were seen; none for a cable without a record."""
    return _published_points(_Same(cable))


@functools.lru_cache(maxsize=64)
def _published_points(key: _Same) -> tuple[Drawn, ...]:
    record = key.cable.record
    if record is None:
        return ()
    kinds: dict[tuple[str, bool], list[tuple[float, float, bool]]] = {}
    for point in record.attenuation:
        row = (point.frequency.m_as("Hz"), point.loss.m_as("dB/m"), point.disputed is not None)
        kinds.setdefault((point.status, record.sources[point.source].seen), []).append(row)
    return tuple(
        Drawn(status, seen, *(_kept(part) for part in np.transpose(rows))) for (status, seen), rows in kinds.items()
    )


@dataclass(frozen=True, eq=False)
class CableLoss:
    """One cable in the middle of every band; arrays over the bands, losses in dB.

    `total` is the loss with the load; `by_root` what the square root of frequency says; `misled` where that is
    wrong by more than a tenth.
    """

    cable: Cable
    matched: Range
    total: Any
    rule: RootRule
    by_root: Any
    misled: Any

    @property
    def title(self) -> str:
        """Name and nominal impedance."""
        return f"{self.cable.name} ({self.cable.nominal_impedance.m_as('ohm'):g} ohm)"


@dataclass(frozen=True, eq=False)
class LossComparison:
    """Up to six cables of one length with one load; `chosen` in the order given, `band` the one of interest."""

    chosen: tuple[CableLoss, ...]
    length: Any
    load: Any
    band: str
    names: tuple[str, ...]
    frequency: Any

    @property
    def ordered(self) -> tuple[CableLoss, ...]:
        """The cables by what they lose on the band of interest with the load, least first."""
        here = self.names.index(self.band)
        return tuple(sorted(self.chosen, key=lambda one: (one.total.m_as("dB")[here], one.cable.name)))

    @property
    def state(self) -> str:
        """Length both ways and load, as titles carry them."""
        return f"{both_lengths(self.length.m_as('m'))}, load {load_text(self.load)}"

    def band_table(self) -> Table:
        """Return a row per cable for the band of interest, least loss first."""
        here = self.names.index(self.band)
        rows = tuple(
            (
                one.title,
                _matched(one, here, self.frequency),
                _decibel(one.total.m_as("dB")[here]),
                f"{_decibel(one.by_root.m_as('dB')[here])} (from {one.rule.frequency.m_as('MHz'):g} MHz)",
            )
            for one in self.ordered
        )
        middle = self.frequency.m_as("MHz")[here]
        title = f"Loss on {self.band} at {middle:.3f} MHz, least first: {self.state}"
        return Table(title, ("cable", "matched dB (range)", "with load dB", "by √f dB"), rows)

    def table(self) -> Table:
        """Return a row per band, and for each cable its matched loss and its loss with the load."""
        headings = ["band (middle)"]
        for one in self.ordered:
            headings += [f"{one.cable.name} matched dB", f"{one.cable.name} with load dB"]
        rows = []
        for here, name in enumerate(self.names):
            mark = "▸ " if name == self.band else ""
            row = [f"{mark}{name} ({self.frequency.m_as('MHz')[here]:.3f} MHz)"]
            for one in self.ordered:
                row += [_matched(one, here, self.frequency), _decibel(one.total.m_as("dB")[here])]
            rows.append(tuple(row))
        return Table(f"Loss on every band, ▸ = of interest: {self.state}", tuple(headings), tuple(rows))

    def misleading(self) -> tuple[str, ...]:
        """Return a sentence for each cable whose loss the square root of frequency gets wrong by more than a tenth."""
        here = self.names.index(self.band)
        return tuple(self._misled(one, here) for one in self.ordered if np.any(one.misled))

    def _misled(self, one: CableLoss, here: int) -> str:
        """Speak of the band of interest, or of the lowest on which the rule misleads."""
        at = here if one.misled[here] else int(np.argmax(one.misled))
        least, typical, greatest = (part.m_as("dB")[at] for part in one.matched)
        root = one.by_root.m_as("dB")[at]
        spread = f" ({_decibel(least)} to {_decibel(greatest)} over the known claddings)" if least < greatest else ""
        where = [name for name, misled in zip(self.names, one.misled, strict=True) if misled]
        return (
            f"{one.cable.name}: the square root of frequency from {one.rule.origin} says {_decibel(root)} dB at "
            f"{self.frequency.m_as('MHz')[at]:.3f} MHz; the model says {_decibel(typical)} dB{spread}, "
            f"{_times(typical / root)}. It misleads by more than a tenth on {_listed(where)}."
        )

    def notes(self) -> tuple[str, ...]:
        """Return what else has to be known to trust the figures: estimates, and points that are not followed."""
        return tuple(note for one in self.ordered for note in _notes(one.cable))


def _notes(cable: Cable) -> Iterator[str]:
    if cable.estimated_below is not None:
        yield f"{cable.name}: known by a table alone; below {cable.estimated_below.m_as('MHz'):g} MHz an estimate."
    for point in cable.record.attenuation if cable.record else ():
        if point.disputed:
            yield (
                f"{cable.name}: the {_worded(point.status)} at {point.frequency.m_as('MHz'):g} MHz is not followed: "
                f"{point.disputed.rstrip('.')}."
            )


def compare_losses(cables: Sequence[Cable], length: Any, load: Any, band_of_interest: str = "160 m") -> LossComparison:
    """Return what one to six cables lose on every band.

    Parameters
    ----------
    cables
        One to six different cables.
    length
        One length above zero.
    load
        One impedance with some resistance, the same at every frequency.
    band_of_interest
        Name of the band that orders the tables.

    Raises
    ------
    InputError
        On no cable, more than six or one twice, a length that is not above zero, a load that takes no power, or a
        band that is not known.

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
    length, load, frequency = Quantity(metres, "m"), Quantity(ohms, "ohm"), Quantity(hertz, "Hz")
    chosen = tuple(_cable_loss(cable, length, load, frequency) for cable in cables)
    return LossComparison(chosen, length, load, band_of_interest, names, frequency)


def _checked(cables: Sequence[Cable], length: Any, load: Any) -> tuple[float, complex]:
    names = [cable.name for cable in cables]
    if not names:
        raise InputError("none is chosen", where="cables", remedy="choose one to six")
    if len(names) > MOST_CABLES:
        raise InputError(
            f"{len(names)} are chosen, but six at most can be told apart", where="cables", remedy="leave some out"
        )
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise InputError(f"{twice[0]} is chosen twice", where="cables", remedy="choose it once")
    metres, ohms = positive(length, "m", "length"), magnitude(load, "ohm", "load")
    if np.ndim(metres) or np.ndim(ohms):
        raise InputError(
            "cables are compared for one length and one load", where="length", remedy="give a single value of each"
        )
    return float(metres), complex(ohms)


def _cable_loss(cable: Cable, length: Any, load: Any, frequency: Any) -> CableLoss:
    matched, rule = matched_range(cable, length, frequency), root_rule(cable)
    total, by_root = total_loss(cable, length, frequency, load), rule.at(length, frequency)
    root, typical = by_root.m_as("dB"), matched.typical.m_as("dB")
    # a maximum that is merely generous is not the rule's fault, so the rule must be wrong from the model's own
    # loss as well as from the point; what the sheet cannot print misleads nobody
    misled = np.abs(typical - root) > np.maximum(MISLEADS * root, _PRINTED_DB)
    misled &= np.abs(typical - rule.share * root) > MISLEADS * rule.share * root
    return CableLoss(cable, matched, total, rule, by_root, misled)


def _matched(one: CableLoss, here: int, frequency: Any) -> str:
    least, typical, greatest = (part.m_as("dB")[here] for part in one.matched)
    if _decibel(least) != _decibel(greatest):
        return f"{_decibel(typical)} ({_decibel(least)} to {_decibel(greatest)})"
    limit = one.cable.estimated_below
    estimated = limit is not None and frequency.m_as("Hz")[here] < limit.m_as("Hz")
    return f"{_decibel(typical)} (estimated)" if estimated else _decibel(typical)


def _decibel(value: float) -> str:
    """Write a plain loss [dB] to the hundredth, a small one to the thousandth."""
    return f"{value:.2f}" if value >= 0.0995 else f"{value:.3f}"


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times as much" if ratio >= 1.5 else f"{abs(ratio - 1):.0%} {'more' if ratio > 1 else 'less'}"


def _listed(words: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


def load_text(load: Any) -> str:
    """Write an impedance as "75 ohm" or "75 - 40j ohm"."""
    ohms = complex(load.m_as("ohm"))
    reactance = f" {'-' if ohms.imag < 0 else '+'} {abs(ohms.imag):g}j" if ohms.imag else ""
    return f"{ohms.real:g}{reactance} ohm"
