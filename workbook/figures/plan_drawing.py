"""The array seen from above: elements, runs, hub, and which line each element goes through.

Drawn by hand as SVG, since it follows every move of a slider and a plotting library takes thirty times as long.
"""

import math
from html import escape

import numpy as np

from workbook.figures.style import FAINT, FIRST, INK, SECOND
from workbook.plan.results import Feed, Plan, PlanDirection

SIDE, LEFT, TOP = 330.0, 58.0, 48.0
"""Width and height of the field, and where it begins [px]."""
WIDTH, HEIGHT = LEFT + SIDE + 12, TOP + SIDE + 74


class _Field:
    """Metres to pixels, north up, both scales alike."""

    def __init__(self, plan: Plan) -> None:
        points = [(element.east_m, element.north_m) for element in plan.elements]
        everything = np.array([*points, (plan.hub_east_m, plan.hub_north_m)])
        self.middle = (everything.max(axis=0) + everything.min(axis=0)) / 2
        self.reach = float(max(np.ptp(everything, axis=0).max() / 2, 1.0))
        self.scale = SIDE / (3.0 * self.reach)

    def __call__(self, east: float, north: float) -> tuple[float, float]:
        """Return the pixel of a place in metres."""
        x, y = (np.array((east, north)) - self.middle) * self.scale
        return LEFT + SIDE / 2 + float(x), TOP + SIDE / 2 - float(y)

    def ticks(self, axis: int) -> list[float]:
        """Return round metres across the field, five to seven of them."""
        step = _round_step(3.0 * self.reach / 6)
        low, high = (self.middle[axis] + side * 1.5 * self.reach for side in (-1, 1))
        return [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _round_step(least: float) -> float:
    decade = 10.0 ** math.floor(math.log10(least))
    return next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= least)


def plan_drawing(plan: Plan, direction: str | None = None) -> str:
    """Return a plan to scale, north up, as SVG; with a direction, where it fires and every element's line.

    Raises
    ------
    InputError
        When the plan has no such direction.
    """
    chosen = None if direction is None else plan.direction(direction)
    field = _Field(plan)
    aim = f"fired {chosen.name}, {chosen.azimuth_deg:g} deg" if chosen else "seen from above"
    parts = [
        _text(LEFT + SIDE / 2, 18, f"{plan.name}: {aim}", size=14),
        _text(LEFT + SIDE / 2, 37, _state(plan)),
        *_scales(field),
        *_ground(field, plan),
        *(_name(field, plan, number, chosen) for number in range(len(plan.elements))),
        *(_arrow(field, chosen) if chosen else ()),
        *_north(),
        *_key(),
    ]
    size = f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" width="{WIDTH:g}" height="{HEIGHT:g}"'
    look = 'xmlns="http://www.w3.org/2000/svg" font-family="DejaVu Sans, Arial, sans-serif"'
    return f"<svg {look} {size}>{''.join(parts)}</svg>"


def _state(plan: Plan) -> str:
    cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
    elevation = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg elevation"
    return f"{cable}, cut for {plan.cut_band}{elevation}"


def _text(x: float, y: float, text: str, size: float = 12, anchor: str = "middle", weight: str = "normal") -> str:
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:g}" font-weight="{weight}"'
    return f'<text {place} style="fill: {INK}">{escape(text)}</text>'


def _stroke(x1: float, y1: float, x2: float, y2: float, colour: str, width: float) -> str:
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line {ends} style="stroke: {colour}; stroke-width: {width:g}"/>'


def _scales(field: _Field) -> list[str]:
    bottom, right = TOP + SIDE, LEFT + SIDE
    parts = []
    for east in field.ticks(0):
        x, _ = field(east, 0.0)
        parts += [_stroke(x, TOP, x, bottom, FAINT, 0.6), _text(x, bottom + 15, f"{east:g}")]
    for north in field.ticks(1):
        _, y = field(0.0, north)
        parts += [_stroke(LEFT, y, right, y, FAINT, 0.6), _text(LEFT - 6, y + 4, f"{north:g}", anchor="end")]
    frame = f'x="{LEFT:g}" y="{TOP:g}" width="{SIDE:g}" height="{SIDE:g}"'
    parts.append(f'<rect {frame} style="fill: none; stroke: {INK}"/>')
    parts.append(_text(LEFT + SIDE / 2, bottom + 34, "east of the centre (m)"))
    upright = _text(0, 0, "north of the centre (m)")
    return [*parts, f'<g transform="translate(14 {TOP + SIDE / 2:g}) rotate(-90)">{upright}</g>']


def _dot(x: float, y: float) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" style="fill: {FIRST}"/>'


def _square(x: float, y: float) -> str:
    return f'<rect x="{x - 6:.1f}" y="{y - 6:.1f}" width="12" height="12" style="fill: {SECOND}"/>'


def _ground(field: _Field, plan: Plan) -> list[str]:
    hub = field(plan.hub_east_m, plan.hub_north_m)
    spots = [field(element.east_m, element.north_m) for element in plan.elements]
    return [*(_stroke(*hub, *spot, INK, 1.0) for spot in spots), _square(*hub), *(_dot(*spot) for spot in spots)]


def _name(field: _Field, plan: Plan, number: int, chosen: PlanDirection | None) -> str:
    """Write an element's number, and its line, on its outer side."""
    element = plan.elements[number]
    outward = np.array((element.east_m, element.north_m)) - field.middle
    distance = float(np.hypot(*outward))
    along = outward / distance if distance > 0.05 * field.reach else np.array((0.0, 1.0))
    x, y = field(element.east_m, element.north_m)
    anchor = "middle" if abs(along[0]) < 0.4 else "start" if along[0] > 0 else "end"
    text = str(element.number) + (f": {_line(chosen.elements[number])}" if chosen else "")
    return _text(x + 12 * float(along[0]), y - 16 * float(along[1]) + 4, text, size=13, anchor=anchor, weight="bold")


def _line(feed: Feed) -> str:
    if feed.polarity == 0:
        return "off"
    return (feed.line or "direct") + (" rev." if feed.polarity < 0 else "")


def _pointer(x1: float, y1: float, x2: float, y2: float, width: float) -> list[str]:
    """Draw a line with an arrow head at its end."""
    back, size = math.atan2(y1 - y2, x1 - x2), 5 + 2 * width
    corners = [(x2 + size * math.cos(back + turn), y2 + size * math.sin(back + turn)) for turn in (-0.4, 0.4)]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in [(x2, y2), *corners])
    return [_stroke(x1, y1, x2, y2, INK, width), f'<polygon points="{points}" style="fill: {INK}"/>']


def _arrow(field: _Field, chosen: PlanDirection) -> list[str]:
    azimuth = math.radians(chosen.azimuth_deg)
    toward = np.array((math.sin(azimuth), math.cos(azimuth))) * field.reach
    start, end = (field(*(field.middle + share * toward)) for share in (0.3, 0.78))
    return _pointer(*start, *end, width=2.5)


def _north() -> list[str]:
    x = LEFT + SIDE - 18
    return [*_pointer(x, TOP + 44, x, TOP + 22, width=1.2), _text(x, TOP + 17, "N")]


def _key() -> list[str]:
    y = TOP + SIDE + 56
    parts = [_dot(LEFT + 70, y), _text(LEFT + 82, y + 4, "element", anchor="start")]
    return [*parts, _square(LEFT + 180, y), _text(LEFT + 192, y + 4, "hub", anchor="start")]
