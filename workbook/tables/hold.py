"""Which tolerances to hold, in plain words: for the build sheet and the worksheet."""

import math
from collections.abc import Sequence

import numpy as np

from workbook.formatting import LengthUnits
from workbook.plan.tolerances import BACK_ENOUGH, BACK_KEPT, CONFIDENCE, RDF_KEPT, Held
from workbook.tables.table import Table
from workbook.tolerance.kinds import Tolerance

SUBJECTS = {
    ("velocity factor", "reel"): "velocity factor of the reel",
    ("velocity factor", "all"): "velocity factor of the reel",
    ("velocity factor", "each"): "velocity factor, line by line",
    ("cut length", "each"): "length of each line",
    ("cut length", "reel"): "length of all lines alike",
    ("cut length", "all"): "length of all lines alike",
    ("connector delay", "each"): "connectors of each line",
    ("position", "each"): "position of each stake",
    ("amplitude", "each"): "gain of each channel",
    ("phase", "each"): "phase of each channel",
}
"""What a tolerance is on, as a builder says it."""
SHORT = {
    ("velocity factor", "reel"): "VF\nreel",
    ("velocity factor", "each"): "VF\nline",
    ("cut length", "each"): "cut\nline",
    ("cut length", "reel"): "cut\nall",
    ("connector delay", "each"): "con-\nnector",
    ("position", "each"): "stake",
    ("amplitude", "each"): "gain",
    ("phase", "each"): "phase",
}
"""The same under the bars of a picture."""


def subject(tolerance: Tolerance) -> str:
    """Return what a tolerance is on, as a builder says it."""
    return SUBJECTS.get((tolerance.what, tolerance.shared), f"{tolerance.what}, common to {tolerance.shared}")


def short_subject(tolerance: Tolerance) -> str:
    """Return the same on two short lines."""
    return SHORT.get((tolerance.what, tolerance.shared), tolerance.what)


def within(tolerance: Tolerance, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Write how far an error goes, rounded down to two digits; of a normal distribution its standard deviation.

    Examples
    --------
    >>> within(Tolerance("cut length", "uniform", half_width="18.4 mm"))
    '18 mm (11/16 in)'
    >>> within(Tolerance("velocity factor", "uniform", half_width=0.00419, shared="reel"))
    '0.41 %'
    >>> within(Tolerance("amplitude", "normal", standard_uncertainty=0.0233))
    '0.2 dB (standard deviation)'
    """
    value = tolerance.spread
    if tolerance.what == "velocity factor":
        text = f"{_down(100 * value):g} %"
    elif tolerance.what == "amplitude":
        text = f"{_down(20 * math.log10(1 + value)):g} dB"
    elif tolerance.what in ("cut length", "position"):
        text = _length(units, float(value.m_as("mm")))
    elif tolerance.what == "connector delay":
        text = f"{_down(float(value.m_as('ns'))):g} ns"
    else:
        text = f"{_down(float(value.m_as('degree'))):g} deg"
    return text if tolerance.standard_uncertainty is None else f"{text} (standard deviation)"


def _length(units: LengthUnits, millimetres: float) -> str:
    metric = _down(millimetres)
    shown = f"{metric:g} mm" if metric < 100 else f"{metric / 10:g} cm" if metric < 1000 else f"{metric / 1000:g} m"
    return units.joined(shown, LengthUnits.FEET.text(_sixteenths(metric) * 0.0254))


def _sixteenths(millimetres: float) -> float:
    """Return inches rounded down to whole sixteenths, so that neither way of writing is wider than the other."""
    return math.floor(millimetres / 25.4 * 16 + 1e-9) / 16


def _down(value: float) -> float:
    """Round down to two digits."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return float(np.round(math.floor(value / step + 1e-9) * step, 12))


def hold_list(tolerances: Sequence[Tolerance], units: LengthUnits = LengthUnits.BOTH) -> tuple[str, ...]:
    """Return what to hold, one line each.

    Examples
    --------
    >>> hold_list([Tolerance("cut length", "uniform", half_width="18.4 mm")])
    ('length of each line: within 18 mm (11/16 in)',)
    """
    return tuple(f"{subject(one)}: within {within(one, units)}" for one in tolerances)


def hold_reason(held: Held) -> str:
    """Return why these tolerances: the design says so, or what they keep."""
    if not held.kept:
        return "The design file says so under [tolerance]." if held.tolerances else "There is nothing to hold."
    beam = f"{held.kept[0].direction} on {' and '.join(dict.fromkeys(goal.band for goal in held.kept))}"
    return (
        "All errors come together here; the accept range is of lines alone, and that of a stake is of one stake "
        f"alone. Held together, these tolerances keep RDF within {RDF_KEPT:g} dB of planned, and "
        f"front-to-back within {BACK_KEPT:g} dB (or above {BACK_ENOUGH:g} dB), each in "
        f"{100 * CONFIDENCE:g} % of arrays, {beam}. "
        "Errors are taken as uniform within these limits; where one is held better, another may be wider: worksheet 09."
    )


def widest_table(
    now: Sequence[Tolerance],
    together: Sequence[Tolerance],
    alone: Sequence[Tolerance | None],
    keeping: str,
    units: LengthUnits = LengthUnits.BOTH,
) -> Table:
    """Return what is set now, the widest of all together, and the widest of each if the others were exact.

    Parameters
    ----------
    now, together
        Tolerances of the same kinds in the same order.
    alone
        The same; None where any keeps the figure.
    keeping
        What is kept, in words.
    units
        How lengths are written.
    """
    rows = tuple(
        (subject(a), within(a, units), within(b, units), "any" if c is None else within(c, units))
        for a, b, c in zip(now, together, alone, strict=True)
    )
    headings = ("tolerance", "set now", "widest, all together", "widest, all others exact")
    return Table(f"Widest tolerances that keep {keeping}", headings, rows)
