"""RDF and white-noise gain against spacing on one pair of axes, so that "why not closer?" answers itself."""

import numpy as np

from workbook.figures.bands import mark_place
from workbook.figures.chart import TALL, WIDE, Axis, Chart, Curve, Item, Plot, Rule, around, length_axis, linear_axis
from workbook.figures.style import INK, look
from workbook.formatting import LengthUnits
from workbook.plan.sweeps import SpacingSweep

LOWEST = -40.0
"""White-noise gain below this [dB] is not drawn: no such array is built."""


def spacing_picture(sweep: SpacingSweep, title: str, state: str, units: LengthUnits = LengthUnits.BOTH) -> Chart:
    """Return RDF (thick) and white-noise gain (thin, hollow marks) of one direction on every band; mark the present."""
    items, drawn = list[Item](), [*sweep.rdf_db.values(), *sweep.white_noise_gain_db.values()]
    for number, (name, rdf) in enumerate(sweep.rdf_db.items()):
        colour, dashes, marker = look(number)
        every, white = slice(number, None, 5), sweep.white_noise_gain_db[name]
        items += [
            Curve(f"RDF on {name}", sweep.spacing_m, rdf, colour, 2.2, dashes, marker, 5, every=every),
            Curve(f"white-noise gain on {name}", sweep.spacing_m, white, colour, 1.1, dashes, marker, 5, True, every),
        ]
    items += [
        Rule("now", sweep.present_m, width=1.2),
        mark_place(sweep.present_m, f"now {units.alone.about(sweep.present_m, 1)}", below=True),
    ]
    low, high = around(drawn, margin=0.0)
    across = length_axis("spacing of the nearest two elements", sweep.spacing_m[0], sweep.spacing_m[-1], units)
    plot = Plot(across, _decibels(max(LOWEST, low - 1), high + 1), tuple(items), TALL)
    return Chart(title, state, (plot,), WIDE, explained=_explained(sweep))


def _decibels(low: float, high: float) -> Axis:
    return linear_axis("dB", low, max(high, low + 1))


def _explained(sweep: SpacingSweep) -> tuple[Item, ...]:
    """Return what the legend says: the bands, and which of a band's two lines is which."""
    nowhere = np.zeros(0)
    bands = (Curve(name, nowhere, nowhere, *_line(number)) for number, name in enumerate(sweep.rdf_db))
    thick = Curve("thick: RDF", nowhere, nowhere, INK, 2.2)
    return (*bands, thick, Curve("thin: white noise", nowhere, nowhere, INK, 1.1, marker="o", hollow=True))


def _line(number: int) -> tuple[str, float, tuple[float, ...], str]:
    colour, dashes, marker = look(number)
    return colour, 1.5, dashes, marker
