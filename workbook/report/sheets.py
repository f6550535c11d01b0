"""The build sheet and the labels as self-contained HTML; all text is escaped by the template engine."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import jinja2

from workbook.array.stakeout import position_tolerance, stake_out
from workbook.formatting import both_lengths
from workbook.line.catalogue import cable
from workbook.plan.direction_check import expected_levels
from workbook.plan.firings import ground_of, layout_of
from workbook.plan.pieces import Check, DelayLine, ElementRuns
from workbook.plan.plan import Plan
from workbook.plan.tolerances import held
from workbook.table import Table
from workbook.tables import cuts, wiring
from workbook.tables.costs import printed_cost
from workbook.tables.direction_check import levels_table, most_different
from workbook.tables.fewer_lines import merge_table
from workbook.tables.hold import hold_list, hold_reason
from workbook.tables.pattern import figure_table, shapes_table
from workbook.tables.receiver_match import match_tables
from workbook.tables.stakeout import distances_table, stakes_table, tapes_table
from workbook.tables.terminations import (
    channel_table,
    compensation_table,
    levelling_table,
    side_by_side_table,
    verdict,
)
from workbook.units import Quantity

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
    """One physical piece: its mark, what it is, its lengths, its check, and the line and polarity that it serves."""

    mark: str
    cable: str
    what: str
    first_cut_m: float
    length_to_cut_m: float
    check: Check
    line: str | None = None
    polarity: int | None = None


def pieces(plan: Plan) -> tuple[Piece, ...]:
    """Return every piece of line and run, longest first."""
    return tuple(piece for name, _, part in cuts.parts(plan) for piece in _pieces(plan, name, part))


def _pieces(plan: Plan, name: str, part: cuts.Part) -> Iterator[Piece]:
    for number in range(1, part.count + 1):
        line = polarity = None
        if isinstance(part, DelayLine):
            mark = cuts.piece_name(name, part) if part.count == 1 else f"{name}{number}"
            if plan.hub_kind.sums_first and part.count == 2:
                # one behind the straight port and one behind the reversed: named as these ports are
                mark, polarity = (name, 1) if number == 1 else (f"{name}-", -1)
            what, line = f"{_kind(part)}, {part.delay_s * 1e9:.3f} ns", part.label
        elif isinstance(part, ElementRuns):
            mark, what = f"{name} {number}", f"element {number} to hub"
        else:
            mark = name if part.count == 1 else f"{name}-{number}"
            what = f"matching line, {part.electrical_length_deg:.1f} deg"
        yield Piece(mark, part.cable, what, part.first_cut_m, part.length_to_cut_m, part.check, line, polarity)


def _kind(line: DelayLine) -> str:
    """Say what a line is: one by itself, or the piece of a ladder between two taps."""
    if line.from_ is None:
        return "delay line"
    return f"ladder from tap {line.from_} to {f'tap {line.to}' if line.to else 'the undelayed end'}"


def uses(plan: Plan, label: str | None, polarity: int | None = None) -> tuple[str, ...]:
    """Return in which directions a delay line serves which elements, of one polarity or all; nothing for a run."""
    found: list[str] = []
    if label is None:
        return ()
    # what enters a ladder farther out passes through the pieces on the way
    served = _served(plan, label)
    for direction in plan.directions:
        feeds = [feed for feed in direction.elements if feed.line in served and polarity in (None, feed.polarity)]
        if feeds:
            elements = ", ".join(f"{feed.number}{' reversed' if feed.polarity < 0 else ''}" for feed in feeds)
            word = "element" if len(feeds) == 1 else "elements"
            found.append(f"{direction.name}: {word} {elements}")
    return tuple(found)


def _served(plan: Plan, label: str) -> tuple[str, ...]:
    """Return the labels of the taps whose signals go through a line: its own, and in a ladder all farther out."""
    return plan.hub_kind.through([line.label for line in plan.delay_lines], label)


def build_sheet(plan: Plan, drawing: str, errors: str, patterns: tuple[str, ...] = ()) -> str:
    """Return the build sheet.

    Parameters
    ----------
    plan
        The plan.
    drawing, errors
        SVG of the array from above and of the errors on every band.
    patterns
        SVG of the pattern, band by band.
    """
    names = dict.fromkeys([*(total.cable for total in plan.totals), *(piece.cable for piece in pieces(plan))])
    holding = held(plan)
    return _render(
        "build-sheet.html.j2",
        plan=plan,
        pieces=pieces(plan),
        drawing=drawing,
        errors=errors,
        patterns=patterns,
        cuts=cuts,
        wiring=wiring,
        merges=merge_table(plan),
        printed_cost=printed_cost(plan),
        figures=figure_table(plan),
        shapes=shapes_table(plan),
        stakes=_stake_tables(plan),
        tolerances=_tolerances(plan),
        expected=_expected(plan),
        hold=hold_list(holding.tolerances),
        hold_reason=hold_reason(holding),
        real_tables=_real_tables(plan),
        verdict="" if plan.terminations is None else verdict(plan.terminations, plan.accept_deg),
        match_tables=() if plan.match is None else match_tables(plan.match),
        ground=str(ground_of(plan.ground)),
        cautions=CAUTIONS,
        cables={name: cable(name) for name in names},
        both_lengths=both_lengths,
    )


def _stake_tables(plan: Plan) -> tuple[Table, ...]:
    declination = None if plan.declination_deg is None else Quantity(plan.declination_deg, "degree")
    out = stake_out(layout_of(plan), declination)
    return stakes_table(out), tapes_table(out), distances_table(out)


def _real_tables(plan: Plan) -> tuple[Table, ...]:
    ends = plan.terminations
    if ends is None:
        return ()
    compensated = (compensation_table(plan, ends),) if ends.worth_doing else ()
    return (channel_table(plan, ends), *compensated, levelling_table(plan, ends), side_by_side_table(plan, ends))


def _tolerances(plan: Plan) -> tuple[str, ...]:
    """Say, band by band, how far a stake may be off for a degree of phase."""
    off = ((b.name, position_tolerance(Quantity(b.frequency_hz, "Hz"), "1 deg").m_as("m")) for b in plan.bands)
    return tuple(f"{name}: {both_lengths(metres)}" for name, metres in off)


def _expected(plan: Plan) -> tuple[tuple[Table, str], ...]:
    """Return what to expect when checking directions, band by band; nothing where no pattern is known."""
    known = [n for n, band in enumerate(plan.bands) if all(one.bands[n].rdf_db is not None for one in plan.directions)]
    levels = (expected_levels(plan, plan.bands[number].name) for number in known)
    return tuple((levels_table(level), most_different(level)) for level in levels)


def labels(plan: Plan) -> str:
    """Return the labels, one for every piece, to print and cut apart."""
    return _render(
        "labels.html.j2",
        plan=plan,
        pieces=pieces(plan),
        uses=uses,
        both_lengths=both_lengths,
        mhz=cuts.mhz,
        lid=wiring.lid_table(plan),
        positions=wiring.switch_tables(plan),
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
