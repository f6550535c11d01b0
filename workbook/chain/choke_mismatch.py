"""What chokes that differ from element to element do to an array, and how well they must match."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern import front_to_back, noise_gain, signal_gain
from workbook.checks import instance, plain_number, positive, real, single
from workbook.errors import InputError
from workbook.receive.front_end import FrontEnd, phase_spread
from workbook.receive.noise import decibels, ratio
from workbook.units import Angle, Floats, Frequency, Gain, Loss, Quantity

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


@dataclass(frozen=True)
class ChokeMismatch:
    """What a tolerance of the chokes does on one band.

    `phase_spread`: greatest phase between two elements [degree]; `rdf_loss` [dB] and `front_to_back` [dB]: by how much
    the RDF falls, and the front-to-back that is left, in the mean of the powers over all chokes within the tolerance.
    """

    inductance_tolerance: float
    phase_spread: Angle
    rdf_loss: Loss
    front_to_back: Gain


def choke_mismatch(firing: Firing, front_end: FrontEnd, inductance_tolerance: float) -> ChokeMismatch:
    """Return what chokes that differ at random do: every element's inductance anywhere within the tolerance.

    With g the transfer of an element, independent from element to element, mean powers are |mean of g|^2 times the
    power without errors plus the variance of g times the sum of |w|^2: the theory of random
    errors in arrays (for example R. C. Hansen, "Phased Array Antennas", chapter on errors; cited from memory).

    Parameters
    ----------
    firing
        The array with one beam.
    front_end
        The front end of every element, with the nominal inductance.
    inductance_tolerance
        Greatest relative departure of the inductance, a plain number such as 0.05.

    Returns
    -------
    ChokeMismatch
        Phase in degree, figures in dB.

    Raises
    ------
    InputError
        When an argument is of another kind, the front end carries arrays, or its vertical is too high for the
        frequency.
    """
    instance(firing, Firing, "firing", "make one by wb.Firing(layout, weights, ...)")
    instance(front_end, FrontEnd, "front_end", "make one by wb.FrontEnd(wb.short_vertical('7 m', '25 mm'), ...)")
    tolerance = plain_number(inductance_tolerance, "inductance_tolerance", 0, 0.99, "0.05")
    spread = phase_spread(front_end, firing.frequency, tolerance)
    if np.ndim(spread.magnitude):
        raise InputError("the front end carries arrays", where="front_end", remedy="call once for each")
    loss, left = _powers(firing).with_errors(front_end, firing.frequency, tolerance)
    return ChokeMismatch(tolerance, spread, decibels(loss), decibels(left))


class Powers(NamedTuple):
    """What an array receives from the front, from behind, on average, and of its elements' own noise: plain arrays."""

    front: Floats
    back: Floats
    noise: Floats
    own: Floats

    def with_errors(self, front_end: FrontEnd, frequency: Frequency, tolerance: float) -> tuple[Floats, Floats]:
        """Return by which ratio the RDF falls, and the front over the back that is left."""
        return self._at(*_moments(front_end, frequency, tolerance))

    def _at(self, mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
        ahead, behind, noise = (mean * power + variance * self.own for power in self[:3])
        with np.errstate(divide="ignore"):
            return self.front / self.noise * noise / ahead, np.asarray(ahead) / behind

    def widest(
        self, front_end: FrontEnd, frequency: Frequency, rdf_loss_db: float, least_front_to_back_db: Floats
    ) -> float:
        """Return the greatest tolerance that keeps RDF and front-to-back, of all arrays at once."""
        tried, powers = 0.99 * np.geomspace(1e-4, 1, 60), Powers(*(np.atleast_1d(part) for part in self))
        for _ in range(6):  # each time ever closer to where it first fails
            mean, variance = (part[:, None] for part in _moments(front_end, frequency, tried))
            loss, left = powers._at(mean, variance)
            fails = ((loss > ratio(rdf_loss_db)) | (left < ratio(least_front_to_back_db))).any(axis=-1)
            if not fails.any():
                return float(tried[-1])
            first = int(np.argmax(fails))
            tried = np.linspace(tried[first - 1] if first else 0.0, tried[first], 60)
        return float(tried[0])


def _powers(firing: Firing) -> Powers:
    front, noise = ratio(signal_gain(firing).m_as("dB")), ratio(noise_gain(firing).m_as("dB"))
    back = front / ratio(front_to_back(firing).m_as("dB"))
    return Powers(front, back, noise, np.sum(np.abs(firing.weights) ** 2, axis=-1))


def _moments(front_end: FrontEnd, frequency: Frequency, tolerance: Floats) -> tuple[Floats, Floats]:
    """Return |mean|^2 and variance of the transfer, inductances equally likely within each tolerance."""
    henry = front_end.choke_inductance.m_as("H") * (1 + np.asarray(tolerance)[..., None] * _NODES)
    transfer = np.broadcast_to(
        replace(front_end, choke_inductance=Quantity(henry, "H")).transfer(frequency), henry.shape
    )
    mean = transfer @ _WEIGHTS / 2
    return np.abs(mean) ** 2, np.abs(transfer - mean[..., None]) ** 2 @ _WEIGHTS / 2


def choke_tolerance(
    firing: Firing, front_end: FrontEnd, rdf_loss: Loss, least_front_to_back: Gain | None = None
) -> float:
    """Return the greatest tolerance of the chokes that keeps the pattern: how well sets must match.

    Parameters
    ----------
    firing
        The array with one beam, one set of weights.
    front_end
        The front end of every element, with the nominal inductance.
    rdf_loss
        Greatest loss of RDF in dB.
    least_front_to_back
        Least front-to-back in dB; None for any.

    Returns
    -------
    plain float [1]
        Relative tolerance of the inductance, at most 0.99; 0 where the front-to-back is not even that without errors.

    Raises
    ------
    InputError
        When the limit is not above zero, the weights carry leading axes, or as `choke_mismatch`.
    """
    limit = single(positive(rdf_loss, "dB", "rdf_loss"), "rdf_loss")
    least = -np.inf
    if least_front_to_back is not None:
        least = single(real(least_front_to_back, "dB", "least_front_to_back"), "least_front_to_back")
    instance(firing, Firing, "firing", "make one by wb.Firing(layout, weights, ...)")
    if firing.weights.ndim > 1:
        raise InputError("several sets of weights at once", where="firing", remedy="call once for each")
    choke_mismatch(firing, front_end, 0.0)  # checks the front end
    return _powers(firing).widest(front_end, firing.frequency, limit, least)
