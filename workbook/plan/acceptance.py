"""The error at which a delay line is good: what keeps the pattern, where the design does not say."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook.design.hubs import HubBase
from workbook.design.schema import DesignFile
from workbook.plan.costs import PatternCosts, most
from workbook.plan.delays import Lines
from workbook.plan.results import Cost
from workbook.units import IntArray, Quantity

KEPT_RDF_DB, KEPT_FRONT_TO_BACK_DB = 0.1, 1.0
"""How much of RDF and front-to-back the accepted error may cost."""
ENOUGH_FRONT_TO_BACK_DB = 20.0
"""A front-to-back beyond this need not be kept by tolerances."""
LEAST_TENTHS, MOST_TENTHS = 2, 30
"""The least and the greatest error that is accepted by itself, in tenths of a degree."""
USUAL_DEG = 1.0
"""What is accepted where no pattern is known."""
ALL_SIGNS, SOME_SIGNS = 8, 256
"""So many lines have every combination of signs tried, more lines as many of them."""


@dataclass(frozen=True)
class Acceptance:
    """An accepted error on the cut band [degree], why it is that one, and the most that it costs."""

    degrees: float
    reason: str
    cost: Cost | None


def acceptance(design: DesignFile, costs: PatternCosts, lines: Lines) -> Acceptance:
    """Return the accepted error: that of the design, or the greatest that keeps the pattern.

    Every line is off by it, too long or too short in the worst combination. It keeps RDF within 0.1 dB and
    front-to-back within 1 dB, or at 20 dB, in every direction and on every band, is rounded down to a tenth of a
    degree, and lies between 0.2 and 3 degrees.

    Parameters
    ----------
    design
        The design.
    costs
        The pattern with the lines as they are planned.
    lines
        The lines, and which one each element uses.
    """
    whole, costs = costs, replace(costs, deepest_db=ENOUGH_FRONT_TO_BACK_DB + KEPT_FRONT_TO_BACK_DB)
    signs = _signs(lines, costs.planned.polarity, type(design.hub))

    def found(degrees: float) -> Iterator[Cost | None]:
        # the highest band first, which most often decides
        for name, hertz in sorted(costs.bands.items(), key=lambda band: -band[1]):
            yield costs.of_steps(name, degrees * hertz / design.cut_hertz, signs)

    def cost(degrees: float) -> Cost | None:
        return most(one for one in found(degrees) if one is not None)

    given = design.cutting.accept
    if given is not None:
        degrees = float(given.m_as("degree"))
        return Acceptance(degrees, "as the design says", cost(degrees))
    if not costs.known:
        return Acceptance(USUAL_DEG, "the usual error, since no pattern is known at this elevation", None)
    low, high = LEAST_TENTHS, MOST_TENTHS + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if all(map(_keeps, found(middle / 10))) else (low, middle)
    kept = cost(low / 10)
    reason = _reason(low, kept)
    if low / 10 < USUAL_DEG:
        reason += _demand(design, costs, whole, signs)
    return Acceptance(low / 10, reason, kept)


def _demand(design: DesignFile, costs: PatternCosts, whole: PatternCosts, signs: IntArray) -> str:
    """Say which beam on which band demands less than the usual error, and what that one would cost there."""

    def shares(cost: Cost) -> tuple[float, float]:
        return cost.rdf_lost_db / KEPT_RDF_DB, cost.front_to_back_lost_db / KEPT_FRONT_TO_BACK_DB

    found = {
        (band, number): cost
        for band, hertz in costs.bands.items()
        for number, cost in enumerate(costs.steps_by_direction(band, USUAL_DEG * hertz / design.cut_hertz, signs))
    }
    band, number = max(found, key=lambda place: max(shares(found[place])))
    rdf, back = shares(found[band, number])
    lost = whole.steps_by_direction(band, USUAL_DEG * costs.bands[band] / design.cut_hertz, signs)[number]
    falls = (
        f"RDF falls by {lost.rdf_lost_db:.2f} dB"
        if rdf > back
        else f"front-to-back falls by {lost.front_to_back_lost_db:.1f} dB"
    )
    return f"; beam {design.directions[number].name} on {band} demands it: at {USUAL_DEG:g} deg its {falls}"


def _keeps(cost: Cost | None) -> bool:
    """Return whether so much is lost at most; a band on which nothing arrives loses nothing."""
    return cost is None or (cost.rdf_lost_db <= KEPT_RDF_DB and cost.front_to_back_lost_db <= KEPT_FRONT_TO_BACK_DB)


def _reason(tenths: int, cost: Cost | None) -> str:
    if not _keeps(cost):
        return "the least that can be cut and measured"
    limits = f"keeps RDF within {KEPT_RDF_DB:g} dB and front-to-back within {KEPT_FRONT_TO_BACK_DB:g} dB"
    limits += f" or at {ENOUGH_FRONT_TO_BACK_DB:g} dB"
    return f"{limits}; a greater error is not accepted" if tenths == MOST_TENTHS else limits


def accepting(design: DesignFile, degrees: float) -> DesignFile:
    """Return the design with the accepted error [degree] written in it."""
    cutting = design.cutting.model_copy(update={"accept": Quantity(degrees, "degree")})
    return design.model_copy(update={"cutting": cutting})


def _signs(lines: Lines, polarity: Any, hub: type[HubBase]) -> IntArray:
    """Return how many errors each element is late, (C, D, N), for combinations of signs of the lines."""
    directions, elements = lines.used.shape
    late = np.zeros((SOME_SIGNS, directions, elements), dtype=int)
    for number, used in enumerate(lines.used):
        # a hub that sums first has one piece for a line and a polarity, else every element has its own
        names = used * 2 + (polarity[number] < 0) if hub.sums_first else np.arange(elements)
        pieces = np.arange(used.max() + 1) if hub.in_series else np.unique(names[used >= 0])
        signs = _combinations(len(pieces))
        if hub.in_series:
            # the last column serves the elements without a line
            late[:, number] = np.pad(np.cumsum(signs, axis=1), ((0, 0), (0, 1)))[:, used]
        else:
            places = np.searchsorted(pieces, names[used >= 0])
            late[:, number, used >= 0] = signs[:, places]
    return late


def _combinations(count: int) -> IntArray:
    """Return signs of so many lines, (256, L): every combination of few, a fixed choice of many."""
    if count <= ALL_SIGNS:
        bits = np.arange(SOME_SIGNS)[:, None] >> np.arange(count) & 1
    else:
        bits = np.random.default_rng(1).integers(0, 2, (SOME_SIGNS, count))
    return np.where(bits, -1, 1)
