"""The cables: the bundled files, the user's own, which take precedence, and those made up from constants."""

import contextlib
import functools
import os
from pathlib import Path

import numpy as np
import platformdirs

from workbook.checks import check_broadcast, check_velocity_factor, not_negative, positive
from workbook.errors import InputError
from workbook.files import shipped
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.models import ConstantModel, line_model
from workbook.line.record import Record
from workbook.line.trade_names import unknown_cable
from workbook.schema import checked, read_toml
from workbook.units import Floats, Impedance, Quantity, scalar, with_unit

MOST_OWN = 40
"""Cables of one's own that are all compared; a file takes some 20 ms to read."""


def user_folder() -> Path:
    """Return the folder of the user's own cable files, which may not exist yet."""
    named = os.environ.get("FEEDLINE_WORKBOOK_CABLES")
    return Path(named) if named else Path(platformdirs.user_data_dir("feedline-workbook")) / "cables"


def cable_files() -> dict[str, Path]:
    """Return every cable's file by its name; a user's file hides the bundled one of the same name."""
    found: dict[str, Path] = {}
    for folder in (shipped("cable_data"), user_folder()):
        # a folder of one's own that cannot be searched leaves the bundled cables
        with contextlib.suppress(OSError):
            found |= {path.stem: path for path in sorted(folder.glob("*.toml"))}
    return found


def cables() -> tuple[str, ...]:
    """Return the names of all cables, those of unreadable files too.

    Returns
    -------
    tuple of str
        Sorted.

    Examples
    --------
    >>> "series-6-copper" in cables()
    True
    """
    return tuple(sorted(cable_files()))


def cable(name: str) -> Cable:
    """Return a cable by name.

    Parameters
    ----------
    name
        Name of a bundled cable or of a file in the user's own folder, without its ending.

    Returns
    -------
    Cable
        At its typical cladding, with the velocity factor last measured where its file has one.

    Raises
    ------
    InputError
        When there is no such cable (the nearest names are offered), or its file has faults: then every one with
        file, key and remedy.

    Examples
    --------
    >>> cable("series-6-copper").nominal_velocity_factor
    0.85
    """
    files = cable_files()
    if not isinstance(name, str) or name not in files:
        raise unknown_cable(name, files).at("name")
    return load_cable(files[name])


def compared_unasked() -> tuple[str, ...]:
    """Return the names of the cables that a worksheet reads before one is chosen.

    They are the bundled ones and up to 40 of one's own; of more, each is read when it is chosen.
    """
    files = cable_files()
    bundled = shipped("cable_data")
    own = [name for name, path in files.items() if path.parent != bundled]
    return tuple(sorted(set(files) - set(own if len(own) > MOST_OWN else ())))


def readable(name: str) -> bool:
    """Return whether there is a cable of this name and its file can be used."""
    try:
        cable(name)
    except InputError:
        return False
    return True


def first_readable(name: str) -> str:
    """Return this cable's name if it can be used, else that of the first which can.

    Raises
    ------
    InputError
        When there is none.
    """
    found = next(filter(readable, (name, *cables())), None)
    if found is None:
        raise InputError("none can be read", where="cables", remedy="correct the files in your own folder of cables")
    return found


def load_cable(path: Path) -> Cable:
    """Return the cable of one file; its name is the file's name without the ending."""
    try:
        state = path.stat()
    except OSError:
        return _read(path, None)
    return _read(path, (state.st_mtime_ns, state.st_size))


@functools.lru_cache(maxsize=4096)
def _read(path: Path, state: tuple[int, int] | None) -> Cable:
    """Read a file once for each state of it on disk, since every move of a slider needs it."""
    _, data = read_toml(path)
    record = checked(Record, data, str(path))
    nominal = record.nominal_velocity_factor.value
    found = Cable(path.stem, line_model(record), nominal, record.impedance.value.to("ohm"), record)
    for measured in record.measured:
        if measured.velocity_factor:
            found = found.with_velocity_factor(measured.velocity_factor.value, measured.frequency)
    return found


def constant_cable(resistance: Quantity, inductance: Quantity, conductance: Quantity, capacitance: Quantity) -> Cable:
    """Return a cable whose R, L, G and C per metre are the same at every frequency, for checks and what-ifs.

    Parameters
    ----------
    resistance
        Of centre and shield together, such as ``"0.1 ohm/m"``; zero or more.
    inductance
        Such as ``"0.25 uH/m"``; above zero.
    conductance
        Such as ``"1 uS/m"``; zero or more.
    capacitance
        Such as ``"67 pF/m"``; above zero.

    Returns
    -------
    Cable
        Array arguments broadcast.

    Raises
    ------
    InputError
        When resistance or conductance is negative, inductance or capacitance not above zero, or the line would
        be faster than light.
    """
    r = not_negative(resistance, "ohm/m", "resistance")
    l = positive(inductance, "H/m", "inductance")
    g = not_negative(conductance, "S/m", "conductance")
    c = positive(capacitance, "F/m", "capacitance")
    check_broadcast(r, l, g, c)
    # a hair above 1 is rounding of a line that is meant to have the speed of light
    velocity = 1 / (lines.C * np.sqrt(l * c))
    if np.any(velocity > 1 + 1e-9):
        problem = "with this capacitance the line would be faster than light"
        raise InputError(problem, where="inductance", remedy="check both units")
    return Cable(
        "constant", ConstantModel(r, l, g, c), scalar(np.minimum(velocity, 1.0)), with_unit(np.sqrt(l / c), "ohm")
    )


def ideal_cable(impedance: Impedance, velocity_factor: Floats) -> Cable:
    """Return a lossless cable, the same at every frequency, for checks.

    Parameters
    ----------
    impedance
        Characteristic impedance, a resistance above zero.
    velocity_factor
        Plain number above 0 and not above 1.

    Returns
    -------
    Cable
        Array arguments broadcast.

    Raises
    ------
    InputError
        When either is out of range.

    Examples
    --------
    >>> ideal_cable("75 ohm", 0.66).velocity_factor("1.83 MHz")
    0.66
    """
    ohm = positive(impedance, "ohm", "impedance")
    v = check_velocity_factor(velocity_factor)
    check_broadcast(ohm, v)
    zero = np.zeros(np.broadcast_shapes(np.shape(ohm), np.shape(v)))[()]
    model = ConstantModel(zero, ohm / (v * lines.C), zero, 1 / (ohm * v * lines.C))
    return Cable("ideal", model, scalar(v), with_unit(ohm, "ohm"))
