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
