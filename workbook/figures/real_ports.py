"""What real ends do to channels: their phase errors, one line of any length, and the pattern that comes of it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook.array.pattern_metrics import azimuth_cut
from workbook.chain.channel_errors import perturbed_weights
from workbook.figures.bands import line_ticks
from workbook.figures.chart import (
    TALL,
    WIDE,
    Axis,
    Chart,
    Curve,
    Item,
    Note,
    Plot,
    Rule,
    Span,
    Strokes,
    around,
    axis_at,
    linear_axis,
)
from workbook.figures.delay_errors import APART
from workbook.figures.disc import MARGIN, SIDE, compass, disc
from workbook.figures.pattern import compass_grid, cut_points, state_of
from workbook.figures.style import DOTS, THIRD, look
from workbook.formatting import rounded
from workbook.plan.firings import firing
from workbook.plan.results import ChannelBand, Terminations
from workbook.plan.stages import AnyPlan
from workbook.plan.taps import tap_delays
from workbook.plan.terminations import LineAlone
from workbook.tables.terminations import KINDS
from workbook.units import ComplexArray, Quantity

COMPENSATED, LINES = "compensated", "cut lines"


def ends_of(plan: AnyPlan, ends: Terminations) -> str:
    """Return what a picture's second line says of the ends."""
    spread = ""
    if ends.source_tolerance or ends.port_tolerance:
        # short, so that the title keeps its lines and the picture its place when a tolerance is moved
        spread = f" ±{ends.source_tolerance * 100:g}, ±{ends.port_tolerance * 100:g} %"
    runs = f"{plan.hub}, runs {plan.units.on_drawing(plan.element_runs.length_m)}"
    return f"{ends.source_ohm:g} to {ends.port_ohm:g} ohm{spread}; {runs}"


def channel_picture(plan: AnyPlan, ends: Terminations) -> Chart:
    """Return how late every channel is on every band: filled as planned, with tolerances, hollow compensated."""
    places, items = np.arange(len(ends.channels) - 1, dtype=float), list[Item]()
    limits = [np.array([-plan.accept_deg, plan.accept_deg])]
    for number, band in enumerate(plan.bands):
        shifted = places + APART * (number - (len(plan.bands) - 1) / 2)
        rows = [channel.bands[number] for channel in ends.channels[1:]]
        colour, _, marker = look(number)
        # a plan's errors are positive where a channel is early, those of pictures and tables where it is late
        least = -np.array([row.greatest_phase_error_deg for row in rows])
        most = -np.array([row.least_phase_error_deg for row in rows])
        planned = -np.array([row.phase_error_deg for row in rows])
        after = -np.array([row.compensated_phase_error_deg for row in rows])
        items += [
            Strokes(f"{band.name}, tolerance", shifted, least, most, colour),
            Curve(f"{band.name}, as planned", shifted, planned, colour, 0, marker=marker, size=8),
            Curve(f"{band.name}, {COMPENSATED}", shifted, after, colour, 0, marker=marker, size=8, hollow=True),
        ]
        limits += [least, most, planned, after]
    accepted = Span(f"within ±{plan.accept_deg:g} deg", -plan.accept_deg, plan.accept_deg, THIRD, 0.16, True, True)
    across = Axis("channel by its delay, beside the direct one", -0.6, max(len(places) - 0.4, 0.6), line_ticks(plan))
    up = linear_axis("phase error (deg, + is later)", *around(limits))
    title = f"{plan.name}: error of every channel"
    plot = Plot(across, up, (accepted, Rule("zero", 0.0, level=True), *items), TALL)
    return Chart(title, ends_of(plan, ends), (plot,), WIDE, foot=48)


@dataclass(frozen=True, eq=False)
class LinesAlone:
    """Lines by themselves between the ends, by band: `curves` over all lengths, `own` the design's, shortest first.

    `looked_at` is one line of one length on `band`.
    """

    curves: Mapping[str, LineAlone]
    own: Mapping[str, LineAlone]
    looked_at: LineAlone
    band: str


def length_picture(plan: AnyPlan, lines: LinesAlone, ends: str) -> Chart:
    """Return the error of one line between two ends against its electrical length, on each band; `ends` in words."""
    items: list[Item] = [Rule("zero", 0.0, level=True)]
    for number, (name, line) in enumerate(lines.curves.items()):
        colour, dashes, marker = look(number)
        width, own = 2.2 if name == lines.band else 1.3, lines.own[name]
        late = -own.phase_error_deg
        items += [
            *_bounds(name, line, colour),
            Curve(name, line.electrical_length_deg, -line.phase_error_deg, colour, width, dashes),
            Curve(f"{LINES}, {name}", own.electrical_length_deg, late, colour, 0, marker=marker, size=7),
        ]
    for (label, _), x in zip(tap_delays(plan), lines.own[lines.band].electrical_length_deg, strict=True):
        # in the margin above all curves and limits
        items.append(Note(label, float(x), 0.93, share=True, size=10))
    x, y = float(lines.looked_at.electrical_length_deg), -float(lines.looked_at.phase_error_deg)
    marked = Curve(f"a line of {x:.3g} deg", np.array([x]), np.array([y]), width=0, marker="x", size=10)
    items += [Rule("looked at", x, width=0.9), marked]
    far = max(360.0, *(float(line.electrical_length_deg[-1]) for line in lines.curves.values()))
    heights = [item.y for item in items if isinstance(item, Curve)]
    bounds = [item.at for item in items if isinstance(item, Rule) and item.level]
    across = axis_at("electrical length on its band (deg)", 0, far, np.arange(0, far + 1, 90).tolist())
    up = linear_axis("error (deg, + is later)", *around([*heights, bounds], 0.13))
    return Chart(f"{plan.name}: one line; dotted: limits (deg)", ends, (Plot(across, up, tuple(items), TALL),), WIDE)


def _bounds(name: str, line: LineAlone, colour: str) -> list[Item]:
    """Return between which errors any length lies on a band; beside no line, that is about where a matched one is."""
    lower, upper = -line.matched_deg - line.bound_deg, -line.matched_deg + line.bound_deg
    # rounded outwards, so that the words hold for every point that is drawn
    label = f"{name}: {rounded(math.floor(lower * 100) / 100, 2)}, {rounded(math.ceil(upper * 100) / 100, 2)}"
    look: Any = {"colour": colour, "width": 1.0, "dashes": DOTS, "level": True}
    return [Rule(label, upper, legend=True, **look), Rule(f"{name}, bound", lower, **look)]


def side_by_side_picture(plan: AnyPlan, ends: Terminations, direction: str, band: str) -> Chart:
    """Return the pattern from above three times: ideal channels, between real ends, and with compensated lines.

    Raises
    ------
    InputError
        When there is no such direction or band, or the design says no elevation.
    """
    ideal = firing(plan, direction, band)
    numbers = {(one.direction, one.name): one for one in ends.directions}[direction, band]
    planned = next(one for one in plan.direction(direction).bands if one.name == band)
    rdf = (planned.rdf_db, numbers.rdf_db, numbers.compensated_rdf_db)
    real = channel_weights(plan, ends, direction, band)
    items = compass_grid(plan.direction(direction).azimuth_deg)
    for number, (name, weights) in enumerate(zip(KINDS, (ideal.weights, *real), strict=True)):
        label = name if rdf[number] is None else f"{name}, RDF {rdf[number]:.2f} dB"
        points = cut_points(azimuth_cut(replace(ideal, weights=weights)), 2, compass)
        colour, dashes, _ = look(number)
        items.append(Curve(label, *points, colour, 2.2 - 0.4 * number, dashes))
    title = f"{plan.name}: between {ends.source_ohm:g} and {ends.port_ohm:g} ohm"
    return Chart(title, state_of(plan, direction, band), (disc(items),), SIDE, 1, margins=(MARGIN, MARGIN), foot=4)


def channel_weights(plan: AnyPlan, ends: Terminations, direction: str, band: str) -> tuple[ComplexArray, ComplexArray]:
    """Return the weights of the elements with the channels as planned, and with compensated lines."""
    ideal = firing(plan, direction, band).weights
    on = {one.line: next(row for row in one.bands if row.name == band) for one in ends.channels}
    direct = ends.channels[0].line
    rows = [on[feed.line or direct] for feed in plan.direction(direction).elements]
    return _weights(ideal, rows, False), _weights(ideal, rows, True)


def _weights(ideal: ComplexArray, rows: list[ChannelBand], compensated: bool) -> ComplexArray:
    phase = [row.compensated_phase_error_deg if compensated else row.phase_error_deg for row in rows]
    level = [row.compensated_level_db if compensated else row.level_db for row in rows]
    return perturbed_weights(ideal, Quantity(phase, "degree"), Quantity(level, "dB"))
