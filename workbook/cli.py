"""The command `feedline-workbook`: plan a design, open the worksheets, look at the cables."""

import argparse
import json
import os
import re
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from workbook.errors import InputError
from workbook.files import demo

if TYPE_CHECKING:
    from workbook.plan.designs import Design


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals are short: one line of usage, one sentence, status 2."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"usage: {self.prog} --help tells how\n{message.rstrip('.')}; see --help.\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="feedline-workbook", description="From a design file to delay lines cut, checked, labelled.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="plan | lab | cables")
    plan = commands.add_parser("plan", help="print the cut list and write the sheets of a design")
    plan.add_argument("file", nargs="?", type=Path, help="design file; without it the bundled demo")
    plan.add_argument("--out", type=Path, metavar="FOLDER", help="where the sheets go (default: build-NAME here)")
    plan.add_argument("--json", action="store_true", help="print the plan as JSON and write nothing")
    lab = commands.add_parser("lab", help="open the worksheets in the browser")
    lab.add_argument("folder", nargs="?", type=Path, default=Path("my-worksheets"), help="your copy of the worksheets")
    lab.add_argument("--code", action="store_true", help="show the worksheets as ordinary notebooks, to be edited")
    lab.add_argument("--no-browser", action="store_true", help="only serve; open the printed address yourself")
    cables = commands.add_parser("cables", help="list the cables, or show one")
    cables.add_argument("name", nargs="?", help="cable to show")
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status: 0 done, 2 refused with one sentence on standard error."""
    asked = _parser().parse_args(arguments)
    try:
        if asked.command == "plan":
            text = _plan(asked.file, asked.out, asked.json)
        elif asked.command == "cables":
            text = _cable(asked.name) if asked.name else _cables()
        else:
            return _lab(asked.folder, not asked.no_browser, asked.code)
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


def _plan(file: Path | None, out: Path | None, as_json: bool) -> str:
    from workbook.plan.designs import load_design
    from workbook.plan.lists import cut_list, sixteenth_note
    from workbook.plan.summary import hub_lines, match_lines, pattern_lines

    design = load_design(file or demo())
    _search(design)
    plan = design.plan()
    if as_json:
        return json.dumps(plan.to_dict(), indent=2, ensure_ascii=False)
    from workbook.figures.delay_errors import delay_errors
    from workbook.figures.pattern import pictures
    from workbook.figures.plan_drawing import plan_drawing
    from workbook.report.files import write_sheets

    folder = out or Path(f"build-{_slug(plan.name)}")
    written = write_sheets(plan, folder, plan_drawing(plan), delay_errors(plan).svg(), pictures(plan))
    notes = (*plan.warnings, sixteenth_note(plan))
    told = (*pattern_lines(plan), *hub_lines(plan), *match_lines(plan))
    written_lines = (f"wrote {path}" for path in written)
    return "\n".join((cut_list(plan).text(), "", *told, "", *filter(None, notes), "", *written_lines))


def _search(design: "Design") -> None:
    """Search for fewest delays direction by direction, saying so on standard error where it takes longer."""
    from workbook.plan.choices import search_all

    start, count = time.monotonic(), len(design.content.directions)

    def told(number: int, name: str) -> None:
        if number == 0 or time.monotonic() - start > 1:
            print(f"searching, direction {number + 1} of {count}: {name}", file=sys.stderr)

    search_all(design.content, told)


def _slug(name: str) -> str:
    """Return a name that any file system takes."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "design"


def _cables() -> str:
    from workbook.tables.cables import listing

    return listing().text()


def _cable(name: str) -> str:
    from workbook.line.catalogue import cable
    from workbook.tables.cables import data_sheet

    return data_sheet(cable(name))


def _lab(folder: Path, open_browser: bool, show_code: bool) -> int:
    from workbook.lab import start

    return start(folder, open_browser=open_browser, show_code=show_code)
