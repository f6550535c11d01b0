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


def firing(plan: AnyPlan, direction: str, band: str) -> Firing:
    """Return the array of a plan fired in one of its directions on one of its bands, lines having their exact delays.

    Raises
    ------
    InputError
        When there is no such direction or band.
    """
    elevation = Quantity(plan.elevation_deg, "degree")
    ground, hertz = ground_of(plan.ground), plan.band(band).frequency_hz
    return fired(layout_of(plan), ground, elevation, plan.direction(direction), hertz)
