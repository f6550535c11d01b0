"""The data of a chart, by the labels of its items."""

import numpy as np

from workbook.figures.chart import Chart, Curve, Item, Note


def items(chart: Chart, kind: type, plot: int = 0) -> dict[str, Item]:
    """Items of a kind by their labels."""
    return {item.label: item for item in chart.plots[plot].items if isinstance(item, kind)}


def curves(chart: Chart, plot: int = 0) -> dict[str, Curve]:
    return items(chart, Curve, plot)


def drawn(chart: Chart, plot: int = 0) -> dict[str, np.ndarray]:
    """Points of the curves by their labels: x and y."""
    return {label: np.array([curve.x, curve.y]) for label, curve in curves(chart, plot).items()}


def words(chart: Chart, plot: int = 0) -> set[str]:
    """Words of the notes."""
    return {item.words for item in chart.plots[plot].items if isinstance(item, Note)}
