"""Sorted parts: every value over its set, and those that are left over."""

import math

import numpy as np

from workbook.bench.matched_sets import MatchedSets
from workbook.figures.chart import WIDE, Axis, Chart, Curve, Plot, Strokes, around, axis_at, round_step
from workbook.figures.style import FAINT, INK, look
from workbook.units import Quantity

SPREAD = "least to greatest"


def sets_chart(found: MatchedSets, values: dict[str, Quantity | tuple[Quantity, ...]]) -> Chart:
    """Return the first value of every part, over the number of its set; spares stand behind the last."""
    first = {label: value[0] if isinstance(value, tuple) else value for label, value in values.items()}
    unit = next(iter(first.values())).units
    plain = {label: float(value.m_as(unit)) for label, value in first.items()}
    columns = [*found.sets, *([found.spares] if found.spares else [])]
    x = np.array([number for number, labels in enumerate(columns, 1) for _ in labels], dtype=float)
    y = np.array([plain[label] for labels in columns for label in labels])
    spare = x > len(found.sets)
    low = np.array([min(plain[label] for label in labels) for labels in found.sets])
    high = np.array([max(plain[label] for label in labels) for labels in found.sets])
    places = np.arange(1.0, len(found.sets) + 1)
    colour, _, _ = look(0)
    parts = (
        Curve("part of a set", x[~spare], y[~spare], colour, 0, marker="o", size=5.0),
        *((Curve("left over", x[spare], y[spare], INK, 0, marker="x", size=6.0),) if spare.any() else ()),
    )
    items = (Strokes(SPREAD, places, low, high, FAINT, 5.0), *parts)
    explained = (Curve(SPREAD, np.zeros(0), np.zeros(0), FAINT, 5.0), *parts)
    step = max(1, len(columns) // 10)
    across = axis_at("set", 0.5, len(columns) + 0.5, [*range(1, len(columns) + 1, step)])
    plots = (Plot(across, _axis(y, f"{unit:~P}"), items, 216),)
    return Chart("Parts by set", f"{len(plain)} parts", plots, WIDE, 2, explained)


def _axis(values: np.ndarray, unit: str) -> Axis:
    low, high = around([values])
    step = round_step((high - low) / 5)
    ticks = [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
    return axis_at(f"value ({unit})" if unit else "value", low, high, ticks)
