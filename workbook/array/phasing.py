"""Delays that bring a wave from one direction into step at the hub; plain SI numbers."""

from typing import Any

import numpy as np

from workbook.formulas.lines import C


def aligned_delays(metres: Any, azimuth: Any, elevation: float) -> Any:
    """Return how long each element waits so that a wave from a direction adds in phase, the least wait being 0.

    The wave meets the elements nearest to its source first, so those wait longest: tau = (u . r - least)/c, with
    u the unit vector toward the source.

    Parameters
    ----------
    metres
        Positions (N, 2): east, north [m].
    azimuth
        Azimuths of the directions (...,) [rad], clockwise from north.
    elevation
        Elevation of the wave [rad].

    Returns
    -------
    float array (..., N) [s]
    """
    azimuth = np.asarray(azimuth)[..., None]
    projection = metres[:, 0] * np.sin(azimuth) + metres[:, 1] * np.cos(azimuth)
    ahead = projection * np.cos(elevation)
    return (ahead - ahead.min(axis=-1, keepdims=True)) / C
