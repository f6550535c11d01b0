"""The pattern in tables: figures of every direction on every band, and the shape of one."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern_metrics import pattern_metrics
from workbook.formatting import rounded
from workbook.plan.patterns import HARDLY
from workbook.plan.results import DirectionBand, PatternNull
from workbook.plan.stages import AnyPlan
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.cuts import line_count
from workbook.tables.table import Table, gathered

MOST_NULLS = 6
"""Nulls that are listed of each pattern."""


def figure_table(plan: AnyPlan) -> Table:
    """Return the figures of every direction on every band, by band, the direction of greatest RDF first."""
    rows = []
    for number, band in enumerate(plan.bands):
        found = [(one.bands[number], one) for one in plan.directions]
        # what differs by rounding only stays in the design's order
        found.sort(key=lambda pair: -round(-99.0 if pair[0].rdf_db is None else pair[0].rdf_db, 2))
        rows += [(band.name, one.name, f"{one.azimuth_deg:g}", *_figures(on_band)) for on_band, one in found]
    headings = (
        "band", "direction", "azimuth deg true", "RDF dB", "front-to-back dB", "signal dB", "noise dB",
        "white-noise gain dB", "RDF lost to errors of 0.1 dB and 1 deg", "RDF by the rule on this band",
        "error against the rule deg",
    )  # fmt: skip
    return Table(
        f"Figures at {plan.elevation_deg:g} deg elevation (signal and noise over one element)",
        headings,
        gathered(rows, (1, 2)),
    )


def _figures(band: DirectionBand) -> tuple[str, ...]:
    gains = (band.signal_gain_db, band.noise_gain_db, band.white_noise_gain_db)
    return (
        figure(band.rdf_db, 2),
        front_to_back(band.rdf_db, band.front_to_back_db),
        *(figure(gain) for gain in gains),
        figure(band.rdf_lost_to_errors_db, 2),
        figure(band.rule_rdf_db, 2),
        figure(band.phase_from_rule_deg),
    )


def pattern_answer(plan: AnyPlan, direction: str, band: str) -> AnswerLine:
    """Return what a builder decides by: figures of a direction on a band, and the delay lines of all directions."""
    found = next(one for one in plan.direction(direction).bands if one.name == band)
    metres = sum(line.count * line.first_cut_m for line in plan.delay_lines)
    figures = (
        Figure("RDF", figure(found.rdf_db, 2), "dB"),
        Figure("front-to-back", front_to_back(found.rdf_db, found.front_to_back_db), "dB"),
        Figure("signal gain", figure(found.signal_gain_db), "dB"),
        Figure("white-noise gain", figure(found.white_noise_gain_db), "dB"),
        Figure("delay lines", line_count(plan)),
        Figure("cable, first cuts", plan.units.about(metres)),
    )
    megahertz = plan.band(band).frequency_hz / 1e6
    return AnswerLine(f"{direction}, {band} at {megahertz:.7g} MHz, {plan.elevation_deg:g} deg elevation", figures)


REAR_DIFFERS_DB, WEAKER_DB = 6.0, 3.0
"""Beyond these a rear lobe, or what a beam loses beside the best other one, is named."""


def beam_cautions(plan: AnyPlan, direction: str, band: str, fired: Firing) -> Iterator[str]:
    """Yield what the front-to-back of a beam on a band does not show: a lobe aside of the back, a weaker signal.

    `fired` is the beam on the band; it is compared with the beam that has the strongest signal there.
    """
    beams = {one.name: on for one in plan.directions for on in one.bands if on.name == band}
    found = beams[direction]
    rear = float(pattern_metrics(fired).front_to_rear_worst.m_as("dB"))
    back = HARDLY if found.front_to_back_db is None else found.front_to_back_db
    if found.rdf_db is not None and back - rear > REAR_DIFFERS_DB:
        yield (
            f"Front-to-rear is only {rounded(rear, 1)} dB where front-to-back is {decibel_text(back)} dB, with the "
            f"beam {direction} on {band}: a lobe to the side of the back is that strong."
        )
    name, best = max(beams.items(), key=lambda beam: beam[1].signal_gain_db or -np.inf)
    if found.signal_gain_db is None or best.signal_gain_db is None:
        return
    weaker = best.signal_gain_db - found.signal_gain_db
    if weaker > WEAKER_DB:
        white = (best.white_noise_gain_db or 0.0) - (found.white_noise_gain_db or 0.0)
        yield (
            f"With the beam {direction} on {band} the signal is {rounded(weaker, 1)} "
            f"dB weaker than with the beam {name}, and white-noise gain {rounded(white, 1)} dB less: internal noise "
            "matters more."
        )


def figure(value: float | None, digits: int = 1) -> str:
    """Write a figure that a plan may not know."""
    return "none" if value is None else rounded(value, digits)


def front_to_back(rdf_db: float | None, front_to_back_db: float | None) -> str:
    """Write a front-to-back: without one where the pattern is known, nothing at all arrives from the back."""
    return "none" if rdf_db is None else decibel_text(front_to_back_db)


def decibel_text(value: float | None) -> str:
    """Write how far something lies below something else; None is infinitely far."""
    return f"over {HARDLY:g}" if value is None or value > HARDLY else rounded(value, 1)


def width_text(degrees: float | None) -> str:
    """Write a -3 dB beamwidth; None where the level never falls by 3 dB."""
    return "never falls by 3 dB" if degrees is None or np.isnan(degrees) else f"{degrees:.1f}"


def _width(angle: Any) -> str:
    text = width_text(float(angle.m_as("degree")))
    return f"{text} deg" if text[0].isdigit() else text


def shape_table(fired: Firing, title: str) -> Table:
    """Return the shape of one pattern: front over rear, widths, peak, nulls."""
    found = pattern_metrics(fired)
    rows = [
        ("front-to-rear, highest level", f"{decibel_text(found.front_to_rear_worst.m_as('dB'))} dB"),
        ("front-to-rear, mean level", f"{decibel_text(found.front_to_rear_mean.m_as('dB'))} dB"),
        ("-3 dB beamwidth in azimuth", _width(found.azimuth_beamwidth)),
        ("-3 dB beamwidth in elevation", _width(found.elevation_beamwidth)),
        ("elevation of the maximum", _width(found.peak_elevation)),
    ]
    rows += [
        (f"null at {azimuth.m_as('degree'):.1f} deg true", f"{decibel_text(-depth.m_as('dB'))} dB below the maximum")
        for azimuth, depth in found.nulls[:MOST_NULLS]
    ]
    return Table(title, ("figure", "value"), tuple(rows))


def shapes_table(plan: AnyPlan) -> Table:
    """Return the shape of every pattern, by band; nulls clockwise from the direction."""
    azimuth = {one.name: one.azimuth_deg for one in plan.directions}
    rows = [
        (
            one.band,
            one.direction,
            decibel_text(one.front_to_rear_worst_db),
            decibel_text(one.front_to_rear_mean_db),
            width_text(one.azimuth_beamwidth_deg),
            width_text(one.elevation_beamwidth_deg),
            f"{one.peak_elevation_deg:.0f}",
            "; ".join(_null_text(null, azimuth[one.direction]) for null in one.nulls[:MOST_NULLS]) or "none",
        )
        for one in plan.shapes
    ]
    rows.sort(key=lambda row: [band.name for band in plan.bands].index(row[0]))
    headings = (
        "band",
        "direction",
        "front-to-rear, highest level dB",
        "front-to-rear, mean level dB",
        "-3 dB beamwidth, azimuth deg",
        "-3 dB beamwidth, elevation deg",
        "elevation of the maximum deg",
        "nulls: deg clockwise of the beam heading, dB below the maximum",
    )
    return Table("Shape of the pattern", headings, gathered(rows, (1,)))


def _null_text(null: PatternNull, azimuth_deg: float) -> str:
    # rounded first, so that 359.6 is not written as 360
    return f"{round(null.bearing_deg - azimuth_deg) % 360} deg, {decibel_text(null.below_greatest_db)} dB"
