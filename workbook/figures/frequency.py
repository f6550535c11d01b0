"""What one direction does off its design frequencies, and the phase that its lines have there."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.figures.bands import band_look, legend_below, mark_place
from workbook.figures.style import FAINT, INK, heading, new_figure, styled
from workbook.plan.results import Plan
from workbook.plan.sweeps import FrequencySweep
from workbook.plan.wiring import tap_delays

DEEPEST = 40.0
"""Front-to-back beyond this [dB] is drawn here: no array is built that exactly."""


def frequency_picture(sweep: FrequencySweep, plan: Plan, title: str, state: str) -> Figure:
    """Draw RDF and front-to-back of one direction against frequency, marked where the bands of the design are."""
    figure = new_figure(4.4, 4.4, bottom=0.21)
    figure.subplots_adjust(left=0.17)
    with styled():
        axes = figure.add_subplot()
        megahertz, own = sweep.hertz / 1e6, np.isin(sweep.hertz, [band.frequency_hz for band in plan.bands])
        rows = (("RDF", sweep.rdf_db, 2.2), ("front-to-back", sweep.front_to_back_db, 1.3))
        for number, (name, decibels, width) in enumerate(rows):
            drawn = np.minimum(decibels, DEEPEST)
            look: Any = {**band_look(number), "markersize": 7, "markevery": np.flatnonzero(own).tolist()}
            axes.plot(megahertz, drawn, linewidth=width, label=name, **look)
        _bands(axes, plan)
        axes.set_xlim(megahertz[0], megahertz[-1])
        axes.set_ylabel("dB")
        heading(axes, title, state)
        legend_below(figure)
    return figure


def phase_picture(plan: Plan, title: str, state: str) -> Figure:
    """Draw the lag of every line against frequency: a line's delay is the same on every band, its phase is not."""
    figure = new_figure(4.4, 4.4, bottom=0.14)
    figure.subplots_adjust(left=0.17)
    highest = 1.2 * max(band.frequency_hz for band in plan.bands) / 1e6
    own = np.sort([band.frequency_hz for band in plan.bands]) / 1e6
    with styled():
        axes = figure.add_subplot()
        for number, (label, delay) in enumerate(tap_delays(plan)):
            megahertz = np.concatenate(([0.0], own, [highest]))
            look: Any = {**band_look(number), "markersize": 6, "markevery": slice(1, -1)}
            axes.plot(megahertz, 360e6 * megahertz * delay, linewidth=1.6, label=f"line {label}", **look)
            axes.annotate(label, (highest, 360e6 * highest * delay), (4, 0), textcoords="offset points", va="center")
        _bands(axes, plan)
        axes.set_xlim(0, highest * 1.06)
        axes.set_ylim(bottom=0)
        axes.set_ylabel("phase behind the direct path (deg)")
        heading(axes, title, state)
    return figure


def _bands(axes: Axes, plan: Plan) -> None:
    for band in plan.bands:
        axes.axvline(band.frequency_hz / 1e6, color=FAINT, linewidth=1.4, label=f"_{band.name}")
        mark_place(axes, band.frequency_hz / 1e6, band.name)
    axes.set_xlabel("frequency (MHz)")
    axes.axhline(0, color=INK, linewidth=0.8, label="_zero")
