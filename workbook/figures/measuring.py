"""A measured line: resistance and reactance over frequency, and reflection over distance."""

import math

import numpy as np

from workbook.bench.distance import DistanceResponse
from workbook.bench.sweeps import Sweep
from workbook.figures.chart import LEFT, WIDE, Chart, Curve, Plot, Rule, around, axis_at, length_axis, round_step
from workbook.figures.style import FAINT, LIMIT, look
from workbook.formatting import LengthUnits

CLIPPED = 500.0
"""Resistance and reactance [ohm] beyond which the picture of a sweep ends."""


def sweep_chart(sweep: Sweep, measured_hz: float | None, wanted_hz: float, computed: bool = False) -> Chart:
    """Return resistance and reactance up to twice the check frequency, with the wanted and the measured one marked.

    Parameters
    ----------
    sweep
        The sweep of one piece.
    measured_hz
        Its check frequency [Hz]; None where nothing was measured yet.
    wanted_hz
        The check frequency of the plan [Hz].
    computed
        Whether the sweep is computed from the cable's record and not measured; the title then says so.
    """
    hertz = sweep.frequency.m_as("Hz")
    port = sweep.port_impedance.m_as("ohm")
    near = hertz <= 2 * max(measured_hz or 0.0, wanted_hz)
    seen = sweep.s[near, 0, 0]
    ohms = port * (1 + seen) / np.where(seen == 1, 1e-12, 1 - seen)
    x = hertz[near] / 1e6
    resistance, reactance = (np.clip(part, -CLIPPED, CLIPPED) for part in (ohms.real, ohms.imag))
    (own, other) = (look(0), look(1))
    read = () if measured_hz is None else (Rule("measured", measured_hz / 1e6, own.colour, 1.4, legend=True),)
    items = (
        Rule("zero", 0.0, FAINT, level=True),
        Rule("wanted check frequency", wanted_hz / 1e6, dashes=LIMIT, legend=True),
        *read,
        Curve("reactance", x, reactance, own.colour, 1.8, own.dashes),
        Curve("resistance", x, resistance, other.colour, 1.4, other.dashes),
    )
    across = axis_at("frequency (MHz)", float(x[0]), float(x[-1]), _ticks(0.0, float(x[-1])))
    up = axis_at("ohm", -CLIPPED, CLIPPED, (-500, -250, 0, 250, 500))
    found = "" if measured_hz is None else f", measured {measured_hz / 1e6:.4f} MHz"
    state = f"check frequency: wanted {wanted_hz / 1e6:.4f} MHz{found}"
    title = "What a sweep should show (computed)" if computed else "What the sweep shows"
    return Chart(title, state, (Plot(across, up, items, 196),), WIDE, 1)


def _ticks(low: float, high: float) -> list[float]:
    step = round_step((high - low) / 6)
    return [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]


def distance_chart(
    response: DistanceResponse, reach: float, computed: bool = False, units: LengthUnits = LengthUnits.BOTH
) -> Chart:
    """Return the reflection over distance up to some metres, the changes of impedance marked.

    Parameters
    ----------
    response
        The reflection over distance.
    reach
        Distance [m] at which the picture ends.
    computed
        Whether the sweep is computed from the cable's record and not measured; the title then says so.
    units
        Unit of the scale.
    """
    metres = response.distance.m_as("m")
    inside = metres <= reach
    colour, dashes, _ = look(0)
    marks = tuple(
        Rule(one.kind, one.distance.m_as("m"), look(1).colour, 1.0, LIMIT)
        for one in response.reflectors
        if one.distance.m_as("m") <= reach
    )
    curve = Curve("reflection", metres[inside], 100 * response.reflection[inside], colour, 1.6, dashes)
    across = length_axis("distance", 0.0, reach, units)
    low, high = around([100 * response.reflection[inside]], least=10.0)
    up = axis_at("reflection (%)", low, high, range(-100, 101, 25))
    state = f"two faults nearer than {units.alone.about(response.resolution.m_as('m'), 1)} are seen as one"
    return Chart(
        f"Where the impedance changes{' (computed)' if computed else ''}",
        state,
        (Plot(across, up, (*marks, curve), 188),),
        WIDE,
        margins=(LEFT, 26.0),
    )
