"""The hub in tables: the line of every element in each switch position, and what each kind of hub takes."""

import numpy as np

from workbook.formatting import bearing_text, rounded
from workbook.plan.marks import used_marks
from workbook.plan.results import Feed, PlanDirection
from workbook.plan.stages import AnyPlan
from workbook.plan.taps import tap_delays
from workbook.tables.table import Table, gathered

LID_WORDS = "0: no line, minus: reversed"
SIGNS = {1: "straight", -1: "reversed", 0: "off"}


def direction_tables(plan: AnyPlan) -> tuple[Table, ...]:
    """Return, per switch position, the line of every element, in tables of at most twelve elements for the paper."""
    return tuple(_direction_table(plan, first) for first in range(0, len(plan.elements), 12))


def _direction_table(plan: AnyPlan, first: int) -> Table:
    some = slice(first, first + 12)
    east = plan.declination_deg
    bearings = ("azimuth deg true",) if east is None else ("azimuth deg true", "by compass deg")
    headings = ("direction", *bearings, *(f"element {element.number}" for element in plan.elements[some]))
    rows = tuple(
        (
            one.name,
            f"{one.azimuth_deg:g}",
            *(() if east is None else (bearing_text(one.azimuth_deg - east),)),
            *lid_names(plan, one)[some],
        )
        for one in plan.directions
    )
    return Table(f"Line of each element ({LID_WORDS})", headings, rows)


def _line_text(line: str | None, polarity: int) -> str:
    if polarity == 0:
        return "off"
    return (line or "direct") + (" reversed" if polarity < 0 else "")


def delay_table(plan: AnyPlan, direction: str) -> Table:
    """Return the delay of every element in one direction, longest first, in time and in degrees on every band."""
    one = plan.direction(direction)
    pairs = zip(one.elements, used_marks(plan, one), strict=True)
    longest_first = sorted(pairs, key=lambda pair: (-(pair[0].delay_s or 0.0), pair[0].number))
    rows = tuple(
        (
            str(feed.number),
            _line_text(piece, feed.polarity),
            "off" if feed.delay_s is None else f"{feed.delay_s * 1e9:.3f}",
            *("off" if feed.delay_s is None else f"{360 * b.frequency_hz * feed.delay_s:.2f}" for b in plan.bands),
        )
        for feed, piece in longest_first
    )
    headings = ("element", "line", "delay ns", *(f"lag on {band.name} deg" for band in plan.bands))
    return Table(f"Delays, beam {direction}", headings, rows)


def switch_tables(plan: AnyPlan) -> tuple[Table, ...]:
    """Return the wiring of every switch position: element, run, hub port, line, polarity, attenuator."""
    return tuple(_switch_table(plan, one) for one in plan.directions)


def _switch_table(plan: AnyPlan, one: PlanDirection) -> Table:
    attenuated = any(0 < feed.amplitude < 0.9995 for feed in one.elements)
    rows = []
    for feed, port, piece in zip(one.elements, port_names(plan, one), used_marks(plan, one), strict=True):
        line = piece or ("direct" if feed.polarity else "none")
        delay = "off" if feed.delay_s is None else f"{feed.delay_s * 1e9:.3f}"
        row = (str(feed.number), f"run {feed.number}", port, line, delay, SIGNS[feed.polarity])
        rows.append((*row, _attenuator(feed)) if attenuated else row)
    headings = (
        "element",
        "run",
        "port",
        "delay line",
        "delay ns",
        "polarity",
        *(("attenuator dB",) if attenuated else ()),
    )
    return Table(f"Switch position {one.name} ({one.azimuth_deg:g} deg true)", headings, tuple(rows))


def attenuator_tables(plan: AnyPlan) -> tuple[Table, ...]:
    """Return the attenuator of every element in every direction; none where the elements are equally strong."""
    if not any(0 < feed.amplitude < 0.9995 for one in plan.directions for feed in one.elements):
        return ()
    headings = ("direction", *(f"element {element.number}" for element in plan.elements))
    rows = tuple((one.name, *map(_attenuator, one.elements)) for one in plan.directions)
    return (Table("Attenuator of each element dB", headings, rows),)


def _attenuator(feed: Feed) -> str:
    return rounded(-20 * np.log10(feed.amplitude), 1) if feed.amplitude else "none"


def port_names(plan: AnyPlan, one: PlanDirection) -> list[str]:
    """Name the hub's port for every element by the piece of line behind it, 0 for none; minus: a reversed port.

    Where each element has a piece of its own, a port is not reversed, and those without line are numbered too.
    """
    numbers_ports, direct = plan.hub_kind.numbers_ports, 0
    names = []
    for feed, piece in zip(one.elements, used_marks(plan, one), strict=True):
        direct += piece is None and feed.polarity != 0
        sign = "-" if feed.polarity < 0 and not numbers_ports else ""
        names.append((piece or (f"0{direct}" if numbers_ports else "0")) + sign if feed.polarity else "none")
    return names


def hub_table(plan: AnyPlan) -> Table:
    """Return what each kind of hub takes, least cable first, the design's own marked."""
    rows = tuple(
        (
            option.kind + (" (this design)" if option.kind == plan.hub else ""),
            str(option.pieces),
            plan.units.text(option.cable_m) if option.cable_m is not None else "a piece shorter than its connectors",
            _inputs(option.combiner_inputs),
            str(option.inverting_transformers),
        )
        for option in plan.hub_options
    )
    headings = ("hub", "delay lines", "cable in them, trimmed", "combiners", "inverting transformers")
    return Table("The three kinds of hub", headings, rows)


def _inputs(inputs: tuple[int, ...]) -> str:
    parts = [f"{inputs.count(n)} of {n} inputs" for n in sorted(set(inputs), reverse=True)]
    return ", ".join(parts) or "none"


def tap_table(plan: AnyPlan) -> Table:
    """Return each line's delay and what it is in degrees on every band: the delay is the same, the phase is not."""
    rows = tuple(
        (label, f"{delay * 1e9:.3f}", *(f"{360 * band.frequency_hz * delay:.1f}" for band in plan.bands))
        for label, delay in tap_delays(plan)[::-1]
    )
    headings = ("line", "delay ns", *(f"phase on {band.name}, deg" for band in plan.bands))
    return Table("Delay lines on every band (a reversed element has 180 deg more on each)", headings, rows)


def slack_table(plan: AnyPlan, direction: str | None = None) -> Table:
    """Return how far each line may move, in one direction or in all, shortest line first; rows only where searched."""
    highest, delays = max(band.frequency_hz for band in plan.bands), dict(tap_delays(plan))
    known = [slack for slack in plan.slacks if direction in (None, slack.direction)]
    known.sort(key=lambda slack: delays[slack.line])
    rows = tuple(
        (slack.line, f"{delays[slack.line] * 1e9:.2f}", *_moves(slack.slack_s, highest), slack.direction)
        for slack in known
    )
    headings = ("line", "delay ns", "tolerance ns", "tolerance on the highest band deg", "beam")
    return Table("Tolerance of each delay alone, for 0.3 dB of the lowest RDF", headings, gathered(rows, (4,)))


def _moves(seconds: float | None, hertz: float) -> tuple[str, str]:
    if seconds is None:
        return "any amount", "any amount"
    return f"{seconds * 1e9:.2f}", f"{360 * hertz * seconds:.1f}"


def lid_table(plan: AnyPlan) -> Table:
    """Return all switch positions in one table for the lid of the hub's box: line and polarity of every element."""
    headings = ("position", "deg true", *(str(element.number) for element in plan.elements))
    rows = tuple((one.name, f"{one.azimuth_deg:g}", *lid_names(plan, one)) for one in plan.directions)
    return Table(f"{plan.name}: line of each element, by switch position ({LID_WORDS})", headings, rows)


def lid_names(plan: AnyPlan, one: PlanDirection) -> list[str]:
    """Return what the lid says of every element in one switch position: its piece of line, and whether reversed."""
    return [
        (piece or "0") + ("-" if feed.polarity < 0 else "") if feed.polarity else "off"
        for feed, piece in zip(one.elements, used_marks(plan, one), strict=True)
    ]
