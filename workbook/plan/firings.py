"""The array of a plan, fired."""

from workbook.array.firing import Firing
from workbook.array.ground import FREE_SPACE, PERFECT_GROUND, AnyGround, Ground
from workbook.array.layout import Layout, layout_from
from workbook.plan.patterns import fired
from workbook.plan.results import GroundBelow
from workbook.plan.stages import AnyPlan
from workbook.units import Quantity


def ground_of(below: GroundBelow) -> AnyGround:
    """Return the ground that a plan says."""
    if below.relative_permittivity is not None:
        return Ground(below.relative_permittivity, Quantity(below.conductivity_s_per_m, "S/m"))
    return PERFECT_GROUND if below.kind == "perfect" else FREE_SPACE


def layout_of(plan: AnyPlan) -> Layout:
    """Return where the elements of a plan stand."""
    return layout_from(Quantity([[element.east_m, element.north_m] for element in plan.elements], "m"))


def firing(plan: AnyPlan, direction: str, band: str, hertz: float | None = None) -> Firing:
    """Return the array of a plan fired in one of its directions on one of its bands, lines having their exact delays.

    Parameters
    ----------
    plan, direction, band
        The plan, and names of its own.
    hertz
        An exact frequency in place of that of the band [Hz].

    Raises
    ------
    InputError
        When there is no such direction or band.
    """
    elevation = Quantity(plan.elevation_deg, "degree")
    usual = plan.band(band).frequency_hz
    at = usual if hertz is None else hertz
    return fired(layout_of(plan), ground_of(plan.ground), elevation, plan.direction(direction), at)
