"""Tolerances and faults in tables and plain sentences: what a run gives, what to hold, what a fault costs."""

from collections.abc import Sequence

import numpy as np

from workbook.formatting import LengthUnits, rounded
from workbook.line.cable import Cable
from workbook.tables.hold import subject, within
from workbook.tables.table import Table
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.report import FaultReport, Null
from workbook.tolerance.result import ToleranceResult

NAMES = {
    "rdf": "RDF",
    "front_to_back": "front-to-back",
    "front_to_rear": "front-to-rear",
    "null_depth": "null depth",
    "pointing": "pointing",
}
"""Figures as they are written."""
NO_LIMIT = "no limit"
"""How an infinite figure is written."""
Shares = Sequence[tuple[Tolerance, float]]
"""Tolerances with their share of a figure's variance, largest first."""
NO_LOSS = 0.005
"""A loss under half of a hundredth of a dB is none."""
HARDLY = 0.05
"""A tolerance with a smaller share of the variance hardly matters."""


def figure_table(result: ToleranceResult, coverage: float = 0.95) -> Table:
    """Return nominal value, median and coverage interval of each figure, with as many digits as the trials bear.

    Parameters
    ----------
    result
        What `wb.run_tolerance` gave.
    coverage
        Probability inside the interval.

    Returns
    -------
    Table
    """
    rows = []
    for name in result.figures:
        digits = _digits(max(result.interval_error(name, coverage)))
        low, high = result.interval(name, coverage)
        values = (result.nominal(name), result.median(name), low, high)
        unit = "deg" if result.unit(name) == "degree" else result.unit(name)
        rows.append((f"{NAMES[name]} [{unit}]", *(_written(value, digits) for value in values)))
    headings = ("figure", "without errors", "median", f"{100 * coverage:g} % from", "to")
    return Table(f"Figures of {result.count:,} trials", headings, tuple(rows))


def _digits(error: float) -> int:
    """Return decimals whose last one the trials decide, at most three."""
    return int(np.clip(np.floor(-np.log10(2 * error)), 0, 3)) if 0 < error < np.inf else 2


def _written(value: float, digits: int) -> str:
    return rounded(value, digits) if np.isfinite(value) else NO_LIMIT


def sensitivity_table(shares: Shares, figure: str, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return each tolerance's share of a figure's variance, largest first.

    Parameters
    ----------
    shares
        What `ToleranceResult.sensitivities` gave.
    figure
        Which figure.
    units
        How lengths are written.

    Returns
    -------
    Table
    """
    rows = tuple((subject(one), within(one, units), f"{rounded(100 * share, 1)} %") for one, share in shares)
    return Table(f"What spreads the {NAMES[figure]}", ("tolerance", "within", "share of the variance"), rows)


def ranking(shares: Shares, figure: str) -> str:
    """Return in a sentence which tolerance costs most and which hardly matter.

    Parameters
    ----------
    shares
        What `ToleranceResult.sensitivities` gave.
    figure
        Which figure.

    Returns
    -------
    text
    """
    if not shares[0][1] > 0:
        return f"None of these tolerances changes the {NAMES[figure]}."
    most, share = shares[0]
    little = [subject(t) for t, part in shares[1:] if part < HARDLY]
    sentence = f"Errors of {subject(most)} cost most: {100 * share:.0f} % of the variance of the {NAMES[figure]}"
    if little:
        sentence += f"; {' and '.join(filter(None, (', '.join(little[:-1]), little[-1])))} hardly matter"
        sentence += "s" if len(little) == 1 else ""
    return f"{sentence}."


def basis(result: ToleranceResult) -> str:
    """Return in a sentence how many trials a result rests on, and whether it was stopped.

    Parameters
    ----------
    result
        What `wb.run_tolerance` gave.

    Returns
    -------
    text
    """
    stopped = f"; the run was stopped before all {result.wanted:,} were done" if result.stopped else ""
    return f"These figures rest on {result.count:,} trials{stopped}."


# --- faults -----------------------------------------------------------------------------------------------


def channel_table(report: FaultReport, velocity_factor: float | Cable, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return each channel's phase error in degrees and as length of cable, and its level.

    Parameters
    ----------
    report
        What `wb.fault_report` gave.
    velocity_factor
        Of the lines: a plain number or a `Cable`.
    units
        How lengths are written.

    Returns
    -------
    Table
    """
    degrees, levels = report.phase_error.m_as("degree"), report.level.m_as("dB")
    lengths = report.length_error(velocity_factor).m_as("m")
    rows = tuple(
        (
            str(number),
            rounded(late, 2, "+") if np.isfinite(level) else "dead",
            units.signed(length) if np.isfinite(level) else "",
            rounded(level, 2, "+") if np.isfinite(level) else "no signal",
        )
        for number, (late, length, level) in enumerate(zip(degrees, lengths, levels, strict=True), 1)
    )
    return Table("Channels", ("element", "too long [deg]", "the same as", "level [dB]"), rows)


def fault_table(report: FaultReport) -> Table:
    """Return the pattern's figures before and after, and what is lost.

    Parameters
    ----------
    report
        What `wb.fault_report` gave.

    Returns
    -------
    Table
    """
    pairs = {"RDF [dB]": report.rdf, "front-to-back [dB]": report.front_to_back}
    rows: list[tuple[str, ...]] = []
    for name, (before, after) in pairs.items():
        first, second = float(before.m_as("dB")), float(after.m_as("dB"))
        lost = rounded(first - second, 2) if np.isfinite(first - second) else ""
        rows.append((name, _written(first, 2), _written(second, 2), lost))
    rows.append(("deepest null", *(_null(null) for null in report.null), ""))
    return Table("Pattern", ("figure", "before", "after", "lost"), tuple(rows))


def _null(null: Null) -> str:
    depth = float(null.depth.m_as("dB"))
    deep = f"{depth:.1f} dB down" if np.isfinite(depth) else "complete"
    return f"at {null.azimuth.m_as('degree'):.1f} deg, {deep}"


def verdict(report: FaultReport) -> str:
    """Return in plain words what the faults cost, as plainly when it is nothing.

    Parameters
    ----------
    report
        What `wb.fault_report` gave.

    Returns
    -------
    text
    """
    rdf_lost = float(report.rdf_lost.m_as("dB"))
    before, after = (float(each.m_as("dB")) for each in report.front_to_back)
    clauses = [_cost("RDF", rdf_lost)]
    if np.isinf(before) and np.isfinite(after):
        clauses.append(f"a complete null behind becomes a front-to-back of {after:.1f} dB")
    else:
        clauses.append(_cost("front-to-back", float(report.front_to_back_lost.m_as("dB"))))
    return f"{'; '.join(clauses)}."


def _cost(name: str, lost: float) -> str:
    if abs(lost) < NO_LOSS:
        return f"{name} stays the same (0.00 dB)"
    return f"{name} {'falls' if lost > 0 else 'rises'} by {abs(lost):.2f} dB"
