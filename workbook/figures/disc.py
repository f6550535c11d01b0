"""The round field of the polar pictures: azimuths as on a compass, or heights above the front horizon."""

from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np

from workbook.figures.chart import Axis, Curve, Item, Note, Plot
from workbook.figures.style import FAINT, INK
from workbook.units import Floats

SIDE, RIM = 300.0, 1.16
"""Width of the picture [pt], and how far the field reaches beyond the outer circle, whose radius is 1."""
MARGIN = 63.0
COMPASS = {0: "N", 45: "45", 90: "E", 135: "135", 180: "S", 225: "225", 270: "W", 315: "315"}
HEIGHTS = {0: "front", 30: "30", 60: "60", 90: "90", 120: "60", 150: "30", 180: "rear"}

Placing: TypeAlias = Callable[[Floats, Floats], tuple[Floats, Floats]]


def compass(azimuth: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Return x and y of azimuths [rad], north up and clockwise, at radii."""
    return radius * np.sin(azimuth), radius * np.cos(azimuth)


def upright(angle: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Return x and y of angles [rad] above the front horizon, which lies to the right, at radii."""
    return radius * np.cos(angle), radius * np.sin(angle)


def disc(items: Sequence[Item], half: bool = False) -> Plot:
    """Return a round field, or the upper half of one, with what is drawn on it."""
    down, up = (0.16, RIM) if half else (RIM, RIM)
    height = (SIDE - 2 * MARGIN) * (up + down) / (2 * RIM)
    return Plot(Axis("", -RIM, RIM, ()), Axis("", -down, up, ()), tuple(items), height, frame=False)


def grid(
    spokes: dict[int, str],
    rings: Sequence[tuple[float, str]],
    at: Placing,
    ink: str = INK,
    faint: str = FAINT,
    named_at: float = 22.5,
) -> list[Item]:
    """Return spokes (degrees and names) and rings (radii and names).

    Parameters
    ----------
    spokes, rings
        What is drawn.
    at
        `compass` or `upright`.
    ink, faint
        Colours of the rings' names, and of rings and spokes.
    named_at
        Azimuth [degree] at which the rings of a compass are named.
    """
    whole = np.radians(np.linspace(min(spokes), 180 if at is upright else 360, 91))
    gap = np.array([np.nan])
    ends = [at(np.radians(angle), np.array([0.0, 1.0, np.nan])) for angle in spokes]
    lines = [*([np.append(part, gap) for part in at(whole, radius)] for radius, _ in rings), *ends]
    x, y = (np.concatenate([line[axis] for line in lines]) for axis in (0, 1))
    items: list[Item] = [
        Curve("grid", x, y, faint, 0.6, legend=False),
        Curve("rim", *at(whole, 1.0), INK, 1.0, legend=False),
    ]
    for angle, name in spokes.items():
        east, north = at(np.radians(angle), 1.11 if at is compass else 1.03)
        aside = "middle" if at is compass or abs(east) < 0.1 else "start" if east > 0 else "end"
        items.append(Note(name, float(east), float(north), (0, -3.6 if at is compass else 0), aside, size=10))
    for radius, name in rings:
        # the rim is named outside itself, like the spokes
        outside = 1.11 if radius == 1 else radius
        east, north = compass(np.radians(named_at), outside) if at is compass else (radius, -0.08)
        # below the horizon, the outermost name keeps clear of the next
        aside = "start" if at is upright and radius == 1 else "middle"
        items.append(Note(name, float(east), float(north), (-4 if aside == "start" else 0, -3.2), aside, colour=ink))
    return items
