"""The worksheets as a reader finds them: title, answer and code; the design chosen for them and what was measured."""

import contextlib
import hashlib
import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook.files import demo, write_all

STATE = "FEEDLINE_WORKBOOK_STATE"
"""Environment variable by which the lab gives its state folder to the worksheets; without it nothing is remembered."""


@dataclass(frozen=True)
class Worksheet:
    """A worksheet: file name, title (its first heading), what it answers (its first sentence), SHA-256 of its code."""

    name: str
    title: str
    answers: str
    fingerprint: str


def read_worksheet(notebook: Path) -> Worksheet:
    """Return what a notebook's first text and its code say; the fingerprint is the one that the lab's page computes."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    texts = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]
    code = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    heading, _, prose = (texts[0] if texts else "").partition("\n")
    first = re.match(r"\s*(.+?[.?!])(?=\s|$)", prose, re.DOTALL)
    packed = json.dumps(code, ensure_ascii=False, separators=(",", ":")).encode()
    title = heading.lstrip("# ").strip() or notebook.stem
    return Worksheet(notebook.name, title, first[1] if first else "", hashlib.sha256(packed).hexdigest())


def worksheets(folder: Path) -> tuple[Worksheet, ...]:
    """Return the worksheets of a folder in the order of the work, which is that of their names."""
    return tuple(read_worksheet(path) for path in sorted(folder.glob("[0-9]*.ipynb")))


def remember_design(folder: Path, design: Path, state: Path | None = None) -> None:
    """Write down which design file was chosen last for the worksheets in `folder`; a failure is no reason to stop."""
    _write(_note("chosen-designs", folder, state), f"{design.resolve()}\n")


def remembered_design(folder: Path) -> Path | None:
    """Return the design file chosen last for the worksheets in `folder`; None where none is known or it is gone."""
    design = Path(_read(_note("chosen-designs", folder)).strip())
    try:
        return design if design.is_file() else None
    except (OSError, ValueError):  # not the text that was written
        return None


def design_files(folder: Path) -> tuple[str, ...]:
    """Return the design files at hand: those in the folder, else the bundled demo."""
    here = sorted(path.name for path in folder.glob("*.toml"))
    return tuple(here) or (str(demo()),)


def names_of_designs(folder: Path, listed: Sequence[str]) -> tuple[str, ...]:
    """Return the design chosen last in the folder, then those listed; one that lies elsewhere by its whole path."""
    chosen = remembered_design(folder)
    if chosen is None:
        return tuple(listed)
    here = chosen.parent == folder.resolve() and chosen.name in listed
    return (chosen.name if here else str(chosen), *listed)


def remember_units(folder: Path, units: str) -> None:
    """Write down which system lengths are shown in by the worksheets in `folder`."""
    _write(_note("units", folder), f"{units}\n")


def remembered_units(folder: Path) -> str | None:
    """Return the system of lengths chosen last in the worksheets of `folder`; None where none was chosen."""
    return _read(_note("units", folder)).strip() or None


def remember_readings(design: Path, readings: Mapping[str, str]) -> None:
    """Write down what was measured on the pieces of a design, as it was typed, by the label of the piece."""
    _write(_note("readings", design), json.dumps(dict(readings)))


def remembered_readings(design: Path) -> dict[str, str]:
    """Return what was measured on the pieces of a design; nothing where nothing is known."""
    try:
        known = json.loads(_read(_note("readings", design)))
    except ValueError:
        return {}
    return {key: text for key, text in known.items() if isinstance(text, str)} if isinstance(known, dict) else {}


def _note(kind: str, about: Path, state: Path | None = None) -> Path | None:
    """Return the file that holds what is remembered about a path, apart from it so that nothing beside it changes."""
    kept = state or (Path(os.environ[STATE]) if os.environ.get(STATE) else None)
    digest = hashlib.sha256(str(about.resolve()).encode()).hexdigest()[:16]
    return kept / kind / digest if kept else None


def _write(note: Path | None, text: str) -> None:
    if note is not None:
        with contextlib.suppress(OSError):
            note.parent.mkdir(parents=True, exist_ok=True)
            write_all({note: text})


def _read(note: Path | None) -> str:
    try:
        return note.read_text(encoding="utf-8") if note else ""
    except (OSError, ValueError):  # not there, or not the text that was written
        return ""
