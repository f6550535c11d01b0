"""The command `feedline-workbook`: plan a design, open the worksheets, look at the cables."""

import argparse
import json
import os
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from workbook.errors import InputError
from workbook.files import demo
from workbook.formatting import LengthUnits

FOLDER = Path("my-worksheets")
"""Where the worksheets are copied to unless another folder is named."""


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals are short: one line of usage, one sentence, status 2."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"usage: {self.prog} --help\n{message.rstrip('.')}; see --help.\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="feedline-workbook", description="From a design file to delay lines cut, checked, labelled.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="new | plan | lab | cables | keys")
    new = commands.add_parser("new", help="write a fresh design file")
    new.add_argument("file", type=Path, help="file to write, such as my-array.toml; one that is there stays as it is")
    new.add_argument("--name", help="name of the array (default: from the file's name)")
    new.add_argument("--kind", default="ring", help="ring, square, row or two-row (default: %(default)s)")
    new.add_argument("--count", type=int, help="number of elements, in each row of two-row")
    new.add_argument("--size", default="", help="diameter, side or spacing, such as '46 m' or '150 ft'")
    new.add_argument("--width", default="", help="from one row to the other, for two-row")
    new.add_argument("--band", action="append", metavar="NAME[=FREQUENCY]", help="such as '160 m=1.83 MHz'; repeat it")
    new.add_argument("--directions", type=int, help="number of directions, spread evenly")
    new.add_argument("--first-azimuth", default="0", metavar="DEG", help="azimuth of the first (default: %(default)s)")
    new.add_argument("--rule", default="fewest-delays", help="phasing rule (default: %(default)s)")
    new.add_argument("--cable", default="series-6-copper", help="cable of all lines (default: %(default)s)")
    new.add_argument("--feet", action="store_true", help="lengths in feet")
    plan = commands.add_parser("plan", help="print the cut list and write the sheets of a design")
    plan.add_argument("file", nargs="?", type=Path, help="design file; without it the bundled demo")
    plan.add_argument("--out", type=Path, metavar="FOLDER", help="where the sheets go (default: build-NAME here)")
    plan.add_argument("--json", action="store_true", help="print the plan as JSON and write nothing")
    plan.add_argument("--anyway", action="store_true", help="plan sizes too that look like a slip of a unit")
    units = plan.add_mutually_exclusive_group()
    units.add_argument("--metric", action="store_true", help="show lengths in metres alone")
    units.add_argument("--feet", action="store_true", help="show lengths in feet and inches alone")
    plan.add_argument("--full", action="store_true", help="add the appendix to the build sheet: patterns, every line")
    lab = commands.add_parser("lab", help="open the worksheets in the browser")
    lab.add_argument("place", nargs="?", type=Path, default=FOLDER, help="folder of your worksheets, or a design file")
    lab.add_argument("--code", action="store_true", help="show the worksheets as ordinary notebooks, to be edited")
    lab.add_argument("--no-browser", action="store_true", help="only serve; open the printed address yourself")
    lab.add_argument("--allow-root", action="store_true", help="serve although root runs it")
    cables = commands.add_parser("cables", help="list the cables, or show one")
    cables.add_argument("name", nargs="?", help="cable to show")
    cables.add_argument("--feet", action="store_true", help="losses for 100 ft alone")
    keys = commands.add_parser("keys", help="list what a design file may say")
    keys.add_argument("table", nargs="?", help="table to list, such as array")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status: 0 done, 2 refused with one sentence on standard error."""
    chosen = _parser().parse_args(arguments)
    try:
        if chosen.command == "plan":
            text = _plan(chosen)
        elif chosen.command == "new":
            text = _new(chosen)
        elif chosen.command == "cables":
            text = _cable(chosen.name, chosen.feet) if chosen.name else _cables()
        elif chosen.command == "keys":
            text = _keys(chosen.table)
        else:
            return _lab(chosen)
    except InputError as error:
        print(error, file=sys.stderr)
        return 2
    # cable and site names may hold letters that a terminal's encoding lacks
    try:
        sys.stdout.buffer.write(f"{text}\n".encode(sys.stdout.encoding or "utf-8", errors="replace"))
        sys.stdout.flush()
    except OSError as error:
        print(f"standard output cannot be written ({error.strerror}); send it elsewhere.", file=sys.stderr)
        os._exit(2)  # an ordinary exit would try to write the rest once more
    return 0


def _plan(chosen: argparse.Namespace) -> str:
    from workbook.design.sizes import check_sizes
    from workbook.plan.designs import load_design

    design = load_design(chosen.file or demo())
    if chosen.metric or chosen.feet:
        design = design.in_units(LengthUnits.FEET if chosen.feet else LengthUnits.METRIC)
    if not chosen.anyway:
        try:
            check_sizes(design.content)
        except InputError as error:
            raise error.within(str(chosen.file)) from None
    plan = design.plan(_searching(len(design.content.directions)))
    if chosen.json:
        return json.dumps(plan.to_dict(), indent=2, ensure_ascii=False)
    from workbook.bench.record import read_record, record_path
    from workbook.report.files import sheets_folder, write_sheets
    from workbook.tables.summary import summary_text

    record = read_record(record_path(chosen.file or demo()))
    written = write_sheets(plan, chosen.out or sheets_folder(plan.name), chosen.full, record)
    return "\n".join((summary_text(plan), "", *(f"wrote {path}" for path in written)))


def _searching(count: int) -> Callable[[int, str, float], None]:
    """Return what reports a search direction by direction on standard error, later ones where it takes longer."""
    start, last = time.monotonic(), -1

    def report(number: int, name: str, share: float) -> None:
        nonlocal last
        if number != last and (last < 0 or time.monotonic() - start > 1):
            print(f"searching, direction {number + 1} of {count}: {name}", file=sys.stderr)
        last = number

    return report


def _cables() -> str:
    from workbook.tables.cables import listing

    return listing().text()


def _cable(name: str, feet: bool) -> str:
    from workbook.line.catalogue import cable
    from workbook.tables.cables import data_sheet

    return data_sheet(cable(name), LengthUnits.FEET if feet else LengthUnits.BOTH)


def _keys(table: str | None) -> str:
    from workbook.design.reference import key_tables

    return "\n\n".join(one.text() for one in key_tables(table))


def _new(chosen: argparse.Namespace) -> str:
    from workbook.design.template import USUAL_BANDS, NewDesign, size_text, write_design

    choices = NewDesign(
        chosen.name or chosen.file.stem.replace("-", " ").capitalize(),
        kind=chosen.kind,
        count=chosen.count,
        size=chosen.size,
        width=chosen.width,
        bands=tuple(chosen.band or USUAL_BANDS),
        directions=chosen.directions,
        first_azimuth=chosen.first_azimuth,
        rule=chosen.rule,
        cable=chosen.cable,
        feet=chosen.feet,
    )
    path = write_design(chosen.file, choices)
    return f"wrote {path}: {size_text(choices)}\nnext: feedline-workbook lab {path}, or feedline-workbook plan {path}"


def _lab(chosen: argparse.Namespace) -> int:
    """Open the worksheets of a folder, or those for a design file: beside it, or else in the usual folder."""
    from workbook.lab import start

    folder, design = chosen.place, None
    if folder.suffix.lower() == ".toml" and not folder.is_dir():
        design = folder
        if not design.is_file():
            raise InputError("there is no such file", where=str(design), remedy="give a design file, or a folder")
        folder = design.parent if any(design.parent.glob("00-start*.ipynb")) else FOLDER
    return start(folder, design, not chosen.no_browser, chosen.code, chosen.allow_root)
