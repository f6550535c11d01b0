"""Items into bins of given lengths, so that the least total length is opened: an integer program on whole numbers."""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from workbook.units import FloatArray


class Item(NamedTuple):
    """Pieces that stay together: their total length, and which they are."""

    length: int
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Packed:
    """`bins`: the items of each bin, empty when nothing fits at all; `bound`: no packing opens a smaller length."""

    bins: tuple[tuple[Item, ...], ...]
    proven: bool
    bound: float


def fits(items: Sequence[Item], length: int, kerf: int) -> bool:
    """Return whether items can be cut from a length: a kerf each, the last free only when it ends at the end."""
    count = sum(len(item.pieces) for item in items)
    used = sum(item.length for item in items) + kerf * count
    return not items or used <= length or used - kerf == length


def pack(items: Sequence[Item], lengths: Sequence[int], kerf: int, seconds: float) -> Packed | None:
    """Return the packing that opens the least total length, or the best found in time with its bound.

    None when no packing was found in time; no bins when there is none.
    """
    end = time.monotonic() + seconds
    simple = _best_fit(items, lengths, kerf)
    needed = sum(item.length + kerf * len(item.pieces) for item in items) - kerf * len(lengths)
    bound = float(_reachable(needed, lengths))
    if simple and _opened(simple, lengths) <= bound:
        return Packed(simple, True, bound)
    solved = _solve(items, lengths, kerf, end)
    if solved is None:
        return Packed(simple, False, bound) if simple else None
    bins, proven, proved = solved
    if not bins:
        return Packed(simple or (), not simple, bound)
    if simple and _opened(simple, lengths) < _opened(bins, lengths):
        bins = simple
    opened = _opened(bins, lengths)
    # the bound is known to a millionth, and only sums of bins can be opened
    bound = max(bound, float(_reachable(proved - 1e-6 * max(lengths) - 1, lengths)))
    proven = proven or opened <= bound
    return Packed(bins, proven, float(opened) if proven else bound)


def _opened(bins: Sequence[Sequence[Item]], lengths: Sequence[int]) -> int:
    return sum(length for held, length in zip(bins, lengths, strict=True) if held)


def _reachable(least: float, lengths: Sequence[int], most: int = 100_000) -> float:
    """Return the least total length of some bins that is not below `least`; `least` itself where there are too many."""
    sums = {0}
    for length in lengths:
        sums |= {each + length for each in sums}
        if len(sums) > most:
            return least
    return min((each for each in sums if each >= least), default=least)


def _best_fit(items: Sequence[Item], lengths: Sequence[int], kerf: int) -> tuple[tuple[Item, ...], ...] | None:
    """Return a packing by best fit, longest item first, into bins opened from the shortest or the longest on."""
    found = []
    rising = sorted(range(len(lengths)), key=lambda n: lengths[n])
    for order in (rising, rising[::-1]):
        bins: list[list[Item]] = [[] for _ in lengths]
        for item in sorted(items, key=lambda each: -each.length):
            room = [n for n in order if fits([*bins[n], item], lengths[n], kerf)]
            if not room:
                break
            opened = [n for n in room if bins[n]]
            chosen = min(opened, key=lambda n: lengths[n] - sum(each.length for each in bins[n])) if opened else room[0]
            bins[chosen].append(item)
        else:
            found.append(tuple(tuple(held) for held in bins))
    return min(found, key=lambda bins: _opened(bins, lengths), default=None)


class _Program:
    """The integer program: x[kind, bin] items of a kind in a bin, open[bin], ends[bin] where the last piece ends it.

    Least sum of length x open, with sum over kinds of (length + kerf x pieces) x <= length x open + kerf x ends, and
    not below length + kerf where `ends` is 1.
    """

    def __init__(self, items: Sequence[Item], lengths: Sequence[int], kerf: int, alike: bool = True) -> None:
        kinds: dict[tuple[int, ...], list[Item]] = {}
        for item in items:
            # items of equal length are of one kind, unless each is to be one of its own
            kinds.setdefault((item.length, len(item.pieces)) if alike else item.pieces, []).append(item)
        self.kinds, self.lengths, self.alike = kinds, lengths, alike
        self.counts = np.array([len(each) for each in kinds.values()])
        self.scale = float(max(lengths))
        first = [each[0] for each in kinds.values()]
        used = np.array([(item.length + kerf * len(item.pieces)) / self.scale for item in first])
        size = np.array(lengths) / self.scale
        bins, blade = len(lengths), kerf / self.scale
        one = np.eye(bins)
        self.cost = np.concatenate((np.zeros(len(kinds) * bins), size, np.zeros(bins)))
        load = np.kron(used, one)
        each_once = np.kron(np.eye(len(kinds)), np.ones(bins))
        rows: list[tuple[Any, Any, Any]] = [
            (np.hstack((each_once, np.zeros((len(kinds), 2 * bins)))), self.counts, self.counts),
            (np.hstack((load, -np.diag(size), -blade * one)), -np.inf, 0.0),
            (np.hstack((load, 0 * one, -np.diag(size + blade))), 0.0, np.inf),
            (np.hstack((np.zeros((bins, len(kinds) * bins)), one, -one)), 0.0, np.inf),
        ]
        same = [(a, a + 1) for a in range(bins - 1) if lengths[a] == lengths[a + 1]]
        if same:  # of equal bins the first is opened first
            order = np.zeros((len(same), self.cost.size))
            for row, (earlier, later) in enumerate(same):
                order[row, len(kinds) * bins + earlier], order[row, len(kinds) * bins + later] = 1, -1
            rows.append((order, 0.0, np.inf))
        self.rows = rows
        self.most = np.concatenate((np.repeat(self.counts, bins), np.ones(bins), np.full(bins, float(kerf > 0))))

    def bins(self, values: FloatArray) -> tuple[tuple[Item, ...], ...]:
        """Return the items of each bin of a solution."""
        numbers = np.rint(values[: len(self.kinds) * len(self.lengths)]).astype(int).reshape(len(self.kinds), -1)
        left = [list(each) for each in self.kinds.values()]
        return tuple(
            tuple(left[kind].pop() for kind in range(len(left)) for _ in range(numbers[kind, n]))
            for n in range(len(self.lengths))
        )

    def without(self, values: FloatArray, number: int) -> tuple[FloatArray, float, float]:
        """Return the cover inequality of what a bin holds too much of by rounding; valid where each item is a kind."""
        held = np.rint(values).astype(int)[number : len(self.kinds) * len(self.lengths) : len(self.lengths)]
        row = np.zeros(self.cost.size)
        row[number : len(self.kinds) * len(self.lengths) : len(self.lengths)] = held > 0
        return row[None], -np.inf, float(held.sum() - 1)


def _solve(
    items: Sequence[Item], lengths: Sequence[int], kerf: int, end: float
) -> tuple[tuple[tuple[Item, ...], ...], bool, float] | None:
    """Return the bins, whether they are proven best, and HiGHS's bound; None when no packing was found in time."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    program = _Program(items, lengths, kerf)
    rows = list(program.rows)
    while (left := end - time.monotonic()) > 0:
        found = milp(
            program.cost,
            integrality=np.ones(program.cost.size),
            bounds=Bounds(0, program.most),
            constraints=[LinearConstraint(*row) for row in rows],
            options={"time_limit": left, "mip_rel_gap": 0.0},
        )
        if found.status == 2:  # it is proven that nothing fits
            return (), True, 0.0
        if found.x is None:
            return None
        bins = program.bins(found.x)
        over = [n for n, held in enumerate(bins) if not fits(held, lengths[n], kerf)]
        if not over:
            return bins, found.status == 0, found.mip_dual_bound * program.scale
        # HiGHS works to a millionth: a packing that is too long by less is cut off, and looked for again
        if program.alike:
            program = _Program(items, lengths, kerf, alike=False)
            rows = list(program.rows)
        else:
            rows += [program.without(found.x, n) for n in over]
    return None
