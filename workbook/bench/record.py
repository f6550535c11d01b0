"""The record of measurements: a CSV file beside the design, one row a measurement, only ever appended to."""

import csv
import datetime
import io
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from workbook.bench.measured import Measured
from workbook.checks import file_path, instance, listed
from workbook.errors import InputError, shown
from workbook.files import read_bounded
from workbook.units import Quantity

COLUMNS = ("date", "piece", "what", "value", "unit", "uncertainty", "temperature_degC", "instrument")
"""The heading of a record."""
SEASON = datetime.timedelta(days=90)
"""Time between two measurements of one piece from which they are of different seasons."""
_MOST = 4 * 2**20
"""Bytes above which a record is not read."""


@dataclass(frozen=True)
class Measurement:
    """One measurement of one piece.

    Attributes
    ----------
    date
        Day of the measurement.
    piece
        The piece, such as ``"A2"`` or ``"run 3"``.
    what
        What was measured, such as ``"check frequency"``.
    value
        The value in `unit`.
    unit
        Its unit; empty for a plain number.
    uncertainty
        Standard uncertainty in the same unit; None where it is not known.
    temperature_degc
        Temperature of the piece [degC]; None where it was not noted.
    instrument
        With what it was measured, in free words.
    """

    date: datetime.date
    piece: str
    what: str
    value: float
    unit: str
    uncertainty: float | None = None
    temperature_degc: float | None = None
    instrument: str = ""

    def __post_init__(self) -> None:
        """Refuse what a row of the record cannot hold."""
        instance(self.date, datetime.date, "date", "give the day")
        for name in ("piece", "what", "unit", "instrument"):
            text = getattr(self, name)
            if not isinstance(text, str) or len(text) > 200 or any(ord(letter) < 32 for letter in text):
                raise InputError(f"got {shown(text)}", where=name, wanted="one line of text")
        if not self.piece or not self.what:
            raise InputError("is empty", where="what" if self.piece else "piece", wanted="a name")
        numbers = [self.value, *(one for one in (self.uncertainty, self.temperature_degc) if one is not None)]
        if not all(isinstance(one, (int, float)) and np.isfinite(one) for one in numbers):
            raise InputError("is not a plain number", where=self.what, wanted="finite plain numbers")


def measurement(
    piece: str,
    what: str,
    measured: Measured | Quantity,
    date: datetime.date,
    temperature_degc: float | None = None,
    instrument: str = "",
) -> Measurement:
    """Return a measured value as a row of the record.

    Raises
    ------
    InputError
        When one of them cannot stand in a row.
    """
    value = measured.value if isinstance(measured, Measured) else measured
    error = measured.uncertainty if isinstance(measured, Measured) else None
    if not isinstance(value, Quantity):
        return Measurement(date, piece, what, float(value), "", error, temperature_degc, instrument)
    unit = f"{value.units:~P}"
    plain_error = None if error is None else float(error.m_as(value.units))
    return Measurement(date, piece, what, float(value.magnitude), unit, plain_error, temperature_degc, instrument)


def record_path(design: Path) -> Path:
    """Return the file of the record of a design.

    Examples
    --------
    >>> record_path(Path("meadow.toml")).name
    'meadow-measurements.csv'
    """
    return design.with_name(f"{design.stem}-measurements.csv")


def _row(one: Measurement) -> tuple[str, ...]:
    numbers = ("" if each is None else f"{each:.10g}" for each in (one.uncertainty, one.temperature_degc))
    error, temperature = numbers
    return (
        one.date.isoformat(),
        one.piece,
        one.what,
        f"{one.value:.10g}",
        one.unit,
        error,
        temperature,
        one.instrument,
    )


def append_measurements(path: Path | str, measurements: Sequence[Measurement]) -> None:
    """Append measurements to a record, all or none; what is there stays byte for byte.

    Parameters
    ----------
    path
        The record, which is made where it is missing.
    measurements
        Rows to append.

    Raises
    ------
    InputError
        When the file is not a record, or cannot be written; it is then as it was.
    """
    file = file_path(path, "path")
    rows = [instance(one, Measurement, "measurements", "write Measurement(...)") for one in _list(measurements)]
    is_new = not file.exists() or file.stat().st_size == 0
    if not is_new:
        read_record(file)
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows([COLUMNS] * is_new + [_row(one) for one in rows])
    try:
        _append(file, stream.getvalue().encode())
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", where=str(file), remedy="check the folder and the permissions"
        ) from None


def _list(measurements: Sequence[Measurement]) -> list[Measurement]:
    return listed(measurements, "measurements", "give a list of Measurement")


def _append(file: Path, content: bytes) -> None:
    """Append in one write; a write that the system cuts short is taken back."""
    handle = os.open(file, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666)
    try:
        before = os.fstat(handle).st_size
        # a hand-written last row may lack its line end
        if before:
            os.lseek(handle, -1, os.SEEK_END)
            content = content if os.read(handle, 1) == b"\n" else b"\n" + content
        try:
            written = os.write(handle, content)
        except OSError:
            os.ftruncate(handle, before)
            raise
        if written != len(content):
            os.ftruncate(handle, before)
            raise OSError(28, "not enough space")
        os.fsync(handle)
    finally:
        os.close(handle)


def read_record(path: Path | str) -> tuple[Measurement, ...]:
    """Return the measurements of a record in the order in which they were written; none of a file that is missing.

    Parameters
    ----------
    path
        The record.

    Raises
    ------
    InputError
        When the file is not a record: another heading, or a row that cannot be read, named by its number.
    """
    file = file_path(path, "path")
    if not file.exists():
        return ()
    try:
        text = read_bounded(file, _MOST, "a record of measurements").decode("utf-8-sig")
        lines = list(csv.reader(io.StringIO(text)))
    except (UnicodeDecodeError, csv.Error):
        raise InputError("is not a table of text", where=str(file), remedy="choose another file") from None
    if not lines or tuple(lines[0]) != COLUMNS:
        remedy = f"the first line of a record is {','.join(COLUMNS)}"
        raise InputError("is not a record of measurements", where=str(file), remedy=remedy)
    return tuple(_read_row(cells, n, file) for n, cells in enumerate(lines[1:], 2) if cells)


def _read_row(cells: list[str], number: int, file: Path) -> Measurement:
    try:
        if len(cells) != len(COLUMNS):
            raise InputError(f"has {len(cells)} cells", wanted=str(len(COLUMNS)))
        date, piece, what, value, unit, error, temperature, instrument = cells
        numbers = [float(one) if one.strip() else None for one in (value, error, temperature)]
        if numbers[0] is None:
            raise InputError("has no value", wanted="a number")
        day = datetime.date.fromisoformat(date)
        return Measurement(day, piece, what, numbers[0], unit, numbers[1], numbers[2], instrument)
    except InputError as refusal:
        raise refusal.within(str(file), f"row {number}") from None
    except ValueError:
        raise InputError("cannot be read", where=(str(file), f"row {number}"), remedy="correct it by hand") from None


# --- season against season ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Movement:
    """How a piece moved from one season to the next.

    Attributes
    ----------
    before, now
        The last measurement of the earlier season, and the latest.
    share
        Relative change.
    common
        The median change of all pieces alike, which is the weather's.
    odd
        Whether it moved apart from the others by more than twice the uncertainty of the change.
    """

    before: Measurement
    now: Measurement
    share: float
    common: float
    odd: bool


UNKNOWN = 1e-3
"""Relative standard uncertainty of a measurement that states none."""


def latest(measurements: Iterable[Measurement], what: str = "check frequency") -> tuple[Measurement, ...]:
    """Return the latest measurement of every piece."""
    found: dict[str, Measurement] = {}
    for one in sorted((one for one in measurements if one.what == what), key=lambda one: one.date):
        found[one.piece] = one
    return tuple(found.values())


def movements(measurements: Sequence[Measurement], what: str = "check frequency") -> tuple[Movement, ...]:
    """Return how every piece moved since the season before, the one that moved farthest apart from the others first.

    Parameters
    ----------
    measurements
        The record.
    what
        What was measured.
    """
    pairs = []
    for now in latest(measurements, what):
        earlier = [one for one in measurements if one.piece == now.piece and now.date - one.date >= SEASON]
        before = latest([one for one in earlier if one.unit == now.unit], what)
        if before and before[0].value:
            pairs.append((before[0], now, now.value / before[0].value - 1))
    if not pairs:
        return ()
    common = float(np.median([share for _, _, share in pairs]))
    found = [
        Movement(before, now, share, common, abs(share - common) > 2 * np.hypot(_relative(before), _relative(now)))
        for before, now, share in pairs
    ]
    return tuple(sorted(found, key=lambda one: -abs(one.share - common)))


def _relative(one: Measurement) -> float:
    return UNKNOWN if not one.uncertainty or not one.value else abs(one.uncertainty / one.value)
