"""The record of measurements beside the plan, and season against season."""

from collections.abc import Mapping, Sequence

from workbook.bench.record import Measurement, Movement, latest, movements
from workbook.formatting import rounded
from workbook.plan.stages import AnyPlan
from workbook.tables.cuts import RUNS, mhz
from workbook.tables.table import Table


def measured_table(plan: AnyPlan, record: Sequence[Measurement]) -> Table:
    """Return the latest check frequency of every measured piece beside what the plan wants."""
    wanted = {line.label: line.check.frequency_hz for line in plan.delay_lines}
    wanted[RUNS] = plan.element_runs.check.frequency_hz
    rows = tuple(
        (one.piece, _wanted(wanted, one.piece), _value(one), one.date.isoformat(), one.instrument or "-")
        for one in latest(record)
    )
    headings = ("piece", "check MHz, planned", "check MHz, measured", "date", "instrument")
    return Table("Measured pieces", headings, rows)


def _wanted(wanted: Mapping[str, float], piece: str) -> str:
    found = wanted.get(piece) or wanted.get(piece.rpartition(" ")[0])
    return "-" if found is None else mhz(found)


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
