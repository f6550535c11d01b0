"""What a search for fewest delays found, and keeping its answers."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, ClassVar

import numpy as np

from workbook.array.candidates import Problem
from workbook.array.layout import Rows
from workbook.array.search import SearchResult
from workbook.design.directions import Feeds
from workbook.units import FloatArray, IntArray

Progress = Callable[[float], None]
"""Receives the share of a search that is done, 0 before it begins; an error that it raises ends the search."""


@dataclass(frozen=True, eq=False)
class Searched:
    """What a search found in one direction.

    Parameters
    ----------
    problem
        What was searched: the rows on all bands of the design.
    rows
        The rows across the direction.
    found
        Best assignments of the rows to lines, best first.
    provisional
        Whether `found` continues the answer of a design nearby, instead of that of a search.
    """

    problem: Problem
    rows: Rows
    found: SearchResult
    provisional: bool = False

    @property
    def feeds(self) -> Feeds:
        """What the best assignment gives the elements."""
        return self.feeds_with(self.found.delays[0])

    def feeds_with(self, delays: FloatArray) -> Feeds:
        """Return the feeds of the best assignment with other delays (L,) [s] of its lines."""
        waits = np.concatenate(([0.0], delays))[self.found.candidates.line[0]]
        return Feeds.equal(waits[self.rows.of], self.found.candidates.polarity[0][self.rows.of])

    @property
    def line_of_element(self) -> IntArray:
        """The line of every element, 0 for none: integers (N,)."""
        return self.found.candidates.line[0][self.rows.of]


@dataclass
class SearchMemory:
    """Answers of searches, so that a direction alike but for a turn, or a design changed elsewhere, needs no new one.

    A design holds one and hands it on to what it is changed into.
    """

    answers: dict[Any, SearchResult] = field(default_factory=dict)

    MOST: ClassVar[int] = 64

    def recall(self, key: Any, run: Callable[[], SearchResult]) -> SearchResult:
        """Return the answer kept under a key, found now if there is none; the oldest of many is dropped."""
        if key not in self.answers:
            found = run()
            while len(self.answers) >= self.MOST:
                self.answers.pop(next(iter(self.answers)), None)
            self.answers[key] = found
        return self.answers[key]
