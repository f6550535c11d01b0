"""How the benchmarks time a piece of work."""

import statistics
import time
from collections.abc import Callable


def median_ms(work: Callable[[], object], times: int = 15) -> float:
    """Return the median time of a piece of work in milliseconds, a first time left out."""
    work()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return statistics.median(found) * 1e3


def interleaved_ms(*works: Callable[[], object], times: int = 15) -> tuple[float, ...]:
    """Return the median time of each of several pieces of work in milliseconds, taken in turns."""
    for work in works:
        work()
    found: list[list[float]] = [[] for _ in works]
    for _ in range(times):
        for work, taken in zip(works, found, strict=True):
            start = time.perf_counter()
            work()
            taken.append(time.perf_counter() - start)
    return tuple(statistics.median(taken) * 1e3 for taken in found)
