"""The delay lines behind the elements of a direction, as the engine of tolerances takes them."""

from dataclasses import dataclass

import numpy as np

from workbook.plan.results import Feed
from workbook.plan.stages import AnyPlan
from workbook.units import FloatArray, Quantity, Time


@dataclass(frozen=True, eq=False)
class ElementLines:
    """What lies behind each element in one direction.

    Attributes
    ----------
    labels
        The line of each element (N,), None where it has none.
    seconds
        Delay in the cable of each element's line (N,) [s], without the connectors; 0 where it has none.
    velocity_factor
        Of the delay lines on the cut band; 1 where there are none.
    same_line
        Indices, from 0, of elements that share a line and so its errors.
    """

    labels: tuple[str | None, ...]
    seconds: FloatArray
    velocity_factor: float
    same_line: tuple[tuple[int, ...], ...]

    @property
    def delays(self) -> Time:
        """The delays as a quantity."""
        return Quantity(self.seconds, "s")

    @property
    def any(self) -> bool:
        """Whether any element has a delay line."""
        return bool(np.any(self.seconds > 0))


def cable_delays(plan: AnyPlan) -> dict[str, float]:
    """Return the delay [s] in the cable of each delay line, of a ladder's piece, without its two connectors."""
    return {line.label: line.delay_s - 2 * plan.connector_delay_s for line in plan.delay_lines}


def element_lines(plan: AnyPlan, direction: str) -> ElementLines:
    """Return the lines behind the elements of a direction.

    In a ladder every tap counts as a line of its own that reaches from the tap to the undelayed end.

    Raises
    ------
    InputError
        When there is no such direction.
    """
    feeds = plan.direction(direction).elements
    pieces = cable_delays(plan)
    taps = dict(zip(pieces, plan.hub_kind.at_taps(np.array(list(pieces.values()))).tolist(), strict=True))
    labels = tuple(feed.line if feed.polarity else None for feed in feeds)
    return ElementLines(
        labels=labels,
        seconds=np.array([0.0 if label is None else taps[label] for label in labels]),
        velocity_factor=plan.delay_lines[0].velocity_factor if plan.delay_lines else 1.0,
        same_line=_shared(plan, feeds, labels),
    )


def _shared(plan: AnyPlan, feeds: tuple[Feed, ...], labels: tuple[str | None, ...]) -> tuple[tuple[int, ...], ...]:
    """Return which elements share a line: of a hub that sums first those of one line and, but in a ladder, polarity."""
    if not plan.hub_kind.sums_first:
        return ()
    groups: dict[tuple[str, int], list[int]] = {}
    for index, (feed, label) in enumerate(zip(feeds, labels, strict=True)):
        if label is not None:
            groups.setdefault((label, 0 if plan.hub_kind.in_series else feed.polarity), []).append(index)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)
