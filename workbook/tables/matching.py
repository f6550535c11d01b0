"""Matches in tables and sentences: ranked, in detail, and a run of cable between two ends."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits, impedance_text, rounded
from workbook.matching.arguments import Edges, Limits, band_edges, is_sequence, limit_pair, sampled
from workbook.matching.candidates import DIRECT, MOST_LOSS, MOST_SWR, QUARTER_WAVE, Comparison, Requirements
from workbook.matching.cores import CORE, COUPLING, LOSS, TURNS, Limiting
from workbook.matching.direct import length_ripple
from workbook.matching.match import SEARCHED, Match
from workbook.matching.parts import Component, Section, described
from workbook.matching.ranking import standing
from workbook.matching.sections import CableChoice, nearest_to, quarter_wave, single_line
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.table import Table
from workbook.units import Loss, with_unit

NEAREST = 4
"""Cables listed as the nearest to a quarter-wave line."""

NO_LIMIT = 1e6
"""SWR or loss [dB] that limits nothing."""


# --- ranked -----------------------------------------------------------------------------------------------


def ranking(
    matches: Iterable[Match],
    bands: Iterable[Any],
    most_swr: float = MOST_SWR,
    most_loss: Loss = MOST_LOSS,
    region: int = 2,
) -> Table:
    """Return matches as a table in the order given: what to cut or buy, what each does on the bands, and why.

    Parameters
    ----------
    matches
        Matches, from `compare_matches` or designed one by one.
    bands
        Band names or (low, high) frequencies.
    most_swr, most_loss
        Limits of SWR at either end (a plain number) and of insertion loss, for the usable band.
    region
        ITU region of the band names.

    Returns
    -------
    a row for each match: lengths [m, ft], check frequencies [MHz], worst SWR, worst loss [dB], phase shift [degree]
    and usable band [MHz]

    Raises
    ------
    InputError
        When something else than matches comes, or a band or a limit is not usable.

    Examples
    --------
    >>> from workbook.matching.direct import direct_connection
    >>> ranking([direct_connection("75 ohm", "50 ohm")], ("160 m",)).title
    '75 to 50 ohm on 160 m'
    """
    listed: tuple[Any, ...] = tuple(matches) if is_sequence(matches) else (matches,)
    wrong = [each for each in listed if not isinstance(each, Match)]
    if wrong:
        raise InputError(
            f"got {shown(wrong[0])}",
            where="matches",
            wanted="a sequence of wb.Match",
            remedy="write wb.compare_matches('75 ohm', '50 ohm', ('160 m', '80 m'))",
        )
    edges = band_edges(bands, region)
    return ranking_table(listed, edges, limit_pair(most_swr, most_loss))


def ranking_table(matches: Sequence[Match], edges: Edges, limits: Limits) -> Table:
    """Return `ranking` on plain numbers."""
    rows = tuple(_row(place, match, edges, limits) for place, match in enumerate(matches, 1))
    headings = (
        *("place", "method", "parts from the source on", "check MHz, far end open", "worst SWR", "worst loss dB"),
        *("phase shift deg", _usable_heading(limits), "why"),
    )
    ends = f"{impedance_text(matches[0].source_ohms, matches[0].load_ohms)} on " if matches else ""
    return Table(f"{ends}{', '.join(name for name, _, _ in edges)}", headings, rows)


def _row(place: int, match: Match, edges: Edges, limits: Limits) -> tuple[str, ...]:
    phase = match.plain(sampled(edges)).phase_shift
    low, high = rounded(float(phase.min()), 1), rounded(float(phase.max()), 1)
    swr, loss = _worst(match, edges, limits)
    return (
        *(str(place), match.name, match.description),
        "; ".join(_check_mhz(part) for part in match.sections) or "-",
        *(swr, loss, high if high == low else f"{high} to {low}"),
        *(usable_range(match, limits), match.reason),
    )


def rank_table(found: Comparison, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return the matches in the order of their rank and why; what goes with one match alone has tables of its own."""
    edges, limits = found.wanted.edges, found.wanted.limits
    rows = tuple(
        (
            str(place),
            match.name,
            described(match.parts, units),
            *_worst(match, edges, limits),
            usable_range(match, limits),
            match.reason,
        )
        for place, match in enumerate(found.matches, 1)
    )
    headings = (
        "place",
        "method",
        "parts from the source on",
        "worst SWR",
        "worst loss dB",
        _usable_heading(limits),
        "why",
    )
    return Table(f"{found.wanted.description} on {', '.join(name for name, _, _ in edges)}", headings, rows)


HARMLESS_LOSS_DB = 0.5
"""Loss of a mismatch that does not matter to a receiver, where external noise rules by several dB: it lowers signal and
noise alike (common practice, no published source).
"""


def _harmless(match: Match, loss: float) -> str:
    """Return that the loss of ends joined as they are does not matter, nothing where it does."""
    return ", does not matter to a receiver" if match.name == DIRECT.name and loss < HARMLESS_LOSS_DB else ""


def _worst(match: Match, edges: Edges, limits: Limits) -> tuple[str, str]:
    does = standing(match, edges, limits)
    return f"{does.swr:.2f}", f"{does.loss:.2f}"


def _usable_heading(limits: Limits) -> str:
    return f"usable MHz (SWR {limits[0]:g}, {limits[1]:g} dB)"


def _check_mhz(part: Section) -> str:
    check = part.check_frequency
    return "-" if check is None else f"{check.m_as('MHz'):.4f}"


def usable_range(match: Match, limits: Limits) -> str:
    """Return between which frequencies [MHz] a match keeps within limits of SWR and loss, in words."""
    band = match.usable_band(limits[0], with_unit(limits[1], "dB"))
    if band is None:
        return "none"
    low, high = (edge.m_as("Hz") for edge in band)
    if (low, high) == SEARCHED:
        return "all"
    if low == SEARCHED[0]:
        return f"up to {high / 1e6:.4g}"
    return f"{low / 1e6:.4g} up" if high == SEARCHED[1] else f"{low / 1e6:.4g} to {high / 1e6:.4g}"


def rejected_table(found: Comparison) -> Table:
    """Return why the methods that are left out cannot match these ends."""
    rows = tuple((each.method.family, str(each.refusal)) for each in found.rejected)
    return Table(f"Cannot match {found.wanted.description}", ("method", "why not, and what would do"), rows)


def limiting_sentence(limiting: Limiting | None, wanted: Requirements) -> str:
    """Say which part of the transformer keeps it from the limits, and what would do; nothing where none does."""
    if limiting is None:
        return ""
    swr, decibel = wanted.limits
    kept = f"SWR {swr:g} and {decibel:g} dB"
    if limiting.enough is None:
        return (
            f"Core, turns and coupling limit the transformer together: no one of them alone keeps {kept}. "
            "Take wider limits or fewer bands."
        )
    would = {
        TURNS: f"The turns limit the transformer: {limiting.enough:g} per winding keep",
        COUPLING: f"The coupling limits the transformer: {100 * limiting.enough:g} %, of interleaved windings, keep",
        CORE: f"The core limits the transformer: {limiting.enough * 1e9:,.0f} nH per turn squared keep",
        LOSS: f"The loss of the core limits the transformer: a Q of {limiting.enough:g} keeps",
    }[limiting.part]
    return f"{would} {kept}."


def match_answer(found: Comparison, place: int) -> AnswerLine:
    """Return what a builder decides a match by: its worst SWR and loss on the bands, and where it is usable."""
    match, limits = found.matches[place], found.wanted.limits
    does = standing(match, found.wanted.edges, limits)
    figures = (
        Figure("place", f"{place + 1} of {len(found.matches)}", "methods"),
        Figure("worst SWR", f"{does.swr:.2f}"),
        Figure("worst loss", f"{does.loss:.2f}", f"dB{_harmless(match, does.loss)}"),
        Figure("usable", usable_range(match, limits), "MHz"),
    )
    return AnswerLine(f"{match.name}, {found.wanted.description}", figures)


# --- one match in detail ----------------------------------------------------------------------------------


def parts_table(match: Match, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what a match is built of, from the source on: lengths to cut and how to check them, components."""
    title = f"Parts: {match.name}"
    if not match.sections:
        rows = tuple((component.what, _amount(component)) for component in match.components)
        return Table(title, ("part, from the source on", "value"), rows or (("source and load are joined", "-"),))
    degrees = f"degrees at {match.sections[0].hertz / 1e6:.4g} MHz"
    headings = ("cable, from the source on", "length", degrees, "check MHz, far end open")
    return Table(title, headings, tuple(_section_row(section, units) for section in match.sections))


def _section_row(section: Section, units: LengthUnits) -> tuple[str, ...]:
    name = section.cable.name if section.cable else f"{section.ohms.real:.4g} ohm line"
    return (
        name if section.count == 1 else f"{section.count} of {name} in parallel, each",
        "-" if section.metres is None else units.text(section.metres),
        f"{np.degrees(section.radians):.1f}",
        _check_mhz(section),
    )


def _amount(component: Component) -> str:
    if not hasattr(component.value, "magnitude"):
        return str(component.value)
    return f"{component.value.magnitude:.5g} {component.value.units:~P}".replace("Ω", "ohm").replace("µ", "u")


def band_table(match: Match, edges: Edges) -> Table:
    """Return what a match does on each band: the worst SWR at both ends, loss, and phase shift along the band."""
    swr_in, swr_out, loss, phase = match.plain(sampled(edges))
    middle = phase.shape[1] // 2
    rows = tuple(
        (
            name,
            *(f"{value:.2f}" for value in (swr_in[n].max(), swr_out[n].max(), loss[n].min(), loss[n].max())),
            *(rounded(phase[n, at], 1) for at in (0, middle, -1)),
        )
        for n, (name, _, _) in enumerate(edges)
    )
    headings = ("band", "worst SWR at source", "worst SWR at load", "least loss dB", "worst loss dB")
    shifts = ("phase deg, low edge", "phase deg, middle", "phase deg, high edge")
    return Table(f"On each band: {match.name}", (*headings, *shifts), rows)


def limit_table(match: Match, limits: Limits) -> Table:
    """Return the usable band that each limit gives alone, and both together."""
    swr, decibel = limits
    pairs = {
        f"SWR {swr:g} at both ends": (swr, NO_LIMIT),
        f"loss {decibel:g} dB": (NO_LIMIT, decibel),
        "both": limits,
    }
    rows = tuple((name, usable_range(match, pair)) for name, pair in pairs.items())
    return Table(f"Usable band: {match.name}", ("limit", "usable MHz"), rows)


def nearest_cables_table(found: Comparison) -> Table | None:
    """Return the cables nearest to the impedance of a quarter-wave line, and the SWR each leaves; None without one."""
    place = found.place(QUARTER_WAVE.family)
    if place is None:
        return None
    source, load, hertz = found.wanted.source, found.wanted.load, float(found.matches[place].hertz or 0.0)
    ohms, radians = single_line(source, load)

    def left(choice: CableChoice) -> str:
        try:
            made = quarter_wave(source, load, hertz, choice.cable, radians, choice.count)
        except InputError:  # it loses nearly all
            return "-"
        return f"{float(made.plain(hertz).swr_in):.2f}"

    nearest = nearest_to(ohms, hertz, found.wanted.cables)[:NEAREST]
    rows = tuple((choice.name, f"{choice.ohms.real:.2f}", left(choice)) for choice in nearest)
    title = f"Nearest to a quarter-wave line of {ohms:.2f} ohm at {hertz / 1e6:.4g} MHz"
    return Table(title, ("cable", "impedance ohm", "SWR at the source"), rows)


# --- a run of cable between the ends ----------------------------------------------------------------------


def ripple_note(found: Comparison) -> str:
    """Return how far loss and phase vary with the length of the run between the ends; empty where there is none."""
    if found.wanted.run is None:
        return ""
    cable = found.wanted.run[0]
    ripple = length_ripple(*found.wanted.ends, cable.nominal_impedance)
    loss, phase = ripple.loss.m_as("dB"), ripple.phase.m_as("degree")
    if loss < 5e-4:
        return f"Over a run of {cable.name}, nothing varies with its length: the run matches one of the ends."
    return (
        f"Over a run of {cable.name}, loss varies by up to {loss:.2f} dB and phase by {phase:.2f} degrees "
        "to either side as the run grows longer, besides the loss of the run itself."
    )
