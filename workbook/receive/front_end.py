"""A vertical behind chokes into a buffer: response, where reception stops, and what the chokes' tolerance does."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from workbook.checks import check_broadcast, instance, not_negative, plain_number, positive, real
from workbook.errors import InputError
from workbook.formulas import front_ends
from workbook.formulas.noise import BOLTZMANN, T0
from workbook.receive.noise import Stage
from workbook.receive.vertical import ShortVertical, hertz_below_quarter_wave
from workbook.units import Angle, ComplexArray, Floats, Frequency, Gain, Impedance, Quantity, scalar, with_unit

REFERENCE_HERTZ = 1e6
THREE_DB = 10 ** (-3 / 20)
# so dense that a peak of any Q that can be built is met
_GRID = np.sort(np.append(np.geomspace(1e3, 100e6, 20_000), REFERENCE_HERTZ))


class _Circuit(NamedTuple):
    """The circuit in plain SI numbers: vertical, chokes in series, and the buffer's input across."""

    height: Floats
    vertical_farads: Floats
    ohms: Floats
    farads: Floats
    henry: Floats
    choke_farads: Floats
    loss: Floats

    def series(self, hertz: Floats) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Return the impedances of vertical, chokes and input [ohm]."""
        antenna = front_ends.vertical_impedance(self.height, self.vertical_farads, hertz)
        chokes = front_ends.choke_impedance(self.henry, self.loss, self.choke_farads, hertz)
        return antenna, chokes, front_ends.input_impedance(self.ohms, self.farads, hertz)

    def transfer(self, hertz: Floats) -> ComplexArray:
        """Return the voltage at the input over the open-circuit voltage."""
        antenna, chokes, buffer = self.series(hertz)
        return buffer / (antenna + chokes + buffer)


@dataclass(frozen=True)
class Resonance:
    """The peak of a front end's response.

    `frequency` of the greatest response [Hz]; `gain` there over the response at 1 MHz [dB]; `input_share`,
    `choke_share` and `radiation_share`: how much of the resistance that damps the circuit there is the buffer's input,
    the chokes' loss and the radiation (plain numbers, their sum is 1).
    """

    frequency: Frequency
    gain: Gain
    input_share: Floats
    choke_share: Floats
    radiation_share: Floats


@dataclass(frozen=True)
class FrontEnd:
    """A short vertical in series with chokes into a buffer's input, a resistance in parallel with a capacitance.

    Parameters
    ----------
    vertical
        The vertical, from `short_vertical`.
    input_resistance, input_capacitance
        Of the buffer; the capacitance includes that of the wiring.
    choke_inductance
        All chokes in series; 0 H for none.
    choke_q
        Reactance over series resistance of the chokes, a plain number; None for no loss.
    choke_capacitance
        Self-capacitance of all chokes in series.

    Raises
    ------
    InputError
        On a vertical of another kind, a resistance or Q that is not above zero, a negative inductance or capacitance.

    Examples
    --------
    Two chokes of 100 uH before a high-impedance buffer end reception near 4 MHz.

    >>> from workbook.receive.vertical import short_vertical
    >>> front_end = FrontEnd(short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
    >>> front_end.cutoff().m_as("MHz")
    4.12
    """

    vertical: ShortVertical
    input_resistance: Impedance
    input_capacitance: Quantity
    choke_inductance: Quantity = "0 H"
    choke_q: float | None = None
    choke_capacitance: Quantity = "0 F"

    def __post_init__(self) -> None:
        """Check every part, and keep quantities in SI units."""
        instance(self.vertical, ShortVertical, "vertical", "make one by wb.short_vertical('7 m', '25 mm')")
        kept = {
            "input_resistance": Quantity(positive(self.input_resistance, "ohm", "input_resistance"), "ohm"),
            "input_capacitance": Quantity(not_negative(self.input_capacitance, "F", "input_capacitance"), "F"),
            "choke_inductance": Quantity(not_negative(self.choke_inductance, "H", "choke_inductance"), "H"),
            "choke_capacitance": Quantity(not_negative(self.choke_capacitance, "F", "choke_capacitance"), "F"),
        }
        for name, value in kept.items():
            object.__setattr__(self, name, value)
        if self.choke_q is not None:
            object.__setattr__(self, "choke_q", plain_number(self.choke_q, "choke_q", 0.01, 1e9, "60"))
        check_broadcast(*self._circuit)

    @property
    def _circuit(self) -> _Circuit:
        return _Circuit(
            self.vertical.metres,
            self.vertical.farads,
            self.input_resistance.m_as("ohm"),
            self.input_capacitance.m_as("F"),
            self.choke_inductance.m_as("H"),
            self.choke_capacitance.m_as("F"),
            0.0 if self.choke_q is None else 1 / self.choke_q,
        )

    def _hertz(self, frequency: Frequency) -> Floats:
        hertz = hertz_below_quarter_wave(self.vertical, frequency)
        check_broadcast(hertz, *self._circuit)
        return hertz

    def transfer(self, frequency: Frequency) -> "complex | ComplexArray":
        """Return the voltage at the buffer's input over the open-circuit voltage of the vertical.

        Parameters
        ----------
        frequency
            Frequency, below that at which the height is a quarter wave.

        Returns
        -------
        plain complex number or array [1]

        Raises
        ------
        InputError
            When the height reaches a quarter wave.

        Examples
        --------
        >>> from workbook.receive.vertical import short_vertical
        >>> abs(FrontEnd(short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF").transfer("1.83 MHz"))
        0.822
        """
        return scalar(self._circuit.transfer(self._hertz(frequency)))

    def voltage(self, frequency: Frequency, field: Quantity) -> Quantity:
        """Return the voltage at the buffer's input: field strength times effective height times |transfer|.

        Parameters
        ----------
        frequency
            Frequency, below that at which the height is a quarter wave.
        field
            Vertical field strength, rms.

        Returns
        -------
        quantity in V, rms

        Raises
        ------
        InputError
            When the height reaches a quarter wave, or the field strength is negative.
        """
        hertz = self._hertz(frequency)
        strength = not_negative(field, "V/m", "field")
        check_broadcast(hertz, strength, *self._circuit)
        metres = front_ends.vertical_effective_height(self.vertical.metres, hertz)
        return with_unit(strength * metres * np.abs(self._circuit.transfer(hertz)), "V")

    def cutoff(self) -> Frequency:
        """Return where reception stops: above the greatest response, 3 dB below the response at 1 MHz.

        Returns
        -------
        quantity in Hz, the lowest such frequency

        Raises
        ------
        InputError
            When the response never falls so far below 100 MHz, or below the vertical's quarter wave.
        """
        circuit, size = self._response()
        wanted = THREE_DB * np.abs(circuit.transfer(REFERENCE_HERTZ))
        after = np.arange(_GRID.size) > np.argmax(size, axis=-1)[..., None]
        below = after & (size <= wanted) & (size >= 0)
        if not np.all(below.any(axis=-1)):
            end = min(_GRID[-1], float(np.min(self.vertical.quarter_wave_hertz))) / 1e6
            raise InputError(
                f"the response never falls 3 dB below that at 1 MHz up to {end:.4g} MHz",
                where="choke_inductance",
                remedy="take more inductance in series if reception is to stop there",
            )
        high = np.argmax(below, axis=-1)[..., None]
        low, high = _GRID[high - 1], _GRID[high]
        for _ in range(50):  # bisection, to the last digit
            middle = (low + high) / 2
            falls = np.abs(circuit.transfer(middle)) <= wanted
            low, high = np.where(falls, low, middle), np.where(falls, middle, high)
        return with_unit(high[..., 0], "Hz")

    def resonance(self) -> Resonance:
        """Return the peak of the response, and what damps it.

        Returns
        -------
        Resonance
            Frequency [Hz], gain over 1 MHz [dB], and shares of the damping [1].

        Raises
        ------
        InputError
            When the height reaches a quarter wave at 1 MHz.
        """
        circuit, size = self._response()
        peak = _GRID[np.argmax(size, axis=-1)][..., None]
        antenna, chokes, buffer = (np.real(part) for part in circuit.series(peak))
        whole = antenna + chokes + buffer
        gain = 20 * np.log10(np.abs(circuit.transfer(peak) / circuit.transfer(REFERENCE_HERTZ)))
        shares = [scalar(np.asarray(part / whole)[..., 0]) for part in (buffer, chokes, antenna)]
        return Resonance(with_unit(peak[..., 0], "Hz"), with_unit(gain[..., 0], "dB"), *shares)

    def _response(self) -> tuple[_Circuit, Floats]:
        """Return the circuit with an axis for the frequency behind, and |transfer| (..., frequencies).

        It is -1 where the model ends, at the vertical's quarter wave.
        """
        self._hertz(Quantity(REFERENCE_HERTZ, "Hz"))
        circuit = _Circuit(*(np.asarray(part)[..., None] for part in self._circuit))
        inside = np.asarray(self.vertical.quarter_wave_hertz)[..., None] > _GRID
        return circuit, np.where(inside, np.abs(circuit.transfer(_GRID)), -1.0)

    def stage(
        self,
        frequency: Frequency,
        gain: Gain,
        output_resistance: Impedance,
        noise_voltage: Quantity,
        noise_current: Quantity = "0 A",
    ) -> Stage:
        """Return the element with its buffer as a stage: from the noise and signal in the field to the buffer's output.

        Its gain is the available power at the output over that of the lossless vertical, (A |T|)^2 R_r/R_o with A
        the voltage gain, T the transfer and R_r the radiation resistance. Its noise is that of the buffer and what
        the resistances of chokes and input give by Nyquist's theorem at 290 K.

        Parameters
        ----------
        frequency
            Frequency, below that at which the height is a quarter wave.
        gain
            Voltage gain of the buffer without load, in dB.
        output_resistance
            Of the buffer.
        noise_voltage, noise_current
            Of the buffer, referred to its input, in a bandwidth of 1 Hz: ``"5 nV"`` where a data sheet prints 5 nV per
            root hertz.

        Returns
        -------
        Stage
            Gain and noise figure [dB].

        Raises
        ------
        InputError
            When the height reaches a quarter wave, or a noise is negative.
        """
        hertz = self._hertz(frequency)
        ohms = positive(output_resistance, "ohm", "output_resistance")
        volts = not_negative(noise_voltage, "V", "noise_voltage")
        amperes = not_negative(noise_current, "A", "noise_current")
        antenna, chokes, buffer = self._circuit.series(hertz)
        whole = antenna + chokes + buffer
        received = np.real(antenna) * np.abs(buffer / whole) ** 2
        source = buffer * (antenna + chokes) / whole
        added = np.real(source) - received
        excess = added + (volts**2 + (amperes * np.abs(source)) ** 2) / (4 * BOLTZMANN * T0)
        decibels = real(gain, "dB", "gain") + 10 * np.log10(received / ohms)
        figure = 10 * np.log10(1 + excess / received)
        return Stage("element", with_unit(decibels, "dB"), with_unit(figure, "dB"))


def phase_spread(front_end: FrontEnd, frequency: Frequency, inductance_tolerance: float) -> Angle:
    """Return how far the phases of two elements may lie apart when their chokes differ within a tolerance.

    Parameters
    ----------
    front_end
        The front end with the nominal inductance.
    frequency
        Frequency, below that at which the height is a quarter wave.
    inductance_tolerance
        Greatest relative departure of the inductance, a plain number such as 0.2.

    Returns
    -------
    quantity in degree
        Greatest less least phase of the transfer over inductance x (1 - t ... 1 + t), the extremes found inside the
        range as well as at its ends.

    Raises
    ------
    InputError
        When the tolerance is not a plain number from 0 to 0.99.

    Examples
    --------
    Next to the resonance 20 % are tens of degrees, which is why chokes are measured and sorted into sets.

    >>> from workbook.receive.vertical import short_vertical
    >>> front_end = FrontEnd(short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
    >>> [phase_spread(front_end, band, 0.2).m_as("degree") for band in ("1.83 MHz", "2.5 MHz")]
    [0.454, 4.95]
    """
    instance(front_end, FrontEnd, "front_end", "make one by wb.FrontEnd(wb.short_vertical('7 m', '25 mm'), ...)")
    part = plain_number(inductance_tolerance, "inductance_tolerance", 0, 0.99, "0.2")
    hertz = front_end._hertz(frequency)
    circuit = front_end._circuit
    antenna, _, buffer = circuit.series(hertz)
    omega = 2 * np.pi * hertz
    # a choke without any loss would cross its self-resonance in one step of half a turn
    direction = 1 / (1j + max(circuit.loss, 1e-9))
    with np.errstate(divide="ignore"):
        ends = [1 / (omega * np.asarray(circuit.henry) * (1 + sign * part)) for sign in (1, -1)]
    chokes = np.isfinite(ends[0])
    least, greatest = (np.where(chokes, end, 1.0) for end in ends)
    radians = front_ends.divider_phase_range(
        antenna + buffer, direction, 1j * omega * circuit.choke_farads, least, greatest
    )
    return with_unit(np.degrees(np.where(chokes, radians, 0.0)), "degree")
