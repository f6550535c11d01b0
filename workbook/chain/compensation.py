"""Line lengths solved again between real ends, so that on one band every channel has the phase it should."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook.chain.channel_errors import channel_errors, checked_delays, checked_names, early_by, references
from workbook.chain.channels import Channel, ChannelArrays, channel_arrays, checked_channels, checked_response
from workbook.checks import positive
from workbook.errors import InputError, shown
from workbook.units import Angle, ComplexArray, FloatArray, Frequency, Gain, Length, Time, with_unit

WORTH_DOING = 0.1
"""Change of a line [degree] on the cut band up to which compensating is not worth doing."""


@dataclass(frozen=True, eq=False)
class CompensatedLine:
    """One line with its new length.

    `length` [m] is that of the cable alone, `change` [m] what it differs from the length before and `degrees`
    [degree] what that is on the cut band, positive = longer. `least_error` and `greatest_error` [degree] are left on
    the cut band among the channels that use the line; both 0 for a line of one use.
    """

    line: Hashable
    length: Length
    change: Length
    degrees: Angle
    least_error: Angle
    greatest_error: Angle


@dataclass(frozen=True, eq=False)
class Compensated:
    """Lines in the order in which they were named, and the same channels with their new lengths."""

    lines: tuple[CompensatedLine, ...]
    channels: tuple[Channel, ...]
    delays: Time
    directions: tuple[Hashable, ...] | None

    @property
    def worth_doing(self) -> bool:
        """Whether any line moves by more than 0.1 degree on the cut band."""
        return any(abs(line.degrees.m_as("degree")) > WORTH_DOING for line in self.lines)

    @property
    def note(self) -> str:
        """Whether it is worth doing, in a sentence."""
        if self.worth_doing:
            most = max(self.lines, key=lambda line: abs(line.degrees.m_as("degree")))
            return f"Line {most.line} moves most, by {most.degrees.m_as('degree'):+.2f} degree on the cut band."
        return f"No line moves by more than {WORTH_DOING:g} degree on the cut band: not worth doing."

    def errors(self, frequency: Frequency) -> tuple[Angle, Gain]:
        """Return what the new lengths do on any band.

        Parameters
        ----------
        frequency
            Frequency, any shape.

        Returns
        -------
        phase errors [degree] and levels [dB] as those of `channel_errors`, both (channels, *frequency)

        Raises
        ------
        InputError
            When a frequency is not above zero.
        """
        return channel_errors(self.channels, self.delays, frequency, self.directions)


def compensated_lengths(
    channels: Sequence[Channel],
    delays: Time,
    frequency: Frequency,
    lines: Sequence[Hashable] | None = None,
    directions: Sequence[Hashable] | None = None,
) -> Compensated:
    """Return lengths that give every channel its phase exactly on one band, whatever its ends.

    A line used by several channels gets the length with the least worst error among them. The phase of each channel
    falls as its line grows, so the length is found by root finding on the exact transfer.

    Parameters
    ----------
    channels, delays, directions
        As in `channel_errors`; channels with delay 0 stay as they are.
    frequency
        Frequency of the cut band, one value.
    lines
        The name of each channel's line, the same name for the same line; None: each channel has its own, named by
        the number of the channel from 1.

    Returns
    -------
    the lines with their new lengths [m], and the channels with them

    Raises
    ------
    InputError
        When a channel has a delay but no line, one name stands for different lines, or no length does it.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> from workbook.units import Quantity
    >>> made_of = cable("series-6-copper")
    >>> direct = Channel("50 ohm", made_of, "30 m", None, None, "90 ohm")
    >>> delayed = Channel("50 ohm", made_of, "30 m", made_of, "9 m", "90 ohm")
    >>> compensated_lengths([direct, delayed], Quantity([0, 36], "ns"), "1.83 MHz").lines[0].length.m_as("m")
    8.732
    """
    listed = checked_channels(channels)
    seconds = checked_delays(delays, len(listed))
    hertz = positive(frequency, "Hz", "frequency")
    zero = references(seconds, directions)
    groups = _channels_by_line(listed, seconds, lines)
    parts = channel_arrays(listed, hertz)
    if parts.source.ndim > 1:
        raise InputError(
            "got several frequencies or values of an end",
            where="frequency",
            wanted="one cut band",
            remedy="give single values",
        )
    now = checked_response(parts.response())
    found = {}
    for name, members in groups.items():
        error = _error_of_length(parts, members, now[zero[members]], seconds[members], hertz)
        whole = _balanced(error, parts, members[0], float(seconds[members[0]] * 2 * np.pi * hertz), name)
        found[name] = _line(name, whole, error(whole), parts, members[0], listed)
    length_of = {index: found[name].length for name, members in groups.items() for index in members}
    changed = tuple(replace(one, line_length=length_of[i]) if i in length_of else one for i, one in enumerate(listed))
    named = None if directions is None else tuple(directions)
    return Compensated(tuple(found.values()), changed, with_unit(seconds, "s"), named)


def _channels_by_line(
    channels: Sequence[Channel], seconds: FloatArray, lines: Sequence[Hashable] | None
) -> dict[Hashable, list[int]]:
    count = len(channels)
    names = list(range(1, count + 1)) if lines is None else checked_names(lines, count, "lines")
    groups: dict[Hashable, list[int]] = {}
    for index, (name, one) in enumerate(zip(names, channels, strict=True)):
        if seconds[index] == 0:
            continue
        if one.line is None:
            raise InputError(
                f"number {index + 1} has a delay of {seconds[index] * 1e9:.4g} ns but no line",
                where="channels",
                remedy="give it a line and a length",
            )
        groups.setdefault(name, []).append(index)
    for name, members in groups.items():
        if len({_identity(channels[index]) for index in members}) > 1:
            raise InputError(
                f"{shown(name)} names lines of different cable or length",
                where="lines",
                remedy="give each its own name",
            )
    return groups


def _identity(channel: Channel) -> tuple[Any, ...]:
    plain = channel.plain
    return id(channel.line), np.asarray(plain.line_length).tobytes(), np.asarray(plain.connectors).tobytes()


def _error_of_length(
    parts: ChannelArrays, members: list[int], zero: ComplexArray, seconds: FloatArray, hertz: float
) -> Callable[[float], FloatArray]:
    """Return a function from the whole length of a line [m] to the phase errors [rad] of those that use it."""
    gamma, impedance, _ = (part[members] for part in parts.line)
    to_hub = parts.run[0][members], parts.run[1][members], parts.run[2][members]
    stage = None if parts.summing is None else parts.summing[members]
    ends = parts._replace(source=parts.source[members], port=parts.port[members], summing=stage, run=to_hub)

    def error(whole: float) -> FloatArray:
        return early_by(ends._replace(line=(gamma, impedance, whole)).response() / zero, seconds, hertz)

    return error


def _balanced(
    error: Callable[[float], FloatArray], parts: ChannelArrays, index: int, lag: float, name: Hashable
) -> float:
    """Return the whole length [m] at which the earliest and the latest user of a line are equally far off.

    The phase falls as a line grows, so the length lies within a quarter wave of that with the bare delay.
    """
    from scipy.optimize import brentq  # a slow import, which few plans need

    beta, shortest = float(parts.line[0][index].imag), float(parts.connectors[index])
    low, high = max((lag - np.pi / 2) / beta, shortest), (lag + np.pi / 2) / beta

    def unbalance(whole: float) -> float:
        errors = error(whole)
        return float(errors.max() + errors.min())

    if high <= low or unbalance(low) < 0 or unbalance(high) > 0:
        raise InputError(
            f"no length of line {shown(name)} gives its delay between these ends",
            where="lines",
            remedy="bring source and port nearer to the cable's impedance, or check the delays",
        )
    return float(brentq(unbalance, low, high, xtol=1e-12, rtol=1e-14))


def _line(
    name: Hashable, whole: float, errors: FloatArray, parts: ChannelArrays, index: int, channels: Sequence[Channel]
) -> CompensatedLine:
    length = whole - float(parts.connectors[index])
    change = length - float(channels[index].plain.line_length)
    return CompensatedLine(
        line=name,
        length=with_unit(length, "m"),
        change=with_unit(change, "m"),
        degrees=with_unit(np.degrees(change * parts.line[0][index].imag), "degree"),
        least_error=with_unit(np.degrees(errors.min()), "degree"),
        greatest_error=with_unit(np.degrees(errors.max()), "degree"),
    )
