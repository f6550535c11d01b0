"""RDF and white-noise gain against spacing on one pair of axes, so that "why not closer?" answers itself."""

from collections.abc import Iterator

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from workbook.figures.bands import band_look, legend_below, mark_place
from workbook.figures.style import INK, heading, new_figure, styled
from workbook.plan.sweeps import SpacingSweep

LOWEST = -40.0
"""White-noise gain below this [dB] is not drawn: nobody builds there."""


def spacing_picture(sweep: SpacingSweep, title: str, state: str) -> Figure:
    """Draw RDF (thick) and white-noise gain (thin, hollow marks) of one direction on every band; mark what is now."""
    below = 0.2 * -(-(len(sweep.rdf_db) + 2) // 2) + 0.62
    figure = new_figure(4.4, 3.7 + below, bottom=below / (3.7 + below))
    figure.subplots_adjust(left=0.17)
    with styled():
        axes = figure.add_subplot()
        for number, (name, rdf) in enumerate(sweep.rdf_db.items()):
            look = {**band_look(number), "markersize": 5, "markevery": (number, 5)}
            axes.plot(sweep.spacing_m, rdf, linewidth=2.2, label=f"RDF on {name}", **look)
            white = sweep.white_noise_gain_db[name]
            label = f"white-noise gain on {name}"
            axes.plot(sweep.spacing_m, white, linewidth=1.1, fillstyle="none", label=label, **look)
        axes.axvline(sweep.present_m, color=INK, linewidth=1.2, label="_now")
        mark_place(axes, sweep.present_m, f"now {sweep.present_m:.3g} m", below=True)
        axes.set_xlim(sweep.spacing_m[0], sweep.spacing_m[-1])
        drawn = np.concatenate([*sweep.rdf_db.values(), *sweep.white_noise_gain_db.values()])
        drawn = drawn[np.isfinite(drawn)]
        if drawn.size:
            axes.set_ylim(max(LOWEST, drawn.min() - 1), drawn.max() + 1)
        axes.set_xlabel("spacing of the nearest two elements (m)")
        axes.set_ylabel("dB")
        heading(axes, title, state)
        legend_below(figure, handles=list(_explained(sweep)))
    return figure


def _explained(sweep: SpacingSweep) -> Iterator[Line2D]:
    """Yield what the legend says: the bands, and which of a band's two lines is which."""
    for number, name in enumerate(sweep.rdf_db):
        yield Line2D([], [], label=name, **band_look(number))
    yield Line2D([], [], color=INK, linewidth=2.2, label="thick: RDF")
    yield Line2D([], [], color=INK, linewidth=1.1, marker="o", fillstyle="none", label="thin: white-noise gain")
