"""The cutting plan of reels: the order of the cuts, what each reel gives, and whether a better plan can exist."""

from workbook.formatting import LengthUnits, rounded
from workbook.plan.marks import in_short, reel_mark
from workbook.plan.reels import ReelPlan
from workbook.plan.results import Total
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.table import Table


def cutting_table(plans: tuple[ReelPlan, ...], units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return the cuts in order: reel, place along it, label and length; `csv()` of it is the list to take along."""
    rows = tuple(
        (plan.cable, reel.reel, str(number), reel_mark(cut.piece), units.text(cut.length_m), units.text(cut.end_m))
        for plan in plans
        for reel in plan.reels
        for number, cut in enumerate(reel.cuts, 1)
    )
    headings = ("cable", "reel", "cut", "piece", "length", "cut at, from the reel's start")
    return Table("Cutting plan", headings, rows)


def reel_table(plans: tuple[ReelPlan, ...], units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what is cut from each reel, in order, and what is left of it."""
    rows = tuple(
        (
            reel.reel,
            plan.cable,
            units.text(reel.length_m),
            "" if reel.velocity_factor is None else rounded(reel.velocity_factor, 4),
            in_short(reel_mark(cut.piece) for cut in reel.cuts),
            units.text(reel.left_m),
        )
        for plan in plans
        for reel in plan.reels
    )
    headings = ("reel", "cable", "length", "velocity factor measured", "pieces in the order of cutting", "left")
    return Table("Cutting plan of the reels in stock", headings, rows)


def cutting_sentences(plans: tuple[ReelPlan, ...], units: LengthUnits = LengthUnits.BOTH) -> tuple[str, ...]:
    """Return for every cable how much is opened and wasted, what comes from one reel, or why there is no plan."""
    return tuple(_sentence(plan, units) for plan in plans)


def _sentence(plan: ReelPlan, units: LengthUnits) -> str:
    if plan.problem is not None:
        return f"{plan.cable}: no cutting plan, {plan.problem.removeprefix('pieces: ').removeprefix('reels: ')}"
    proof = "no plan opens less" if plan.proven else f"a plan may exist that opens up to {100 * plan.gap:.1f} % less"
    opened = f"{len(plan.reels)} {'reel' if len(plan.reels) == 1 else 'reels'} opened, {units.text(plan.opened_m)}"
    matched = f" From one reel each: {', '.join(plan.together)}." if plan.together else ""
    return f"{plan.cable}: {opened}; {units.text(plan.waste_m)} of it left over or lost in cuts; {proof}.{matched}"


def needed_table(totals: tuple[Total, ...], units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return how much of each cable all first cuts take together, without spare and without what each cut wastes."""
    rows = tuple((one.cable, units.text(one.length_m), str(one.pieces)) for one in totals)
    return Table("Cable that all first cuts need, without spare", ("cable", "length", "pieces"), rows)


def reels_answer(
    plans: tuple[ReelPlan, ...], totals: tuple[Total, ...], name: str, units: LengthUnits = LengthUnits.BOTH
) -> AnswerLine:
    """Return how many reels are opened, how much is wasted, and whether that is proven best."""
    cut = [plan for plan in plans if plan.problem is None]
    reels = sum(len(plan.reels) for plan in cut)
    figures = (
        Figure("reels opened", str(reels)),
        Figure("opened", units.text(sum(plan.opened_m for plan in cut))),
        Figure("left over or lost in cuts", units.text(sum(plan.waste_m for plan in cut))),
        Figure("a better plan", _better(cut)),
        Figure("pieces to cut", str(sum(one.pieces for one in totals))),
    )
    return AnswerLine(name, figures)


def _better(plans: list[ReelPlan]) -> str:
    if not plans:
        return "-"
    if all(plan.proven for plan in plans):
        return "cannot exist"
    return f"may open {100 * max(plan.gap for plan in plans):.1f} % less"
