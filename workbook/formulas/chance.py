"""Chance on plain numbers: reproducible random streams, distributions, coverage intervals, variance shares.

Distributions and intervals after JCGM 101:2008, "Supplement 1 to the GUM: propagation of distributions using a Monte
Carlo method" (clauses 6.4, 7.7 and annex B; cited from memory). Every distribution here has mean 0 and standard
deviation 1; a caller multiplies by the standard uncertainty.
"""

from typing import Any

import numpy as np


def stream(seed: int, source: int, block: int) -> np.random.Generator:
    """Return the random numbers of one source of error in one block of trials, whatever was drawn before.

    The Philox generator counts: seed and source are its key, the block is part of the counter's start, so that any
    worker finds the numbers of any block without those before it.

    Parameters
    ----------
    seed
        From 0 to 2^64 - 1 [1].
    source
        Number of the source of error [1].
    block
        Number of the block of trials [1].

    Returns
    -------
    generator of numbers [1]
    """
    return np.random.Generator(np.random.Philox(key=[seed, source], counter=[0, 0, block, 0]))


def normal(generator: np.random.Generator, shape: tuple[int, ...]) -> Any:
    """Return draws of the normal distribution.

    Parameters
    ----------
    generator
        Source of random numbers [1].
    shape
        Shape of the result [1].

    Returns
    -------
    float array [1]
    """
    return generator.standard_normal(shape)


def uniform(generator: np.random.Generator, shape: tuple[int, ...]) -> Any:
    """Return draws of the rectangular distribution, half width sqrt(3).

    Parameters
    ----------
    generator
        Source of random numbers [1].
    shape
        Shape of the result [1].

    Returns
    -------
    float array [1]
    """
    return (generator.random(shape) - 0.5) * np.sqrt(12.0)


def triangular(generator: np.random.Generator, shape: tuple[int, ...]) -> Any:
    """Return draws of the symmetric triangular distribution, half width sqrt(6): the sum of two rectangular ones.

    Parameters
    ----------
    generator
        Source of random numbers [1].
    shape
        Shape of the result [1].

    Returns
    -------
    float array [1]
    """
    return (generator.random(shape) + generator.random(shape) - 1.0) * np.sqrt(6.0)


def coverage_ranks(count: int, coverage: float) -> tuple[int, int]:
    """Return which of the ordered trials bound the probabilistically symmetric coverage interval (JCGM 101, 7.7.2).

    Parameters
    ----------
    count
        Number of trials [1].
    coverage
        Probability inside the interval, between 0 and 1 [1].

    Returns
    -------
    (whole number from 0 [1], whole number from 0 [1])
    """
    inside = min(int(np.floor(coverage * count + 0.5)), count - 1)
    first = max((count - inside + 1) // 2 - 1, 0)
    return first, min(first + inside, count - 1)


def order_statistics(values: Any, ranks: Any) -> Any:
    """Return single values of a sample by their rank, without sorting all of it; infinite values are allowed.

    Parameters
    ----------
    values
        Sample (M,) in any unit [1].
    ranks
        Whole numbers from 0 to M - 1 (K,) [1].

    Returns
    -------
    float array (K,) in the sample's unit [1]
    """
    wanted = np.asarray(ranks)
    return np.partition(np.asarray(values), np.unique(wanted))[wanted]


def quantile_error(values: Any, probability: float) -> float:
    """Return the standard uncertainty of a sample's quantile, from how many trials lie around it.

    The number of trials below a quantile is binomial, with standard deviation sqrt(M p (1 - p)); the sample's own
    values that many ranks to either side say what that is worth (distribution-free; for example H. A. David,
    "Order Statistics", cited from memory).

    Parameters
    ----------
    values
        Sample (M,) in any unit [1].
    probability
        Which quantile, between 0 and 1 [1].

    Returns
    -------
    float in the sample's unit [1]
    """
    count = len(values)
    spread = np.sqrt(count * probability * (1 - probability))
    ranks = np.clip(np.rint(count * probability + np.array([-spread, spread])), 0, count - 1).astype(int)
    low, high = order_statistics(values, ranks)
    return float(high - low) / 2 if np.isfinite(high) and np.isfinite(low) else float("inf")


def variance_shares(variances: Any) -> Any:
    """Return each input's part of the sum of the variances that the inputs cause one at a time.

    One input varies while the others keep their best estimates (JCGM 101, annex B); where the model is linear this
    is its part of the whole variance, (c u)^2 / sum (c u)^2.

    Parameters
    ----------
    variances
        Variance of the result with one input varying, for each input (K,), in any unit [1].

    Returns
    -------
    float array (K,), sum 1, or all 0 where nothing varies [1]
    """
    parts = np.asarray(variances, dtype=float)
    whole = parts.sum()
    return parts / whole if whole > 0 else np.zeros_like(parts)
