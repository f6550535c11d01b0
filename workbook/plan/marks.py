"""How pieces of cable are named wherever they appear: by their line, and a number where several are equal."""

import itertools
import re
from collections import Counter
from collections.abc import Iterable

from workbook.plan.pieces import DelayLine, ElementRuns, MatchSection
from workbook.plan.results import PlanDirection
from workbook.plan.stages import AnyPlan

RUN = "run"
"""How the equal element runs are named among the lines."""
Part = DelayLine | MatchSection | ElementRuns


def section_name(number: int) -> str:
    """Return how a line of the way to the receiver is called, counted from the hub."""
    return f"match {number}"


def marks(name: str, part: Part) -> tuple[str, ...]:
    """Return the names of all pieces of a line, of the runs or of a matching section.

    A line with one piece has its name, of several each has a number more: B1, B2. In a ladder letters also name taps,
    so that a piece there is called by the taps between which it lies.
    """
    if isinstance(part, DelayLine) and part.from_ is not None:
        return (f"{part.from_} to {part.to or 'end'}",)
    if isinstance(part, ElementRuns):
        return tuple(f"{RUN} {number}" for number in range(1, part.count + 1))
    between = "-" if isinstance(part, MatchSection) else ""
    return (name,) if part.count == 1 else tuple(f"{name}{between}{number}" for number in range(1, part.count + 1))


def in_short(names: Iterable[str]) -> str:
    """Write names with those of more than two equal pieces together.

    Examples
    --------
    >>> in_short(("B1", "B2", "run 1", "run 2", "run 3", "A"))
    'B1, B2, run 1 to 3, A'
    """
    parts = []
    for stem, group in itertools.groupby(names, lambda name: name.rstrip("0123456789")):
        same = list(group)
        last = same[-1].removeprefix(stem) if stem.endswith(" ") else same[-1]
        parts += [f"{same[0]} to {last}"] if len(same) > 2 and same[0] != stem else same
    return ", ".join(parts)


def piece_marks(plan: AnyPlan) -> dict[str, str]:
    """Return the line, or ``"run"``, of every piece by its name: lines, longest first, then the runs by element."""
    found = {mark: line.label for line in plan.cut_order for mark in marks(line.label, line)}
    return found | dict.fromkeys(marks(RUN, plan.element_runs), RUN)


def reel_mark(piece: str) -> str:
    """Return the name of a piece that a cutting plan calls by a longer one.

    Examples
    --------
    >>> reel_mark("line B, 2"), reel_mark("element run, 3"), reel_mark("matching section 1")
    ('B2', 'run 3', 'match 1')
    """
    name, _, number = piece.partition(", ")
    if line := re.fullmatch(r"line (.+)", name):
        return line[1] + number
    if section := re.fullmatch(r"matching section (\d+)", name):
        return section_name(int(section[1])) + f"-{number}" * bool(number)
    return f"{RUN} {number}".strip() if name == "element run" else piece


def used_marks(plan: AnyPlan, one: PlanDirection) -> list[str | None]:
    """Return the piece that each element goes through in a direction, the tap's letter in a ladder; None for none.

    Where elements are summed before two equal lines, the second takes the reversed ones.
    """
    used: Counter[str] = Counter()
    found: list[str | None] = []
    for feed in one.elements:
        if feed.line is None or not feed.polarity:
            found.append(None)
            continue
        line = plan.line(feed.line)
        names = (line.label,) if plan.hub_kind.in_series else marks(line.label, line)
        place = used[line.label] if plan.hub_kind.numbers_ports else int(feed.polarity < 0)
        used[line.label] += 1
        found.append(names[min(place, len(names) - 1)])
    return found
