"""Ways to match over frequency: all of them on one picture, one of them in detail, and a run that is left as it is."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.figures.bands import band_look, legend_below, mark_place
from workbook.figures.style import FAINT, FIRST, INK, SECOND, THIRD, heading, new_figure, styled
from workbook.matching.match import Match
from workbook.matching.overview import LengthSweep, Overview
from workbook.matching.ways import KINDS

MOST_SWR, LEAST_LOSS, MOST_LOSS = 10.0, 0.01, 100.0
"""What is beyond is not drawn: nobody calls that matched; a smaller loss [dB] is drawn at the lower edge."""

# room between two axes [inch], where the bands are named clear of all curves
_GAP = 0.46
_STEPS = (1, 2, 5)
# ticks of SWR by the top of its axis, few of them since each costs time
_SWR_TICKS: tuple[tuple[float, tuple[float, ...]], ...] = (
    (1.25, (1, 1.05, 1.1, 1.15, 1.2)),
    (1.8, (1, 1.1, 1.2, 1.3, 1.4, 1.6)),
    (4.0, (1, 1.2, 1.5, 2, 2.5, 3)),
    (np.inf, (1, 1.5, 2, 3, 5, 10)),
)


def overlay(view: Overview, shown: int) -> Figure:
    """Draw SWR at the source and loss of every way against frequency; the one at the place `shown` is drawn strong."""
    below = 0.2 * -(-len(view.ways) // 2) + 0.1
    figure, (upper, lower) = _pair_of_axes(4.8, below)
    decibels = [np.maximum(response.insertion_loss, LEAST_LOSS) for response in view.responses]
    with styled():
        for number, (match, response) in enumerate(zip(view.matches, view.responses, strict=True)):
            look = _way_look(view.ways[number].kind, strong=number == shown)
            label = f"{number + 1} {short_name(match)}"
            upper.plot(_x(view), _swr(response.swr_in), label=label, **look)
            lower.plot(_x(view), np.log10(decibels[number]), label=f"_{label}", **look)
        _frequency_axes(view, upper, lower)
        _swr_axis(upper, view, [response.swr_in for response in view.responses], "SWR at the source")
        _loss_axis(lower, view, decibels)
        strong = f"strong: {short_name(view.matches[shown])}"
        heading(upper, f"{view.ends}: {len(view.ways)} ways", f"{strong}; dashed: limits")
        legend_below(figure)
    return figure


def one_way(view: Overview, shown: int) -> Figure:
    """Draw SWR at both ends and the phase shift of one way against frequency."""
    match, response = view.matches[shown], view.responses[shown]
    figure, (upper, lower) = _pair_of_axes(4.2, 0.3)
    with styled():
        marks: Any = {"markersize": 5, "markevery": 20}
        upper.plot(
            _x(view), _swr(response.swr_in), color=FIRST, linewidth=2, marker="o", label="at the source", **marks
        )
        look: Any = {**marks, "markevery": (10, 20), "marker": "s", "linestyle": "--"}
        upper.plot(_x(view), _swr(response.swr_out), color=SECOND, linewidth=1.6, label="at the load", **look)
        lower.plot(_x(view), response.phase_shift, color=THIRD, linewidth=2, marker="^", label="phase shift", **marks)
        _frequency_axes(view, upper, lower)
        _swr_axis(upper, view, [response.swr_in, response.swr_out], "SWR")
        _at_least(lower, 10.0)
        lower.locator_params(axis="y", nbins=4)
        lower.set_ylabel("phase shift (deg)")
        design = "no design frequency" if match.hertz is None else f"designed for {match.hertz / 1e6:.4g} MHz"
        heading(
            upper, f"{short_name(match)}, {view.ends}".capitalize(), f"place {shown + 1} of {len(view.ways)}; {design}"
        )
        legend_below(figure, 3)
    return figure


def run_picture(view: Overview, sweep: LengthSweep) -> Figure:
    """Draw the loss of a run of cable between ends left as they are against its length, in the middle of each band."""
    below = 0.2 * -(-len(sweep.bands) // 3) + 0.1
    height = 4.0 + below
    figure = new_figure(5.0, height, bottom=(below + 0.5) / height)
    with styled():
        axes = figure.add_subplot()
        for number, name in enumerate(sweep.bands):
            look: Any = {**band_look(number), "markersize": 4.5, "markevery": (3 * number, 30)}
            axes.plot(sweep.metres, sweep.loss[number], linewidth=1.5, label=name, **look)
        axes.axvline(sweep.present, color=INK, linewidth=1.2, label="_now")
        mark_place(axes, max(sweep.present, 0.05 * sweep.metres[-1]), f"now {sweep.present:g} m")
        axes.set_xlim(0, sweep.metres[-1])
        axes.set_ylim(bottom=0)
        axes.set_xlabel("length of the run (m)")
        axes.set_ylabel("loss (dB)")
        heading(axes, f"Left as it is over {sweep.cable}", f"{view.ends}; middle of each band")
        legend_below(figure, 3)
    return figure


def short_name(match: Match) -> str:
    """Return the name of a way without what it is made of."""
    return match.name.split(",")[0]


# --- what the pictures share ------------------------------------------------------------------------------


def _way_look(kind: str, strong: bool) -> dict[str, Any]:
    """Return how a way is drawn: its own colour, dashes and marker whatever its place."""
    number = KINDS.index(kind)
    size = {"linewidth": 2.8, "markersize": 7, "zorder": 3} if strong else {"linewidth": 1.1, "markersize": 4.5}
    return {**band_look(number), **size, "markevery": (3 * number, 24)}


def _pair_of_axes(height: float, below: float) -> tuple[Figure, Any]:
    """Return a figure with two axes, one above the other; `below` is the room for the legend [inch]."""
    whole = height + below + _GAP
    tall = height - 0.5 - 0.48
    figure = new_figure(5.0, whole, bottom=(below + 0.5) / whole)
    figure.subplots_adjust(left=0.15, top=1 - 0.48 / whole, hspace=_GAP / (tall / 2))
    with styled():
        return figure, figure.subplots(2, 1)


def _x(view: Overview) -> Any:
    # against the logarithm: the library's own log axis takes a fifth more time to draw
    return np.log10(view.hertz / 1e6)


def _frequency_axes(view: Overview, upper: Axes, lower: Axes) -> None:
    """Set the frequency axis of both axes, and shade the bands, with their names between the two."""
    ends = view.hertz[0] / 1e6, view.hertz[-1] / 1e6
    ticks = _ticks(*ends)
    lower.set_xticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    # drawn as lines: ticks cost more than all the curves
    upper.set_xticks([])
    upper.vlines(np.log10(ticks), 0, 1, FAINT, linewidth=0.6, zorder=0.5, transform=upper.get_xaxis_transform())
    for axes in (upper, lower):
        axes.set_xlim(*np.log10(ends))
        for name, low, high in view.edges:
            axes.axvspan(
                np.log10(low / 1e6), np.log10(high / 1e6), color=FAINT, alpha=0.5, linewidth=0, label=f"_{name}"
            )
    for name, low, high in view.edges:
        place: Any = {
            "transform": upper.get_xaxis_transform(),
            "rotation": 90,
            "ha": "center",
            "va": "top",
            "fontsize": 9,
        }
        upper.text(np.log10(low * high / 1e12) / 2, -0.02, name, **place).set_parse_math(False)
    lower.set_xlabel("frequency (MHz)")


def _ticks(low: float, high: float) -> list[float]:
    """Return round values from low to high, fewer where there are many decades."""
    decades = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    steps = (1,) if high / low > 3e3 else _STEPS if high / low > 8 else (1, 1.5, 2, 3, 4, 5, 7)
    return [value for decade in decades for step in steps if low <= (value := round(step * 10.0**decade, 9)) <= high]


def _swr(values: Any) -> Any:
    # far beyond the axis, and never infinite
    return np.log10(np.minimum(values, 10 * MOST_SWR))


def _swr_axis(axes: Axes, view: Overview, drawn: list[Any], label: str) -> None:
    """Scale by the logarithm, so that what matters near 1 is seen beside what is far off."""
    limit, here = view.wanted.limits[0], _within_bands(view)
    highest = max(float(values[here].max()) for values in drawn)
    top = min(max(highest, limit), MOST_SWR) ** 1.2
    ticks = next(ticks for most, ticks in _SWR_TICKS if top < most)
    axes.set_yticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    axes.set_ylim(0, np.log10(top))
    axes.axhline(np.log10(limit), color=INK, linewidth=1.2, linestyle=(0, (6, 3)), label="_limit")
    axes.set_ylabel(label)


def _loss_axis(axes: Axes, view: Overview, drawn: list[Any]) -> None:
    limit, here = view.wanted.limits[1], _within_bands(view)
    low = min(limit, *(float(values[here].min()) for values in drawn)) / 1.3
    high = min(max(limit, *(float(values[here].max()) for values in drawn)), MOST_LOSS) * 1.4
    ticks = _ticks(low, high)
    axes.set_yticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    axes.set_ylim(np.log10(low), np.log10(high))
    axes.axhline(np.log10(limit), color=INK, linewidth=1.2, linestyle=(0, (6, 3)), label="_limit")
    axes.set_ylabel("loss (dB)")


def _at_least(axes: Axes, span: float) -> None:
    """Keep the scale from blowing up what hardly changes."""
    low, high = axes.get_ylim()
    if high - low < span:
        axes.set_ylim((low + high - span) / 2, (low + high + span) / 2)


def _within_bands(view: Overview) -> Any:
    """Return which frequencies lie in a band, at least the nearest to one that falls between two."""
    inside = np.zeros(view.hertz.shape, dtype=bool)
    for _, low, high in view.edges:
        found = (view.hertz >= low) & (view.hertz <= high)
        inside |= found if found.any() else np.abs(view.hertz - low) == np.abs(view.hertz - low).min()
    return inside
