"""What each delay line is off by on every band, as planned and had the nominal velocity factor been used."""

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from workbook.figures.style import INK, SERIES, heading, new_figure, styled
from workbook.plan.results import Plan


def _tick(plan: Plan, number: int) -> str:
    """Name a line below the axis; with many of them the delays would run into each other."""
    line = plan.delay_lines[number]
    return f"{line.label}\n{line.delay_s * 1e9:.1f} ns" if len(plan.delay_lines) <= 8 else line.label


def delay_errors(plan: Plan) -> Figure:
    """Draw the phase error of each line on each band: filled as planned, hollow by the nominal velocity factor."""
    figure = new_figure(5.4, 4.4, bottom=0.31)
    with styled():
        axes = figure.add_subplot()
        places = np.arange(len(plan.delay_lines))
        for number, band in enumerate(plan.bands):
            colour, marker = SERIES[number % len(SERIES)]
            shifted = places + 0.16 * (number - (len(plan.bands) - 1) / 2)
            rows = [line.bands[number] for line in plan.delay_lines]
            look: Any = {"linestyle": "none", "marker": marker, "markersize": 8, "color": colour}
            axes.plot(shifted, [row.phase_error_deg for row in rows], label=f"{band.name}, as planned", **look)
            nominal = [row.nominal_phase_error_deg for row in rows]
            axes.plot(shifted, nominal, label=f"{band.name}, by nominal", fillstyle="none", **look)
        axes.axhline(0, color=INK, linewidth=1.0)
        axes.axhspan(-plan.accept_deg, plan.accept_deg, color=SERIES[2][0], alpha=0.12, linewidth=0)
        axes.set_xticks(places, [_tick(plan, number) for number in range(len(places))])
        if len(places):
            axes.set_xlim(-0.6, len(places) - 0.4)
        axes.set_ylabel("phase error (deg, positive = too long)")
        axes.set_xlabel("delay line and its delay")
        cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
        heading(axes, "Error of each delay line on every band", f"{cable}, exact on {plan.cut_band}; shaded = accepted")
        if len(plan.bands) and len(places):
            figure.legend(loc="lower center", ncols=2)
    return figure
