"""Which turns of a transformer do best on the bands of interest."""

from collections.abc import Callable
from typing import Any

import numpy as np

from workbook.matching.match import Match
from workbook.matching.standing import rank, worst_on
from workbook.matching.transformer import Core, Windings, core_numbers, wound
from workbook.matching.turns import check_reach, turn_pairs

DECIMALS = 2
"""Turns that do equally well to these decimals of a dB and of SWR are equals; the fewest of them are taken."""

USUAL_TURNS = 36
"""Most turns of a winding unless others are allowed; so many are tried before a limit is called too small."""

Ranks = Callable[[Any, Any, Any], tuple[Any, Any, Any]]


def best_transformer(
    source_ohms: Any, load_ohms: Any, core: Core | None, most: int, hertz: Any, limits: tuple[float, float]
) -> Match:
    """Return the transformer with at most so many turns per winding that stands before all others on the bands.

    Where it is beyond the limits of SWR and loss [1, dB], but more turns would not be, its remedy says how many.
    """
    numbers, row = core_numbers(core), np.sort(hertz, axis=None)

    def ranks(first: Any, second: Any, hertz: Any) -> tuple[Any, Any, Any]:
        tried = Windings(first[:, None], second[:, None], *numbers)
        return rank(worst_on(Match("", "", source_ohms, load_ohms, (tried,)), hertz), limits, DECIMALS)

    first, second, is_beyond = _best(ranks, row, *turn_pairs(most))
    enough = _least_limit(ranks, row) if is_beyond and most < USUAL_TURNS else None
    sizes = abs(source_ohms), abs(load_ohms)
    check_reach(max(sizes) / min(sizes), most, enough)
    remedy = f"allow {enough} turns per winding, not {most}" if enough else ""
    return wound(source_ohms, load_ohms, Windings(first, second, *numbers), remedy)


def _ends_and_middle(row: Any) -> Any:
    """A few of the frequencies: on these alone no turns stand worse than on all of them."""
    return row[[0, row.size // 2, -1]]


def _best(ranks: Ranks, row: Any, first: Any, second: Any) -> tuple[int, int, bool]:
    """Return the best turns, and whether even these are beyond the limits."""
    rough = ranks(first, second, _ends_and_middle(row))
    start = _order(rough)[:1]
    bound = ranks(first[start], second[start], row)
    # what stands behind the bound on a few frequencies needs no closer look
    close = np.flatnonzero((rough[0] < bound[0]) | ((rough[0] == bound[0]) & (rough[1] <= bound[1])))
    whole = ranks(first[close], second[close], row)
    best = _order(whole)[0]
    return int(first[close[best]]), int(second[close[best]]), bool(whole[0][best])


def _order(ranked: tuple[Any, Any, Any]) -> Any:
    """Places of what is ranked, best first; equals stay as they were."""
    return np.lexsort(ranked[::-1])


def _least_limit(ranks: Ranks, row: Any) -> int | None:
    """Return the least limit of turns with which the limits of SWR and loss are kept, None where there is none."""
    first, second = turn_pairs(USUAL_TURNS)
    for frequencies in (_ends_and_middle(row), row):
        if not first.size:
            return None
        do = ~ranks(first, second, frequencies)[0]
        first, second = first[do], second[do]
    return int(np.maximum(first, second).min()) if first.size else None
