"""Changing a design's directions and stakes: each function returns a new design, comments and order kept.

A direction's number is that of its ``[[directions]]`` table. A stake that is moved makes the array `custom`: its
positions are then written one by one in place of a size.
"""

from collections.abc import Sequence
from typing import Any, TypeVar

from workbook.array.positions import position_texts
from workbook.checks import real
from workbook.design.site import CustomArray
from workbook.design.store import StoredDesign
from workbook.design.toml_edit import set_value
from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits

D = TypeVar("D", bound=StoredDesign)

# --- directions -------------------------------------------------------------------------------------------


def add_direction(design: D, name: str, azimuth: str) -> D:
    """Return the design with one more direction at the end.

    Parameters
    ----------
    design
        The design.
    name
        Name on the switch.
    azimuth
        Beam heading, such as ``"45 deg"``; a bare number is in degrees.

    Raises
    ------
    InputError
        When the name is taken or not valid, or the rule needs delays for each direction.
    """
    heading = _heading(azimuth)

    def change(document: Any) -> None:
        import tomlkit

        made = tomlkit.table()
        made.add("name", name)
        made.add("azimuth", heading)
        listed = document["directions"]
        if not isinstance(listed, tomlkit.items.AoT):
            listed.append({"name": name, "azimuth": heading})
            return
        ending = _ending(_body(listed[-1]))
        if not _is_blank(_body(listed[-1])[-1:]):
            listed[-1].add(tomlkit.nl())
        listed.append(made)
        # what stood behind the last table, such as a heading of the next one, stays in front of that
        made.add(tomlkit.nl())
        for comment in ending:
            made.add(comment)

    return design.rewritten(change)


def rename_direction(design: D, name: str, new_name: str) -> D:
    """Return the design with a direction renamed.

    Raises
    ------
    InputError
        When there is no such direction, or the new name is taken or not valid.
    """
    return _set_in_direction(design, name, "name", new_name)


def aim_direction(design: D, name: str, azimuth: str) -> D:
    """Return the design with a direction's beam heading changed; a bare number is in degrees.

    Raises
    ------
    InputError
        When there is no such direction, or the azimuth is not an angle.
    """
    return _set_in_direction(design, name, "azimuth", _heading(azimuth))


def remove_direction(design: D, name: str) -> D:
    """Return the design without a direction, and without the comment right above it.

    Raises
    ------
    InputError
        When there is no such direction, or it is the only one.
    """
    number = _number(design, name)
    if len(design.content.directions) == 1:
        raise InputError(f"{name!r} is the only direction", where="directions", remedy="add another one first")

    def change(document: Any) -> None:
        import tomlkit

        listed = document["directions"]
        if not isinstance(listed, tomlkit.items.AoT):
            del listed[number]
            return
        above = _body(listed[number - 1]) if number else []
        ending = _ending(_body(listed[number]))
        if above and not _is_blank(above[-1:]):
            _ending(above)
        del listed[number]
        # a heading of what comes next stood behind the direction
        for comment in ending:
            listed[-1].add(comment)

    return design.rewritten(change)


def _set_in_direction(design: D, name: str, key: str, value: str) -> D:
    number = _number(design, name)
    return design.rewritten(lambda document: set_value(document["directions"][number], key, value))


def _number(design: StoredDesign, name: str) -> int:
    names = [direction.name for direction in design.content.directions]
    if name not in names:
        raise InputError(
            f"there is no direction {shown(name)}", where="direction", remedy=f"there are {', '.join(names)}"
        )
    return names.index(name)


def _heading(azimuth: str) -> str:
    text = str(azimuth).strip()
    written = f"{text} deg" if text.removeprefix("-").replace(".", "", 1).isdecimal() else text
    real(written, "degree", "azimuth")
    return written


def _body(table: Any) -> list[Any]:
    """Return the parsed lines of a table, (key, item) each."""
    return table.value.body


def _is_blank(entries: Sequence[Any]) -> bool:
    return bool(entries) and entries[0][0] is None and not entries[0][1].as_string().strip()


def _ending(body: list[Any]) -> list[Any]:
    """Take out and return the comments at the end of a table's lines: they belong to what comes next."""
    found = []
    while body and body[-1][0] is None and body[-1][1].as_string().lstrip().startswith("#"):
        found.append(body.pop()[1])
    return found[::-1]


# --- stakes -----------------------------------------------------------------------------------------------


def place_stakes(design: D, text: str) -> D:
    """Return the design with all stakes replaced by those of a table, such as one pasted from a spreadsheet.

    Parameters
    ----------
    design
        The design; its array becomes `custom`.
    text
        A heading line ``east,north`` or ``distance,azimuth`` (and ``element``, where the rows are not in order), then
        one row for each stake. Units stand in the heading, as in ``east (ft)``, or in every cell.

    Raises
    ------
    InputError
        When a row cannot be read, naming row and column, or the stakes are not a valid array.
    """
    return _with_positions(design, position_texts(text, design.content.units))


def move_stake(design: D, number: int, east: str, north: str) -> D:
    """Return the design with one stake somewhere else; the array becomes `custom`.

    Parameters
    ----------
    design
        The design.
    number
        Number of the element.
    east, north
        Its new place, lengths with their unit.

    Raises
    ------
    InputError
        When there is no such element, or a length cannot be read.
    """
    layout, array = design.content.array.layout(), design.content.array
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= layout.count:
        raise InputError(f"got {shown(number)}", where="stake", wanted=f"a number from 1 to {layout.count}")
    place = [_length(east, "east"), _length(north, "north")]
    if isinstance(array, CustomArray) and array.positions is not None:
        return design.rewritten(lambda document: document["array"]["positions"].__setitem__(number - 1, place))
    texts = [[_metres(part, design.content.units) for part in pair] for pair in layout.metres]
    return _with_positions(design, [*texts[: number - 1], place, *texts[number:]])


def becomes_custom(design: StoredDesign) -> str:
    """Say what moving a stake does to an array that is described by its size; nothing where it is custom already."""
    array = design.content.array
    if isinstance(array, CustomArray):
        return ""
    return f"A moved stake makes this {array.kind} a custom array: every position is then written in place of its size."


def _with_positions(design: D, texts: Sequence[Sequence[str]]) -> D:
    def change(document: Any) -> None:
        import tomlkit

        array = document["array"]
        for key in [key for key in array if key != "kind"]:
            del array[key]
        set_value(array, "kind", "custom")
        rows = "".join(f"  [{east}, {north}], # {n}\n" for n, (east, north) in enumerate(map(_quoted, texts), 1))
        array["positions"] = tomlkit.parse(f"positions = [\n{rows}]\n")["positions"]
        if not _is_blank(_body(array)[-1:]):
            array.add(tomlkit.nl())

    return design.rewritten(change)


def _quoted(texts: Sequence[str]) -> tuple[str, ...]:
    import tomlkit

    return tuple(tomlkit.item(text).as_string() for text in texts)


def _length(text: str, where: str) -> str:
    real(text, "m", where)
    return str(text).strip()


def _metres(metres: float, units: LengthUnits) -> str:
    name, size = units.scale
    return f"{round(metres / size, 3) + 0.0:.9g} {name}"
