"""Reading what an analyser wrote: Touchstone files of one or two ports, checked before any library sees them."""

import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from workbook.checks import one_of
from workbook.errors import InputError
from workbook.units import Quantity, with_unit

LARGEST = 64 * 2**20
"""Files above this [bytes] are not opened."""

_UNITS = ("HZ", "KHZ", "MHZ", "GHZ")
_FORMATS = ("MA", "DB", "RI")


@dataclass(frozen=True, eq=False)
class Sweep:
    """One sweep: `frequency` (n) quantity, `s` complex (n, ports, ports) with s[:, 1, 0] = S21, `port_impedance`."""

    frequency: Any
    s: Any
    port_impedance: Any


def read_sweep(path: Path | str) -> Sweep:
    """Return a sweep from a Touchstone file (version 1) of one or two ports.

    Raises
    ------
    InputError
        When the file is missing, above 64 MiB, no text, or its rows are not what the format asks for: a wrong number
        of figures, one that is not a number, frequencies that do not rise, or a reference impedance not above nought.
    """
    file = Path(path)
    lines = _text(file).splitlines()
    options, rows = _options(file, lines), _rows(file, lines)
    ports = {3: 1, 9: 2}[rows.shape[1]]
    s = _values(file, options, rows, ports)
    scale = {"HZ": 1.0, "KHZ": 1e3, "MHZ": 1e6, "GHZ": 1e9}[options[0]]
    return Sweep(Quantity(rows[:, 0] * scale, "Hz"), s, Quantity(options[2], "ohm"))


def _text(file: Path) -> str:
    try:
        if file.exists() and not file.is_file():
            raise InputError("is not an ordinary file", where=str(file), remedy="name a sweep")
        if file.stat().st_size > LARGEST:
            raise InputError("is larger than 64 MiB, which no sweep is", where=str(file), remedy="check the name")
        raw = file.read_bytes()
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", where=str(file), remedy="check the name and the permissions"
        ) from None
    try:
        text = raw.decode("ascii" if raw.isascii() else "utf-8")
    except UnicodeDecodeError:
        text = "\0"
    if any(ord(letter) < 32 and letter not in "\t\r\n" for letter in text):
        raise InputError("is not text", where=str(file), remedy="save the sweep as a Touchstone file (.s1p or .s2p)")
    return text


def _options(file: Path, lines: list[str]) -> tuple[str, str, float]:
    """Return unit, format and reference impedance of the option line; a bare # means GHz S MA R 50."""
    found = [line.split("!")[0].strip() for line in lines if line.lstrip().startswith("#")]
    if not found:
        raise InputError(
            "has no option line", where=str(file), remedy="a Touchstone file begins with one such as '# MHz S RI R 50'"
        )
    unit, kind, impedance = "GHZ", "MA", 50.0
    words = found[0].lstrip("# ").upper().split()
    while words:
        word = words.pop(0)
        if word in _UNITS:
            unit = word
        elif word in _FORMATS:
            kind = word
        elif word == "R" and words:
            impedance = _figure(file, words.pop(0), "its option line")
        elif word != "S":
            raise InputError(f"its option line has {word!r}", where=str(file), remedy="write it like '# MHz S RI R 50'")
    if not impedance > 0:
        raise InputError(
            f"its reference impedance of {impedance:g} ohm is not above nought",
            where=str(file),
            remedy="mend the option line",
        )
    return unit, kind, impedance


def _figure(file: Path, text: str, where: str) -> float:
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) or not np.isfinite(float(text)):
        raise InputError(
            f"{where} holds {text[:40]!r}, which is no number", where=str(file), remedy="save the sweep again"
        )
    return float(text)


def _rows(file: Path, lines: list[str]) -> Any:
    rows: list[list[float]] = []
    for number, line in enumerate(lines, 1):
        words = line.split("!")[0].split()
        if not words or words[0].startswith("#"):
            continue
        width = len(rows[0]) if rows else len(words)
        if len(words) != width or width not in (3, 9):
            wanted = width if rows else "3 (one port) or 9 (two ports)"
            raise InputError(
                f"row {number} has {len(words)} figures, but {wanted} are wanted",
                where=str(file),
                remedy="save it again",
            )
        rows.append([_figure(file, word, f"row {number}") for word in words])
        if len(rows) > 1 and not rows[-1][0] > rows[-2][0]:
            raise InputError(
                f"the frequency does not rise in row {number}", where=str(file), remedy="save the sweep again"
            )
    if not rows:
        raise InputError("holds no rows of figures", where=str(file), remedy="save the sweep again")
    if rows[0][0] < 0:
        raise InputError("begins at a negative frequency", where=str(file), remedy="save the sweep again")
    return np.array(rows)


def _values(file: Path, options: tuple[str, str, float], rows: Any, ports: int) -> Any:
    """Hand checked figures to scikit-rf's Touchstone reader, which knows the formats and the order of the columns."""
    from skrf.io.touchstone import Touchstone

    unit, kind, impedance = options
    body = "\n".join(" ".join(repr(float(figure)) for figure in row) for row in rows)
    stream = io.StringIO(f"# {unit} S {kind} R {impedance!r}\n{body}\n")
    stream.name = f"sweep.s{ports}p"  # the reader takes the number of ports from the name
    return np.array(Touchstone(stream).s)


def check_frequency_in(sweep: Sweep, far_end: str = "open") -> Any:
    """Return the check frequency that a one-port sweep of a line shows: its lowest zero of reactance at low resistance.

    The reflection of an open line starts near +1 and turns clockwise; its reactance is zero where the phase has
    fallen by half a turn (for a shorted line, by a whole turn from -1).

    Raises
    ------
    InputError
        When the sweep does not reach that frequency, starts above it, or has too few points to follow the phase.
    """
    one_of(far_end, ("open", "short"), "far_end")
    reflection = sweep.s[:, 0, 0] * (1 if far_end == "open" else -1)
    phase = np.unwrap(np.angle(reflection))
    wanted = -np.pi if far_end == "open" else -2 * np.pi
    if len(phase) < 4 or np.abs(np.diff(phase)).max() > np.pi / 2:
        raise InputError("has too few points to follow the phase", where="sweep", remedy="sweep with a finer step")
    below = np.flatnonzero(phase <= wanted)
    if phase[0] > 0.1 or below.size == 0 or below[0] == 0:
        raise InputError(
            "the lowest zero of reactance is not in it", where="sweep", remedy="start lower, or sweep further up"
        )
    last = below[0]
    # phase is smooth: a parabola through the neighbours is far better than any analyser
    near = slice(max(last - 2, 0), last + 2)
    hertz = sweep.frequency.m_as("Hz")[near]
    inverse = np.polynomial.Polynomial.fit(phase[near], hertz, min(2, len(hertz) - 1))
    return with_unit(float(inverse(wanted)), "Hz")
