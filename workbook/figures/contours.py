"""Maps: levels over two axes as filled steps and lines, some of them named."""

import itertools
from collections.abc import Sequence
from typing import Any

import contourpy
import numpy as np

from workbook.figures.chart import Areas, Curve, Item, Note
from workbook.figures.style import MAP, ON_MAP
from workbook.units import FloatArray


def filled(label: str, x: FloatArray, y: FloatArray, level: FloatArray, steps: Sequence[float]) -> Areas:
    """Return the areas between steps, and below the lowest and above the highest, each in its colour."""
    generator: Any = contourpy.contour_generator(x, y, level, fill_type="OuterOffset")
    edges = (-np.inf, *steps, np.inf)
    outlines = []
    for number, (low, high) in enumerate(itertools.pairwise(edges)):
        lines = [
            (points[first:last, 0], points[first:last, 1])
            for points, offsets in zip(*generator.filled(low, high), strict=True)
            for first, last in itertools.pairwise(offsets)
        ]
        outlines.append((MAP[round(number * (len(MAP) - 1) / (len(steps)))], lines))
    return Areas(label, tuple(outlines))


def lines(
    x: FloatArray,
    y: FloatArray,
    level: FloatArray,
    steps: Sequence[float],
    width: float,
    named: str = "",
) -> list[Item]:
    """Return a line for each step; `named` writes the step on it, such as `{:g} dB`, where the line is long enough."""
    generator: Any = contourpy.contour_generator(x, y, level, line_type="Separate")
    items: list[Item] = []
    extent = max(np.ptp(x), np.ptp(y))
    for step in steps:
        for points in generator.lines(step):
            items.append(Curve(f"{step:g} dB", points[:, 0], points[:, 1], ON_MAP, width, legend=False))
            if named and np.ptp(points, axis=0).max() > 0.15 * extent:
                east, north = points[_inmost(points, x, y)].tolist()
                items.append(Note(named.format(step), east, north, (0, -3.2), colour=ON_MAP))
    return items


def _inmost(points: FloatArray, x: FloatArray, y: FloatArray) -> int:
    """Return the point that lies farthest inside the map, where words have room."""
    middle = np.array([(x.min() + x.max()) / 2, (y.min() + y.max()) / 2])
    return int(np.argmin(np.abs((points - middle) / (np.ptp(x), np.ptp(y))).max(axis=1)))
