"""What to do with measured pieces, as a table and sentences."""

from types import MappingProxyType

from workbook.formatting import LengthUnits, rounded
from workbook.plan.marks import RUN
from workbook.plan.stages import AnyPlan
from workbook.plan.trimming import FAR_OFF_DEG, PieceTrim
from workbook.tables.costs import cost_cell, cost_sentence
from workbook.tables.cuts import COSTS, mhz
from workbook.tables.table import Table

MEASURE_AGAIN = "measure again"
"""Verdict on a piece that was not measured exactly enough."""
GAINS_NOTHING = MappingProxyType(
    {"trim": "keep: trimming it gains nothing", "too short": "keep: cutting it again gains nothing"}
)
"""Verdicts on a piece that is off without any cost."""
OTHER_RUNS = "measure the other runs"
"""Verdict on a run that is shorter than planned while others are not measured."""
ALL_ALIKE = "measure the other runs first, since runs that are all off alike cost nothing"


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
    advice, trim = one.advice, one.sure and one.advice.verdict == "trim"
    return (
        one.name,
        verdict(one),
        f"{advice.delay.m_as('ns'):.3f}, {one.wanted_s * 1e9:.3f}",
        _error(one),
        f"{cost_cell(one.cost)} alone" if _adds_up(one) else cost_cell(one.cost),
        *((units.text(advice.first_cut_off.m_as("m")), mhz(one.after_first_hz)) if trim else ("-", "-")),
        *((units.text(advice.cut_off.m_as("m")), mhz(one.after_hz)) if trim else ("-", "-")),
    )


def verdict(one: PieceTrim) -> str:
    """Return what to do with a piece: its verdict, or to measure again what the measurements cannot decide yet."""
    if not one.sure:
        return MEASURE_AGAIN
    if one.gains_nothing:
        return GAINS_NOTHING[one.advice.verdict]
    return OTHER_RUNS if _alone(one) and one.advice.verdict == "too short" else one.advice.verdict


def _alone(one: PieceTrim) -> bool:
    """Return whether it is a run that is off beside the plan while others are not measured."""
    return one.line == RUN and not one.beside_others and one.advice.verdict != "keep"


def trim_sentence(one: PieceTrim, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Say how far off a piece is and what to do with it; of runs that were all measured, beside the others."""
    advice = one.advice
    beside = " from the other runs" if one.beside_others else ""
    head = f"{one.name}: {advice.delay.m_as('ns'):.3f} ns, {advice.error.m_as('degree'):+.2f} deg{beside}"
    if advice.verdict == "keep":
        return f"{head}: good, keep it."
    if advice.verdict == "trim":
        first, whole = (units.text(part.m_as("m")) for part in (advice.first_cut_off, advice.cut_off))
        if one.gains_nothing:
            return f"{head}: too long by {whole}; keep it, trimming it gains nothing."
        alone = f" Or {ALL_ALIKE}." if _alone(one) else ""
        return f"{head}: too long by {whole}; cut off {first} first, then measure again.{alone}"
    if one.gains_nothing:
        return f"{head}: too short; keep it, cutting it again gains nothing."
    if _alone(one):
        return f"{head}: too short by the plan; {ALL_ALIKE}."
    return f"{head}: too short; keep it for a shorter line and cut this one again."


def _error(one: PieceTrim) -> str:
    error = rounded(one.advice.error.m_as("degree"), 2, "+")
    return error if one.delay_error_deg is None else f"{error} ± {one.delay_error_deg:.2f}"


def _adds_up(one: PieceTrim) -> bool:
    """Return whether an error that does not matter alone does so with those of other pieces."""
    return one.costs_nothing and not one.gains_nothing and not one.far_off


def trim_cost(one: PieceTrim) -> str:
    """Say what the error of a piece costs, and where it matters only together with others."""
    if one.costs_nothing and one.far_off:
        return (
            f"{cost_sentence(one.cost)} Cut it right all the same: more than {FAR_OFF_DEG:g} deg off is not the plan."
        )
    if _adds_up(one):
        return "Alone the error does not matter to the pattern; with those of the other pieces it adds up."
    return cost_sentence(one.cost)


def short_sentence(one: PieceTrim) -> str:
    """Say what a piece that is too short is good for, or that one was not measured exactly enough."""
    if not one.sure:
        return f"{one.name} was measured to {one.delay_error_deg:.1f} deg only, which cannot decide: measure it again."
    if one.advice.verdict != "too short" or one.gains_nothing:
        return ""
    if _alone(one):
        return f"{one.name} is too short by the plan: {ALL_ALIKE}."
    uses = [f"line {label}" for label in one.could_become[:1]]
    uses += [f"lines {a} and {b}, cut in two" for a, b in one.could_serve[:1]]
    if not uses:
        return f"{one.name} is too short, and too short for every other line: keep it for repairs."
    return f"{one.name} is too short; it is long enough for {' or for '.join(uses)}."
