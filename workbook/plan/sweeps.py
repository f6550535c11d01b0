"""What becomes of a direction as the array is made wider or narrower, and off its design frequencies."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from workbook.array.merit import FiguresOfMerit
from workbook.array.phasing import weights_of
from workbook.errors import InputError
from workbook.plan.feeds import place_of
from workbook.plan.patterns import Field, field_of, figures, planned
from workbook.plan.stages import Stages
from workbook.units import ComplexArray, FloatArray


@dataclass(frozen=True, eq=False)
class SpacingSweep:
    """RDF and white-noise gain [dB] by band, against the distance [m] of the nearest two elements, and that now."""

    direction: str
    spacing_m: FloatArray
    present_m: float
    rdf_db: Mapping[str, FloatArray]
    white_noise_gain_db: Mapping[str, FloatArray]


@dataclass(frozen=True, eq=False)
class FrequencySweep:
    """RDF, front-to-back and white-noise gain [dB] against frequency [Hz], with the delays of the plan."""

    direction: str
    hertz: FloatArray
    rdf_db: FloatArray
    front_to_back_db: FloatArray
    white_noise_gain_db: FloatArray


def spacing_sweep(stages: Stages, name: str, steps: int = 31) -> SpacingSweep:
    """Return how a direction fares from two fifths to twice the present size.

    The rule is solved again at every size; *entered* delays stay as they are, and with *fewest delays* the rows keep
    their lines while the delays follow.
    """
    design, setup, number = stages.design, stages.setup, place_of(stages.design, name)
    direction, present = design.directions[number], setup.layout.nearest_m
    scales = np.union1d(np.geomspace(0.4, 2.0, steps), [1.0])
    rdf: dict[str, list[float]] = {band: [] for band in setup.bands}
    white: dict[str, list[float]] = {band: [] for band in setup.bands}
    solved = design.phasing.feeds_scaled(setup, direction, scales, stages.searched[number])
    for scale, feeds in zip(scales, solved, strict=True):
        on = field_of(design, setup.layout.metres * scale, [direction])
        for band, hertz in setup.bands.items():
            found = None if feeds is None else _known(on, feeds.weights(hertz), hertz)
            rdf[band].append(float("nan") if found is None else float(found.rdf_db[0]))
            white[band].append(float("nan") if found is None else float(found.white_noise_gain_db[0]))
    arrays = ({band: np.array(column) for band, column in table.items()} for table in (rdf, white))
    return SpacingSweep(name, scales * present, present, *arrays)


def _known(on: Field, weights: ComplexArray, hertz: float) -> FiguresOfMerit | None:
    """Return one direction's figures, None where nothing arrives or the elements cancel: there the curve has a gap."""
    try:
        return figures(on, weights[None], hertz)
    except InputError:
        return None


def frequency_sweep(stages: Stages, name: str, steps: int = 121) -> FrequencySweep:
    """Return how a direction of a plan fares from below the lowest band to above the highest."""
    design, fired = stages.design, stages.direction(name)
    on = field_of(design, stages.setup.layout.metres, [one for one in design.directions if one.name == name])
    own = list(stages.setup.bands.values())
    hertz = np.union1d(np.geomspace(0.8 * min(own), 1.25 * max(own), steps), own)
    found = [_known(on, weights_of(*planned(fired), one), one) for one in hertz]
    columns = (
        np.array([np.nan if row is None else float(getattr(row, key)[0]) for row in found])
        for key in ("rdf_db", "front_to_back_db", "white_noise_gain_db")
    )
    return FrequencySweep(name, hertz, *columns)
