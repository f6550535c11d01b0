"""Reading sweeps of an analyser: Touchstone and CSV files, checked as text before any library sees them.

Touchstone versions 1.1 and 2.0 of the IBIS Open Forum. Nothing in a file is ever executed or unpickled.
"""

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from workbook.bench.sweeps import Sweep, impedance_sweep
from workbook.checks import file_path
from workbook.errors import InputError, shown
from workbook.units import ComplexArray, FloatArray, Quantity

LARGEST = 64 * 2**20
"""Size in bytes above which a file is not read."""

_HERTZ = {"HZ": 1.0, "KHZ": 1e3, "MHZ": 1e6, "GHZ": 1e9}
_FORMATS = ("MA", "DB", "RI")
_PARAMETERS = ("S", "Y", "Z")
_PORTS = {3: 1, 9: 2}
"""Ports by the numbers in a row."""
_NOISE = 5
"""Numbers in a row of noise parameters."""
_AGAIN = "save the sweep again"


class _Line(NamedTuple):
    """A line of a file without its comment, with its number from 1."""

    number: int
    text: str


class _Options(NamedTuple):
    """The option line: factor to hertz, parameter, format, reference impedance [ohm]."""

    hertz: float = 1e9
    parameter: str = "S"
    form: str = "MA"
    ohms: float = 50.0


def read_sweep(path: Path | str) -> Sweep:
    """Return a sweep from a Touchstone file of one or two ports, or a CSV file of impedances.

    Parameters
    ----------
    path
        The file. Touchstone 1.1 or 2.0 with S, Y or Z parameters; an option line ``#`` alone means GHz S MA R 50.
        A CSV file has a heading such as ``frequency MHz, R ohm, X ohm`` or ``frequency MHz, |Z| ohm, angle deg``.

    Returns
    -------
    Sweep

    Raises
    ------
    InputError
        When the file is missing, above 64 MiB, not text, or its rows are not of the format: a wrong count of numbers,
        one that is not a number, frequencies that do not rise, or a reference impedance that is not above zero.
    """
    file = file_path(path, "path")
    try:
        return sweep_in(_content(file))
    except InputError as error:
        raise error.within(str(file)) from None


def _content(file: Path) -> bytes:
    try:
        if file.exists() and not file.is_file():
            raise InputError("cannot be read, since it is not a file", remedy="name a sweep")
        if file.stat().st_size > LARGEST:
            raise InputError("is larger than 64 MiB", remedy="check the name")
        return file.read_bytes()
    except OSError as error:
        problem = f"cannot be read ({error.strerror})"
        raise InputError(problem, remedy="check the name and the permissions") from None


def sweep_in(content: bytes) -> Sweep:
    """Return the sweep in the content of a file, such as one that was uploaded.

    Raises
    ------
    InputError
        As `read_sweep`.
    """
    if len(content) > LARGEST:
        raise InputError("is larger than 64 MiB", remedy="check the name")
    lines = [_Line(n, text.split("!")[0].strip()) for n, text in enumerate(text_of(content).splitlines(), 1)]
    lines = [line for line in lines if line.text]
    if lines and lines[0].text[0] not in "#[" and re.search(r"[A-Za-z]", lines[0].text):
        return _from_csv(lines)
    return _from_touchstone(lines)


def text_of(content: bytes) -> str:
    """Return the content of a file as text, of which nothing is ever executed.

    Raises
    ------
    InputError
        When it is not text.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:  # comments with letters of an older code page
        text = content.decode("latin-1")
    if any((ord(letter) < 32 and letter not in "\t\r\n") or 127 <= ord(letter) < 160 for letter in text):
        raise InputError("is not text", remedy="save the sweep as a Touchstone file (.s1p or .s2p)")
    return text


def _number(text: str, where: str) -> float:
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) or not np.isfinite(float(text)):
        raise InputError(f"{shown(text)} is not a number", where=where, remedy=_AGAIN)
    return float(text)


# --- Touchstone ---------------------------------------------------------------------------------------------


def _from_touchstone(lines: list[_Line]) -> Sweep:
    options = _options(lines)
    keywords = _keywords(lines)
    version_2 = "version" in keywords
    if version_2:
        if keywords.get("matrix format", "full").lower() != "full":
            raise InputError("is not a full matrix", where="[Matrix Format]", remedy="save the sweep as full matrices")
        if "reference" in keywords:
            options = options._replace(ohms=_reference(keywords["reference"]))
    if not options.ohms > 0:
        problem = f"the reference impedance of {options.ohms:g} ohm is not above zero"
        raise InputError(problem, where="option line", remedy="correct it")
    rows = _rows(list(_data(lines)))
    values = _matrices(options.form, rows)
    if keywords.get("two-port data order", "21_12") == "12_21":
        values = values.transpose(0, 2, 1)
    s = _as_scattering(values, options, normalized=not version_2)
    return Sweep(Quantity(rows[:, 0] * options.hertz, "Hz"), s, Quantity(options.ohms, "ohm"))


def _options(lines: list[_Line]) -> _Options:
    found = [line.text for line in lines if line.text.startswith("#")]
    if not found:
        raise InputError("has no option line", remedy="a Touchstone file begins with one such as '# MHz S RI R 50'")
    options = _Options()
    words = found[0].lstrip("# ").upper().split()
    while words:
        word = words.pop(0)
        if word in _HERTZ:
            options = options._replace(hertz=_HERTZ[word])
        elif word in _FORMATS:
            options = options._replace(form=word)
        elif word in _PARAMETERS:
            options = options._replace(parameter=word)
        elif word == "R":
            if words and words[0] not in (*_HERTZ, *_FORMATS, *_PARAMETERS):
                options = options._replace(ohms=_number(words.pop(0), "option line"))
        else:
            raise InputError(f"has {shown(word)}", where="option line", remedy="write it like '# MHz S RI R 50'")
    return options


def _keywords(lines: list[_Line]) -> dict[str, str]:
    """Return the keywords of version 2 in small letters with what follows them, on their own or the next line."""
    found = {}
    for line, after in zip(lines, [*lines[1:], None], strict=True):
        if match := re.match(r"\[([^\]]+)\](.*)", line.text):
            below = after.text if after is not None and after.text[0] not in "[#" else ""
            found[match[1].strip().lower()] = match[2].strip() or below
    return found


def _reference(text: str) -> float:
    ohms = {_number(word, "[Reference]") for word in text.split()}
    if len(ohms) != 1:
        raise InputError("differs from port to port", where="[Reference]", remedy="save it with one impedance")
    return ohms.pop()


def _data(lines: list[_Line]) -> Iterator[_Line]:
    """Yield the lines of network data; of version 2 those below its keyword, up to the noise or the end."""
    version_2 = any(line.text.lower().startswith("[network data]") for line in lines)
    inside = not version_2
    for line in lines:
        if line.text.startswith("["):
            inside = line.text.lower().startswith("[network data]") if version_2 else inside
        elif inside and not line.text.startswith("#"):
            yield line


def _rows(lines: list[_Line]) -> FloatArray:
    rows: list[list[float]] = []
    for line in lines:
        words, where = line.text.split(), f"row {line.number}"
        width = len(rows[0]) if rows else len(words)
        if width == 9 and len(words) == _NOISE and _number(words[0], where) <= rows[-1][0]:
            break  # noise parameters follow a two-port, from a lower frequency on
        if len(words) != width or width not in _PORTS:
            wanted = f"{width} numbers" if rows else "3 numbers (one port) or 9 (two ports)"
            raise InputError(f"has {len(words)}", where=where, wanted=wanted, remedy=_AGAIN)
        rows.append([_number(word, where) for word in words])
        if rows[-1][0] < 0:
            raise InputError("has a negative frequency", where=where, remedy=_AGAIN)
        if len(rows) > 1 and not rows[-1][0] > rows[-2][0]:
            raise InputError("the frequency does not rise", where=where, remedy=_AGAIN)
    if not rows:
        raise InputError("has no rows of numbers", remedy=_AGAIN)
    return np.array(rows)


def _matrices(form: str, rows: FloatArray) -> ComplexArray:
    """Hand checked numbers to scikit-rf's Touchstone reader, which knows the formats and the order of the columns."""
    from skrf.io.touchstone import Touchstone

    body = "\n".join(" ".join(map(repr, row)) for row in rows.tolist())
    stream = io.StringIO(f"# HZ S {form} R 50\n{body}\n")
    stream.name = f"sweep.s{_PORTS[rows.shape[1]]}p"  # the reader takes the number of ports from the name
    return np.array(Touchstone(stream).s)


def _as_scattering(values: ComplexArray, options: _Options, normalized: bool) -> ComplexArray:
    """Return S of S, Y or Z parameters, which version 1 divides by (Z) or multiplies with (Y) the reference."""
    from skrf.network import y2s, z2s

    if options.parameter == "S":
        return values
    if options.parameter == "Z":
        s = z2s(values * (options.ohms if normalized else 1.0), options.ohms)
    else:
        s = y2s(values / (options.ohms if normalized else 1.0), options.ohms)
    if not np.all(np.isfinite(s)):
        raise InputError(f"{options.parameter} parameters without an answer in S", remedy=_AGAIN)
    return np.asarray(s)


# --- CSV ----------------------------------------------------------------------------------------------------

_COLUMNS = {
    "frequency": r"f|freq\.?|frequency",
    "R": r"r|rs|resistance",
    "X": r"x|xs|reactance",
    "|Z|": r"\|?z\|?|impedance",
    "angle": r"angle|phase|theta",
}
_UNITS = {
    "frequency": {name.lower(): factor for name, factor in _HERTZ.items()},
    "angle": {"deg": np.pi / 180, "degree": np.pi / 180, "degrees": np.pi / 180, "°": np.pi / 180, "rad": 1.0},
}
_OHMS = {"": 1.0, "ohm": 1.0, "ohms": 1.0, "ω": 1.0, "kohm": 1e3}
_HEADING = "head the columns like 'frequency MHz, R ohm, X ohm'"


def _from_csv(lines: list[_Line]) -> Sweep:
    mark = next((mark for mark in ";\t," if mark in lines[0].text), None)
    if mark is None:
        raise InputError("has no option line", remedy="a Touchstone file begins with one such as '# MHz S RI R 50'")
    columns = _columns(lines[0].text.split(mark))
    rows = []
    for line in lines[1:]:
        cells, where = line.text.split(mark), f"row {line.number}"
        if len(cells) <= max(place for place, _ in columns.values()):
            raise InputError(f"has {len(cells)} cells", where=where, wanted="as many as the heading", remedy=_AGAIN)
        rows.append([_number(cells[place].strip(), where) * factor for place, factor in columns.values()])
    if not rows:
        raise InputError("has no rows of numbers", remedy=_AGAIN)
    found = dict(zip(columns, np.array(rows).T, strict=True))
    if np.any(np.diff(found["frequency"]) <= 0):
        raise InputError("the frequency does not rise", remedy=_AGAIN)
    ohms = found["R"] + 1j * found["X"] if "R" in found else found["|Z|"] * np.exp(1j * found["angle"])
    return impedance_sweep(Quantity(found["frequency"], "Hz"), Quantity(ohms, "ohm"))


def _columns(headings: list[str]) -> dict[str, tuple[int, float]]:
    """Return the place and the factor to SI units of each column that is needed."""
    found = {}
    for place, heading in enumerate(headings):
        plain = re.sub(r"[\s_\[\]()/\"]+", " ", heading.replace("Ω", "ohm")).strip().lower()
        name, _, unit = plain.partition(" ")
        for column, words in _COLUMNS.items():
            if re.fullmatch(words, name) and column not in found:
                units = _UNITS.get(column, _OHMS)
                if unit not in units:
                    problem = f"{shown(heading.strip())} has no unit that is known"
                    raise InputError(problem, where="heading", remedy=_HEADING)
                found[column] = place, units[unit]
    if "frequency" not in found or not ({"R", "X"} <= set(found) or {"|Z|", "angle"} <= set(found)):
        raise InputError("lacks a column", where="heading", wanted="frequency with R and X", remedy=_HEADING)
    return found
