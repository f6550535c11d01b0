"""The array as built beside its plan, as a table and a sentence."""

from workbook.formatting import rounded
from workbook.plan.as_built import AsBuilt
from workbook.plan.patterns import HARDLY
from workbook.tables.costs import cost_cell
from workbook.tables.cuts import COSTS
from workbook.tables.table import Table


def built_table(built: AsBuilt) -> Table:
    """Return RDF and front-to-back of every direction on every band, planned and as built."""
    rows = tuple(
        (
            one.band,
            one.direction,
            f"{one.rdf_db:.2f}",
            f"{one.built_rdf_db:.2f}",
            _back(one.front_to_back_db),
            _back(one.built_front_to_back_db),
            cost_cell(one.cost),
        )
        for one in built.figures
    )
    headings = ("band", "direction", "RDF dB", "RDF as built dB", "F/B dB", "F/B as built dB", COSTS)
    return Table(f"{built.plan.name}: as planned and as built", headings, rows)


def _back(decibels: float) -> str:
    return f"over {HARDLY:.0f}" if decibels >= HARDLY else rounded(decibels, 1)


def correction_sentence(built: AsBuilt) -> str:
    """Say which single piece to correct first, or that the errors do not matter."""
    if not built.corrections:
        return "Nothing was measured yet."
    first = built.corrections[0]
    worst = max((one.cost for one in built.figures), key=lambda cost: cost.rdf_lost_db)
    if first.worth < 1 or not any(one.cost.matters for one in built.figures):
        return f"As built it loses at most {rounded(max(worst.rdf_lost_db, 0), 2)} dB of RDF, which does not matter."
    return (
        f"Correct {first.piece} first: toward {first.direction} on {first.band} that gains "
        f"{rounded(max(first.rdf_gained_db, 0.0), 2)} dB of RDF and "
        f"{rounded(max(first.front_to_back_gained_db, 0.0), 1)} dB of front-to-back."
    )
