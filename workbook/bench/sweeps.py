"""Reading sweeps of an analyser: Touchstone files of one or two ports, checked before any library sees them."""

import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from workbook.checks import file_path, instance, not_negative, one_of, positive, single
from workbook.errors import InputError, shown
from workbook.units import ComplexArray, FloatArray, Frequency, Impedance, Quantity, with_unit

LARGEST = 64 * 2**20
"""Size in bytes above which a file is not read."""

_HERTZ = {"HZ": 1.0, "KHZ": 1e3, "MHZ": 1e6, "GHZ": 1e9}
_FORMATS = ("MA", "DB", "RI")
_PORTS = {3: 1, 9: 2}
"""Ports by the numbers in a row."""
_AGAIN = "save the sweep again"


@dataclass(frozen=True, eq=False)
class Sweep:
    """Scattering parameters over frequency.

    Attributes
    ----------
    frequency
        Rising frequencies (n).
    s
        Complex (n, ports, ports); ``s[:, 1, 0]`` is S21.
    port_impedance
        Reference impedance of every port [ohm], one resistance.
    """

    frequency: Frequency
    s: ComplexArray
    port_impedance: Impedance

    def __post_init__(self) -> None:
        """Refuse values that are not a sweep."""
        hertz, shape = not_negative(self.frequency, "Hz", "frequency"), _shape(self.s)
        if np.ndim(hertz) != 1 or np.any(np.diff(hertz) <= 0):
            raise InputError("the frequencies do not rise", where="frequency", wanted="one row of rising frequencies")
        if shape not in ((len(hertz), 1, 1), (len(hertz), 2, 2)):
            wanted = f"an array of the shape ({len(hertz)}, ports, ports) with 1 or 2 ports"
            raise InputError(f"got {shown(self.s)}", where="s", wanted=wanted)
        single(positive(self.port_impedance, "ohm", "port_impedance"), "port_impedance")


def _shape(s: Any) -> tuple[int, ...]:
    """Return the shape of an array of numbers, an empty one for anything else."""
    try:
        array = None if isinstance(s, Quantity) else np.asarray(s)
    except ValueError:  # rows of unequal length
        return ()
    return array.shape if array is not None and array.dtype.kind in "iufc" else ()


class _Options(NamedTuple):
    """The option line: factor to hertz, format, reference impedance [ohm]."""

    hertz: float
    form: str
    ohms: float


def read_sweep(path: Path | str) -> Sweep:
    """Return a sweep from a Touchstone file (version 1) of one or two ports.

    Parameters
    ----------
    path
        The file. An option line ``#`` alone means GHz S MA R 50.

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
        text = _text(file).splitlines()
        options, rows = _options(text), _rows(text)
    except InputError as error:
        raise error.within(str(file)) from None
    s = _s_parameters(options, rows)
    return Sweep(Quantity(rows[:, 0] * options.hertz, "Hz"), s, Quantity(options.ohms, "ohm"))


def _text(file: Path) -> str:
    try:
        if file.exists() and not file.is_file():
            raise InputError("cannot be read, since it is not a file", remedy="name a sweep")
        if file.stat().st_size > LARGEST:
            raise InputError("is larger than 64 MiB", remedy="check the name")
        raw = file.read_bytes()
    except OSError as error:
        problem = f"cannot be read ({error.strerror})"
        raise InputError(problem, remedy="check the name and the permissions") from None
    try:
        text = raw.decode("ascii" if raw.isascii() else "utf-8")
    except UnicodeDecodeError:
        text = "\0"
    if any(ord(letter) < 32 and letter not in "\t\r\n" for letter in text):
        raise InputError("is not text", remedy="save the sweep as a Touchstone file (.s1p or .s2p)")
    return text


def _options(text: list[str]) -> _Options:
    found = [line.split("!")[0].strip() for line in text if line.lstrip().startswith("#")]
    if not found:
        raise InputError("has no option line", remedy="a Touchstone file begins with one such as '# MHz S RI R 50'")
    options = _Options(1e9, "MA", 50.0)
    words = iter(found[0].lstrip("# ").upper().split())
    for word in words:
        if word in _HERTZ:
            options = options._replace(hertz=_HERTZ[word])
        elif word in _FORMATS:
            options = options._replace(form=word)
        elif word == "R" and (ohms := next(words, None)) is not None:
            options = options._replace(ohms=_number(ohms, "option line"))
        elif word not in ("S", "R"):
            raise InputError(f"has {shown(word)}", where="option line", remedy="write it like '# MHz S RI R 50'")
    if not options.ohms > 0:
        problem = f"the reference impedance of {options.ohms:g} ohm is not above zero"
        raise InputError(problem, where="option line", remedy="correct it")
    return options


def _number(text: str, where: str) -> float:
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) or not np.isfinite(float(text)):
        raise InputError(f"{shown(text)} is not a number", where=where, remedy=_AGAIN)
    return float(text)


def _rows(text: list[str]) -> FloatArray:
    rows: list[list[float]] = []
    for count, line in enumerate(text, 1):
        words = line.split("!")[0].split()
        if not words or words[0].startswith("#"):
            continue
        where = f"row {count}"
        width = len(rows[0]) if rows else len(words)
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


def _s_parameters(options: _Options, rows: FloatArray) -> ComplexArray:
    """Hand checked numbers to scikit-rf's Touchstone reader, which knows the formats and the order of the columns."""
    from skrf.io.touchstone import Touchstone

    body = "\n".join(" ".join(repr(float(value)) for value in row) for row in rows)
    stream = io.StringIO(f"# HZ S {options.form} R {options.ohms!r}\n{body}\n")
    stream.name = f"sweep.s{_PORTS[rows.shape[1]]}p"  # the reader takes the number of ports from the name
    return np.array(Touchstone(stream).s)


def check_frequency_in(sweep: Sweep, far_end: str = "open") -> Frequency:
    """Return the check frequency that a sweep of a line shows at port 1: its lowest zero of reactance.

    The reflection of an open line starts near +1 and turns clockwise; its reactance is zero where the phase has
    fallen by half a turn (for a shorted line, by a whole turn from -1).

    Parameters
    ----------
    sweep
        The sweep, which starts below that frequency.
    far_end
        ``"open"`` or ``"short"``.

    Returns
    -------
    quantity [Hz]

    Raises
    ------
    InputError
        When the sweep does not reach that frequency, starts above it, or has too few points to follow the phase.
    """
    instance(sweep, Sweep, "sweep", "read one with wb.read_sweep('reel.s1p')")
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
