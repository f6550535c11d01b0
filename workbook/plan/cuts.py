"""From delays to lengths of cable: what to cut, what to expect on the analyser, and what goes wrong otherwise."""

from collections import Counter
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from workbook.design.hubs import HubBase
from workbook.design.schema import DesignFile, End
from workbook.errors import InputError
from workbook.formulas import lines as formulas
from workbook.line.cable import Cable
from workbook.line.catalogue import cable
from workbook.line.lengths import QUARTERS, solve_check_frequency
from workbook.plan.delays import Lines, label
from workbook.plan.pieces import Check, DelayLine, ElementRuns, LineBand, LossBand, ReceiverRun, RunBand
from workbook.plan.results import PlanMatch, Terminations, Total
from workbook.units import NEPER_IN_DB, Floats, Quantity

FAR_END = "open"


def design_cable(design: DesignFile, name: str) -> Cable:
    """Return a cable of the design, with its measured velocity factor if there is one."""
    found = cable(name)
    measured = design.velocity_factor.get(name)
    if measured is None:
        return found
    try:
        return found.with_velocity_factor(measured.value, measured.frequency)
    except InputError as error:
        raise error.at(f"velocity_factor.{name}") from None


def _loss(made_of: Cable, length: Floats, hertz: float) -> Floats:
    return made_of.constants(hertz)[0].real * length * NEPER_IN_DB


def _degrees(made_of: Cable, length: Floats, extra_delay: float, hertz: float) -> Floats:
    """Electrical length of cables with both their connectors."""
    along = formulas.phase(length, hertz, made_of.velocity(hertz))
    return np.degrees(along) + 360 * hertz * extra_delay


def checks(
    made_of: Cable, lengths: Any, first_lengths: Any, extra_delay: float, degree_at: float, accept: float
) -> Any:
    """Return one `Check` per piece.

    Parameters
    ----------
    made_of
        The cable.
    lengths, first_lengths
        Lengths of cable between connectors, finished and as first cut [m].
    extra_delay
        Delay of both connectors together [s].
    degree_at
        Frequency [Hz] at which the accepted error counts.
    accept
        Accepted error [degree].
    """
    lengths, first_lengths = np.asarray(lengths), np.asarray(first_lengths)
    quarters = QUARTERS[FAR_END]
    good = float(formulas.length_of_phase(np.radians(accept), degree_at, made_of.velocity(degree_at)))
    # all are solved at once; the step of the slope is far above rounding and far below curvature
    step = 1e-4 * lengths
    short = np.where(lengths > good, lengths - good, lengths)
    every = np.stack((lengths, first_lengths, lengths - step, lengths + step, lengths + good, short))
    try:
        now, first, shorter, longer, least, greatest = solve_check_frequency(made_of, every, quarters, extra_delay)
    except InputError:
        raise InputError(
            (f"a piece of {every.max():.4g} m of {made_of.name} loses so much that no analyser could check it"),
            where="lengths.slack, cutting.trim",
            remedy="check the units",
        ) from None
    slope = (longer - shorter) / (2 * step)
    gamma, impedance = made_of.constants(now)
    whole = lengths + 2 * np.pi * now * extra_delay / gamma.imag
    seen = formulas.input_impedance(gamma, impedance, whole, np.inf).real
    rows = np.stack((now, first, slope, seen, -slope * good, least), axis=-1).tolist()
    most = np.where(lengths > good, greatest, np.nan).tolist()
    return [
        Check(FAR_END, now, first, slope, seen, near, least, None if np.isnan(top) else top)
        for (now, first, slope, seen, near, least), top in zip(rows, most, strict=True)
    ]


class Cut(NamedTuple):
    """What is the same for every kind of piece; the names are fields of the plan's results."""

    length_m: float
    length_to_cut_m: float
    first_cut_m: float
    loop_resistance_ohm: float
    check: Check


def cuts(design: DesignFile, made_of: Cable, end: End, lengths: Any, longest: Any) -> list[Cut]:
    """Return how pieces are cut whose cable has lengths [m], and at most the longest [m] of what is known of it."""
    strips, trim, accept = 2 * end.strip.m_as("m"), design.cutting.trim.m_as("m"), design.accepted_error.m_as("degree")
    hertz, extra = design.cut_hertz, 2 * end.delay.m_as("s")
    lengths, longest = np.asarray(lengths), np.asarray(longest)
    seen = checks(made_of, lengths, longest + trim, extra, hertz, accept)
    ohms = made_of.model.loop_resistance * lengths
    columns = (lengths, lengths + strips, longest + strips + trim, ohms)
    return [Cut(*parts) for parts in zip(*(column.tolist() for column in columns), seen, strict=True)]


def delay_lines(design: DesignFile, found: Lines) -> tuple[DelayLine, ...]:
    """Return every distinct delay line, shortest first; of a ladder the pieces between taps, first tap first."""
    if not found.delays.size:
        return ()
    hub = design.hub
    delays = hub.pieces(found.delays)
    made_of = design_cable(design, design.cables.delay_line)
    bands, end, hertz = design.band_hertz, design.ends.delay_line, design.cut_hertz
    in_cable = _delay_in_cable(delays, end)
    v = float(made_of.velocity(hertz))
    slowest, _, fastest = made_of.span("velocity_factor", Quantity(hertz, "Hz"))
    lengths, least, greatest = (formulas.length_of_delay(in_cable, velocity) for velocity in (v, slowest, fastest))
    nominal = formulas.length_of_delay(in_cable, made_of.nominal_velocity_factor)
    extra = 2 * end.delay.m_as("s")
    by_band = [_line_bands(one, made_of, delays, lengths, nominal, extra) for one in bands.items()]
    cut_pieces = cuts(design, made_of, end, lengths, greatest)
    return tuple(
        DelayLine(
            label=label(i),
            from_=label(i) if hub.in_series else None,
            to=label(i - 1) if hub.in_series and i else None,
            count=int(found.counts[i]),
            delay_s=float(delays[i]),
            cable=made_of.name,
            cut_frequency_hz=hertz,
            velocity_factor=v,
            nominal_velocity_factor=made_of.nominal_velocity_factor,
            least_length_m=float(least[i]),
            greatest_length_m=float(greatest[i]),
            nominal_length_error_m=float(nominal[i] - lengths[i]),
            sharing_error_deg=float(360 * hertz * found.apart[i]),
            compensated_length_m=None,
            **cut._asdict(),
            bands=line_bands,
        )
        for i, (cut, line_bands) in enumerate(zip(cut_pieces, zip(*by_band, strict=True), strict=True))
    )


def _delay_in_cable(delays: Any, end: End) -> Any:
    left = delays - 2 * end.delay.m_as("s")
    if np.any(left <= 0):
        short = label(int(np.argmin(delays)))
        raise InputError(
            (
                f"two connectors of {end.delay.to('ns'):.4g~P} are longer than line {short} with "
                f"{delays.min() * 1000000000.0:.4g} ns"
            ),
            where="ends.delay_line.delay",
            remedy=(
                "check connector and array size, or let near delays share a line: merge within 1 deg in worksheet 03"
            ),
        )
    return left


def _line_bands(
    band: tuple[str, float], made_of: Cable, delays: Any, lengths: Any, nominal: Any, extra: float
) -> list[LineBand]:
    """Return what every line is on one band."""
    name, hertz = band
    degrees, wanted = _degrees(made_of, lengths, extra, hertz), 360 * hertz * delays
    by_nominal = _degrees(made_of, nominal, extra, hertz)
    columns = degrees, degrees - wanted, by_nominal - wanted, _loss(made_of, lengths, hertz)
    return [LineBand(name, *one) for one in zip(*(column.tolist() for column in columns), strict=True)]


def element_runs(design: DesignFile, metres: Any) -> ElementRuns:
    """Return the equal runs that reach from the farthest element to the hub, with slack."""
    made_of = design_cable(design, design.cables.element_run)
    end = design.ends.element_run
    length = float(np.linalg.norm(metres - design.hub.place_m, axis=1).max() + design.lengths.slack.m_as("m"))
    if length <= 0:
        raise InputError("the runs would have no length", where="lengths.slack", remedy="give a slack above 0 m")
    extra, bands = 2 * end.delay.m_as("s"), design.band_hertz
    return ElementRuns(
        cable=made_of.name,
        count=len(metres),
        **cuts(design, made_of, end, [length], [length])[0]._asdict(),
        bands=tuple(
            RunBand(name, float(_degrees(made_of, length, extra, f)), float(_loss(made_of, length, f)))
            for name, f in bands.items()
        ),
    )


def receiver_run(design: DesignFile) -> ReceiverRun | None:
    """Return the run from the hub to the receiver, None when the design has none."""
    if design.lengths.receiver_run is None:
        return None
    made_of, length = design_cable(design, design.cables.receiver_run), design.lengths.receiver_run.m_as("m")
    losses = tuple(LossBand(name, float(_loss(made_of, length, f))) for name, f in design.band_hertz.items())
    return ReceiverRun(made_of.name, length, float(made_of.model.loop_resistance * length), losses)


def compensated(lines: tuple[DelayLine, ...], hub: type[HubBase], real: Terminations | None) -> tuple[DelayLine, ...]:
    """Return the lines with the lengths that make their channels right between the design's terminations."""
    if real is None:
        return lines
    lengths = hub.pieces(np.array([channel.compensated_length_m or 0.0 for channel in real.channels[1:]]))
    return tuple(
        replace(line, compensated_length_m=length) for line, length in zip(lines, lengths.tolist(), strict=True)
    )


def totals(
    design: DesignFile,
    lines: tuple[DelayLine, ...],
    runs: ElementRuns,
    to_receiver: ReceiverRun | None,
    match: PlanMatch | None,
) -> tuple[Total, ...]:
    """Return how much of each cable to have at hand, most first, and what it costs.

    Delay lines and lines of the receiver match count by their first cuts, element runs by their length to cut.
    """
    lengths: dict[str, list[float]] = {}
    pieces: Counter[str] = Counter()
    parts = [(line.cable, line.first_cut_m, line.count) for line in lines]
    parts += [(part.cable, part.first_cut_m, part.count) for part in (match.sections if match else ())]
    parts.append((runs.cable, runs.length_to_cut_m, runs.count))
    if to_receiver:
        parts.append((to_receiver.cable, to_receiver.length_m, 1))
    for cable_name, metres, count in parts:
        lengths.setdefault(cable_name, []).append(metres * count)
        pieces[cable_name] += count
    prices = {name: price.per_metre for name, price in design.prices.items()}
    found = (
        Total(name, sum(metres), pieces[name], sum(metres) * prices[name] if name in prices else None)
        for name, metres in lengths.items()
    )
    return tuple(sorted(found, key=lambda total: -total.length_m))
