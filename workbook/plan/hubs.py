"""The three kinds of hub side by side: pieces, cable, combiners and inverting transformers of each."""

from collections.abc import Iterator

import numpy as np

from workbook.design.schema import HUBS, DesignFile
from workbook.formulas.lines import length_of_delay
from workbook.plan.cuts import design_cable
from workbook.plan.delays import Lines, distinct_lines
from workbook.plan.results import HubOption
from workbook.plan.rules import Feeds


def hub_options(design: DesignFile, asked: Feeds, highest: float) -> tuple[HubOption, ...]:
    """Return what each kind of hub would take, least cable first."""
    merge = None if design.hub.merge is None else design.hub.merge.m_as("degree")
    options = (_option(design, asked, distinct_lines(asked, highest, kind, merge), kind) for kind in HUBS)
    return tuple(sorted(options, key=lambda option: (option.cable_m is None, option.cable_m or 0.0)))


def _option(design: DesignFile, asked: Feeds, found: Lines, kind: str) -> HubOption:
    delays = found.pieces if kind == "ladder" else found.delays
    end = design.ends.delay_line
    made_of = design_cable(design, design.cables.delay_line)
    hertz = design.bands[design.phasing.cut_band].m_as("Hz")
    inside = delays - 2 * end.delay.m_as("s")
    length = length_of_delay(inside, made_of.velocity(hertz)) + 2 * end.strip.m_as("m")
    whole = float((length * found.counts).sum()) if np.all(inside > 0) else None
    inputs = tuple(sorted(_combiners(asked, found, kind), reverse=True))
    return HubOption(kind, int(found.counts.sum()), whole, inputs, _inverters(asked, found, kind))


def _groups(asked: Feeds, found: Lines) -> list[dict[tuple[int, int], int]]:
    """Return, for each direction, how many elements share a line (-1 for none) and a polarity."""
    rows = []
    for lines, signs in zip(found.used, asked.polarity, strict=True):
        row: dict[tuple[int, int], int] = {}
        for line, sign in zip(lines.tolist(), signs.tolist(), strict=True):
            if sign:
                row[line, sign] = row.get((line, sign), 0) + 1
        rows.append(row)
    return rows


def _combiners(asked: Feeds, found: Lines, kind: str) -> Iterator[int]:
    """Yield the number of inputs of each combiner, the most that any direction asks of it."""
    groups = _groups(asked, found)
    if kind == "ports":
        yield from _more_than_one(max(sum(row.values()) for row in groups))
        return
    for key in {key for row in groups for key in row}:
        yield from _more_than_one(max(row.get(key, 0) for row in groups))
    if kind == "joined":
        yield from _more_than_one(max(map(len, groups)))
    else:
        # every tap joins what comes down the chain; groups of both polarities may come to it
        for line in range(-1, len(found.delays) - 1):
            yield 1 + max(sum(tap == line for tap, _ in row) for row in groups)
        last = max((sum(tap == len(found.delays) - 1 for tap, _ in row) for row in groups), default=0)
        yield from _more_than_one(last)


def _more_than_one(inputs: int) -> Iterator[int]:
    if inputs > 1:
        yield inputs


def _inverters(asked: Feeds, found: Lines, kind: str) -> int:
    """Return how many inverting transformers the hub has: one for each line that is fed reversed in some direction.

    In `ports` each reversed element needs its own, at most as many as one direction reverses.
    """
    groups = _groups(asked, found)
    if kind == "ports":
        return max(sum(count for (_, sign), count in row.items() if sign < 0) for row in groups)
    return len({line for row in groups for line, sign in row if sign < 0})
