"""What stands on the field: the array's kinds, the ground under it, the site's magnetic declination."""

import datetime
import math
import os
import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from workbook.array.declination import compass_warning, declination
from workbook.array.ground import GROUND_CLASSES, AnyGround, Ground
from workbook.array.layout import Layout, layout_from, ring, row, square, two_rows
from workbook.array.positions import read_positions
from workbook.checks import file_path, one_of
from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits
from workbook.schema import Angle, Declination, Height, Length, NonNegativeConductivity, Place, Strict, number
from workbook.units import Quantity


def _count(most: int) -> BeforeValidator:
    def check(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, int) or not 2 <= value <= most:
            whole = re.fullmatch(r"\s*(\d{1,2})(\.0*)?\s*", str(value))
            remedy = f"write {int(whole[1])}, without quotes or point" if whole and 2 <= int(whole[1]) <= most else ""
            raise InputError(f"got {shown(value)}", wanted=f"a whole number from 2 to {most}", remedy=remedy)
        return value

    return BeforeValidator(check)


MOST, MOST_IN_ROW = 24, 12
Count = Annotated[int, _count(MOST)]
CountInRow = Annotated[int, _count(MOST_IN_ROW)]


class Arrangement(Strict):
    """What every kind of array knows of its own size; sizes are by key [m], also of an array not made yet."""

    lengths: ClassVar[tuple[str, ...]] = ()
    """The keys that size it; none where every position is entered."""
    turned_by: ClassVar[str | None] = None
    """The key that turns it."""
    most: ClassVar[int | None] = None
    """The greatest count; None where there is nothing to count."""

    @classmethod
    def across(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is across [m]; 0 where every position is entered."""
        return 0.0

    @classmethod
    def to_next(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is from one element to the next [m]; 0 where every position is entered."""
        return sizes[cls.lengths[0]] if cls.lengths else 0.0

    def symmetry_deg(self) -> tuple[float, float] | None:
        """Return one heading along its symmetry, and the step to the next [degree]; None where none is known."""
        return None

    @property
    def sizes(self) -> dict[str, float]:
        """What sizes it [m], by key."""
        return {key: float(getattr(self, key).m_as("m")) for key in self.lengths}


class RingArray(Arrangement):
    """A ring of elements."""

    lengths = ("diameter",)
    turned_by = "first_azimuth"
    most = MOST

    kind: Literal["ring"]
    count: Count = Field(examples=["8"])
    """Number of elements, 2 to 24."""
    diameter: Length = Field(examples=['"42 m"'])
    """Diameter of the ring."""
    first_azimuth: Angle = "0 deg"
    """Azimuth of element 1 from the centre."""

    def layout(self) -> Layout:
        """Return the positions."""
        return ring(self.count, self.diameter, self.first_azimuth)

    def description(self, units: LengthUnits) -> str:
        """Return kind, count and size in a few words, lengths in these units."""
        return f"ring of {self.count}, {units.short(self.sizes['diameter'])} across"

    def symmetry_deg(self) -> tuple[float, float]:
        """Return the heading of element 1, and the step to the gap beside it [degree]."""
        return float(self.first_azimuth.m_as("degree")), 180 / self.count

    @classmethod
    def across(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is across [m]."""
        return sizes["diameter"]

    @classmethod
    def to_next(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is from one element to the next [m]."""
        return sizes["diameter"] * math.sin(math.pi / count)


class SquareArray(Arrangement):
    """Four elements in a square."""

    lengths = ("side",)
    turned_by = "first_azimuth"

    kind: Literal["square"]
    side: Length = Field(examples=['"24 m"'])
    """Side of the square."""
    first_azimuth: Angle = "0 deg"
    """Azimuth of element 1 from the centre."""

    def layout(self) -> Layout:
        """Return the positions."""
        return square(self.side, self.first_azimuth)

    def description(self, units: LengthUnits) -> str:
        """Return kind, count and size in a few words, lengths in these units."""
        return f"square, side {units.short(self.sizes['side'])}"

    def symmetry_deg(self) -> tuple[float, float]:
        """Return the heading of corner 1, and the step to a side [degree]."""
        return float(self.first_azimuth.m_as("degree")), 45.0

    @classmethod
    def across(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is across [m]."""
        return sizes["side"] * math.sqrt(2)


class RowArray(Arrangement):
    """A straight row."""

    lengths = ("spacing",)
    turned_by = "azimuth"
    most = MOST

    kind: Literal["row"]
    count: Count = Field(examples=["3"])
    """Number of elements, 2 to 24; element 1 stands nearest to `azimuth`."""
    spacing: Length = Field(examples=['"20 m"'])
    """Distance from one element to the next in a row."""
    azimuth: Angle = Field(examples=['"45 deg"'])
    """Azimuth along the row, toward element 1."""

    def layout(self) -> Layout:
        """Return the positions."""
        return row(self.count, self.spacing, self.azimuth)

    def description(self, units: LengthUnits) -> str:
        """Return kind, count and size in a few words, lengths in these units."""
        return f"row of {self.count}, {units.short(self.sizes['spacing'])} apart"

    def symmetry_deg(self) -> tuple[float, float]:
        """Return the heading along the row, and the step to across it [degree]."""
        return float(self.azimuth.m_as("degree")), 90.0

    @classmethod
    def across(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is across [m]."""
        return (count - 1) * sizes["spacing"]


class TwoRowArray(Arrangement):
    """Two rows side by side, `count` elements in each."""

    lengths = ("spacing", "width")
    turned_by = "azimuth"
    most = MOST_IN_ROW

    kind: Literal["two-row"]
    count: CountInRow = Field(examples=["2"])
    """Number of elements in each row, 2 to 12."""
    spacing: Length = Field(examples=['"20 m"'])
    """Distance from one element to the next in a row."""
    width: Length = Field(examples=['"40 m"'])
    """Distance between the two rows."""
    azimuth: Angle = Field(examples=['"45 deg"'])
    """Azimuth along the row, toward element 1."""

    def layout(self) -> Layout:
        """Return the positions."""
        return two_rows(self.count, self.spacing, self.width, self.azimuth)

    def description(self, units: LengthUnits) -> str:
        """Return kind, count and size in a few words, lengths in these units."""
        spacing, width = map(units.short, self.sizes.values())
        return f"two rows of {self.count}, {spacing} apart, rows {width} apart"

    def symmetry_deg(self) -> tuple[float, float]:
        """Return the heading along the row, and the step to across it [degree]."""
        return float(self.azimuth.m_as("degree")), 90.0

    @classmethod
    def across(cls, count: int, sizes: Mapping[str, float]) -> float:
        """Return how far it is across [m]."""
        return math.hypot((count - 1) * sizes["spacing"], sizes["width"])


def _stakes(value: Any, info: ValidationInfo) -> Any:
    """Read a table of positions that lies beside the design file."""
    if value is None or isinstance(value, Layout):
        return value
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"{shown(value)} is not a file name", remedy='write positions_file = "stakes.csv"')
    folder = Path((info.context or {}).get("folder", "."))
    file = file_path(value, "value", "stakes.csv")
    # a design from elsewhere must not make another file's content appear in a sentence
    if not Path(os.path.realpath(folder / file)).is_relative_to(os.path.realpath(folder)):
        remedy = 'copy it beside the design, and write positions_file = "stakes.csv"'
        raise InputError(f"{shown(value)} lies outside the design's folder", remedy=remedy)
    return read_positions(folder / file)


class CustomArray(Arrangement):
    """Elements at entered positions, here or in a table beside this file."""

    kind: Literal["custom"]
    positions: list[Place] | None = None
    """East and north of each element, such as [["0 m", "0 m"], ["3 m", "-20 ft"]]."""
    positions_file: Annotated[Any, BeforeValidator(_stakes)] = None
    """CSV file beside the design, headed east (m),north (m)."""

    @model_validator(mode="after")
    def _either(self) -> "CustomArray":
        if (self.positions is None) == (self.positions_file is None):
            both = self.positions is not None
            raise InputError(
                "positions and positions_file are both given" if both else "there are no positions",
                where="positions",
                remedy='write either positions = [["0 m", "0 m"], ["0 m", "20 m"]] or positions_file = "stakes.csv"',
            )
        key = "positions" if self.positions_file is None else "positions_file"
        count = len(self.positions) if self.positions is not None else self.positions_file.count
        if count < 1:
            raise InputError("is empty", where=key, remedy='write at least one position, such as ["0 m", "20 m"]')
        return self

    def layout(self) -> Layout:
        """Return the positions."""
        if self.positions is None:
            return self.positions_file
        rows = [[place.m_as("m") for place in pair] for pair in self.positions]
        return layout_from(Quantity(rows, "m"))

    def description(self, units: LengthUnits) -> str:
        """Return kind and count in a few words."""
        return f"{self.layout().count} stakes as entered"


AnyArray = RingArray | SquareArray | RowArray | TwoRowArray | CustomArray
ARRAYS: Mapping[str, type[Arrangement]] = MappingProxyType(
    {"ring": RingArray, "square": SquareArray, "row": RowArray, "two-row": TwoRowArray, "custom": CustomArray}
)
"""Every kind of array by its name in the file."""


def _ground_kind(value: Any) -> Any:
    return value if value is None else one_of(value, GROUND_CLASSES, "value")


class GroundTable(Strict):
    """The ground by its numbers, or by its class."""

    kind: Annotated[str | None, BeforeValidator(_ground_kind)] = None
    """Class: "medium dry ground", "wet ground", "very dry ground", "fresh water", "sea water" or "perfect"."""
    relative_permittivity: Annotated[float, number(1, 1000, "13")] | None = None
    """Relative permittivity; goes with conductivity."""
    conductivity: NonNegativeConductivity | None = None
    """Conductivity."""

    @model_validator(mode="after")
    def _whole(self) -> "GroundTable":
        both = self.relative_permittivity is not None and self.conductivity is not None
        neither = self.relative_permittivity is None and self.conductivity is None
        if not (both if self.kind is None else neither):
            raise InputError(
                "needs two numbers, or a kind",
                remedy='write relative_permittivity = 13 and conductivity = "5 mS/m", or kind = "perfect" alone',
            )
        self.ground()
        return self

    def ground(self) -> AnyGround:
        """Return the ground."""
        if self.kind is not None:
            return GROUND_CLASSES[self.kind]
        assert self.relative_permittivity is not None  # checked above
        return Ground(self.relative_permittivity, self.conductivity)


def _date(value: Any) -> Any:
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            pass
    if value is not None and not isinstance(value, datetime.date):
        raise InputError(f"{shown(value)} is not a date", remedy="write it like date = 2026-11-25")
    return value


Day = Annotated[datetime.date | None, BeforeValidator(_date)]
"""A date such as 2026-11-25, or none."""


class Site(Strict):
    """Where on earth, for bearings by compass: the declination, or the place and day it follows from."""

    declination: Declination | None = Field(default=None, examples=['"-3 deg"'])
    """Magnetic declination, east positive."""
    latitude: Angle | None = Field(default=None, examples=['"52 deg"'])
    """Latitude, north positive."""
    longitude: Angle | None = Field(default=None, examples=['"-1.1 deg"'])
    """Longitude, east positive."""
    date: Day = None
    """Date for the magnetic model, such as 2026-11-25."""
    height: Height = Quantity(0.0, "m")
    """Height above sea level."""

    @model_validator(mode="after")
    def _whole(self) -> "Site":
        place = [self.latitude, self.longitude, self.date]
        given = sum(part is not None for part in place)
        if given != (3 if self.declination is None else 0):
            raise InputError(
                "needs the declination, or the place and the day that it follows from",
                remedy='write declination = "-3 deg" alone, or latitude = "52 deg", longitude = "1 deg" and '
                "date = 2026-11-25",
            )
        if self.declination is not None and abs(self.declination.m_as("degree")) > 180:
            raise InputError("lies beyond 180 deg", where="declination", remedy="write it like -3 deg, east positive")
        self.east_of_north()
        return self

    def compass_warning(self) -> str:
        """Return what to mind about compasses here, nothing where they work or the place is not said."""
        if self.latitude is None:
            return ""
        assert self.date is not None  # checked above
        return compass_warning(self.latitude, self.longitude, self.date, self.height)

    def east_of_north(self) -> Any:
        """Return the declination, positive east."""
        if self.declination is not None:
            return self.declination
        assert self.date is not None  # checked above
        return declination(self.latitude, self.longitude, self.date, self.height)
