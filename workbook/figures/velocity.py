"""Velocity factor of a cable against frequency: true, nominal, and all that its cladding may be."""

import functools
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.figures.style import FAINT, FIRST, FOURTH, INK, SECOND, heading, new_figure, styled
from workbook.line.cable import Cable
from workbook.line.piece import WARMING_KELVIN, Piece
from workbook.units import Quantity

LOWEST_MHZ, HIGHEST_MHZ, POINTS = 0.5, 50.0, 60
_TICKS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


def velocity(one: Piece, whole: Cable, state: str, coefficient: Any = None) -> Figure:
    """Draw velocity factors against frequency for a piece of cable.

    Parameters
    ----------
    one
        The piece, of its cable at one cladding; marked at its frequency, on the line of its velocity factor.
    whole
        The same cable with the whole range of its record, drawn as a band.
    state
        Second line of the title.
    coefficient
        Change of delay per kelvin; when known, a third line shows the cable 20 K warmer.
    """
    here = one.frequency.m_as("MHz")
    # a wide axis in steps, so that the range is seldom computed again
    low = LOWEST_MHZ if here >= LOWEST_MHZ else LOWEST_MHZ / 5
    high = HIGHEST_MHZ if here <= HIGHEST_MHZ else HIGHEST_MHZ * 20
    megahertz = np.geomspace(low, high, POINTS)
    # against the logarithm: the library's own log axis takes a fifth more time to draw
    places, place = np.log10(megahertz), np.log10(here)
    true = one.cable.velocity(megahertz * 1e6)
    figure = new_figure(5.4, 4.4, bottom=0.29)
    with styled():
        axes = figure.add_subplot()
        if whole.is_clad:
            least, greatest = _range(replace(whole, record=None), low, high)
            axes.fill_between(places, least, greatest, color=FOURTH, alpha=0.3, linewidth=0.8, label=_copper(whole))
        axes.plot(places, true, color=FIRST, linewidth=2.2, label="true")
        nominal = one.cable.nominal_velocity_factor
        axes.axhline(nominal, color=SECOND, linewidth=2, linestyle="--", label=f"nominal {nominal:g}")
        if coefficient is not None:
            longer = 1 + coefficient.m_as("ppm/K") * 1e-6 * WARMING_KELVIN
            axes.plot(places, true / longer, color=INK, linewidth=1.6, linestyle=":", label="true, 20 K warmer")
        axes.axvline(place, color=FAINT, linewidth=1.2, zorder=1)
        ring: Any = {"linestyle": "none", "marker": "o", "markersize": 9, "fillstyle": "none", "markeredgewidth": 2}
        axes.plot([place], [one.velocity_factor], color=INK, label=f"{one.velocity_factor:.4f} at {here:g} MHz", **ring)
        _frame(axes, low, high)
        heading(axes, f"Velocity factor of {one.cable.name}", state)
        figure.legend(loc="lower center", ncols=2)
    return figure


def _frame(axes: Axes, low: float, high: float) -> None:
    axes.set_xlim(np.log10(low), np.log10(high))
    ticks = [tick for tick in _TICKS if low <= tick <= high]
    axes.set_xticks(np.log10(ticks), [f"{tick:g}" for tick in ticks])
    axes.locator_params(axis="y", nbins=6)  # each tick costs time to place
    axes.set_xlabel("frequency (MHz)")
    axes.set_ylabel("velocity factor (light in vacuum = 1)")


def _copper(whole: Cable) -> str:
    assert whole.claddings is not None  # it is clad
    least, _, greatest = whole.claddings.m_as("um")
    return f"copper {least:g} um" if least == greatest else f"copper {least:g} to {greatest:g} um"


@functools.lru_cache(maxsize=32)
def _range(whole: Cable, low: float, high: float) -> tuple[Any, Any]:
    """Remember the range of a cable, since only another cable has another; its record is left out to be hashable."""
    megahertz = Quantity(np.geomspace(low, high, POINTS), "MHz")
    least, _, greatest = whole.span("velocity_factor", megahertz)
    return least, greatest
