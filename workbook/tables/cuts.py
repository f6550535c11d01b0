"""What to cut, what to expect of it and how much cable it takes, as tables; the same for every output."""

from types import MappingProxyType

from workbook.formatting import FOOT, LengthUnits, rounded
from workbook.plan.line_costs import LineCosts
from workbook.plan.marks import RUN, Part, in_short, marks, section_name
from workbook.plan.pieces import Check, DelayLine, MatchSection
from workbook.plan.results import Cost
from workbook.plan.stages import AnyPlan
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_cell
from workbook.tables.table import Table

COSTS = "costs RDF, F/B dB"
"""Heading of what the error to the left of it costs."""


def mhz(hertz: float) -> str:
    """Write a check frequency to the hundred hertz, as an analyser shows it."""
    return f"{hertz / 1e6:.4f}"


def accept_range(check: Check) -> str:
    """Write the range of check frequencies in which a piece is accepted."""
    if check.greatest_good_hz is None:
        return f"{mhz(check.least_good_hz)} up"
    return f"{mhz(check.least_good_hz)} to {mhz(check.greatest_good_hz)}"


def per_length(check: Check, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Write by how many kHz the check frequency rises for a centimetre cut off, and for an inch."""
    return units.joined(f"{-check.hz_per_m / 1e5:.2f}", f"{-check.hz_per_m * 0.0254 / 1e3:.2f}")


def per_length_heading(units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return the heading of `per_length`."""
    return f"kHz per {units.joined('cm', 'inch')}"


def _check_cells(check: Check, units: LengthUnits) -> tuple[str, ...]:
    return (
        mhz(check.first_cut_frequency_hz),
        mhz(check.frequency_hz),
        per_length(check, units),
        accept_range(check),
        f"{check.resistance_ohm:.1f}",
    )


def cut_list(plan: AnyPlan) -> Table:
    """Return what to cut, longest first over lines and runs alike; check frequencies with the far end open."""
    rows = [
        (
            in_short(marks(name, piece)),
            str(piece.count),
            piece.cable,
            delay,
            plan.units.text(piece.first_cut_m),
            plan.units.text(piece.length_to_cut_m),
            *_check_cells(piece.check, plan.units),
        )
        for name, delay, piece in parts(plan)
    ]
    headings = (
        "piece",
        "how many",
        "cable",
        "delay ns",
        "first cut",
        "length to cut",
        "check MHz, first cut",
        "check MHz, trimmed",
        per_length_heading(plan.units),
        "accept range MHz",
        "resistance at check frequency ohm",
    )
    return Table(f"{plan.name}: cut list, longest first", headings, tuple(rows))


def line_count(plan: AnyPlan) -> str:
    """Write how many different delay lines there are, and how many pieces where these are more."""
    lines, pieces = len(plan.delay_lines), sum(line.count for line in plan.delay_lines)
    return str(lines) if pieces == lines else f"{lines} ({pieces} pieces)"


def cut_answer(plan: AnyPlan) -> AnswerLine:
    """Return how many lines are cut from how much cable, the longest first cut, the runs, and the accepted error."""
    lines, runs, units = plan.delay_lines, plan.element_runs, plan.units
    metres = sum(line.count * line.first_cut_m for line in lines)
    longest = (Figure("longest first cut", units.text(max(line.first_cut_m for line in lines))),) if lines else ()
    figures = (
        Figure("delay lines", line_count(plan)),
        Figure("cable, first cuts", units.about(metres)),
        *longest,
        Figure("element runs", f"{runs.count} × {units.text(runs.first_cut_m)}"),
        Figure("accept range", f"±{plan.accept_deg:g}", "deg"),
    )
    megahertz = plan.band(plan.cut_band).frequency_hz / 1e6
    return AnswerLine(f"{plan.name}, cut for {plan.cut_band} at {megahertz:.7g} MHz", figures)


def accept_sentence(plan: AnyPlan) -> str:
    """Say which error of a line is accepted, and why."""
    return f"Accepted error of a line: {plan.accept_deg:g} deg on {plan.cut_band} ({plan.accept_reason})."


def piece_name(name: str, piece: Part) -> str:
    """Return how all pieces of a line are called; in a ladder, whose letters name taps, from one to the next."""
    return marks(name, piece)[0] if isinstance(piece, DelayLine) and piece.from_ is not None else name


def parts(plan: AnyPlan) -> list[tuple[str, str, Part]]:
    """Return every kind of piece with its name and delay, longest first: a spoiled one still makes a shorter one."""
    named: list[tuple[str, DelayLine | MatchSection]] = [(line.label, line) for line in plan.delay_lines]
    if plan.match:
        named += [(section_name(number), part) for number, part in enumerate(plan.match.sections, 1)]
    found: list[tuple[str, str, Part]] = [(name, f"{part.delay_s * 1e9:.3f}", part) for name, part in named]
    found.append((RUN, "equal", plan.element_runs))
    return sorted(found, key=lambda part: -part[2].first_cut_m)


def expectations(plan: AnyPlan) -> Table:
    """Return each line's velocity factors, lengths over the known range, and the error at the printed one."""
    costs = LineCosts(plan)
    shared = any(line.sharing_error_deg >= 0.005 for line in plan.delay_lines)
    rows = tuple(
        (
            piece_name(line.label, line),
            f"{line.velocity_factor:.4f}",
            f"{line.nominal_velocity_factor:.4f}",
            plan.units.text(line.length_m),
            _lengths_range(plan.units, line.least_length_m, line.greatest_length_m),
            plan.units.signed(line.nominal_length_error_m),
            f"{line.loop_resistance_ohm:.2f}",
            *((f"{line.sharing_error_deg:.2f}", cost_cell(_sharing_cost(plan, costs, line))) if shared else ()),
        )
        for line in plan.cut_order
    )
    headings = (
        "line",
        "velocity factor used",
        "printed velocity factor",
        "length between connectors",
        "over the known claddings",
        "error at printed velocity factor",
        "far end shorted, DC ohm",
        *(("largest error by sharing deg", COSTS) if shared else ()),
    )
    return Table(f"Delay lines on {plan.cut_band}, the cut band", headings, rows)


def _sharing_cost(plan: AnyPlan, costs: LineCosts, line: DelayLine) -> Cost | None:
    """Return what a line costs that is off by as much as the farthest of what shares it."""
    return costs.of_delay(line.label, line.sharing_error_deg / 360 / plan.band(plan.cut_band).frequency_hz)


def _lengths_range(units: LengthUnits, least: float, greatest: float) -> str:
    return f"{units.text(least)} to {units.text(greatest)}" if greatest - least > 5e-4 else "known exactly"


def band_table(plan: AnyPlan) -> Table:
    """Return every line on every band: degrees, error, error at the printed velocity factor, loss."""
    costs = LineCosts(plan)
    rows = tuple(
        (
            piece_name(line.label, line),
            band.name,
            f"{band.electrical_length_deg:.2f}",
            rounded(band.phase_error_deg, 2, "+"),
            cost_cell(costs.of_line(line.label, band.name, band.phase_error_deg)),
            rounded(band.nominal_phase_error_deg, 2, "+"),
            cost_cell(costs.of_line(line.label, band.name, band.nominal_phase_error_deg)),
            f"{band.loss_db:.3f}",
        )
        for line in plan.cut_order
        for band in line.bands
    )
    headings = (
        "line", "band", "length deg", "error deg", COSTS, "error at printed velocity factor deg", COSTS, "loss dB",
    )  # fmt: skip
    return Table("Delay lines on every band (positive error = too long)", headings, rows)


def run_table(plan: AnyPlan) -> Table:
    """Return the element runs and the receiver run on every band."""
    runs, receiver = plan.element_runs, plan.receiver_run
    rows = [
        (
            f"element run (each of {runs.count})",
            runs.cable,
            plan.units.text(runs.length_m),
            band.name,
            f"{band.electrical_length_deg:.2f}",
            f"{band.loss_db:.3f}",
            f"{runs.loop_resistance_ohm:.2f}",
        )
        for band in runs.bands
    ]
    if receiver:
        rows += [
            (
                "receiver run",
                receiver.cable,
                plan.units.text(receiver.length_m),
                band.name,
                "not critical",
                f"{band.loss_db:.3f}",
                f"{receiver.loop_resistance_ohm:.2f}",
            )
            for band in receiver.bands
        ]
    headings = ("run", "cable", "length", "band", "length deg", "loss dB", "far end shorted, DC ohm")
    return Table("Runs", headings, tuple(rows))


def total_table(plan: AnyPlan) -> Table:
    """Return how much of each cable to have at hand, most first."""
    rows = tuple((one.cable, str(one.pieces), plan.units.text(one.length_m)) for one in plan.totals)
    return Table("Cable needed; add a spare", ("cable", "pieces", "total"), rows)


_KINDS = MappingProxyType(
    {LengthUnits.BOTH: ("m", "tape"), LengthUnits.METRIC: ("m",), LengthUnits.FEET: ("ft", "tape")}
)
"""How a spreadsheet shows lengths."""


def spreadsheet(plan: AnyPlan) -> Table:
    """Return the cut list in plain numbers for a spreadsheet, one row per kind of piece, longest line first."""
    lengths = tuple(f"{name}_{kind}" for name in ("first_cut", "length_to_cut") for kind in _KINDS[plan.units])
    per, metres = ("inch", FOOT / 12) if plan.units is LengthUnits.FEET else ("m", 1.0)
    headings = (
        "piece",
        "count",
        "cable",
        "delay_ns",
        *lengths,
        "check_first_cut_hz",
        "check_trimmed_hz",
        f"hz_per_{per}",
        "good_from_hz",
        "good_to_hz",
        "resistance_at_check_ohm",
        "loop_resistance_ohm",
        "measured_check_hz",
        "marks",
    )
    rows = tuple(
        (
            name,
            str(piece.count),
            piece.cable,
            delay,
            *_length_cells(piece.first_cut_m, plan.units),
            *_length_cells(piece.length_to_cut_m, plan.units),
            f"{piece.check.first_cut_frequency_hz:.0f}",
            f"{piece.check.frequency_hz:.0f}",
            f"{piece.check.hz_per_m * metres:.0f}",
            f"{piece.check.least_good_hz:.0f}",
            "" if piece.check.greatest_good_hz is None else f"{piece.check.greatest_good_hz:.0f}",
            f"{piece.check.resistance_ohm:.3f}",
            f"{piece.loop_resistance_ohm:.4f}",
            "",
            in_short(marks(name, piece)),
        )
        for name, delay, piece in parts(plan)
    )
    return Table(plan.name, headings, rows)


def _length_cells(metres: float, units: LengthUnits) -> tuple[str, ...]:
    """Return a length as a number, and as a tape shows it where feet are shown."""
    written = {"m": f"{metres:.3f}", "ft": f"{metres / FOOT:.4f}", "tape": LengthUnits.FEET.text(metres)}
    return tuple(written[kind] for kind in _KINDS[units])


def sixteenth_note(plan: AnyPlan) -> str:
    """Say what the last sixteenth of an inch or millimetre is worth, so that it is not pursued."""
    if not plan.delay_lines:
        return ""
    line = plan.cut_order[0]
    per_metre = 360 * line.cut_frequency_hz * (line.delay_s - 2 * plan.connector_delay_s) / line.length_m
    name, metres = plan.units.least
    return f"The last {name} is worth {per_metre * metres:.3f} degree on {plan.cut_band}."
