"""Least RDF against the two delays of *fewest delays*, round the choice that was made."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from workbook.array.search import FALL_DB
from workbook.figures.bands import legend_below
from workbook.figures.style import MAP, ON_MAP, heading, new_figure, styled
from workbook.plan.choices import DelayMap

FALLS = (-6.0, -5.0, -4.0, -3.0, -2.0, -1.5, -1.0, -0.6, -FALL_DB, 0.0)
"""Levels of the map [dB under the choice]."""


def delay_map_picture(found: DelayMap, title: str, state: str) -> Figure:
    """Draw how far the least RDF falls when the two delays are others, the chosen ones marked."""
    figure = new_figure(4.4, 4.6, bottom=0.2)
    figure.subplots_adjust(left=0.17)
    fall = np.maximum(found.least_rdf_db - found.chosen_rdf_db, FALLS[0] - 1)
    first, second = found.first_s * 1e9, found.second_s * 1e9
    with styled():
        axes = figure.add_subplot()
        axes.contourf(first, second, fall, FALLS, cmap=MAP, extend="both")
        thin = axes.contour(first, second, fall, (-3.0, -1.0), colors=ON_MAP, linewidths=0.7, linestyles="solid")
        axes.clabel(thin, fontsize=9, fmt="%g dB", colors=ON_MAP)
        axes.contour(first, second, fall, (-FALL_DB,), colors=ON_MAP, linewidths=2.2, linestyles="solid")
        cross: Any = {"marker": "P", "markersize": 10, "color": "#ffffff", "markeredgecolor": ON_MAP}
        chosen = tuple(delay * 1e9 for delay in found.chosen_s)
        label = f"chosen: {chosen[0]:.1f} and {chosen[1]:.1f} ns; thick: {FALL_DB:g} dB less"
        axes.plot(*chosen, linestyle="none", label=label, **cross)
        axes.grid(False)
        axes.set_xlabel("delay of the shorter line (ns)")
        axes.set_ylabel("delay of the longer line (ns)")
        heading(axes, title, state)
        legend_below(figure)
    return figure
