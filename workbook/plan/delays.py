"""The distinct delay lines that the feeds of all directions need, and which element uses which; plain SI numbers."""

from dataclasses import dataclass, replace

import numpy as np

from workbook.design.directions import Feeds
from workbook.design.hubs import HubBase
from workbook.units import FloatArray, IntArray

SAME_DEGREES = 0.05
"""Delays nearer than this on the highest band are one line (contract)."""


@dataclass(frozen=True, eq=False)
class Lines:
    """The distinct delays [s], rising; how many pieces of each; which one each element uses, -1 for none.

    `apart` [s] is how far what a line serves lies from its delay at most.
    """

    delays: FloatArray
    counts: IntArray
    used: IntArray
    apart: FloatArray


def distinct_lines(wanted: Feeds, highest: float, hub: type[HubBase], merge: float | None = None) -> Lines:
    """Gather delays into lines: neighbours in rising order that differ by less than 0.05 degree become one.

    With `merge` all delays within so many degrees of the shortest of them become one line midway between the shortest
    and the longest, which has the least worst error.

    Parameters
    ----------
    wanted
        Feeds of all directions.
    highest
        Frequency of the highest band [Hz].
    hub
        The kind of hub, which says how many pieces of each line there are.
    merge
        Degrees on the highest band, None for the usual rule.
    """
    same = (SAME_DEGREES if merge is None else merge) / 360 / highest
    # delays that differ only by rounding are one delay, so that a mean does not depend on how often it comes
    delays = np.round(wanted.delays, 18)
    delayed = np.nan_to_num(delays) >= same
    rising = np.unique(delays[delayed])
    groups = _chained(rising, same) if merge is None else _within(rising, same)
    used = np.full(wanted.delays.shape, -1)
    used[delayed] = np.searchsorted([group[0] for group in groups], delays[delayed], side="right") - 1
    counts = [hub.line_count(used == number, wanted.polarity) for number in range(len(groups))]
    middles = [group.mean() if merge is None else (group[0] + group[-1]) / 2 for group in groups]
    apart = [float(np.abs(group - middle).max()) for group, middle in zip(groups, middles, strict=True)]
    return Lines(np.array(middles), np.array(counts, dtype=int), used, np.array(apart))


def served(wanted: Feeds, lines: Lines) -> Feeds:
    """Return what the lines give instead of what was wanted: the line's own delay, and none without a line."""
    given = np.append(lines.delays, 0.0)[lines.used]
    return replace(wanted, delays=np.where(np.isnan(wanted.delays), np.nan, given))


def _chained(rising: FloatArray, same: float) -> list[FloatArray]:
    return np.split(rising, np.flatnonzero(np.diff(rising) >= same) + 1) if rising.size else []


def _within(rising: FloatArray, same: float) -> list[FloatArray]:
    groups: list[list[float]] = []
    for delay in rising.tolist():
        if groups and delay - groups[-1][0] <= same:
            groups[-1].append(delay)
        else:
            groups.append([delay])
    return [np.array(group) for group in groups]


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
