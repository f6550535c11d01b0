"""What one direction does off its design frequencies, and the phase that its lines have there."""

import numpy as np

from workbook.figures.bands import mark_place
from workbook.figures.chart import TALL, WIDE, Chart, Curve, Item, Note, Plot, Rule, around, linear_axis
from workbook.figures.style import FAINT, look
from workbook.plan.stages import AnyPlan
from workbook.plan.sweeps import FrequencySweep
from workbook.plan.taps import tap_delays

DEEPEST = 40.0
"""Front-to-back beyond this [dB] is drawn here: no array is built that exactly."""
_LABEL = "frequency (MHz)"


def frequency_picture(sweep: FrequencySweep, plan: AnyPlan, title: str, state: str) -> Chart:
    """Return RDF and front-to-back of one direction against frequency, marked where the bands of the design are."""
    megahertz = sweep.hertz / 1e6
    own = np.flatnonzero(np.isin(sweep.hertz, [band.frequency_hz for band in plan.bands])).tolist()
    curves = []
    for number, (name, decibels, width) in enumerate(
        (("RDF", sweep.rdf_db, 2.2), ("front-to-back", sweep.front_to_back_db, 1.3))
    ):
        colour, dashes, marker = look(number)
        level = np.minimum(decibels, DEEPEST)
        curves.append(Curve(name, megahertz, level, colour, width, dashes, marker, 7, every=own))
    across = linear_axis(_LABEL, megahertz[0], megahertz[-1])
    up = linear_axis("dB", *around([[0.0], *(curve.y for curve in curves)]))
    return Chart(title, state, (Plot(across, up, (*_marks(plan), *curves), TALL),), WIDE)


def phase_picture(plan: AnyPlan, title: str, state: str) -> Chart:
    """Return the lag of every line against frequency: a line's delay is the same on every band, its phase is not."""
    highest = 1.2 * max(band.frequency_hz for band in plan.bands) / 1e6
    own = np.sort([band.frequency_hz for band in plan.bands]) / 1e6
    megahertz, items = np.concatenate(([0.0], own, [highest])), list[Item]()
    for number, (label, delay) in enumerate(tap_delays(plan)):
        colour, dashes, marker = look(number)
        lag, every = 360e6 * megahertz * delay, slice(1, -1)
        curve = Curve(f"line {label}", megahertz, lag, colour, 1.6, dashes, marker, 6, every=every, legend=False)
        items += [curve, Note(label, highest, float(lag[-1]), (4, -3.5), "start", size=10)]
    top = max((float(item.y[-1]) for item in items if isinstance(item, Curve)), default=1.0)
    across = linear_axis(_LABEL, 0, 1.06 * highest)
    up = linear_axis("phase behind the direct path (deg)", 0, 1.05 * top)
    return Chart(title, state, (Plot(across, up, (*_marks(plan), *items), TALL),), WIDE)


def _marks(plan: AnyPlan) -> tuple[Item, ...]:
    """Return the bands as marked places, and the line of zero."""
    bands = [(band.name, band.frequency_hz / 1e6) for band in plan.bands]
    rules = (Rule(name, megahertz, FAINT, 1.4) for name, megahertz in bands)
    names = (mark_place(megahertz, name) for name, megahertz in bands)
    return (*rules, Rule("zero", 0.0, width=0.8, level=True), *names)
