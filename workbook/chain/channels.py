"""Channels from an element to the hub's port, and how far each is from the phase and level it should have.

A channel is element output, run, delay line and port, as two-ports that each have their own complex impedance.
Where a hub sums equal delays first (`joined`, `ladder`), its combiner is taken as transparent, unless a summing stage
keeps both sides apart: then the runs end in an impedance like the port's, and the line starts anew from the stage.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from workbook.chain.transfer import end_impedance, the_cable
from workbook.checks import check_broadcast, not_negative, one_of, positive
from workbook.errors import InputError, shown
from workbook.formulas import terminated
from workbook.line.cable import Cable
from workbook.units import scalar, with_unit

KINDS = ("joined", "ports", "ladder")
"""Kinds of hub, as in the design file."""


@dataclass(frozen=True, eq=False)
class Channel:
    """One element's way to its port: output impedance, run, delay line (None where it needs none), port impedance.

    Impedances and lengths may be arrays that go with the frequencies. `connector_delay` is that of one connector on
    the delay line, two for each of its `pieces`, and `run_connector_delay` of one on the run; they count as cable of
    that delay. `summing` is the impedance of a
    stage that drives the line, where the run ends before it in an impedance like the port's; None: run and line are
    one cascade.

    Raises
    ------
    InputError
        When an end is open or has no resistance, a length is negative, or a line comes without its length.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> Channel("75 ohm", cable("series-6-copper"), "30 m", None, None, "75 ohm").line is None
    True
    """

    source: Any
    run: Cable
    run_length: Any
    line: Cable | None
    line_length: Any
    port: Any
    connector_delay: Any = "0 ns"
    pieces: int = 1
    summing: Any = None
    run_connector_delay: Any = "0 ns"

    def __post_init__(self) -> None:
        """Check at birth, so that no figure has to."""
        the_cable(self.run, "run")
        if self.line is None and self.line_length is not None:
            raise InputError(
                "its length came without a cable", where="line", remedy="give the cable too, or no line_length"
            )
        if self.line is not None and the_cable(self.line, "line") and self.line_length is None:
            raise InputError("the line came without its length", where="line_length", remedy="write it like '26.9 m'")
        if isinstance(self.pieces, bool) or not isinstance(self.pieces, (int, np.integer)) or self.pieces < 1:
            raise InputError(
                f"{shown(self.pieces)} is no number of pieces", where="pieces", remedy="give a whole number from 1"
            )
        check_broadcast(*(part for part in self.plain if part is not None))

    @cached_property
    def plain(self) -> "_Ends":
        """The channel on plain numbers: units come off once, so that a moved slider does not pay for them again."""
        return _Ends(
            source=end_impedance(self.source, "source"),
            run_length=not_negative(self.run_length, "m", "run_length"),
            line_length=0.0 if self.line is None else not_negative(self.line_length, "m", "line_length"),
            port=end_impedance(self.port, "port"),
            connectors=2 * int(self.pieces) * not_negative(self.connector_delay, "s", "connector_delay"),
            summing=None if self.summing is None else end_impedance(self.summing, "summing"),
            run_connectors=2 * not_negative(self.run_connector_delay, "s", "run_connector_delay"),
        )


class _Ends(NamedTuple):
    """A channel's numbers [ohm, m, s]."""

    source: Any
    run_length: Any
    line_length: Any
    port: Any
    connectors: Any
    summing: Any
    run_connectors: Any


class Wired(NamedTuple):
    """Channels on plain numbers, stacked: each array (channels, ...) in SI; `run` and `line` as in `transfer`.

    `run` and `line` hold the whole lengths with their connectors, `connectors` the length of cable [m] they count as.
    """

    source: Any
    run: tuple[Any, Any, Any]
    line: tuple[Any, Any, Any]
    port: Any
    summing: Any
    connectors: Any

    def response(self) -> Any:
        """Return the voltage on each port over the element's open voltage, complex (channels, ...)."""
        if self.summing is None:
            return terminated.transfer((self.run, self.line), self.source, self.port)
        to_stage = terminated.transfer((self.run,), self.source, self.port)
        return to_stage * terminated.transfer((self.line,), self.summing, self.port)


def wired(channels: Sequence[Channel], hertz: Any) -> Wired:
    """Return channels on plain numbers at plain frequencies [Hz]; line constants are asked once for each cable."""
    made = {id(cable): cable for channel in channels for cable in (channel.run, channel.line) if cable is not None}
    constants = {key: cable.constants(hertz) for key, cable in made.items()}
    ends = [channel.plain for channel in channels]
    staged = [one.summing is not None for one in ends]
    if any(staged) and not all(staged):
        raise InputError(
            "a hub sums before every line or before none",
            where="summing",
            remedy="give it for all channels or for none",
        )
    check_broadcast(hertz, *(part for one in ends for part in one if part is not None))
    runs = [constants[id(channel.run)] for channel in channels]
    lines = [constants[id(channel.run if channel.line is None else channel.line)] for channel in channels]
    radians = 2 * np.pi * hertz
    extra = [
        0.0 if channel.line is None else radians * one.connectors / gamma.imag
        for channel, one, (gamma, _) in zip(channels, ends, lines, strict=True)
    ]
    whole = [one.line_length + more for one, more in zip(ends, extra, strict=True)]
    to_hub = [
        one.run_length + radians * one.run_connectors / gamma.imag for one, (gamma, _) in zip(ends, runs, strict=True)
    ]
    shape = np.broadcast_shapes(np.shape(hertz), *(np.shape(part) for one in ends for part in one if part is not None))

    def stacked(parts: Sequence[Any]) -> Any:
        return np.stack([np.broadcast_to(part, shape) for part in parts])

    return Wired(
        source=stacked([one.source for one in ends]),
        run=(stacked([g for g, _ in runs]), stacked([z for _, z in runs]), stacked(to_hub)),
        line=(stacked([g for g, _ in lines]), stacked([z for _, z in lines]), stacked(whole)),
        port=stacked([one.port for one in ends]),
        summing=stacked([one.summing for one in ends]) if all(staged) else None,
        connectors=stacked(extra),
    )


def checked_channels(channels: Sequence[Channel]) -> tuple[Channel, ...]:
    """Return the channels after checking that they are some."""
    listed = tuple(channels) if isinstance(channels, (list, tuple)) else (channels,)
    wrong = [one for one in listed if not isinstance(one, Channel)]
    if wrong or not listed:
        what = shown(wrong[0]) if wrong else "an empty list"
        raise InputError(
            f"{what} is no channel", where="channels", remedy="give a list of wb.Channel, one for each element"
        )
    return listed


def checked_delays(delays: Any, count: int) -> Any:
    """Return the delays [s], one for each channel, after checking that none is missing or negative."""
    if isinstance(delays, (list, tuple)):
        seconds = np.array([not_negative(delay, "s", "delays") for delay in delays], dtype=float)
    else:
        seconds = np.atleast_1d(not_negative(delays, "s", "delays"))
    if seconds.shape != (count,):
        raise InputError(
            f"{seconds.size} came for {count} channels", where="delays", remedy="give one for each channel"
        )
    return seconds


def checked_names(names: Sequence[Hashable], count: int, argument: str) -> list[Hashable]:
    """Return names, one for each channel."""
    listed = list(names) if isinstance(names, (list, tuple)) else [names]
    if len(listed) != count:
        raise InputError(
            f"{len(listed)} came for {count} channels", where=argument, remedy="give one name for each channel"
        )
    wrong = [name for name in listed if not isinstance(name, Hashable)]
    if wrong:
        raise InputError(f"{shown(wrong[0])} is no name", where=argument, remedy="write it like 'A'")
    return listed


def references(seconds: Any, directions: Sequence[Hashable] | None) -> Any:
    """Return for each channel the index of its direction's zero-delay channel, the first where there are several."""
    names = [None] * len(seconds) if directions is None else checked_names(directions, len(seconds), "directions")
    first: dict[Hashable, int] = {}
    for index, (name, delay) in enumerate(zip(names, seconds, strict=True)):
        if delay == 0:
            first.setdefault(name, index)
    for name in names:
        if name not in first:
            where = "" if name is None else f" in direction {shown(name)}"
            raise InputError(
                f"no channel{where} has delay 0, to which the others are compared", where="delays", remedy="give one"
            )
    return np.array([first[name] for name in names])


def arrived(response: Any) -> Any:
    """Return what arrives, refusing lines so long that it vanishes in the numbers."""
    if np.any(response == 0) or not np.all(np.isfinite(response)):
        raise InputError(
            "nothing arrives through so long a cable", where="line_length, run_length", remedy="check the units"
        )
    return response


def channel_transfers(channels: Sequence[Channel], frequency: Any) -> Any:
    """Return the voltage on each port over its element's open voltage, plain complex (channels, *frequency)."""
    listed = checked_channels(channels)
    hertz = positive(frequency, "Hz", "frequency")
    return arrived(wired(listed, hertz).response())


def channel_errors(
    channels: Sequence[Channel], delays: Any, frequency: Any, directions: Sequence[Hashable] | None = None
) -> tuple[Any, Any]:
    """Return how early and how strong each channel arrives beside what it should: (degree, dB).

    Parameters
    ----------
    channels
        One for each element.
    delays
        What each channel should wait, the least of them 0.
    frequency
        Frequency, any shape; results are (channels, *frequency).
    directions
        Where the channels belong to several directions: the name of each channel's direction, which has a
        zero-delay channel of its own.

    Returns
    -------
    (degree, dB)
        Transfer phase less that of the (first) zero-delay channel, plus 360 f tau, within ±180 degrees, positive =
        arrives early; and the transfer over the zero-delay channel's, negative = weaker.

    Raises
    ------
    InputError
        When the counts of channels and delays differ, or no channel has delay 0.
    """
    listed = checked_channels(channels)
    seconds = checked_delays(delays, len(listed))
    hertz = positive(frequency, "Hz", "frequency")
    zero = references(seconds, directions)
    ratio = relative(arrived(wired(listed, hertz).response()), zero)
    return with_unit(np.degrees(early_by(ratio, seconds, hertz)), "degree"), with_unit(
        20 * np.log10(np.abs(ratio)), "dB"
    )


def relative(response: Any, zero: Any) -> Any:
    """Return each response over that of its zero-delay channel (its index), for which it is exactly 1."""
    ratio = response / response[zero]
    ratio[zero == np.arange(len(zero))] = 1
    return ratio


def early_by(ratio: Any, seconds: Any, hertz: Any) -> Any:
    """Return by what phase [rad] responses over the zero-delay one's are early, given what they should wait [s]."""
    return np.angle(ratio * np.exp(2j * np.pi * hertz * along_channels(seconds, np.ndim(ratio))))


def along_channels(values: Any, dimensions: int) -> Any:
    """Return one value for each channel in a shape that goes with (channels, ...)."""
    return np.reshape(values, (-1, *[1] * (dimensions - 1)))


def hub_channels(
    kind: str,
    source: Any,
    run: Cable,
    run_length: Any,
    line: Cable,
    line_lengths: Any,
    port: Any,
    connector_delay: Any = "0 ns",
    summing: Any = None,
    run_connector_delay: Any = "0 ns",
) -> tuple[Channel, ...]:
    """Return equal channels that differ in their delay line only, as a kind of hub connects them.

    Parameters
    ----------
    kind
        ``"ports"`` or ``"joined"``: run and line are one cascade from the element to the port. ``"ladder"``: the same,
        the line of each tap being the pieces up to it, which the taps between do not load.
    source, run, run_length, line, port, connector_delay, run_connector_delay
        As in `Channel`.
    line_lengths
        Cable of each channel's line, of all its pieces together in a ladder; 0 m needs no line.
    summing
        What a stage of `joined` or `ladder` that keeps runs and lines apart drives the lines from; None: there is none.
    """
    metres = np.atleast_1d(not_negative(line_lengths, "m", "line_lengths"))
    if one_of(kind, KINDS, "kind") == "ports" and summing is not None:
        raise InputError("a hub of kind ports has no stage before its lines", where="summing", remedy="leave it out")
    taps = np.unique(metres[metres > 0])
    return tuple(
        Channel(
            source,
            run,
            run_length,
            line if length > 0 else None,
            with_unit(length, "m") if length > 0 else None,
            port,
            connector_delay,
            int(scalar(np.searchsorted(taps, length))) + 1 if kind == "ladder" and length > 0 else 1,
            summing,
            run_connector_delay,
        )
        for length in metres
    )
