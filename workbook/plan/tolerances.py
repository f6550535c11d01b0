"""Tolerances of a plan: trials of one of its directions, and what to hold so that its pattern is kept."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from workbook.design.tolerances import USUAL
from workbook.errors import InputError
from workbook.plan.acceptance import ENOUGH_FRONT_TO_BACK_DB, KEPT_FRONT_TO_BACK_DB, KEPT_RDF_DB
from workbook.plan.element_lines import ElementLines, element_lines
from workbook.plan.firings import firing
from workbook.plan.stages import AnyPlan
from workbook.tolerance.allowable import allowable, allowable_alone
from workbook.tolerance.kinds import OF_LINES, Tolerance
from workbook.tolerance.result import ToleranceResult
from workbook.tolerance.run import Progress, run_tolerance
from workbook.units import Quantity

RDF_KEPT, BACK_KEPT, BACK_ENOUGH = KEPT_RDF_DB, KEPT_FRONT_TO_BACK_DB, ENOUGH_FRONT_TO_BACK_DB
"""What the pattern may lose of RDF and front-to-back [dB]; a front-to-back beyond the last need not be kept."""
CONFIDENCE, TRIALS, SEED = 0.95, 2048, 1


class Kept(NamedTuple):
    """A figure that is kept: in which direction, on which band, and the least it must reach [dB]."""

    direction: str
    band: str
    figure: str
    least_db: float


class Held(NamedTuple):
    """Tolerances to hold; `kept` is what they were chosen to keep, nothing where the design says them."""

    tolerances: tuple[Tolerance, ...]
    kept: tuple[Kept, ...]


def possible(tolerances: Sequence[Tolerance], behind: ElementLines) -> tuple[Tolerance, ...]:
    """Return the tolerances that a direction can have: those of delay lines only where it has some."""
    lines = behind.any
    return tuple(one for one in tolerances if lines or (one.what not in OF_LINES and one.shared != "reel"))


def run_plan(
    plan: AnyPlan,
    at: tuple[str, str],
    tolerances: Sequence[Tolerance],
    trials: int,
    figures: Sequence[str],
    progress: Callable[[Progress], Any] | None = None,
) -> ToleranceResult:
    """Return what tolerances do to a direction of a plan on a band.

    Parameters
    ----------
    plan
        A `Plan` or its stages.
    at
        Names of the direction and the band.
    tolerances
        Those of delay lines are left out where the direction has none.
    trials, figures, progress
        As in `wb.run_tolerance`.

    Raises
    ------
    InputError
        When nothing arrives, or no tolerance is left.
    """
    behind = element_lines(plan, at[0])
    own = possible(tolerances, behind)
    return run_tolerance(
        firing(plan, *at), own, trials, SEED, behind.delays, behind.velocity_factor, behind.same_line,
        figures, progress,
    )  # fmt: skip


def widest(
    plan: AnyPlan, kept: Kept, tolerances: Sequence[Tolerance], confidence: float = CONFIDENCE, trials: int = TRIALS
) -> tuple[Tolerance, ...]:
    """Return tolerances multiplied by the greatest common factor that keeps a figure of a plan.

    Raises
    ------
    InputError
        As `wb.allowable`.
    """
    behind = element_lines(plan, kept.direction)
    least = Quantity(kept.least_db, "dB")
    return allowable(
        firing(plan, kept.direction, kept.band), possible(tolerances, behind), kept.figure, least, confidence,
        behind.delays, behind.velocity_factor, behind.same_line, trials, SEED,
    )  # fmt: skip


def widest_alone(plan: AnyPlan, kept: Kept, one: Tolerance, confidence: float = CONFIDENCE) -> Tolerance | None:
    """Return one tolerance as wide as keeps a figure of a plan with all others exact; None where any does.

    Raises
    ------
    InputError
        As `wb.allowable_alone`.
    """
    behind = element_lines(plan, kept.direction)
    (found,) = allowable_alone(
        firing(plan, kept.direction, kept.band), (one,), kept.figure, Quantity(kept.least_db, "dB"), confidence,
        behind.delays, behind.velocity_factor, behind.same_line, TRIALS, SEED,
    )  # fmt: skip
    return found


def wanted(plan: AnyPlan, direction: str) -> tuple[Kept, ...]:
    """Return what tolerances are to keep of a direction: RDF and front-to-back as planned but for a little."""
    found = []
    for one in plan.direction(direction).bands:
        if one.rdf_db is None:
            continue
        found.append(Kept(direction, one.name, "rdf", one.rdf_db - RDF_KEPT))
        back = BACK_ENOUGH if one.front_to_back_db is None else min(one.front_to_back_db - BACK_KEPT, BACK_ENOUGH)
        found.append(Kept(direction, one.name, "front_to_back", back))
    return tuple(found)


def held(plan: AnyPlan) -> Held:
    """Return what to hold when building a plan: the design's own tolerances, else a balanced set.

    The set has the proportions of what a careful builder holds, and one common factor that keeps RDF within 0.1 dB and
    front-to-back within 1 dB of planned (or 20 dB, where more is planned) in 95 % of arrays, on every band in the
    first direction that has lines.
    """
    if plan.tolerances:
        return Held(tuple(one.tolerance() for one in plan.tolerances), ())
    directions = [one.name for one in plan.directions]
    with_lines = [name for name in directions if element_lines(plan, name).any] or directions
    goals = wanted(plan, with_lines[0])
    chosen, kept = USUAL.tolerances(), list[Kept]()
    for goal in goals:
        try:
            if not kept or not _keeps(plan, goal, chosen):
                chosen = widest(plan, goal, chosen)
        except InputError:
            # it is kept however wide the tolerances are, or only without any error
            continue
        kept.append(goal)
    return Held(chosen if kept else (), tuple(kept))


def _keeps(plan: AnyPlan, goal: Kept, tolerances: Sequence[Tolerance]) -> bool:
    """Return whether a figure is kept in enough arrays."""
    result = run_plan(plan, (goal.direction, goal.band), tolerances, TRIALS, (goal.figure,))
    return bool(np.mean(result.trials(goal.figure) >= goal.least_db) >= CONFIDENCE)
