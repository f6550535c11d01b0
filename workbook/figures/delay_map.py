"""Least RDF against the two delays of *fewest delays*, round the choice that was made."""

import numpy as np

from workbook.array.search import FALL_DB
from workbook.figures import contours
from workbook.figures.chart import WIDE, Chart, Item, Plot, linear_axis
from workbook.figures.pattern import cross
from workbook.plan.delay_map import DelayMap

FALLS = (-6.0, -5.0, -4.0, -3.0, -2.0, -1.5, -1.0, -0.6, -FALL_DB, 0.0)
"""Levels of the map [dB under the choice]."""


def delay_map_picture(found: DelayMap, title: str, state: str) -> Chart:
    """Return how far the least RDF falls when the two delays are others, the chosen ones marked."""
    fall = np.maximum(found.least_rdf_db - found.chosen_rdf_db, FALLS[0] - 1)
    first, second = found.first_s * 1e9, found.second_s * 1e9
    x, y = chosen = found.chosen_s[0] * 1e9, found.chosen_s[1] * 1e9
    items: tuple[Item, ...] = (
        contours.filled("fall", first, second, fall, FALLS),
        *contours.lines(first, second, fall, (-3.0, -1.0), 0.7, "{:g} dB"),
        *contours.lines(first, second, fall, (-FALL_DB,), 2.2),
        cross(f"chosen: {x:.1f} and {y:.1f} ns; thick: {FALL_DB:g} dB less", *chosen),
    )
    axes = (
        linear_axis("delay of the shorter line (ns)", first[0], first[-1], 6),
        linear_axis("delay of the longer line (ns)", second[0], second[-1]),
    )
    return Chart(title, state, (Plot(*axes, items, 150),), WIDE)
