"""One line between two ends: what arrives, how far mismatch can shift its phase, and the match an accuracy requires.

Only what goes back and forth once more disturbs a phase, so one matched end is enough. The bound is for one line
against a matched one of the same cable, or for a line without loss against no line at all (the impedance of a real
cable has a little reactance, by which even a matched line is off beside none); two lines that are both off, in opposite
senses, may differ by the sum of both.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, magnitude, not_negative, positive
from workbook.errors import InputError
from workbook.formulas import terminated
from workbook.line.cable import Cable, check_cable
from workbook.units import NEPER_IN_DB, Angle, Floats, Frequency, Impedance, Length, Loss, scalar, with_unit

LEAST_OHMS = 1e-12
"""Least resistance of an end [ohm]; a smaller one would overflow."""


def end_impedance(value: Impedance, name: str) -> Floats:
    """Return an impedance [ohm] that ends a line, after checking that its resistance is above zero and not open."""
    ohms = None if value is None else magnitude(value, "ohm", name)
    if ohms is None or np.any(np.isinf(ohms) & ~(np.real(ohms) < 0)):
        raise InputError("left open", where=name, remedy="end it in an impedance, such as '75 ohm'")
    _check_resistance(ohms, name)
    return ohms


def _check_resistance(ohms: Floats, name: str) -> None:
    least = float(np.min(np.real(ohms))) if np.size(ohms) else 1.0
    if least < LEAST_OHMS:
        fault = "too small" if least > 0 else "not above zero"
        raise InputError(f"its resistance of {least:g} ohm is {fault}", where=name, remedy="give one above 0 ohm")


def line_transfer(
    cable: Cable, length: Length, frequency: Frequency, source: Impedance, load: Impedance
) -> complex | Any:
    """Return the voltage on a line's load over the open voltage of its source, a plain complex number.

    Exact for a complex characteristic impedance (R. E. Collin, "Foundations for Microwave Engineering", chapter 3, see
    `workbook.formulas.terminated.transfer`). Its angle is minus the electrical length, and its size that of the
    matched loss and of the divider at the source, only where one end is matched.

    Parameters
    ----------
    cable
        What the line is made of.
    length, frequency
        Length and frequency quantities.
    source
        Impedance that drives the line.
    load
        Impedance at its far end; infinite ohm for an open end.

    Returns
    -------
    plain complex numbers [1] in the shape that the arguments broadcast to

    Raises
    ------
    InputError
        When the resistance of source or load is not above zero, or the source is open.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> line_transfer(ideal_cable("75 ohm", 1), "10 m", "2 MHz", "75 ohm", "75 ohm")
    (0.45671-0.20350j)
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    feed = end_impedance(source, "source")
    ohms = magnitude(load, "ohm", "load")
    _check_resistance(ohms, "load")
    check_broadcast(metres, hertz, feed, ohms)
    gamma, impedance = check_cable(cable).constants(hertz)
    return scalar(terminated.transfer([(gamma, impedance, metres)], feed, ohms))


# --- any length -------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class MismatchPhase:
    """What two ends do to the phase of a line of any length.

    `product` is rho_s rho_L, a plain complex number. `bound` is the closed answer asin|rho_s rho_L| [degree];
    `latest` and `earliest` are the exact extremes over all lengths of this cable, its loss counted [degree,
    positive = arrives early].
    """

    product: Any
    bound: Angle
    latest: Angle
    earliest: Angle

    @property
    def exact(self) -> Angle:
        """Greatest phase error over all lengths, without sign [degree]; never above `bound`."""
        return with_unit(np.maximum(np.abs(self.latest.m_as("degree")), np.abs(self.earliest.m_as("degree"))), "degree")


def mismatch_phase(cable: Cable, frequency: Frequency, source: Impedance, port: Impedance) -> MismatchPhase:
    """Return what a source and a port do to the phase of a line of any length.

    The transfer holds 1/(1 - rho_s rho_L e^(-2 gamma l)); see `workbook.formulas.terminated.greatest_phases`.

    Parameters
    ----------
    cable
        What the line is made of.
    frequency
        Frequency quantity.
    source, port
        Impedances at both ends.

    Returns
    -------
    closed bound and exact extremes [degree], in the shape that the arguments broadcast to

    Raises
    ------
    InputError
        When an end is open or its resistance is not above zero, or so reactive beside this cable's complex
        impedance that no bound exists.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> mismatch_phase(ideal_cable("75 ohm", 0.85), "1.83 MHz", "50 ohm", "50 ohm").bound.m_as("degree")
    2.2924
    """
    hertz = positive(frequency, "Hz", "frequency")
    feed = end_impedance(source, "source")
    load = end_impedance(port, "port")
    check_broadcast(hertz, feed, load)
    gamma, impedance = check_cable(cable).constants(hertz)
    product = terminated.reflection_product(impedance, feed, load)[()]
    if np.any(np.abs(product) >= 1):
        raise InputError(
            "both are so reactive that the phase has no bound", where="source, port", remedy="give more resistance"
        )
    latest, earliest = terminated.greatest_phases(gamma, product)
    bound = terminated.phase_bound(product)
    return MismatchPhase(
        scalar(product),
        *(with_unit(np.degrees(angle), "degree") for angle in (bound, latest, earliest)),
    )


@dataclass(frozen=True, eq=False)
class RequiredMatch:
    """How good both ends of a line must be, equally good, for a phase accuracy.

    `phase_error` [degree] is the one wanted; `product` the greatest |rho_s rho_L|, a plain number; `return_loss`
    [dB] and `swr` (a plain number) are what each end must have on the line, the return loss at least, the SWR at
    most. `exact` [degree] is the greatest error over all lengths of a lossless line between two such ends.
    """

    phase_error: Angle
    product: Any
    return_loss: Loss
    swr: Any
    exact: Angle


def required_match(phase_error: Angle) -> RequiredMatch:
    """Return how well source and port must be matched so that no length of line is farther off than wanted.

    Closed: |rho_s rho_L| = sin(phase_error), half of its return loss at each end.

    Parameters
    ----------
    phase_error
        Greatest phase error wanted, above 0 and below 90 degrees.

    Returns
    -------
    return loss [dB] and SWR [1] of each end, in the shape of the errors

    Raises
    ------
    InputError
        When the wanted error is not between 0 and 90 degrees.

    Examples
    --------
    >>> required_match("1 deg").return_loss.m_as("dB"), required_match("1 deg").swr
    (17.581, 1.304)
    """
    wanted = positive(phase_error, "radian", "phase_error")
    if np.any(wanted >= np.pi / 2):
        worst = np.degrees(np.max(wanted))
        raise InputError(
            f"{worst:g} deg is kept by any match", where="phase_error", remedy="give an error between 0 and 90 deg"
        )
    product = np.sin(wanted)
    each = np.sqrt(product)
    _, exact = terminated.greatest_phases(np.full(np.shape(wanted), 1j)[()], product)
    return RequiredMatch(
        phase_error=with_unit(np.degrees(wanted), "degree"),
        product=scalar(product),
        return_loss=with_unit(-np.log(each) * NEPER_IN_DB, "dB"),
        swr=scalar((1 + each) / (1 - each)),
        exact=with_unit(np.degrees(exact), "degree"),
    )
