"""The plan made from a design."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from workbook.plan.cuts import band_frequencies, delay_lines, element_runs, receiver_run
from workbook.plan.delays import Lines, Wanted, distinct_lines, label, wanted
from workbook.plan.results import (
    DelayLine,
    ElementRuns,
    Feed,
    Plan,
    PlanBand,
    PlanDirection,
    PlanElement,
    ReceiverRun,
    Total,
)
from workbook.plan.schema import DesignFile, Direction
from workbook.plan.warn import warnings


def make_plan(design: DesignFile, version: str, sha256: str) -> Plan:
    """Return the plan of a design: delays, distinct lines, cuts, runs, totals and warnings."""
    layout = design.array.layout()
    bands = band_frequencies(design)
    asked = wanted(design, layout)
    found = distinct_lines(asked, max(bands.values()), design.hub.kind == "joined")
    lines, runs, to_receiver = (
        delay_lines(design, found),
        element_runs(design, layout.metres),
        receiver_run(design),
    )
    elevation = design.phasing.elevation
    east, north = (place.m_as("m") for place in design.hub.position)
    return Plan(
        format=1,
        name=design.name,
        workbook_version=version,
        design_sha256=sha256,
        cut_band=design.phasing.cut_band,
        elevation_deg=None if elevation is None else elevation.m_as("degree"),
        accept_deg=design.cutting.accept.m_as("degree"),
        hub=design.hub.kind,
        hub_east_m=east,
        hub_north_m=north,
        trim_m=design.cutting.trim.m_as("m"),
        strip_m=design.ends.delay_line.strip.m_as("m"),
        connector_delay_s=design.ends.delay_line.delay.m_as("s"),
        bands=tuple(PlanBand(name, hertz) for name, hertz in bands.items()),
        elements=tuple(PlanElement(n, float(x), float(y)) for n, (x, y) in enumerate(layout.metres, 1)),
        directions=tuple(_direction(one, asked, found, number) for number, one in enumerate(design.directions)),
        delay_lines=lines,
        element_runs=runs,
        receiver_run=to_receiver,
        totals=_totals(lines, runs, to_receiver),
        warnings=warnings(design, lines, runs),
    )


def _direction(one: Direction, asked: Wanted, found: Lines, number: int) -> PlanDirection:
    feeds = (
        _feed(element, *row)
        for element, row in enumerate(
            zip(asked.delays[number], asked.polarity[number], found.used[number], strict=True), 1
        )
    )
    return PlanDirection(one.name, one.azimuth.m_as("degree"), tuple(feeds))


def _feed(number: int, delay: Any, polarity: Any, used: Any) -> Feed:
    if np.isnan(delay):
        return Feed(number, None, 0, 0.0, None)
    return Feed(number, float(delay), int(polarity), 1.0, label(int(used)) if used >= 0 else None)


def _totals(lines: Iterable[DelayLine], runs: ElementRuns, to_receiver: ReceiverRun | None) -> tuple[Total, ...]:
    """Add up the first cuts by cable, most cable first."""
    parts = [(line.cable, line.first_cut_m, line.count) for line in lines]
    parts.append((runs.cable, runs.length_to_cut_m, runs.count))
    if to_receiver:
        parts.append((to_receiver.cable, to_receiver.length_m, 1))
    names = dict.fromkeys(name for name, _, _ in parts)
    totals = (
        Total(name, sum(m * n for c, m, n in parts if c == name), sum(n for c, _, n in parts if c == name))
        for name in names
    )
    return tuple(sorted(totals, key=lambda total: -total.length_m))
