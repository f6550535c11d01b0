"""What charts of several bands have in common: names of delay lines, and marked places on the x axis."""

from workbook.figures.chart import Note
from workbook.plan.stages import AnyPlan
from workbook.plan.taps import tap_delays


def line_ticks(plan: AnyPlan) -> tuple[tuple[float, str], ...]:
    """Return the delay lines as ticks of an axis; many of them without their delays, which would overlap."""
    few = len(plan.delay_lines) <= 8
    names = (f"{line}\n{delay * 1e9:.1f} ns" if few else line for line, delay in tap_delays(plan))
    return tuple((float(place), name) for place, name in enumerate(names))


def mark_place(x: float, words: str, below: bool = False) -> Note:
    """Return a name written upward beside a place on the x axis, at the top of the axes or at their bottom."""
    anchor, height = ("start", 0.02) if below else ("end", 0.985)
    return Note(words, x, height, (-4, 0), anchor, share=True, upright=True)
