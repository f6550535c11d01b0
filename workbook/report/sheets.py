"""The build sheet and the labels as self-contained HTML; all text is escaped by the template engine."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import jinja2

from workbook.line.catalogue import cable
from workbook.plan import lists
from workbook.plan.results import Check, DelayLine, ElementRuns, Plan
from workbook.units import both_lengths

CAUTIONS = (
    (
        "Overhead lines",
        "Keep elements, masts and tapes farther from power lines than they are tall or long, while they are raised, "
        "while they stand and when they fall. Nothing here is worth a try near a wire.",
    ),
    (
        "Digging",
        "Before driving a stake or a ground rod or opening a trench, have buried power, gas, water and telephone lines "
        "located and marked by the service that does this where you live.",
    ),
    (
        "Height",
        "Work on a ladder or mast only secured, with a helper, and not in wind.",
    ),
    (
        "Lightning and bonding at the entry",
        "Every cable that comes in from the field needs its shield bonded, and surge protection, at the point of "
        "entry, all on one ground that is joined to the building's. Disconnect and stay away when a storm is near.",
    ),
    (
        "Mains",
        "Feed hub, buffers and switches only from a supply that is isolated and approved for the place. "
        "A shield joined at two buildings can carry fault current.",
    ),
    (
        "Transmit power near receive gear",
        "A transmitting antenna nearby can destroy buffers and receivers and hurt whoever touches an element. "
        "Disconnect or short the array's inputs before transmitting, by a sequencer, and check the level first.",
    ),
    (
        "Codes and licensed practice",
        "Local electrical and building codes and the judgement of a licensed electrician go before anything "
        "written here; this sheet is no safety design.",
    ),
)


@dataclass(frozen=True)
class Piece:
    """One physical piece: its mark, what it is, its lengths and its check."""

    mark: str
    cable: str
    what: str
    first_cut_m: float
    length_to_cut_m: float
    check: Check
    line: str | None = None


def pieces(plan: Plan) -> tuple[Piece, ...]:
    """Return every piece of line and run, longest first."""
    return tuple(piece for name, _, part in lists.parts(plan) for piece in _pieces(name, part))


def _pieces(name: str, part: DelayLine | ElementRuns) -> Iterator[Piece]:
    for number in range(1, part.count + 1):
        if isinstance(part, DelayLine):
            mark = name if part.count == 1 else f"{name}{number}"
            what, line = f"delay line, {part.delay_s * 1e9:.3f} ns", part.label
        else:
            mark, what, line = f"{name} {number}", f"element {number} to hub", None
        yield Piece(mark, part.cable, what, part.first_cut_m, part.length_to_cut_m, part.check, line)


def uses(plan: Plan, label: str | None) -> tuple[str, ...]:
    """Return in which directions a delay line serves which elements; nothing for a run."""
    found: list[str] = []
    if label is None:
        return ()
    for direction in plan.directions:
        feeds = [feed for feed in direction.elements if feed.line == label]
        if feeds:
            elements = ", ".join(f"{feed.number}{' reversed' if feed.polarity < 0 else ''}" for feed in feeds)
            word = "element" if len(feeds) == 1 else "elements"
            found.append(f"{direction.name}: {word} {elements}")
    return tuple(found)


def build_sheet(plan: Plan, drawing: str, errors: str) -> str:
    """Return the build sheet.

    Parameters
    ----------
    plan
        The plan.
    drawing, errors
        SVG of the array from above and of the errors on every band.
    """
    names = dict.fromkeys(total.cable for total in plan.totals)
    return _render(
        "build-sheet.html.j2",
        plan=plan,
        pieces=pieces(plan),
        drawing=drawing,
        errors=errors,
        lists=lists,
        cautions=CAUTIONS,
        cables={name: cable(name) for name in names},
        both_lengths=both_lengths,
    )


def labels(plan: Plan) -> str:
    """Return the labels, one for every piece, to print and cut apart."""
    return _render(
        "labels.html.j2", plan=plan, pieces=pieces(plan), uses=uses, both_lengths=both_lengths, mhz=lists.mhz
    )


def _render(template: str, **values: Any) -> str:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("workbook.report"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(**values)
