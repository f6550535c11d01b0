"""Fewer delay lines by a wider tolerance, and the stake that makes all runs longer."""

import math
from collections.abc import Sequence

from workbook.formatting import rounded
from workbook.plan.results import Cost, MergeOption
from workbook.plan.stages import AnyPlan, Stages
from workbook.tables.costs import NO_MATTER
from workbook.tables.table import Table

LONGER_M = 0.05
"""One stake farther out than all others by less than this [m] is not named."""


def merge_table(plan: AnyPlan) -> Table:
    """Return the tolerance that each smaller number of lines takes, and what the pattern then loses at most."""
    rows = tuple(
        (
            f"{option.tolerance_deg:g} deg",
            str(option.lines),
            str(option.pieces),
            *_lost(option.cost),
            "-" if option.cost is None else "matters" if option.cost.matters else NO_MATTER,
        )
        for option in worth_taking(plan.merges)
    )
    headings = ("merge within", "lines", "pieces", "RDF lost dB", "F/B lost dB", "verdict")
    title = "Fewer lines by merge within in worksheet 03; losses are the most of all directions and bands"
    return Table(title, headings, rows)


def worth_taking(merges: Sequence[MergeOption]) -> tuple[MergeOption, ...]:
    """Return the merges without those that matter to the pattern where one with fewer lines does not."""
    free = [option.lines for option in merges if _costs_nothing(option)]
    return tuple(option for option in merges if _costs_nothing(option) or option.lines < min(free, default=math.inf))


def _costs_nothing(option: MergeOption) -> bool:
    return option.cost is not None and not option.cost.matters


def _lost(cost: Cost | None) -> tuple[str, str]:
    return ("-", "-") if cost is None else (rounded(cost.rdf_lost_db, 2), rounded(cost.front_to_back_lost_db, 1))


def lines_sentence(plan: Stages) -> str:
    """Say how many delay lines a plan takes and which merge keeps them few; nothing where none does so for free."""
    free = [option for option in plan.merges if _costs_nothing(option)]
    if not free or free[-1].lines >= len(plan.lines.delays):
        return ""
    best = free[-1]
    return (
        f"As the stakes stand, the beams take {len(plan.lines.delays)} different delay lines; merge within "
        f"{best.tolerance_deg:g} deg (worksheet 03) leaves {best.lines}, RDF {_lost(best.cost)[0]} dB less, which "
        f"{NO_MATTER}."
    )


def farthest_stake(plan: AnyPlan) -> str:
    """Name the stake that alone makes all equal runs longer, and by how much; nothing where none does."""
    places = ((math.hypot(one.east_m - plan.hub_east_m, one.north_m - plan.hub_north_m), one) for one in plan.elements)
    (far, stake), *others = sorted(places, key=lambda pair: -pair[0])
    near = others[0][0] if others else far
    if far - near < LONGER_M:
        return ""
    return (
        f"Element {stake.number} stands farthest from the hub: it alone makes all {len(plan.elements)} element runs "
        f"{plan.units.text(far - near)} longer."
    )
