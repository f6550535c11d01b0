"""The choices of a search for fewest delays as a table."""

from workbook.array.fewest import FewestDelays, Solution
from workbook.design.schema import DesignFile
from workbook.formulas.lines import length_of_delay
from workbook.plan.cuts import design_cable
from workbook.tables.table import Table


def choice_table(design: DesignFile, best: FewestDelays, direction: str) -> Table:
    """Return the best choice and those that came next: rows, delays, RDF on every band, the longest line."""
    made_of, end = design_cable(design, design.cables.delay_line), design.ends.delay_line
    velocity = float(made_of.velocity(design.bands[design.phasing.cut_band].m_as("Hz")))

    def row(place: int, one: Solution) -> tuple[str, ...]:
        seconds = one.delays.m_as("s")
        longest = float(length_of_delay(max(seconds[-1] - 2 * end.delay.m_as("s"), 0.0), velocity))
        return (
            "best" if place == 0 else f"next {place}",
            "; ".join(
                f"{_numbers(row)} {_fed(*fed)}" for row, *fed in zip(one.rows, one.line, one.polarity, strict=True)
            ),
            ", ".join(f"{delay * 1e9:.2f}" for delay in seconds),
            *(f"{rdf:.2f}" for rdf in one.rdf.m_as("dB")),
            f"{one.white_noise_gain.m_as('dB').min():.1f}",
            design.units.text(longest),
        )

    headings = (
        "choice", "rows, front first: elements and what they go through", "delays ns",
        *(f"RDF on {name} dB" for name in design.bands), "least white-noise gain dB", "longest line",
    )  # fmt: skip
    rows = tuple(row(place, one) for place, one in enumerate((best, *best.runners_up)))
    return Table(
        f"Best choices with every element on, beam {direction} (line 1 is the shortest)",
        headings,
        rows,
    )


def _numbers(row: tuple[int, ...]) -> str:
    return "+".join(map(str, row))


def _fed(line: int, polarity: int) -> str:
    return ("direct" if line == 0 else f"line {line}") + (" reversed" if polarity < 0 else "")
