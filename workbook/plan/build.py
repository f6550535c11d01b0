"""The plan made from a design."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from workbook.array.layout import Layout
from workbook.array.stakeout import stake_out
from workbook.design.schema import DesignFile, Direction
from workbook.errors import InputError
from workbook.plan.cuts import band_frequencies, delay_lines, element_runs, receiver_run
from workbook.plan.delays import Lines, distinct_lines, label, served
from workbook.plan.design_checks import warnings
from workbook.plan.hubs import hub_options
from workbook.plan.patterns import Field, band_figures, field_of, ground_below
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.receiver_match import chosen_match
from workbook.plan.results import (
    DirectionBand,
    Feed,
    Plan,
    PlanBand,
    PlanDirection,
    PlanElement,
    PlanTape,
    Slack,
    SwitchRow,
    Terminations,
    Total,
)
from workbook.plan.rules import Feeds, every_feed, fewest
from workbook.plan.terminations import terminations


def build_plan(design: DesignFile, version: str, sha256: str) -> Plan:
    """Return the plan of a design: delays, distinct lines, cuts, runs, pattern, stakes, totals and warnings."""
    layout = design.array.layout()
    bands = band_frequencies(design)
    highest = max(bands.values())
    asked = every_feed(design, layout, bands[design.phasing.cut_band])
    found = distinct_lines(asked, highest, design.hub.kind, _degrees(design.hub.merge))
    # what shares a line by choice gets the line's delay; otherwise the difference is rounding
    given = asked if design.hub.merge is None else served(asked, found)
    runs, to_receiver = element_runs(design, layout.metres), receiver_run(design)
    on = field_of(design, layout.metres, design.directions)
    directions = _directions(design, on, layout, asked, given, found)
    lines = delay_lines(design, found)
    ends = terminations(design, on, given, found, [line.length_m for line in lines], runs.length_m)
    lines = _compensated(lines, ends, design.hub.kind == "ladder")
    hubs = hub_options(design, asked, highest)
    staked = stake_out(layout, None if design.site is None else design.site.east_of_north())
    east, north = (place.m_as("m") for place in design.hub.position)
    return Plan(
        format=1,
        name=design.name,
        workbook_version=version,
        design_sha256=sha256,
        cut_band=design.phasing.cut_band,
        rule=design.phasing.rule,
        ground=ground_below(design.ground_below()),
        declination_deg=staked.declination_deg,
        elevation_deg=_degrees(design.phasing.elevation),
        accept_deg=design.cutting.accept.m_as("degree"),
        hub=design.hub.kind,
        hub_east_m=east,
        hub_north_m=north,
        trim_m=design.cutting.trim.m_as("m"),
        strip_m=design.ends.delay_line.strip.m_as("m"),
        connector_delay_s=design.ends.delay_line.delay.m_as("s"),
        bands=tuple(PlanBand(name, hertz) for name, hertz in bands.items()),
        elements=tuple(PlanElement(n, float(x), float(y)) for n, (x, y) in enumerate(layout.metres, 1)),
        directions=directions,
        delay_lines=lines,
        element_runs=runs,
        receiver_run=to_receiver,
        totals=_totals(lines, runs, to_receiver),
        stakes=staked.stakes,
        tapes=tuple(PlanTape(_number(tape.start), _number(tape.end), tape.length_m) for tape in staked.tapes),
        switch_table=_switch_table(directions),
        hub_options=hubs,
        slacks=tuple(_slacks(design, layout, found)),
        terminations=ends,
        match=chosen_match(design),
        warnings=warnings(design, lines, runs, directions),
    )


def _degrees(angle: Any) -> float | None:
    return None if angle is None else angle.m_as("degree")


def _number(stake: str) -> int | str:
    """Return the number of an element, and the centre by its name."""
    return int(stake) if stake.isdecimal() else stake


def _switch_table(directions: Iterable[PlanDirection]) -> tuple[SwitchRow, ...]:
    """Return what every element goes through in every position; an element that is off has polarity 0."""
    return tuple(
        SwitchRow(one.name, feed.number, feed.line, feed.polarity) for one in directions for feed in one.elements
    )


def _slacks(design: DesignFile, layout: Layout, found: Lines) -> Iterator[Slack]:
    """Yield how far lines may move, for the rule that searched for them."""
    if design.phasing.rule != "fewest-delays":
        return
    for number, direction in enumerate(design.directions):
        best, rows = fewest(design, layout, direction)
        on_line = best.candidates.line[0][rows.of]
        for line, slack in enumerate(best.slack, 1):
            used = found.used[number][on_line == line][0]
            if used >= 0:
                yield Slack(direction.name, label(int(used)), float(slack) if np.isfinite(slack) else None)


def _compensated(lines: tuple[DelayLine, ...], ends: Terminations | None, ladder: bool) -> tuple[DelayLine, ...]:
    """Return the lines with the lengths that make their channels right between real ends."""
    if ends is None:
        return lines
    whole = [channel.compensated_length_m or 0.0 for channel in ends.channels]
    lengths = np.diff(whole) if ladder else whole[1:]
    return tuple(replace(line, compensated_length_m=float(length)) for line, length in zip(lines, lengths, strict=True))


def _directions(
    design: DesignFile, on: Field, layout: Layout, asked: Feeds, given: Feeds, found: Lines
) -> tuple[PlanDirection, ...]:
    bands = band_frequencies(design)
    # only these two rules ask for other delays on another band
    other = design.phasing.rule in ("endfire", "greatest-rdf")
    rule_on = {
        name: _ruled(design, layout, hertz) if other and name != design.phasing.cut_band else asked
        for name, hertz in bands.items()
    }
    figures = band_figures(on, given, rule_on, bands)
    return tuple(_direction(one, given, found, n, figures[n]) for n, one in enumerate(design.directions))


def _ruled(design: DesignFile, layout: Layout, hertz: float) -> Feeds | None:
    """Return what the rule asks for at another frequency [Hz], None where it has no answer there."""
    try:
        return every_feed(design, layout, hertz)
    except InputError:
        return None


def _direction(
    one: Direction, given: Feeds, found: Lines, number: int, figures: tuple[DirectionBand, ...]
) -> PlanDirection:
    feeds = (
        _feed(element, *row)
        for element, row in enumerate(
            zip(given.delays[number], given.polarity[number], given.amplitude[number], found.used[number], strict=True),
            1,
        )
    )
    return PlanDirection(one.name, one.azimuth.m_as("degree"), tuple(feeds), figures)


def _feed(number: int, delay: Any, polarity: Any, amplitude: Any, used: Any) -> Feed:
    if np.isnan(delay):
        return Feed(number, None, 0, 0.0, None)
    return Feed(number, float(delay), int(polarity), float(amplitude), label(int(used)) if used >= 0 else None)


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
