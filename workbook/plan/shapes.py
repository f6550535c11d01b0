"""Pattern metrics of every direction on every band, for the sheet and the JSON."""

from collections.abc import Iterator
from functools import partial

import numpy as np

from workbook.array.pattern_metrics import pattern_metrics
from workbook.design.directions import ArraySetup
from workbook.plan.patterns import HARDLY, fired
from workbook.plan.results import PatternNull, PatternShape, PlanDirection
from workbook.units import Angle, Quantity


def shapes(setup: ArraySetup, elevation: Angle, directions: tuple[PlanDirection, ...]) -> tuple[PatternShape, ...]:
    """Return the metrics of every pattern that is known, by direction and band."""
    return tuple(_shapes(setup, elevation, directions))


def _shapes(setup: ArraySetup, elevation: Angle, directions: tuple[PlanDirection, ...]) -> Iterator[PatternShape]:
    for one in directions:
        for band in one.bands:
            if band.rdf_db is not None:
                found = pattern_metrics(fired(setup.layout, setup.ground, elevation, one, setup.bands[band.name]))
                nulls = [_null(azimuth, depth) for azimuth, depth in found.nulls]
                nulls.sort(key=partial(_clockwise, one.azimuth_deg))
                yield PatternShape(
                    direction=one.name,
                    band=band.name,
                    front_to_rear_worst_db=_finite(found.front_to_rear_worst, "dB"),
                    front_to_rear_mean_db=_finite(found.front_to_rear_mean, "dB"),
                    azimuth_beamwidth_deg=_finite(found.azimuth_beamwidth, "degree"),
                    elevation_beamwidth_deg=_finite(found.elevation_beamwidth, "degree"),
                    peak_elevation_deg=float(found.peak_elevation.m_as("degree")),
                    nulls=tuple(nulls),
                )


def _clockwise(ahead_deg: float, null: PatternNull) -> float:
    """Return how far a null lies clockwise from a direction [degree]."""
    return (null.bearing_deg - ahead_deg) % 360


def _null(azimuth: Angle, depth: Quantity) -> PatternNull:
    below = -float(depth.m_as("dB"))
    return PatternNull(float(azimuth.m_as("degree")), None if below > HARDLY else below)


def _finite(value: Quantity, unit: str) -> float | None:
    plain = float(value.m_as(unit))
    return plain if np.isfinite(plain) else None
