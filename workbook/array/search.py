"""The search over every way of putting rows on lines, and over the delays of those lines; plain SI numbers."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from scipy.optimize import brentq, minimize
from scipy.stats import qmc

from workbook.array.assignments import Blocks, Task, Ways, all_ways, blocks, held, ratios, table
from workbook.errors import InputError

ALIKE_DB, FALL_DB, KEPT = 0.001, 0.3, 1e-9
SAME_LENGTH = 1e-11
"""Lines whose delays differ by less than this [s] are equally long, however exactly their summit was found."""
STEP = np.radians(20.0)
"""Step of the first look over the delays, in phase on the highest frequency; far below the width of any summit."""
SCATTERED = 20_000
WAYS_CLIMBED, SUMMITS, MUCH = 1000, 300, 3e8
"""Ways of which a few steps are tried, summits climbed to the top, and values above which fewer are looked at."""
FEWER_TRIED = 60
"""Best ways with one line fewer that are split: a further line does no worse than any, and these are the likeliest."""
POLISHED, NEAR_BEST_DB, NEAR_BEST_AT_LIMIT_DB = 48, 0.05, 0.5
"""Summits that may be the best once polished: as many at most, and no farther below the best by steps. At a limit the
summits lie on its edge, where a climb by steps ends early, so they may be farther below.
"""
AS_GOOD = 0.995
"""Of one way a summit this good beside its best, 0.02 dB, is kept too where its lines are shorter."""
AT_ONCE = 3_000_000
"""Values worked out at a time, so that memory stays small."""

Progress = Callable[[float], None]


@dataclass(frozen=True, eq=False)
class Found:
    """Refined ways, best first: their delays (K, L) [s] and least RDF (K,) as ratios; `slack` (L,) [s] is the first's.

    Slack is how far each delay may move alone, the smaller of both ways, before the least RDF falls 0.3 dB.
    """

    ways: Ways
    delays: Any
    least: Any
    slack: Any

    def with_idle_line(self) -> "Found":
        """Return the same with one line more, of delay 0, that no row is on: it may move as it likes."""
        ways = Ways(np.where(self.ways.line > 0, self.ways.line + 1, 0), self.ways.polarity)
        delays = np.insert(self.delays, 0, 0.0, axis=1)
        return Found(ways, delays, self.least, np.insert(self.slack, 0, np.inf))


def search(asked: Task, lines: int, inversion: bool, limit: float | None, progress: Progress | None = None) -> Found:
    """Return the best delays [s] of every way worth telling, the best way first.

    Raises
    ------
    InputError
        When no way keeps the white-noise gain, a ratio, above its limit on every frequency.
    """
    ways, delays, least = _refined(asked, lines, inversion, limit, progress)
    if limit is not None:
        _, gain = ratios(blocks(asked, ways, lines), asked, delays)
        kept = gain.min(axis=-1) >= limit * (1 - KEPT)
        if not kept.any():
            raise InputError(
                "no choice of lines keeps it on every frequency",
                where="least_white_noise_gain",
                remedy="give a lower limit, or more lines",
            )
        ways, delays, least = ways[kept], delays[kept], least[kept]
    order = _in_order(ways, delays, least)
    ways, delays, least = ways[order], delays[order], least[order]
    return Found(ways, delays, least, _slack(blocks(asked, ways[:1], lines), asked, delays[0], least[0]))


def _in_order(ways: Ways, delays: Any, least: Any) -> Any:
    """Return the places of the ways: the chosen one, then the others by RDF, each way once.

    A choice and its mirror image are equal in everything, so what is left equal is told apart by more than rounding.
    """
    chosen = least >= least.max() * 10 ** (-ALIKE_DB / 10)
    for length in (delays.max(axis=1), delays.sum(axis=1)):
        chosen &= length <= length[chosen].min() + SAME_LENGTH
    told = np.hstack((ways.line, -ways.polarity)).T[::-1]
    order = np.lexsort((*told, np.where(chosen, 0, np.round(-10 * np.log10(least), 6)), ~chosen))
    names = [_signature(ways.line[n], ways.polarity[n]) for n in order]
    return order[[n for n, name in enumerate(names) if name not in names[:n]]]


def _refined(
    asked: Task, lines: int, inversion: bool, limit: float | None, progress: Progress | None = None
) -> tuple[Ways, Any, Any]:
    """Return ways at their summits, delays (K, L) and least RDF (K,), the best first but for the last touch."""
    ways = all_ways(asked.rows, lines, inversion)
    sums = blocks(asked, ways, lines)
    points = _points(asked.hertz, lines)
    if len(ways) * len(points) > MUCH:
        points = points[::4]
    which, starts = _promising(sums, asked, points, limit, progress)
    if lines > 1:
        more, from_fewer = _split(ways, *_refined(asked, lines - 1, inversion, limit)[:2])
        which, starts = np.concatenate((which, more)), np.concatenate((starts, from_fewer))
    step = STEP / (2 * np.pi * asked.hertz[-1]) if lines <= 2 else 1 / asked.hertz[0] / SCATTERED ** (1 / lines)
    # a few steps tell which summits are worth climbing: the first look is too coarse to tell
    starts, least = _climb(sums[which], asked, starts, step / 2, limit, rounds=6)
    order = np.argsort(-least, kind="stable")
    # half of them the best of different ways, so that copies of one ridge do not crowd out the rest
    apart = order[np.sort(np.unique(which[order], return_index=True)[1])]
    best = np.unique(np.concatenate((order[:SUMMITS], apart[:SUMMITS])))
    which, starts = which[best], starts[best]
    delays, least = _climb(sums[which], asked, starts, step / 4, limit)
    kept = _apart(which, delays, least)
    which, delays, least = which[kept], delays[kept].copy(), least[kept].copy()
    near = NEAR_BEST_DB if limit is None else NEAR_BEST_AT_LIMIT_DB
    for number in np.flatnonzero(least > least[0] * 10 ** (-near / 10))[:POLISHED]:
        delays[number], least[number] = _polished(sums[which[number] : which[number] + 1], asked, delays[number], limit)
    return ways[which], delays, least


def _points(hertz: Any, lines: int) -> Any:
    """Return sets of delays (P, L) over one period of the lowest frequency: a grid, or scattered evenly if many.

    Rows that nearly cancel make summits a degree wide; they lie where every frequency is near a whole number of half
    periods, or where two lines are nearly alike, so there the grid is fine.
    """
    period, turn = 1 / hertz[0], 1 / hertz[-1]
    fine = np.radians([0.3, 1.0, 3.0, 8.0]) / (2 * np.pi) * turn
    fine = np.concatenate((-fine, fine))
    halves = np.arange(0.0, period + turn / 4, turn / 2)
    off = (np.multiply.outer(halves, 2 * hertz) + 0.5) % 1.0 - 0.5
    near = halves[np.all(np.abs(off) < 1 / 6, axis=1)]
    line = np.arange(0.0, period, STEP / (2 * np.pi) * turn)
    line = np.union1d(line, np.add.outer(near, fine).ravel())
    line = line[line >= 0]
    if lines == 1:
        return line[:, None]
    alike = np.stack(np.broadcast_arrays(line[:, None], np.maximum(line[:, None] + fine, 0.0)), axis=-1).reshape(-1, 2)
    if lines == 2:
        return np.concatenate((np.array(list(product(line, repeat=2))), alike))
    return qmc.Halton(lines, scramble=False).random(SCATTERED) * period


def _promising(sums: Blocks, asked: Task, points: Any, limit: float | None, progress: Progress | None) -> Any:
    """Return the ways and delays from which to climb: the best few hundred, and the best of each of the best ways."""
    chunk = max(1, AT_ONCE // len(points))
    many = len(sums.signals)
    score, way, point = [], [], []
    for first in range(0, many, chunk):
        part = table(sums[first : first + chunk], asked, points, limit)
        flat = np.argpartition(part, -min(SUMMITS, part.size), axis=None)[-SUMMITS:]
        tops = part.argmax(axis=1)
        rows = np.concatenate((flat // len(points), np.arange(len(part))))
        columns = np.concatenate((flat % len(points), tops))
        score.append(part[rows, columns])
        way.append(rows + first)
        point.append(columns)
        if progress:
            progress(min(1.0, (first + chunk) / many))
    scores, ways_at, points_at = map(np.concatenate, (score, way, point))
    order = np.argsort(-scores, kind="stable")
    best_of_way = order[np.sort(np.unique(ways_at[order], return_index=True)[1])][:WAYS_CLIMBED]
    chosen = np.unique(np.concatenate((order[:SUMMITS], best_of_way)))
    return ways_at[chosen], points[points_at[chosen]]


def _split(ways: Ways, fewer: Ways, shorter: Any) -> tuple[Any, Any]:
    """Return ways, and delays to start from, that do with one line more what the best ways with fewer do.

    One row leaves its line, or none, for a further line that is as long; so a further line never does worse.
    """
    numbers = {_signature(line, sign): n for n, (line, sign) in enumerate(zip(ways.line, ways.polarity, strict=True))}
    which, starts = [], []
    for line, sign, delays in zip(*(each[:FEWER_TRIED] for each in (fewer.line, fewer.polarity, shorter)), strict=True):
        waits = np.append(0.0, delays)
        for row in range(len(line)):
            if np.sum(line == line[row]) > 1:
                split = np.where(np.arange(len(line)) == row, len(delays) + 1, line)
                number = numbers[_signature(split, sign)]
                own = np.append(waits, waits[line[row]])
                named = np.empty(len(own))
                named[ways.line[number]] = own[split]  # the same lines by the names they have among the ways
                which.append(number)
                starts.append(named[1:])
    return np.array(which, dtype=int), np.reshape(starts, (-1, shorter.shape[1] + 1))


def _signature(line: Any, sign: Any) -> tuple[Any, ...]:
    """Return what is the same for ways that differ only in the names of their lines."""
    names: dict[int, int] = {0: 0}
    return (*(names.setdefault(int(x), len(names)) for x in line), *map(int, sign))


def _score(sums: Blocks, asked: Task, delays: Any, limit: float | None) -> Any:
    ratio, gain = (value.min(axis=-1) for value in ratios(sums, asked, delays))
    return ratio if limit is None else held(ratio, gain, limit)


def climbed(asked: Task, way: Ways, delays: Any, limit: float | None) -> Any:
    """Return the delays (1, L) [s] of one way moved to the nearest summit of its least RDF."""
    sums = blocks(asked, way, delays.shape[1])
    step = STEP / (2 * np.pi * asked.hertz[-1]) / 4
    found, _ = _climb(sums, asked, delays, step, limit)
    return _polished(sums, asked, found[0], limit)[0][None]


def _climb(
    sums: Blocks, asked: Task, delays: Any, step: float, limit: float | None, rounds: int = 60
) -> tuple[Any, Any]:
    """Move every set of delays to the best of its neighbours, halving the step where none is better."""
    lines = delays.shape[1]
    sides = np.array(list(product((-1.0, 0.0, 1.0), repeat=lines)))
    steps = np.full(len(delays), step)
    best = _score(sums, asked, delays, limit)
    period = 1 / asked.hertz[0]
    finest = 1e-4 / (2 * np.pi * asked.hertz[-1])
    for _ in range(rounds):
        tried = np.clip(delays[:, None] + steps[:, None, None] * sides, 0.0, period)
        found = _score(sums, asked, tried, limit)
        pick = found.argmax(axis=1)
        top = found[np.arange(len(found)), pick]
        better = top > best
        delays = np.where(better[:, None], tried[np.arange(len(tried)), pick], delays)
        best = np.maximum(best, top)
        steps = np.where(better, steps, steps / 2)
        if np.all(steps < finest):
            break
    return delays, best


def _apart(which: Any, delays: Any, least: Any) -> Any:
    """Return which to keep, best first: the best of each way, and of the same way what is as good and shorter."""
    kept: list[int] = []
    best: dict[int, tuple[float, float]] = {}
    for number in np.argsort(-least, kind="stable"):
        way, longest = int(which[number]), float(delays[number].max())
        top, shortest = best.get(way, (float(least[number]), np.inf))
        if least[number] >= AS_GOOD * top and longest < shortest - 1e-12:
            best[way] = top, longest
            kept.append(int(number))
    return np.array(kept)


def _polished(sums: Blocks, asked: Task, delays: Any, limit: float | None) -> tuple[Any, float]:
    """Raise the least of several ratios to its very summit: a ridge stops a climb by steps."""
    scale = 2 * np.pi * asked.hertz[-1]

    def logs(x: Any) -> tuple[Any, Any]:
        ratio, gain = ratios(sums, asked, x[None, :-1] / scale)
        return np.log(ratio[0]), np.log(gain[0])

    constraints = [{"type": "ineq", "fun": lambda x: logs(x)[0] - x[-1]}]
    if limit is not None:
        # a little above the limit, so that it is kept and not only neared
        constraints.append({"type": "ineq", "fun": lambda x: logs(x)[1] - np.log(limit) - 1e-8})
    start = np.append(delays * scale, np.log(_score(sums, asked, delays[None], None)[0]))
    period = 1 / asked.hertz[0]
    bounds = [(0.0, period * scale)] * len(delays) + [(None, None)]
    with np.errstate(all="ignore"):
        done = minimize(
            lambda x: -x[-1], start, jac=lambda x: np.append(np.zeros(len(delays)), -1.0), bounds=bounds,
            constraints=constraints, method="SLSQP", options={"ftol": 1e-10, "maxiter": 40},
        )  # fmt: skip
    moved = np.clip(done.x[:-1] / scale, 0.0, period)
    (before, kept), (after, keeps) = (_judged(sums, asked, each, limit) for each in (delays, moved))
    better = np.isfinite(after) and (keeps, after) > (kept, before)
    return (moved, after) if better else (delays, before)


def _judged(sums: Blocks, asked: Task, delays: Any, limit: float | None) -> tuple[float, bool]:
    """Return the least RDF, a ratio, and whether the limit is kept."""
    ratio, gain = (float(value.min()) for value in ratios(sums, asked, delays[None]))
    return ratio, limit is None or gain >= limit * (1 - KEPT)


def _slack(sums: Blocks, asked: Task, delays: Any, least: float) -> Any:
    """Return how far each delay may move alone before the least RDF falls 0.3 dB, the smaller of both ways [s]."""
    floor = np.log(least) - FALL_DB / 10 * np.log(10)
    moves = np.arange(1, 721) / (720 * asked.hertz[0])

    def above(number: int, move: Any) -> Any:
        moved = np.repeat(delays[None], np.size(move), axis=0)
        moved[:, number] += np.ravel(move)
        return np.log(table(sums, asked, moved, None)[0]) - floor

    found = []
    for number in range(len(delays)):
        ways = []
        for side in (-1.0, 1.0):
            below = np.flatnonzero(above(number, side * moves) < 0)
            if below.size:
                near = side * (moves[below[0] - 1] if below[0] else 0.0)
                far = side * moves[below[0]]
                ways.append(abs(brentq(lambda m, n=number: float(above(n, m)[0]), near, far, xtol=1e-15)))
        found.append(min(ways, default=np.inf))
    return np.array(found)
