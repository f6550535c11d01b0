"""The shape of every direction's pattern on every band, for the sheet and the JSON; a worksheet shows one at a time."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.pattern_metrics import pattern_metrics
from workbook.plan.pattern_lists import HARDLY, decibel_text, width_text
from workbook.plan.patterns import firing
from workbook.plan.results import Plan
from workbook.table import Table, gathered

MOST_NULLS = 6
"""Nulls that the sheet tells of each pattern."""


@dataclass(frozen=True)
class PatternNull:
    """A dip of the azimuth cut, and how far it lies below the cut's greatest; None if farther than one can build."""

    bearing_deg: float
    below_greatest_db: float | None


@dataclass(frozen=True)
class PatternShape:
    """The shape of one direction's pattern on one band: None where nothing comes from behind or nothing falls to half.

    Rear half: azimuths more than 90 degrees from the direction; worst over every elevation, mean over solid angle.
    Nulls come clockwise from the direction.
    """

    direction: str
    band: str
    front_to_rear_worst_db: float | None
    front_to_rear_mean_db: float | None
    azimuth_beamwidth_deg: float | None
    elevation_beamwidth_deg: float | None
    peak_elevation_deg: float
    nulls: tuple[PatternNull, ...]


def shapes(plan: Plan) -> tuple[PatternShape, ...]:
    """Return the shape of every pattern that is known, by direction and band."""
    return tuple(_shapes(plan))


def _shapes(plan: Plan) -> Iterator[PatternShape]:
    for one in plan.directions:
        for band in one.bands:
            if band.rdf_db is not None:
                found = pattern_metrics(firing(plan, one.name, band.name))
                nulls = [_null(azimuth, depth) for azimuth, depth in found.nulls]
                nulls.sort(key=lambda null: (null.bearing_deg - one.azimuth_deg) % 360)
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


def _null(azimuth: Any, depth: Any) -> PatternNull:
    below = -float(depth.m_as("dB"))
    return PatternNull(float(azimuth.m_as("degree")), None if below > HARDLY else below)


def _finite(value: Any, unit: str) -> float | None:
    plain = float(value.m_as(unit))
    return plain if np.isfinite(plain) else None


def shapes_table(plan: Plan) -> Table:
    """Return the shape of every pattern, by band; nulls clockwise from the direction."""
    azimuth = {one.name: one.azimuth_deg for one in plan.directions}
    rows = [
        (
            one.band,
            one.direction,
            decibel_text(one.front_to_rear_worst_db),
            decibel_text(one.front_to_rear_mean_db),
            width_text(one.azimuth_beamwidth_deg),
            width_text(one.elevation_beamwidth_deg),
            f"{one.peak_elevation_deg:.0f}",
            "; ".join(_null_text(null, azimuth[one.direction]) for null in one.nulls[:MOST_NULLS]) or "none",
        )
        for one in shapes(plan)
    ]
    rows.sort(key=lambda row: [band.name for band in plan.bands].index(row[0]))
    headings = (
        "band",
        "direction",
        "front over worst of rear half dB",
        "front over mean of rear half dB",
        "half-power width, azimuth deg",
        "half-power width, elevation deg",
        "greatest at elevation deg",
        "nulls: deg clockwise of the direction, dB down",
    )
    return Table("Shape of the pattern", headings, gathered(rows, (1,)))


def _null_text(null: PatternNull, azimuth_deg: float) -> str:
    # rounded first, so that 359.6 is not written as 360
    return f"{round(null.bearing_deg - azimuth_deg) % 360} deg, {decibel_text(null.below_greatest_db)} dB"
