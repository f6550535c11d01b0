"""Kinds of fault that are known: a wrong velocity factor or length, swapped lines, a dead element, a moved stake.

Each is a small frozen description; `wb.fault_report` applies a list of them to an array in order. Elements are named
by their index, from 0, as in `delays`; an element's number on the plan is one more.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from workbook.chain.channel_errors import channel_errors
from workbook.chain.channels import Channel
from workbook.checks import magnitude, not_negative, plain_number, real, single, whole_number
from workbook.errors import InputError, shown
from workbook.formulas.lines import C
from workbook.line.cable import Cable
from workbook.tolerance.phase import velocity_at
from workbook.units import NEPER_IN_DB, Angle, ComplexArray, FloatArray, Floats, Gain, IntArray, Length, Quantity, Time

Elements = Sequence[int] | None
"""Indices of elements, from 0; None is every element that the fault can concern."""


@dataclass(frozen=True, eq=False)
class Channels:
    """Positions and channels of an array, with the faults so far, on plain numbers.

    `metres` (N, 2); `line_delay` of the delay lines and `other_delay` of anything else [s]; `gain` complex (N,).
    """

    hertz: float
    metres: FloatArray
    line_delay: FloatArray
    other_delay: FloatArray
    gain: ComplexArray

    @property
    def count(self) -> int:
        """How many elements."""
        return len(self.metres)

    def chosen(self, elements: Elements, lines: bool = False) -> IntArray:
        """Return indices of elements after checking them; None chooses all, or all that have a delay line."""
        if elements is None:
            return np.flatnonzero(self.line_delay > 0) if lines else np.arange(self.count)
        if not isinstance(elements, (list, tuple)):
            raise InputError(f"got {shown(elements)}", where="elements", wanted="a tuple of indices from 0")
        found = np.array([whole_number(each, "elements", 0, self.count - 1) for each in elements], dtype=int)
        if lines and np.any(self.line_delay[found] == 0):
            bare = int(found[self.line_delay[found] == 0][0])
            raise InputError(f"element {bare} has no delay line", where="elements", remedy="name elements with a delay")
        return found

    def index(self, element: int) -> int:
        """Return one element's index after checking it."""
        return whole_number(element, "element", 0, self.count - 1)

    def with_delay(self, elements: IntArray, seconds: Floats) -> "Channels":
        """Return the channels with some elements delayed more [s]."""
        later = self.other_delay.copy()
        later[elements] += seconds
        return replace(self, other_delay=later)

    def with_gain(self, elements: IntArray | int | slice, factor: complex | ComplexArray) -> "Channels":
        """Return the channels with the gain of some elements multiplied by a factor."""
        gain = self.gain.copy()
        gain[elements] *= factor
        return replace(self, gain=gain)


@dataclass(frozen=True)
class WrongVelocityFactor:
    """Delay lines whose velocity factor is not the one they were cut with.

    Parameters
    ----------
    assumed, true
        Velocity factors: plain numbers, or cables evaluated at the frequency.
    elements
        Elements whose lines come from that reel; None is all lines.
    """

    assumed: float | Cable
    true: float | Cable
    elements: Elements = None

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        wanted = velocity_at(self.assumed, channels.hertz, "assumed")
        got = velocity_at(self.true, channels.hertz, "true")
        lines = channels.chosen(self.elements, lines=True)
        delay = channels.line_delay.copy()
        delay[lines] *= wanted / got
        return replace(channels, line_delay=delay)


@dataclass(frozen=True)
class WrongRunVelocity:
    """Element runs whose velocity factor is not the assumed one; alike in all runs it does no harm.

    Parameters
    ----------
    length
        Length of each run.
    assumed, true
        Velocity factors: plain numbers, or cables evaluated at the frequency.
    elements
        Elements whose runs come from that reel; None is all.
    """

    length: Length
    assumed: float | Cable
    true: float | Cable
    elements: Elements = None

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        metres = single(not_negative(self.length, "m", "length"), "length")
        wanted = velocity_at(self.assumed, channels.hertz, "assumed")
        got = velocity_at(self.true, channels.hertz, "true")
        return channels.with_delay(channels.chosen(self.elements), metres / C * (1 / got - 1 / wanted))


@dataclass(frozen=True)
class WrongLength:
    """Lines or runs that are longer than they should be, or shorter where the excess is negative.

    Parameters
    ----------
    excess
        How much too long.
    velocity_factor
        Of the cable: a plain number or a `Cable`.
    elements
        Elements concerned; None is all.
    """

    excess: Length
    velocity_factor: float | Cable
    elements: Elements = None

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        metres = single(real(self.excess, "m", "excess"), "excess")
        v = velocity_at(self.velocity_factor, channels.hertz, "velocity_factor")
        return channels.with_delay(channels.chosen(self.elements), metres / (v * C))


@dataclass(frozen=True)
class MovedElement:
    """An element that stands elsewhere than planned.

    Parameters
    ----------
    element
        Its index, from 0.
    east, north
        How far it was moved.
    """

    element: int
    east: Length
    north: Length

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        metres = channels.metres.copy()
        off = [single(real(each, "m", name), name) for each, name in ((self.east, "east"), (self.north, "north"))]
        metres[channels.index(self.element)] += off
        return replace(channels, metres=metres)


@dataclass(frozen=True)
class SwappedLines:
    """Two elements connected to each other's delay lines.

    Parameters
    ----------
    first, second
        Their indices, from 0.
    """

    first: int
    second: int

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        one, other = channels.index(self.first), channels.index(self.second)
        delay = channels.line_delay.copy()
        delay[[one, other]] = delay[[other, one]]
        return replace(channels, line_delay=delay)


@dataclass(frozen=True)
class DeadElement:
    """An element from which nothing arrives.

    Parameters
    ----------
    element
        Its index, from 0.
    """

    element: int

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        return channels.with_gain(channels.index(self.element), 0.0)


@dataclass(frozen=True)
class ReversedElement:
    """An element connected with the wrong polarity.

    Parameters
    ----------
    element
        Its index, from 0.
    """

    element: int

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        return channels.with_gain(channels.index(self.element), -1.0)


@dataclass(frozen=True)
class TemperatureDifference:
    """Cable that is warmer than the rest, such as in the sun while the others are buried.

    Parameters
    ----------
    kelvin
        How much warmer, a plain number of kelvin; negative is colder.
    per_kelvin
        Relative change of the cable's delay for one kelvin, a plain number from its data sheet.
    delay
        Delay of the cable concerned; None is each element's own delay line.
    elements
        Elements concerned; None is all, or all with a delay line.
    """

    kelvin: float
    per_kelvin: float
    delay: Time | None = None
    elements: Elements = None

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        change = plain_number(self.kelvin, "kelvin", -200.0, 200.0, "25")
        change *= plain_number(self.per_kelvin, "per_kelvin", -0.01, 0.01, "5e-5")
        some = channels.chosen(self.elements, lines=self.delay is None)
        if self.delay is None:
            return channels.with_delay(some, channels.line_delay[some] * change)
        return channels.with_delay(some, single(not_negative(self.delay, "s", "delay"), "delay") * change)


@dataclass(frozen=True)
class ChannelError:
    """Channels whose phase and level are known to be off, such as by a measurement.

    Parameters
    ----------
    lag
        How much later than it should, an angle; one value, or one for each of `elements`.
    level
        Level beside what it should be, in dB, negative is weaker.
    elements
        Elements concerned; None is all.
    """

    lag: Angle
    level: Gain
    elements: Elements = None

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        late, level = real(self.lag, "radian", "lag"), magnitude(self.level, "dB", "level") / NEPER_IN_DB
        some = channels.chosen(self.elements)
        for value, name in ((late, "lag"), (level, "level")):
            if np.ndim(value) and np.shape(value) != some.shape:
                raise InputError(f"{np.size(value)} came for {some.size} elements", where=name, remedy="give one each")
        return channels.with_gain(some, np.exp(level - 1j * late))


@dataclass(frozen=True, eq=False)
class WrongTerminations:
    """Channels that end in other impedances than they should: mismatch shifts phase and level of each.

    Parameters
    ----------
    channels
        The array's channels as built, a `wb.Channel` for each element.
    delays
        What each should wait (N,); one must be 0.
    """

    channels: Sequence[Channel]
    delays: Time

    def applied(self, channels: Channels) -> Channels:
        """Return the channels with this fault."""
        early, level = channel_errors(self.channels, self.delays, Quantity(channels.hertz, "Hz"))
        if np.shape(early.magnitude) != (channels.count,):
            raise InputError(
                f"{np.size(early.magnitude)} came for {channels.count} elements",
                where="channels",
                remedy="give one an element",
            )
        return channels.with_gain(slice(None), np.exp(level.m_as("dB") / NEPER_IN_DB + 1j * early.m_as("radian")))


Fault = (
    WrongVelocityFactor
    | WrongRunVelocity
    | WrongLength
    | MovedElement
    | SwappedLines
    | DeadElement
    | ReversedElement
    | TemperatureDifference
    | ChannelError
    | WrongTerminations
)
"""Any of the faults above."""
