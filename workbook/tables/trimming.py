"""What to do with measured pieces, as a table and sentences."""

from workbook.formatting import LengthUnits, rounded
from workbook.plan.stages import AnyPlan
from workbook.plan.trimming import PieceTrim
from workbook.tables.costs import cost_cell
from workbook.tables.cuts import COSTS, mhz
from workbook.tables.table import Table

MEASURE_AGAIN = "measure again"
"""Verdict on a piece that was not measured exactly enough."""


def trim_table(plan: AnyPlan, trims: tuple[PieceTrim, ...]) -> Table:
    """Return measured pieces with their verdicts, what to cut off, and what to expect afterwards."""
    headings = (
        "piece",
        "verdict",
        "delay measured, wanted ns",
        f"error deg on {plan.cut_band}",
        COSTS,
        "cut off first",
        "check MHz after it",
        "cut off in all",
        "check MHz, trimmed",
    )
    return Table("Measured pieces (positive error = too long)", headings, tuple(_row(one, plan.units) for one in trims))


def _row(one: PieceTrim, units: LengthUnits) -> tuple[str, ...]:
    advice, trim = one.advice, verdict(one) == "trim"
    return (
        one.name,
        verdict(one),
        f"{advice.delay.m_as('ns'):.3f}, {one.wanted_s * 1e9:.3f}",
        _error(one),
        cost_cell(one.cost),
        *((units.text(advice.first_cut_off.m_as("m")), mhz(one.after_first_hz)) if trim else ("-", "-")),
        *((units.text(advice.cut_off.m_as("m")), mhz(one.after_hz)) if trim else ("-", "-")),
    )


def verdict(one: PieceTrim) -> str:
    """Return what to do with a piece: its verdict, or to measure it again where the measurement cannot decide."""
    return one.advice.verdict if one.sure else MEASURE_AGAIN


def _error(one: PieceTrim) -> str:
    error = rounded(one.advice.error.m_as("degree"), 2, "+")
    return error if one.delay_error_deg is None else f"{error} ± {one.delay_error_deg:.2f}"


def short_sentence(one: PieceTrim) -> str:
    """Say what a piece that is too short is good for, or that one was not measured exactly enough."""
    if not one.sure:
        return f"{one.name} was measured to {one.delay_error_deg:.1f} deg only, which cannot decide: measure it again."
    if one.advice.verdict != "too short":
        return ""
    uses = [f"line {label}" for label in one.could_become[:1]]
    uses += [f"lines {a} and {b}, cut in two" for a, b in one.could_serve[:1]]
    if not uses:
        return f"{one.name} is too short, and too short for every other line: keep it for repairs."
    return f"{one.name} is too short; it is long enough for {' or for '.join(uses)}."
