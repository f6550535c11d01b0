"""Cables for long runs: loss and noise margin of each on every band, with the margin wanted."""

import numpy as np

from workbook.chain.cable_comparison import CableComparison, CableRow
from workbook.figures.chart import WIDE, Axis, Chart, Curve, Item, Plot, Rule, around, axis_at, linear_axis
from workbook.figures.style import FAINT, INK, LIMIT, look
from workbook.units import FloatArray

_NOWHERE = np.zeros(0)


def long_runs_picture(found: CableComparison, chosen: str) -> Chart:
    """Return loss and margin of every cable on every band; the chosen, the best and the runner-up are named.

    Parameters
    ----------
    found
        The comparison.
    chosen
        Name of the cable that the design has.
    """
    best = found.recommendation
    said = {chosen: "design"}
    for row, words in ((best.best, "cheapest"), (best.runner_up, "runner-up")):
        if row is not None:
            said[row.cable.name] = ", ".join(filter(None, (said.get(row.cable.name), words)))
    named = [row for row in found.rows if row.cable.name in said]
    others = [row for row in found.rows if row.cable.name not in said]
    bands = [loss.band for loss in found.rows[0].bands]
    places = np.arange(len(bands), dtype=float)
    across = Axis("band", -0.4, len(bands) - 0.6, tuple(zip(places.tolist(), bands, strict=True)))
    losses, margins = list[Item](), list[Item]()
    for row in others:
        losses.append(_curve("", places, _loss(row), FAINT, 1.0, "", 4))
        margins.append(_curve("", places, _margin(row), FAINT, 1.0, "", 4))
    for number, row in enumerate(named):
        colour, _, marker = look(number)
        label = f"{row.cable.name}: {said[row.cable.name]}"
        losses.append(_curve("", places, _loss(row), colour, 2.2, marker, 7))
        margins.append(_curve(label, places, _margin(row), colour, 2.2, marker, 7))
    wanted = float(found.wanted_margin.m_as("dB"))
    margins.append(Rule(f"wanted: {wanted:g} dB", wanted, INK, 1.4, LIMIT, level=True, legend=True))
    lost = np.concatenate([_loss(row) for row in found.rows])
    low, high = max(float(lost.min()) / 1.3, 1e-3), max(float(lost.max()) * 1.3, 2e-3)
    ticks = [step * 10.0**decade for decade in range(-3, 4) for step in (1, 2, 5)]
    up = axis_at("loss (dB)", low, high, ticks, log=True)
    reached = around([*(_margin(row) for row in found.rows), np.array([wanted])], least=5.0)
    legend: tuple[Item, ...] = tuple(item for item in margins if item.legend)
    if others:
        legend = (*legend, Curve("other cables", _NOWHERE, _NOWHERE, FAINT, 1.0))
    return Chart(
        "Loss, and margin over internal noise",
        "runs together, at each cable's greatest loss",
        (
            Plot(across, up, tuple(losses), 100),
            Plot(across, linear_axis("margin (dB)", *reached), tuple(margins), 116),
        ),
        WIDE,
        columns=1,
        explained=legend,
    )


def _curve(label: str, x: FloatArray, y: FloatArray, colour: str, width: float, marker: str, size: float) -> Curve:
    return Curve(label, x, y, colour, width, marker=marker or "o", size=size, legend=bool(label))


def _loss(row: CableRow) -> FloatArray:
    return np.array([float(loss.greatest.m_as("dB")) for loss in row.bands])


def _margin(row: CableRow) -> FloatArray:
    return np.array([float(loss.worst_margin.margin.m_as("dB")) for loss in row.bands])
