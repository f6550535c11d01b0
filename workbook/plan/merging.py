"""Fewer delay lines for a wider tolerance: how many each takes, and what the pattern loses."""

from collections.abc import Iterator

from workbook.design.directions import Feeds
from workbook.design.schema import DesignFile
from workbook.plan.costs import PatternCosts
from workbook.plan.delays import distinct_lines, served
from workbook.plan.results import MergeOption

TOLERANCES_DEG = (0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 30)
"""Tolerances on the highest band that are tried, in the steps that one would write."""


def merge_options(design: DesignFile, costs: PatternCosts, wanted: Feeds) -> tuple[MergeOption, ...]:
    """Return the least tolerance for every smaller number of lines, most lines first.

    Parameters
    ----------
    design
        The design, of which hub and bands count; what it merges itself does not.
    costs
        The pattern of feeds that have every delay exactly.
    wanted
        What the rule gives every element, (D, N).
    """
    return tuple(_options(design, costs, wanted))


def _options(design: DesignFile, costs: PatternCosts, wanted: Feeds) -> Iterator[MergeOption]:
    highest, hub = max(design.band_hertz.values()), type(design.hub)
    fewest = len(distinct_lines(wanted, highest, hub).delays)
    for tolerance in TOLERANCES_DEG:
        lines = distinct_lines(wanted, highest, hub, tolerance)
        if len(lines.delays) < fewest:
            fewest = len(lines.delays)
            cost = costs.of_feeds(served(wanted, lines))
            lost = (None, None) if cost is None else cost
            yield MergeOption(float(tolerance), fewest, int(lines.counts.sum()), *lost)
