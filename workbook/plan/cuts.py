"""From delays to lengths of cable: what to cut, what to expect on the analyser, and what goes wrong otherwise."""

from typing import Any

import numpy as np

from workbook.errors import InputError
from workbook.formulas import lines as formulas
from workbook.line.cable import Cable
from workbook.line.catalogue import cable
from workbook.line.lengths import QUARTERS, solve_check_frequency
from workbook.plan.delays import Lines, label
from workbook.plan.results import Check, DelayLine, ElementRuns, LineBand, LossBand, ReceiverRun, RunBand
from workbook.plan.schema import DesignFile, End
from workbook.units import NEPER_IN_DB, Quantity

Bands = dict[str, float]
FAR_END = "open"


def design_cable(design: DesignFile, name: str) -> Cable:
    """Return a cable of the design, with its measured velocity factor if there is one."""
    found = cable(name)
    measured = design.velocity_factor.get(name)
    return found.with_velocity_factor(measured.value, measured.frequency) if measured else found


def band_frequencies(design: DesignFile) -> Bands:
    """Return the design frequencies [Hz] by band."""
    return {name: frequency.m_as("Hz") for name, frequency in design.bands.items()}


def _loss(made_of: Cable, length: float, hertz: float) -> float:
    return float(made_of.constants(hertz)[0].real * length * NEPER_IN_DB)


def _degrees(made_of: Cable, length: float, extra_delay: float, hertz: float) -> float:
    """Electrical length of a cable with both its connectors."""
    along = formulas.phase(length, hertz, made_of.velocity(hertz))
    return float(np.degrees(along) + 360 * hertz * extra_delay)


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
    asked = np.stack((lengths, first_lengths, lengths - step, lengths + step, lengths + good, short))
    try:
        now, first, shorter, longer, least, greatest = solve_check_frequency(made_of, asked, quarters, extra_delay)
    except InputError:
        raise InputError(
            f"lengths.slack, cutting.trim: a piece of {asked.max():.4g} m of {made_of.name} loses so much that no "
            "analyser could check it; check the units."
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


def delay_lines(design: DesignFile, found: Lines) -> tuple[DelayLine, ...]:
    """Return every distinct delay line, shortest first; of a ladder the pieces between taps, first tap first."""
    if not found.delays.size:
        return ()
    ladder = design.hub.kind == "ladder"
    delays = found.pieces if ladder else found.delays
    made_of = design_cable(design, design.cables.delay_line)
    bands, end = band_frequencies(design), design.ends.delay_line
    hertz = bands[design.phasing.cut_band]
    in_cable = _delay_in_cable(delays, end)
    v = float(made_of.velocity(hertz))
    slowest, _, fastest = made_of.span("velocity_factor", Quantity(hertz, "Hz"))
    lengths, least, greatest = (formulas.length_of_delay(in_cable, velocity) for velocity in (v, slowest, fastest))
    nominal = formulas.length_of_delay(in_cable, made_of.nominal_velocity_factor)
    strips, trim = 2 * end.strip.m_as("m"), design.cutting.trim.m_as("m")
    extra = 2 * end.delay.m_as("s")
    seen = checks(made_of, lengths, greatest + trim, extra, hertz, design.cutting.accept.m_as("degree"))
    return tuple(
        DelayLine(
            label=label(i),
            from_=label(i) if ladder else None,
            to=label(i - 1) if ladder and i else None,
            count=int(found.counts[i]),
            delay_s=float(delays[i]),
            cable=made_of.name,
            cut_frequency_hz=hertz,
            velocity_factor=v,
            nominal_velocity_factor=made_of.nominal_velocity_factor,
            length_m=float(lengths[i]),
            least_length_m=float(least[i]),
            greatest_length_m=float(greatest[i]),
            length_to_cut_m=float(lengths[i] + strips),
            first_cut_m=float(greatest[i] + strips + trim),
            nominal_length_error_m=float(nominal[i] - lengths[i]),
            sharing_error_deg=float(360 * hertz * found.apart[i]),
            loop_resistance_ohm=float(made_of.model.loop_resistance * lengths[i]),
            compensated_length_m=None,
            check=seen[i],
            bands=tuple(
                _line_band(name, made_of, float(delays[i]), lengths[i], nominal[i], extra, f)
                for name, f in bands.items()
            ),
        )
        for i in range(found.delays.size)
    )


def _delay_in_cable(delays: Any, end: End) -> Any:
    left = delays - 2 * end.delay.m_as("s")
    if np.any(left <= 0):
        short = label(int(np.argmin(delays)))
        raise InputError(
            f"ends.delay_line.delay: two connectors of {end.delay.to('ns'):.4g~P} are longer than line {short} with "
            f"{delays.min() * 1e9:.4g} ns; check connector and array size, or let near delays share a "
            'line, such as merge = "1 deg" under [hub].'
        )
    return left


def _line_band(
    name: str, made_of: Cable, delay: float, length: float, nominal: float, extra: float, hertz: float
) -> LineBand:
    degrees, wanted = _degrees(made_of, length, extra, hertz), 360 * hertz * delay
    by_nominal = _degrees(made_of, nominal, extra, hertz)
    return LineBand(name, degrees, degrees - wanted, by_nominal - wanted, _loss(made_of, length, hertz))


def element_runs(design: DesignFile, metres: Any) -> ElementRuns:
    """Return the equal runs that reach from the farthest element to the hub, with slack."""
    made_of = design_cable(design, design.cables.element_run)
    bands, end, trim = band_frequencies(design), design.ends.element_run, design.cutting.trim.m_as("m")
    hub = [place.m_as("m") for place in design.hub.position]
    length = float(np.linalg.norm(metres - hub, axis=1).max() + design.lengths.slack.m_as("m"))
    if length <= 0:
        raise InputError("lengths.slack: the runs would have no length; give a slack above 0 m.")
    to_cut, extra = length + 2 * end.strip.m_as("m"), 2 * end.delay.m_as("s")
    hertz, accept = bands[design.phasing.cut_band], design.cutting.accept.m_as("degree")
    return ElementRuns(
        cable=made_of.name,
        count=len(metres),
        length_m=length,
        length_to_cut_m=to_cut,
        first_cut_m=to_cut + trim,
        loop_resistance_ohm=float(made_of.model.loop_resistance * length),
        check=checks(made_of, [length], [length + trim], extra, hertz, accept)[0],
        bands=tuple(
            RunBand(name, _degrees(made_of, length, extra, f), _loss(made_of, length, f)) for name, f in bands.items()
        ),
    )


def receiver_run(design: DesignFile) -> ReceiverRun | None:
    """Return the run from the hub to the receiver, None when the design has none."""
    if design.cables.receiver_run is None or design.lengths.receiver_run is None:
        return None
    made_of, length = design_cable(design, design.cables.receiver_run), design.lengths.receiver_run.m_as("m")
    losses = tuple(LossBand(name, _loss(made_of, length, f)) for name, f in band_frequencies(design).items())
    return ReceiverRun(made_of.name, length, float(made_of.model.loop_resistance * length), losses)
