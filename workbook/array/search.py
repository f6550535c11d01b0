"""The search over every assignment of rows to lines, and over the delays of those lines; plain SI numbers."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np

from workbook.array.candidates import (
    Candidates,
    LineSums,
    Problem,
    all_candidates,
    least_rdf_table,
    line_sums,
    pair_waves,
    penalised,
    rdf_and_gain,
)
from workbook.errors import InputError
from workbook.units import FloatArray, Floats, IntArray

EQUAL_DB, FALL_DB, KEPT = 0.001, 0.3, 1e-9
"""Candidates within this of the best are equal to it; the fall that defines slack; rounding allowed at a limit."""
SAME_LENGTH = 1e-11
"""Lines whose delays differ by less than this [s] are equally long, however exactly their maximum was found."""
COARSE_STEP = np.radians(20.0)
"""Step of the coarse grid over the delays, in phase on the highest frequency; far below the width of any maximum."""
SAMPLES = 20_000
"""Points of the quasi-random samples that replace a grid over three or more delays."""
MOST_CANDIDATES, MOST_MAXIMA, MANY_VALUES = 1000, 300, 3e8
"""Candidates that start a short climb, maxima that are climbed to the top, values above which the grid is thinned."""
MOST_SPLIT = 60
"""Best candidates with one line fewer that start the search with one more: the likeliest, and never worse."""
MOST_REFINED, NEAR_BEST_DB, NEAR_BEST_AT_LIMIT_DB = 48, 0.05, 0.5
"""Maxima that may be the best once refined: how many at most, and how far below the best so far. At a limit the maxima
lie on its edge, where hill climbing ends early, so they may be farther below.
"""
AS_GOOD = 0.995
"""Of one candidate a maximum this good beside its best, 0.02 dB, is kept too where its lines are shorter."""
MOST_CONTINUED = 8
"""Candidates of an earlier search that are followed to their maxima in a problem nearby."""
BLOCK, BLOCKS_SAID = 150_000, 16
"""Values computed at a time, so that they stay in the processor's cache; how many blocks before progress is said."""

Progress = Callable[[float], None]


@dataclass(frozen=True, eq=False)
class SearchResult:
    """Refined candidates, best first: their delays (K, L) [s] and least RDF (K,), a ratio.

    `slack` (L,) [s] is how far each delay of the first may move alone, the smaller of both directions, before the least
    RDF falls 0.3 dB.
    """

    candidates: Candidates
    delays: FloatArray
    least: FloatArray
    slack: FloatArray

    def with_idle_line(self) -> "SearchResult":
        """Return the same with one line more, of delay 0, that no row is on: its slack is infinite."""
        line, polarity = self.candidates.line, self.candidates.polarity
        candidates = Candidates(np.where(line > 0, line + 1, 0), polarity)
        delays = np.insert(self.delays, 0, 0.0, axis=1)
        return SearchResult(candidates, delays, self.least, np.insert(self.slack, 0, np.inf))


def search(
    problem: Problem, lines: int, inversion: bool, limit: float | None, progress: Progress | None = None
) -> SearchResult:
    """Return the best candidates at their best delays.

    Raises
    ------
    InputError
        When no candidate keeps the white-noise gain, a ratio, above its limit on every frequency.
    """
    candidates, delays, least = _local_maxima(problem, lines, inversion, limit, progress)
    if limit is not None:
        _, gain = rdf_and_gain(line_sums(problem, candidates, lines), problem, delays)
        kept = gain.min(axis=-1) >= limit * (1 - KEPT)
        if not kept.any():
            raise InputError(
                "no choice of lines reaches it on every frequency",
                where="least_white_noise_gain",
                remedy="give a lower limit, or more lines",
            )
        candidates, delays, least = candidates[kept], delays[kept], least[kept]
    order = _ranked(candidates, delays, least)
    candidates, delays, least = candidates[order], delays[order], least[order]
    slack = _slack(line_sums(problem, candidates[:1], lines), problem, delays[0], least[0])
    return SearchResult(candidates, delays, least, slack)


def continued(problem: Problem, inversion: bool, limit: float | None, before: SearchResult) -> SearchResult | None:
    """Return the candidates of an earlier search, each moved to the nearest maximum of a problem nearby.

    Far quicker than a search, and never better: a candidate that the earlier search did not keep is not tried.

    Parameters
    ----------
    problem
        With as many rows as the earlier one.
    inversion
        Whether rows may be reversed.
    limit
        White-noise gain, a ratio, to keep on every frequency; None for no limit.
    before
        What the earlier search found.

    Returns
    -------
    SearchResult or None
        None where none of the candidates keeps the conditions.
    """
    allowed = np.arange(len(before.candidates))
    if not inversion:
        allowed = np.flatnonzero(np.all(before.candidates.polarity == before.candidates.polarity[:, :1], axis=1))
    if not allowed.size:
        return None
    candidates, delays = before.candidates[allowed[:MOST_CONTINUED]], before.delays[allowed[:MOST_CONTINUED]]
    sums = line_sums(problem, candidates, delays.shape[1])
    step = COARSE_STEP / (2 * np.pi * problem.hertz[-1]) / 4
    delays, least = _hill_climb(sums, problem, delays, step, limit)
    first = int(np.argmax(least))
    delays[first], least[first] = _refined(sums[first : first + 1], problem, delays[first], limit)
    kept = np.array([_evaluated(sums[n : n + 1], problem, delays[n], limit)[1] for n in range(len(least))])
    if not kept.any():
        return None
    candidates, delays, least = candidates[kept], delays[kept], least[kept]
    order = _ranked(candidates, delays, least)
    candidates, delays, least = candidates[order], delays[order], least[order]
    slack = _slack(line_sums(problem, candidates[:1], delays.shape[1]), problem, delays[0], least[0])
    return SearchResult(candidates, delays, least, slack)


def _ranked(candidates: Candidates, delays: FloatArray, least: FloatArray) -> IntArray:
    """Return the order of the candidates: the chosen one, then the others by RDF, each once.

    A candidate and its mirror image are equal in every figure, so lines and polarities decide what rounding must not.
    """
    chosen = least >= least.max() * 10 ** (-EQUAL_DB / 10)
    for length in (delays.max(axis=1), delays.sum(axis=1)):
        chosen &= length <= length[chosen].min() + SAME_LENGTH
    names = np.hstack((candidates.line, -candidates.polarity)).T[::-1]
    order = np.lexsort((*names, np.where(chosen, 0, np.round(-10 * np.log10(least), 6)), ~chosen))
    same = _names(candidates[order])
    return np.asarray(order[[n for n, key in enumerate(same) if key not in same[:n]]])


def _local_maxima(
    problem: Problem, lines: int, inversion: bool, limit: float | None, progress: Progress | None = None
) -> tuple[Candidates, FloatArray, FloatArray]:
    """Return candidates at their maxima, delays (K, L) and least RDF (K,), best first but for the last refinement."""
    candidates = all_candidates(problem.rows, lines, inversion)
    sums = line_sums(problem, candidates, lines)
    points = _sample_points(problem.hertz, lines)
    if len(candidates) * len(points) > MANY_VALUES:
        points = points[::4]
    which, starts = _starting_points(sums, problem, points, limit, progress)
    if lines > 1:
        more, from_fewer = _with_one_line_more(candidates, *_local_maxima(problem, lines - 1, inversion, limit)[:2])
        which, starts = np.concatenate((which, more)), np.concatenate((starts, from_fewer))
    grid, samples = COARSE_STEP / (2 * np.pi * problem.hertz[-1]), 1 / problem.hertz[0] / SAMPLES ** (1 / lines)
    step = grid if lines <= 2 else samples
    # the grid is too coarse to show which maxima are worth climbing: a few steps do
    starts, least = _hill_climb(sums[which], problem, starts, step / 2, limit, rounds=6)
    order = np.argsort(-least, kind="stable")
    # half of them the best of different candidates, so that points along one ridge do not displace the rest
    apart = order[np.sort(np.unique(which[order], return_index=True)[1])]
    best = np.unique(np.concatenate((order[:MOST_MAXIMA], apart[:MOST_MAXIMA])))
    which, starts = which[best], starts[best]
    delays, least = _hill_climb(sums[which], problem, starts, step / 4, limit)
    kept = _distinct(which, delays, least)
    which, delays, least = which[kept], delays[kept].copy(), least[kept].copy()
    near = NEAR_BEST_DB if limit is None else NEAR_BEST_AT_LIMIT_DB
    for number in np.flatnonzero(least > least[0] * 10 ** (-near / 10))[:MOST_REFINED]:
        one = sums[which[number] : which[number] + 1]
        delays[number], least[number] = _refined(one, problem, delays[number], limit)
    return candidates[which], delays, least


def _sample_points(hertz: FloatArray, lines: int) -> FloatArray:
    """Return sets of delays (P, L) over one period of the lowest frequency: a grid, or quasi-random samples.

    Rows that nearly cancel make maxima a degree wide; they lie where every frequency is near a whole number of half
    periods, or where two lines are nearly equal, so there the grid is fine.
    """
    period, turn = 1 / hertz[0], 1 / hertz[-1]
    fine = np.radians([0.3, 1.0, 3.0, 8.0]) / (2 * np.pi) * turn
    fine = np.concatenate((-fine, fine))
    halves = np.arange(0.0, period + turn / 4, turn / 2)
    off = (np.multiply.outer(halves, 2 * hertz) + 0.5) % 1.0 - 0.5
    near = halves[np.all(np.abs(off) < 1 / 6, axis=1)]
    line = np.arange(0.0, period, COARSE_STEP / (2 * np.pi) * turn)
    line = np.union1d(line, np.add.outer(near, fine).ravel())
    line = line[line >= 0]
    if lines == 1:
        return line[:, None]
    alike = np.stack(np.broadcast_arrays(line[:, None], np.maximum(line[:, None] + fine, 0.0)), axis=-1).reshape(-1, 2)
    if lines == 2:
        return np.concatenate((np.array(list(product(line, repeat=2))), alike))
    from scipy.stats import qmc  # its import takes a second, and only three lines or more need it

    return qmc.Halton(lines, scramble=False).random(SAMPLES) * period


def _starting_points(
    sums: LineSums, problem: Problem, points: FloatArray, limit: float | None, progress: Progress | None
) -> tuple[IntArray, FloatArray]:
    """Return candidates and delays to climb from: the best few hundred, and the best point of each good candidate."""
    waves, many, block = pair_waves(problem, points), len(sums.signals), max(1, BLOCK // len(points))
    places = best_of_each = _Scored(np.empty(0), np.empty(0, dtype=int), np.empty(0, dtype=int))
    for number, first in enumerate(range(0, many, block)):
        # a candidate below so many others is not climbed from, wherever its best point is
        least = best_of_each.least(MOST_CANDIDATES)
        rows, part = least_rdf_table(sums[first : first + block], problem, waves, limit, least)
        best = part.argmax(axis=1)
        top = part[np.arange(len(rows)), best]
        best_of_each = best_of_each.with_more(_Scored(top, rows + first, best), MOST_CANDIDATES)
        high, place = np.nonzero(part >= places.least(MOST_MAXIMA))
        places = places.with_more(_Scored(part[high, place], rows[high] + first, place), MOST_MAXIMA)
        if progress and number % BLOCKS_SAID == 0:
            progress(first / many)
    if progress:
        progress(1.0)
    both = np.column_stack(
        [
            np.concatenate(pair)
            for pair in ((places.candidate, best_of_each.candidate), (places.place, best_of_each.place))
        ]
    )
    candidate, place = np.unique(both, axis=0).T
    return candidate, points[place]


class _Scored(NamedTuple):
    """Scores of candidates at places among the sets of delays, best first once they are put together."""

    score: FloatArray
    candidate: IntArray
    place: IntArray

    def with_more(self, other: "_Scored", most: int) -> "_Scored":
        """Return the best of both, at most so many."""
        together = [np.concatenate(pair) for pair in zip(self, other, strict=True)]
        order = np.argsort(-together[0], kind="stable")[:most]
        return _Scored(*(each[order] for each in together))

    def least(self, most: int) -> float:
        """Return the lowest score where there are so many, below which others are not wanted."""
        return float(self.score[-1]) if len(self.score) == most else -np.inf


def _with_one_line_more(candidates: Candidates, fewer: Candidates, shorter: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return candidates, and delays to start from, that equal the best candidates with one line fewer.

    One row moves from its line, or from none, to a further line of equal delay, so a further line is never worse.
    """
    numbers = {name: n for n, name in enumerate(_names(candidates))}
    which, starts = [], []
    for line, sign, delays in zip(*(each[:MOST_SPLIT] for each in (fewer.line, fewer.polarity, shorter)), strict=True):
        by_line = np.append(0.0, delays)
        for row in range(len(line)):
            if np.sum(line == line[row]) > 1:
                split = np.where(np.arange(len(line)) == row, len(delays) + 1, line)
                number = numbers[_names(Candidates(split[None], sign[None]))[0]]
                own = np.append(by_line, by_line[line[row]])
                named = np.empty(len(own))
                # the same lines by the names they have among the candidates
                named[candidates.line[number]] = own[split]
                which.append(number)
                starts.append(named[1:])
    return np.array(which, dtype=int), np.reshape(starts, (-1, shorter.shape[1] + 1))


def _names(candidates: Candidates) -> list[bytes]:
    """Return what is the same for candidates that differ only in the names of their lines: lines in order of rows."""
    line = candidates.line
    first = np.stack([np.argmax(line == one, axis=1) for one in range(1, line.max(initial=0) + 1)], axis=1)
    place = np.argsort(np.argsort(first, axis=1), axis=1) + 1
    renamed = np.take_along_axis(np.insert(place, 0, 0, axis=1), line, axis=1)
    signed = np.ascontiguousarray(np.hstack((renamed, candidates.polarity)).astype(np.int8))
    return [row.tobytes() for row in signed]


def _score(sums: LineSums, problem: Problem, delays: FloatArray, limit: float | None) -> FloatArray:
    ratio, gain = (value.min(axis=-1) for value in rdf_and_gain(sums, problem, delays))
    return ratio if limit is None else penalised(ratio, gain, limit)


def refined_delays(problem: Problem, candidate: Candidates, delays: FloatArray, limit: float | None) -> FloatArray:
    """Return the delays (1, L) [s] of one candidate moved to the nearest maximum of its least RDF."""
    sums = line_sums(problem, candidate, delays.shape[1])
    step = COARSE_STEP / (2 * np.pi * problem.hertz[-1]) / 4
    found, _ = _hill_climb(sums, problem, delays, step, limit)
    return _refined(sums, problem, found[0], limit)[0][None]


def _hill_climb(
    sums: LineSums, problem: Problem, delays: FloatArray, step: float, limit: float | None, rounds: int = 60
) -> tuple[FloatArray, FloatArray]:
    """Move every set of delays to the best of its neighbours, halving the step where none is better."""
    lines = delays.shape[1]
    sides = np.array(list(product((-1.0, 0.0, 1.0), repeat=lines)))
    steps = np.full(len(delays), step)
    best = _score(sums, problem, delays, limit)
    period = 1 / problem.hertz[0]
    finest = 1e-4 / (2 * np.pi * problem.hertz[-1])
    for _ in range(rounds):
        tried = np.clip(delays[:, None] + steps[:, None, None] * sides, 0.0, period)
        found = _score(sums, problem, tried, limit)
        best_side = found.argmax(axis=1)
        top = found[np.arange(len(found)), best_side]
        better = top > best
        delays = np.where(better[:, None], tried[np.arange(len(tried)), best_side], delays)
        best = np.maximum(best, top)
        steps = np.where(better, steps, steps / 2)
        if np.all(steps < finest):
            break
    return delays, best


def _distinct(which: IntArray, delays: FloatArray, least: FloatArray) -> IntArray:
    """Return which to keep, best first: the best of each candidate, and what is as good with shorter lines."""
    kept: list[int] = []
    best: dict[int, tuple[float, float]] = {}
    for number in np.argsort(-least, kind="stable"):
        candidate, longest = int(which[number]), float(delays[number].max())
        top, shortest = best.get(candidate, (float(least[number]), np.inf))
        if least[number] >= AS_GOOD * top and longest < shortest - 1e-12:
            best[candidate] = top, longest
            kept.append(int(number))
    return np.array(kept)


def _refined(sums: LineSums, problem: Problem, delays: FloatArray, limit: float | None) -> tuple[FloatArray, float]:
    """Return the delays (L,) at the exact maximum of the least RDF, and that ratio; a ridge stops hill climbing."""
    from scipy.optimize import minimize  # a slow import, which few plans need

    scale = 2 * np.pi * problem.hertz[-1]

    def logs(x: FloatArray) -> tuple[FloatArray, FloatArray]:
        ratio, gain = rdf_and_gain(sums, problem, x[None, :-1] / scale)
        return np.log(ratio[0]), np.log(gain[0])

    constraints = [{"type": "ineq", "fun": lambda x: logs(x)[0] - x[-1]}]
    if limit is not None:
        # a little above the limit, so that rounding does not end below it
        constraints.append({"type": "ineq", "fun": lambda x: logs(x)[1] - np.log(limit) - 1e-8})
    start = np.append(delays * scale, np.log(_score(sums, problem, delays[None], None)[0]))
    period = 1 / problem.hertz[0]
    bounds = [(0.0, period * scale)] * len(delays) + [(None, None)]
    with np.errstate(all="ignore"):
        done = minimize(
            lambda x: -x[-1], start, jac=lambda x: np.append(np.zeros(len(delays)), -1.0), bounds=bounds,
            constraints=constraints, method="SLSQP", options={"ftol": 1e-10, "maxiter": 40},
        )  # fmt: skip
    moved = np.clip(done.x[:-1] / scale, 0.0, period)
    (before, kept), (after, keeps) = (_evaluated(sums, problem, each, limit) for each in (delays, moved))
    better = np.isfinite(after) and (keeps, after) > (kept, before)
    return (moved, after) if better else (delays, before)


def _evaluated(sums: LineSums, problem: Problem, delays: FloatArray, limit: float | None) -> tuple[float, bool]:
    """Return the least RDF, a ratio, and whether the limit is kept."""
    ratio, gain = (float(value.min()) for value in rdf_and_gain(sums, problem, delays[None]))
    return ratio, limit is None or gain >= limit * (1 - KEPT)


def _slack(sums: LineSums, problem: Problem, delays: FloatArray, least: float) -> FloatArray:
    """Return how far each delay may move alone before the least RDF falls 0.3 dB, later or earlier, the less [s]."""
    from scipy.optimize import brentq  # a slow import, which few plans need

    floor = np.log(least) - FALL_DB / 10 * np.log(10)
    moves = np.arange(1, 721) / (720 * problem.hertz[0])

    def above(number: int, move: Floats) -> FloatArray:
        moved = np.repeat(delays[None], np.size(move), axis=0)
        moved[:, number] += np.ravel(move)
        return np.log(least_rdf_table(sums, problem, pair_waves(problem, moved), None)[1][0]) - floor

    found = []
    for number in range(len(delays)):
        moved = []
        for side in (-1.0, 1.0):
            below = np.flatnonzero(above(number, side * moves) < 0)
            if below.size:
                near = side * (moves[below[0] - 1] if below[0] else 0.0)
                far = side * moves[below[0]]
                moved.append(abs(brentq(lambda m, n=number: float(above(n, m)[0]), near, far, xtol=1e-15)))
        found.append(min(moved, default=np.inf))
    return np.array(found)
