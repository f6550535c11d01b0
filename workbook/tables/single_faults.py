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
    for direction in toward_and_away(plan, signal):
        for number in range(1, count + 1):
            other = number % count + 1
            faults = [SingleFault("healthy"), SingleFault("dead", (number,)), SingleFault("reversed", (number,))]
            faults.append(SingleFault("swapped", (min(number, other), max(number, other))))
            levels = (level_changes(plan, signal, direction, fault)[number - 1] for fault in faults)
            rows.append((direction, str(number), *(rounded(float(level), 1, "+") for level in levels), ""))
    headings = (
        "switch to",
        "disconnect element",
        "healthy dB",
        "dead dB",
        "reversed dB",
        "swapped with the next dB",
        "measured dB",
    )
    title = f"Change of level of a signal from {signal.azimuth_deg:g} deg on {signal.band}"
    return Table(title, headings, tuple(rows))


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
