"""Element positions: ring, square, row, two rows, or as entered; x east, y north, in metres inside."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import positive, real, single
from workbook.errors import InputError, shown
from workbook.units import FloatArray, Floats, Quantity

CLOSEST = 0.01
"""Elements nearer to each other than this [m] are taken for one entered twice."""

FARTHEST = 1e6
"""Elements farther out than this [m] come of a wrong unit: the plane is long bent by then."""


@dataclass(frozen=True, eq=False)
class Layout:
    """Elements in the order of their numbers; `metres` is a float array (N, 2) of east and north."""

    metres: Any

    def __post_init__(self) -> None:
        """Check and freeze the places at birth."""
        try:
            metres = np.empty(0) if isinstance(self.metres, Quantity) else np.array(self.metres, dtype=float)
        except (TypeError, ValueError, OverflowError):
            metres = np.empty(0)
        if metres.ndim != 2 or metres.shape[-1] != 2 or len(metres) < 2 or not np.all(np.isfinite(metres)):
            raise InputError(
                f"{shown(self.metres)} is no table of east and north",
                where="metres",
                remedy="make a layout by wb.layout_from",
            )
        metres.flags.writeable = False
        object.__setattr__(self, "metres", metres)

    def __reduce__(self) -> tuple[Any, ...]:
        """Survive pickling with the positions still protected from writing."""
        return type(self), (self.metres,)

    @property
    def positions(self) -> Any:
        """Positions as a length quantity (N, 2): east, north."""
        return Quantity(self.metres.copy(), "m")

    @property
    def count(self) -> int:
        """How many elements."""
        return len(self.metres)

    @property
    def apart(self) -> Any:
        """How far each element stands from each other, float array (N, N) [m]."""
        return distances(self.metres)

    @property
    def nearest_m(self) -> float:
        """The distance of the nearest two elements [m]."""
        return float(self.apart[np.triu_indices(self.count, 1)].min())


def distances(metres: Any) -> Any:
    """Return how far places (N, 2) lie from each other: (N, N) [m]."""
    return np.linalg.norm(metres[:, None] - metres[None], axis=-1)


def projections(metres: FloatArray, azimuth: Floats) -> FloatArray:
    """Return how far each element lies toward azimuths (...) [rad]: (..., N) [m]."""
    azimuth = np.asarray(azimuth)[..., None]
    return np.asarray(metres[:, 0] * np.sin(azimuth) + metres[:, 1] * np.cos(azimuth))


def check_layout(layout: Any) -> None:
    """Refuse anything but a layout."""
    if not isinstance(layout, Layout):
        raise InputError(
            f"{shown(layout)} is none", where="layout", remedy="make one by wb.ring(8, '42 m', '0 deg') or another"
        )


def _layout(metres: Any, name: str) -> Layout:
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


def _count(count: int, least: int, most: int) -> int:
    if isinstance(count, bool) or not isinstance(count, (int, np.integer)) or not least <= count <= most:
        raise InputError(
            f"{shown(count)} makes no such array", where="count", remedy=f"give a whole number from {least} to {most}"
        )
    return int(count)


def _around(count: int, radius: float, first: float) -> Any:
    azimuth = first + 2 * np.pi * np.arange(count) / count
    return radius * np.stack((np.sin(azimuth), np.cos(azimuth)), axis=-1)


def ring(count: int, diameter: Any, first_azimuth: Any) -> Layout:
    """Return a ring of elements, numbered clockwise from above.

    Parameters
    ----------
    count
        2 to 24 elements.
    diameter
        Across the ring.
    first_azimuth
        Azimuth of element 1 from the centre.

    Raises
    ------
    InputError
        When the count or size makes no ring.

    Examples
    --------
    >>> ring(4, "20 m", "0 deg").positions.m_as("m").round(3).tolist()
    [[0.0, 10.0], [10.0, 0.0], [0.0, -10.0], [-10.0, -0.0]]
    """
    number = _count(count, 2, 24)
    across = single(positive(diameter, "m", "diameter"), "diameter")
    first = single(real(first_azimuth, "radian", "first_azimuth"), "first_azimuth")
    return _layout(_around(number, across / 2, first), "diameter")


def square(side: Any, first_azimuth: Any) -> Layout:
    """Return four elements at the corners of a square, clockwise; corner 1 lies at `first_azimuth`."""
    edge = single(positive(side, "m", "side"), "side")
    first = single(real(first_azimuth, "radian", "first_azimuth"), "first_azimuth")
    return _layout(_around(4, edge / np.sqrt(2), first), "side")


def row(count: int, spacing: Any, azimuth: Any) -> Layout:
    """Return a straight row of 2 to 24 elements; element 1 is the one nearest to `azimuth`."""
    number = _count(count, 2, 24)
    step = single(positive(spacing, "m", "spacing"), "spacing")
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    return _layout(_along(number, step, toward), "spacing")


def _along(count: int, step: float, toward: float) -> Any:
    """Return a centred row, its first element nearest to the azimuth `toward`."""
    ahead = step * ((count - 1) / 2 - np.arange(count))
    return ahead[:, None] * np.array([np.sin(toward), np.cos(toward)])


def two_rows(count: int, spacing: Any, width: Any, azimuth: Any) -> Layout:
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

    Examples
    --------
    >>> two_rows(2, "20 m", "8 m", "0 deg").positions.m_as("m").tolist()
    [[-4.0, 10.0], [-4.0, -10.0], [4.0, 10.0], [4.0, -10.0]]
    """
    number = _count(count, 2, 12)
    step = single(positive(spacing, "m", "spacing"), "spacing")
    apart = single(positive(width, "m", "width"), "width")
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    left = _along(number, step, toward)
    right = apart / 2 * np.array([np.cos(toward), -np.sin(toward)])
    return _layout(np.concatenate((left - right, left + right)), "width" if apart < step else "spacing")


def layout_from(positions: Any) -> Layout:
    """Return a layout from an (N, 2) length quantity: east, north; N is 2 to 64."""
    metres = np.array(real(positions, "m", "positions"), dtype=float)
    if metres.ndim != 2 or metres.shape[1] != 2 or not 2 <= len(metres) <= 64:
        raise InputError("2 to 64 rows of east and north are wanted", where="positions", remedy="check the rows")
    return _layout(metres, "positions")
