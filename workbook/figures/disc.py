"""The round field of the polar pictures, drawn on plain axes: the library's own polar axes take three times as long."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from workbook.figures.style import FAINT, INK, heading, new_figure, styled

SIDE, RIM = 4.4, 1.16
"""Width of the picture [in], and how far the field reaches beyond the outer circle, whose radius is 1."""
COMPASS = {0: "N", 45: "45", 90: "E", 135: "135", 180: "S", 225: "225", 270: "W", 315: "315"}
HEIGHTS = {0: "front", 30: "30", 60: "60", 90: "90", 120: "60", 150: "30", 180: "rear"}


def compass(azimuth: Any, radius: Any) -> tuple[Any, Any]:
    """Return x and y of azimuths [rad], north up and clockwise, at radii."""
    return radius * np.sin(azimuth), radius * np.cos(azimuth)


def upright(angle: Any, radius: Any) -> tuple[Any, Any]:
    """Return x and y of angles [rad] above the front horizon, which lies to the right, at radii."""
    return radius * np.cos(angle), radius * np.sin(angle)


def disc(title: str, state: str, legend_rows: int, half: bool = False) -> tuple[Figure, Axes]:
    """Return a picture with an empty round field, or the upper half of one, its heading, and room for a legend."""
    up, down = (RIM, 0.16) if half else (RIM, RIM)
    inch = 0.8 * SIDE / (2 * RIM)  # of a radius
    top, below, tall = 0.55, 0.2 * legend_rows + 0.12, (up + down) * inch
    figure = new_figure(SIDE, top + tall + below)
    height = top + tall + below
    with styled():
        axes = figure.add_axes((0.1, below / height, 0.8, tall / height))
        axes.set_axis_off()
        axes.set_xlim(-RIM, RIM)
        axes.set_ylim(-down, up)
        heading(axes, title, state)
    return figure, axes


def grid(
    axes: Axes,
    spokes: dict[int, str],
    rings: Sequence[tuple[float, str]],
    at: Any,
    ink: str = INK,
    faint: str = FAINT,
    named_at: float = 22.5,
) -> None:
    """Draw spokes (degrees and names) and rings (radii and names).

    Parameters
    ----------
    axes, spokes, rings
        Where, and what.
    at
        `compass` or `upright`.
    ink, faint
        Colours of the rings' names, and of rings and spokes.
    named_at
        Azimuth [degree] at which the rings of a compass are named.
    """
    whole = np.radians(np.linspace(min(spokes), 180 if at is upright else 360, 91))
    circles = [np.column_stack(at(whole, radius)) for radius, _ in rings]
    lines = [np.array([(0.0, 0.0), at(np.radians(angle), 1.0)]) for angle in spokes]
    axes.add_collection(LineCollection([*circles, *lines], colors=faint, linewidths=0.6, label="_grid"))
    axes.add_collection(LineCollection([np.column_stack(at(whole, 1.0))], colors=INK, linewidths=1.0, label="_rim"))
    for angle, name in spokes.items():
        x, y = at(np.radians(angle), 1.11 if at is compass else 1.03)
        aside = "center" if at is compass or abs(x) < 0.1 else "left" if x > 0 else "right"
        axes.text(x, y, name, ha=aside, va="center" if at is compass else "bottom")
    for radius, name in rings:
        x, y = compass(np.radians(named_at), radius) if at is compass else (radius, -0.08)
        axes.text(x, y, name, ha="center", va="center", fontsize=9, color=ink)
