"""How the design gets from the hub's impedance to the receiver's: the chosen way on the design's frequencies."""

from typing import Any

import numpy as np

from workbook.bands import bands
from workbook.errors import InputError
from workbook.matching.compare import compare_matches, parts_list
from workbook.matching.match import Match, Section
from workbook.plan.cuts import band_frequencies, checks, design_cable
from workbook.plan.results import MatchBand, MatchSection, PlanMatch
from workbook.plan.schema import BEST, DesignFile
from workbook.units import Quantity


def chosen_match(design: DesignFile) -> PlanMatch | None:
    """Return the way that the design names, or the best, None where the design has no [match].

    Lines are made of the design's own cables unless others are listed; ways are ranked on the whole of its bands.
    """
    asked = design.match
    if asked is None:
        return None
    frequencies = band_frequencies(design)
    known_bands = bands()
    wanted = tuple(name if name in known_bands else (Quantity(hertz, "Hz"),) * 2 for name, hertz in frequencies.items())
    names = asked.cables or sorted({design.cables.delay_line, design.cables.element_run})
    cables = [design_cable(design, name) for name in names]
    try:
        matches = compare_matches(
            asked.source, asked.load, wanted, cables, most_swr=asked.most_swr, most_loss=asked.most_loss
        )
    except InputError as error:
        raise InputError(f"match.{error}") from None
    known = [match.name for match in matches]
    if asked.way != BEST and asked.way not in known:
        if match_is_needless(asked.source, asked.load):
            raise InputError(f'match.way: "{asked.way}" has nothing to match between equal ends; write "{known[0]}".')
        raise InputError(
            f'match.way: "{asked.way}" cannot be made of {", ".join(made.name for made in cables)}; list other cables '
            f'under match.cables, or take "{known[0]}".'
        )
    match = matches[0] if asked.way == BEST else matches[known.index(asked.way)]
    return PlanMatch(
        way=match.name,
        source_ohm=float(match.source_ohms),
        load_ohm=float(match.load_ohms),
        parts=parts_list(match),
        reason=match.reason,
        sections=tuple(_section(design, part) for part in match.sections),
        bands=tuple(_band(name, match, hertz) for name, hertz in frequencies.items()),
    )


def match_is_needless(source: Any, load: Any) -> bool:
    """Return whether both ends are the same."""
    return bool(np.isclose(source.m_as("ohm"), load.m_as("ohm"), rtol=1e-9))


def _section(design: DesignFile, part: Section) -> MatchSection:
    """Return a section with its cuts; it wears the connectors of a delay line, whose delay is not taken off it."""
    made_of, length = part.cable, part.metres
    assert made_of is not None
    assert length is not None
    end, hertz = design.ends.delay_line, part.hertz
    _, typical, fastest = made_of.span("velocity_factor", Quantity(hertz, "Hz"))
    strips, trim = 2 * end.strip.m_as("m"), design.cutting.trim.m_as("m")
    longest = length * float(fastest / typical)
    connectors, accept = 2 * end.delay.m_as("s"), design.cutting.accept.m_as("degree")
    return MatchSection(
        cable=made_of.name,
        count=part.count,
        impedance_ohm=part.ohms.real,
        electrical_length_deg=float(np.degrees(part.radians)),
        delay_s=float(part.radians / (2 * np.pi * hertz)),
        length_m=length,
        length_to_cut_m=length + strips,
        first_cut_m=longest + strips + trim,
        loop_resistance_ohm=float(made_of.model.loop_resistance * length),
        check=checks(made_of, [length], [longest + trim], connectors, hertz, accept)[0],
    )


def _band(name: str, match: Match, hertz: float) -> MatchBand:
    return MatchBand(name, *(float(value) for value in match.plain(hertz)))
