"""What each delay line is off by on every band, as planned and at the printed velocity factor."""

import numpy as np

from workbook.figures.chart import WIDE, Axis, Chart, Curve, Item, Plot, Rule, Span, around, linear_axis
from workbook.figures.style import THIRD, look
from workbook.plan.pieces import DelayLine
from workbook.plan.stages import AnyPlan
from workbook.tables.cuts import piece_name

APART = 0.16
"""Distance of the marks of two bands of one line; lines lie 1 apart."""


def delay_errors(plan: AnyPlan) -> Chart:
    """Return the phase error of each line on each band: filled as planned, hollow at the printed velocity factor."""
    places, items = np.arange(len(plan.delay_lines), dtype=float), list[Item]()
    for number, band in enumerate(plan.bands):
        shifted = places + APART * (number - (len(plan.bands) - 1) / 2)
        rows = [line.bands[number] for line in plan.delay_lines]
        colour, _, marker = look(number)
        for hollow, words, errors in (
            (False, "as planned", [row.phase_error_deg for row in rows]),
            (True, "at printed velocity factor", [row.nominal_phase_error_deg for row in rows]),
        ):
            label = f"{band.name}, {words}"
            items.append(Curve(label, shifted, np.array(errors), colour, 0, marker=marker, size=8, hollow=hollow))
    accept = plan.accept_deg
    limits = around([[-accept, accept], *(item.y for item in items if isinstance(item, Curve))])
    drawn: tuple[Item, ...] = (
        Span("accepted", -accept, accept, THIRD, 0.12, level=True),
        Rule("zero", 0.0, level=True),
        *items,
    )
    ticks = tuple((float(place), _piece(line)) for place, line in zip(places, plan.delay_lines, strict=True))
    across = Axis("delay line and its delay", -0.6, max(len(places) - 0.4, 0.6), ticks)
    cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
    return Chart(
        "Error of each delay line on every band",
        f"{cable}, exact on {plan.cut_band}; shaded = accepted",
        (Plot(across, linear_axis("phase error (deg, + is later)", *limits), drawn, 150),),
        WIDE,
        explained=None if len(places) else (),
        foot=48,
    )


def _piece(line: DelayLine) -> str:
    return f"{piece_name(line.label, line)}\n{line.delay_s * 1e9:.1f} ns"
