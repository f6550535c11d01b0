"""The record of measurements beside the plan, and season against season."""

from collections.abc import Sequence

from workbook.bench.record import Measurement, Movement, latest, movements
from workbook.errors import InputError
from workbook.formatting import rounded
from workbook.plan.marks import RUN
from workbook.plan.stages import AnyPlan
from workbook.plan.trimming import line_of
from workbook.tables.cuts import mhz
from workbook.tables.table import Table


def measured_table(plan: AnyPlan, record: Sequence[Measurement]) -> Table:
    """Return the latest check frequency of every measured piece beside what the plan wants."""
    rows = tuple(
        (one.piece, _wanted(plan, one.piece), _value(one), one.date.isoformat(), one.instrument or "-")
        for one in latest(record)
    )
    headings = ("piece", "check MHz, planned", "check MHz, measured", "date", "instrument")
    return Table("Measured pieces", headings, rows)


def _wanted(plan: AnyPlan, piece: str) -> str:
    """Write what the plan wants of a piece; the record also keeps what earlier plans had."""
    try:
        line = line_of(plan, piece)
    except InputError:
        return "-"
    return mhz((plan.element_runs if line == RUN else plan.line(line)).check.frequency_hz)


def _value(one: Measurement) -> str:
    scale = {"Hz": 1.0, "kHz": 1e3, "MHz": 1e6}.get(one.unit)
    return f"{one.value:g} {one.unit}" if scale is None else mhz(one.value * scale)


def movement_sentences(record: Sequence[Measurement]) -> tuple[str, ...]:
    """Say how the pieces moved since last season, and which moved more than it should."""
    found = movements(record)
    if not found:
        return ()
    everything = f"Since last season all check frequencies moved by {rounded(found[0].common * 100, 2, '+')} %"
    odd = [one for one in found if one.odd]
    if not odd:
        return (f"{everything}; none moved apart from the others, so nothing needs to be done.",)
    return (f"{everything}.", *map(_odd, odd))


def _odd(one: Movement) -> str:
    return (
        f"{one.now.piece} moved by {rounded(one.share * 100, 2, '+')} % from {_value(one.before)} to {_value(one.now)} "
        "MHz, more than the others: look for water or a loose connector, then measure it again."
    )
