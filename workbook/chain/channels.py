"""Channels from an element to the hub's port, each element output, run, delay line and port in a row.

They are two-ports that each have their own complex impedance. A combiner that sums equal delays before the lines is
taken as transparent, unless a summing stage keeps both sides apart: then the runs end in an impedance like the port's,
and the line starts again from the stage.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from workbook.chain.mismatch import end_impedance
from workbook.checks import check_broadcast, instance, not_negative, whole_number
from workbook.errors import InputError, shown
from workbook.formulas import terminated
from workbook.line.cable import Cable, check_cable
from workbook.units import ComplexArray, Floats, Impedance, Length, Time, with_unit

MOST_PIECES = 1000
"""More pieces than this in one line are a slip."""


@dataclass(frozen=True, eq=False)
class Channel:
    """One element's way to its port: output impedance, run, delay line, port impedance.

    Impedances and lengths may be arrays that go with the frequencies.

    Parameters
    ----------
    source
        Output impedance of the element.
    run, run_length
        Cable from the element to the hub.
    line, line_length
        Delay line in the hub; None = no line.
    port
        Impedance of the port.
    connector_delay
        Delay of one connector on the delay line, two for each of its pieces; it counts as cable of that delay.
    pieces
        Pieces of cable that make up the delay line.
    summing
        Impedance of a stage that drives the line, where the run ends before it in an impedance like the port's;
        None = run and line are one cascade.
    run_connector_delay
        Delay of one connector on the run, which has two.

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

    source: Impedance
    run: Cable
    run_length: Length
    line: Cable | None
    line_length: Length | None
    port: Impedance
    connector_delay: Time = "0 ns"
    pieces: int = 1
    summing: Impedance | None = None
    run_connector_delay: Time = "0 ns"

    def __post_init__(self) -> None:
        """Check once, so that no figure has to."""
        check_cable(self.run, "run")
        if self.line is None and self.line_length is not None:
            raise InputError(
                "its length came without a cable", where="line", remedy="give the cable too, or no line_length"
            )
        if self.line is not None and check_cable(self.line, "line") and self.line_length is None:
            raise InputError("the line came without its length", where="line_length", remedy="write it like '26.9 m'")
        whole_number(self.pieces, "pieces", 1, MOST_PIECES)
        check_broadcast(*self.plain.given)

    @cached_property
    def plain(self) -> "PlainChannel":
        """The channel on plain numbers: units come off once, so that a moved slider does not pay for them again."""
        return PlainChannel(
            source=end_impedance(self.source, "source"),
            run_length=not_negative(self.run_length, "m", "run_length"),
            line_length=0.0 if self.line is None else not_negative(self.line_length, "m", "line_length"),
            port=end_impedance(self.port, "port"),
            connectors=2 * int(self.pieces) * not_negative(self.connector_delay, "s", "connector_delay"),
            summing=None if self.summing is None else end_impedance(self.summing, "summing"),
            run_connectors=2 * not_negative(self.run_connector_delay, "s", "run_connector_delay"),
        )


class PlainChannel(NamedTuple):
    """A channel's numbers [ohm, m, s]; the delays are those of all connectors on the line and on the run."""

    source: Floats
    run_length: Floats
    line_length: Floats
    port: Floats
    connectors: Floats
    summing: Floats | None
    run_connectors: Floats

    @property
    def given(self) -> tuple[Floats, ...]:
        """The numbers that there are."""
        return tuple(part for part in self if part is not None)


def delayed_channels(
    direct: Channel, line: Cable, line_lengths: Length, pieces: int | Sequence[int] = 1
) -> tuple[Channel, ...]:
    """Return channels that are equal but for their delay line.

    Parameters
    ----------
    direct
        The channel without a delay line.
    line
        Cable of the delay lines.
    line_lengths
        Length of each channel's line, of all its pieces together; 0 m needs no line.
    pieces
        Number of pieces of each line, one number for all or one for each: in a ladder the n-th tap has n.

    Returns
    -------
    a channel for each length

    Raises
    ------
    InputError
        When a length is negative, or the counts of lengths and pieces differ.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> from workbook.units import Quantity
    >>> direct = Channel("75 ohm", cable("series-6-copper"), "30 m", None, None, "75 ohm")
    >>> [one.line is None for one in delayed_channels(direct, cable("series-6-copper"), Quantity([0, 8.9], "m"))]
    [True, False]
    """
    instance(direct, Channel, "direct", "write wb.Channel(...) without a line")
    metres = np.atleast_1d(not_negative(line_lengths, "m", "line_lengths"))
    if metres.ndim > 1:
        raise InputError("got a table of lengths", where="line_lengths", wanted="one length for each channel")
    several = isinstance(pieces, (list, tuple)) or np.ndim(pieces) == 1
    counts: list[Any] = list(pieces) if several else [pieces] * metres.size  # type: ignore[arg-type]
    if len(counts) != metres.size:
        raise InputError(
            f"{len(counts)} came for {metres.size} lines", where="pieces", remedy="give one number for each line"
        )
    bare = replace(direct, line=None, line_length=None, pieces=1)
    check_cable(line, "line")
    return tuple(
        replace(bare, line=line, line_length=with_unit(length, "m"), pieces=count) if length > 0 else bare
        for length, count in zip(metres, counts, strict=True)
    )


# --- on plain numbers -------------------------------------------------------------------------------------


class ChannelArrays(NamedTuple):
    """Channels on plain numbers, stacked: each array (channels, ...) in SI; `run` and `line` as in `transfer`.

    `run` and `line` hold the whole lengths with their connectors, `connectors` the length of cable [m] they count as.
    """

    source: Floats
    run: tuple[ComplexArray, ComplexArray, Floats]
    line: tuple[ComplexArray, ComplexArray, Floats]
    port: Floats
    summing: Floats | None
    connectors: Floats

    def response(self) -> ComplexArray:
        """Return the voltage on each port over the element's open voltage (channels, ...)."""
        if self.summing is None:
            return terminated.transfer((self.run, self.line), self.source, self.port)
        to_stage = terminated.transfer((self.run,), self.source, self.port)
        return to_stage * terminated.transfer((self.line,), self.summing, self.port)


def channel_arrays(channels: Sequence[Channel], hertz: Floats) -> ChannelArrays:
    """Return channels on plain numbers at frequencies [Hz]; line constants are computed once for each cable."""
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
    given = [part for one in ends for part in one.given]
    check_broadcast(hertz, *given)
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
    shape = np.broadcast_shapes(np.shape(hertz), *(np.shape(part) for part in given))

    def stacked(parts: Sequence[Any]) -> Any:
        return np.stack([np.broadcast_to(part, shape) for part in parts])

    return ChannelArrays(
        source=stacked([one.source for one in ends]),
        run=(stacked([g for g, _ in runs]), stacked([z for _, z in runs]), stacked(to_hub)),
        line=(stacked([g for g, _ in lines]), stacked([z for _, z in lines]), stacked(whole)),
        port=stacked([one.port for one in ends]),
        summing=stacked([one.summing for one in ends]) if all(staged) else None,
        connectors=stacked(extra),
    )


def checked_channels(channels: Sequence[Channel]) -> tuple[Channel, ...]:
    """Return the channels, at least one."""
    listed = tuple(channels) if isinstance(channels, (list, tuple)) else (channels,)
    wrong = [one for one in listed if not isinstance(one, Channel)]
    if wrong or not listed:
        what = shown(wrong[0]) if wrong else "an empty list"
        raise InputError(
            f"got {what}",
            where="channels",
            wanted="a list of channels",
            remedy="give one wb.Channel for each element",
        )
    return listed


def checked_response(response: ComplexArray) -> ComplexArray:
    """Return a response, refusing lines so long that it vanishes in the numbers."""
    if np.any(response == 0) or not np.all(np.isfinite(response)):
        raise InputError(
            "nothing arrives through so long a cable", where="line_length, run_length", remedy="check the units"
        )
    return response
