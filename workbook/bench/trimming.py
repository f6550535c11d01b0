"""From a measured check frequency to the delay of a piece, its error, and what to cut off.

Only ever cut off: a piece that is too short stays too short. The first cut leaves half of what is to go or, where the
uncertainty of the measurement is known, as much as could be too much.
"""

from dataclasses import dataclass

import numpy as np

from workbook.bench.measured import Measured, value_and_uncertainty
from workbook.checks import not_negative, positive, single
from workbook.formulas import lines
from workbook.line.cable import Cable, check_cable
from workbook.line.lengths import length_from_check_frequency
from workbook.units import Angle, Frequency, Length, Quantity, Time

GUARD = 0.5
"""Least share of the whole cut to take off first; the next reading decides about the rest."""
COVERAGE = 2.0
"""Standard uncertainties that the first cut leaves, so that it is too much once in fifty."""


@dataclass(frozen=True)
class TrimAdvice:
    """What to do with a piece by its check frequency.

    Attributes
    ----------
    delay
        Of the whole piece with its connectors, at the band [ns].
    error
        Phase of that delay less that of the wanted one [degree]; positive = too long.
    verdict
        ``"keep"``, ``"trim"`` or ``"too short"``.
    cut_off
        The whole length to cut off [m]; 0 unless the verdict is trim.
    first_cut_off
        The guarded part of it to cut off before measuring again [m].
    """

    delay: Time
    error: Angle
    verdict: str
    cut_off: Length
    first_cut_off: Length


def trim_advice(
    cable: Cable,
    measured_check_frequency: Frequency | Measured,
    wanted_delay: Time,
    band_frequency: Frequency,
    accept: Angle = "1 degree",
    far_end: str = "open",
    connector_delay: Time = "0 ns",
) -> TrimAdvice:
    """Return what to do with a piece whose check frequency was measured.

    Parameters
    ----------
    cable
        Cable of the piece.
    measured_check_frequency
        Lowest frequency of zero reactance with the connectors fitted; a `Measured` decides about the first cut by its
        uncertainty.
    wanted_delay
        Delay of the finished line, connectors included.
    band_frequency
        Frequency at which the delay and the error count.
    accept
        Error at which the piece is kept.
    far_end
        ``"open"`` or ``"short"``.
    connector_delay
        Electrical delay of one connector; one is fitted at each end.

    Returns
    -------
    TrimAdvice

    Raises
    ------
    InputError
        As `length_from_check_frequency`, and when an argument is not a single value.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> advice = trim_advice(ideal_cable("75 ohm", 0.66), "2.45 MHz", "100 ns", "1.83 MHz")
    >>> advice.verdict, round(advice.cut_off.m_as("m"), 3)
    ('trim', 0.404)
    """
    hertz = single(positive(band_frequency, "Hz", "band_frequency"), "band_frequency")
    wanted = single(not_negative(wanted_delay, "s", "wanted_delay"), "wanted_delay")
    good = single(positive(accept, "degree", "accept"), "accept")
    connector = single(not_negative(connector_delay, "s", "connector_delay"), "connector_delay")
    frequency, error_hz = value_and_uncertainty(measured_check_frequency, "Hz", "measured_check_frequency", np.inf)
    measured = Quantity(frequency, "Hz")
    metres = float(length_from_check_frequency(cable, measured, far_end, Quantity(connector, "s")).m_as("m"))
    v = float(check_cable(cable).velocity(hertz))
    delay = metres / (v * lines.C) + 2 * connector
    error = 360 * hertz * (delay - wanted)
    verdict = "keep" if abs(error) <= good else "trim" if error > 0 else "too short"
    off = (delay - wanted) * v * lines.C if verdict == "trim" else 0.0
    left = COVERAGE * metres * error_hz / frequency
    return TrimAdvice(
        Quantity(delay, "s").to("ns"),
        Quantity(error, "degree"),
        verdict,
        Quantity(off, "m"),
        Quantity(max(off - left, GUARD * off), "m"),
    )
