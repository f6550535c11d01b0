"""All usual ways between two ends as a worksheet shows them: ranked, sampled over frequency, and in tables."""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from workbook.formatting import both_lengths, rounded
from workbook.matching.compare import ranked, ranking_table, usable_span
from workbook.matching.frequencies import Edges, sampled
from workbook.matching.leave import length_ripple, loss_with_length
from workbook.matching.match import SEARCHED, Component, Match, Response, Section
from workbook.matching.nearest import nearest_table
from workbook.matching.ways import QUARTER_WAVE, Wanted, Way, every_way
from workbook.table import Table
from workbook.units import with_unit

POINTS, BESIDE = 160, 1.5
"""Frequencies drawn, and how far beyond the bands as a factor."""

LONGEST, LENGTHS, MOST_BANDS = 100.0, 301, 4
"""Longest run [m] between ends left as they are; how many lengths, and on how many bands, are looked at."""


@dataclass(frozen=True)
class Overview:
    """The ways that match, best first, and those that cannot; what each does over `hertz` stands in `responses`."""

    wanted: Wanted
    edges: Edges
    ways: tuple[Way, ...]
    left_out: tuple[Way, ...]
    hertz: Any
    responses: tuple[Response, ...]

    @property
    def ends(self) -> str:
        """Both impedances in words."""
        return f"{self.wanted.source:g} to {self.wanted.load:g} ohm"

    @property
    def matches(self) -> tuple[Match, ...]:
        """The matches in the order of their rank."""
        return tuple(way.match for way in self.ways if way.match is not None)

    def place(self, kind: str) -> int | None:
        """Return the place of a way in the ranking, from 0; None where it cannot match these ends."""
        return next((place for place, way in enumerate(self.ways) if way.kind == kind), None)


def overview(wanted: Wanted, edges: Edges) -> Overview:
    """Return all ways for what is wanted on bands with these names and edges [Hz]; of pads the first that is wanted."""
    ways = every_way(wanted._replace(pads=wanted.pads[:1], hertz=sampled(edges)))
    kinds = {way.match.name: way.kind for way in ways if way.match is not None}
    order = ranked((way.match for way in ways if way.match is not None), edges, wanted.limits)
    low, high = min(low for _, low, _ in edges), max(high for _, _, high in edges)
    hertz = np.geomspace(max(low / BESIDE, SEARCHED[0]), min(high * BESIDE, SEARCHED[1]), POINTS)
    return Overview(
        wanted,
        edges,
        tuple(Way(kinds[match.name], match) for match in order),
        tuple(way for way in ways if way.match is None),
        hertz,
        tuple(match.plain(hertz) for match in order),
    )


# --- tables -----------------------------------------------------------------------------------------------


def rank_table(view: Overview) -> Table:
    """Return the ways in the order of their rank and why; what goes with one way alone stands in its own tables."""
    whole = ranking_table(view.matches, view.edges, view.wanted.limits)
    kept = [column for column, heading in enumerate(whole.headings) if not heading.startswith(("check", "phase"))]
    headings, *rows = (tuple(row[column] for column in kept) for row in (whole.headings, *whole.rows))
    return Table(whole.title, headings, tuple(rows))


def left_out_table(view: Overview) -> Table:
    """Return why the ways that are left out cannot match these ends."""
    rows = tuple((way.kind, way.why_not) for way in view.left_out)
    return Table(f"Cannot match {view.ends}", ("way", "why not, and what would do"), rows)


def parts_table(match: Match) -> Table:
    """Return what a match is built of, from the source on: lengths to cut and how to check them, components."""
    title = f"Parts: {match.name}"
    if not match.sections:
        rows = tuple((component.what, _amount(component)) for component in match.components)
        return Table(title, ("part, from the source on", "value"), rows or (("source and load are joined", "-"),))
    degrees = f"degrees at {match.sections[0].hertz / 1e6:.4g} MHz"
    headings = ("cable, from the source on", "length", degrees, "check MHz, far end open")
    return Table(title, headings, tuple(_section_row(section) for section in match.sections))


def _section_row(section: Section) -> tuple[str, ...]:
    name = section.cable.name if section.cable else f"{section.ohms.real:.4g} ohm line"
    check = section.check_frequency
    return (
        name if section.count == 1 else f"{section.count} of {name} in parallel, each",
        "-" if section.metres is None else both_lengths(section.metres),
        f"{np.degrees(section.radians):.1f}",
        "-" if check is None else f"{check.m_as('MHz'):.4f}",
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
            f"{swr_in[n].max():.2f}",
            f"{swr_out[n].max():.2f}",
            f"{loss[n].min():.2f}",
            f"{loss[n].max():.2f}",
            *(rounded(phase[n, at], 1) for at in (0, middle, -1)),
        )
        for n, (name, _, _) in enumerate(edges)
    )
    headings = ("band", "worst SWR at source", "worst SWR at load", "least loss dB", "worst loss dB")
    shifts = ("phase deg, low edge", "phase deg, middle", "phase deg, high edge")
    return Table(f"On each band: {match.name}", (*headings, *shifts), rows)


def limit_table(match: Match, limits: tuple[float, float]) -> Table:
    """Return the usable band that each limit gives alone, and both together."""
    swr, decibel = limits
    beyond = 1e6
    asked = (
        (f"SWR {swr:g} at both ends", (swr, beyond)),
        (f"loss {decibel:g} dB", (beyond, decibel)),
        ("both", limits),
    )
    rows = tuple((name, usable_span(match, pair)) for name, pair in asked)
    return Table(f"Usable band: {match.name}", ("limit", "usable MHz"), rows)


def nearest_cables_table(view: Overview) -> Table | None:
    """Return the chosen cables nearest to the ideal impedance of a quarter-wave line; None where no line matches."""
    place = view.place(QUARTER_WAVE)
    if place is None:
        return None
    frequency = with_unit(view.matches[place].hertz, "Hz")
    ends = (with_unit(view.wanted.source, "ohm"), with_unit(view.wanted.load, "ohm"))
    return nearest_table(*ends, frequency, view.wanted.cables, 4)


# --- ends that are left as they are -----------------------------------------------------------------------


class LengthSweep(NamedTuple):
    """Loss [dB] of a run of cable between ends left as they are, by length [m], a row for the middle of a few bands."""

    cable: str
    bands: tuple[str, ...]
    metres: Any
    present: float
    loss: Any


def length_sweep(view: Overview) -> LengthSweep | None:
    """Return the loss with the length of the run between both ends; None where no cable lies between them."""
    if view.wanted.run is None:
        return None
    cable, present = view.wanted.run
    metres = np.linspace(0.0, LONGEST, LENGTHS)
    few = np.unique(np.linspace(0, len(view.edges) - 1, MOST_BANDS).round().astype(int))
    names, lows, highs = zip(*(view.edges[n] for n in few), strict=True)
    middles = (np.array(lows) + np.array(highs)) / 2
    ends = (with_unit(view.wanted.source, "ohm"), with_unit(view.wanted.load, "ohm"))
    loss = loss_with_length(*ends, cable, with_unit(metres, "m"), with_unit(middles[:, None], "Hz"))
    return LengthSweep(cable.name, names, metres, present, loss.m_as("dB"))


def ripple_note(view: Overview) -> str:
    """Say how far loss and phase wander with the length of the run between ends that are left as they are."""
    if view.wanted.run is None:
        return ""
    cable, nominal = view.wanted.run[0].name, view.wanted.run[0].nominal_impedance
    ripple = length_ripple(with_unit(view.wanted.source, "ohm"), with_unit(view.wanted.load, "ohm"), nominal)
    loss, phase = ripple.loss.m_as("dB"), ripple.phase.m_as("degree")
    if loss < 5e-4:
        return f"Left over a run of {cable}, nothing wanders with its length: the run matches one of the ends."
    return (
        f"Left over a run of {cable}, loss wanders by up to {loss:.2f} dB and phase by {phase:.2f} degrees "
        "to either side as the run grows longer, besides the loss of the run itself."
    )
