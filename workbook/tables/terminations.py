"""Terminations in tables: errors of every channel, compensated lengths, levelling, and what it does to the pattern."""

from collections.abc import Sequence

import numpy as np

from workbook.chain.mismatch import mismatch_phase, required_match
from workbook.formatting import LengthUnits, rounded
from workbook.formulas import twoports
from workbook.line.cable import Cable
from workbook.matching.pad import nearest_value
from workbook.plan.costs import most
from workbook.plan.line_costs import LineCosts
from workbook.plan.patterns import HARDLY
from workbook.plan.results import Cost, RealChannel, Terminations
from workbook.plan.stages import AnyPlan
from workbook.plan.terminations import LineAlone
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_cell, losses
from workbook.tables.cuts import COSTS, piece_name
from workbook.tables.pattern import figure, front_to_back
from workbook.tables.table import Table, gathered
from workbook.units import Quantity


def channel_table(plan: AnyPlan, ends: Terminations) -> Table:
    """Return how late and how strong every channel is on every band beside the direct one, longest line first."""
    costs = LineCosts(plan)
    rows = tuple(
        (
            channel.line,
            band.name,
            _signed(-band.phase_error_deg),
            cost_cell(costs.of_channel(channel.line, band.name, band.phase_error_deg)),
            f"{_signed(-band.greatest_phase_error_deg)} to {_signed(-band.least_phase_error_deg)}",
            _signed(band.level_db),
            f"{_signed(band.weakest_level_db)} to {_signed(band.strongest_level_db)}",
            _signed(-band.compensated_phase_error_deg),
            cost_cell(costs.of_channel(channel.line, band.name, band.compensated_phase_error_deg)),
        )
        for channel in ends.channels[:0:-1]
        for band in channel.bands
    )
    headings = (
        "line",
        "band",
        "error deg, + is later",
        COSTS,
        "with tolerances deg",
        "level dB",
        "with tolerances dB",
        "error deg when compensated",
        COSTS,
    )
    title = f"Channels between {ends.source_ohm:g} and {ends.port_ohm:g} ohm, beside the direct one"
    return Table(title, headings, rows)


def _signed(value: float) -> str:
    return rounded(value, 2, "+")


def compensation_table(plan: AnyPlan, ends: Terminations) -> Table:
    """Return the length that makes each channel right on the cut band, longest first; of a ladder's pieces too."""
    change = {channel.line: channel.compensated_change_deg or 0.0 for channel in ends.channels}
    rows = tuple(
        (
            piece_name(line.label, line),
            plan.units.text(line.length_m),
            plan.units.text(line.compensated_length_m),
            plan.units.signed(line.compensated_length_m - line.length_m),
            _signed(change[line.label]),
        )
        for line in plan.cut_order
        if line.compensated_length_m is not None
    )
    headings = (
        plan.hub_kind.line_word,
        "length as planned",
        "compensated length",
        "changes by",
        f"channel later by deg on {plan.cut_band}",
    )
    return Table("Compensated lengths between connectors", headings, rows)


def levelling_table(plan: AnyPlan, ends: Terminations) -> Table:
    """Return what brings every channel down to the weakest on the cut band, the most pad first."""
    strongest_first = sorted(ends.channels, key=lambda channel: -channel.pad_db)
    rows = tuple(_level(plan, ends.port_ohm, channel) for channel in strongest_first)
    headings = (
        "channel",
        "stronger by dB",
        "pad: series ohm",
        "pad: two shunts ohm",
        "pad loses dB",
        "or a run longer by (it delays more too)",
    )
    return Table(f"Levelling on {plan.cut_band}: the longer line loses more", headings, rows)


def _level(plan: AnyPlan, port_ohm: float, channel: RealChannel) -> tuple[str, ...]:
    """Return the pad of resistors that can be bought, and what it loses; none where it would hardly change anything."""
    stronger = f"{channel.pad_db:.2f}"
    if channel.pad_series_ohm is None or channel.pad_shunt_ohm is None or channel.pad_db < NO_PAD_DB:
        return channel.line, stronger, *("not needed",) * 3, "not needed"
    run = "no loss in the run" if channel.extra_run_m is None else plan.units.text(channel.extra_run_m)
    wanted = Quantity([channel.pad_series_ohm, channel.pad_shunt_ohm], "ohm")
    series, shunt = nearest_value(wanted, 24).m_as("ohm")
    loses = pi_loss_db(float(series), float(shunt), port_ohm)
    return channel.line, stronger, f"{series:g}", f"{shunt:g}", f"{loses:.2f}", run


def pi_loss_db(series: float, shunt: float, port: float) -> float:
    """Return the loss of a pi pad between two equal resistances [dB].

    Examples
    --------
    >>> pi_loss_db(26.7, 439, 75)
    3.0
    """
    pad = (twoports.shunt(shunt), twoports.series(series), twoports.shunt(shunt))
    return float(-20 * np.log10(abs(twoports.scattering(twoports.cascade(pad), port, port)[2])))


def side_by_side_table(plan: AnyPlan, ends: Terminations) -> Table:
    """Return RDF and front-to-back with ideal channels, real ones, and compensated ones, by band and direction."""
    ideal = {(one.name, band.name): band for one in plan.directions for band in one.bands}
    rows = []
    for real in ends.directions:
        as_planned = ideal[real.direction, real.name]
        rdf = (as_planned.rdf_db, real.rdf_db, real.compensated_rdf_db)
        back = (as_planned.front_to_back_db, real.front_to_back_db, real.compensated_front_to_back_db)
        rows.append((real.name, real.direction, *(figure(one, 2) for one in rdf), *map(front_to_back, rdf, back)))
    rows.sort(key=lambda row: [band.name for band in plan.bands].index(row[0]))
    headings = ("band", "direction", *(f"RDF dB, {kind}" for kind in KINDS), *(f"front-to-back dB, {k}" for k in KINDS))
    return Table("Pattern with real terminations", headings, gathered(rows, (1,)))


def terminations_answer(plan: AnyPlan, ends: Terminations) -> AnswerLine:
    """Return what the ends cost at the worst channel, direction and band, what to do, and how good they have to be."""
    late, line, band = max(
        ((-on.phase_error_deg, channel.line, on.name) for channel in ends.channels[1:] for on in channel.bands),
        key=lambda found: abs(found[0]),
    )
    cost = _cost(plan, ends)
    rdf, back = ("not known", "not known") if cost is None else losses(cost)
    figures = (
        Figure("greatest phase error", _signed(late), f"deg, {line} on {band}"),
        Figure("RDF lost", rdf, "" if cost is None else "dB"),
        Figure("front-to-back lost", back, "" if cost is None else "dB"),
        Figure("what to do", _advice(plan, ends)),
        Figure("ends need", f"{ends.needed_return_loss_db:.1f}", "dB return loss"),
    )
    return AnswerLine(f"worst of all directions and bands, {ends.source_ohm:g} to {ends.port_ohm:g} ohm", figures)


def _cost(plan: AnyPlan, ends: Terminations, compensated: bool = False) -> Cost | None:
    """Return the most that real terminations cost, with lines as planned or compensated; None where nothing arrives."""
    ideal = {(one.name, band.name): band for one in plan.directions for band in one.bands}
    found = []
    for real in ends.directions:
        before = ideal[real.direction, real.name]
        rdf = real.compensated_rdf_db if compensated else real.rdf_db
        back = real.compensated_front_to_back_db if compensated else real.front_to_back_db
        if before.rdf_db is not None and rdf is not None:
            found.append(Cost(before.rdf_db - rdf, _counted(before.front_to_back_db) - _counted(back)))
    return most(found)


def _counted(back_db: float | None) -> float:
    """Return how much of a front-to-back counts: of one deeper than anything built only so much."""
    return HARDLY if back_db is None else min(back_db, HARDLY)


def _advice(plan: AnyPlan, ends: Terminations) -> str:
    """Return in a few words what to do about the ends."""
    cost, after = _cost(plan, ends), _cost(plan, ends, compensated=True)
    if cost is not None and not cost.matters:
        return "nothing"
    if after is not None and not after.matters:
        return "compensate"
    return "compensate and level" if ends.worth_doing else "level the channels"


NO_PAD_DB = 0.1
"""A channel that is stronger by less [dB] needs no pad: the least that resistors of a few ohms give."""

HARDLY_DB = 0.05
"""A change of RDF too small to notice [dB]."""

KINDS = ("ideal", "real terminations", "compensated")


def verdict(ends: Terminations, accept_deg: float) -> str:
    """Say in plain words whether compensating is worth it, and how good ends would have to be."""
    return (
        f"{ends.note}{_gain(ends)} For channels within {accept_deg:g} degree of each other, however long they are, "
        f"source and port each need a return loss of {ends.needed_return_loss_db:.1f} dB (SWR {ends.needed_swr:.2f}) "
        "on the line; one matched end alone is enough."
    )


def _gain(ends: Terminations) -> str:
    """Say what the compensated lengths change in the pattern, where they are worth a thought at all."""
    pairs = [(one.rdf_db, one.compensated_rdf_db) for one in ends.directions]
    gains = [after - before for before, after in pairs if before is not None and after is not None]
    if not ends.worth_doing or not gains:
        return ""
    low, high = rounded(min(gains), 2, "+"), rounded(max(gains), 2, "+")
    change = f"{low} to {high}" if low != high else low
    advice = "" if max(gains) >= HARDLY_DB else ", so the planned lengths do as well"
    return f" Compensated lengths change RDF by {change} dB{advice}."


def line_table(line: LineAlone, cable: str, band: str, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what the ends do to one line of one length, whatever the design says."""
    rows = (
        (
            units.text(float(line.length_m)),
            _signed(-float(line.phase_error_deg)),
            _signed(float(line.level_db)),
            _signed(float(line.matched_deg - line.phase_error_deg)),
            f"{line.bound_deg:.2f}",
            f"{line.greatest_deg:.2f}",
        ),
    )
    headings = (
        "length",
        "error deg (+ is later), against no line",
        "level dB, against no line",
        "error deg, against a matched line",
        "at most deg, asin|ρs ρL|",
        "at most deg with this cable's loss",
    )
    return Table(f"One line of {float(line.electrical_length_deg):g} deg of {cable} on {band}", headings, rows)


def needed_table(made_of: Cable, band: str, hertz: float, errors_deg: Sequence[float]) -> Table:
    """Return how well both ends must be matched for several phase errors, the closed answer beside exact ones.

    The exact ones are the greatest over all lengths between two ends of just that SWR, first of a line without loss,
    then of this cable.
    """
    on = Quantity(hertz, "Hz")
    own, nominal = made_of.characteristic_impedance(on), made_of.nominal_impedance.m_as("ohm")
    needed = required_match(Quantity(np.array(errors_deg), "degree"))
    lossy = mismatch_phase(made_of, on, own * needed.swr, own * needed.swr).exact.m_as("degree")
    columns = (errors_deg, needed.return_loss.m_as("dB"), needed.swr, needed.exact.m_as("degree"), lossy)
    rows = tuple(
        (
            f"{wanted:g}",
            f"{each:.1f}",
            f"{swr:.3f}",
            f"{nominal / swr:.1f} to {nominal * swr:.1f}",
            f"{exact:.3f}",
            f"{with_loss:.3f}",
        )
        for wanted, each, swr, exact, with_loss in zip(*columns, strict=True)
    )
    headings = (
        "wanted, within deg",
        "return loss of each end dB",
        "SWR of each end",
        "resistance ohm, for the nominal impedance",
        "worst deg without loss",
        "worst deg of this cable",
    )
    title = (
        "How well both ends must be matched, however long one line is, beside a matched one (two lines may differ by "
        f"twice as much); {made_of.name} on {band}"
    )
    return Table(title, headings, rows)
