"""Velocity factor of a cable against frequency: true, nominal, and all that its cladding may be."""

import functools
from dataclasses import replace

import numpy as np

from workbook.figures.chart import WIDE, Chart, Curve, Fill, Item, Plot, Rule, around, axis_at, linear_axis
from workbook.figures.style import FAINT, FIRST, FOURTH, INK, SECOND
from workbook.line.cable import Cable
from workbook.line.piece import WARMING_KELVIN, Piece
from workbook.units import FloatArray, Quantity

LOWEST_MHZ, HIGHEST_MHZ, POINTS = 0.5, 50.0, 60
_TICKS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_DASHED, _DOTTED = (4, 2), (1, 1.6)


def velocity(one: Piece, whole: Cable, state: str, coefficient: Quantity | None = None) -> Chart:
    """Return velocity factors against frequency for a piece of cable.

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
    true, nominal = one.cable.velocity(megahertz * 1e6), one.cable.nominal_velocity_factor
    items: list[Item] = [Rule("frequency", here, FAINT, 1.2)]
    seen: list[FloatArray] = [true, np.array([nominal, one.velocity_factor])]
    if whole.is_clad:
        least, greatest = _range(replace(whole, record=None), low, high)
        items.append(Fill(_copper(whole), megahertz, least, greatest, FOURTH, 0.3))
        seen += [least, greatest]
    items.append(Curve("true", megahertz, true, FIRST, 2.2))
    items.append(Rule(f"nominal {nominal:g}", nominal, SECOND, 2.0, _DASHED, level=True, legend=True))
    if coefficient is not None:
        warm = true / (1 + coefficient.m_as("ppm/K") * 1e-6 * WARMING_KELVIN)
        items.append(Curve("true, 20 K warmer", megahertz, warm, INK, 1.6, _DOTTED))
        seen.append(warm)
    label, place = f"{one.velocity_factor:.4f} at {here:g} MHz", (np.array([here]), np.array([one.velocity_factor]))
    items.append(Curve(label, *place, width=0, marker="o", size=9, hollow=True))
    across = axis_at("frequency (MHz)", low, high, _TICKS, log=True)
    up = linear_axis("velocity factor (light in vacuum = 1)", *around(seen), 6)
    return Chart(f"Velocity factor of {one.cable.name}", state, (Plot(across, up, tuple(items), 190),), WIDE)


def _copper(whole: Cable) -> str:
    assert whole.claddings is not None  # it is clad
    least, _, greatest = whole.claddings.m_as("um")
    return f"copper {least:g} um" if least == greatest else f"copper {least:g} to {greatest:g} um"


@functools.lru_cache(maxsize=32)
def _range(whole: Cable, low: float, high: float) -> tuple[FloatArray, FloatArray]:
    """Remember the range of a cable, since only another cable has another; its record is left out to be hashable."""
    megahertz = Quantity(np.geomspace(low, high, POINTS), "MHz")
    least, _, greatest = whole.span("velocity_factor", megahertz)
    return least, greatest
