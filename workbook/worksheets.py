"""The worksheets as a reader finds them: title, what each answers, its code, and the design chosen in a folder."""

import hashlib
import json
import os
import re
from dataclasses import dataclass
from pathlib import Path

from workbook.files import write_all

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
    if note := _note(folder, state):
        try:
            note.parent.mkdir(parents=True, exist_ok=True)
            write_all({note: f"{design.resolve()}\n"})
        except OSError:
            pass


def remembered_design(folder: Path) -> Path | None:
    """Return the design file chosen last for the worksheets in `folder`; None where none is known or it is gone."""
    note = _note(folder, None)
    try:
        design = Path(note.read_text(encoding="utf-8").strip()) if note else None
        return design if design and design.is_file() else None
    except (OSError, ValueError):  # not there, or not the text that was written
        return None


def _note(folder: Path, state: Path | None) -> Path | None:
    """Return the file that names the chosen design, outside the folder so that choosing changes nothing in it."""
    kept = state or (Path(os.environ[STATE]) if os.environ.get(STATE) else None)
    digest = hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:16]
    return kept / "chosen-designs" / digest if kept else None
