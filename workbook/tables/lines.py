"""Tables and sentences about lengths of line: a piece, its temperature drift, trimming, and the losses of cables."""

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from workbook.formatting import LengthUnits, impedance_text, rounded
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.lengths import check_frequency
from workbook.line.losses import CableLoss, LossComparison, RootRule
from workbook.line.piece import (
    PUBLISHED_COEFFICIENTS,
    WARMING_KELVIN,
    Piece,
    PublishedCoefficient,
    check_range,
    delay_coefficient,
    kind_of,
    nominal_errors,
    over_claddings,
    thermal_drift,
)
from workbook.plan.results import Cost
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_cell
from workbook.tables.table import Table
from workbook.units import Frequency, Quantity

# --- a piece of cable -------------------------------------------------------------------------------------


def given_text(one: Piece, units: LengthUnits) -> str:
    """Return what a piece is given by: its length, its delay or its electrical length."""
    return units.text(float(one.given.m_as("m"))) if kind_of(one.given) == "length" else f"{one.given:.6g~P}"


def piece_table(one: Piece, whole: Cable, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return a piece as cut, as it really is, and at both ends of the range of claddings."""
    where = f"{one.frequency.m_as('MHz'):g} MHz"
    rows = [_row(f"true at {where}" if one.velocity == "true" else "nominal", one, units)]
    if one.velocity == "nominal":
        rows.append(_row(f"what it really is at {where}", one.actual, units))
    if whole.is_clad:
        slowest, fastest = over_claddings(one, whole)
        rows += [_row("slowest known cladding", slowest, units), _row("fastest known cladding", fastest, units)]
    headings = (
        "velocity factor",
        "value",
        "degrees",
        "delay ns",
        "wavelengths in the cable",
        "length to cut",
        "check MHz, far end open",
    )
    return Table(f"A piece of {one.cable.name} of {given_text(one, units)} at {where}", headings, tuple(rows))


def _row(name: str, one: Piece, units: LengthUnits) -> tuple[str, ...]:
    check = one.check_frequency
    return (
        name,
        f"{one.velocity_factor:.4f}",
        f"{one.electrical_length.m_as('degree'):.2f}",
        f"{one.delay.m_as('ns'):.3f}",
        f"{one.wavelengths:.4f}",
        units.text(one.length.m_as("m")),
        "see below" if check is None else f"{check.m_as('MHz'):.4f}",
    )


def check_note(one: Piece, whole: Cable) -> str:
    """Say why the slowest and the fastest cladding, or a piece of much loss, have no check frequency of their own."""
    if one.actual.check_frequency is None:
        return "This piece has no check frequency: its loss hides the far end."
    found = check_range(one, whole) if whole.is_clad else None
    if found is None:
        return ""
    low, high = (edge.m_as("MHz") for edge in found)
    return (
        "The slowest and the fastest cladding have no check frequency of their own: at that frequency other claddings "
        f"are the slowest and the fastest. Over all of them a piece of this length checks at {low:.4f} to {high:.4f} "
        "MHz."
    )


def ends_note(one: Piece, strip_m: float, connector_s: float, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Say over which length a piece counts, and what connectors add to it.

    Parameters
    ----------
    one
        The piece.
    strip_m
        Cable that goes into one connector [m].
    connector_s
        Delay of one connector [s].
    units
        How lengths are written.
    """
    counts = "The length counts between the connectors: cable alone, without what goes into them."
    if not strip_m and not connector_s:
        return f"{counts} The design says nothing about connectors under [ends.delay_line]."
    metres, hertz = float(one.actual.length.m_as("m")), float(one.frequency.m_as("Hz"))
    added = 360 * hertz * 2 * connector_s
    checked = check_frequency(one.cable, one.actual.length, connector_delay=Quantity(connector_s, "s"))
    return (
        f"{counts} With the design's connectors the piece is cut {units.text(metres + 2 * strip_m)} long from end to "
        f"end; they add {2e9 * connector_s:.2f} ns, {added:.2f} deg, and it then checks at "
        f"{checked.m_as('MHz'):.4f} MHz."
    )


def piece_answer(one: Piece, units: LengthUnits = LengthUnits.BOTH) -> AnswerLine:
    """Return what to cut and check of a piece, and what the printed velocity factor would do."""
    true, check = one.actual, one.actual.check_frequency
    printed = lines.length_of_delay(true.delay.m_as("s"), one.cable.nominal_velocity_factor)
    off = lines.phase(printed, true.frequency.m_as("Hz"), true.velocity_factor) * 180 / np.pi
    figures = (
        Figure("length", units.text(true.length.m_as("m"))),
        Figure("check frequency", "none" if check is None else f"{check.m_as('MHz'):.4f}", "MHz"),
        Figure("velocity factor", f"{true.velocity_factor:.4f}"),
        Figure("delay", f"{true.delay.m_as('ns'):.3f}", "ns"),
        Figure("electrical length", f"{true.electrical_length.m_as('degree'):.2f}", "deg"),
        Figure("error at printed velocity factor", rounded(off - true.electrical_length.m_as("degree"), 2, "+"), "deg"),
    )
    return AnswerLine(f"{one.cable.name} at {one.frequency.m_as('MHz'):.7g} MHz", figures)


def sixteenth_note(one: Piece, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return the phase of the last part of a length that can be read as a sentence."""
    per_metre = one.actual.electrical_length.m_as("degree") / one.length.m_as("m")
    name, metres = units.least
    return f"The last {name} is worth {per_metre * metres:.2g} degree at {one.frequency.m_as('MHz'):g} MHz."


def nominal_table(
    one: Piece, units: LengthUnits = LengthUnits.BOTH, cost: Callable[[str, float], Cost | None] | None = None
) -> Table:
    """Return the errors on every band of cutting by the nominal velocity factor.

    Parameters
    ----------
    one
        The piece.
    units
        How lengths are written.
    cost
        What an error costs in a design, by the name of a band and degrees late; None where no design is known.
    """
    rows = tuple(
        (
            row.band.name,
            f"{row.band.centre.m_as('MHz'):g}",
            f"{row.velocity_factor:.4f}",
            f"{row.wanted.m_as('degree'):.2f}",
            rounded(row.phase_error.m_as("degree"), 2, "+"),
            units.signed(row.length_error.m_as("m"), "+"),
            *(() if cost is None else (_cost(cost(row.band.name, row.phase_error.m_as("degree"))),)),
        )
        for row in nominal_errors(one)
    )
    headings = (
        *("band", "middle MHz", "true velocity factor", "wanted deg", "error deg", "length error"),
        *(() if cost is None else ("cost in the design RDF, F/B dB",)),
    )
    return Table("Error at the printed velocity factor (+ = too long)", headings, rows)


def _cost(cost: Cost | None) -> str:
    return "-" if cost is None else cost_cell(cost)


def nominal_note(one: Piece, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return the length of the piece by the nominal velocity factor as a sentence."""
    nominal = one.cable.nominal_velocity_factor
    metres = lines.length_of_delay(one.delay.m_as("s"), nominal)
    return f"At the printed {nominal:g}, {one.delay.m_as('ns'):.3f} ns is {units.text(metres)} on every band."


def temperature_table(one: Piece, coefficient: Quantity | None = None) -> Table:
    """Return the drift by 20 K of warming: by the entered coefficient, and by those published of kinds of cable."""
    entered = thermal_drift(one, coefficient)
    own = (
        ("this cable", "unknown", "unknown", "enter the coefficient above if you know it")
        if entered is None
        else (
            "this cable",
            f"{delay_coefficient(coefficient).m_as('ppm/K'):+g}",
            rounded(entered.m_as("degree"), 3, "+"),
            "as entered above",
        )
    )
    degrees = one.actual.electrical_length.m_as("degree")
    rows = (own, *(_published_row(published, degrees) for published in PUBLISHED_COEFFICIENTS))
    headings = ("kind of cable", "delay ppm/K", "20 K warmer, deg", "where from")
    return Table(f"What 20 K of warming does to {degrees:.2f} deg (+ = longer)", headings, rows)


def _published_row(published: PublishedCoefficient, degrees: float) -> tuple[str, ...]:
    ends = sorted({published.least, published.greatest}, key=abs)
    sign = "+" if published.sign_known else ""
    before = "" if published.sign_known else "± "
    does = [degrees * end * 1e-6 * WARMING_KELVIN for end in ends]
    return (
        published.kind,
        before + " to ".join(f"{end:{sign}g}" for end in ends),
        before + " to ".join(f"{value:{sign}.3f}" for value in does),
        published.status,
    )


# --- losses -----------------------------------------------------------------------------------------------


def loss_title(comparison: LossComparison, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return length and load of a comparison, as titles carry them."""
    return f"{units.text(comparison.length.m_as('m'))}, load {impedance_text(comparison.load.m_as('ohm'))}"


def loss_answer(comparison: LossComparison, units: LengthUnits = LengthUnits.BOTH) -> AnswerLine:
    """Return the cables that lose least and most on the band of interest, and by how much the best is better."""
    here, (first, *_) = comparison.names.index(comparison.band), comparison.ordered
    last, megahertz = comparison.ordered[-1], comparison.frequency.m_as("MHz")[here]
    least, most = (float(one.total.m_as("dB")[here]) for one in (first, last))
    figures = (
        Figure("cable of least loss", first.cable.name),
        Figure("its loss with the load", _decibel(least), "dB"),
        Figure("matched", _decibel(float(first.matched.typical.m_as("dB")[here])), "dB"),
        *((Figure(f"{last.cable.name} loses more by", _decibel(most - least), "dB"),) if last is not first else ()),
    )
    return AnswerLine(f"{comparison.band} at {megahertz:.7g} MHz, {loss_title(comparison, units)}", figures)


def band_loss_table(comparison: LossComparison, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return a row per cable for the band of interest, least loss first."""
    here = comparison.names.index(comparison.band)
    rows = tuple(
        (
            f"{one.cable.name} ({one.cable.nominal_impedance.m_as('ohm'):g} ohm)",
            _matched(one, here, comparison.frequency),
            _decibel(one.total.m_as("dB")[here]),
            f"{_decibel(one.by_root.m_as('dB')[here])} (from {one.rule.frequency.m_as('MHz'):g} MHz)",
        )
        for one in comparison.ordered
    )
    middle = comparison.frequency.m_as("MHz")[here]
    title = f"Loss on {comparison.band} at {middle:.3f} MHz, least first: {loss_title(comparison, units)}"
    return Table(title, ("cable", "matched dB (range)", "with load dB", "by √f dB"), rows)


def loss_table(comparison: LossComparison, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return a row per band, and for each cable its matched loss and its loss with the load."""
    headings = ["band (middle)"]
    for one in comparison.ordered:
        headings += [f"{one.cable.name} matched dB", f"{one.cable.name} with load dB"]
    rows = []
    for here, name in enumerate(comparison.names):
        mark = "▸ " if name == comparison.band else ""
        row = [f"{mark}{name} ({comparison.frequency.m_as('MHz')[here]:.3f} MHz)"]
        for one in comparison.ordered:
            row += [_matched(one, here, comparison.frequency), _decibel(one.total.m_as("dB")[here])]
        rows.append(tuple(row))
    return Table(f"Loss on every band, ▸ = of interest: {loss_title(comparison, units)}", tuple(headings), tuple(rows))


def root_rule_errors(comparison: LossComparison) -> tuple[str, ...]:
    """Return a sentence for each cable whose loss the square root of frequency gets wrong by more than a tenth."""
    here = comparison.names.index(comparison.band)
    return tuple(_root_rule_error(comparison, one, here) for one in comparison.ordered if np.any(one.misled))


def _root_rule_error(comparison: LossComparison, one: CableLoss, here: int) -> str:
    """Return the error on the band of interest, or on the lowest where the rule misleads."""
    at = here if one.misled[here] else int(np.argmax(one.misled))
    least, typical, greatest = (part.m_as("dB")[at] for part in one.matched)
    root = one.by_root.m_as("dB")[at]
    spread = f" ({_decibel(least)} to {_decibel(greatest)} over the known claddings)" if least < greatest else ""
    where = [name for name, misled in zip(comparison.names, one.misled, strict=True) if misled]
    return (
        f"{one.cable.name}: the square root of frequency from {_origin(one.rule)} says {_decibel(root)} dB at "
        f"{comparison.frequency.m_as('MHz')[at]:.3f} MHz; the model says {_decibel(typical)} dB{spread}, "
        f"{_times(typical / root)}. It misleads by more than a tenth on {_listed(where)}."
    )


def _origin(rule: RootRule) -> str:
    return f"the {_kind_of_point(rule.status)} at {rule.frequency.m_as('MHz'):g} MHz"


def _kind_of_point(status: str | None) -> str:
    return "model" if status is None else status if status == "standard maximum" else f"{status} value"


def loss_notes(comparison: LossComparison) -> tuple[str, ...]:
    """Return sentences on what is estimated, and on points that the model does not follow."""
    return tuple(note for one in comparison.ordered for note in _notes(one.cable))


def _notes(cable: Cable) -> Iterator[str]:
    if cable.estimated_below is not None:
        yield f"{cable.name}: known by a table alone; below {cable.estimated_below.m_as('MHz'):g} MHz an estimate."
    for point in cable.record.attenuation if cable.record else ():
        if point.disputed:
            at = f"{point.frequency.m_as('MHz'):g} MHz"
            reason = point.disputed.rstrip(".")
            yield f"{cable.name}: the {_kind_of_point(point.status)} at {at} is not followed: {reason}."


def _matched(one: CableLoss, here: int, frequency: Frequency) -> str:
    least, typical, greatest = (part.m_as("dB")[here] for part in one.matched)
    if _decibel(least) != _decibel(greatest):
        return f"{_decibel(typical)} ({_decibel(least)} to {_decibel(greatest)})"
    limit = one.cable.estimated_below
    estimated = limit is not None and frequency.m_as("Hz")[here] < limit.m_as("Hz")
    return f"{_decibel(typical)} (estimated)" if estimated else _decibel(typical)


def _decibel(value: float) -> str:
    """Write a plain loss [dB] to the hundredth, a small one to the thousandth."""
    return f"{value:.2f}" if value >= 0.0995 else f"{value:.3f}"


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times as much" if ratio >= 1.5 else f"{abs(ratio - 1):.0%} {'more' if ratio > 1 else 'less'}"


def _listed(words: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
