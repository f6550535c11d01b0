"""Feeds of all directions: what the phasing rule gives every element, and what its lines then do."""

from collections.abc import Callable

import numpy as np

from workbook.design.directions import ArraySetup, Feeds
from workbook.design.phasing import Searched, SearchMemory
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.delays import Lines, label
from workbook.plan.results import DirectionBand, Feed, PlanDirection, Slack, SwitchRow

Progress = Callable[[int, str, float], None]
"""Receives the place of the direction that is searched (from 0), its name, and the share of its search done.

An error that it raises ends the search.
"""
Searches = tuple[Searched | None, ...]
"""What a search found in each direction; None for a rule in closed form."""


def searches(
    design: DesignFile, setup: ArraySetup, memory: SearchMemory, progress: Progress | None, before: Searches = ()
) -> Searches:
    """Return what a search finds in each direction, or what continues the answers `before` of a design nearby."""
    found: list[Searched | None] = []
    nearby = SearchMemory()
    for number, direction in enumerate(design.directions):

        def report(share: float, number: int = number, name: str = direction.name) -> None:
            if progress:
                progress(number, name, share)

        try:
            last = before[number] if number < len(before) else None
            near = last and design.phasing.continued(setup, direction, memory, last, nearby)
            found.append(near or design.phasing.search(setup, direction, memory, report))
        except InputError as error:
            raise error.within(_where(design, number)) from None
    return tuple(found)


def every_feed(design: DesignFile, setup: ArraySetup, hertz: float, searched: Searches | None = None) -> Feeds:
    """Return the feeds of all directions (D, N) with the rule solved at a frequency [Hz].

    Raises
    ------
    InputError
        When the rule has no answer in a direction; names it.
    """
    rows = []
    for number, direction in enumerate(design.directions):
        try:
            rows.append(design.phasing.feeds(setup, direction, hertz, searched[number] if searched else None))
        except InputError as error:
            raise error.within(_where(design, number)) from None
    return Feeds.stacked(rows)


def _where(design: DesignFile, number: int) -> str:
    return f"directions[{number + 1}] ({design.directions[number].name})"


def feeds_by_band(design: DesignFile, setup: ArraySetup, wanted: Feeds) -> dict[str, Feeds | None]:
    """Return the feeds with the rule solved for each band alone, None where it has no answer there."""
    found: dict[str, Feeds | None] = {}
    for name, hertz in setup.bands.items():
        found[name] = wanted
        if design.phasing.solved_per_band and name != design.phasing.cut_band:
            try:
                found[name] = every_feed(design, setup, hertz)
            except InputError:
                found[name] = None
    return found


def plan_directions(
    design: DesignFile, given: Feeds, lines: Lines, figures: tuple[tuple[DirectionBand, ...], ...]
) -> tuple[PlanDirection, ...]:
    """Return every switch position with its feeds and its figures by band."""
    columns = zip(given.delays, given.polarity, given.amplitude, lines.used, strict=True)
    return tuple(
        PlanDirection(one.name, one.azimuth.m_as("degree"), _feeds(*row), on_bands)
        for one, row, on_bands in zip(design.directions, columns, figures, strict=True)
    )


def _feeds(*columns: np.ndarray) -> tuple[Feed, ...]:
    rows = zip(*(column.tolist() for column in columns), strict=True)
    return tuple(
        Feed(number, None, 0, 0.0, None)
        if np.isnan(delay)
        else Feed(number, delay, polarity, amplitude, label(line) if line >= 0 else None)
        for number, (delay, polarity, amplitude, line) in enumerate(rows, 1)
    )


def switch_rows(directions: tuple[PlanDirection, ...]) -> tuple[SwitchRow, ...]:
    """Return what every element goes through in every position; an element that is off has polarity 0."""
    return tuple(
        SwitchRow(one.name, feed.number, feed.line, feed.polarity) for one in directions for feed in one.elements
    )


def slacks(design: DesignFile, searched: Searches, lines: Lines) -> tuple[Slack, ...]:
    """Return how far each line may move in each direction, for a rule that searches."""
    found = []
    for direction, best, used in zip(design.directions, searched, lines.used, strict=True):
        for number, slack in enumerate(best.found.slack if best else (), 1):
            line = int(used[best.line_of_element == number][0]) if best else -1
            if line >= 0:
                found.append(Slack(direction.name, label(line), float(slack) if np.isfinite(slack) else None))
    return tuple(found)


def place_of(design: DesignFile, direction: str) -> int:
    """Return the place of a direction in the design, from 0."""
    names = [one.name for one in design.directions]
    if direction not in names:
        raise InputError(
            f"there is no direction {direction!r}", where="direction", remedy=f"there are {', '.join(names)}"
        )
    return names.index(direction)
