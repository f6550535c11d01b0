"""The match from the hub to the receiver, as tables."""

from workbook.formatting import LengthUnits, rounded
from workbook.plan.results import PlanMatch
from workbook.tables.cuts import mhz, section_name
from workbook.tables.table import Table


def match_tables(match: PlanMatch, units: LengthUnits = LengthUnits.BOTH) -> tuple[Table, ...]:
    """Return the way to the receiver's impedance: the lines to cut for it, and what it does on every band."""
    title = f"From {match.source_ohm:g} to {match.load_ohm:g} ohm by {match.way}: {match.parts}"
    rows = tuple(
        (
            band.name,
            f"{band.swr_in:.2f}",
            f"{band.swr_out:.2f}",
            f"{band.insertion_loss_db:.2f}",
            rounded(band.phase_shift_deg, 1),
        )
        for band in match.bands
    )
    headings = ("band", "SWR at the hub", "SWR at the receiver", "loss dB", "phase shift deg")
    table = Table(title, headings, rows)
    lines = tuple(
        (
            section_name(number),
            part.cable,
            str(part.count),
            units.text(part.length_m),
            f"{part.electrical_length_deg:.1f}",
            mhz(part.check.frequency_hz),
        )
        for number, part in enumerate(match.sections, 1)
    )
    cuts = ("from the hub", "cable", "how many in parallel", "length", "deg", "check MHz, far end open")
    return (table, Table("Lines of this match; they stand in the cut list", cuts, lines)) if lines else (table,)
