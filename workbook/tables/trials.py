"""What trials give on every band, for the worksheet *tolerance*."""

from collections.abc import Mapping

from workbook.tables.table import Table
from workbook.tables.tolerance import NAMES, NO_LIMIT, figure_table
from workbook.tolerance.result import ToleranceResult


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
