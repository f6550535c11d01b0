"""Positions of elements from a CSV file: columns `east` and `north` with units, `element` if the order is another."""

import csv
import io
import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from workbook.array.layout import Layout, layout_from
from workbook.checks import file_path, nearest, real
from workbook.errors import InputError, shown
from workbook.files import read_bounded
from workbook.formatting import LengthUnits
from workbook.units import Quantity, quantity

TABLE = "the table"
"""How refusals name a table that is not in a file."""
LARGEST = 1_000_000
"""Files above this [bytes] are not opened."""

_PLACES = ("east", "north"), ("distance", "azimuth")
_COLUMNS = ("east", "north", "distance", "azimuth", "element")
_LENGTHS = ("east", "north", "distance")
_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")
_HEIGHTS = ("height", "up", "z", "elevation", "altitude")
_HEADING = re.compile(r"(?P<name>[^()\[\]]*)(?:\((?P<round>[^()]*)\)|\[(?P<square>[^\[\]]*)\])?")


def read_positions(path: Path | str) -> Layout:
    """Return a layout from a CSV file with a heading line, comma between cells and point in numbers.

    A unit stands in the heading, ``east (m),north (ft)``, or in every cell, ``3 m`` or ``18 ft 3 1/2 in``; the columns
    may be ``distance (m),azimuth`` from the centre instead. The column
    `element` numbers the rows 1 to N in any order; without it they are numbered as they come.

    Parameters
    ----------
    path
        The file: UTF-8, up to 1 MB.

    Returns
    -------
    Layout

    Raises
    ------
    InputError
        On anything that cannot be read, with file, row and column; on heights, since the array is flat.
    """
    file, text = _text(path)
    body = _body(file, text, ",")
    order = _order(file, body)
    metres = [row.place() for row in body]
    try:
        return layout_from(Quantity([metres[n] for n in order], "m"))
    except InputError as error:
        raise error.at(str(file)) from None


def position_texts(text: str, units: LengthUnits = LengthUnits.BOTH) -> tuple[tuple[str, str], ...]:
    r"""Return east and north of every stake, as texts with units, from a table that is pasted or uploaded.

    Parameters
    ----------
    text
        As for `read_positions`; the columns may also be ``distance,azimuth`` from the centre, azimuths in degrees, and
        tabs may separate the cells.
    units
        Whether places that are computed are written in metres or in feet; with either, a length without a unit is
        in it too, and with both it is refused.

    Returns
    -------
    tuple of (east, north)
        In the order of the elements; what was written as east and north stays as it was written.

    Raises
    ------
    InputError
        On anything that cannot be read, with row and column.

    Examples
    --------
    >>> position_texts("distance,azimuth\n18 ft 3 1/2 in,90\n20 m,180 deg")
    (('5.575 m', '0 m'), ('0 m', '-20 m'))
    >>> position_texts("east (ft),north (ft)\n75,0\n-75,0")
    (('75 ft', '0 ft'), ('-75 ft', '0 ft'))
    >>> position_texts("east,north\n75,0", LengthUnits.FEET)
    (('75 ft', '0 ft'),)
    """
    if not isinstance(text, str):
        raise InputError(f"got {shown(text)}", where="text", wanted="rows of text with a heading line")
    if len(text) > LARGEST:
        raise InputError(
            "is larger than 1 MB, the limit for a table of positions",
            where=TABLE,
            remedy="name a table of up to 64 rows",
        )
    usual = "" if units is LengthUnits.BOTH else units.scale[0]
    body = _body(TABLE, text, "\t" if "\t" in text.strip().partition("\n")[0] else ",", usual)
    order = _order(TABLE, body)
    return tuple(body[n].texts(units) for n in order)


class _Row:
    """One row of cells with its place in the file; a length without a unit is in the usual one, if there is one."""

    def __init__(self, where: str, cells: Sequence[str], columns: dict[str, str], usual: str) -> None:
        if len(cells) != len(columns):
            raise InputError(
                f"{where} has {len(cells)} cells, but the heading names {len(columns)} columns",
                remedy="write decimal points, and put a cell that holds a comma in quotes",
            )
        self.where, self.units = where, columns
        self.cells = {
            name: f"{cell} {usual}" if usual and name in _LENGTHS and not unit and _NUMBER.fullmatch(cell) else cell
            for (name, unit), cell in zip(columns.items(), cells, strict=True)
        }

    def place(self) -> tuple[float, float]:
        """Return east and north [m]."""
        if "azimuth" not in self.cells:
            return self.metres("east"), self.metres("north")
        where, text = f"{self.where}, column azimuth", self.cells["azimuth"]
        bare = _NUMBER.fullmatch(text) is not None
        turn = float(real(f"{text} {self.units['azimuth'] or 'deg'}" if bare else text, "radian", where))
        distance = self.metres("distance")
        return distance * math.sin(turn), distance * math.cos(turn)

    def texts(self, units: LengthUnits) -> tuple[str, str]:
        """Return east and north as they are written in a file."""
        east, north = self.place()
        if "azimuth" in self.cells:
            name, size = units.scale
            return f"{round(east / size, 3) + 0.0:.9g} {name}", f"{round(north / size, 3) + 0.0:.9g} {name}"
        return self._text("east"), self._text("north")

    def _text(self, column: str) -> str:
        return f"{self.cells[column]} {self.units[column]}".strip()

    def metres(self, column: str) -> float:
        where, text, unit = f"{self.where}, column {column}", self.cells[column], self.units[column]
        if not text:
            raise InputError("is empty", where=str(where), remedy=f"write a length such as {'3' if unit else '3 m'}")
        if unit and _reads(text):
            raise InputError(
                f"{shown(text)} and the heading both have a unit", where=str(where), remedy="write it in one of them"
            )
        return float(real(f"{text} {unit}".strip(), "m", where))


def _body(file: Path | str, text: str, separator: str, usual: str = "") -> list[_Row]:
    rows = _rows(file, text, separator)
    columns = _columns(file, rows[0][1])
    return [_Row(f"{file}: row {number}", cells, columns, usual) for number, cells in rows[1:]]


def _reads(text: str) -> bool:
    """Return whether a text is a whole quantity, unit and all."""
    try:
        quantity(text)
    except InputError:
        return False
    return True


def _text(path: Any) -> tuple[Path, str]:
    file = file_path(path, "path", "positions.csv")
    try:
        # spreadsheets put a byte order mark first
        return file, read_bounded(file, LARGEST, "a CSV file of positions").decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("is not UTF-8 text", where=str(file), remedy="save it as CSV in UTF-8") from None


def _rows(file: Path | str, text: str, separator: str) -> list[tuple[int, list[str]]]:
    """Return the rows that hold anything, each with the number of its line."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, skipinitialspace=True, delimiter=separator)
    try:
        rows = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader]
    except csv.Error:
        raise InputError(
            f"row {reader.line_num} is not valid CSV", where=str(file), remedy="close its quotes, or save it again"
        ) from None
    rows = [(number, cells) for number, cells in rows if any(cells)]
    if not rows:
        raise InputError("is blank", where=str(file), remedy="begin with a heading line such as 'east (m),north (m)'")
    heading = rows[0][1]
    if len(heading) == 1 and (mark := re.search(r"[;\t]", heading[0])):
        word = "semicolons" if mark[0] == ";" else "tabs"
        raise InputError(
            f"has {word} between its columns", where=str(file), remedy="save it with commas, and points in numbers"
        )
    return rows


def _columns(file: Path | str, heading: Sequence[str]) -> dict[str, str]:
    """Return the columns' names and units, in the order of the file; the unit is empty where cells have their own."""
    columns: dict[str, str] = {}
    for title in heading:
        found = _HEADING.fullmatch(title)
        name = found["name"].strip().lower() if found else title
        if name in _HEIGHTS:
            raise InputError(
                (f"has a column {name}, but the array is flat, and heights matter for tapes only"),
                where=str(file),
                remedy="take that column out",
            )
        if name not in _COLUMNS:
            raise InputError(f"unknown column {shown(title)}", where=str(file), remedy=nearest(name, _COLUMNS))
        if name in columns:
            raise InputError(f"has the column {name} twice", where=str(file), remedy="take one out")
        columns[name] = _unit(f"{file}: heading of {name}", found, name) if found else ""
        if name == "element" and columns[name]:
            raise InputError(
                "the column element has a unit, but holds plain numbers", where=str(file), remedy="take the unit out"
            )
    wanted = _PLACES[1] if "distance" in columns or "azimuth" in columns else _PLACES[0]
    both = [name for name in columns if name not in (*wanted, "element")]
    if both:
        raise InputError(
            f"has {' and '.join(wanted)}, and {both[0]} too", where=str(file), remedy=f"take the column {both[0]} out"
        )
    for name in wanted:
        if name not in columns:
            raise InputError(
                f"has no column {name}",
                where=str(file),
                remedy="begin with a heading line such as 'east (m),north (m)'",
            )
    return columns


def _unit(where: str, found: re.Match[str], column: str) -> str:
    unit = found["round"] if found["round"] is not None else found["square"]
    if unit is None:
        return ""
    real(f"1 {unit}", "degree" if column == "azimuth" else "m", where)
    return unit.strip()


def _order(file: Path | str, rows: Sequence[_Row]) -> Sequence[int]:
    """Return which row stands for element 1, 2, and so on."""
    if not rows or "element" not in rows[0].cells:
        return range(len(rows))
    places: dict[int, int] = {}
    for place, row in enumerate(rows):
        text = row.cells["element"]
        if not re.fullmatch(r"[0-9]{1,4}", text) or not 1 <= int(text) <= len(rows) or int(text) in places:
            raise InputError(
                f"{row.where}, column element: {shown(text)} is not an unused number from 1 to {len(rows)}",
                remedy="number every element once",
            )
        places[int(text)] = place
    return [places[number] for number in sorted(places)]
