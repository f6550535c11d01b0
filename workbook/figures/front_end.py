"""The element front end against frequency: response, and the phase between elements whose chokes differ."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from workbook.figures.chart import WIDE, Chart, Curve, Fill, Item, Note, Plot, Rule, axis_at, linear_axis
from workbook.figures.style import FAINT, FIRST, FOURTH, LIMIT, SECOND
from workbook.receive.front_end import FrontEnd, phase_spread
from workbook.units import Quantity

LOW_MHZ, HIGH_MHZ, POINTS = 0.5, 30.0, 400
_TICKS = (0.5, 1, 2, 3, 5, 7, 10, 14, 20, 30)
DEEPEST_DB, LEAST_DEG = -40.0, 0.05


def front_end_picture(front_end: FrontEnd, tolerance: float, bands: Mapping[str, float]) -> Chart:
    """Return response over that at 1 MHz and phase between elements, against frequency.

    The axis ends just below the frequency at which the vertical is a quarter wave high, where the formulas of a short
    vertical end.

    Parameters
    ----------
    front_end
        The front end.
    tolerance
        Tolerance of the chokes, a plain number.
    bands
        Frequencies [Hz] of the bands, marked in both.
    """
    high = min(HIGH_MHZ, 0.995 * float(front_end.vertical.quarter_wave_hertz) / 1e6)
    megahertz = np.geomspace(LOW_MHZ, high, POINTS)
    henry = front_end.choke_inductance.m_as("H") * (1 + tolerance * np.linspace(-1, 1, 9))[:, None]
    within = replace(front_end, choke_inductance=Quantity(henry, "H"))
    nominal = _decibels(front_end, megahertz)
    around = _decibels(within, megahertz)
    across = axis_at("frequency (MHz)", LOW_MHZ, high, _TICKS, log=True)
    top = max(10.0, float(np.ceil(around.max() / 10) * 10))
    marks = tuple(Rule(name, hertz / 1e6, FAINT, 1.2) for name, hertz in bands.items())
    names = tuple(Note(name, hertz / 1e6, 0.03, (3, 0), "start", share=True) for name, hertz in bands.items())
    response: list[Item] = [
        *marks,
        Fill("chokes within the tolerance", megahertz, around.min(axis=0), around.max(axis=0), FOURTH, 0.3),
        Rule("3 dB below the response at 1 MHz", -3.0, SECOND, 1.4, LIMIT, level=True, legend=True),
        Curve("nominal chokes", megahertz, nominal, FIRST, 2.2),
        *names,
    ]
    spread = phase_spread(front_end, Quantity(megahertz, "MHz"), tolerance).m_as("degree")
    between: list[Item] = [*marks, Curve("greatest phase between elements", megahertz, spread, SECOND, 2.2)]
    up = linear_axis("response (dB)", DEEPEST_DB, top)
    phase = axis_at("phase (deg)", LEAST_DEG, 180.0, (0.1, 1, 10, 100), log=True)
    return Chart(
        "Response, and phase between elements",
        f"chokes within ±{100 * tolerance:g} %",
        (Plot(across, up, tuple(response), 132), Plot(across, phase, tuple(between), 86)),
        WIDE,
        columns=1,
    )


def _decibels(front_end: FrontEnd, megahertz: np.ndarray) -> np.ndarray:
    size = np.abs(np.asarray(front_end.transfer(Quantity(megahertz, "MHz"))))
    reference = np.abs(np.asarray(front_end.transfer("1 MHz")))
    return np.asarray(20 * np.log10(size / reference))
