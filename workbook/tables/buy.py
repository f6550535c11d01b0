"""What to buy for a plan: cable with spare length, connectors, combiners, transformers, cores, resistors."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from workbook.formatting import FOOT
from workbook.matching.pad import nearest_value
from workbook.plan.results import Total
from workbook.plan.stages import AnyPlan
from workbook.tables.table import Table
from workbook.units import Quantity


def to_cut(plan: AnyPlan) -> tuple[Total, ...]:
    """Return how much of each cable is cut off the reels: the plan's totals, and what element runs are cut longer by.

    The totals count delay lines with what is trimmed off them, element runs without; a cutting plan counts both.
    """
    runs = plan.element_runs
    return tuple(
        _longer(one, runs.count * (runs.first_cut_m - runs.length_to_cut_m)) if one.cable == runs.cable else one
        for one in plan.totals
    )


def _longer(one: Total, metres: float) -> Total:
    length = one.length_m + metres
    cost = one.cost if one.cost is None or not one.length_m else one.cost * length / one.length_m
    return replace(one, length_m=length, cost=cost)


SPARE = 0.1
"""Share of a cable's length that is bought in addition, for a spoiled piece."""


def buy_table(plan: AnyPlan) -> Table:
    """Return what to buy: how much of each thing, and what it is for; of cables with a price also the cost.

    Cable is enough for every first cut and has a spare tenth, rounded up to whole metres; every piece has a connector
    at each end. Combiners and inverting transformers are those of the design's kind of hub.
    """
    headings, rows = ("what", "how much", "for"), tuple(_rows(plan))
    totals = to_cut(plan)
    if all(one.cost is None for one in totals):
        return Table("What to buy", headings, rows)
    costs = {one.cable: f"{one.cost / one.length_m * _spare_m(one):.2f}" for one in totals if one.cost is not None}
    return Table("What to buy", (*headings, "cost"), tuple((*row, costs.get(row[0], "")) for row in rows))


def _spare_m(one: Total) -> int:
    """Return the whole metres of a cable to buy."""
    return math.ceil(one.length_m * (1 + SPARE) - 1e-9)


def _rows(plan: AnyPlan) -> Iterator[tuple[str, str, str]]:
    for one in to_cut(plan):
        spare = _spare_m(one)
        yield (
            one.cable,
            plan.units.joined(f"{spare} m", f"{math.ceil(spare / FOOT)} ft"),
            f"{_counted(one.pieces, 'piece')}, first cuts and {SPARE:.0%} spare",
        )
    for one in plan.totals:
        yield f"connector for {one.cable}", str(2 * one.pieces), "both ends of every piece"
    own = next(option for option in plan.hub_options if option.kind == plan.hub)
    for inputs, count in sorted(Counter(own.combiner_inputs).items(), reverse=True):
        yield f"combiner with {inputs} inputs", str(count), "hub"
    turns = 0
    if plan.match:
        turns = int(any(part.unit == "turns" for part in plan.match.components))
    if own.inverting_transformers:
        yield "inverting transformer 1:1", str(own.inverting_transformers), "reversed elements, in the hub"
    if own.inverting_transformers + turns:
        where = ("inverting transformers",) * bool(own.inverting_transformers) + ("match",) * turns
        yield "transformer core", str(own.inverting_transformers + turns), " and ".join(where)
    match = plan.match
    for part in match.components if match else ():
        if match and part.unit == "ohm":
            series = 24 if "E24" in match.way else 96
            value = nearest_value(Quantity(part.value, "ohm"), series).m_as("ohm")
            yield f"resistor {value:g} ohm (E{series})", "1", f"match: {part.name}"
    attenuated = {
        feed.number for one in plan.directions for feed in one.elements if 0 < feed.amplitude < 0.9995
    }  # fmt: skip
    if attenuated:
        yield "attenuator", str(len(attenuated)), f"elements {', '.join(map(str, sorted(attenuated)))}: see the wiring"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
