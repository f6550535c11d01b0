"""A pasted column of measured parts: labels and values, each value with its unit, into what sorting takes."""

import re
from typing import Any

from workbook.errors import InputError, shown
from workbook.units import Quantity, quantity

_HOW = "write a line for each part, such as 'C1 101.2 uH'"
_MOST_LETTERS = 200_000


def values_in(text: str, units: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return the values of parts by label from lines of text, as `matched_sets` takes them.

    Parameters
    ----------
    text
        One line a part: label and value, or label and several values, apart by tabs, semicolons, commas or spaces; a
        line with one value alone gets its number as label. Lines that begin with # are notes.
    units
        Unit of each value that comes without one.

    Returns
    -------
    dict
        A quantity, or a tuple of them, by label.

    Raises
    ------
    InputError
        When a line cannot be read, a label comes twice, or values have no unit; named by the number of the line.
    """
    if not isinstance(text, str) or len(text) > _MOST_LETTERS:
        raise InputError("is not a short text", where="values", remedy=_HOW)
    found: dict[str, Any] = {}
    for number, line in enumerate(text.splitlines(), 1):
        plain = line.strip()
        if not plain or plain.startswith("#"):
            continue
        try:
            label, values = _part(plain, number, units)
        except InputError as error:
            raise error.within(f"line {number}") from None
        if label in found:
            raise InputError(
                f"the label {shown(label)} comes twice", where=f"line {number}", remedy="give each its own"
            )
        found[label] = values if len(values) > 1 else values[0]
    if not found:
        raise InputError("there is nothing to sort yet", where="values", remedy=_HOW)
    return found


def _part(line: str, number: int, units: tuple[str, ...]) -> tuple[str, tuple[Quantity, ...]]:
    if re.fullmatch(r"\d+,\d+( ?\D+)?", line):
        raise InputError(f"{shown(line)} has a comma inside a number", remedy="write a decimal point")
    mark = next((mark for mark in "\t;," if mark in line), None)
    cells = [cell.strip() for cell in line.split(mark)] if mark else _by_spaces(line)
    if len(cells) == 1:
        cells = [str(number), *cells]
    if not cells[0] or not all(cells[1:]):
        raise InputError("has an empty cell", remedy=_HOW)
    return cells[0], tuple(_value(cell, place, units) for place, cell in enumerate(cells[1:]))


def _by_spaces(line: str) -> list[str]:
    """Return label and value of a line without marks: all behind the first gap, or a value alone."""
    label, _, value = line.partition(" ")
    alone = re.fullmatch(r"[+-]?[\d.]+( ?[^\W\d]+.*)?", line) and not re.match(r"[+-]?[\d.]", value.strip())
    return [line] if alone or not value else [label, value.strip()]


def _value(cell: str, place: int, units: tuple[str, ...]) -> Quantity:
    if re.fullmatch(r"[+-]?[\d.]+([eE][+-]?\d+)?", cell) and place < len(units):
        return quantity(f"{cell} {units[place]}")
    return quantity(cell)
