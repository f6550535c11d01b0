"""The match from the hub to the receiver, as tables."""

from workbook.formatting import LengthUnits, rounded
from workbook.plan.results import PlanMatch
from workbook.tables.cuts import mhz, section_name
from workbook.tables.table import Table


def match_sentence(match: PlanMatch) -> str:
    """Say in one sentence what the match is made of, with the core that its turns need, and what it does at most."""
    swr = max(max(band.swr_in, band.swr_out) for band in match.bands)
    loss = max(band.insertion_loss_db for band in match.bands)
    return (
        f"Match from {match.source_ohm:g} to {match.load_ohm:g} ohm: {match.way}, {match.parts}{_core(match)}; "
        f"SWR up to {swr:.2f}, loss up to {loss:.2f} dB."
    )


def _core(match: PlanMatch) -> str:
    """Name the inductance factor of a transformer's core, from both its inductances at the source's turns."""
    values = {part.name: part.value for part in match.components}
    if "turns at the source" not in values:
        return ""
    # k A n^2 and 2 (1 - k) A n^2 of the same winding
    henry = values["magnetising inductance"] + values["leakage inductance"] / 2
    return f", on a core of {henry / values['turns at the source'] ** 2 * 1e9:.0f} nH per turn squared"


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
