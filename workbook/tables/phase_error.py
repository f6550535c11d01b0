"""What known faults do, band by band: the pattern's figures, phase error of every channel and of every line."""

from collections.abc import Mapping

import numpy as np

from workbook.formatting import LengthUnits, rounded
from workbook.plan.known_faults import KnownFaults, line_errors
from workbook.plan.patterns import HARDLY
from workbook.plan.stages import Stages
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.table import Table
from workbook.tables.tolerance import verdict
from workbook.tolerance.report import FaultReport, Null
from workbook.units import FloatArray

COMMON = 0.005
"""Phase errors [degree] nearer to each other than this are the same."""

RDF_MATTERS, BACK_MATTERS = 0.05, 0.5
"""Losses of RDF and front-to-back [dB] below which an error does not matter."""

Reports = Mapping[str, FaultReport]
"""What faults do to one direction, by band."""


def figures_table(reports: Reports, direction: str) -> Table:
    """Return RDF, front-to-back and deepest null before and after, on every band.

    Parameters
    ----------
    reports
        By band.
    direction
        Name of the direction.

    Returns
    -------
    Table
    """
    rows: list[tuple[str, ...]] = []
    for band, report in reports.items():
        for name, pair in (("RDF", report.rdf), ("front-to-back", report.front_to_back)):
            before, after = (float(each.m_as("dB")) for each in pair)
            lost = rounded(before - after, 2, "+") if np.isfinite(before - after) else "-"
            rows.append((band, f"{name} [dB]", _level(before), _level(after), lost))
        rows.append((band, "deepest null", *(_null(null) for null in report.null), "-"))
    headings = ("band", "figure", "as planned", "with errors", "lost")
    return Table(f"Pattern {direction}, as planned and with these errors", headings, tuple(rows))


def _level(value: float) -> str:
    return rounded(value, 2) if np.isfinite(value) else "complete null"


def _null(null: Null) -> str:
    depth = float(null.depth.m_as("dB"))
    deep = f"{depth:.1f} dB below the front" if depth <= HARDLY else f"more than {HARDLY:g} dB below the front"
    return f"at {null.azimuth.m_as('degree'):.1f} deg, {deep}"


def channels_table(
    reports: Reports,
    labels: tuple[str | None, ...],
    band: str,
    velocity_factor: float,
    units: LengthUnits = LengthUnits.BOTH,
) -> Table:
    """Return each channel's phase error on every band, the length that equals it, and its level.

    Parameters
    ----------
    reports
        By band.
    labels
        The line of each element, None where it has none.
    band
        Band whose error is given as length and level too.
    velocity_factor
        Of the cable that the length is of.
    units
        How lengths are written.

    Returns
    -------
    Table
    """
    levels = reports[band].level.m_as("dB")
    lengths = reports[band].length_error(velocity_factor).m_as("m")
    degrees = {name: report.phase_error.m_as("degree") for name, report in reports.items()}
    rows = tuple(
        (
            str(number + 1),
            label or "none",
            *(rounded(late[number], 2, "+") if np.isfinite(levels[number]) else "dead" for late in degrees.values()),
            units.signed(lengths[number]) if np.isfinite(levels[number]) else "-",
            rounded(levels[number], 2, "+") if np.isfinite(levels[number]) else "no signal",
        )
        for number, label in enumerate(labels)
    )
    headings = ("element", "line", *(f"{name} deg" for name in degrees), f"length on {band}", "level dB")
    return Table("Phase error of every channel (positive = too long = later)", headings, rows)


def lines_table(plan: Stages, assumed: float, true: float) -> Table:
    """Return what each delay line is off by when cut with one velocity factor from cable of another.

    Parameters
    ----------
    plan
        The plan.
    assumed, true
        Velocity factors on the cut band.

    Returns
    -------
    Table
    """
    errors = line_errors(plan, assumed, true)
    rows = []
    for line in plan.cut_order:
        excess = line.length_m / line.velocity_factor * (assumed - true)
        off = (rounded(float(late), 2, "+") for late in errors[line.label])
        rows.append((line.label, f"{line.delay_s * 1e9:.2f}", *off, plan.units.signed(excess)))
    headings = ("line", "delay ns", *(f"{band.name} deg" for band in plan.bands), "too long by")
    title = f"Delay lines cut with velocity factor {assumed:.4f} from cable of {true:.4f}"
    return Table(title, headings, tuple(rows))


def answer(reports: Reports, direction: str) -> str:
    """Return in a sentence for each band what the errors cost, as plainly when it is nothing.

    Parameters
    ----------
    reports
        By band.
    direction
        Name of the direction.

    Returns
    -------
    text
    """
    name = direction[:1].upper() + direction[1:]
    costs = [f"{name} on {band}: {verdict(report)}" for band, report in reports.items()]
    return " ".join([*costs, *(["This does not matter."] if all(map(_harmless, reports.values())) else [])])


def phase_error_answer(plan: Stages, reports: Reports, at: tuple[str, str], faults: KnownFaults) -> AnswerLine:
    """Return what a builder decides by: the greatest error on a band, what it costs at worst, and what to do.

    RDF and front-to-back are those of the band that loses most, as what to do is decided by all of them.

    Parameters
    ----------
    plan
        The plan.
    reports
        By band.
    at
        Names of the direction and the band.
    faults
        What is wrong.

    Returns
    -------
    AnswerLine
    """
    direction, band = at
    report = reports[band]
    most = max(reports, key=lambda name: float(reports[name].rdf_lost.m_as("dB")))
    least = max(reports, key=lambda name: _back_lost(reports[name]))
    late = np.where(np.isfinite(report.level.m_as("dB")), report.phase_error.m_as("degree"), 0.0)
    worst = int(np.argmax(np.abs(late)))
    before, after = (float(each.m_as("dB")) for each in report.front_to_back)
    if np.isfinite(after) and not np.isfinite(before):
        back = Figure("front-to-back left", rounded(after, 2), "dB")
    else:
        back = _lost("front-to-back", _back_lost(reports[least]), least)
    figures = (
        Figure("greatest phase error", rounded(float(late[worst]), 2, "+"), f"deg, element {worst + 1}"),
        _lost("RDF", float(reports[most].rdf_lost.m_as("dB")), most),
        back,
        Figure("what to do", "nothing" if all(map(_harmless, reports.values())) else _remedy(faults, late)),
    )
    megahertz = plan.band(band).frequency_hz / 1e6
    return AnswerLine(f"{direction}, {band} at {megahertz:.7g} MHz", figures)


def _back_lost(report: FaultReport) -> float:
    """Return by how much front-to-back falls [dB], 0 where one of both is infinite."""
    before, after = (float(each.m_as("dB")) for each in report.front_to_back)
    return before - after if np.isfinite(before) and np.isfinite(after) else 0.0


def _lost(name: str, decibels: float, band: str) -> Figure:
    return Figure(f"{name} {'lost' if decibels >= 0 else 'gained'}", rounded(abs(decibels), 2), f"dB, worst on {band}")


def _remedy(faults: KnownFaults, late_deg: FloatArray) -> str:
    """Return in a few words what corrects the faults, the gravest first."""
    remedies = (
        (faults.dead is not None, "repair the element"),
        (faults.turned is not None, "correct its polarity"),
        (faults.swapped is not None, "exchange the two lines"),
        (bool(faults.moved), "move the stake"),
        (faults.ends_ohm is not None, "match one end"),
        (faults.cable.warmer[0] * faults.cable.warmer[1] != 0, "keep all cable equally warm"),
        (bool(np.max(late_deg) >= -np.min(late_deg)), "trim what is too long"),
    )
    return next((remedy for applies, remedy in remedies if applies), "cut longer lines")


def _harmless(report: FaultReport) -> bool:
    """Return whether what is lost does not matter; the deepest null may still have been filled."""
    rdf_lost, back_lost = float(report.rdf_lost.m_as("dB")), float(report.front_to_back_lost.m_as("dB"))
    deep = float(report.front_to_back[1].m_as("dB")) > HARDLY
    return rdf_lost < RDF_MATTERS and (back_lost < BACK_MATTERS or deep)


def same_everywhere(report: FaultReport) -> str:
    """Return in a sentence that all channels are late alike, where they are; else nothing.

    Parameters
    ----------
    report
        On one band.

    Returns
    -------
    text
    """
    late = report.phase_error.m_as("degree")
    if np.ptp(late) > COMMON or abs(float(late[0])) <= COMMON:
        return ""
    alike = rounded(float(late[0]), 2, "+")
    return f"Every channel is off by the same {alike} deg, which changes nothing in the pattern."
