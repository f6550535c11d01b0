"""What a measured line says, beside its cable's record, in words and as an answer line."""

import numpy as np

from workbook.bench.distance import DistanceResponse, Reflector
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.uniform_line import FEWEST
from workbook.errors import InputError
from workbook.formatting import LengthUnits, rounded
from workbook.plan.marks import RUN
from workbook.plan.stages import AnyPlan
from workbook.plan.trimming import PieceTrim, line_of
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.cuts import mhz
from workbook.tables.table import Table
from workbook.tables.trimming import verdict
from workbook.units import Frequency

ROUGH_RAD = 0.01
"""Scatter of the lag about a smooth one from which a piece does not look like one uniform line."""
IMPEDANCE_APART = 0.08
"""Relative difference of an impedance from the record, beside its uncertainty, that is worth a sentence."""
APART = 0.03
"""Relative difference of a velocity factor from the record that is worth a sentence."""


def trim_answer(plan: AnyPlan, name: str, trim: PieceTrim | None) -> AnswerLine:
    """Return the verdict on a piece with the figures that a builder decides by, or what to expect of it."""
    if trim is None:
        line = line_of(plan, name)
        check = plan.element_runs.check if line == RUN else plan.line(line).check
        figures = (
            Figure("verdict", "not measured yet"),
            Figure("check, first cut", mhz(check.first_cut_frequency_hz), "MHz"),
            Figure("check, trimmed", mhz(check.frequency_hz), "MHz"),
        )
        return AnswerLine(name, figures)
    advice = trim.advice
    cut = verdict(trim) == "trim"
    return AnswerLine(
        trim.name,
        (
            Figure("verdict", verdict(trim)),
            Figure("error", rounded(advice.error.m_as("degree"), 2, "+"), "deg"),
            Figure("cut off first", plan.units.text(advice.first_cut_off.m_as("m")) if cut else "nothing"),
            Figure("then expect" if cut else "measured", mhz(trim.after_first_hz if cut else trim.measured_hz), "MHz"),
        ),
    )


def line_table(line: MeasuredLine, frequencies: dict[str, Frequency], units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return delay, velocity factor, loss and impedance of a measured line on some bands, a dash where not measured."""
    rows, (hundred, metres) = [], units.hundred
    for band, at in frequencies.items():
        cells = []
        for measure, unit, times, digits in (
            (line.delay, "ns", 1.0, 3),
            (line.velocity_factor, "", 1.0, 4),
            (line.attenuation, "dB/m", metres, 2),
            (line.characteristic_impedance, "ohm", 1.0, 1),
        ):
            try:
                found = measure(at)
            except InputError:
                cells.append("-")
                continue
            value = found.value.m_as(unit) if unit else found.value
            error = found.uncertainty.m_as(unit) if unit else found.uncertainty
            cells.append(f"{times * np.real(value):.{digits}f} ± {times * error:.{digits}f}")
        rows.append((band, *cells))
    headings = ("band", "delay ns", "velocity factor", f"loss dB/{hundred}", "characteristic impedance ohm")
    return Table("Measured line", headings, tuple(rows)).without_empty_columns()


def contradictions(line: MeasuredLine, at: Frequency) -> tuple[str, ...]:
    """Say where a measured line contradicts its cable's record, or is not one uniform line."""
    found = []
    if len(line.fit.hertz) > 1 and np.sqrt(np.mean(line.fit.lag_scatter**2)) > ROUGH_RAD:
        found.append(
            "The sweep is not that of one uniform line: look for a poor joint or damage in the picture of distance."
        )
    found += _impedance(line)
    if line.cable is not None and line.length is not None:
        try:
            velocity = line.velocity_factor(at)
        except InputError as error:
            return (*found, str(error))
        least, _, greatest = line.cable.span("velocity_factor", at)
        off = max(least / velocity.value - 1, velocity.value / greatest - 1)
        if off > APART:
            found.append(
                f"The velocity factor of {velocity.value:.4f} lies {100 * off:.1f} % outside the record's "
                f"{least:.4f} to {greatest:.4f}: check the length, or which cable it is."
            )
    return tuple(found)


def _impedance(line: MeasuredLine) -> tuple[str, ...]:
    """Say where the impedance that a sweep shows is not that of the cable's record."""
    if line.cable is None or len(line.fit.hertz) < FEWEST:
        return ()
    nominal, seen = float(line.cable.nominal_impedance.m_as("ohm")), float(np.abs(line.fit.ohms[-1]))
    if abs(seen / nominal - 1) < IMPEDANCE_APART + 2 * line.fit.impedance_scatter:
        return ()
    return (
        f"The sweep is that of a line of {seen:.0f} ohm, the cable's record says {nominal:.0f} ohm: check which cable "
        "it is, and the reference impedance in the file.",
    )


def distance_sentences(response: DistanceResponse, units: LengthUnits) -> tuple[str, ...]:
    """Say where the impedance changes along a line."""
    return tuple(_reflector(one, units) for one in response.reflectors)


def _reflector(one: Reflector, units: LengthUnits) -> str:
    where = units.text(one.distance.m_as("m"))
    size = f"{100 * abs(one.reflection):.0f} %"
    if one.kind in ("open", "short"):
        return f"Far end, {one.kind}, at {where}."
    if one.kind == "higher":
        return f"At {where} the impedance is higher ({size} reflected): look for a poor joint or a broken shield."
    return f"At {where} the impedance is lower ({size} reflected): look for water or a crushed cable."
