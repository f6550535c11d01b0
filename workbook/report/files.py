"""Writing the sheets of a plan into a folder, all or none."""

import re
from collections.abc import Sequence
from pathlib import Path

from workbook.bench.record import Measurement
from workbook.errors import InputError
from workbook.files import write_all
from workbook.plan.plan import Plan
from workbook.report.sheets import build_sheet, labels
from workbook.tables.buy import buy_table
from workbook.tables.cuts import spreadsheet
from workbook.tables.reels import cutting_table


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
    return beside / f"build-{re.sub(r'[^a-z0-9]+', '-', name.lower()).strip('-') or 'design'}"


def write_sheets(plan: Plan, folder: Path, full: bool = False, record: Sequence[Measurement] = ()) -> tuple[Path, ...]:
    """Write build sheet, cut list, list of what to buy, labels and the cuts from reels in stock; return their paths.

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
        texts[folder / "reels.csv"] = cutting_table(plan.reels).csv()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_all(texts)
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", where=str(folder), remedy="name another folder with --out"
        ) from None
    return tuple(texts)
