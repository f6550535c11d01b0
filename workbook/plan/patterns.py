"""The pattern's figures of a plan: every direction on every band, with what is planned for each element."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.array.ground import PERFECT_GROUND, AnyGround, Ground, nothing_arrives
from workbook.array.layout import Layout
from workbook.array.merit import Arrival, FiguresOfMerit, error_variance
from workbook.array.phasing import weights_of
from workbook.design.directions import Direction, Feeds
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.results import DirectionBand, GroundBelow, PlanDirection
from workbook.units import Angle, ComplexArray, FloatArray, Quantity


def ground_below(ground: AnyGround) -> GroundBelow:
    """Return a ground as a plan says it."""
    if isinstance(ground, Ground):
        return GroundBelow("entered", ground.relative_permittivity, ground.conductivity.m_as("S/m"))
    return GroundBelow("perfect" if ground == PERFECT_GROUND else "none", None, None)


def planned(fired: PlanDirection) -> tuple[FloatArray, FloatArray]:
    """Return delays [s], not a number where off, and amplitude times polarity of a direction's elements, (N,) each."""
    delays = np.array([np.nan if feed.delay_s is None else feed.delay_s for feed in fired.elements])
    return delays, np.array([feed.polarity * feed.amplitude for feed in fired.elements])


def fired(layout: Layout, ground: AnyGround, elevation: Angle, direction: PlanDirection, hertz: float) -> Firing:
    """Return an array fired in a planned direction on a frequency [Hz], lines having their exact delays."""
    return Firing(
        layout,
        weights_of(*planned(direction), hertz),
        Quantity(hertz, "Hz"),
        Quantity(direction.azimuth_deg, "degree"),
        elevation,
        ground,
    )


@dataclass(frozen=True, eq=False)
class Field:
    """Where elements stand, (N, 2) [m]; where directions fire [rad]; the ground."""

    metres: Any
    azimuths: Any
    elevation: float
    ground: AnyGround


def field_of(design: DesignFile, metres: Any, directions: Sequence[Direction]) -> Field:
    """Return the array of a design at some positions (N, 2) [m], fired in some of its directions."""
    azimuths = np.array([one.azimuth.m_as("radian") for one in directions])
    return Field(metres, azimuths, design.phasing.elevation_radians, design.ground_below())


def figures(on: Field, weights: ComplexArray, hertz: float) -> FiguresOfMerit | None:
    """Return the figures of weights (D, N) on a frequency [Hz], or None where nothing arrives.

    Raises
    ------
    InputError
        When the elements cancel so exactly that rounding decides.
    """
    if nothing_arrives(on.ground, hertz, on.elevation):
        return None
    found = FiguresOfMerit(Arrival(on.metres, hertz, on.azimuths, on.elevation, on.ground), weights)
    try:
        found.noise  # noqa: B018 - computed here, so that a refusal names the design's key
    except InputError as error:
        raise error.at("phasing") from None
    return found


def band_figures(
    on: Field, given: Feeds, rule_on: Mapping[str, Feeds | None], bands: Mapping[str, float]
) -> tuple[tuple[DirectionBand, ...], ...]:
    """Return, for every direction, its figures on every band.

    Parameters
    ----------
    on
        Where the array stands and fires.
    given
        What the lines give every direction.
    rule_on
        What the rule gives when it is solved for each band alone, None where it has no answer.
    bands
        Frequencies [Hz] by name.
    """
    columns = [_on_band(name, on, given, rule_on[name], hertz) for name, hertz in bands.items()]
    return tuple(zip(*columns, strict=True))


def _on_band(name: str, on: Field, given: Feeds, alone: Feeds | None, hertz: float) -> list[DirectionBand]:
    as_planned = given.weights(hertz)
    found = figures(on, as_planned, hertz)
    if found is None:
        return [DirectionBand(name, *[None] * 9) for _ in on.azimuths]
    rule_rdf, off = found.rdf_db, np.zeros(len(as_planned))
    if alone is not given:
        rule_rdf, off = _by_rule(on, as_planned, alone, hertz)
    columns = {
        "rdf_db": found.rdf_db,
        "front_to_back_db": found.front_to_back_db,
        "signal_gain_db": found.signal_gain_db,
        "noise_gain_db": found.noise_gain_db,
        "white_noise_gain_db": found.white_noise_gain_db,
        "rdf_lost_to_errors_db": found.error_loss_db(CAREFUL),
        "rule_rdf_db": rule_rdf,
        "phase_from_rule_deg": off,
        "elsewhere_over_aim_db": found.peak_over_aim_db(),
    }
    rows = (dict(zip(columns, row, strict=True)) for row in np.array(list(columns.values())).T.tolist())
    return [DirectionBand(name, **{k: v if np.isfinite(v) else None for k, v in row.items()}) for row in rows]


def _by_rule(on: Field, as_planned: Any, alone: Feeds | None, hertz: float) -> tuple[Any, Any]:
    """Return the RDF of what the rule asks for on this band alone, and how far [degree] the planned is from it."""
    by_rule = None if alone is None else alone.weights(hertz)
    ruled = None if by_rule is None else figures(on, by_rule, hertz)
    if ruled is None:
        return (np.full(len(as_planned), np.nan),) * 2
    return ruled.rdf_db, _phase_apart(as_planned, by_rule)


def _phase_apart(as_planned: Any, by_rule: Any) -> Any:
    """Return the greatest phase [degree] by which an element is off its rule, the best common phase left out.

    All differences lie on the arc that the widest gap between them leaves; its middle is that common phase.
    """
    found = []
    for turned in as_planned * by_rule.conj():
        angle = np.sort(np.angle(turned[turned != 0], deg=True) % 360)
        gaps = np.diff(angle, append=angle[0] + 360)
        found.append((360 - gaps.max()) / 2)
    return np.array(found)


HARDLY = 60.0
"""A back or null deeper than this [dB] is written as deeper still: no array is built that exactly."""

CAREFUL = error_variance(0.1, np.radians(1.0))
"""Variance of the errors of 0.1 dB and 1 degree (standard deviations) that a careful builder still has."""
