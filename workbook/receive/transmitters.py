"""A station's own transmitters at the array: volts at the buffer, with and without chokes, against its limit."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from workbook.checks import instance, listed, positive, single
from workbook.receive.front_end import FrontEnd
from workbook.receive.vertical import transmitter_field
from workbook.units import Frequency, Length, Quantity


@dataclass(frozen=True)
class Transmitter:
    """A transmitter near the array.

    Parameters
    ----------
    name
        What it is, such as its band.
    power
        Power radiated.
    distance
        Distance from its antenna to the nearest element.
    frequency
        Frequency.

    Raises
    ------
    InputError
        When a figure is not a single value above zero.
    """

    name: str
    power: Quantity
    distance: Length
    frequency: Frequency

    def __post_init__(self) -> None:
        """Check every figure."""
        instance(self.name, str, "name", "write what it is, such as '40 m, 400 W'")
        for name, unit in (("power", "W"), ("distance", "m"), ("frequency", "Hz")):
            plain = single(positive(getattr(self, name), unit, name), name)
            object.__setattr__(self, name, Quantity(plain, unit))


@dataclass(frozen=True)
class TransmitterLevel:
    """What one transmitter does at the buffers.

    `field` at the nearest element [V/m, rms]; `voltage` at the buffer's input and `without_chokes` the same with the
    chokes left out [V, rms], None where the vertical is longer than a quarter wave; `limit` of the buffer [V, rms];
    `switch_off`: the buffers must be switched off or disconnected while it transmits; `chokes_protect`: they need not
    be, thanks to the chokes.
    """

    transmitter: Transmitter
    field: Quantity
    voltage: Quantity | None
    without_chokes: Quantity | None
    limit: Quantity

    @property
    def switch_off(self) -> bool:
        """Whether a sequencer must switch the buffers off; also where the model cannot say."""
        return self.voltage is None or bool(self.voltage > self.limit)

    @property
    def chokes_protect(self) -> bool:
        """Whether the limit is kept by the chokes alone."""
        return not self.switch_off and bool(self.without_chokes > self.limit)


def transmitter_levels(
    front_end: FrontEnd, transmitters: Iterable[Transmitter], limit: Quantity
) -> tuple[TransmitterLevel, ...]:
    """Return what each transmitter does at the buffers, against the limit of their input.

    On the bands received the chokes do not help. The figures say nothing about people near antennas: for them the
    exposure rules apply that hold where the station stands.

    Parameters
    ----------
    front_end
        The front end of one element.
    transmitters
        The transmitters.
    limit
        Greatest voltage of the buffer's input, rms.

    Returns
    -------
    tuple of TransmitterLevel
        In the order of the transmitters; voltages in V.

    Raises
    ------
    InputError
        When the limit is not a single value above zero, or the list holds anything but transmitters.

    Examples
    --------
    >>> from workbook.receive.vertical import short_vertical
    >>> front_end = FrontEnd(short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
    >>> own = [Transmitter("80 m", "400 W", "100 m", "3.65 MHz"), Transmitter("40 m", "400 W", "100 m", "7.1 MHz")]
    >>> [level.switch_off for level in transmitter_levels(front_end, own, "5 V")]
    [True, False]
    """
    instance(front_end, FrontEnd, "front_end", "make one by wb.FrontEnd(wb.short_vertical('7 m', '25 mm'), ...)")
    volts = Quantity(single(positive(limit, "V", "limit"), "limit"), "V")
    remedy = "make one by wb.Transmitter('80 m', '400 W', '100 m', '3.65 MHz')"
    rows = tuple(
        instance(one, Transmitter, "transmitters", remedy) for one in listed(transmitters, "transmitters", remedy)
    )
    bare = replace(front_end, choke_inductance=Quantity(0.0, "H"))
    return tuple(_level(front_end, bare, one, volts) for one in rows)


def _level(front_end: FrontEnd, bare: FrontEnd, one: Transmitter, limit: Quantity) -> TransmitterLevel:
    field = transmitter_field(one.power, one.distance, one.frequency)
    if one.frequency.m_as("Hz") >= front_end.vertical.quarter_wave_hertz:
        return TransmitterLevel(one, field, None, None, limit)
    voltage, without = (each.voltage(one.frequency, field) for each in (front_end, bare))
    return TransmitterLevel(one, field, voltage, without, limit)
