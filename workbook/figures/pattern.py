"""The pattern of an array from above, from the side, and over the whole sky; levels fall from 0 dB at the greatest."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.array.pattern_metrics import Cut, azimuth_cut, elevation_cut, full_sky
from workbook.figures.bands import band_look, legend_below
from workbook.figures.disc import COMPASS, HEIGHTS, compass, disc, grid, upright
from workbook.figures.style import INK, MAP, ON_MAP, styled, to_svg
from workbook.plan.patterns import firing
from workbook.plan.results import Plan

FLOOR = -40.0
"""Level [dB] in the middle of the polar pictures; what lies lower is drawn there."""
RINGS = [(1 - level / FLOOR, f"{level:g}" if level else "0 dB") for level in (-30.0, -20.0, -10.0, 0.0)]
SKY_LEVELS = np.arange(-30.0, 0.1, 3.0)
_SKY_LINES = (-18.0, -12.0, -6.0, -3.0)


def titled(plan: Plan, what: str) -> str:
    """Return the first line over a picture: whose it is, by which rule, and what it shows."""
    return f"{plan.name}, {plan.rule}: {what}"


def state_of(plan: Plan, direction: str, band: str | None = None) -> str:
    """Return the second line over a picture: the direction, and what else it hangs on."""
    below = plan.ground
    ground = f"{below.kind} ground"
    if below.relative_permittivity is not None and below.conductivity_s_per_m is not None:
        ground = f"ground {below.relative_permittivity:g}, {below.conductivity_s_per_m * 1e3:g} mS/m"
    on = "" if band is None else f" on {band}"
    height = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg up"
    return f"{direction}{on}{height}, {ground}"


def azimuth_picture(plan: Plan, direction: str, band: str) -> Figure:
    """Draw the level all round at the elevation: the direction on every band, the others on one band faintly.

    Raises
    ------
    InputError
        When there is no such direction or band, or the design says no elevation.
    """
    aim = plan.direction(direction)
    figure, axes = disc(titled(plan, "from above"), state_of(plan, direction), -(-len(plan.bands) // 2))
    with styled():
        grid(axes, COMPASS, RINGS, compass)
        draw_aim(axes, compass(np.radians(aim.azimuth_deg), 1.0))
        for number, one in enumerate(plan.bands):
            others = (other.name for other in plan.directions if other.name != direction and one.name == band)
            for other in others:
                cut = azimuth_cut(firing(plan, other, band))
                faint = {"color": band_look(number)["color"], "linewidth": 0.9, "alpha": 0.45}
                draw_cut(axes, cut, 4, compass, label=f"_{other}", **faint)
            cut = azimuth_cut(firing(plan, direction, one.name))
            draw_cut(axes, cut, 2, compass, label=f"{direction} on {one.name}", **_chosen(number, one.name == band, 30))
        legend_below(figure)
    return figure


def elevation_picture(plan: Plan, direction: str, band: str) -> Figure:
    """Draw the level from the front horizon (right) over the zenith to the horizon behind, on every band."""
    title, rows = titled(plan, "from the side"), -(-len(plan.bands) // 2)
    figure, axes = disc(title, state_of(plan, direction), rows, half=True)
    with styled():
        grid(axes, HEIGHTS, RINGS, upright)
        if plan.elevation_deg is not None:
            draw_aim(axes, upright(np.radians(plan.elevation_deg), 1.0))
        for number, one in enumerate(plan.bands):
            cut = elevation_cut(firing(plan, direction, one.name))
            draw_cut(axes, cut, 4, upright, label=f"{direction} on {one.name}", **_chosen(number, one.name == band, 15))
        legend_below(figure)
    return figure


def draw_aim(axes: Axes, end: tuple[Any, Any]) -> None:
    """Draw the way toward which the array is fired."""
    axes.plot([0, end[0]], [0, end[1]], color=INK, linewidth=1.0, label="_aim")


def draw_cut(axes: Axes, cut: Cut, step: int, at: Any, **look: Any) -> None:
    """Draw one cut below its greatest, every `step`-th of its points; `at` is `compass` or `upright`."""
    angle, level = np.radians(cut.angle_deg[::step]), (cut.level_db - cut.level_db.max())[::step]
    if at is compass:
        angle, level = np.append(angle, angle[0]), np.append(level, level[0])
    axes.plot(*at(angle, 1 - np.maximum(level, FLOOR) / FLOOR), **look)


def _chosen(number: int, shown: bool, every: int) -> dict[str, Any]:
    """Return the look of the chosen direction on a band, thickest on the band that is shown."""
    look = {**band_look(number), "markersize": 5, "linewidth": 2.2 if shown else 1.3}
    return {**look, "markevery": (3 * number, every)}


def sky_picture(plan: Plan, direction: str, band: str) -> Figure:
    """Draw the whole sky, zenith in the middle and horizon outside, north up: dB below the greatest, by contours."""
    fired = firing(plan, direction, band)
    azimuth, elevation, level = full_sky(fired, 5)
    level = np.maximum(level - level.max(), SKY_LEVELS[0] - 1)
    figure, axes = disc(titled(plan, "the whole sky"), state_of(plan, direction, band), 1)
    with styled():
        x, y = compass(np.radians(azimuth)[None, :], (90 - elevation)[:, None] / 90)
        axes.contourf(x, y, level, SKY_LEVELS, cmap=MAP, extend="min")
        lines = axes.contour(x, y, level, _SKY_LINES, colors=ON_MAP, linewidths=0.8, linestyles="solid")
        axes.clabel(lines, _SKY_LINES[1:], fontsize=9.5, fmt="%g", colors=ON_MAP)
        rings = [(height / 90, f"{90 - height} deg") for height in (30, 60)]
        # the rings are named behind the array, where fewer lines run
        behind = fired.azimuth.m_as("degree") + 157.5
        grid(axes, COMPASS, rings, compass, ON_MAP, f"{ON_MAP}44", behind)
        place = compass(fired.azimuth.m_as("radian"), 1 - fired.elevation.m_as("degree") / 90)
        cross: Any = {"marker": "P", "markersize": 10, "color": "#ffffff", "markeredgecolor": ON_MAP}
        axes.plot(*place, linestyle="none", label="fired here; lines: dB below the greatest", **cross)
        legend_below(figure)
    return figure


def pictures(plan: Plan) -> tuple[str, ...]:
    """Return what the build sheet shows of the first direction, as SVG; nothing where no pattern is known."""
    first, band = plan.directions[0], plan.bands[0].name
    if any(on.rdf_db is None for on in first.bands):
        return ()
    return tuple(to_svg(draw(plan, first.name, band)) for draw in (azimuth_picture, elevation_picture))
