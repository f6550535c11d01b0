"""The whole delay behind every label of a plan."""

import numpy as np

from workbook.plan.stages import AnyPlan


def tap_delays(plan: AnyPlan) -> list[tuple[str, float]]:
    """Return the whole delay [s] behind every label, shortest first: of a ladder the pieces up to its tap."""
    whole = plan.hub_kind.at_taps(np.array([line.delay_s for line in plan.delay_lines]))
    return [(line.label, delay) for line, delay in zip(plan.delay_lines, whole.tolist(), strict=True)]
