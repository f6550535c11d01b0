"""What known faults do: the phase error of every channel, and the pattern from above before and after."""

from collections.abc import Mapping

import numpy as np

from workbook.array.pattern_metrics import azimuth_cut
from workbook.figures.chart import TALL, WIDE, Axis, Chart, Curve, Item, Plot, Rule, Span, around, linear_axis
from workbook.figures.delay_errors import APART
from workbook.figures.disc import MARGIN, SIDE, compass, disc
from workbook.figures.pattern import compass_grid, cut_points, state_of
from workbook.figures.style import THIRD, look
from workbook.plan.stages import AnyPlan
from workbook.tolerance.report import FaultReport

AS_PLANNED, WITH_ERRORS = "as planned", "with errors"


def channel_errors_picture(plan: AnyPlan, reports: Mapping[str, FaultReport], state: str) -> Chart:
    """Return the phase error of every channel on every band; shaded is what the design accepts.

    Parameters
    ----------
    plan
        The plan.
    reports
        What the faults do to one direction, by band.
    state
        Second line of the title.
    """
    places, items = np.arange(1, len(plan.elements) + 1, dtype=float), list[Item]()
    for number, (band, report) in enumerate(reports.items()):
        shifted = places + APART * (number - (len(reports) - 1) / 2)
        colour, _, marker = look(number)
        degrees = np.where(np.isfinite(report.level.m_as("dB")), report.phase_error.m_as("degree"), np.nan)
        # a dead element has no phase, and no mark
        kept = np.isfinite(degrees)
        items.append(Curve(band, shifted[kept], degrees[kept], colour, 0, marker=marker, size=8))
    accept = plan.accept_deg
    limits = around([[-accept, accept], *(item.y for item in items if isinstance(item, Curve))])
    shaded = Span("accepted", -accept, accept, THIRD, 0.12, level=True, legend=True)
    drawn = (shaded, Rule("zero", 0.0, level=True), *items)
    across = Axis("element", 0.4, len(places) + 0.6, tuple((place, f"{place:g}") for place in places.tolist()))
    up = linear_axis("phase error (deg, + is later)", *limits)
    return Chart(f"{plan.name}: phase error of every channel", state, (Plot(across, up, drawn, TALL),), WIDE)


def before_after_picture(plan: AnyPlan, report: FaultReport, direction: str, band: str) -> Chart:
    """Return the pattern from above as planned and with errors, each below its own greatest.

    Parameters
    ----------
    plan
        The plan.
    report
        What the faults do to the direction on the band.
    direction, band
        Their names.
    """
    items = compass_grid(plan.direction(direction).azimuth_deg)
    for number, (name, fired, rdf) in enumerate(
        zip((AS_PLANNED, WITH_ERRORS), (report.before, report.after), report.rdf, strict=True)
    ):
        colour, dashes, _ = look(number)
        points = cut_points(azimuth_cut(fired), 2, compass)
        items.append(Curve(f"{name}, RDF {rdf.m_as('dB'):.2f} dB", *points, colour, 2.2 - 0.6 * number, dashes))
    state = state_of(plan, direction, band)
    return Chart(f"{plan.name}: pattern from above", state, (disc(items),), SIDE, 1, margins=(MARGIN, MARGIN), foot=4)
