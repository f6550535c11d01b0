"""The cables: the bundled files and the user's own, which win."""

import functools
import os
from pathlib import Path

import platformdirs

from workbook.checks import nearest
from workbook.errors import InputError, shown
from workbook.files import shipped
from workbook.line.cable import Cable
from workbook.line.models import line_model
from workbook.line.record import Record
from workbook.schema import checked, read_toml


def user_folder() -> Path:
    """Return the folder of the user's own cable files, which may not exist yet."""
    named = os.environ.get("FEEDLINE_WORKBOOK_CABLES")
    return Path(named) if named else Path(platformdirs.user_data_dir("feedline-workbook")) / "cables"


def cable_files() -> dict[str, Path]:
    """Return every cable's file by its name; a user's file hides the bundled one of the same name."""
    folders = (shipped("cable_data"), user_folder())
    return {path.stem: path for folder in folders if folder.is_dir() for path in sorted(folder.glob("*.toml"))}


def cables() -> tuple[str, ...]:
    """Return the names of all cables, sorted.

    Examples
    --------
    >>> "series-6-copper" in cables()
    True
    """
    return tuple(sorted(cable_files()))


def cable(name: str) -> Cable:
    """Return a cable by name.

    Raises
    ------
    InputError
        When there is no such cable (the nearest names are offered), or its file is not right; the sentence then
        names the file, the key and the remedy.
    """
    files = cable_files()
    if not isinstance(name, str) or name not in files:
        raise InputError(f"there is no cable {shown(name)}", where="name", remedy=f"{nearest(name, sorted(files))}")
    return load_cable(files[name])


def load_cable(path: Path) -> Cable:
    """Return the cable of one file; its name is the file's name without the ending."""
    state = path.stat() if path.exists() else None
    return _read(path, state and (state.st_mtime_ns, state.st_size))


@functools.lru_cache(maxsize=64)
def _read(path: Path, state: tuple[int, int] | None) -> Cable:
    """Read a file once for each state of it on disk, since every move of a slider asks again."""
    _, data = read_toml(path)
    record = checked(Record, data, str(path))
    nominal = record.nominal_velocity_factor.value
    found = Cable(path.stem, line_model(record), nominal, record.impedance.value.to("ohm"), record)
    for measured in record.measured:
        if measured.velocity_factor:
            found = found.with_velocity_factor(measured.velocity_factor.value, measured.frequency)
    return found
