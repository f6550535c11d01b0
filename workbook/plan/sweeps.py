"""What becomes of a direction as the array is made wider or narrower, and off its design frequencies."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.merit import FiguresOfMerit
from workbook.array.phasing import weights_of
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.cuts import band_frequencies
from workbook.plan.patterns import Field, field_of, figures, planned
from workbook.plan.results import Plan
from workbook.plan.rules import followed


@dataclass(frozen=True, eq=False)
class SpacingSweep:
    """RDF and white-noise gain [dB] by band, against the distance [m] of the nearest two elements, and that now."""

    direction: str
    spacing_m: Any
    present_m: float
    rdf_db: Mapping[str, Any]
    white_noise_gain_db: Mapping[str, Any]


@dataclass(frozen=True, eq=False)
class FrequencySweep:
    """RDF, front-to-back and white-noise gain [dB] against frequency [Hz], with the delays of the plan."""

    direction: str
    hertz: Any
    rdf_db: Any
    front_to_back_db: Any
    white_noise_gain_db: Any


def spacing_sweep(design: DesignFile, number: int, steps: int = 31) -> SpacingSweep:
    """Return how a direction (its place in the design, from 0) fares from two fifths to twice the present size.

    The rule is solved anew at every size; *entered* delays stay as they are, and with *fewest delays* the rows keep
    their lines while the delays follow.
    """
    layout, bands = design.array.layout(), band_frequencies(design)
    present = layout.nearest_m
    direction = design.directions[number]
    scales = np.union1d(np.geomspace(0.4, 2.0, steps), [1.0])
    rdf: dict[str, list[float]] = {name: [] for name in bands}
    white: dict[str, list[float]] = {name: [] for name in bands}
    for scale, asked in zip(scales, followed(design, layout, number, scales), strict=True):
        on = field_of(design, layout.metres * scale, [direction])
        for name, hertz in bands.items():
            found = None if asked is None else _known(on, asked.delays, asked.polarity * asked.amplitude, hertz)
            rdf[name].append(float("nan") if found is None else float(found.rdf_db[0]))
            white[name].append(float("nan") if found is None else float(found.white_noise_gain_db[0]))
    arrays = ({name: np.array(column) for name, column in table.items()} for table in (rdf, white))
    return SpacingSweep(direction.name, scales * present, present, *arrays)


def _known(on: Field, delays: Any, signs: Any, hertz: float) -> FiguresOfMerit | None:
    """Return one direction's figures, None where nothing arrives or the elements cancel: there the curve has a gap."""
    try:
        return figures(on, weights_of(delays, signs, hertz)[None], hertz)
    except InputError:
        return None


def frequency_sweep(design: DesignFile, plan: Plan, name: str, steps: int = 121) -> FrequencySweep:
    """Return how a direction of a plan fares from below the lowest band to above the highest."""
    fired = plan.direction(name)
    on = field_of(design, design.array.layout().metres, [one for one in design.directions if one.name == name])
    own = [band.frequency_hz for band in plan.bands]
    hertz = np.union1d(np.geomspace(0.8 * min(own), 1.25 * max(own), steps), own)
    found = [_known(on, *planned(fired), one) for one in hertz]
    columns = (
        np.array([np.nan if row is None else float(getattr(row, key)[0]) for row in found])
        for key in ("rdf_db", "front_to_back_db", "white_noise_gain_db")
    )
    return FrequencySweep(name, hertz, *columns)
