"""Parts sorted into sets that are as like as possible, and pairs in series with sums that are as like as possible.

Of one value, sorted blocks are best: two sets that overlap can be exchanged for the lower and the upper half of both
together, and neither spread grows. Of several values, a set is within a spread where every two of its parts are, so
sets are disjoint cliques of the parts that are near enough; which fit together is an integer program.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.bench.packed_sets import Packing, pack_sets
from workbook.checks import listed, positive, real, single, whole_number
from workbook.errors import InputError, shown
from workbook.units import FloatArray, Quantity, quantity

MOST = 2000
"""Parts above which sorting is refused."""
_EXAMPLE = "write it like {'C1': '101.2 uH', 'C2': '99.8 uH'}"


@dataclass(frozen=True, eq=False)
class MatchedSets:
    """Parts in sets.

    Attributes
    ----------
    sets
        Labels of each set, those of the least values first.
    spread
        Greatest less least of each set, as one quantity array; of several values in units of the scales, the largest of
        the values' spreads; of pairs in series one entry: greatest less least sum.
    spares
        Labels of the parts that are left over.
    unsorted_spread
        The greatest spread when the parts are used in the order in which they came.
    proven
        Whether no other choice has a smaller greatest spread.
    bound
        A greatest spread below which no choice lies; where proven it is that of the sets.
    """

    sets: tuple[tuple[str, ...], ...]
    spread: Quantity
    spares: tuple[str, ...]
    unsorted_spread: Quantity
    proven: bool
    bound: Quantity

    @property
    def greatest_spread(self) -> Quantity:
        """The greatest of the spreads."""
        return self.spread.max()


def matched_sets(
    values: Mapping[str, Any], set_size: int, sets: int | None = None, scales: Sequence[Quantity] | None = None
) -> MatchedSets:
    """Return parts in sets whose greatest spread is the least possible.

    Parameters
    ----------
    values
        Measured value of every part by its label; or several values of each, such as gain and phase.
    set_size
        Parts in a set, from 2.
    sets
        How many sets; without it as many as there are parts for.
    scales
        For several values: one per value, in which their spreads are compared, such as 0.1 dB and 1 degree.

    Returns
    -------
    MatchedSets

    Raises
    ------
    InputError
        When there are too few parts for the sets, values of different kinds, several values without scales, or an
        argument is out of range or of another kind.

    Examples
    --------
    >>> found = matched_sets({"a": "99 uH", "b": "104 uH", "c": "98 uH", "d": "103 uH", "e": "110 uH"}, 2)
    >>> found.sets, found.spread.m_as("uH").tolist(), found.spares
    ((('c', 'a'), ('d', 'b')), [1.0, 1.0], ('e',))
    """
    labels, columns = _columns(values)
    size = whole_number(set_size, "set_size", 2, MOST)
    count = len(labels) // size if sets is None else whole_number(sets, "sets", 1, MOST)
    _check_enough(len(labels), count, size)
    points, unit = _scaled(columns, scales)
    packing = _blocks(points[:, 0], size, count) if points.shape[1] == 1 else pack_sets(points, size, count)
    return _found(labels, points, packing, unit)


def _found(labels: tuple[str, ...], points: FloatArray, packing: Packing, unit: str) -> MatchedSets:
    ordered = sorted(packing.sets, key=lambda held: tuple(points[list(held)].mean(0)))
    held = [sorted(one, key=lambda n: (*points[n], n)) for one in ordered]
    size, used = len(held[0]), {n for one in held for n in one}
    spread = np.array([np.ptp(points[one], axis=0).max() for one in held])
    unsorted = [np.ptp(points[n * size : (n + 1) * size], axis=0).max() for n in range(len(held))]
    bound = float(spread.max()) if packing.proven else min(packing.bound, float(spread.max()))
    return MatchedSets(
        tuple(tuple(labels[n] for n in one) for one in held),
        Quantity(spread, unit),
        tuple(label for n, label in enumerate(labels) if n not in used),
        Quantity(max(map(float, unsorted)), unit),
        packing.proven,
        Quantity(bound, unit),
    )


def _columns(values: Any) -> tuple[tuple[str, ...], list[list[Any]]]:
    """Return the labels of parts, and their values as one list per kind of value."""
    if not isinstance(values, Mapping) or not values:
        raise InputError(f"got {shown(values)}", where="values", wanted="a value for each label", remedy=_EXAMPLE)
    if len(values) > MOST:
        raise InputError(f"got {len(values)} parts", where="values", wanted=f"up to {MOST}")
    labels = tuple(values)
    if not all(isinstance(label, str) and 0 < len(label) <= 60 for label in labels):
        raise InputError("a label is not a short text", where="values", remedy=_EXAMPLE)
    rows = [list(one) if isinstance(one, (tuple, list)) else [one] for one in values.values()]
    if len({len(row) for row in rows}) != 1 or not rows[0]:
        raise InputError("parts have different numbers of values", where="values", wanted="as many for each")
    return labels, [list(column) for column in zip(*rows, strict=True)]


def _check_enough(parts: int, count: int, size: int) -> None:
    if count < 1 or count * size > parts:
        wanted = f"{max(count, 1) * size} for {max(count, 1)} of {size}"
        raise InputError(f"got {parts} parts", where="values", wanted=wanted, remedy="measure more, or make fewer sets")


def _plain(column: Sequence[Any], unit: str | None = None) -> tuple[FloatArray, str]:
    """Return the values of one kind as plain numbers in the unit of the first, which is returned too."""
    first = quantity(column[0]) if isinstance(column[0], str) else column[0]
    if unit is None:
        unit = f"{first.units:~P}" if isinstance(first, Quantity) else "a unit"
    plain = [single(real(one, unit, "values"), "values") for one in column]
    return np.array(plain, dtype=float), unit


def _scaled(columns: list[list[Any]], scales: Any) -> tuple[FloatArray, str]:
    """Return values (parts, kinds) in one unit, several kinds in units of their scales."""
    if scales is None:
        if len(columns) > 1:
            remedy = "give one for each value, such as ('0.1 dB', '1 deg')"
            raise InputError("are missing", where="scales", wanted=f"{len(columns)} scales", remedy=remedy)
        plain, unit = _plain(columns[0])
        return plain[:, None], unit
    given = listed(scales, "scales", "give one for each value, such as ('0.1 dB', '1 deg')")
    if len(given) != len(columns):
        raise InputError(f"got {len(given)}", where="scales", wanted=f"{len(columns)}, one for each value")
    points = []
    for column, scale in zip(columns, given, strict=True):
        plain, unit = _plain(column)
        points.append(plain / single(positive(scale, unit, "scales"), "scales"))
    return np.stack(points, 1), ""


def _blocks(values: FloatArray, size: int, count: int) -> Packing:
    """Return blocks of the sorted values: least greatest spread first, then least sum of spreads."""
    order = np.argsort(values, kind="stable")
    ranges = values[order][size - 1 :] - values[order][: len(values) - size + 1]
    candidates = np.unique(ranges)
    low, high = 0, len(candidates) - 1
    while low < high:  # the least limit that leaves room for all
        middle = (low + high) // 2
        low, high = (low, middle) if _room(ranges <= candidates[middle], size) >= count else (middle + 1, high)
    starts = _least_sum(np.where(ranges <= candidates[low], ranges, np.inf), size, count)
    return Packing(tuple(tuple(order[n : n + size].tolist()) for n in starts), True, float(candidates[low]))


def _room(allowed: Any, size: int) -> int:
    """Return how many blocks of allowed starts fit one behind the other; the first possible is always best."""
    found, place = 0, 0
    for start in np.flatnonzero(allowed).tolist():
        if start >= place:
            found, place = found + 1, start + size
    return found


def _least_sum(ranges: FloatArray, size: int, count: int) -> list[int]:
    """Return the starts of blocks with the least sum of ranges, by dynamic programming over the sorted values."""
    places = len(ranges) + size
    best = np.zeros(places)
    taken = np.zeros((count + 1, places), dtype=bool)
    for blocks in range(1, count + 1):
        ends = np.concatenate((np.full(size, np.inf), ranges + best[: len(ranges)]))
        ends = ends[:places]
        below = np.minimum.accumulate(ends)
        taken[blocks] = ends == below
        best = below
    starts, place = [], places - 1
    for blocks in range(count, 0, -1):
        while not taken[blocks, place]:
            place -= 1
        place -= size
        starts.append(place)
    return starts[::-1]


# --- pairs in series ----------------------------------------------------------------------------------------


def matched_pairs_in_series(values: Mapping[str, Quantity], pairs: int) -> MatchedSets:
    """Return pairs of parts whose sums agree best: the least (greatest less least sum) of all disjoint pairs.

    Within given limits of the sum, the smallest part that has a partner may always take the largest that has one, so
    every limit is decided by one pass. Two chokes in series of one position are a common practice, no published source.

    Parameters
    ----------
    values
        Measured value of every part by its label.
    pairs
        How many pairs.

    Returns
    -------
    MatchedSets
        Its `spread` has one entry.

    Raises
    ------
    InputError
        When there are too few parts, values of different kinds, or an argument is of another kind.

    Examples
    --------
    >>> found = matched_pairs_in_series({"a": "99 uH", "b": "104 uH", "c": "98 uH", "d": "103 uH", "e": "110 uH"}, 2)
    >>> found.sets, found.spread.m_as("uH").tolist(), found.spares
    ((('c', 'b'), ('a', 'd')), [0.0], ('e',))
    """
    labels, columns = _columns(values)
    if len(columns) > 1:
        raise InputError("got several values of a part", where="values", wanted="one of each", remedy=_EXAMPLE)
    count = whole_number(pairs, "pairs", 1, MOST)
    _check_enough(len(labels), count, 2)
    plain, unit = _plain(columns[0])
    order = np.argsort(plain, kind="stable")
    low, high = _limits(plain[order], count)
    chosen = [(int(order[a]), int(order[b])) for a, b in _pairs_within(plain[order], low, high)[:count]]
    sums = [float(plain[a] + plain[b]) for a, b in chosen]
    used = {n for pair in chosen for n in pair}
    as_given = [float(plain[2 * n] + plain[2 * n + 1]) for n in range(count)]
    spread = max(sums) - min(sums)
    return MatchedSets(
        tuple((labels[a], labels[b]) for a, b in chosen),
        Quantity(np.array([spread]), unit),
        tuple(label for n, label in enumerate(labels) if n not in used),
        Quantity(max(as_given) - min(as_given), unit),
        True,
        Quantity(spread, unit),
    )


def _limits(values: FloatArray, count: int) -> tuple[float, float]:
    """Return the closest limits of the sum within which so many pairs lie; values rise."""
    first, second = np.triu_indices(len(values), 1)
    sums = np.unique(values[first] + values[second])
    starts, near, far = np.arange(len(sums)), 0.0, float(np.ptp(sums))
    # bisection leaves few lowest sums, each of which is then decided exactly
    for _ in range(40):
        middle = (near + far) / 2
        enough = _counts(values, sums[starts], sums[starts] + middle) >= count
        if np.any(enough):
            starts, far = starts[enough], middle
        else:
            near = middle
        if len(starts) == 1:
            break
    found = []
    for start in starts.tolist():
        low, high = start, len(sums) - 1
        if _counts(values, sums[[start]], sums[[high]])[0] < count:
            continue
        while low < high:
            middle = (low + high) // 2
            enough = _counts(values, sums[[start]], sums[[middle]])[0] >= count
            low, high = (low, middle) if enough else (middle + 1, high)
        found.append((float(sums[low] - sums[start]), float(sums[start]), float(sums[low])))
    _, least, greatest = min(found)
    return least, greatest


def _counts(values: FloatArray, least: FloatArray, greatest: FloatArray) -> Any:
    """Return how many disjoint pairs have sums within each of several limits; values rise."""
    low, high = np.zeros(len(least), int), np.full(len(least), len(values) - 1)
    found = np.zeros(len(least), int)
    for _ in range(len(values)):
        open_ = low < high
        if not open_.any():
            break
        total = values[np.minimum(low, len(values) - 1)] + values[np.maximum(high, 0)]
        small, large = open_ & (total < least), open_ & (total > greatest)
        pair = open_ & ~small & ~large
        low, high, found = low + (small | pair), high - (large | pair), found + pair
    return found


def _pairs_within(values: FloatArray, least: float, greatest: float) -> list[tuple[int, int]]:
    """Return the disjoint pairs with sums within limits."""
    low, high, found = 0, len(values) - 1, []
    while low < high:
        total = values[low] + values[high]
        if least <= total <= greatest:
            found.append((low, high))
            low, high = low + 1, high - 1
        elif total < least:
            low += 1
        else:
            high -= 1
    return found
