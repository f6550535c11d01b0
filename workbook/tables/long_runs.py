"""Which cable is good enough for long runs: every cable's loss, margin, feed and cost, and the choice in words."""

from workbook.chain.cable_comparison import CableComparison, CableRow, Recommendation
from workbook.formatting import LengthUnits, rounded
from workbook.plan.reception import PlanFeed, Reception
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.receive import NO_FEED, UNKNOWN, arriving_volts, decibels, feed_sentence, megahertz, noise_cost_db
from workbook.tables.table import Table

NOISE_MATTERS_DB = 0.05
"""Change of the noise floor [dB] below which it does not matter, as for RDF (common practice, no published source)."""


def cable_table(comparison: CableComparison, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return every cable's loss, margin, feed, size and cost on all bands."""
    names = [loss.band for loss in comparison.rows[0].bands]
    headings = ("cable", *(f"{name} loss dB (range)" for name in names), *(f"{name} margin dB" for name in names))
    headings += ("feed V", "cost", f"mass {_mass_scale(units)[0]}", f"diameter {units.small_scale[0]}", "meets")
    return Table(_runs_title(comparison, units), headings, tuple(_cable_cells(row, units) for row in comparison.rows))


def _runs_title(comparison: CableComparison, units: LengthUnits) -> str:
    runs = comparison.runs
    each, whole = (float(run.m_as("m")) for run in (runs.element_run, runs.receiver_run))
    parts = [f"{runs.elements} element runs of {units.about(each, 1)}"] if each else []
    parts += [f"receiver run of {units.about(whole, 1)}"] if whole else []
    return f"Cables for {' and '.join(parts)}, margin wanted {decibels(comparison.wanted_margin)} dB"


def _cable_cells(row: CableRow, units: LengthUnits) -> tuple[str, ...]:
    losses, (unit, size) = [], units.small_scale
    for loss in row.bands:
        spread = (
            ""
            if decibels(loss.least) == decibels(loss.greatest)
            else f" ({decibels(loss.least)} to {decibels(loss.greatest)})"
        )
        losses.append(f"{decibels(loss.typical)}{spread}")
    margins = [decibels(loss.worst_margin.margin, 1, "+") for loss in row.bands]
    return (
        row.cable.name,
        *losses,
        *margins,
        UNKNOWN if row.feed is None else arriving_volts(float(row.feed.voltage.m_as("V"))),
        "no price" if row.cost is None else f"{row.cost:.2f}",
        UNKNOWN if row.mass is None else rounded(float(row.mass.m_as("kg")) / _mass_scale(units)[1], 1),
        UNKNOWN if row.diameter is None else rounded(float(row.diameter.m_as("m")) / size, 1 if unit == "mm" else 2),
        "yes" if row.meets else "no",
    )


def _mass_scale(units: LengthUnits) -> tuple[str, float]:
    """Return the unit of a mass, and how much one is [kg]."""
    return ("lb", 0.45359237) if units is LengthUnits.FEET else ("kg", 1.0)


def burial_sentences(comparison: CableComparison) -> tuple[str, ...]:
    """Return which cables exist in a version for burial, and which losses are estimates."""
    said = dict[str, list[str]]()
    for row in comparison.rows:
        for text in row.burial:
            said.setdefault(text, []).append(row.cable.name)
    buried = (f"{', '.join(names)}: {text}." for text, names in said.items())
    estimated = (
        f"{row.cable.name}: loss below {megahertz(row.estimated_below)} MHz is an estimate."
        for row in comparison.rows
        if row.estimated_below is not None
    )
    return (*buried, *estimated)


def recommendation_sentences(comparison: CableComparison) -> tuple[str, ...]:
    """Return the choice in plain words: the cheapest that meets the margin, the runner-up, and why."""
    found, wanted = comparison.recommendation, decibels(comparison.wanted_margin)
    said = _choice(found, wanted)
    unpriced = [row.cable.name for row in comparison.rows if row.cost is None]
    if unpriced and len(unpriced) < len(comparison.rows):
        said.append(f"Without a price, and so not ranked by cost: {', '.join(unpriced)}.")
    elif unpriced:
        said.append("No cable has a price: enter prices to rank them by cost.")
    said += [feed_sentence(row.feed) for row in comparison.rows[:1] if row.feed and not row.feed.is_enough]
    return tuple(said)


def _choice(found: Recommendation, wanted: str) -> list[str]:
    if found.best is None:
        if found.nearest is None:
            return ["No cable with a price meets the margin; those without a price that do are marked."]
        least = found.nearest.least_margin
        return [
            f"No cable meets {wanted} dB on all bands with its feed: nearest is {found.nearest.cable.name} with "
            f"{decibels(least.margin, 1, '+')} dB on {least.case}, where most internal noise comes from: {least.limit}."
        ]
    best, margin = found.best, found.best.least_margin
    said = [
        f"Take {best.cable.name}: of all that keep external noise {wanted} dB above internal noise on every band it is "
        f"the cheapest ({best.cost:.2f}), with {decibels(margin.margin, 1, '+')} dB on {margin.case}."
    ]
    if found.runner_up is not None:
        said.append(
            f"Runner-up is {found.runner_up.cable.name} ({found.runner_up.cost:.2f}), with "
            f"{decibels(found.runner_up.least_margin.margin, 1, '+')} dB."
        )
    if found.next_better is not None and found.gain is not None and found.gain_per_cost is not None:
        better = found.next_better.least_margin.margin
        falls = noise_cost_db(float(margin.margin.m_as("dB"))) - noise_cost_db(float(better.m_as("dB")))
        gained = f"lowers the noise floor by {falls:.2f} dB" if falls >= NOISE_MATTERS_DB else "does not matter"
        said.append(
            f"The next better one, {found.next_better.cable.name}, buys {decibels(found.gain)} dB of margin more, "
            f"{found.gain_per_cost:.3g} dB per unit of money; that {gained}."
        )
    return said


def long_runs_answer(found: CableComparison, chosen: str, reception: Reception, feed: PlanFeed) -> AnswerLine:
    """Return what a builder decides a cable by.

    Parameters
    ----------
    found
        The comparison.
    chosen
        Cable of the design's receiver run.
    reception, feed
        What the plan says with the design's cables.
    """
    best, least, wanted = found.recommendation.best, reception.least, reception.wanted_margin_db
    met = "keeps" if least.margin_db >= wanted else "misses"
    good = sum(row.meets for row in found.rows)
    figures = (
        Figure("cables good enough", f"{good} of {len(found.rows)}"),
        Figure("cheapest good enough", _cheapest(best)),
        Figure("margin of the design", rounded(least.margin_db, 1, "+"), f"dB, {met} the {wanted:g} dB wanted"),
        _voltage(feed),
    )
    where = f"least margin on {least.name}, beam {least.direction}, limited by {least.limit}"
    return AnswerLine(f"{chosen} as receiver run; {where}", figures)


def _cheapest(best: CableRow | None) -> str:
    if best is None:
        return "none with a price"
    return f"{best.cable.name} ({decibels(best.least_margin.margin, 1, '+')} dB)"


def _voltage(feed: PlanFeed) -> Figure:
    """Return the voltage that arrives, and whether it is enough; a negative one means that the feed does not work."""
    volts = arriving_volts(feed.voltage_v)
    if volts == NO_FEED:
        return Figure("feed", volts)
    met = "enough" if feed.is_enough else f"below the {feed.least_voltage_v:g} V needed"
    return Figure("voltage that arrives", volts, f"V, {met}")
