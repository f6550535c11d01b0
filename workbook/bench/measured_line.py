"""A line as it was measured: delay, loss, velocity factor and impedance at any frequency, each with its uncertainty.

The uncertainties take what an instrument with its calibration repeats from point to point as one error: the scatter of
single points is not divided by their number.
"""

from dataclasses import dataclass

import numpy as np

from workbook.bench.measured import Measured
from workbook.bench.uniform_line import UniformLine
from workbook.checks import positive
from workbook.errors import InputError
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.lengths import QUARTERS
from workbook.units import NEPER_IN_DB, Complexes, Floats, Frequency, Time, scalar, with_unit

CONNECTOR = 0.03e-9
"""Standard uncertainty [s] of where the connectors end: 6 mm of cable."""
DISPERSION = 5e-4
"""Relative standard uncertainty of delay for every factor e in frequency beyond a sweep."""


@dataclass(frozen=True, eq=False)
class MeasuredLine:
    """A line as it was measured; made by `measure_line` or `measure_resonance`.

    Every method takes one frequency or an array of them and answers a `Measured`.

    Attributes
    ----------
    fit
        The uniform line that was seen, on plain numbers.
    far_end
        Far end of its check frequency: ``"open"`` or ``"short"``.
    cable
        Cable of the piece; None where it is not known.
    length
        Length between the connectors [m] with its uncertainty; None where it is not known.
    connector_delay
        Delay of one connector [ns].
    both_ends
        Whether it was seen with open and with shorted far end.
    """

    fit: UniformLine
    far_end: str
    cable: Cable | None
    length: Measured | None
    connector_delay: Time
    both_ends: bool

    @property
    def check_frequency(self) -> Measured:
        """Lowest frequency of zero reactance [Hz], connectors included: a quarter wave, with `short` alone a half."""
        hertz = self._zero_of_reactance(self.fit.hertz[-1] * QUARTERS[self.far_end] * np.pi / 2 / self.fit.lag[-1])
        relative = float(self._lag_error(hertz) / self._lag(hertz))
        return Measured(with_unit(hertz, "Hz"), with_unit(hertz * relative, "Hz"))

    def _zero_of_reactance(self, start: float) -> float:
        """Return the check frequency [Hz]: between two points of the sweep, or beyond it by the record."""
        over = self._over(self.fit.lag, self.fit.loss, self.fit.ohms)
        if over[0] <= 0 <= over[-1]:
            return float(np.interp(0.0, over, self.fit.hertz))
        if self.cable is None:
            raise InputError(
                "the lowest zero of reactance is not in it",
                where="sweep",
                remedy=f"sweep {'from a lower' if over[0] > 0 else 'to a higher'} frequency, or give the cable",
            )
        hertz = float(start)
        for _ in range(100):
            last, lag = hertz, self._lag(hertz)
            hertz = float(last * (1 - self._over(lag, self._loss(last), self._ohms(last)) / lag))
            if not np.isfinite(hertz) or abs(hertz - last) < 1e-12 * hertz:
                break
        if not hertz > 0:
            raise InputError(
                "the line is so lossy that its reactance never vanishes",
                where="check_frequency",
                remedy="use a shorter piece, or measure its delay through it",
            )
        return hertz

    def _over(self, lag: Floats, loss: Floats, ohms: Complexes) -> Floats:
        """Return by how much a lag exceeds that at the lowest zero of reactance."""
        with np.errstate(over="ignore", invalid="ignore"):
            tilt = np.arcsin(np.clip(-ohms.imag / ohms.real * np.sinh(2 * loss), -1, 1)) / 2
        return lag - QUARTERS[self.far_end] * np.pi / 2 - tilt

    def delay(self, frequency: Frequency) -> Measured:
        """Return the phase delay of the whole piece, connectors included: lag over angular frequency.

        Parameters
        ----------
        frequency
            Above zero; outside the sweep the delay follows the dispersion of `cable`.

        Returns
        -------
        Measured
            Quantities [ns].

        Raises
        ------
        InputError
            When the frequency lies outside the sweep and no cable is given.
        """
        hertz = positive(frequency, "Hz", "frequency")
        value, error = self.fit_delay(hertz), self._lag_error(hertz) / (2 * np.pi * hertz)
        return Measured(with_unit(value * 1e9, "ns"), with_unit(error * 1e9, "ns"))

    def fit_delay(self, hertz: Floats) -> Floats:
        """Return the delay [s] at plain frequencies [Hz].

        Parameters
        ----------
        hertz
            Frequency [Hz], any shape.

        Returns
        -------
        plain number or array [s]
        """
        return self._lag(hertz) / (2 * np.pi * hertz)

    def attenuation(self, frequency: Frequency) -> Measured:
        """Return the matched loss per length of the cable alone.

        Parameters
        ----------
        frequency
            Above zero; outside the sweep the loss follows that of `cable`.

        Returns
        -------
        Measured
            Quantities [dB/m].

        Raises
        ------
        InputError
            When the length is not known, the loss was not measured, or the frequency lies outside the sweep and no
            cable is given.
        """
        hertz = positive(frequency, "Hz", "frequency")
        metres, metres_error = self._metres()
        if not np.all(np.isfinite(self.fit.loss_scatter)):
            raise InputError("the loss was not measured", where="attenuation", remedy="give the resistance too")
        loss = self._loss(hertz)
        scatter = np.interp(self._inside(hertz), self.fit.hertz, self.fit.loss_scatter)
        error = np.sqrt(scatter**2 + self._ripple(hertz) ** 2 + (loss * metres_error / metres) ** 2)
        per_metre = NEPER_IN_DB / metres
        return Measured(with_unit(loss * per_metre, "dB/m"), with_unit(error * per_metre, "dB/m"))

    def velocity_factor(self, frequency: Frequency) -> Measured:
        """Return the velocity factor of the cable alone, omega times length over lag and c.

        Parameters
        ----------
        frequency
            Above zero; outside the sweep it follows the dispersion of `cable`.

        Returns
        -------
        Measured
            Plain numbers.

        Raises
        ------
        InputError
            When the length is not known, it and the delay would mean more than the speed of light, or the frequency
            lies outside the sweep and no cable is given.
        """
        hertz = positive(frequency, "Hz", "frequency")
        metres, metres_error = self._metres()
        omega = 2 * np.pi * hertz
        lag = self._lag(hertz) - 2 * omega * self.connector_delay.m_as("s")
        value = omega * metres / (lag * lines.C)
        if np.any((lag <= 0) | (value > 1)):
            raise InputError(
                f"{metres:g} m of cable with this delay would be faster than light",
                where="length",
                remedy="check the length and the delay of the connectors",
            )
        error = value * np.hypot(self._lag_error(hertz) / lag, metres_error / metres)
        return Measured(scalar(value), scalar(error))

    def characteristic_impedance(self, frequency: Frequency) -> Measured:
        """Return the characteristic impedance that sweeps with open and with shorted far end show.

        Parameters
        ----------
        frequency
            Above zero; outside the sweep it follows that of `cable`.

        Returns
        -------
        Measured
            Complex quantities [ohm], and the uncertainty of their real and imaginary parts [ohm].

        Raises
        ------
        InputError
            When the line was not seen with open and with shorted far end, or the frequency lies outside the sweep and
            no cable is given.
        """
        hertz = positive(frequency, "Hz", "frequency")
        if not self.both_ends:
            raise InputError(
                "was not measured", where="characteristic_impedance", remedy="give sweeps with open and shorted far end"
            )
        ohms, lag = self._ohms(hertz), self._lag(hertz)
        both = np.hypot(self.fit.lag_scatter, self.fit.loss_scatter)
        scatter = np.interp(self._inside(hertz), self.fit.hertz, both) / lag
        return Measured(
            with_unit(ohms, "ohm"), with_unit(np.abs(ohms) * np.hypot(self.fit.impedance_scatter, scatter), "ohm")
        )

    # --- plain numbers --------------------------------------------------------------------------------------

    def _metres(self) -> tuple[float, float]:
        if self.length is None:
            raise InputError("is not known", where="length", remedy="give the length between the connectors")
        return self.length.value.m_as("m"), self.length.uncertainty.m_as("m")

    def _inside(self, hertz: Floats) -> Floats:
        """Return the nearest frequencies in the sweep."""
        within = np.clip(hertz, self.fit.hertz[0], self.fit.hertz[-1])
        # a frequency is what it was measured to be, so the sweep ends a little later than its last point
        if self.cable is None and np.any(np.abs(within - hertz) > 1e-3 * hertz):
            raise InputError(
                f"the sweep covers {self.fit.hertz[0] / 1e6:.4g} to {self.fit.hertz[-1] / 1e6:.4g} MHz only",
                where="frequency",
                remedy="sweep over a wider range, or give the cable",
            )
        return within

    def _record(self, hertz: Floats, inside: Floats) -> tuple[Complexes, Complexes]:
        """Return by what the record's propagation constant and impedance change from inside the sweep to outside."""
        if self.cable is None:
            return 1.0 + 1j, 1.0 + 0j
        (gamma, ohms), (at, at_ohms) = self.cable.constants(hertz), self.cable.constants(inside)
        return gamma.real / np.where(at.real == 0, 1, at.real) + 1j * gamma.imag / at.imag, ohms / at_ohms

    def _lag(self, hertz: Floats) -> Floats:
        """Return the lag [rad]; beyond the sweep the cable's follows the record and the connectors' the frequency."""
        inside, ends = self._inside(hertz), 4 * np.pi * self.connector_delay.m_as("s")
        cable = np.interp(inside, self.fit.hertz, self.fit.lag) - ends * inside
        return cable * self._record(hertz, inside)[0].imag + ends * hertz

    def _loss(self, hertz: Floats) -> Floats:
        inside = self._inside(hertz)
        return np.interp(inside, self.fit.hertz, self.fit.loss) * self._record(hertz, inside)[0].real

    def _ohms(self, hertz: Floats) -> Complexes:
        inside = self._inside(hertz)
        return np.interp(inside, self.fit.hertz, self.fit.ohms) * self._record(hertz, inside)[1]

    def _lag_error(self, hertz: Floats) -> Floats:
        """Return the standard uncertainty of the lag [rad]."""
        inside = self._inside(hertz)
        lag = np.interp(inside, self.fit.hertz, self.fit.lag)
        ripple = self._ripple(inside)
        beyond = DISPERSION * np.log(hertz / inside) * lag
        scatter = np.interp(inside, self.fit.hertz, self.fit.lag_scatter)
        error = np.sqrt(scatter**2 + ripple**2 + (2 * np.pi * inside * CONNECTOR) ** 2 + beyond**2)
        return error * self._record(hertz, inside)[0].imag

    def _ripple(self, hertz: Floats) -> Floats:
        """Return what a wrong impedance makes of lag and loss: half its relative error times |sinh 2gl|."""
        if self.both_ends:
            return 0.0
        return self.fit.impedance_scatter * np.abs(np.sinh(2 * (self._loss(hertz) + 1j * self._lag(hertz)))) / 2
