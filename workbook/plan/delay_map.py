"""The least RDF against two delays, around the choice of a search for fewest delays."""

from dataclasses import dataclass

import numpy as np

from workbook.array.fewest import FewestDelays
from workbook.errors import InputError
from workbook.units import FloatArray, Quantity


@dataclass(frozen=True, eq=False)
class DelayMap:
    """Least RDF [dB] (second, first) against two delays [s], the rows keeping their lines; and the choice in it."""

    first_s: FloatArray
    second_s: FloatArray
    least_rdf_db: FloatArray
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
