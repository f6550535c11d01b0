"""Rows of elements that a wave from one direction meets at the same time."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.layout import projections

SAME_ROW = 1e-3
"""Elements whose projections differ by less than this [m], chained in order, stand in one row (contract)."""


@dataclass(frozen=True, eq=False)
class Rows:
    """Rows across a direction, front first: mean projections [m], and the row (from 0) of every element."""

    metres: Any
    of: Any

    @property
    def count(self) -> int:
        """How many rows."""
        return len(self.metres)

    @property
    def members(self) -> tuple[tuple[int, ...], ...]:
        """The numbers (from 1) of the elements in each row."""
        return tuple(tuple(int(n) + 1 for n in np.flatnonzero(self.of == row)) for row in range(self.count))


def rows_toward(metres: Any, azimuth: float) -> Rows:
    """Return the rows of equal projection on an azimuth [rad], positions (N, 2) [m]."""
    ahead = projections(metres, azimuth)
    order = np.argsort(-ahead, kind="stable")
    number = np.concatenate(([0], np.cumsum(-np.diff(ahead[order]) > SAME_ROW)))
    of = np.empty(len(ahead), dtype=int)
    of[order] = number
    means = np.bincount(of, weights=ahead) / np.bincount(of)
    return Rows(means, of)
