"""Loss against frequency of a few cables of one length, with every published point on its curve."""

from collections.abc import Iterator

import numpy as np

from workbook.bands import band
from workbook.figures.chart import WIDE, Axis, Chart, Curve, Fill, Item, Note, Plot, Rule, Span, axis_at
from workbook.figures.style import FAINT, INK, look
from workbook.formatting import LengthUnits, impedance_text
from workbook.line.lengths import total_loss
from workbook.line.losses import CableLoss, LossComparison, matched_loss, matched_range, published_points
from workbook.units import FloatArray, Quantity

MARKERS = {"standard maximum": "v", "typical": "o", "measured": "s"}
LOW_HZ, HIGH_HZ = 0.5e6, 1e9

_CURVE = Quantity(np.geomspace(LOW_HZ, HIGH_HZ, 120), "Hz")
# the range is smooth and costly, so fewer points carry it
_SPAN = Quantity(np.geomspace(LOW_HZ, HIGH_HZ, 40), "Hz")
# longest name, in letters, that leaves room for a second column in the legend
_SHORT_NAME = 22
_X_TICKS = (1, 3, 10, 30, 100, 300, 1000)


_NOWHERE = np.zeros(0)


def loss_curves(comparison: LossComparison, units: LengthUnits = LengthUnits.BOTH) -> Chart:
    """Return the matched loss of every cable (thick), its loss with the load (thin), its range and its points."""
    curves = tuple(item for number, one in enumerate(comparison.chosen) for item in _cable(number, one, comparison))
    columns = 2 if max(len(one.cable.name) for one in comparison.chosen) <= _SHORT_NAME else 1
    across = axis_at("frequency (MHz)", LOW_HZ / 1e6 / 1.05, HIGH_HZ / 1e6 * 1.12, _X_TICKS, log=True)
    return Chart(
        f"Loss of {units.text(comparison.length.m_as('m'))}",
        f"load {impedance_text(comparison.load.m_as('ohm'))}; marked: {comparison.band}",
        (Plot(across, _loss_axis(curves), (*_marked(comparison.band), *curves), 216),),
        WIDE,
        columns,
        (*_named(comparison), *_explained(comparison)),
    )


def _cable(number: int, one: CableLoss, comparison: LossComparison) -> Iterator[Item]:
    """Yield what is drawn of one cable."""
    name, length, megahertz = one.cable.name, comparison.length, _CURVE.m_as("MHz")
    colour, dashes, _ = look(number)
    if one.cable.is_clad:
        least, _, greatest = (part.m_as("dB") for part in matched_range(one.cable, length, _SPAN))
        yield Fill(f"{name}, known claddings", _SPAN.m_as("MHz"), least, greatest, colour, 0.16)
    matched = matched_loss(one.cable, length, _CURVE).m_as("dB")
    total = total_loss(one.cable, length, _CURVE, comparison.load).m_as("dB")
    yield Curve(f"{name}, matched", megahertz, matched, colour, 2.0, dashes)
    yield Curve(f"{name}, with the load", megahertz, total, colour, 0.9, dashes)
    yield from _points(one, length.m_as("m"), colour)


def _points(one: CableLoss, metres: float, colour: str) -> Iterator[Curve]:
    """Yield the published points over the length: shape by status, hollow from memory, crossed where not followed."""
    for kind in published_points(one.cable):
        x, y, crossed = kind.hertz / 1e6, kind.loss * metres, kind.disputed > 0
        label = f"{one.cable.name}, {kind.status}{'' if kind.seen else ', from memory'}"
        yield Curve(label, x, y, colour, 0, marker=MARKERS[kind.status], size=5.5, hollow=not kind.seen)
        if np.any(crossed):
            yield Curve(f"{label}, not followed", x[crossed], y[crossed], INK, 0, marker="x", size=9)


def _loss_axis(items: tuple[Item, ...]) -> Axis:
    """Return the logarithmic axis on which everything between the ends of the frequency axis is seen."""
    drawn = np.concatenate([part for item in items for part in _values(item)])
    shown = drawn[drawn > 0]
    low, high = (float(shown.min()) / 1.15, float(shown.max()) * 1.15) if shown.size else (0.01, 1.0)
    decades = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    steps = (1, 2, 5) if high / low < 1e3 else (1,)
    return axis_at("loss (dB)", low, high, [step * 10.0**decade for decade in decades for step in steps], log=True)


def _values(item: Item) -> Iterator[FloatArray]:
    if isinstance(item, Fill):
        yield from (item.low, item.high)
    elif isinstance(item, Curve):
        yield item.y[(item.x >= LOW_HZ / 1e6 * 0.999) & (item.x <= HIGH_HZ / 1e6 * 1.001)]


def _marked(name: str) -> tuple[Item, ...]:
    """Return the band of interest from edge to edge, its name at the top."""
    place = band(name)
    low, high = place.low.m_as("MHz"), place.high.m_as("MHz")
    edges = (Rule(f"edge of {name}", edge, width=0.6) for edge in (low, high))
    named = Note(name, high, 0.985, (4, -9), "start", share=True, size=10)
    return (Span("band of interest", low, high, FAINT, 0.55), *edges, named)


def _named(comparison: LossComparison) -> Iterator[Item]:
    for number, one in enumerate(comparison.chosen):
        colour, dashes, _ = look(number)
        yield Curve(one.cable.name, _NOWHERE, _NOWHERE, colour, 2.0, dashes)


def _explained(comparison: LossComparison) -> Iterator[Item]:
    """Yield what the legend says of lines, shades and marks, and only of those that are drawn."""
    yield Curve("thin: with the load", _NOWHERE, _NOWHERE, INK, 0.9)
    if any(one.cable.is_clad for one in comparison.chosen):
        yield Fill("shade: claddings", _NOWHERE, _NOWHERE, _NOWHERE, INK, 0.16)
    kinds = [kind for one in comparison.chosen for kind in published_points(one.cable)]
    for status, marker in MARKERS.items():
        if any(kind.status == status for kind in kinds):
            yield _sign(marker, status)
    if not all(kind.seen for kind in kinds):
        yield _sign("o", "hollow: from memory", hollow=True)
    if any(np.any(kind.disputed) for kind in kinds):
        yield _sign("x", "cross: not followed")


def _sign(marker: str, label: str, hollow: bool = False) -> Curve:
    return Curve(label, _NOWHERE, _NOWHERE, INK, 0, marker=marker, size=5.5, hollow=hollow)
