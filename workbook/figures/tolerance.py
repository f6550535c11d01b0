"""What trials give: how a figure spreads, between which levels the pattern lies, and which tolerance costs most."""

from collections.abc import Sequence

import numpy as np

from workbook.array.pattern_metrics import azimuth_cut
from workbook.figures.chart import (
    TALL,
    WIDE,
    Axis,
    Chart,
    Curve,
    Fill,
    Item,
    Plot,
    Rule,
    Span,
    Strokes,
    around,
    linear_axis,
)
from workbook.figures.disc import MARGIN, SIDE, compass, disc
from workbook.figures.pattern import FLOOR, compass_grid, cut_points, state_of
from workbook.figures.style import FIRST, LIMIT, SECOND, THIRD, look
from workbook.plan.stages import AnyPlan
from workbook.tables.hold import short_subject
from workbook.tables.tolerance import NAMES
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.result import ToleranceResult
from workbook.units import FloatArray, Quantity

BARS, STEP_DEG = 40, 3.0
"""Bars of a distribution, and step of an envelope [degree]."""


def distribution_picture(result: ToleranceResult, figure: str, coverage: float, title: str, state: str) -> Chart:
    """Return how often each value of a figure comes, with its coverage interval and the value without errors.

    Parameters
    ----------
    result
        What the trials gave.
    figure
        Which figure.
    coverage
        Probability inside the shaded interval.
    title, state
        Lines over the picture.
    """
    values = result.trials(figure)
    values = values[np.isfinite(values)]
    low, high = result.interval(figure, coverage)
    exact = result.nominal(figure)
    heights, edges = _bars(values)
    unit = "deg" if result.unit(figure) == "degree" else "dB"
    items: list[Item] = [
        Fill("arrays", np.repeat(edges, 2)[1:-1], np.zeros(2 * heights.size), np.repeat(heights, 2), FIRST, 0.75)
    ]
    if np.isfinite(low) and np.isfinite(high):
        items.insert(
            0, Span(f"{100 * coverage:g} %: {low:.2f} to {high:.2f} {unit}", low, high, THIRD, 0.22, legend=True)
        )
    if np.isfinite(exact):
        items.append(Rule(f"without errors: {exact:.2f} {unit}", exact, SECOND, 2.0, LIMIT, legend=True))
    seen = [edges, *([np.array([exact])] if np.isfinite(exact) else [])]
    across = linear_axis(f"{NAMES[figure]} ({unit})", *around(seen, least=0.02))
    up = linear_axis("share of the arrays (%)", 0.0, 1.08 * max(float(heights.max(initial=0.0)), 1e-3))
    return Chart(title, state, (Plot(across, up, tuple(items), TALL),), WIDE, columns=1)


def _bars(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return heights [%] and edges of bars over all but the last thousandth of the values at either end."""
    if not values.size:
        return np.zeros(1), np.array([0.0, 1.0])
    ends = np.quantile(values, [0.001, 0.999])
    if ends[1] - ends[0] < 1e-6:
        ends = ends.mean() + np.array([-0.005, 0.005])
    counts, edges = np.histogram(values, BARS, range=(float(ends[0]), float(ends[1])))
    return 100.0 * counts / values.size, edges


def envelope_picture(plan: AnyPlan, result: ToleranceResult, direction: str, band: str, coverage: float) -> Chart:
    """Return the pattern from above: without errors, the median, and between which levels it lies.

    Parameters
    ----------
    plan
        The plan.
    result
        What the trials gave.
    direction, band
        Their names.
    coverage
        Probability inside at each azimuth.
    """
    turns = np.arange(0.0, 360.0, STEP_DEG)
    found = result.envelope(Quantity(turns, "degree"), coverage)
    named = {f"{100 * coverage:g} % inside": found.low, "": found.high, "median": found.median}
    items = compass_grid(plan.direction(direction).azimuth_deg)
    angle = np.radians(np.append(turns, turns[0]))
    for name, level in named.items():
        decibels = np.append(level.m_as("dB"), level.m_as("dB")[0])
        radius = 1 - np.clip(decibels, FLOOR, -FLOOR) / FLOOR
        middle = name == "median"
        colour, dashes, _ = look(0 if middle else 1)
        items.append(Curve(name, *compass(angle, radius), colour, 2.2 if middle else 1.4, dashes, legend=bool(name)))
    exact = cut_points(azimuth_cut(result.firing), 2, compass)
    items.append(Curve("without errors", *exact, look(2).colour, 1.2, look(2).dashes))
    state = state_of(plan, direction, band)
    title = f"{plan.name}: between which levels"
    return Chart(title, state, (disc(items),), SIDE, margins=(MARGIN, MARGIN), foot=4)


def ranking_picture(shares: Sequence[tuple[Tolerance, float]], figure: str, state: str) -> Chart:
    """Return each tolerance's share of a figure's variance as a bar, largest first.

    Parameters
    ----------
    shares
        Tolerances with their shares.
    figure
        Which figure.
    state
        Second line over the picture.
    """
    places = np.arange(1, len(shares) + 1, dtype=float)
    heights = np.array([100 * share for _, share in shares])
    bars = Strokes("shares", places, np.zeros(len(shares)), heights, FIRST, 20.0)
    ticks = tuple((float(place), short_subject(one)) for place, (one, _) in zip(places, shares, strict=True))
    across = Axis("tolerance", 0.4, len(shares) + 0.6, ticks)
    up = linear_axis("share of the variance (%)", 0.0, 105.0)
    title = f"What spreads the {NAMES[figure]}"
    return Chart(title, state, (Plot(across, up, (bars,), TALL),), WIDE, foot=48)
