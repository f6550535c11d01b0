"""From the delays of every direction to the distinct delay lines and who uses them; plain SI numbers."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.layout import Layout
from workbook.array.phasing import aligned_delays
from workbook.plan.schema import DesignFile, Direction

SAME_DEGREES = 0.05
"""Delays nearer than this on the highest band are one line (contract)."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """What every direction asks for: arrays (directions, elements); a delay is not a number where off."""

    delays: Any
    polarity: Any


@dataclass(frozen=True, eq=False)
class Lines:
    """The distinct delays, rising; how many pieces of each; which one each element uses, -1 for none."""

    delays: Any
    counts: Any
    used: Any


def wanted(design: DesignFile, layout: Layout) -> Wanted:
    """Return delays [s], the least of each direction 0, and polarities (0 where off)."""
    if design.phasing.rule == "aligned":
        azimuths = [direction.azimuth.m_as("radian") for direction in design.directions]
        assert design.phasing.elevation is not None  # the schema asks for it
        delays = aligned_delays(layout.metres, azimuths, design.phasing.elevation.m_as("radian"))
        return Wanted(delays, np.ones(delays.shape, dtype=int))
    hertz = design.bands[design.phasing.cut_band].m_as("Hz")
    delays = np.array([_entered(direction, hertz) for direction in design.directions])
    polarity = np.array([direction.polarity or [1] * layout.count for direction in design.directions])
    return Wanted(delays - np.nanmin(delays, axis=1, keepdims=True), np.where(np.isnan(delays), 0, polarity))


def _entered(direction: Direction, hertz: float) -> list[float]:
    if direction.delays is not None:
        return [np.nan if isinstance(entry, str) else entry.m_as("s") for entry in direction.delays]
    assert direction.phases is not None  # the schema asks for one of the two
    return [np.nan if isinstance(entry, str) else entry.m_as("turn") / hertz for entry in direction.phases]


def distinct_lines(asked: Wanted, highest: float, joined: bool) -> Lines:
    """Gather delays into lines: neighbours in rising order that differ by less than 0.05 degree become one.

    Parameters
    ----------
    asked
        Delays and polarities of all directions.
    highest
        Frequency of the highest band [Hz].
    joined
        Whether elements of equal delay and polarity are summed before one line; otherwise each has its own.
    """
    same = SAME_DEGREES / 360 / highest
    # delays that differ only by rounding are one delay, so that a mean does not depend on how often it comes
    delays = np.round(asked.delays, 18)
    delayed = np.nan_to_num(delays) >= same
    rising = np.unique(delays[delayed])
    groups = np.split(rising, np.flatnonzero(np.diff(rising) >= same) + 1) if rising.size else []
    used = np.full(asked.delays.shape, -1)
    for number, group in enumerate(groups):
        used[delayed & (delays >= group[0]) & (delays <= group[-1])] = number
    counts = [_pieces(used == number, asked.polarity, joined) for number in range(len(groups))]
    return Lines(np.array([group.mean() for group in groups]), np.array(counts, dtype=int), used)


def _pieces(mine: Any, polarity: Any, joined: bool) -> int:
    if joined:
        return int(max(len(set(signs[here])) for here, signs in zip(mine, polarity, strict=True)))
    return int(mine.sum(axis=1).max())


def label(number: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ...

    Examples
    --------
    >>> label(0), label(25), label(26)
    ('A', 'Z', 'AA')
    """
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
