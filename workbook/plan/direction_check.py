"""What to expect when checking directions: the level of a signal from each azimuth in each switch position."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.pattern import response
from workbook.plan.firings import firing
from workbook.plan.stages import AnyPlan

COMPASS = tuple(45.0 * n for n in range(8))


@dataclass(frozen=True, eq=False)
class Levels:
    """Levels [dB over one element] (azimuths, positions) at the design's elevation on one band."""

    band: str
    elevation_deg: float
    azimuths_deg: Any
    positions: tuple[str, ...]
    level_db: Any


def expected_levels(plan: AnyPlan, band: str) -> Levels:
    """Return what one and the same signal gives from the azimuths of all directions and the eight winds.

    Raises
    ------
    InputError
        When nothing arrives at the elevation.
    """
    azimuths = np.unique(np.round([*COMPASS, *(one.azimuth_deg % 360 for one in plan.directions)], 3))
    columns = []
    for one in plan.directions:
        fired = firing(plan, one.name, band)
        total = response(fired, np.radians(azimuths), fired.arrival.elevation) / np.sqrt(fired.arrival.element_power)
        columns.append(20 * np.log10(np.maximum(np.abs(total), 1e-9)))
    positions = tuple(one.name for one in plan.directions)
    return Levels(band, plan.elevation_deg, azimuths, positions, np.column_stack(columns))
