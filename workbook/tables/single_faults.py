"""Levels to expect when one element at a time is disconnected, and the likeliest fault, in words."""

from workbook.formatting import rounded
from workbook.plan.single_faults import (
    LikeliestFault,
    SingleFault,
    SourceSignal,
    level_changes,
    toward_and_away,
)
from workbook.plan.stages import AnyPlan
from workbook.tables.table import Table

MOST_NAMED = 4
"""Faults that are named in a sentence."""


def levels_table(plan: AnyPlan, signal: SourceSignal) -> Table:
    """Return the change of level when each element is disconnected, for a healthy and for a faulty channel.

    Swapped: with the element that stands next in the numbering.
    """
    rows, count = [], len(plan.elements)
    faults = [fault for number in range(1, count + 1) for fault in _faults_of(number, count)]
    for direction in toward_and_away(plan, signal):
        levels = level_changes(plan, signal, direction, *faults).reshape(count, -1, count)
        for number in range(1, count + 1):
            cells = (rounded(level, 1, "+") for level in levels[number - 1, :, number - 1].tolist())
            rows.append((direction, str(number), *cells, ""))
    headings = (
        "switch to",
        "disconnect element",
        "healthy dB",
        "dead dB",
        "reversed dB",
        "swapped with the next dB",
        "measured dB",
    )
    title = f"Change of level of a signal from {signal.azimuth_deg:g} deg on {signal.on}"
    return Table(title, headings, tuple(rows))


def _faults_of(number: int, count: int) -> tuple[SingleFault, ...]:
    """Return the faults of the table for one element of some."""
    other = number % count + 1
    return (
        SingleFault("healthy"),
        SingleFault("dead", (number,)),
        SingleFault("reversed", (number,)),
        SingleFault("swapped", (min(number, other), max(number, other))),
    )


def fault_sentence(found: LikeliestFault) -> str:
    """Say which single fault is the likeliest, and which others the levels do not rule out."""
    if not found.explained:
        return (
            f"No single fault explains these levels: the nearest, {found.fault}, leaves {found.misfit_db:.1f} dB. "
            "Measure again, or look for two faults."
        )
    named = ", ".join(map(str, found.not_distinguishable[:MOST_NAMED]))
    more = len(found.not_distinguishable) - MOST_NAMED
    others = f"; not distinguishable from: {named}{f' and {more} more' if more > 0 else ''}" if named else ""
    return f"Likeliest: {found.fault}{others}."
