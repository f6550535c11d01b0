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
    text,
)
from workbook.plan.results import Feed, Plan, PlanDirection

HEIGHT = TOP + SIDE + 74


def plan_drawing(plan: Plan, direction: str | None = None) -> str:
    """Return a plan to scale, north up, as SVG; with a direction, where it fires and every element's line.

    Raises
    ------
    InputError
        When the plan has no such direction.
    """
    chosen = None if direction is None else plan.direction(direction)
    metres, hub = [(one.east_m, one.north_m) for one in plan.elements], (plan.hub_east_m, plan.hub_north_m)
    field = Field([*metres, hub])
    aim = f"fired {chosen.name}, {chosen.azimuth_deg:g} deg" if chosen else "seen from above"
    parts = [
        *heading(f"{plan.name}: {aim}", _state(plan)),
        *scales(field),
        *runs(field, metres, hub),
        *(_name(field, plan, number, chosen) for number in range(len(plan.elements))),
        *(_arrow(field, chosen) if chosen else ()),
        *north(),
        *_key(),
    ]
    return drawing(parts, HEIGHT)


def _state(plan: Plan) -> str:
    cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
    elevation = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg elevation"
    return f"{cable}, cut for {plan.cut_band}{elevation}"


def _name(field: Field, plan: Plan, number: int, chosen: PlanDirection | None) -> str:
    """Write an element's number, and its line, on its outer side."""
    element = plan.elements[number]
    outward = np.array((element.east_m, element.north_m)) - field.middle
    distance = float(np.hypot(*outward))
    along = outward / distance if distance > 0.05 * field.reach else np.array((0.0, 1.0))
    x, y = field(element.east_m, element.north_m)
    anchor = "middle" if abs(along[0]) < 0.4 else "start" if along[0] > 0 else "end"
    words = str(element.number) + (f": {_line(chosen.elements[number])}" if chosen else "")
    return text(x + 12 * float(along[0]), y - 16 * float(along[1]) + 4, words, size=13, anchor=anchor, weight="bold")


def _line(feed: Feed) -> str:
    if feed.polarity == 0:
        return "off"
    return (feed.line or "direct") + (" rev." if feed.polarity < 0 else "")


def _arrow(field: Field, chosen: PlanDirection) -> list[str]:
    azimuth = math.radians(chosen.azimuth_deg)
    toward = np.array((math.sin(azimuth), math.cos(azimuth))) * field.reach
    start, end = (field(*(field.middle + share * toward)) for share in (0.3, 0.78))
    return pointer(*start, *end, width=2.5)


def _key() -> list[str]:
    y = TOP + SIDE + 56
    parts = [dot(LEFT + 70, y), text(LEFT + 82, y + 4, "element", anchor="start")]
    return [*parts, square(LEFT + 180, y), text(LEFT + 192, y + 4, "hub", anchor="start")]
