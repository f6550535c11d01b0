"""Loss against frequency of a few cables of one length, with every published point on its curve."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import FixedFormatter, FixedLocator, NullLocator

from workbook.bands import band
from workbook.figures.bands import legend_below
from workbook.figures.style import FAINT, INK, LOOKS, heading, new_figure, styled
from workbook.formatting import both_lengths, impedance_text
from workbook.line.lengths import total_loss
from workbook.line.losses import CableLoss, LossComparison, matched_loss, matched_range, published_points
from workbook.units import Quantity

MARKERS = {"standard maximum": "v", "typical": "o", "measured": "s"}
LOW_HZ, HIGH_HZ = 0.5e6, 1e9

_CURVE = Quantity(np.geomspace(LOW_HZ, HIGH_HZ, 120), "Hz")
# the range is smooth and costly, so fewer points carry it
_SPAN = Quantity(np.geomspace(LOW_HZ, HIGH_HZ, 40), "Hz")
# longest name, in letters, that leaves room for a second column in the legend
_SHORT_NAME = 22
_X_TICKS = (1, 3, 10, 30, 100, 300, 1000)


def loss_curves(comparison: LossComparison) -> Figure:
    """Draw the matched loss of every cable (thick), its loss with the load (thin), its range and its points."""
    legend = [*_named(comparison), *_explained(comparison)]
    columns = 2 if max(len(one.cable.name) for one in comparison.chosen) <= _SHORT_NAME else 1
    # in inches: the legend grows with the cables, the axes stay as they are
    below = 0.2 * -(-len(legend) // columns) + 0.1
    height = 4.0 + below
    figure = new_figure(4.6, height, bottom=(below + 0.5) / height)
    figure.subplots_adjust(top=1 - 0.48 / height, left=0.13)
    with styled():
        axes = figure.add_subplot()
        drawn = [_cable(axes, one, comparison, *LOOKS[number]) for number, one in enumerate(comparison.chosen)]
        _scales(axes, np.concatenate(drawn))
        _mark(axes, comparison.band)
        heading(
            axes,
            f"Loss of {both_lengths(comparison.length.m_as('m'))}",
            f"load {impedance_text(comparison.load.m_as('ohm'))}; marked: {comparison.band}",
        )
        legend_below(figure, columns, legend)
    return figure


def _cable(axes: Axes, one: CableLoss, comparison: LossComparison, colour: str, dashes: Any) -> Any:
    """Draw one cable; return all losses that were drawn [dB]."""
    name, length, megahertz = one.cable.name, comparison.length, _CURVE.m_as("MHz")
    matched = matched_loss(one.cable, length, _CURVE).m_as("dB")
    total = total_loss(one.cable, length, _CURVE, comparison.load).m_as("dB")
    axes.plot(megahertz, matched, color=colour, linestyle=dashes, linewidth=2.0, label=f"{name}, matched")
    axes.plot(megahertz, total, color=colour, linestyle=dashes, linewidth=0.9, label=f"{name}, with the load")
    drawn = [matched, total]
    if one.cable.is_clad:
        least, _, greatest = (part.m_as("dB") for part in matched_range(one.cable, length, _SPAN))
        axes.fill_between(_SPAN.m_as("MHz"), least, greatest, color=colour, alpha=0.16, linewidth=0)
        drawn += [least, greatest]
    return np.concatenate([*drawn, *_points(axes, one, comparison, colour)])


def _points(axes: Axes, one: CableLoss, comparison: LossComparison, colour: str) -> Iterator[Any]:
    """Draw the published points over the length: shape by status, hollow from memory, crossed where not followed."""
    name, metres = one.cable.name, comparison.length.m_as("m")
    for kind in published_points(one.cable):
        x, y, crossed = kind.hertz / 1e6, kind.loss * metres, kind.disputed > 0
        label = f"{name}, {kind.status}{'' if kind.seen else ', from memory'}"
        look: Any = {"linestyle": "none", "color": colour, "marker": MARKERS[kind.status], "markersize": 5.5}
        axes.plot(x, y, fillstyle="full" if kind.seen else "none", label=label, **look)
        if np.any(crossed):
            look = {"linestyle": "none", "color": INK, "marker": "x", "markersize": 9, "markeredgewidth": 0.9}
            axes.plot(x[crossed], y[crossed], label=f"{label}, not followed", **look)
        yield y[(kind.hertz >= LOW_HZ) & (kind.hertz <= HIGH_HZ)]


def _scales(axes: Axes, drawn: Any) -> None:
    """Set both logarithmic scales; the ticks are placed by hand, since finding them costs more than the curves."""
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(LOW_HZ / 1e6 / 1.05, HIGH_HZ / 1e6 * 1.12)
    shown = drawn[drawn > 0]
    low, high = (shown.min() / 1.15, shown.max() * 1.15) if shown.size else (0.01, 1.0)
    axes.set_ylim(low, high)
    decades = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    steps = (1, 2, 5) if high / low < 1e3 else (1,)
    heights = [step * 10.0**decade for decade in decades for step in steps if low <= step * 10.0**decade <= high]
    for axis, ticks in ((axes.xaxis, _X_TICKS), (axes.yaxis, heights)):
        axis.set_major_locator(FixedLocator(list(ticks)))
        axis.set_major_formatter(FixedFormatter([f"{tick:g}" for tick in ticks]))
        axis.set_minor_locator(NullLocator())
    axes.set_xlabel("frequency (MHz)")
    axes.set_ylabel("loss (dB)")


def _mark(axes: Axes, name: str) -> None:
    """Mark the band of interest from edge to edge, its name at the top."""
    place = band(name)
    low, high = place.low.m_as("MHz"), place.high.m_as("MHz")
    axes.axvspan(low, high, color=FAINT, alpha=0.55, linewidth=0, label="band of interest")
    for edge in (low, high):
        axes.axvline(edge, color=INK, linewidth=0.6)
    axes.annotate(name, (high, 0.985), (4, 0), ("data", "axes fraction"), textcoords="offset points", va="top")


def _named(comparison: LossComparison) -> Iterator[Any]:
    for one, (colour, dashes) in zip(comparison.chosen, LOOKS, strict=False):
        yield Line2D([], [], color=colour, linestyle=dashes, linewidth=2.0, label=one.cable.name)


def _explained(comparison: LossComparison) -> Iterator[Any]:
    """Yield what the legend says of lines, shades and marks, and only of those that are drawn."""
    yield Line2D([], [], color=INK, linewidth=0.9, label="thin line: with the load")
    if any(one.cable.is_clad for one in comparison.chosen):
        yield Patch(color=INK, alpha=0.16, label="shaded: known claddings")
    kinds = [kind for one in comparison.chosen for kind in published_points(one.cable)]
    for status, marker in MARKERS.items():
        if any(kind.status == status for kind in kinds):
            yield _sign(marker, "full", status)
    if not all(kind.seen for kind in kinds):
        yield _sign("o", "none", "hollow: from memory")
    if any(np.any(kind.disputed) for kind in kinds):
        yield _sign("x", "full", "crossed: not followed")


def _sign(marker: str, fill: Any, label: str) -> Line2D:
    return Line2D([], [], linestyle="none", marker=marker, fillstyle=fill, markersize=5.5, color=INK, label=label)
