"""The choices behind *fewest delays*: the best, the runners-up, how exact each delay must be, and the map of two."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.fewest import FewestDelays, Solution, fewest_delays_of
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.formatting import both_lengths
from workbook.formulas.lines import length_of_delay
from workbook.plan.cuts import design_cable
from workbook.plan.rules import fewest, task_of
from workbook.table import Table
from workbook.units import Quantity


def place_of(design: DesignFile, direction: str) -> int:
    """Return the place of a direction in the design, from 0."""
    return [one.name for one in design.directions].index(direction)


def search_all(design: DesignFile, told: Callable[[int, str], None]) -> None:
    """Search every direction, so that a plan has its answers at hand; `told` gets each one's place and name before.

    Directions alike but for a turn are searched once. What a direction refuses is left for the plan to say.
    """
    if design.phasing.rule != "fewest-delays":
        return
    layout = design.array.layout()
    for number, direction in enumerate(design.directions):
        told(number, direction.name)
        try:
            fewest(design, layout, direction)
        except InputError:
            return


def choices(design: DesignFile, number: int) -> FewestDelays:
    """Return the best choice in a direction (its place in the design, from 0) with its runners-up."""
    layout, direction = design.array.layout(), design.directions[number]
    found, rows = fewest(design, layout, direction)
    asked = task_of(design, layout, direction)
    own = [frequency.m_as("Hz") for frequency in design.bands.values()]
    return fewest_delays_of(asked, found, rows, np.searchsorted(asked.hertz, own).tolist())


def choice_table(design: DesignFile, best: FewestDelays, direction: str) -> Table:
    """Return the best choice and those that came next: rows, delays, RDF on every band, the longest line."""
    made_of, end = design_cable(design, design.cables.delay_line), design.ends.delay_line
    velocity = float(made_of.velocity(design.bands[design.phasing.cut_band].m_as("Hz")))

    def row(place: int, one: Solution) -> tuple[str, ...]:
        seconds = one.delays.m_as("s")
        longest = float(length_of_delay(max(seconds[-1] - 2 * end.delay.m_as("s"), 0.0), velocity))
        return (
            "best" if place == 0 else f"next {place}",
            "; ".join(
                f"{_numbers(row)} {_fed(*fed)}" for row, *fed in zip(one.rows, one.line, one.polarity, strict=True)
            ),
            ", ".join(f"{delay * 1e9:.2f}" for delay in seconds),
            *(f"{rdf:.2f}" for rdf in one.rdf.m_as("dB")),
            f"{one.white_noise_gain.m_as('dB').min():.1f}",
            both_lengths(longest),
        )

    headings = (
        "choice", "rows, front first: elements and what they go through", "delays ns",
        *(f"RDF on {name} dB" for name in design.bands), "least white-noise gain dB", "longest line",
    )  # fmt: skip
    rows = tuple(row(place, one) for place, one in enumerate((best, *best.runners_up)))
    return Table(
        f"Best with every element on, fired {direction}, and what came next (line 1 is the shortest)",
        headings,
        rows,
    )


def _numbers(row: tuple[int, ...]) -> str:
    return "+".join(map(str, row))


def _fed(line: int, polarity: int) -> str:
    return ("direct" if line == 0 else f"line {line}") + (" reversed" if polarity < 0 else "")


@dataclass(frozen=True, eq=False)
class DelayMap:
    """Least RDF [dB] (second, first) against two delays [s], the rows keeping their lines; and the choice in it."""

    first_s: Any
    second_s: Any
    least_rdf_db: Any
    chosen_s: tuple[float, float]
    chosen_rdf_db: float


def delay_map(best: FewestDelays, steps: int = 49) -> DelayMap:
    """Return the map round the choice, some eight times as wide as its delays may move.

    Raises
    ------
    InputError
        When the choice has another number of lines than two.
    """
    chosen = best.delays.m_as("s")
    if len(chosen) != 2:
        raise InputError(
            f"a map is of two delays, and this choice has {len(chosen)}",
            where="lines",
            remedy="it takes 2 lines and at least 3 rows",
        )
    # a delay that may be anything is shown over its own length
    slack = np.where(np.isfinite(best.slack.m_as("s")), best.slack.m_as("s"), chosen / 8)
    first, second = (
        np.linspace(max(0.0, delay - 8 * move), delay + 8 * move, steps)
        for delay, move in zip(chosen, slack, strict=True)
    )
    across = np.stack(np.broadcast_arrays(first[None, :], second[:, None]), axis=-1)
    level = best.least_rdf_at(Quantity(across, "s")).m_as("dB")
    return DelayMap(first, second, level, (float(chosen[0]), float(chosen[1])), float(best.least_rdf.m_as("dB")))
