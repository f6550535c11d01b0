"""From a measured check frequency to the delay of a piece, its error, and what to cut off."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import not_negative, positive
from workbook.errors import InputError
from workbook.formatting import both_lengths
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.lengths import length_from_check_frequency
from workbook.units import Quantity

GUARD = 0.5
"""Share of the whole cut to take off first; the next reading decides about the rest."""


@dataclass(frozen=True)
class TrimAdvice:
    """What a check frequency means.

    `delay` of the whole piece with its connectors, at the band; `error` in degrees there, positive = too long;
    `verdict` is ``"keep"``, ``"trim"`` or ``"too short"``; `cut_off` is the whole amount (0 unless the verdict is
    trim) and `first_cut_off` the guarded part of it to cut before measuring again.
    """

    delay: Any
    error: Any
    verdict: str
    cut_off: Any
    first_cut_off: Any

    def sentence(self) -> str:
        """Say it in words."""
        head = f"{self.delay.m_as('ns'):.3f} ns, {self.error.m_as('degree'):+.2f} deg"
        if self.verdict == "trim":
            first, whole = (both_lengths(part.m_as("m")) for part in (self.first_cut_off, self.cut_off))
            return f"{head}: too long by {whole}; cut off {first} first, then measure again."
        if self.verdict == "too short":
            return f"{head}: too short; keep it for a shorter line and cut this one anew."
        return f"{head}: good, keep it."


def trim_advice(
    cable: Cable,
    measured_check_frequency: Any,
    wanted_delay: Any,
    band_frequency: Any,
    accept: Any = "1 degree",
    far_end: str = "open",
    connector_delay: Any = "0 ns",
) -> TrimAdvice:
    """Return what to do with a piece whose check frequency was measured.

    Parameters
    ----------
    cable
        What the piece is made of.
    measured_check_frequency
        Lowest frequency of zero reactance with the connectors fitted.
    wanted_delay
        Delay of the finished line, connectors included.
    band_frequency
        Frequency at which the delay and the error count.
    accept
        Error at which the piece is kept.
    far_end
        ``"open"`` or ``"short"``.
    connector_delay
        Of one connector; one is fitted at each end.

    Raises
    ------
    InputError
        As `length_from_check_frequency`; all arguments are single values.

    Examples
    --------
    >>> from workbook.line.cable import ideal_cable
    >>> advice = trim_advice(ideal_cable("75 ohm", 0.66), "2.45 MHz", "100 ns", "1.83 MHz")
    >>> advice.verdict, round(advice.cut_off.m_as("m"), 3)
    ('trim', 0.404)
    """
    hertz = positive(band_frequency, "Hz", "band_frequency")
    wanted = not_negative(wanted_delay, "s", "wanted_delay")
    good = positive(accept, "degree", "accept")
    extra = 2 * not_negative(connector_delay, "s", "connector_delay")
    measured = positive(measured_check_frequency, "Hz", "measured_check_frequency")
    if any(np.ndim(value) for value in (hertz, wanted, good, extra, measured)):
        raise InputError("one piece at a time", where="measured_check_frequency", remedy="give single values")
    metres = length_from_check_frequency(cable, Quantity(measured, "Hz"), far_end, connector_delay).m_as("m")
    v = cable.velocity(hertz)
    delay = metres / (v * lines.C) + extra
    error = 360 * hertz * (delay - wanted)
    verdict = "keep" if abs(error) <= good else "trim" if error > 0 else "too short"
    off = float((delay - wanted) * v * lines.C) if verdict == "trim" else 0.0
    return TrimAdvice(
        Quantity(float(delay), "s").to("ns"),
        Quantity(float(error), "degree"),
        verdict,
        Quantity(off, "m"),
        Quantity(off * GUARD, "m"),
    )
