"""The build sheet and the labels as self-contained HTML; all text is escaped by the template engine."""

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import jinja2
from markupsafe import Markup, escape

from workbook.array.stakeout import position_tolerance, stake_out
from workbook.bench.record import Measurement, latest
from workbook.figures.delay_errors import delay_errors
from workbook.figures.hub import hub_drawing
from workbook.figures.pattern import pictures
from workbook.figures.plan_drawing import plan_drawing
from workbook.formatting import LengthUnits
from workbook.glossary import terms_in
from workbook.line.catalogue import cable
from workbook.plan.direction_check import expected_levels
from workbook.plan.firings import ground_of, layout_of
from workbook.plan.marks import Part, in_short, marks
from workbook.plan.pieces import Check, DelayLine, ElementRuns
from workbook.plan.plan import Plan
from workbook.plan.tolerances import held
from workbook.report.receiving import appendix_parts, main_parts
from workbook.tables import cuts, wiring
from workbook.tables.buy import buy_table
from workbook.tables.costs import printed_cost
from workbook.tables.direction_check import levels_table, most_different
from workbook.tables.fewer_lines import farthest_stake, merge_table
from workbook.tables.ground_checklists import CAUTIONS as GROUND_CAUTIONS
from workbook.tables.ground_checklists import checklists
from workbook.tables.hold import hold_list, hold_reason
from workbook.tables.pattern import figure_table, shapes_table
from workbook.tables.receiver_match import match_tables
from workbook.tables.record import measured_table, movement_sentences
from workbook.tables.stakeout import distances_table, stakes_table, tapes_table
from workbook.tables.summary import summary_table
from workbook.tables.table import Table, heading_html
from workbook.tables.terminations import (
    channel_table,
    compensation_table,
    levelling_table,
    side_by_side_table,
    verdict,
)
from workbook.units import Quantity

KEPT_ROWS = 12
"""Rows up to which a table stays on one page."""

MOST_DRAWN = 64
"""Lines up to which the hub is drawn; of more the tables are easier to read."""

LEAST_STRIP_M = 0.0005
"""Cable that goes into a connector is named from so much on [m]."""

MOST_DISTANCES = 8
"""Kinds of distance between stakes that are all listed; of more only the shortest and the longest."""

CAUTIONS = (
    (
        "Overhead lines",
        "Keep elements, masts and tapes farther from power lines than they are tall or long: while they are raised, "
        "while they stand, and if they fall.",
    ),
    (
        "Digging",
        "Before you drive a stake or a ground rod or open a trench, have buried power, gas, water and telephone lines "
        "located and marked by your local service.",
    ),
    (
        "Height",
        "Work on a ladder or mast only secured, with a helper, and not in wind.",
    ),
    (
        "Lightning and bonding at the entry",
        "Bond the shield of every cable from the field and fit surge protection at the point of entry, all on one "
        "ground that is bonded to the building's. Disconnect and stay away when a storm is near.",
    ),
    (
        "Mains",
        "Feed hub, buffers and switches only from a supply that is isolated and approved for the place. "
        "A shield that connects two buildings can carry fault current.",
    ),
    (
        "Transmit power near receive gear",
        "A transmitting antenna nearby can destroy buffers and receivers and injure anyone who touches an element. "
        "Have a sequencer disconnect or short the array's inputs before you transmit, and check the level first.",
    ),
    (
        "Codes and licensed practice",
        "Local electrical and building codes and the judgement of a licensed electrician take precedence; "
        "this sheet does not replace a safety design.",
    ),
)


def piece_headings(plan: Plan) -> tuple[str, ...]:
    """Return the headings of the cut list on the build sheet."""
    return (
        "piece",
        "what, cable",
        "first cut",
        "length to cut",
        "check MHz, first cut and trimmed",
        "accept range MHz",
        cuts.per_length_heading(plan.units),
        "resistance at check frequency ohm",
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


@dataclass(frozen=True)
class Alike:
    """Pieces that are cut and checked alike: their marks in short, and the first of them."""

    marks: str
    count: int
    piece: Piece


def pieces(plan: Plan) -> tuple[Piece, ...]:
    """Return every piece of line and run, longest first."""
    return tuple(piece for name, _, part in cuts.parts(plan) for piece in _pieces(plan, name, part))


def _pieces(plan: Plan, name: str, part: Part) -> Iterator[Piece]:
    for number, mark in enumerate(marks(name, part)):
        line = polarity = None
        if isinstance(part, DelayLine):
            if plan.hub_kind.sums_first and part.count == 2:
                # one behind the straight port and one behind the reversed
                polarity = 1 - 2 * number
            kind = "delay line" if part.from_ is None else "ladder piece"
            what, line = f"{kind}, {part.delay_s * 1e9:.3f} ns", part.label
        elif isinstance(part, ElementRuns):
            what = "element to hub"
        else:
            what = f"matching section, {part.electrical_length_deg:.1f} deg"
        yield Piece(mark, part.cable, what, part.first_cut_m, part.length_to_cut_m, part.check, line, polarity)


def alike(plan: Plan) -> tuple[Alike, ...]:
    """Return the pieces with those together that are cut and checked alike, longest first."""
    groups = itertools.groupby(
        pieces(plan), lambda one: (one.cable, one.what, cuts.mhz(one.check.frequency_hz), round(one.first_cut_m, 3))
    )
    return tuple(_together(tuple(same)) for _, same in groups)


def _together(same: tuple[Piece, ...]) -> Alike:
    return Alike(in_short(piece.mark for piece in same), len(same), same[0])


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


def uses_table(plan: Plan) -> Table:
    """Return which elements each delay line serves, by direction."""
    rows = tuple(
        (piece.mark, "; ".join(uses(plan, piece.line, piece.polarity)) or "none")
        for piece in pieces(plan)
        if piece.line
    )
    return Table("Elements that each delay line serves", ("piece", "direction and elements"), rows)


def build_sheet(plan: Plan, full: bool = False, record: Sequence[Measurement] = ()) -> str:
    """Return the build sheet: cut list, wiring, stakes and cautions, on at most four pages for a usual array.

    Parameters
    ----------
    plan
        The plan.
    full
        Whether the appendix follows: patterns, what to expect of every line, terminations, cables.
    record
        What was measured of its pieces so far.
    """
    headings = piece_headings(plan)
    main, appendix = _main(plan), _appendix(plan) if full else {}
    shown = [table for values in (main, appendix) for table in _tables(values.values())]
    texts = itertools.chain(headings, (text for table in shown for text in (table.title, *table.headings)))
    return _render(
        "build-sheet.html.j2",
        {
            "plan": plan,
            "full": full,
            "alike": alike(plan),
            "pieces": pieces(plan),
            "headings": headings,
            "cuts": cuts,
            "terms": terms_in(texts),
            "cautions": CAUTIONS,
            "measured": measured_table(plan, record) if latest(record) else None,
            "moved": movement_sentences(record),
            **main,
            **appendix,
        },
    )


def _tables(values: Any) -> Iterator[Table]:
    for value in values:
        if isinstance(value, Table):
            yield value
        elif isinstance(value, tuple):
            yield from _tables(value)


def _main(plan: Plan) -> dict[str, Any]:
    """Return what the first part of the build sheet shows."""
    holding = held(plan)
    return {
        "hold": tuple(hold_list(holding.tolerances, plan.units)),
        "hold_reason": hold_reason(holding),
        "strip": plan.units.small(plan.strip_m) if plan.strip_m >= LEAST_STRIP_M else "",
        "longer_than_run": _longer_than_run(plan),
        "hub": hub_drawing(plan) if len(plan.delay_lines) <= MOST_DRAWN else "",
        "drawing": plan_drawing(plan),
        "summary": summary_table(plan),
        "totals": buy_table(plan),
        "stakes": _stake_tables(plan),
        "tolerances": _tolerances(plan),
        "wiring": (
            *wiring.direction_tables(plan),
            *wiring.attenuator_tables(plan),
        ),
        "farthest": farthest_stake(plan),
        "receiving": main_parts(plan),
    }


def _appendix(plan: Plan) -> dict[str, Any]:
    """Return what only the full build sheet shows."""
    names = dict.fromkeys([*(total.cable for total in plan.totals), *(piece.cable for piece in pieces(plan))])
    return {
        "ground": str(ground_of(plan.ground)),
        "patterns": pictures(plan),
        "pattern_tables": (figure_table(plan), *((shapes_table(plan),) if plan.shapes else ())),
        "expected": _expected(plan),
        "errors": delay_errors(plan).svg(),
        "lines": (cuts.expectations(plan), cuts.band_table(plan)) if plan.delay_lines else (),
        "printed_cost": printed_cost(plan) if plan.delay_lines else "",
        "runs": cuts.run_table(plan),
        "hub_tables": (
            *((uses_table(plan), wiring.tap_table(plan)) if plan.delay_lines else ()),
            *((wiring.slack_table(plan),) if plan.slacks else ()),
            wiring.hub_table(plan),
            *((merge_table(plan),) if plan.merges else ()),
            *wiring.switch_tables(plan),
        ),
        "real_tables": _real_tables(plan),
        "verdict": "" if plan.terminations is None else verdict(plan.terminations, plan.accept_deg),
        "match_tables": () if plan.match is None else match_tables(plan.match, plan.units),
        "receiving_details": appendix_parts(plan),
        "checklists": checklists(),
        "ground_cautions": GROUND_CAUTIONS,
        "cables": {name: cable(name) for name in names},
    }


def _stake_tables(plan: Plan) -> tuple[Table, ...]:
    declination = None if plan.declination_deg is None else Quantity(plan.declination_deg, "degree")
    out = stake_out(layout_of(plan), declination)
    distances = distances_table(out, plan.units)
    if len(distances.rows) > MOST_DISTANCES:
        distances = replace(distances, rows=(distances.rows[0], distances.rows[-1]))
    return stakes_table(out, plan.units), tapes_table(out, plan.units), distances


def _real_tables(plan: Plan) -> tuple[Table, ...]:
    ends = plan.terminations
    if ends is None:
        return ()
    compensated = (compensation_table(plan, ends),) if ends.worth_doing else ()
    return (channel_table(plan, ends), *compensated, levelling_table(plan, ends), side_by_side_table(plan, ends))


def _longer_than_run(plan: Plan) -> int | None:
    """Return before how many kinds of piece the receiver run is cut; None where there is none."""
    run = plan.receiver_run
    return None if run is None else sum(one.piece.first_cut_m > run.length_m for one in alike(plan))


def paper(plan: Plan) -> str:
    """Return the paper of the sheets, as CSS names it: Letter where lengths are in feet, else A4."""
    return "letter" if plan.units is LengthUnits.FEET else "A4"


def _tolerances(plan: Plan) -> tuple[str, ...]:
    """Say, band by band, how far a stake may be off for a degree of phase."""
    off = ((b.name, position_tolerance(Quantity(b.frequency_hz, "Hz"), "1 deg").m_as("m")) for b in plan.bands)
    return tuple(f"{name}: {plan.units.text(metres)}" for name, metres in off)


def _expected(plan: Plan) -> tuple[tuple[Table, str], ...]:
    """Return what to expect when checking directions, band by band; nothing where no pattern is known."""
    known = [n for n, band in enumerate(plan.bands) if all(one.bands[n].rdf_db is not None for one in plan.directions)]
    levels = (expected_levels(plan, plan.bands[number].name) for number in known)
    return tuple((levels_table(level), most_different(level)) for level in levels)


def labels(plan: Plan) -> str:
    """Return the lid's matrix and a tag for every piece, to print and cut apart."""
    return _render(
        "labels.html.j2",
        {
            "plan": plan,
            "pieces": pieces(plan),
            "mhz": cuts.mhz,
            "lid": wiring.lid_table(plan),
        },
    )


def _lines(text: str, mark: str) -> Markup:
    """Return a text with what follows a mark on a line of its own."""
    return Markup("<br>").join(escape(part) for part in text.replace(mark, f"\n{mark.lstrip()}").split("\n"))


def _shown(table: Table) -> Markup:
    """Return a table without empty columns, kept on one page where it is short; no cell breaks "160 m" in two."""
    kept = " keep" if len(table.rows) <= KEPT_ROWS else ""
    written = re.sub(
        r"<span>([\d.]+ \w{1,2})</span>", r'<span class="whole">\1</span>', table.without_empty_columns().html()
    )
    return Markup(f'<div class="wide{kept}">{written}</div>')


def _render(template: str, values: Mapping[str, Any]) -> str:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("workbook.report"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    values = {**values, "paper": paper(values["plan"])}
    environment.filters |= {"lines": _lines, "shown": _shown, "heading": lambda text: Markup(heading_html(text))}
    return environment.get_template(template).render(values)
