"""The start page: what a design is, what is still open about it, and the worksheets in the order of the work."""

import html
from collections.abc import Iterable, Iterator, Sequence

from workbook.plan.designs import Design
from workbook.plan.marks import in_short, marks, piece_marks
from workbook.plan.plan import Plan
from workbook.plan.trimming import PieceTrim
from workbook.tables.cuts import line_count
from workbook.tables.receive import margin_sentence
from workbook.tables.trimming import verdict
from workbook.worksheets import Worksheet


def design_facts(design: Design, plan: Plan | None) -> Iterator[tuple[str, str]]:
    """Yield what a design is, each fact after what it is about; its lines where there is a plan."""
    content = design.content
    yield "name", content.name
    yield "array", content.array.description(content.units)
    bands = (f"{name} ({frequency.m_as('MHz'):.6g} MHz)" for name, frequency in content.bands.items())
    yield "bands", ", ".join(bands)
    yield "directions", ", ".join(direction.name for direction in content.directions)
    yield "phasing rule", content.phasing.rule
    if plan is not None:
        names = in_short(mark for line in plan.delay_lines for mark in marks(line.label, line))
        length = plan.units.text(sum(line.count * line.length_m for line in plan.delay_lines))
        yield "delay lines", f"{line_count(plan)}: {names}; together {length}" if names else "none"
        yield "element runs", f"{plan.element_runs.count} of {plan.units.text(plan.element_runs.length_m)}"


def facts_list(facts: Iterable[tuple[str, str]]) -> str:
    """Return facts as an HTML list."""
    items = (f"<dt>{html.escape(about)}</dt><dd>{html.escape(fact)}</dd>" for about, fact in facts)
    return f'<dl class="facts">{"".join(items)}</dl>'


def open_points(design: Design, plan: Plan, trims: Sequence[PieceTrim]) -> Iterator[str]:
    """Yield what is still open: warnings of the plan, a missed margin, cables and pieces to measure, pieces to trim.

    `trims` are the pieces that were measured.
    """
    yield from plan.warnings
    if plan.reception and plan.reception.least.margin_db < plan.reception.wanted_margin_db:
        yield margin_sentence(plan.reception)
    content = design.content
    for cable in dict.fromkeys((content.cables.delay_line, content.cables.element_run)):
        if cable not in content.velocity_factor:
            yield (
                f"No measured velocity factor for {cable}: measure your reel (worksheet 04) before matched lines are "
                "cut."
            )
    measured = {one.name for one in trims}
    waiting = [name for name in piece_marks(plan) if name not in measured]
    if waiting:
        yield f"No check frequency measured yet for {in_short(waiting)}: worksheet 03 takes the readings."
    yield from _to_trim(trims)


def _to_trim(trims: Sequence[PieceTrim]) -> Iterator[str]:
    """Yield which measured pieces are not done with, by the verdict of worksheet 03."""
    found = dict[str, list[str]]()
    for one in trims:
        found.setdefault(verdict(one), []).append(one.name)
    for said, names in found.items():
        if not said.startswith("keep"):
            yield f"By their readings, {in_short(names)}: {said}; worksheet 03 says how."


def worksheet_list(worksheets: Iterable[Worksheet]) -> str:
    """Return links to worksheets as HTML, each with what it answers."""
    items = (
        f'<li><a href="{html.escape(sheet.name)}">{html.escape(_numbered(sheet))}</a><br>{html.escape(sheet.answers)}'
        "</li>"
        for sheet in worksheets
    )
    return f'<ul class="worksheets">{"".join(items)}</ul>'


def _numbered(sheet: Worksheet) -> str:
    number = sheet.name.partition("-")[0]
    return f"{number} {sheet.title}" if number.isdecimal() else sheet.title
