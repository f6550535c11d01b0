"""Matches over frequency: all of them on one picture, one of them in detail, and a run of cable without a match."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.figures.bands import band_look, legend_below, mark_place
from workbook.figures.style import FAINT, FIRST, INK, SECOND, THIRD, heading, new_figure, styled
from workbook.matching.candidates import FAMILIES, Comparison
from workbook.matching.direct import LengthSweep

MOST_SWR, LEAST_LOSS, MOST_LOSS = 10.0, 0.01, 100.0
"""An SWR or loss beyond is not drawn; a smaller loss [dB] is drawn at the lower edge."""

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


def overlay(found: Comparison, shown: int) -> Figure:
    """Draw SWR at the source and loss of every way against frequency; the one at the place `shown` is drawn strong."""
    below = 0.2 * -(-len(found.ranked) // 2) + 0.1
    figure, (upper, lower) = _pair_of_axes(4.8, below)
    decibels = [np.maximum(response.insertion_loss, LEAST_LOSS) for response in found.responses]
    with styled():
        for number, (candidate, response) in enumerate(zip(found.ranked, found.responses, strict=True)):
            look = _look_of(candidate.method.family, strong=number == shown)
            label = f"{number + 1} {candidate.short_name}"
            upper.plot(_x(found), _swr(response.swr_in), label=label, **look)
            lower.plot(_x(found), np.log10(decibels[number]), label=f"_{label}", **look)
        _frequency_axes(found, upper, lower)
        _swr_axis(upper, found, [response.swr_in for response in found.responses], "SWR at the source")
        _loss_axis(lower, found, decibels)
        strong = f"strong: {found.ranked[shown].short_name}"
        heading(upper, f"{found.wanted.description}: {len(found.ranked)} ways", f"{strong}; dashed: limits")
        legend_below(figure)
    return figure


def one_way(found: Comparison, shown: int) -> Figure:
    """Draw SWR at both ends and the phase shift of one way against frequency."""
    candidate, response = found.ranked[shown], found.responses[shown]
    figure, (upper, lower) = _pair_of_axes(4.2, 0.3)
    with styled():
        marks: Any = {"markersize": 5, "markevery": 20}
        upper.plot(
            _x(found), _swr(response.swr_in), color=FIRST, linewidth=2, marker="o", label="at the source", **marks
        )
        look: Any = {**marks, "markevery": (10, 20), "marker": "s", "linestyle": "--"}
        upper.plot(_x(found), _swr(response.swr_out), color=SECOND, linewidth=1.6, label="at the load", **look)
        lower.plot(_x(found), response.phase_shift, color=THIRD, linewidth=2, marker="^", label="phase shift", **marks)
        _frequency_axes(found, upper, lower)
        _swr_axis(upper, found, [response.swr_in, response.swr_out], "SWR")
        _at_least(lower, 10.0)
        lower.locator_params(axis="y", nbins=4)
        lower.set_ylabel("phase shift (deg)")
        hertz = candidate.match.hertz
        design = "no design frequency" if hertz is None else f"designed for {hertz / 1e6:.4g} MHz"
        heading(
            upper,
            f"{candidate.short_name}, {found.wanted.description}".capitalize(),
            f"place {shown + 1} of {len(found.ranked)}; {design}",
        )
        legend_below(figure, 3)
    return figure


def run_picture(ends: str, sweep: LengthSweep) -> Figure:
    """Draw the loss of a run of cable between two ends against its length, in the middle of each band."""
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
        heading(axes, f"No match: a run of {sweep.cable}", f"{ends}; middle of each band")
        legend_below(figure, 3)
    return figure


# --- what the pictures share ------------------------------------------------------------------------------


def _look_of(family: str, strong: bool) -> dict[str, Any]:
    """Return how a way is drawn: its own colour, dashes and marker whatever its place."""
    number = FAMILIES.index(family)
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


def _x(found: Comparison) -> Any:
    # against the logarithm: the library's own log axis takes a fifth more time to draw
    return np.log10(found.hertz / 1e6)


def _frequency_axes(found: Comparison, upper: Axes, lower: Axes) -> None:
    """Set the frequency axis of both axes, and shade the bands, with their names between the two."""
    ends = found.hertz[0] / 1e6, found.hertz[-1] / 1e6
    ticks = _ticks(*ends)
    lower.set_xticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    # drawn as lines: ticks cost more than all the curves
    upper.set_xticks([])
    upper.vlines(np.log10(ticks), 0, 1, FAINT, linewidth=0.6, zorder=0.5, transform=upper.get_xaxis_transform())
    for axes in (upper, lower):
        axes.set_xlim(*np.log10(ends))
        for name, low, high in found.wanted.edges:
            axes.axvspan(
                np.log10(low / 1e6), np.log10(high / 1e6), color=FAINT, alpha=0.5, linewidth=0, label=f"_{name}"
            )
    for name, low, high in found.wanted.edges:
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


def _swr_axis(axes: Axes, found: Comparison, drawn: list[Any], label: str) -> None:
    """Scale by the logarithm, so that what matters near 1 is seen beside what is far off."""
    limit, here = found.wanted.limits[0], _within_bands(found)
    highest = max(float(values[here].max()) for values in drawn)
    top = min(max(highest, limit), MOST_SWR) ** 1.2
    ticks = next(ticks for most, ticks in _SWR_TICKS if top < most)
    axes.set_yticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    axes.set_ylim(0, np.log10(top))
    axes.axhline(np.log10(limit), color=INK, linewidth=1.2, linestyle=(0, (6, 3)), label="_limit")
    axes.set_ylabel(label)


def _loss_axis(axes: Axes, found: Comparison, drawn: list[Any]) -> None:
    limit, here = found.wanted.limits[1], _within_bands(found)
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


def _within_bands(found: Comparison) -> Any:
    """Return which frequencies lie in a band, at least the nearest to one that falls between two."""
    inside = np.zeros(found.hertz.shape, dtype=bool)
    for _, low, high in found.wanted.edges:
        band = (found.hertz >= low) & (found.hertz <= high)
        inside |= band if band.any() else np.abs(found.hertz - low) == np.abs(found.hertz - low).min()
    return inside
