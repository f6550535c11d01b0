"""What a terminal shows of a plan: what to cut and check, figures by band, kinds of hub, the match to the receiver."""

import functools
import math
import textwrap
from collections.abc import Callable, Iterable, Iterator

from workbook.plan.results import DirectionBand
from workbook.plan.stages import AnyPlan
from workbook.tables.cuts import accept_sentence, cut_list, sixteenth_note
from workbook.tables.fewer_lines import farthest_stake, merge_table
from workbook.tables.pattern import decibel_text, figure
from workbook.tables.receive import choke_sentence, feed_sentence, margin_sentence
from workbook.tables.reels import cutting_sentences
from workbook.tables.table import Table, gathered

WIDTH = 80
"""Columns of a terminal."""
_CUT, _CHECK = (0, 1, 2, 4, 5), (0, 3, 6, 7, 8, 9, 10)
"""Columns of the cut list that say what to cut, and how to check it."""


def summary_text(plan: AnyPlan) -> str:
    """Return what a terminal shows of a plan, within 80 columns."""
    lines = (*pattern_lines(plan), *accept_lines(plan), *hub_lines(plan), *match_lines(plan))
    notes = (*plan.warnings, *receiving_lines(plan), farthest_stake(plan), sixteenth_note(plan))
    tables = (*terminal_tables(plan), *((merge_table(plan),) if plan.merges else ()))
    return "\n\n".join(filter(None, (*(table.text(WIDTH) for table in tables), _wrapped(lines), _wrapped(notes))))


def _wrapped(sentences: Iterable[str]) -> str:
    """Wrap sentences, one below the other, for a terminal."""
    fill = functools.partial(textwrap.fill, width=WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    return "\n".join(map(fill, filter(None, sentences)))


def receiving_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield whether band noise rules, what the feed brings, and what is cut from reels, where the design says so."""
    if plan.reception:
        yield margin_sentence(plan.reception)
        yield choke_sentence(plan.reception)
    if plan.feed:
        yield feed_sentence(plan.feed)
    yield from cutting_sentences(plan.reels, plan.units)


def terminal_tables(plan: AnyPlan) -> tuple[Table, Table]:
    """Return the cut list as two tables that a terminal has room for: what to cut, and how to check it."""
    full = cut_list(plan)
    made_of = list(dict.fromkeys(row[2] for row in full.rows))
    # a column for the cable only where there are several
    title, one_cable = (f"{full.title}, {made_of[0]}", True) if len(made_of) == 1 else (full.title, False)
    columns = tuple(n for n in _CUT if n != 2 or not one_cable)
    cut, check = ([tuple(line[n] for n in part) for line in (full.headings, *full.rows)] for part in (columns, _CHECK))
    together = gathered(check[1:], (0,))
    return (
        Table(title, cut[0], tuple(cut[1:])),
        Table("Check frequencies, far end open", check[0], together),
    )


def summary_table(plan: AnyPlan) -> Table:
    """Return what a builder decides by, band by band: least to greatest of all directions."""
    rows = tuple(
        (band.name, f"{band.frequency_hz / 1e6:.6g}", *_ranges([one.bands[number] for one in plan.directions]))
        for number, band in enumerate(plan.bands)
    )
    headings = ("band", "MHz", "RDF dB", "front-to-back dB", "signal gain dB", "white-noise gain dB")
    return Table(f"All directions at {plan.elevation_deg:g} deg elevation", headings, rows)


def _ranges(found: list[DirectionBand]) -> tuple[str, ...]:
    known = [one for one in found if one.rdf_db is not None]
    if not known:
        return ("-",) * 4
    return (
        _range([one.rdf_db for one in known], lambda value: figure(value, 2)),
        _range([one.front_to_back_db for one in known], decibel_text),
        _range([one.signal_gain_db for one in known], figure),
        _range([one.white_noise_gain_db for one in known], figure),
    )


def _range(values: list[float | None], write: Callable[[float | None], str]) -> str:
    """Write the least and the greatest of some figures; None is infinite."""
    ordered = sorted(values, key=lambda value: math.inf if value is None else value)
    low, high = (write(value) for value in (ordered[0], ordered[-1]))
    return low if low == high else f"{low} to {high}"


def pattern_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield RDF, front-to-back and white-noise gain of all directions, band by band, where a pattern is known."""
    for band, _, rdf, back, _, white in summary_table(plan).rows:
        if rdf != "-":
            yield (
                f"{band} at {plan.elevation_deg:g} deg elevation: RDF {rdf} dB, front-to-back {back} dB, "
                f"white-noise gain {white} dB"
            )


def accept_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield the accepted error of a line, and why."""
    if plan.delay_lines:
        yield accept_sentence(plan)


def hub_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield what each kind of hub would take in delay lines, least cable first."""
    if plan.delay_lines:
        parts = (
            f"{option.kind} {plan.units.text(option.cable_m)} in {option.pieces} pieces"
            for option in plan.hub_options
            if option.cable_m is not None
        )
        yield f"Delay lines by kind of hub (this design: {plan.hub}): {'; '.join(parts)}"


def match_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield how the hub is matched to the receiver, where the design says so."""
    if plan.match:
        match = plan.match
        yield f"From {match.source_ohm:g} to {match.load_ohm:g} ohm by {match.way}: {match.parts}"
