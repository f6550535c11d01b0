"""The pattern's figures of a plan: every direction on every band, with what is planned for each element."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.array.ground import FREE_SPACE, PERFECT_GROUND, AnyGround, Ground, nothing_arrives
from workbook.array.layout import Layout, layout_from
from workbook.array.merit import Arrival, FiguresOfMerit, error_variance
from workbook.array.phasing import weights_of
from workbook.design.schema import DesignFile, Direction
from workbook.errors import InputError
from workbook.plan.results import DirectionBand, GroundBelow, Plan, PlanDirection
from workbook.plan.rules import Feeds
from workbook.units import ComplexArray, Quantity


def ground_below(ground: AnyGround) -> GroundBelow:
    """Return a ground as a plan says it."""
    if isinstance(ground, Ground):
        return GroundBelow("entered", ground.relative_permittivity, ground.conductivity.m_as("S/m"))
    return GroundBelow("perfect" if ground == PERFECT_GROUND else "none", None, None)


def ground_of(below: GroundBelow) -> AnyGround:
    """Return the ground that a plan says."""
    if below.kind == "entered":
        assert below.relative_permittivity is not None
        return Ground(below.relative_permittivity, Quantity(below.conductivity_s_per_m, "S/m"))
    return PERFECT_GROUND if below.kind == "perfect" else FREE_SPACE


def layout_of(plan: Plan) -> Layout:
    """Return where the elements of a plan stand."""
    return layout_from(Quantity([[element.east_m, element.north_m] for element in plan.elements], "m"))


def planned(fired: PlanDirection) -> tuple[Any, Any]:
    """Return delays [s], not a number where off, and amplitude times polarity of a direction's elements, (N,) each."""
    delays = np.array([np.nan if feed.delay_s is None else feed.delay_s for feed in fired.elements])
    return delays, np.array([feed.polarity * feed.amplitude for feed in fired.elements])


def firing(plan: Plan, direction: str, band: str) -> Firing:
    """Return the array of a plan fired in one of its directions on one of its bands, lines having their exact delays.

    Raises
    ------
    InputError
        When there is no such direction or band, or the design says no elevation.
    """
    fired, on = plan.direction(direction), plan.band(band)
    if plan.elevation_deg is None:
        raise InputError(
            "the design says none, so there is no pattern",
            where="phasing.elevation",
            remedy='write elevation = "20 deg"',
        )
    return Firing(
        layout_of(plan),
        weights_of(*planned(fired), on.frequency_hz),
        Quantity(on.frequency_hz, "Hz"),
        Quantity(fired.azimuth_deg, "degree"),
        Quantity(plan.elevation_deg, "degree"),
        ground_of(plan.ground),
    )


@dataclass(frozen=True, eq=False)
class Field:
    """Where elements stand, (N, 2) [m]; where directions fire [rad], elevation None if not said; the ground."""

    metres: Any
    azimuths: Any
    elevation: float | None
    ground: AnyGround


def field_of(design: DesignFile, metres: Any, directions: Sequence[Direction]) -> Field:
    """Return the array of a design at some positions (N, 2) [m], fired in some of its directions."""
    azimuths = np.array([one.azimuth.m_as("radian") for one in directions])
    elevation = None if design.phasing.elevation is None else design.phasing.elevation.m_as("radian")
    return Field(metres, azimuths, elevation, design.ground_below())


def figures(on: Field, weights: ComplexArray, hertz: float) -> FiguresOfMerit | None:
    """Return the figures of weights (D, N) on a frequency [Hz], or None where nothing arrives.

    Raises
    ------
    InputError
        When the elements cancel so exactly that rounding decides.
    """
    if on.elevation is None or nothing_arrives(on.ground, hertz, on.elevation):
        return None
    found = FiguresOfMerit(Arrival(on.metres, hertz, on.azimuths, on.elevation, on.ground), weights)
    try:
        found.noise  # noqa: B018 - computed here, so that a refusal names the design's key
    except InputError as error:
        raise error.at("phasing") from None
    return found


def band_figures(
    on: Field, asked: Feeds, rule_on: Mapping[str, Feeds | None], bands: Mapping[str, float]
) -> tuple[tuple[DirectionBand, ...], ...]:
    """Return, for every direction, its figures on every band.

    Parameters
    ----------
    on
        Where the array stands and fires.
    asked
        What is planned for every direction.
    rule_on
        What the rule asks for when it is solved for each band alone, None where it has no answer.
    bands
        Frequencies [Hz] by name.
    """
    columns = [_on_band(name, on, asked, rule_on[name], hertz) for name, hertz in bands.items()]
    return tuple(zip(*columns, strict=True))


def _on_band(name: str, on: Field, asked: Feeds, alone: Feeds | None, hertz: float) -> list[DirectionBand]:
    as_planned = weights_of(asked.delays, asked.polarity * asked.amplitude, hertz)
    found = figures(on, as_planned, hertz)
    if found is None:
        return [DirectionBand(name, *[None] * 9) for _ in on.azimuths]
    rule_rdf, off = found.rdf_db, np.zeros(len(as_planned))
    if alone is not asked:
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
    by_rule = None if alone is None else weights_of(alone.delays, alone.polarity * alone.amplitude, hertz)
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


CAREFUL = error_variance(0.1, np.radians(1.0))
"""Variance of the errors of 0.1 dB and 1 degree (standard deviations) that a careful builder still has."""
