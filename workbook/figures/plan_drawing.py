"""The array seen from above: elements, runs, hub, and which line each element goes through."""

import math

import numpy as np

from workbook.figures.ground_plan import (
    LEFT,
    SIDE,
    TOP,
    Field,
    dot,
    drawing,
    heading,
    north,
    pointer,
    runs,
    scales,
    square,
)
from workbook.figures.svg import over_lines, text
from workbook.plan.results import PlanDirection
from workbook.plan.stages import AnyPlan
from workbook.tables.wiring import LID_WORDS, lid_names

HEIGHT = TOP + SIDE + 74


def plan_drawing(plan: AnyPlan, direction: str | None = None) -> str:
    """Return a plan to scale, north up, as SVG; with a direction, where it fires and every element's line.

    Raises
    ------
    InputError
        When the plan has no such direction.
    """
    chosen = None if direction is None else plan.direction(direction)
    metres, hub = [(one.east_m, one.north_m) for one in plan.elements], (plan.hub_east_m, plan.hub_north_m)
    # more room round the elements for the names of their lines
    field = Field([*metres, hub], 3.4 if chosen else 3.0, plan.units.scale)
    aim = f"beam {chosen.name}, {chosen.azimuth_deg:g} deg" if chosen else "seen from above"
    parts = [
        *heading(f"{plan.name}: {aim}", _state(plan)),
        *scales(field),
        *runs(field, metres, hub),
        *(_name(field, plan, number, chosen) for number in range(len(plan.elements))),
        *(_arrow(field, chosen) if chosen else ()),
        *north(),
        *_key(chosen is not None),
    ]
    return drawing(parts, HEIGHT)


def _state(plan: AnyPlan) -> str:
    cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
    elevation = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg elevation"
    return f"{cable}, cut for {plan.cut_band}{elevation}"


def _name(field: Field, plan: AnyPlan, number: int, chosen: PlanDirection | None) -> str:
    """Write an element's number, and its line, on its outer side."""
    element = plan.elements[number]
    outward = np.array((element.east_m, element.north_m)) - field.middle
    distance = float(np.hypot(*outward))
    along = outward / distance if distance > 0.05 * field.reach else np.array((0.0, 1.0))
    x, y = field(element.east_m, element.north_m)
    anchor = "middle" if abs(along[0]) < 0.4 else "start" if along[0] > 0 else "end"
    words = str(element.number) + (f": {lid_names(plan, chosen)[number]}" if chosen else "")
    place = (x + 12 * float(along[0]), y - 16 * float(along[1]) + 4)
    return over_lines(text(*place, words, size=13, anchor=anchor, weight="bold"))


def _arrow(field: Field, chosen: PlanDirection) -> list[str]:
    azimuth = math.radians(chosen.azimuth_deg)
    toward = np.array((math.sin(azimuth), math.cos(azimuth))) * field.reach
    # a little aside, clear of the runs and of the names of a row's elements
    aside = 0.13 * np.array((-toward[1], toward[0]))
    start, end = (field(*(field.middle + aside + share * toward)) for share in (0.3, 0.78))
    return pointer(*start, *end, width=2.5)


def _key(fired: bool) -> list[str]:
    y = TOP + SIDE + 56
    parts = [dot(LEFT - 10, y), text(LEFT + 2, y + 4, "element", anchor="start")]
    parts += [square(LEFT + 80, y), text(LEFT + 92, y + 4, "hub", anchor="start")]
    return [*parts, text(LEFT + 135, y + 4, LID_WORDS if fired else "", anchor="start")]
