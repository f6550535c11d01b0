"""What to expect when checking directions, as a table and a sentence."""

import numpy as np

from workbook.formatting import rounded
from workbook.plan.direction_check import Levels
from workbook.tables.table import Table

FLOOR = -60.0
"""A signal this far under one element [dB] is written as lower still: no array is built that exactly."""
SURE = 20.0
"""A difference greater than this [dB] rests on a null, which a real array only nears."""


def _cell(level: float) -> str:
    return f"under {FLOOR:g}" if level < FLOOR else rounded(level, 1)


def levels_table(levels: Levels) -> Table:
    """Return the levels as a table, one row for each azimuth that a signal comes from, and what differs most there."""
    rows = []
    for azimuth, row in zip(levels.azimuths_deg, levels.level_db, strict=True):
        strongest, weakest = int(np.argmax(row)), int(np.argmin(row))
        most = f"{levels.positions[strongest]} over {levels.positions[weakest]}" if strongest != weakest else "none"
        rows.append((f"{azimuth:g}", *(_cell(level) for level in row), most))
    headings = ("signal from, deg true", *levels.positions, "differ most")
    title = (
        f"What to expect on {levels.band} when checking directions: dB over one element, "
        f"signal at {levels.elevation_deg:g} deg elevation"
    )
    return Table(title, headings, tuple(rows))


def most_different(levels: Levels) -> str:
    """Say which two positions must differ most, and on a signal from where."""
    if len(levels.positions) < 2:
        return "There is only one position, so that none can be compared."
    heard = np.maximum(levels.level_db, FLOOR)
    row = int(np.argmax(np.ptp(heard, axis=1)))
    strongest, weakest = int(np.argmax(heard[row])), int(np.argmin(heard[row]))
    apart = heard[row, strongest] - heard[row, weakest]
    least = "at least " if levels.level_db[row].min() < FLOOR else ""
    enough = f"In practice {SURE:g} dB of a null is enough. " if apart > SURE else ""
    two = f"{levels.positions[strongest]} and {levels.positions[weakest]}"
    return (
        f"On {levels.band} a signal from {levels.azimuths_deg[row]:g} deg must differ most: {least}{apart:.1f} dB "
        f"between {two}. {enough}If it does not, look for a crossed or dead channel."
    )
