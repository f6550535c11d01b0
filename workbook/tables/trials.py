"""What trials give on every band, for the worksheet *tolerance*."""

from collections.abc import Mapping, Sequence

from workbook.formatting import LengthUnits
from workbook.tables.answer import LEAST_FIGURES, AnswerLine, Figure
from workbook.tables.hold import short_subject, within
from workbook.tables.table import Table
from workbook.tables.tolerance import NAMES, NO_LIMIT, Shares, figure_table
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.result import ToleranceResult

MOST_INTERVALS = 3
"""Figures whose interval stands in the answer line: RDF, front-to-back, and the one shown."""


def bands_table(results: Mapping[str, ToleranceResult], direction: str, coverage: float) -> Table:
    """Return nominal value, median and coverage interval of each figure on every band, and on how many trials.

    Parameters
    ----------
    results
        By band.
    direction
        Its name.
    coverage
        Probability inside the interval.
    """
    tables = {band: figure_table(result, coverage) for band, result in results.items()}
    rows = tuple((band, *row, f"{results[band].count:,}") for band, table in tables.items() for row in table.rows)
    headings = ("band", *next(iter(tables.values())).headings, "trials")
    return Table(f"{direction}: what arrays built so will do", headings, rows)


def spread_sentence(result: ToleranceResult, figure: str, coverage: float, band: str) -> str:
    """Return in a sentence where a figure lies, and on how many trials that rests."""
    unit = "deg" if result.unit(figure) == "degree" else "dB"
    (_, exact, median, low, high) = figure_table(result, coverage).rows[result.figures.index(figure)]
    (exact, median, low, high) = (
        value if value == NO_LIMIT else f"{value} {unit}" for value in (exact, median, low, high)
    )
    name = NAMES[figure][:1].upper() + NAMES[figure][1:]
    stopped = f", stopped before all {result.wanted:,} were done" if result.stopped else ""
    return (
        f"{name} on {band}: {exact} without errors, {low} to {high} in {100 * coverage:g} % of arrays, "
        f"median {median} ({result.count:,} trials{stopped})."
    )


def tolerance_answer(
    result: ToleranceResult,
    shares: Shares,
    coverage: float,
    state: str,
    held: Sequence[Tolerance] = (),
    units: LengthUnits = LengthUnits.BOTH,
) -> AnswerLine:
    """Return where every figure lies, which tolerances spread the figure shown most, and what to hold the first to.

    Parameters
    ----------
    result
        What the trials gave.
    shares
        Tolerances with their shares of the variance of the figure shown, largest first.
    coverage
        Probability inside the intervals.
    state
        Direction and band.
    held
        The widest tolerances found, nothing before they are.
    units
        How lengths are written.

    Returns
    -------
    AnswerLine
    """
    rows = zip(result.figures, figure_table(result, coverage).rows, strict=True)
    figures = [
        Figure(NAMES[name], f"{low} to {high}", "deg" if result.unit(name) == "degree" else "dB")
        for name, (*_, low, high) in list(rows)[:MOST_INTERVALS]
    ]
    for label, (one, share) in zip(("first cause", "second cause"), shares, strict=False):
        if share > 0:
            name = short_subject(one).replace("-\n", "").replace("\n", " ")
            figures.append(Figure(label, f"{100 * share:.0f} %", name))
    first = (shares[0][0].what, shares[0][0].shared)
    for one in held:
        if (one.what, one.shared) == first:
            figures.append(Figure("hold it within", within(one, units)))
    if len(figures) < LEAST_FIGURES:
        figures.append(Figure("cause", "none of these"))
    return AnswerLine(f"{state}: {100 * coverage:g} % of {result.count:,} arrays", tuple(figures))
