"""From the vertical to the receiver: front end, noise outside, receiver, own transmitters, feed, prices and reels."""

import math
from typing import Annotated, Any

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from workbook.chain.long_runs import DcSupply
from workbook.checks import one_of, whole_number
from workbook.design.directions import Name
from workbook.errors import InputError
from workbook.formatting import FOOT, LengthUnits
from workbook.formulas.lines import C
from workbook.receive.dc_feed import THICKEST, THINNEST, wire_resistance
from workbook.receive.front_end import FrontEnd
from workbook.receive.noise import (
    DEFAULT_ENVIRONMENT,
    MAN_MADE,
    Stage,
    combined_noise,
    external_noise,
    galactic_noise,
    passive_stage,
)
from workbook.receive.transmitters import Transmitter
from workbook.receive.vertical import short_vertical
from workbook.schema import (
    Current,
    FieldStrength,
    Frequency,
    Gain,
    Impedance,
    Inductance,
    Length,
    Loss,
    NoiseCurrent,
    NoiseFigure,
    NoiseVoltage,
    Power,
    StrayCapacitance,
    Strict,
    Voltage,
    number,
)
from workbook.units import Quantity

Environment = Annotated[str, BeforeValidator(lambda value: one_of(value, MAN_MADE, "value"))]
Gauge = Annotated[int, BeforeValidator(lambda value: whole_number(value, "value", THICKEST, THINNEST))]


class EnvironmentTable(Strict):
    """Noise and signals outside, and the margin wanted over the noise of everything inside."""

    noise: Environment = DEFAULT_ENVIRONMENT
    """Class of man-made noise by Recommendation ITU-R P.372: "city", "residential", "rural" or "quiet rural"."""
    critical_frequency: Frequency | None = None
    """Critical frequency of the ionosphere, above which galactic noise is added; leave it out for none."""
    entered: dict[Name, Gain] = Field(default_factory=dict, examples=['{ "160 m" = "65 dB" }'])
    """External noise Fa by band instead of the class, such as atmospheric noise, which rules the low bands at night."""
    source: Name | None = Field(default=None, examples=['"measured in January at night"'])
    """Where the entered noise is from; goes with entered."""
    margin: Loss = Quantity(10.0, "dB")
    """Wanted margin of external noise over all internal noise at the receiver."""
    strong_signal: FieldStrength | None = None
    """Field strength of the strongest signal to expect, for its level at amplifier and receiver."""

    @model_validator(mode="after")
    def _source(self) -> "EnvironmentTable":
        if bool(self.entered) != (self.source is not None):
            missing = "source" if self.entered else "entered"
            remedy = 'write source = "measured at night"' if self.entered else 'write entered = { "160 m" = "65 dB" }'
            raise InputError("entered and source go together", where=missing, remedy=remedy)
        return self

    def external(self, band: str, hertz: float) -> Quantity:
        """Return the external noise Fa of a band [dB]."""
        if band in self.entered:
            return self.entered[band]
        frequency = Quantity(hertz, "Hz")
        level = external_noise(frequency, self.noise)
        if self.critical_frequency is None:
            return level
        return combined_noise([level, galactic_noise(frequency, self.critical_frequency)])

    def origin(self, band: str) -> str:
        """Say where the noise level of a band is from."""
        return str(self.source) if band in self.entered else f"ITU-R P.372, {self.noise}"


class FrontEndTable(Strict):
    """The vertical with its chokes and buffer, alike at every element."""

    height: Length = Field(examples=['"7 m"'])
    """Height of the vertical."""
    diameter: Length = Field(examples=['"25 mm"'])
    """Diameter of the vertical."""
    choke_inductance: Inductance = Quantity(0.0, "uH")
    """Inductance of all chokes in series."""
    choke_q: Annotated[float, number(0.01, 1e9, "60")] | None = None
    """Reactance over series resistance of the chokes; without loss unless given."""
    choke_capacitance: StrayCapacitance = Quantity(0.0, "pF")
    """Self-capacitance of all chokes in series."""
    choke_tolerance: Annotated[float, number(0, 0.99, "0.05")] = 0.0
    """Tolerance of the inductance from element to element, 0.05 for 5 %."""
    input_resistance: Impedance = Quantity(1.0, "Mohm")
    """Input resistance of the buffer."""
    input_capacitance: StrayCapacitance = Quantity(15.0, "pF")
    """Input capacitance of the buffer, with its wiring."""
    voltage_gain: Gain = Quantity(0.0, "dB")
    """Voltage gain of the buffer without load."""
    output_resistance: Impedance = Quantity(75.0, "ohm")
    """Output resistance of the buffer."""
    noise_voltage: NoiseVoltage = Quantity(5.0, "nV")
    """Noise voltage of the buffer at its input in 1 Hz, "5 nV" where a data sheet prints 5 nV per root hertz."""
    noise_current: NoiseCurrent = Quantity(0.0, "pA")
    """Noise current of the buffer at its input in 1 Hz."""
    greatest_voltage: Voltage | None = None
    """Greatest voltage (rms) that the buffer's input survives, to judge own transmitters by."""

    def front_end(self) -> FrontEnd:
        """Return the front end of one element."""
        return FrontEnd(
            short_vertical(self.height, self.diameter),
            self.input_resistance,
            self.input_capacitance,
            self.choke_inductance,
            self.choke_q,
            self.choke_capacitance,
        )

    @model_validator(mode="after")
    def _whole(self) -> "FrontEndTable":
        self.front_end()
        return self

    def stage(self, hertz: float) -> Stage:
        """Return the element as a stage at a frequency [Hz]."""
        return self.front_end().stage(
            Quantity(hertz, "Hz"), self.voltage_gain, self.output_resistance, self.noise_voltage, self.noise_current
        )


class ReceiverTable(Strict):
    """What follows the elements: losses of the hub, an amplifier behind it, the receiver."""

    noise_figure: NoiseFigure = Quantity(12.0, "dB")
    """Noise figure of the receiver."""
    hub_loss: NoiseFigure = Quantity(0.5, "dB")
    """Loss of combiners and switches in the hub, beside what dividing among the elements takes."""
    amplifier_gain: Gain | None = None
    """Gain of an amplifier between hub and receiver run; leave it out for none."""
    amplifier_noise_figure: NoiseFigure = Quantity(5.0, "dB")
    """Noise figure of that amplifier."""

    def before(self, elements: Any) -> tuple[Stage, ...]:
        """Return the stages from the hub to the receiver run, with so many elements on."""
        # a combiner without loss hands on the sum of N waves divided by the root of N, and adds no noise of its own
        combiner = Stage("combiner", combiner_gain(elements), Quantity(0.0, "dB"))
        hub = passive_stage("hub", self.hub_loss)
        if self.amplifier_gain is None:
            return combiner, hub
        return combiner, hub, Stage("amplifier", self.amplifier_gain, self.amplifier_noise_figure)

    def receiver(self) -> Stage:
        """Return the receiver."""
        return Stage("receiver", Quantity(0.0, "dB"), self.noise_figure)


def combiner_gain(elements: Any) -> Quantity:
    """Return the gain of a combiner of so many equal inputs [dB], voltages counted as in an array's weights."""
    return Quantity(-10 * np.log10(elements), "dB")


class TransmitterTable(Strict):
    """A transmitter of the station itself near the array."""

    name: Name = Field(examples=['"40 m, 400 W"'])
    """What it is, such as its band and power."""
    power: Power = Field(examples=['"400 W"'])
    """Power radiated."""
    distance: Length = Field(examples=['"100 m"'])
    """Distance from its antenna to the nearest element."""
    frequency: Frequency = Field(examples=['"7.1 MHz"'])
    """Frequency."""

    def transmitter(self) -> Transmitter:
        """Return it for `transmitter_levels`."""
        return Transmitter(self.name, self.power, self.distance, self.frequency)


class FeedTable(Strict):
    """Direct current to the front ends, from the receiver's end."""

    supply: Voltage = Field(examples=['"13.8 V"'])
    """Voltage of the supply."""
    least_voltage: Voltage = Field(examples=['"10 V"'])
    """Least voltage that a front end needs."""
    current: Current = Field(examples=['"30 mA"'])
    """Current of one front end."""
    pair_gauge: Gauge | None = Field(default=None, examples=["20"])
    """American wire gauge of a separate copper pair; without it the coax carries the feed. The pair is common practice
    (no published source), since moisture in a joint that carries direct current makes noise."""

    @model_validator(mode="after")
    def _can_be_met(self) -> "FeedTable":
        if self.supply <= self.least_voltage:
            raise InputError(
                f"no wire brings {self.least_voltage:~P} to a front end from {self.supply:~P}",
                where="supply",
                remedy=f"take a supply above {self.least_voltage:~P}",
            )
        return self

    def dc_supply(self) -> DcSupply:
        """Return it as a supply for runs."""
        pair = None if self.pair_gauge is None else 2 * wire_resistance(self.pair_gauge)
        return DcSupply(self.supply, self.least_voltage, self.current, pair)


class Price(Strict):
    """What a length of cable costs."""

    price: Annotated[float, number(0, 1e9, "95")] = Field(examples=["95"])
    """Price in your own money."""
    per: Length = Quantity(1.0, "m")
    """Length that it buys, such as "305 m" for a reel."""

    @property
    def per_metre(self) -> float:
        """Price per metre."""
        return self.price / float(self.per.m_as("m"))


USUAL_HEIGHT_M, USUAL_WAVES = 7.0, 0.2
"""Height of a vertical where the design says none: so many metres, or wavelengths on the highest band if that is less.
"""


def usual_front_end(highest_hz: float, units: LengthUnits) -> dict[tuple[str, ...], Any]:
    """Return keys of a front end as many are built, for a design that says none.

    A 7 m vertical with two chokes of 100 uH before a high-impedance buffer is common practice, no published source.

    Parameters
    ----------
    highest_hz
        Frequency [Hz] of the highest band.
    units
        System in which its lengths are round.
    """
    height = min(USUAL_HEIGHT_M, USUAL_WAVES * C / highest_hz)
    # 7 m are 22.97 ft, which is built as 23
    round_height = units.joined(f"{math.floor(10 * height) / 10:g} m", f"{math.floor(height / FOOT + 0.05):g} ft")
    return {
        ("front_end", "height"): round_height,
        ("front_end", "diameter"): units.joined("25 mm", "1 in"),
        ("front_end", "choke_inductance"): "200 uH",
        ("front_end", "choke_q"): 60,
        ("front_end", "choke_capacitance"): "2 pF",
        ("front_end", "choke_tolerance"): 0.1,
        ("front_end", "greatest_voltage"): "5 V",
    }
