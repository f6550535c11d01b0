"""Matched sets as a table, an answer line and sentences: what sorting bought, and what the remaining spread costs."""

from workbook.bench.matched_sets import MatchedSets
from workbook.formatting import rounded
from workbook.plan.line_costs import LineCosts
from workbook.plan.stages import AnyPlan
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_sentence
from workbook.tables.table import Table
from workbook.units import Quantity

PAIRS = "pairs in series"


def spread_text(spread: Quantity) -> str:
    """Write a spread to three digits with its unit.

    Examples
    --------
    >>> spread_text(Quantity(2.1131, "uH"))
    '2.11 µH'
    """
    return f"{spread.magnitude:.3g} {spread.units:~P}".rstrip()


def sets_table(found: MatchedSets, values: dict[str, Quantity | tuple[Quantity, ...]]) -> Table:
    """Return the sets with their parts, and their spread or, of pairs in series, their sum."""
    pairs = len(found.spread) != len(found.sets)
    rows = []
    for number, one in enumerate(found.sets, 1):
        parts = ", ".join(f"{label} ({_written(values[label])})" for label in one)
        last = spread_text(sum(values[label] for label in one)) if pairs else spread_text(found.spread[number - 1])
        rows.append((str(number), parts, last))
    return Table("Sorted parts", ("set", "parts", "sum" if pairs else "spread"), tuple(rows))


def _written(value: Quantity | tuple[Quantity, ...]) -> str:
    return ", ".join(f"{one:.5g~P}" for one in value) if isinstance(value, tuple) else f"{value:.5g~P}"


def spares_sentence(found: MatchedSets) -> str:
    """Name the parts that are left over."""
    return f"Left over: {', '.join(found.spares)}." if found.spares else "No part is left over."


def bought_sentence(found: MatchedSets) -> str:
    """Say what sorting bought beside using the parts as they came, and whether it can be done better."""
    sorted_, unsorted = spread_text(found.greatest_spread), spread_text(found.unsorted_spread)
    if found.unsorted_spread.magnitude <= found.greatest_spread.magnitude:
        return f"Sorting changes nothing: the greatest spread is {sorted_} as the parts came."
    share = 1 - float((found.greatest_spread / found.unsorted_spread).m_as(""))
    better = "no other choice is better" if found.proven else f"no choice is below {spread_text(found.bound)}"
    return (
        f"Sorted, the greatest spread is {sorted_}; as the parts came it would be {unsorted}, so sorting takes away "
        f"{rounded(100 * share, 0)} %; {better}."
    )


def delay_cost_sentence(found: MatchedSets, plan: AnyPlan) -> str:
    """Say what the remaining spread of delays costs an array in degrees, RDF and front-to-back; nothing of others."""
    spread = found.greatest_spread
    if not spread.is_compatible_with("s"):
        return ""
    seconds = float(spread.m_as("s"))
    degrees = "; ".join(f"{rounded(360 * b.frequency_hz * seconds, 2)} deg on {b.name}" for b in plan.bands)
    return f"As element runs of {plan.name} this spread is {degrees}. {cost_sentence(LineCosts(plan).of_run(seconds))}"


def sets_answer(found: MatchedSets) -> AnswerLine:
    """Return the figures above the picture."""
    what = "pairs" if len(found.spread) != len(found.sets) else "sets"
    figures = (
        Figure(what, str(len(found.sets))),
        Figure("greatest spread", spread_text(found.greatest_spread)),
        Figure("unsorted", spread_text(found.unsorted_spread)),
        Figure("left over", str(len(found.spares))),
    )
    return AnswerLine(f"{what} of {len(found.sets[0])}", figures)
