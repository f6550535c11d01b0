"""What drawings of the field share: metres to scale, north up, elements, hub and runs."""

import math
from collections.abc import Iterable

import numpy as np

from workbook.figures.chart import round_step
from workbook.figures.style import FAINT, FIRST, INK, SECOND
from workbook.figures.svg import document, font_size_within, stroke, text
from workbook.units import Floats

SIDE, LEFT, TOP = 290.0, 58.0, 48.0
"""Width and height of the field, and where it begins [px]."""
WIDTH = LEFT + SIDE + 12
NARROW = 0.53
"""Width of a letter over its size, in the words of these drawings."""


class Field:
    """Metres to pixels, north up, both scales alike; the field is `wide` times half of what all points take up.

    `unit` is what the scales are in: its name, and how long it is [m].
    """

    def __init__(self, points: Floats, wide: float = 3.0, unit: tuple[str, float] = ("m", 1.0)) -> None:
        everything = np.array(points)
        self.middle = (everything.max(axis=0) + everything.min(axis=0)) / 2
        self.reach = float(max(np.ptp(everything, axis=0).max() / 2, 1.0))
        self.half = wide * self.reach / 2
        self.scale = SIDE / (2 * self.half)
        self.unit, self.unit_m = unit

    def __call__(self, east: float, north: float) -> tuple[float, float]:
        """Return the pixel of a place in metres."""
        x, y = (np.array((east, north)) - self.middle) * self.scale
        return LEFT + SIDE / 2 + float(x), TOP + SIDE / 2 - float(y)

    def ticks(self, axis: int) -> list[float]:
        """Return round numbers of the scales' unit across the field, five to seven of them."""
        step = round_step(self.half / self.unit_m / 3)
        low, high = ((self.middle[axis] + side * self.half) / self.unit_m for side in (-1, 1))
        return [step * n for n in range(math.ceil(low / step), math.floor(high / step) + 1)]


def drawing(parts: Iterable[str], height: float) -> str:
    """Return all parts as one `<svg>` element."""
    return document(parts, WIDTH, height)


def heading(title: str, state: str) -> list[str]:
    """Write the title, and below it the state that the picture shows; long ones in smaller letters."""
    middle = LEFT + SIDE / 2
    room, lines = 2 * (WIDTH - middle), ((18, title, 14.0), (37, state, 12.0))
    return [text(middle, y, line, font_size_within(line, room, size, NARROW)) for y, line, size in lines]


def scales(field: Field) -> list[str]:
    """Draw the frame, and a grid of round lengths from the centre."""
    bottom, right = TOP + SIDE, LEFT + SIDE
    parts = []
    for east in field.ticks(0):
        x, _ = field(east * field.unit_m, 0.0)
        parts += [stroke(x, TOP, x, bottom, FAINT, 0.6), text(x, bottom + 15, f"{east:g}")]
    for north in field.ticks(1):
        _, y = field(0.0, north * field.unit_m)
        parts += [stroke(LEFT, y, right, y, FAINT, 0.6), text(LEFT - 6, y + 4, f"{north:g}", anchor="end")]
    frame = f'x="{LEFT:g}" y="{TOP:g}" width="{SIDE:g}" height="{SIDE:g}"'
    parts.append(f'<rect {frame} style="fill: none; stroke: {INK}"/>')
    parts.append(text(LEFT + SIDE / 2, bottom + 34, f"east of the centre ({field.unit})"))
    upright = text(0, 0, f"north of the centre ({field.unit})")
    return [*parts, f'<g transform="translate(14 {TOP + SIDE / 2:g}) rotate(-90)">{upright}</g>']


def dot(x: float, y: float, radius: float = 6) -> str:
    """Draw an element."""
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.3g}" style="fill: {FIRST}"/>'


def square(x: float, y: float) -> str:
    """Draw the hub."""
    return f'<rect x="{x - 6:.1f}" y="{y - 6:.1f}" width="12" height="12" style="fill: {SECOND}"/>'


def runs(field: Field, metres: Floats, hub: tuple[float, float], radius: float = 6) -> list[str]:
    """Draw elements, hub, and the run between each and it."""
    centre, spots = field(*hub), [field(*place) for place in metres]
    return [
        *(stroke(*centre, *spot, INK, 1.0) for spot in spots),
        square(*centre),
        *(dot(*spot, radius) for spot in spots),
    ]


def pointer(x1: float, y1: float, x2: float, y2: float, width: float) -> list[str]:
    """Draw a line with an arrow head at its end."""
    back, size = math.atan2(y1 - y2, x1 - x2), 5 + 2 * width
    corners = [(x2 + size * math.cos(back + turn), y2 + size * math.sin(back + turn)) for turn in (-0.4, 0.4)]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in [(x2, y2), *corners])
    return [stroke(x1, y1, x2, y2, INK, width), f'<polygon points="{points}" style="fill: {INK}"/>']


def north() -> list[str]:
    """Draw the north arrow into the upper right corner."""
    x = LEFT + SIDE - 18
    return [*pointer(x, TOP + 37, x, TOP + 18, width=1.2), text(x, TOP + 14, "N")]
