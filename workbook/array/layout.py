"""Element positions: ring, square, row, two rows, or as entered, and their rows across a direction.

x east, y north, in metres inside.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import instance, plain_array, positive, real, single, whole_number
from workbook.errors import InputError, shown
from workbook.units import Angle, FloatArray, Floats, IntArray, Length, Quantity

MOST_ELEMENTS = 64
CLOSEST = 0.01
"""Elements nearer to each other than this [m] are one element entered twice."""
FARTHEST = 1e6
"""Elements farther out than this [m] are the result of a wrong unit: the Earth is curved over that distance."""
SAME_ROW = 1e-3
"""Elements whose projections differ by less than this [m], chained in order, stand in one row (contract)."""


@dataclass(frozen=True, eq=False)
class Layout:
    """Elements in the order of their numbers.

    Parameters
    ----------
    metres
        Plain numbers (N, 2): east and north [m], N from 1.

    Raises
    ------
    InputError
        On anything but a table of finite numbers with two columns.
    """

    metres: FloatArray

    def __post_init__(self) -> None:
        """Check the positions at birth, and keep a copy that no one can write to."""
        metres = np.array(plain_array(self.metres, "metres", "make a layout by wb.layout_from"))
        if metres.ndim != 2 or metres.shape[-1] != 2 or not len(metres) or not np.all(np.isfinite(metres)):
            raise InputError(
                f"got {shown(self.metres)}",
                where="metres",
                wanted="a table of east and north in plain metres",
                remedy="make a layout by wb.layout_from",
            )
        metres.flags.writeable = False
        object.__setattr__(self, "metres", metres)

    def __reduce__(self) -> tuple[Any, ...]:
        """Survive pickling with the positions still protected from writing."""
        return type(self), (self.metres,)

    @property
    def positions(self) -> Length:
        """Positions as a length quantity (N, 2): east, north."""
        return Quantity(self.metres.copy(), "m")

    @property
    def count(self) -> int:
        """How many elements."""
        return len(self.metres)

    @property
    def apart(self) -> FloatArray:
        """The distances between elements, float array (N, N) [m]."""
        return distances(self.metres)

    @property
    def nearest_m(self) -> float:
        """The distance of the nearest two elements [m], infinite for one element."""
        return float(self.apart[np.triu_indices(self.count, 1)].min(initial=np.inf))


def distances(metres: FloatArray) -> FloatArray:
    """Return the distances between positions (N, 2): (N, N) [m]."""
    return np.asarray(np.linalg.norm(metres[:, None] - metres[None], axis=-1))


def projections(metres: FloatArray, azimuth: Floats) -> FloatArray:
    """Return how far each element lies toward azimuths (...) [rad]: (..., N) [m]."""
    azimuth = np.asarray(azimuth)[..., None]
    return np.asarray(metres[:, 0] * np.sin(azimuth) + metres[:, 1] * np.cos(azimuth))


def check_layout(layout: Any) -> None:
    """Refuse anything but a layout."""
    instance(layout, Layout, "layout", "make one by wb.ring(8, '42 m', '0 deg') or another")


def check_several(layout: Layout) -> None:
    """Refuse one element where delays between elements are wanted."""
    if layout.count < 2:
        raise InputError(
            "got 1 element", where="layout", wanted="a layout of at least 2 elements", remedy="use aligned weights"
        )


def ring(count: int, diameter: Length, first_azimuth: Angle) -> Layout:
    """Return a ring of elements, numbered clockwise from above.

    Parameters
    ----------
    count
        2 to 24 elements.
    diameter
        Across the ring.
    first_azimuth
        Azimuth of element 1 from the centre.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        When the count or size is not valid for a ring.

    Examples
    --------
    >>> ring(4, "20 m", "0 deg").positions.m_as("m").round(3).tolist()
    [[0.0, 10.0], [10.0, 0.0], [0.0, -10.0], [-10.0, -0.0]]
    """
    number = whole_number(count, "count", 2, 24)
    across, first = _one_length(diameter, "diameter"), _one_azimuth(first_azimuth, "first_azimuth")
    return _layout(_around(number, across / 2, first), "diameter")


def square(side: Length, first_azimuth: Angle) -> Layout:
    """Return four elements at the corners of a square, numbered clockwise from above.

    Parameters
    ----------
    side
        Between neighbouring corners.
    first_azimuth
        Azimuth of corner 1 from the centre.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        When the size is not valid for a square.

    Examples
    --------
    >>> square("20 m", "45 deg").positions.m_as("m").round(3).tolist()
    [[10.0, 10.0], [10.0, -10.0], [-10.0, -10.0], [-10.0, 10.0]]
    """
    edge, first = _one_length(side, "side"), _one_azimuth(first_azimuth, "first_azimuth")
    return _layout(_around(4, edge / np.sqrt(2), first), "side")


def row(count: int, spacing: Length, azimuth: Angle) -> Layout:
    """Return a straight row, centred on the origin.

    Parameters
    ----------
    count
        2 to 24 elements.
    spacing
        Between neighbours.
    azimuth
        Along the row; element 1 is the one nearest to it.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        When the count or size is not valid for a row.

    Examples
    --------
    >>> row(2, "20 m", "0 deg").positions.m_as("m").tolist()
    [[0.0, 10.0], [-0.0, -10.0]]
    """
    number = whole_number(count, "count", 2, 24)
    step, toward = _one_length(spacing, "spacing"), _one_azimuth(azimuth, "azimuth")
    return _layout(_along(number, step, toward), "spacing")


def two_rows(count: int, spacing: Length, width: Length, azimuth: Angle) -> Layout:
    """Return two equal rows side by side; looking toward `azimuth`, the left row comes first, each from its far end.

    Parameters
    ----------
    count
        2 to 12 elements in each row.
    spacing
        Between the elements of a row.
    width
        Between the rows.
    azimuth
        Along the rows: elements 1 (left) and `count` + 1 (right) are the two nearest to it.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        When the count or a size is not valid for such rows.

    Examples
    --------
    >>> two_rows(2, "20 m", "8 m", "0 deg").positions.m_as("m").tolist()
    [[-4.0, 10.0], [-4.0, -10.0], [4.0, 10.0], [4.0, -10.0]]
    """
    number = whole_number(count, "count", 2, 12)
    step, apart = _one_length(spacing, "spacing"), _one_length(width, "width")
    toward = _one_azimuth(azimuth, "azimuth")
    left = _along(number, step, toward)
    right = apart / 2 * np.array([np.cos(toward), -np.sin(toward)])
    return _layout(np.concatenate((left - right, left + right)), "width" if apart < step else "spacing")


def layout_from(positions: Length) -> Layout:
    """Return a layout from positions as entered.

    Parameters
    ----------
    positions
        Length quantity (N, 2): east, north; N from 1 to 64. One element is the reference of every figure; what needs
        more refuses it.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        On another shape, an element entered twice, or one more than 1000 km out.

    Examples
    --------
    >>> layout_from(Quantity([[0, 0], [30, 40]], "m")).nearest_m
    50.0
    """
    metres = np.array(real(positions, "m", "positions"), dtype=float)
    if metres.ndim != 2 or metres.shape[1] != 2 or not 1 <= len(metres) <= MOST_ELEMENTS:
        raise InputError(
            f"got the shape {metres.shape}",
            where="positions",
            wanted=f"a table of 1 to {MOST_ELEMENTS} rows, east and north",
            remedy="check the rows",
        )
    return _layout(metres, "positions")


def _one_length(value: Length, name: str) -> float:
    return float(single(positive(value, "m", name), name))


def _one_azimuth(value: Angle, name: str) -> float:
    return float(single(real(value, "radian", name), name))


def _around(count: int, radius: float, first: float) -> FloatArray:
    azimuth = first + 2 * np.pi * np.arange(count) / count
    return radius * np.stack((np.sin(azimuth), np.cos(azimuth)), axis=-1)


def _along(count: int, step: float, toward: float) -> FloatArray:
    """Return a centred row, its first element nearest to the azimuth `toward`."""
    ahead = step * ((count - 1) / 2 - np.arange(count))
    return ahead[:, None] * np.array([np.sin(toward), np.cos(toward)])


def _layout(metres: FloatArray, name: str) -> Layout:
    if np.abs(metres).max() > FARTHEST:
        raise InputError(
            f"an element stands more than {FARTHEST / 1000.0:.0f} km out", where=name, remedy="check the unit"
        )
    apart = distances(metres)
    apart[np.tril_indices(len(metres))] = np.inf
    first, second = np.unravel_index(np.argmin(apart), apart.shape)
    if apart[first, second] < CLOSEST:
        raise InputError(
            f"elements {first + 1} and {second + 1} stand in the same place",
            where=name,
            remedy="set them farther apart",
        )
    return Layout(metres)


@dataclass(frozen=True, eq=False)
class Rows:
    """Rows of elements that a wave from one direction meets at the same time, front first.

    Parameters
    ----------
    metres
        Mean projection of each row (M,) [m].
    of
        The row of every element (N,), from 0.
    """

    metres: FloatArray
    of: IntArray

    @property
    def count(self) -> int:
        """How many rows."""
        return len(self.metres)

    @property
    def members(self) -> tuple[tuple[int, ...], ...]:
        """The numbers (from 1) of the elements in each row."""
        return tuple(tuple(int(n) + 1 for n in np.flatnonzero(self.of == row)) for row in range(self.count))


def rows_toward(metres: FloatArray, azimuth: float) -> Rows:
    """Return the rows of equal projection on an azimuth [rad], positions (N, 2) [m]."""
    ahead = projections(metres, azimuth)
    order = np.argsort(-ahead, kind="stable")
    number = np.concatenate(([0], np.cumsum(-np.diff(ahead[order]) > SAME_ROW)))
    of = np.empty(len(ahead), dtype=int)
    of[order] = number
    means = np.bincount(of, weights=ahead) / np.bincount(of)
    return Rows(means, of)
