"""What errors cost the pattern, in words."""

from workbook.formatting import rounded
from workbook.plan.line_costs import LineCosts
from workbook.plan.results import Cost
from workbook.plan.stages import AnyPlan

NO_MATTER = "does not matter"


def cost_cell(cost: Cost | None) -> str:
    """Write in a cell what an error costs of RDF and of front-to-back, or that it does not matter.

    Examples
    --------
    >>> cost_cell(Cost(0.12, 0.26)), cost_cell(Cost(0.049, 0.4)), cost_cell(Cost(-0.02, 1.0))
    ('0.12, 0.3', 'does not matter', '0.00, 1.0')
    """
    if cost is None:
        return "not known"
    return ", ".join(losses(cost)) if cost.matters else NO_MATTER


def cost_sentence(cost: Cost | None) -> str:
    """Say what an error costs at most, of all directions and bands.

    Examples
    --------
    >>> cost_sentence(Cost(0.12, 0.26))
    'It costs at most 0.12 dB of RDF and 0.3 dB of front-to-back.'
    """
    if cost is None:
        return ""
    if not cost.matters:
        return "The error does not matter to the pattern."
    rdf, back = losses(cost)
    return f"It costs at most {rdf} dB of RDF and {back} dB of front-to-back."


def losses(cost: Cost) -> tuple[str, str]:
    """Write what is lost of RDF and of front-to-back [dB], 0 where nothing is."""
    return rounded(max(cost.rdf_lost_db, 0.0), 2), rounded(max(cost.front_to_back_lost_db, 0.0), 1)


def printed_cost(plan: AnyPlan) -> str:
    """Say what the lines would cost had they been cut by the printed velocity factor; nothing without lines."""
    costs, found = LineCosts(plan), []
    for band in plan.bands:
        late = {line.label: row.nominal_phase_error_deg for line in plan.delay_lines for row in line.bands
                if row.name == band.name}  # fmt: skip
        cost = costs.of_lines(band.name, late) if late else None
        if cost is not None:
            found.append(f"{band.name} {cost_cell(cost)}")
    if not found:
        return ""
    return f"All lines cut by the printed velocity factor would cost, RDF and F/B in dB: {'; '.join(found)}."
