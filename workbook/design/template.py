"""A fresh design file from a few choices, with comments that say what each line is for."""

import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from workbook.bands import band
from workbook.checks import one_of, positive, real, whole_number
from workbook.design.phasing import RULES
from workbook.design.schema import DesignFile
from workbook.design.site import ARRAYS
from workbook.errors import InputError, shown
from workbook.files import write_new
from workbook.schema import checked

KINDS: Final = tuple(kind for kind in ARRAYS if kind != "custom")
"""The arrays that a few choices describe."""
FRESH_RULES: Final = tuple(rule for rule in RULES if rule != "entered")
"""The phasing rules that need no table of delays."""
USUAL_BANDS: Final = ("160 m", "80 m")
"""The bands of a design that names none."""

_MOST_DIRECTIONS = 36
_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
_FREQUENCIES = {"160 m": "1.84 MHz", "80 m": "3.6 MHz", "40 m": "7.05 MHz"}  # the part that is used for long distance
_COMMENT = 34  # the column where comments begin
# key, usual size in metres and in feet, what it is
_SIZES = {
    "ring": (("diameter", "46 m", "150 ft", "across the ring"),),
    "square": (("side", "24 m", "80 ft", "from corner to corner along a side"),),
    "row": (("spacing", "20 m", "65 ft", "from one element to the next"),),
    "two-row": (
        ("spacing", "20 m", "65 ft", "from one element to the next in a row"),
        ("width", "30 m", "100 ft", "from one row to the other"),
    ),
}
_COUNTS = {"ring": (8, "elements"), "row": (4, "elements"), "two-row": (2, "elements in each row")}
_TURNS = {
    "ring": ("first_azimuth", "element 1 as seen from the centre"),
    "square": ("first_azimuth", "corner 1 as seen from the centre"),
    "row": ("azimuth", "the row points there, and element 1 is the nearest to it"),
    "two-row": ("azimuth", "both rows point there"),
}
_DIRECTIONS = {"ring": 8, "square": 4, "row": 2, "two-row": 2}
_RULES = {
    "aligned": (("elevation", '"20 deg"', "a wave from this elevation adds in step"),),
    "endfire": (
        ("elevation", '"20 deg"', "of the wanted signals"),
        ("null_elevation", '"30 deg"', "what comes from behind at this elevation cancels"),
        ("polarity_inversion", "true", "the null then holds on every band"),
    ),
    "greatest-rdf": (
        ("elevation", '"20 deg"', "of the wanted signals"),
        ("least_white_noise_gain", '"-8 dB"', "limits how far the signal may fall"),
    ),
    "fewest-delays": (
        ("elevation", '"20 deg"', "of the wanted signals"),
        ("lines", "2", "different delay lines in each direction"),
        ("least_white_noise_gain", '"-10 dB"', "limits how far the signal may fall"),
    ),
}


@dataclass(frozen=True)
class NewDesign:
    """The choices that a fresh design is made from; what is left out gets a usual value.

    Attributes
    ----------
    name
        Name of the array, such as ``"Long Meadow"``.
    kind
        ``"ring"``, ``"square"``, ``"row"`` or ``"two-row"``.
    count
        Number of elements, in each row where there are two.
    size
        Diameter of a ring, side of a square, spacing in a row; a bare number is in metres, or feet with `feet`.
    width
        Distance between two rows.
    bands
        Bands by name with a design frequency, such as ``"160 m=1.84 MHz"``; the name alone takes a usual one.
    directions
        Number of directions, spread evenly from `first_azimuth`.
    first_azimuth
        Azimuth of the first direction; the array is turned so that it fits.
    rule
        Phasing rule.
    cable
        Cable of element runs and delay lines.
    feet
        Whether usual lengths and bare numbers are in feet.
    """

    name: str
    kind: str = "ring"
    count: int | None = None
    size: str = ""
    width: str = ""
    bands: tuple[str, ...] = USUAL_BANDS
    directions: int | None = None
    first_azimuth: str = "0 deg"
    rule: str = "fewest-delays"
    cable: str = "series-6-copper"
    feet: bool = False


def completed(choices: NewDesign) -> NewDesign:
    """Return the choices with usual numbers and sizes in place of what was left out."""
    kind = one_of(choices.kind, KINDS, "kind")
    usual = [feet if choices.feet else metric for _, metric, feet, _ in _SIZES[kind]]
    return replace(
        choices,
        count=_COUNTS[kind][0] if choices.count is None and kind in _COUNTS else choices.count,
        size=_length(choices.size, choices.feet) or usual[0],
        width=_length(choices.width, choices.feet) or "".join(usual[1:]),
        directions=_DIRECTIONS[kind] if choices.directions is None else choices.directions,
    )


def design_text(choices: NewDesign) -> str:
    """Return the text of a design file, checked.

    Raises
    ------
    InputError
        When the choices make no valid design, naming the key and the remedy.
    """
    one_of(choices.rule, FRESH_RULES, "rule")
    text = "".join(f"{line}\n" for line in _lines(completed(choices)))
    checked(DesignFile, tomllib.loads(text), "the new design")
    return text


def size_text(choices: NewDesign) -> str:
    """Return the sizes of a fresh design with their units, so that a slip of a unit is seen.

    Examples
    --------
    >>> size_text(NewDesign("Fen", size="150")), size_text(NewDesign("Fen", size="150", feet=True))
    ('150 m across the ring', '150 ft across the ring')
    """
    full = completed(choices)
    given = (full.size, full.width)
    return ", ".join(f"{size} {what}" for size, (*_, what) in zip(given, _SIZES[full.kind], strict=False))


def write_design(path: Path, choices: NewDesign) -> Path:
    """Write a fresh design file and return its path, which gets ``.toml`` if it has no ending; never write over a file.

    Raises
    ------
    InputError
        When the choices make no valid design, the file is there already, or cannot be written.
    """
    target = path.with_name(f"{path.name}.toml") if path.name and not path.suffix else path
    if target.suffix.lower() != ".toml":
        raise InputError(f"got {shown(str(path))}", where="file", remedy="choose a name that ends in .toml")
    text = design_text(choices)
    try:
        write_new(target, text)
    except FileExistsError:
        raise InputError("is already there", where=str(target), remedy="choose another name") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a valid file name"
        raise InputError(
            f"cannot be written ({reason})", where=str(target), remedy="choose another name or folder"
        ) from None
    return target


def _lines(choices: NewDesign) -> Iterator[str]:
    bands = dict(_band(entry) for entry in choices.bands)
    turn = _degrees(choices.first_azimuth)
    yield "# Lines that begin with # are notes; they are kept when the workbook saves this file."
    yield from (_line("format", "1"), _line("name", _quoted(choices.name)))
    yield _line("units", '"feet"' if choices.feet else '"both"', "how lengths are shown: metric, feet or both")
    yield from _table("bands", [(_quoted(name), _quoted(given), "design frequency") for name, given in bands.items()])
    yield from _table("array", list(_array(choices, turn)))
    lowest = min(bands, key=lambda name: positive(bands[name], "Hz", f"bands.{name}")) if bands else ""
    cut_band = ("cut_band", _quoted(lowest), "lines have exactly their delay on this band")
    rows = [("rule", _quoted(choices.rule), "how the delays are found"), *_RULES[choices.rule]]
    yield from _table("phasing", [*rows, cut_band])
    for azimuth in _azimuths(choices, turn):
        rows = [("name", _quoted(_direction_name(azimuth)), ""), ("azimuth", _quoted(f"{azimuth:g} deg"), "")]
        yield from _table("[directions]", rows)
    place = '["0 ft", "0 ft"]' if choices.feet else '["0 m", "0 m"]'
    joined = ("kind", '"joined"', "equal delays are summed before one line; or ports, ladder")
    yield from _table("hub", [joined, ("position", place, "east, north of the centre")])
    cable = _quoted(choices.cable)
    yield from _table(
        "cables", [("element_run", cable, "from each element to the hub"), ("delay_line", cable, "at the hub")]
    )
    slack, trim, far = ("5 ft", "4 in", "450 ft") if choices.feet else ("1.5 m", "10 cm", "140 m")
    yield from _table("lengths", [("slack", _quoted(slack), "added to the longest run; all runs get that length")])
    yield _line("# receiver_run", _quoted(far), "from the hub to the receiver")
    yield from _table("cutting", [("trim", _quoted(trim), "cut this much long, then trim to the check frequency")])


def _array(choices: NewDesign, turn: float) -> Iterator[tuple[str, str, str]]:
    kind = choices.kind
    yield "kind", _quoted(kind), "or " + ", ".join(other for other in KINDS if other != kind)
    if kind in _COUNTS:
        yield "count", str(choices.count), _COUNTS[kind][1]
    elif choices.count not in (None, 4):
        raise InputError(f"got {choices.count}", where="count", wanted="4 for a square", remedy="choose another kind")
    if choices.width and len(_SIZES[kind]) == 1:
        raise InputError("goes with two rows", where="width", remedy="leave it out, or choose the kind two-row")
    for length, (key, _, _, what) in zip((choices.size, choices.width), _SIZES[kind], strict=False):
        yield key, _quoted(length), what
    key, what = _TURNS[kind]
    yield key, _quoted(f"{turn:g} deg"), what


def _azimuths(choices: NewDesign, first: float) -> list[float]:
    count = whole_number(choices.directions, "directions", 1, _MOST_DIRECTIONS)
    return [round((first + place * 360 / count) % 360, 2) for place in range(count)]


def _direction_name(azimuth: float) -> str:
    point, off = divmod(azimuth, 45)
    return _POINTS[int(point)] if off == 0 else f"{azimuth:g} deg"


def _band(entry: str) -> tuple[str, str]:
    """Return the name of a band and its design frequency, a usual one where none is given."""
    name, _, given = (part.strip() for part in entry.partition("="))
    if given:
        return name, f"{given} MHz" if _is_number(given) else given
    return name, _FREQUENCIES.get(name) or f"{band(name).centre.m_as('MHz'):g} MHz"


def _degrees(given: str) -> float:
    text = given.strip()
    return real(f"{text} deg" if _is_number(text) else text, "degree", "first_azimuth") % 360


def _length(given: str, feet: bool) -> str:
    """Return a length as it was typed, a bare number with its unit."""
    text = given.strip()
    return f"{text} {'ft' if feet else 'm'}" if _is_number(text) else text


def _is_number(text: str) -> bool:
    return text.lstrip("+-").replace(".", "", 1).isdecimal()


def _table(name: str, rows: list[tuple[str, str, str]]) -> Iterator[str]:
    yield ""
    yield f"[{name}]"
    yield from (_line(*row) for row in rows)


def _line(key: str, value: str, comment: str = "") -> str:
    entry = f"{key} = {value}"
    return f"{entry:<{_COMMENT - 1}} # {comment}" if comment else entry


def _quoted(text: str) -> str:
    """Return a text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
