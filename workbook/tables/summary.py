"""What a terminal shows of a plan beside its cut list: RDF, what each hub takes, the way to the receiver."""

from collections.abc import Iterator

from workbook.formatting import both_lengths
from workbook.plan.stages import AnyPlan


def pattern_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield the least and greatest RDF of all directions, band by band, where a pattern is known."""
    for number, band in enumerate(plan.bands):
        known = [one.bands[number].rdf_db for one in plan.directions]
        found = [rdf for rdf in known if rdf is not None]
        if found:
            low, high = f"{min(found):.2f}", f"{max(found):.2f}"
            text = low if low == high else f"{low} to {high}"
            yield f"RDF on {band.name}: {text} dB at {plan.elevation_deg:g} deg elevation"


def accept_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield the error at which a line is good, and why."""
    if plan.delay_lines:
        yield f"a line is good within {plan.accept_deg:g} deg on {plan.cut_band}: {plan.accept_reason}"


def hub_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield what each kind of hub would take in delay lines, least cable first."""
    if plan.delay_lines:
        parts = (
            f"{option.kind} {both_lengths(option.cable_m)} in {option.pieces} pieces"
            for option in plan.hub_options
            if option.cable_m is not None
        )
        yield f"delay lines by kind of hub (this design: {plan.hub}): {'; '.join(parts)}"


def match_lines(plan: AnyPlan) -> Iterator[str]:
    """Yield the way to the receiver, where the design names one."""
    if plan.match:
        match = plan.match
        yield f"from {match.source_ohm:g} to {match.load_ohm:g} ohm by {match.way}: {match.parts}"
