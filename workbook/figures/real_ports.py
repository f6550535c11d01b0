"""What real ends do to channels: their phase errors, one line of any length, and the pattern that comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.array.shape import azimuth_cut
from workbook.chain.channel_errors import perturbed_weights
from workbook.figures.bands import band_look, legend_below, line_names
from workbook.figures.disc import COMPASS, compass, disc, grid
from workbook.figures.pattern import RINGS, draw_aim, draw_cut, state_of
from workbook.figures.style import INK, THIRD, heading, new_figure, styled
from workbook.plan.patterns import firing
from workbook.plan.real_lists import KINDS
from workbook.plan.results import ChannelBand, Plan, Terminations
from workbook.plan.terminations import LineAlone
from workbook.plan.wiring import tap_delays
from workbook.units import Quantity

COMPENSATED, LINES = "compensated", "lines of the design"


def ends_of(plan: Plan, ends: Terminations) -> str:
    """Return what a picture's second line says of the ends."""
    spread = ""
    if ends.source_tolerance or ends.port_tolerance:
        spread = f", within {ends.source_tolerance * 100:g} and {ends.port_tolerance * 100:g} %"
    runs = f"{plan.hub}, runs {plan.element_runs.length_m:.2f} m"
    return f"{ends.source_ohm:g} to {ends.port_ohm:g} ohm{spread}; {runs}"


def channel_picture(plan: Plan, ends: Terminations) -> Figure:
    """Draw how early every channel is on every band: filled as planned with what tolerances do, hollow compensated."""
    channels = ends.channels[1:]
    figure = new_figure(5.2, 4.4, bottom=0.2 + 0.045 * len(plan.bands))
    places, named = np.arange(len(channels)), list[Any]()
    with styled():
        axes = figure.add_subplot()
        axes.axhspan(-plan.accept_deg, plan.accept_deg, color=THIRD, alpha=0.16, linewidth=0, label="_accepted")
        axes.axhline(0, color=INK, linewidth=1.0, label="_zero")
        for number, band in enumerate(plan.bands):
            shifted = places + 0.16 * (number - (len(plan.bands) - 1) / 2)
            rows = [channel.bands[number] for channel in channels]
            look: Any = {**band_look(number), "linestyle": "none", "markersize": 8}
            least, most = ([getattr(row, f"{end}_phase_error_deg") for row in rows] for end in ("least", "greatest"))
            # plain strokes: the library's own error bars take as long as all the rest
            axes.vlines(shifted, least, most, color=look["color"], linewidth=1.8, label=f"_{band.name}, tolerance")
            planned = [row.phase_error_deg for row in rows]
            named += axes.plot(shifted, planned, label=f"{band.name}, as planned", **look)
            after = [row.compensated_phase_error_deg for row in rows]
            named += axes.plot(shifted, after, fillstyle="none", label=f"{band.name}, {COMPENSATED}", **look)
        axes.set_xticks(places, line_names(plan))
        axes.set_xlim(-0.6, max(len(places) - 0.4, 0.6))
        axes.set_ylabel("phase error (deg, positive = early)")
        axes.set_xlabel("channel by its delay, beside the direct one")
        title = f"{plan.name}: error of every channel, ±{plan.accept_deg:g} deg shaded"
        heading(axes, title, ends_of(plan, ends))
        legend_below(figure, handles=named)
    return figure


@dataclass(frozen=True, eq=False)
class LinesAlone:
    """Lines by themselves between the ends, by band: `curves` over all lengths, `own` the design's, shortest first.

    `looked_at` is one line of one length on `band`.
    """

    curves: Mapping[str, LineAlone]
    own: Mapping[str, LineAlone]
    looked_at: LineAlone
    band: str


def length_picture(plan: Plan, lines: LinesAlone, ends: str) -> Figure:
    """Draw the error of one line between two ends against its electrical length, on each band; `ends` in words."""
    figure = new_figure(5.2, 4.4, bottom=0.2 + 0.045 * len(lines.curves))
    with styled():
        axes = figure.add_subplot()
        axes.axhline(0, color=INK, linewidth=1.0, label="_zero")
        _bound(axes, lines.curves[lines.band])
        for number, (name, line) in enumerate(lines.curves.items()):
            look: Any = band_look(number)
            curve = {"color": look["color"], "linestyle": look["linestyle"]}
            thick = 2.2 if name == lines.band else 1.3
            axes.plot(line.electrical_length_deg, line.phase_error_deg, label=name, linewidth=thick, **curve)
            own, dots = lines.own[name], {**look, "linestyle": "none", "markersize": 7}
            axes.plot(own.electrical_length_deg, own.phase_error_deg, label=f"{LINES}, {name}", **dots)
        own = lines.own[lines.band]
        for (label, _), x, y in zip(tap_delays(plan), own.electrical_length_deg, own.phase_error_deg, strict=True):
            axes.annotate(label, (x, y), (0, 7), textcoords="offset points", ha="center")
        x, y = float(lines.looked_at.electrical_length_deg), float(lines.looked_at.phase_error_deg)
        axes.axvline(x, color=INK, linewidth=0.9, label="_looked at")
        axes.plot([x], [y], label="_looked at", color=INK, marker="x", markersize=10, markeredgewidth=2.2)
        far = max(360.0, *(float(line.electrical_length_deg[-1]) for line in lines.curves.values()))
        axes.margins(y=0.1)
        axes.set_xlim(0, far)
        axes.set_xticks(np.arange(0, far + 1, 90))
        axes.set_ylabel("phase beside no line (deg, positive = early)")
        axes.set_xlabel("electrical length on its band (deg)")
        heading(axes, f"{plan.name}: one line of any length", ends)
        legend_below(figure)
    return figure


def _bound(axes: Axes, line: LineAlone) -> None:
    """Draw how far any length may be off; beside no line, that lies about where a matched line would be."""
    for side in (-1, 1):
        name = f"at most: asin|ρs ρL| = {line.bound_deg:.2f} deg" if side > 0 else "_bound"
        axes.axhline(
            line.matched_deg + side * line.bound_deg, color=INK, linewidth=1.2, linestyle=(0, (6, 3)), label=name
        )


def side_by_side_picture(plan: Plan, ends: Terminations, direction: str, band: str) -> Figure:
    """Draw the pattern from above three times: ideal channels, between real ends, and with compensated lines.

    Raises
    ------
    InputError
        When there is no such direction or band, or the design says no elevation.
    """
    ideal = firing(plan, direction, band)
    figure, axes = disc(
        f"{plan.name}: between {ends.source_ohm:g} and {ends.port_ohm:g} ohm", state_of(plan, direction, band), 2
    )
    numbers = {(one.direction, one.name): one for one in ends.directions}[direction, band]
    told = next(one for one in plan.direction(direction).bands if one.name == band)
    rdf = (told.rdf_db, numbers.rdf_db, numbers.compensated_rdf_db)
    early = channel_weights(plan, ends, direction, band)
    with styled():
        grid(axes, COMPASS, RINGS, compass)
        draw_aim(axes, compass(np.radians(plan.direction(direction).azimuth_deg), 1.0))
        for number, (name, weights) in enumerate(zip(KINDS, (ideal.weights, *early), strict=True)):
            look: Any = {**band_look(number), "marker": "", "linewidth": 2.2 - 0.4 * number}
            label = name if rdf[number] is None else f"{name}, RDF {rdf[number]:.2f} dB"
            draw_cut(axes, azimuth_cut(replace(ideal, weights=weights)), 2, compass, label=label, **look)
        legend_below(figure)
    return figure


def channel_weights(plan: Plan, ends: Terminations, direction: str, band: str) -> tuple[Any, Any]:
    """Return the weights of the elements with the channels as planned, and with compensated lines."""
    ideal = firing(plan, direction, band).weights
    on = {one.line: next(row for row in one.bands if row.name == band) for one in ends.channels}
    direct = ends.channels[0].line
    rows = [on[feed.line or direct] for feed in plan.direction(direction).elements]
    return _weights(ideal, rows, False), _weights(ideal, rows, True)


def _weights(ideal: Any, rows: list[ChannelBand], compensated: bool) -> Any:
    phase = [row.compensated_phase_error_deg if compensated else row.phase_error_deg for row in rows]
    level = [row.compensated_level_db if compensated else row.level_db for row in rows]
    return perturbed_weights(ideal, Quantity(phase, "degree"), Quantity(level, "dB"))
