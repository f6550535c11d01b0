"""How far mismatch can throw a line's phase, and how good both ends must be for a wanted accuracy.

Only what goes back and forth once more disturbs a phase, so one matched end is enough. The bound is for one line
against a matched one of the same cable, or for a line without loss against no line at all (the impedance of a real
cable has a little reactance, by which even a matched line is off beside none); two lines that are both off, in opposite
senses, may differ by the sum of both.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.chain.transfer import end_impedance, the_cable
from workbook.checks import check_broadcast, positive
from workbook.errors import InputError
from workbook.formulas import terminated
from workbook.line.cable import Cable
from workbook.units import NEPER_IN_DB, scalar, with_unit


@dataclass(frozen=True, eq=False)
class Mismatch:
    """What two ends do to the phase of a line of any length.

    `product` is rho_s rho_L, a plain complex number. `bound` is the closed answer asin|rho_s rho_L| [degree];
    `latest` and `earliest` are the exact extremes over all lengths of this cable, its loss counted [degree,
    positive = arrives early]; `exact` is the greater of the two without sign.
    """

    product: Any
    bound: Any
    latest: Any
    earliest: Any

    @property
    def exact(self) -> Any:
        """Greatest phase error over all lengths [degree], never above `bound`."""
        return with_unit(np.maximum(np.abs(self.latest.m_as("degree")), np.abs(self.earliest.m_as("degree"))), "degree")


def mismatch(cable: Cable, frequency: Any, source: Any, port: Any) -> Mismatch:
    """Return what a source and a port do to the phase of a line of any length.

    Raises
    ------
    InputError
        When an end is open or its resistance is not above zero, or so reactive beside this cable's complex
        impedance that no bound exists.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> mismatch(ideal_cable("75 ohm", 0.85), "1.83 MHz", "50 ohm", "50 ohm").bound.m_as("degree")
    2.2924
    """
    hertz = positive(frequency, "Hz", "frequency")
    feed = end_impedance(source, "source")
    load = end_impedance(port, "port")
    check_broadcast(hertz, feed, load)
    gamma, impedance = the_cable(cable).constants(hertz)
    product = terminated.reflection_product(impedance, feed, load)[()]
    if np.any(np.abs(product) >= 1):
        raise InputError(
            "both are so reactive that the phase has no bound", where="source, port", remedy="give more resistance"
        )
    latest, earliest = terminated.greatest_phases(gamma, product)
    bound = terminated.phase_bound(product)
    return Mismatch(
        scalar(product),
        *(with_unit(np.degrees(angle), "degree") for angle in (bound, latest, earliest)),
    )


@dataclass(frozen=True, eq=False)
class Needed:
    """How good both ends of a line must be, equally good, for a phase accuracy.

    `phase_error` [degree] is what was asked; `product` the greatest |rho_s rho_L|, a plain number; `return_loss`
    [dB] and `swr` (a plain number) are what each end must have on the line, the return loss at least, the SWR at
    most. `exact` [degree] is the greatest error over all lengths of a lossless line between two such ends.
    """

    phase_error: Any
    product: Any
    return_loss: Any
    swr: Any
    exact: Any


def needed_match(phase_error: Any) -> Needed:
    """Return how well source and port must be matched so that no length of line is farther off than wanted.

    Closed: |rho_s rho_L| = sin(phase_error), half of its return loss at each end.

    Raises
    ------
    InputError
        When the wanted error is not between 0 and 90 degrees.

    Examples
    --------
    >>> needed_match("1 deg").return_loss.m_as("dB"), needed_match("1 deg").swr
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
    return Needed(
        phase_error=with_unit(np.degrees(wanted), "degree"),
        product=scalar(product),
        return_loss=with_unit(-np.log(each) * NEPER_IN_DB, "dB"),
        swr=scalar((1 + each) / (1 - each)),
        exact=with_unit(np.degrees(exact), "degree"),
    )
