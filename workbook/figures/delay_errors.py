"""What each delay line is off by on every band, as planned and had the nominal velocity factor been used."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from workbook.figures.bands import band_look, legend_below
from workbook.figures.style import INK, THIRD, heading, new_figure, styled
from workbook.plan.lists import piece_name
from workbook.plan.pieces import DelayLine
from workbook.plan.results import Plan


def _piece(line: DelayLine) -> str:
    return f"{piece_name(line.label, line)}\n{line.delay_s * 1e9:.1f} ns"


def delay_errors(plan: Plan) -> Figure:
    """Draw the phase error of each line on each band: filled as planned, hollow by the nominal velocity factor."""
    figure = new_figure(5.4, 4.4, bottom=0.22 + 0.045 * len(plan.bands))
    with styled():
        axes = figure.add_subplot()
        places = np.arange(len(plan.delay_lines))
        for number, band in enumerate(plan.bands):
            shifted = places + 0.16 * (number - (len(plan.bands) - 1) / 2)
            rows = [line.bands[number] for line in plan.delay_lines]
            look: Any = {**band_look(number), "linestyle": "none", "markersize": 8}
            axes.plot(shifted, [row.phase_error_deg for row in rows], label=f"{band.name}, as planned", **look)
            nominal = [row.nominal_phase_error_deg for row in rows]
            axes.plot(shifted, nominal, label=f"{band.name}, by nominal", fillstyle="none", **look)
        axes.axhline(0, color=INK, linewidth=1.0)
        axes.axhspan(-plan.accept_deg, plan.accept_deg, color=THIRD, alpha=0.12, linewidth=0)
        axes.set_xticks(places, [_piece(line) for line in plan.delay_lines])
        if len(places):
            axes.set_xlim(-0.6, len(places) - 0.4)
        axes.set_ylabel("phase error (deg, positive = too long)")
        axes.set_xlabel("delay line and its delay")
        cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
        heading(axes, "Error of each delay line on every band", f"{cable}, exact on {plan.cut_band}; shaded = accepted")
        if len(plan.bands) and len(places):
            legend_below(figure)
    return figure
