"""Turns of a transformer's two windings."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import check_broadcast
from workbook.errors import InputError, shown
from workbook.matching.match import resistances
from workbook.units import scalar

MOST = 200
"""More turns than this on one winding are a slip."""

OUT_OF_REACH = 1.2
"""SWR left by the greatest ratio above which a limit of turns counts as too small."""


@dataclass(frozen=True)
class Turns:
    """Turns of the winding at the source and of the one at the load, and how far their ratio squared is off.

    `impedance_error` = (source/load)^2 of the turns over source/load of the impedances, less 1; a plain number.
    """

    source: Any
    load: Any
    impedance_error: Any


def transformer_turns(source: Any, load: Any, most_turns: int) -> Turns:
    """Return the turns whose ratio squared is nearest to source/load; the fewest turns where several are.

    A small limit has few ratios; `impedance_error` says how far the nearest of them is off.

    Parameters
    ----------
    source, load
        Resistances to be matched.
    most_turns
        Greatest number of turns for each winding, 1 to 200.

    Raises
    ------
    InputError
        When the limit is no such number, or source/load lies beyond the greatest ratio that it allows, by more than
        an SWR of 1.2; the sentence says the least limit with a ratio within that SWR.

    Examples
    --------
    >>> transformer_turns("75 ohm", "50 ohm", 5)
    Turns(source=5, load=4, impedance_error=0.0417)
    """
    source_ohms, load_ohms = resistances(source, "source"), resistances(load, "load")
    check_broadcast(source_ohms, load_ohms)
    if isinstance(most_turns, bool) or not isinstance(most_turns, (int, np.integer)) or not 1 <= most_turns <= MOST:
        raise InputError(
            f"{shown(most_turns)} turns make no winding",
            where="most_turns",
            remedy=f"give a whole number from 1 to {MOST}",
        )
    wanted = np.asarray(source_ohms / load_ohms)
    check_reach(float(np.max(np.maximum(wanted, 1 / wanted), initial=1.0)), int(most_turns))
    first, second = turn_pairs(int(most_turns))
    nearest = np.argmin(_distance(wanted[..., None], (first / second) ** 2), axis=-1)
    error = (first[nearest] / second[nearest]) ** 2 / wanted - 1
    return Turns(scalar(first[nearest]), scalar(second[nearest]), scalar(error))


def turn_pairs(most: int) -> tuple[Any, Any]:
    """Return all pairs of windings, fewest turns first, so that the first of equal ones has the fewest."""
    first, second = (n.ravel() for n in np.mgrid[1 : most + 1, 1 : most + 1])
    order = np.argsort(first + second, kind="stable")
    return first[order], second[order]


def _distance(wanted: Any, ratio: Any) -> Any:
    # rounded, so that ratios equally far above and below count as equal
    return np.round(np.abs(ratio / wanted - 1), 12)


def check_reach(ratio: float, most: int, enough: int | None = None) -> None:
    """Refuse an impedance ratio above 1 that lies far beyond a limit of turns.

    `enough` is the limit that would do, None = the least with a ratio that leaves no SWR above 1.2.
    """
    if ratio <= OUT_OF_REACH * most**2:
        return
    if enough is None:
        first, second = turn_pairs(MOST)
        left = first**2 / second**2 / ratio
        enough = min(first[np.maximum(left, 1 / left) <= OUT_OF_REACH * (1 + 1e-12)], default=None)
    remedy = f"allow {enough} turns or more" if enough else f"no winding of up to {MOST} turns reaches it"
    raise InputError(
        f"{most} per winding reach impedance ratios up to {most**2}",
        where="most_turns",
        wanted=f"{ratio:.4g}",
        remedy=f"{remedy}",
    )
