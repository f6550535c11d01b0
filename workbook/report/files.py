"""Writing the sheets of a plan into a folder, all or none."""

import hashlib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import Path

from workbook.bench.record import Measurement
from workbook.errors import InputError
from workbook.files import write_set
from workbook.plan.plan import Plan
from workbook.report.sheets import build_sheet, labels
from workbook.tables.buy import buy_table
from workbook.tables.cuts import spreadsheet
from workbook.tables.reels import cutting_table

LONGEST = 200
"""Greatest length of a folder's name [bytes]; file systems take some 250."""
NOTE = "sheets.txt"
"""File beside the sheets that says which of them belong together."""
UNFINISHED = """Writing these sheets was interrupted: they may be of different versions of the design.
Do not cut by them; plan the design once more.
"""


def sheets_folder(name: str, beside: Path = Path()) -> Path:
    """Return the folder for the sheets of a design, by a name that any file system takes.

    Parameters
    ----------
    name
        The design's name.
    beside
        Folder that it lies in, such as that of the design file.

    Examples
    --------
    >>> sheets_folder("Heron Fen ring").name
    'build-heron-fen-ring'
    """
    plain = "-".join(re.findall(r"[^\W_]+", unicodedata.normalize("NFC", name).lower()))
    # a name of signs alone, or one that is too long for a folder, is distinguished by its digest
    if not plain or len(plain.encode()) > LONGEST:
        start = plain.encode()[:LONGEST].decode(errors="ignore") or "design"
        plain = f"{start}-{hashlib.sha256(name.encode()).hexdigest()[:8]}"
    return beside / f"build-{plain}"


def write_sheets(plan: Plan, folder: Path, full: bool = False, record: Sequence[Measurement] = ()) -> tuple[Path, ...]:
    """Write build sheet, cut list, list of what to buy, labels and the cuts from reels in stock; return their paths.

    A note beside them, sheets.txt, says that they belong together, or that writing them was interrupted.

    Parameters
    ----------
    plan
        The plan.
    folder
        Where they go; it is made where it is missing.
    full
        Whether the build sheet has its appendix.
    record
        What was measured of the pieces so far, which the build sheet prints beside the plan.

    Raises
    ------
    InputError
        When the folder cannot be made or written; nothing is then half-written.
    """
    texts = {
        folder / "build-sheet.html": build_sheet(plan, full, record),
        folder / "cuts.csv": spreadsheet(plan).csv(),
        folder / "buy.csv": buy_table(plan).csv(),
        folder / "labels.html": labels(plan),
    }
    if any(one.reels for one in plan.reels):
        texts[folder / "reels.csv"] = cutting_table(plan.reels, plan.units).csv()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_set(texts, folder / NOTE, _belonging(plan, texts), UNFINISHED)
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", where=str(folder), remedy="name another folder with --out"
        ) from None
    return (*texts, folder / NOTE)


def _belonging(plan: Plan, texts: Mapping[Path, str]) -> str:
    """Return the note of sheets that belong together, with the digest of each."""
    digests = "".join(f"{hashlib.sha256(text.encode()).hexdigest()}  {path.name}\n" for path, text in texts.items())
    return (
        f"These sheets of {plan.name} belong together (design {plan.design_sha256[:8]}, "
        f"workbook {plan.workbook_version}).\nEach with its SHA-256:\n{digests}"
    )
