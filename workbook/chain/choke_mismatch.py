"""What chokes that differ from element to element do to an array, and how well they must match."""

from dataclasses import dataclass, replace

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern import front_to_back, noise_gain, signal_gain
from workbook.checks import instance, plain_number, positive, single
from workbook.errors import InputError
from workbook.receive.front_end import FrontEnd, phase_spread
from workbook.receive.noise import decibels, ratio
from workbook.units import Angle, Frequency, Gain, Loss, Quantity

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
    mean, variance = _moments(front_end, firing.frequency, tolerance)
    front, noise = ratio(signal_gain(firing).m_as("dB")), ratio(noise_gain(firing).m_as("dB"))
    back = front / ratio(front_to_back(firing).m_as("dB"))
    power = np.sum(np.abs(firing.weights) ** 2, axis=-1)
    ahead, behind = mean * front + variance * power, mean * back + variance * power
    loss = decibels(front / noise * (mean * noise + variance * power) / ahead)
    return ChokeMismatch(tolerance, spread, loss, -decibels(np.asarray(behind) / ahead))


def _moments(front_end: FrontEnd, frequency: Frequency, tolerance: float) -> tuple[float, float]:
    """Return |mean|^2 and variance of the transfer, inductances equally likely within the tolerance."""
    henry = front_end.choke_inductance.m_as("H")
    moved = replace(front_end, choke_inductance=Quantity(henry * (1 + tolerance * _NODES), "H"))
    transfer = np.asarray(moved.transfer(frequency)) * np.ones(_NODES.size)
    mean = transfer @ _WEIGHTS / 2
    return float(abs(mean) ** 2), float(np.abs(transfer - mean) ** 2 @ _WEIGHTS / 2)


def choke_tolerance(firing: Firing, front_end: FrontEnd, rdf_loss: Loss) -> float:
    """Return the greatest tolerance of the chokes that costs no more RDF than a limit: how well sets must match.

    Parameters
    ----------
    firing
        The array with one beam, one set of weights.
    front_end
        The front end of every element, with the nominal inductance.
    rdf_loss
        Greatest loss of RDF in dB.

    Returns
    -------
    plain float [1]
        Relative tolerance of the inductance, at most 0.99.

    Raises
    ------
    InputError
        When the limit is not above zero, the weights carry leading axes, or as `choke_mismatch`.
    """
    limit = single(positive(rdf_loss, "dB", "rdf_loss"), "rdf_loss")
    instance(firing, Firing, "firing", "make one by wb.Firing(layout, weights, ...)")
    if firing.weights.ndim > 1:
        raise InputError("several sets of weights at once", where="firing", remedy="call once for each")
    tried = 0.99 * np.geomspace(1e-4, 1, 60)
    losses = [choke_mismatch(firing, front_end, part).rdf_loss.m_as("dB") for part in tried]
    beyond = np.flatnonzero(np.asarray(losses) > limit)
    if not beyond.size:
        return float(tried[-1])
    high = float(tried[beyond[0]])
    low = float(tried[beyond[0] - 1]) if beyond[0] else 0.0
    for _ in range(40):
        middle = (low + high) / 2
        costly = choke_mismatch(firing, front_end, middle).rdf_loss.m_as("dB") > limit
        low, high = (low, middle) if costly else (middle, high)
    return low
