"""Figures of merit of a receiving array on plain numbers: directivity, front-to-back, gains for signal and noise.

The one computation behind `wb.rdf` and its family, the figures of a plan and the curves of a sweep. Mutual coupling is
neglected: elements are verticals shorter than an eighth of a wavelength behind high-impedance buffers, and the field is
flat. N elements, D directions; weights are complex (..., N).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from workbook.array.ground import AnyGround, element_power
from workbook.array.layout import distances, projections
from workbook.errors import InputError
from workbook.formulas.waves import wave_number
from workbook.units import ComplexArray, FloatArray, Floats

ROUNDING = 1e-14
"""Share of the sum of the elements' own noise powers below which the noise of the array is a rounding error."""
NO_BACK = 1e-15
"""A back weaker than this beside the front is a rounding error, and the ratio infinite."""
ALL_ROUND = np.radians(np.arange(0.0, 360.0, 2.0))
"""Azimuths at which the strongest one is sought, from the one aimed at [rad]."""


def steering_vector(metres: FloatArray, hertz: Floats, azimuth: Floats, elevation: Floats) -> ComplexArray:
    """Return e^{+jk u.r}, the phases of a plane wave at the elements.

    Parameters
    ----------
    metres
        Positions (N, 2): east, north [m].
    hertz, azimuth, elevation
        Frequency [Hz], direction that the wave comes from [rad]; they broadcast to (...).

    Returns
    -------
    complex array (..., N)
    """
    across = wave_number(hertz) * np.cos(np.asarray(elevation))
    return np.exp(1j * across[..., None] * projections(metres, azimuth))


def noise_matrix(metres: FloatArray, hertz: float, ground: AnyGround) -> FloatArray:
    """Return B of w^H B w, the noise power that weights w receive from the whole sphere alike.

    Parameters
    ----------
    metres
        Positions (N, 2): east, north [m].
    hertz
        Frequency [Hz].
    ground
        What the elements stand on.

    Returns
    -------
    float array (N, N), symmetric: a pair's common response, averaged over the sphere
    """
    apart = distances(metres)
    one, other = np.triu_indices(len(metres), 1)
    # each distance is computed once, of which a ring has few; those within 1 nm differ by rounding
    distinct, which = np.unique(np.append(np.round(apart[one, other], 9), 0.0), return_inverse=True)
    averages = ground.averages(hertz, distinct)
    noise = np.empty(apart.shape)
    noise[one, other] = noise[other, one] = averages[which[:-1]]
    np.fill_diagonal(noise, averages[which[-1]])
    return noise


def noise_power(weights: ComplexArray, matrix: FloatArray) -> FloatArray:
    """Return w^H B w of weights (..., N) and a noise matrix (N, N): float array (...)."""
    parts = _parts(weights)
    # B acts on real and imaginary parts alike, so one real product serves both
    both = (matrix[:, None, :, None] * np.eye(2)[:, None, :]).reshape(2 * len(matrix), -1)
    return np.einsum("...n,...n->...", parts @ both, parts)


def weight_power(weights: ComplexArray) -> FloatArray:
    """Return the sum of |w|^2 of weights (..., N), the power of the elements' own noise: float array (...)."""
    parts = _parts(weights)
    return np.einsum("...n,...n->...", parts, parts)


def _parts(weights: ComplexArray) -> FloatArray:
    """Return real and imaginary parts in turn along the last axis: (..., 2 N)."""
    return np.ascontiguousarray(weights, dtype=complex).view(float)


def signal_power(weights: ComplexArray, steering: ComplexArray) -> FloatArray:
    """Return |sum of w_n e^{jk u.r_n}|^2 of weights (..., N); steering (N,), or (D, N) of as many directions."""
    total = weights @ steering if steering.ndim == 1 else np.einsum("...n,...n->...", weights, steering)
    return np.asarray(total.real**2 + total.imag**2)


def error_variance(decibels: float, radians: float) -> float:
    """Return the variance of a weight of size 1 whose amplitude [dB] and phase [rad] have these standard errors."""
    return float((10 ** (decibels / 20) - 1) ** 2 + radians**2)


@dataclass(frozen=True, eq=False)
class Arrival:
    """A signal and noise that arrive at an array on one frequency.

    Parameters
    ----------
    metres
        Positions (N, 2): east, north [m].
    hertz
        Frequency [Hz].
    azimuth
        Where the signal comes from, one azimuth or several (D,) [rad].
    elevation
        Of the signal above the horizon [rad].
    ground
        What the elements stand on.
    """

    metres: FloatArray
    hertz: float
    azimuth: Floats
    elevation: float
    ground: AnyGround

    @cached_property
    def steering(self) -> ComplexArray:
        """Steering vector of the signal, (N,) or (D, N)."""
        return steering_vector(self.metres, self.hertz, self.azimuth, self.elevation)

    @cached_property
    def noise_matrix(self) -> FloatArray:
        """Noise matrix B (N, N)."""
        return noise_matrix(self.metres, self.hertz, self.ground)

    @cached_property
    def element_power(self) -> float:
        """Power that one element receives of the signal, beside that at the horizon over perfect ground."""
        return element_power(self.ground, self.hertz, self.elevation)


@dataclass(frozen=True, eq=False)
class FiguresOfMerit:
    """Figures of weights in dB, each a float array (...) computed when first used.

    Parameters
    ----------
    arrival
        The array, and what arrives at it from one direction or from D.
    weights
        Complex weights (..., N), of D directions (D, N).
    """

    arrival: Arrival
    weights: ComplexArray

    @cached_property
    def signal(self) -> FloatArray:
        """Signal power, a ratio to one element with weight 1."""
        return signal_power(self.weights, self.arrival.steering)

    @cached_property
    def own_noise(self) -> FloatArray:
        """Power of the elements' own noise, a ratio to one element with weight 1."""
        return weight_power(self.weights)

    @cached_property
    def noise(self) -> FloatArray:
        """External noise power, w^H B w.

        Raises
        ------
        InputError
            When the weights cancel so exactly that rounding decides the noise.
        """
        power = noise_power(self.weights, self.arrival.noise_matrix)
        if np.any(power < ROUNDING * self._single_noise * self.own_noise):
            raise InputError(
                "the elements cancel so exactly that rounding decides the noise",
                where="weights",
                remedy="space them wider, or require more white-noise gain",
            )
        return power

    @property
    def _single_noise(self) -> float:
        return float(self.arrival.noise_matrix[0, 0])

    @property
    def rdf_db(self) -> FloatArray:
        """Receiving directivity factor: the signal over the average of the whole sphere."""
        return decibels(self.signal * self.arrival.element_power / self.noise)

    @property
    def front_to_back_db(self) -> FloatArray:
        """Signal over that from the opposite azimuth, infinite where the back is under 1e-15 of the front."""
        # half a turn of azimuth changes the sign of every phase
        back = signal_power(self.weights, self.arrival.steering.conj())
        back = np.where(back < NO_BACK * self.signal, 0.0, back)
        with np.errstate(divide="ignore", invalid="ignore"):
            return decibels(self.signal / back)

    @property
    def signal_gain_db(self) -> FloatArray:
        """Signal, relative to one element with weight 1."""
        return decibels(self.signal)

    @property
    def noise_gain_db(self) -> FloatArray:
        """External noise, relative to one element with weight 1."""
        return decibels(self.noise / self._single_noise)

    @property
    def white_noise_gain_db(self) -> FloatArray:
        """Signal over the elements' own noise, relative to one element."""
        return decibels(self.signal / self.own_noise)

    def error_loss_db(self, variance: float) -> FloatArray:
        """Return how far RDF falls on average when every weight has independent errors.

        They add their variance times B(0) times sum |w|^2 to the noise and leave the signal, as in the theory of random
        errors in arrays (for example R. C. Hansen, "Phased Array Antennas", chapter on errors; cited from memory).

        Parameters
        ----------
        variance
            Variance of a weight of size 1, as `error_variance` gives it.
        """
        return decibels(1 + variance * self._single_noise * self.own_noise / self.noise)

    def peak_over_aim_db(self) -> FloatArray:
        """Return how far the strongest azimuth at this elevation, of every two degrees, is above the signal's."""
        arrival = self.arrival
        azimuths = np.asarray(arrival.azimuth)[..., None] + ALL_ROUND
        around = steering_vector(arrival.metres, arrival.hertz, azimuths, arrival.elevation)
        total = np.einsum("...an,...n->...a", around, self.weights)
        with np.errstate(divide="ignore", invalid="ignore"):
            return decibels(np.maximum((np.abs(total) ** 2).max(axis=-1) / self.signal, 1.0))


def decibels(ratio: Floats) -> FloatArray:
    """Return a power ratio in dB, minus infinity for zero."""
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(ratio))
