"""Writing the sheets of a plan into a folder, all or none."""

from pathlib import Path

from workbook.errors import InputError
from workbook.files import write_all
from workbook.plan.plan import Plan
from workbook.report.sheets import build_sheet, labels
from workbook.tables.cuts import spreadsheet


def write_sheets(
    plan: Plan, folder: Path, drawing: str, errors: str, patterns: tuple[str, ...] = ()
) -> tuple[Path, ...]:
    """Write build sheet, cut list and labels, and return their paths.

    Raises
    ------
    InputError
        When the folder cannot be made or written; nothing is then half-written.
    """
    texts = {
        folder / "build-sheet.html": build_sheet(plan, drawing, errors, patterns),
        folder / "cuts.csv": spreadsheet(plan).csv(),
        folder / "labels.html": labels(plan),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_all(texts)
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", where=str(folder), remedy="name another folder with --out"
        ) from None
    return tuple(texts)
