"""How the design gets from the hub's impedance to the receiver's: the chosen way on the design's frequencies."""

import numpy as np

from workbook.bands import band, bands
from workbook.design.schema import BEST, DesignFile, MatchTable
from workbook.errors import InputError
from workbook.line.cable import Cable
from workbook.matching.arguments import Edges, end, limit_pair
from workbook.matching.candidates import Requirements, compare
from workbook.matching.match import Match
from workbook.matching.parts import Component, Section, described
from workbook.plan.cuts import cuts, design_cable
from workbook.plan.pieces import MatchSection
from workbook.plan.results import MatchBand, MatchComponent, PlanMatch
from workbook.units import Quantity


def chosen_match(design: DesignFile) -> PlanMatch | None:
    """Return the way that the design names, or the best, None where the design has no [match].

    Lines are made of the design's own cables unless others are listed; ways are ranked on the whole of its bands.
    """
    table = design.match
    if table is None:
        return None
    frequencies = design.band_hertz
    try:
        match = _selected(table, _edges(frequencies), _cables(design, table))
    except InputError as error:
        raise error.at(f"match.{'.'.join(error.where)}") from None
    return PlanMatch(
        way=match.name,
        source_ohm=float(match.source_ohms),
        load_ohm=float(match.load_ohms),
        parts=described(match.parts, design.units),
        reason=match.reason,
        components=tuple(_component(part) for part in match.components),
        sections=tuple(_section(design, part) for part in match.sections),
        bands=tuple(_band(name, match, hertz) for name, hertz in frequencies.items()),
    )


def _edges(frequencies: dict[str, float]) -> Edges:
    """Return name, low and high edge [Hz] of the design's bands; one frequency where the name is not its band's."""
    known = bands()
    found = []
    for name, hertz in frequencies.items():
        low, high = (edge.m_as("Hz") for edge in (band(name).low, band(name).high)) if name in known else (hertz, hertz)
        found.append((name, low, high) if low <= hertz <= high else (name, hertz, hertz))
    return tuple(found)


def _cables(design: DesignFile, table: MatchTable) -> tuple[Cable, ...]:
    names = table.cables or sorted({design.cables.delay_line, design.cables.element_run})
    return tuple(design_cable(design, name) for name in names)


def _selected(table: MatchTable, edges: Edges, cables: tuple[Cable, ...]) -> Match:
    """Return the named match, or the best, with the reason for its rank; a method that is not possible says why."""
    limits = limit_pair(table.most_swr, table.most_loss)
    ends = end(table.source, "source"), end(table.load, "load")
    turns = None if table.turns is None else (table.turns[0], table.turns[1])
    found = compare(Requirements(*ends, edges, limits, cables, table.core.core(), turns=turns))
    if table.way == BEST:
        return found.matches[0]
    for each in found.ranked:
        if each.method.name == table.way:
            return each.match
    refusal = next(each.refusal for each in found.rejected if each.method.name == table.way)
    raise InputError(
        f'"{table.way}" is not possible here: {": ".join((*refusal.where, refusal.problem))}',
        where="way",
        remedy=f'{refusal.remedy}, or take "{found.matches[0].name}"',
    )


def _component(component: Component) -> MatchComponent:
    """Return a component in SI units; turns are counted."""
    if not isinstance(component.value, Quantity):
        return MatchComponent(component.what, component.value, "turns")
    unit = next(unit for unit in ("ohm", "H") if component.value.is_compatible_with(unit))
    return MatchComponent(component.what, component.value.m_as(unit), unit)


def _section(design: DesignFile, part: Section) -> MatchSection:
    """Return a section with its cuts; it wears the connectors of a delay line, whose delay is not taken off it."""
    made_of, length = part.cable, part.metres
    assert made_of is not None
    assert length is not None
    _, typical, fastest = made_of.span("velocity_factor", Quantity(part.hertz, "Hz"))
    longest = length * float(fastest / typical)
    return MatchSection(
        cable=made_of.name,
        count=part.count,
        impedance_ohm=part.ohms.real,
        electrical_length_deg=float(np.degrees(part.radians)),
        delay_s=float(part.radians / (2 * np.pi * part.hertz)),
        **cuts(design, made_of, design.ends.delay_line, [length], [longest])[0]._asdict(),
    )


def _band(name: str, match: Match, hertz: float) -> MatchBand:
    return MatchBand(name, *(float(value) for value in match.plain(hertz)))
