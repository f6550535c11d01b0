"""Running many trials: in blocks of bounded memory, here or by the workers of an executor, with progress."""

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future
from itertools import islice
from typing import Any, NamedTuple

import numpy as np

from workbook.array.firing import Firing, check_firing
from workbook.checks import check_velocity_factor, instance, not_negative, one_of, single, whole_number
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.tolerance.figures import FIGURES, prepared, run_blocks
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.model import BLOCK, Model, model_of
from workbook.tolerance.result import ToleranceResult
from workbook.units import Float32Array, FloatArray, Time

TASK = 8
"""Blocks that a worker takes at a time: some 16,000 trials."""
WAITING = 256
"""Tasks handed to an executor before the first is collected, so that a cluster of many workers has enough to do."""
MOST_TRIALS = 100_000_000
SAME_DELAY = 0.01
"""Delays of elements on one line may differ by this part of the longest."""


class Progress(NamedTuple):
    """How far a run of trials has come; `elapsed` and `remaining` in seconds, the latter estimated."""

    done: int
    total: int
    elapsed: float
    remaining: float

    def __str__(self) -> str:
        """Write it for a terminal: ``progress=print`` shows one line for each part of a run."""
        return f"{self.done:,} of {self.total:,} trials, about {self.remaining:.0f} s left"


def run_tolerance(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    trials: int,
    seed: int,
    delays: Time | None = None,
    velocity_factor: float | Cable | None = None,
    same_line: Sequence[Sequence[int]] = (),
    figures: Sequence[str] = ("rdf", "front_to_back"),
    progress: Callable[[Progress], Any] | None = None,
    executor: Executor | None = None,
) -> ToleranceResult:
    """Return what random errors within tolerances do to an array's figures, by many trials (JCGM 101:2008).

    A velocity factor v (1 + e) makes the lag omega tau / (1 + e); cut length and connector delay (one draw for each
    line, both connectors together) add to the lag; positions err by one draw east and one north; amplitudes become
    w (1 + e). Each element with a delay above 0 has a line of its own; delay 0 has none, and no line error.

    Parameters
    ----------
    firing
        The array with one set of weights, on one frequency and toward one direction.
    tolerances
        One or more; the same `what` may come twice and draws apart.
    trials
        How many, 1 to 100 million.
    seed
        Whole number from 0 to 2^64 - 1. Seed and number of a trial decide its errors, whatever else is run; the
        first m trials of a longer run are a run of m.
    delays
        Delay of each element's line (N,), 0 or None where it has none; needed for tolerances of lines.
    velocity_factor
        Of the lines: a plain number, or a `Cable` that is evaluated at the firing's frequency; needed for cut length.
    same_line
        Tuples of indices, from 0, of elements that share a line and so its errors.
    figures
        Any of ``"rdf"``, ``"front_to_back"``, ``"front_to_rear"`` (worst within 90 degrees of straight behind, any
        elevation), ``"null_depth"`` (front over the place of the nominal null in the azimuth cut) and ``"pointing"``
        (degrees that the main lobe's azimuth lies clockwise from the firing's).
    progress
        Called with a `Progress` after each part of the run; the run stops, keeping what it has, when it returns False.
    executor
        Any `concurrent.futures` executor, such as a process pool or a cluster's; None runs here.

    Returns
    -------
    ToleranceResult

    Raises
    ------
    InputError
        On a tolerance that lacks what it needs, a spread so wide that velocity factors leave 0 to 1, or an argument
        of the wrong kind.

    Examples
    --------
    >>> import workbook as wb
    >>> pair = wb.row(2, "20 m", "0 deg")
    >>> weights = wb.endfire_weights(pair, "1.83 MHz", "0 deg", "20 deg")
    >>> firing = wb.Firing(pair, weights, "1.83 MHz", "0 deg", "20 deg", wb.Ground(13, "5 mS/m"))
    >>> tape = wb.Tolerance("position", "uniform", half_width="5 cm")
    >>> low, high = run_tolerance(firing, [tape], trials=2000, seed=1).interval("rdf")
    >>> low < wb.rdf(firing).m_as("dB") < high
    True
    """
    model = checked_model(firing, tolerances, delays, velocity_factor, same_line)
    names = _figure_names(figures)
    count = whole_number(trials, "trials", 1, MOST_TRIALS)
    number = whole_number(seed, "seed", 0, 2**64 - 1)
    if progress is not None and not callable(progress):
        raise InputError(f"got {shown(progress)}", where="progress", wanted="a function", remedy="write progress=print")
    if executor is not None and not hasattr(executor, "submit"):
        raise InputError(f"got {shown(executor)}", where="executor", wanted="a concurrent.futures executor")
    ready = prepared(model, firing.ground, names)
    values = run_trials(ready, names, count, number, progress, executor)
    return ToleranceResult(firing, tuple(tolerances), names, number, count, values, ready)


def run_trials(
    model: Model,
    names: tuple[str, ...],
    trials: int,
    seed: int,
    progress: Callable[[Progress], Any] | None = None,
    executor: Executor | None = None,
    task: int = TASK,
) -> Float32Array:
    """Return figures of the first trials, float32 (F, trials), fewer where `progress` stopped the run."""
    values = np.empty((len(names), trials), dtype=np.float32)
    blocks = -(-trials // BLOCK)
    tasks = [(model, names, seed, first, min(task, blocks - first)) for first in range(0, blocks, task)]
    start, done = time.monotonic(), 0
    parts = (run_blocks(*each) for each in tasks) if executor is None else _gathered(executor, tasks)
    for part in parts:
        more = min(part.shape[1], trials - done)
        values[:, done : done + more] = part[:, :more]
        done += more
        elapsed = time.monotonic() - start
        if (
            progress is not None
            and progress(Progress(done, trials, elapsed, elapsed * (trials - done) / done)) is False
        ):
            break
    values = values[:, :done] if done == trials else values[:, :done].copy()
    values.flags.writeable = False
    return values


def _gathered(executor: Executor, tasks: list[tuple[Any, ...]]) -> Iterator[Float32Array]:
    """Yield what an executor's workers return, in order; what still waits is cancelled when no more is wanted."""
    waiting: list[Future[Float32Array]] = []
    left = iter(tasks)
    try:
        waiting += [executor.submit(run_blocks, *each) for each in islice(left, WAITING)]
        while waiting:
            yield waiting.pop(0).result()
            waiting += [executor.submit(run_blocks, *each) for each in islice(left, 1)]
    finally:
        for future in waiting:
            future.cancel()


# --- arguments --------------------------------------------------------------------------------------------


def checked_model(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    delays: Time | None,
    velocity_factor: float | Cable | None,
    same_line: Sequence[Sequence[int]],
) -> Model:
    """Return the arguments of a run on plain numbers."""
    check_firing(firing)
    if firing.weights.ndim != 1:
        raise InputError(
            f"its weights have {firing.weights.ndim} axes", where="firing", wanted="one set of weights, one an element"
        )
    if not isinstance(tolerances, (list, tuple)) or not tolerances:
        raise InputError(f"got {shown(tolerances)}", where="tolerances", wanted="a list with at least one wb.Tolerance")
    for tolerance in tolerances:
        instance(tolerance, Tolerance, "tolerances", "write wb.Tolerance('cut length', 'uniform', half_width='1 cm')")
    seconds = None if delays is None else line_delays(delays, firing.layout.count)
    if velocity_factor is None:
        velocity = None
    elif isinstance(velocity_factor, Cable):
        velocity = float(velocity_factor.velocity(firing.arrival.hertz))
    else:
        velocity = float(single(check_velocity_factor(velocity_factor), "velocity_factor"))
    groups = line_groups(same_line, seconds, firing.layout.count)
    return model_of(firing, tolerances, seconds, velocity, groups)


def line_delays(delays: Time, count: int) -> FloatArray:
    """Return the delay of each element's line [s], 0 where it has none."""
    if isinstance(delays, (list, tuple)):
        read = [0.0 if each is None else single(not_negative(each, "s", "delays"), "delays") for each in delays]
        seconds = np.array(read, dtype=float)
    else:
        seconds = np.atleast_1d(not_negative(delays, "s", "delays"))
    if seconds.shape != (count,):
        raise InputError(f"{seconds.size} came for {count} elements", where="delays", remedy="give one an element")
    return seconds


def line_groups(same_line: Sequence[Sequence[int]], delays: FloatArray | None, count: int) -> list[tuple[int, ...]]:
    """Return groups of elements that share a line, after checking that they can."""
    if not isinstance(same_line, (list, tuple)) or not all(isinstance(group, (list, tuple)) for group in same_line):
        raise InputError(
            f"got {shown(same_line)}", where="same_line", wanted="tuples of indices", remedy="write ((0, 1), (2, 3))"
        )
    groups = [tuple(whole_number(each, "same_line", 0, count - 1) for each in group) for group in same_line if group]
    named = [each for group in groups for each in group]
    if len(set(named)) != len(named):
        twice = next(each for each in named if named.count(each) > 1)
        raise InputError(f"element {twice} is named twice", where="same_line", remedy="name each element once")
    if groups and delays is None:
        raise InputError("shared lines came without delays", where="same_line", remedy="give delays too")
    for group in groups:
        own = np.array([]) if delays is None else delays[list(group)]
        if own.max() - own.min() > SAME_DELAY * own.max():
            raise InputError(
                f"elements {', '.join(map(str, group))} have different delays",
                where="same_line",
                remedy="one line has one delay",
            )
    return groups


def _figure_names(figures: Sequence[str]) -> tuple[str, ...]:
    listed = (figures,) if isinstance(figures, str) else figures
    if not isinstance(listed, (list, tuple)) or not listed:
        raise InputError(f"got {shown(figures)}", where="figures", wanted=f"some of {', '.join(FIGURES)}")
    return tuple(dict.fromkeys(one_of(name, FIGURES, "figures") for name in listed))
