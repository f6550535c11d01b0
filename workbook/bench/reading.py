"""Reading sweeps of an analyser: Touchstone and CSV files, checked as text before any library sees them.

Touchstone versions 1.1 and 2.0 of the IBIS Open Forum. Nothing in a file is ever executed or unpickled.
"""

import codecs
import io
import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from workbook.bench.sweeps import Sweep, impedance_sweep
from workbook.checks import file_path
from workbook.errors import InputError, shown
from workbook.files import read_bounded
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


_BLOCK = 20_000
"""Rows that are read at once."""
_NUMERIC = b"0123456789eE+-. \t\n"
"""What rows of numbers are made of."""
_MOST = 1e6
"""Greatest size of a scattering parameter, 120 dB."""

_Lines = Iterator[tuple[int, bytes]]
"""Lines that hold anything besides a comment, which is taken off, with their numbers from 1."""


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
    file = file_path(path, "path", "reel.s1p")
    content = read_bounded(file, LARGEST, "a sweep")
    try:
        return sweep_in(content)
    except InputError as error:
        raise error.within(str(file)) from None


def sweep_in(content: bytes) -> Sweep:
    """Return the sweep in the content of a file, such as one that was uploaded.

    Raises
    ------
    InputError
        As `read_sweep`.
    """
    if len(content) > LARGEST:
        raise InputError("is larger than 64 MiB", remedy="check the name")
    encoding, plain = _encoding(content), content.removeprefix(codecs.BOM_UTF8)
    lines = _lines(plain)
    first = next(lines, None)
    whole = itertools.chain([first] if first else [], lines)
    # what overflows is refused after it is converted
    with np.errstate(over="ignore", invalid="ignore"):
        if first and first[1][:1] not in b"#[" and re.search(rb"[A-Za-z]", first[1]):
            return _from_csv(whole, encoding)
        return _from_touchstone(whole, encoding)


def text_of(content: bytes) -> str:
    """Return the content of a file as text, of which nothing is ever executed.

    Raises
    ------
    InputError
        When it is not text.
    """
    return content.removeprefix(codecs.BOM_UTF8).decode(_encoding(content))


def _encoding(content: bytes) -> str:
    try:
        text, encoding = content.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:  # comments with letters of an older code page
        text, encoding = content.decode("latin-1"), "latin-1"
    if re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text):
        raise InputError("is not text", remedy="save the sweep as a Touchstone file (.s1p or .s2p)")
    return encoding


def _lines(content: bytes) -> _Lines:
    """Yield the lines, which end at line feeds and carriage returns and at nothing else."""
    if b"\r" in content:
        content = content.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    for number, line in enumerate(io.BytesIO(content), 1):
        if text := line.partition(b"!")[0].strip():
            yield number, text


def _number(text: str, where: str) -> float:
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) or not np.isfinite(float(text)):
        raise InputError(f"{shown(text)} is not a number", where=where, remedy=_AGAIN)
    return float(text)


# --- Touchstone ---------------------------------------------------------------------------------------------


def _from_touchstone(lines: _Lines, encoding: str) -> Sweep:
    heads, data, version_2 = _heads(lines, encoding)
    options = _options(heads)
    keywords = _keywords(heads)
    if version_2:
        if keywords.get("matrix format", "full").lower() != "full":
            raise InputError("is not a full matrix", where="[Matrix Format]", remedy="save the sweep as full matrices")
        if "reference" in keywords:
            options = options._replace(ohms=_reference(keywords["reference"]))
    if not options.ohms > 0:
        problem = f"the reference impedance of {options.ohms:g} ohm is not above zero"
        raise InputError(problem, where="option line", remedy="correct it")
    rows = _rows(data)
    values = _matrices(options.form, rows)
    if keywords.get("two-port data order", "21_12") == "12_21":
        values = values.transpose(0, 2, 1)
    s = _as_scattering(values, options, normalized=not version_2)
    if not np.all(np.abs(s) <= _MOST):
        beyond = int(np.flatnonzero(~np.all(np.abs(s) <= _MOST, axis=(1, 2)))[0])
        problem = f"the sweep is above 120 dB at {rows[beyond, 0] * options.hertz:g} Hz"
        raise InputError(problem, remedy=_AGAIN)
    return Sweep(Quantity(rows[:, 0] * options.hertz, "Hz"), s, Quantity(options.ohms, "ohm"))


def _heads(lines: _Lines, encoding: str) -> tuple[list[str], _Lines, bool]:
    """Return the lines before the network data, those of the data, and whether the file is of version 2."""
    heads: list[str] = []
    version_2 = False
    for number, raw in lines:
        text = raw.decode(encoding)
        if text[0] not in "#[" and not version_2:
            lines = itertools.chain([(number, raw)], lines)
            break
        heads.append(text)
        version_2 = version_2 or text.lower().startswith("[version]")
        if text.lower().startswith("[network data]"):
            break
    data = itertools.takewhile(lambda line: line[1][:1] != b"[", lines) if version_2 else lines
    return heads, (line for line in data if line[1][:1] not in b"#["), version_2


def _options(heads: list[str]) -> _Options:
    found = [text for text in heads if text.startswith("#")]
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


def _keywords(heads: list[str]) -> dict[str, str]:
    """Return the keywords of version 2 in small letters with what follows them, on their own or the next line."""
    found = {}
    for text, after in zip(heads, [*heads[1:], "["], strict=True):
        if match := re.match(r"\[([^\]]+)\](.*)", text):
            below = after if after[0] not in "[#" else ""
            found[match[1].strip().lower()] = match[2].strip() or below
    return found


def _reference(text: str) -> float:
    ohms = {_number(word, "[Reference]") for word in text.split()}
    if len(ohms) != 1:
        raise InputError("differs from port to port", where="[Reference]", remedy="save it with one impedance")
    return ohms.pop()


def _rows(lines: _Lines) -> FloatArray:
    """Return the rows of numbers (n, 3 or 9), read block by block; only a block with a fault is read row by row."""
    blocks: list[FloatArray] = []
    ended = False
    while not ended and (chunk := list(itertools.islice(lines, _BLOCK))):
        width, last = (blocks[0].shape[1], blocks[-1][-1, 0]) if blocks else (None, -1.0)
        block = _block([text for _, text in chunk])
        if block is None or block.shape[1] not in (width or _PORTS,) or not _rises(block[:, 0], last):
            block, ended = _checked_rows(chunk, width, last)
        if len(block):
            blocks.append(block)
    if not blocks:
        raise InputError("has no rows of numbers", remedy=_AGAIN)
    return np.concatenate(blocks)


def _block(texts: list[bytes], mark: str | None = None) -> FloatArray | None:
    """Return rows of finite numbers, all of one width; None where anything else stands among them."""
    numeric = _NUMERIC + (mark or "").encode()
    if b"\n".join(texts).translate(None, numeric):
        return None
    try:
        found = np.loadtxt(texts, delimiter=mark, ndmin=2, comments=None)
    except ValueError:
        return None
    return found if np.all(np.isfinite(found)) else None


def _rises(frequencies: FloatArray, last: float) -> bool:
    return bool(frequencies[0] >= 0 and frequencies[0] > last and np.all(np.diff(frequencies) > 0))


def _checked_rows(lines: list[tuple[int, bytes]], width: int | None, last: float) -> tuple[FloatArray, bool]:
    """Return rows read one by one, and whether noise parameters end them; refuse the first fault by its place."""
    rows: list[list[float]] = []
    for number, raw in lines:
        words, where = raw.decode("latin-1").split(), f"row {number}"
        width = width or len(words)
        if width == 9 and len(words) == _NOISE and _number(words[0], where) <= last:
            return np.array(rows), True  # noise parameters follow a two-port, from a lower frequency on
        if len(words) != width or width not in _PORTS:
            wanted = f"{width} numbers" if width in _PORTS else "3 numbers (one port) or 9 (two ports)"
            raise InputError(f"has {len(words)}", where=where, wanted=wanted, remedy=_AGAIN)
        rows.append([_number(word, where) for word in words])
        if rows[-1][0] < 0:
            raise InputError("has a negative frequency", where=where, remedy=_AGAIN)
        if not rows[-1][0] > last:
            raise InputError("the frequency does not rise", where=where, remedy=_AGAIN)
        last = rows[-1][0]
    return np.array(rows), False


def _matrices(form: str, rows: FloatArray) -> ComplexArray:
    """Return pairs of numbers as complex matrices (n, ports, ports).

    A two-port has S11, S21, S12, S22 in a row.
    """
    one, other = rows[:, 1::2], rows[:, 2::2]
    if form != "RI":
        size = 10 ** (one / 20) if form == "DB" else one
        one, other = size * np.cos(np.radians(other)), size * np.sin(np.radians(other))
    values, ports = one + 1j * other, _PORTS[rows.shape[1]]
    return values.reshape(len(rows), ports, ports).transpose(0, 2, 1)


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


def _from_csv(lines: _Lines, encoding: str) -> Sweep:
    heading = next(lines)[1].decode(encoding)
    mark = next((mark for mark in ";\t," if mark in heading), None)
    if mark is None:
        raise InputError("has no option line", remedy="a Touchstone file begins with one such as '# MHz S RI R 50'")
    columns = _columns(heading.split(mark))
    rows = _cells(lines, mark, [place for place, _ in columns.values()])
    found = {name: rows[:, n] * factor for n, (name, (_, factor)) in enumerate(columns.items())}
    if np.any(np.diff(found["frequency"]) <= 0):
        raise InputError("the frequency does not rise", remedy=_AGAIN)
    ohms = found["R"] + 1j * found["X"] if "R" in found else found["|Z|"] * np.exp(1j * found["angle"])
    return impedance_sweep(Quantity(found["frequency"], "Hz"), Quantity(ohms, "ohm"))


def _cells(lines: _Lines, mark: str, places: list[int]) -> FloatArray:
    """Return the numbers of some columns (n, columns), read block by block as `_rows` does."""
    blocks: list[FloatArray] = []
    while chunk := list(itertools.islice(lines, _BLOCK)):
        block = _block([text for _, text in chunk], mark)
        if block is None or block.shape[1] <= max(places):
            rows = [(f"row {number}", raw.decode("latin-1").split(mark)) for number, raw in chunk]
            short = next(((where, cells) for where, cells in rows if len(cells) <= max(places)), None)
            if short:
                problem, wanted = f"has {len(short[1])} cells", "as many as the heading"
                raise InputError(problem, where=short[0], wanted=wanted, remedy=_AGAIN)
            blocks.append(np.array([[_number(cells[n].strip(), where) for n in places] for where, cells in rows]))
        else:
            blocks.append(block[:, places])
    if not blocks:
        raise InputError("has no rows of numbers", remedy=_AGAIN)
    return np.concatenate(blocks)


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
