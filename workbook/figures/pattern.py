"""The pattern of an array from above, from the side, and over the whole sky; levels fall from 0 dB at the greatest."""

import numpy as np

from workbook.array.pattern_metrics import Cut, azimuth_cut, elevation_cut, full_sky
from workbook.figures import contours
from workbook.figures.chart import Chart, Curve, Item
from workbook.figures.disc import COMPASS, HEIGHTS, MARGIN, SIDE, Placing, compass, disc, grid, upright
from workbook.figures.style import INK, ON_MAP, look
from workbook.plan.firings import firing
from workbook.plan.stages import AnyPlan
from workbook.units import Floats

FLOOR = -40.0
"""Level [dB] in the middle of the polar pictures; what lies lower is drawn there."""
RINGS = [(1 - level / FLOOR, f"{level:g}" if level else "0 dB") for level in (-30.0, -20.0, -10.0, 0.0)]
SKY_LEVELS = tuple(np.arange(-30.0, 0.1, 3.0).tolist())
_SKY_LINES = (-18.0, -12.0, -6.0, -3.0)
_MARGINS, _FOOT = (MARGIN, MARGIN), 4.0


def titled(plan: AnyPlan, what: str) -> str:
    """Return the first line over a picture: the design, its rule, and what is shown."""
    return f"{plan.name}, {plan.rule}: {what}"


def state_of(plan: AnyPlan, direction: str, band: str | None = None) -> str:
    """Return the second line over a picture: the direction, and what else it depends on."""
    below = plan.ground
    ground = f"{below.kind} ground"
    if below.relative_permittivity is not None and below.conductivity_s_per_m is not None:
        # a space that holds both together
        ground = f"ground {below.relative_permittivity:g},\u00a0{below.conductivity_s_per_m * 1e3:g} mS/m"
    on = "" if band is None else f" on {band}"
    height = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg elevation"
    return f"{direction}{on}{height}, {ground}"


def azimuth_picture(plan: AnyPlan, direction: str, band: str) -> Chart:
    """Return the level all round at the elevation: the direction on every band, the others on one band faintly.

    Raises
    ------
    InputError
        When there is no such direction or band, or the design says no elevation.
    """
    chosen = plan.direction(direction)
    items = compass_grid(chosen.azimuth_deg)
    for number, one in enumerate(plan.bands):
        if one.name == band:
            others = [other.name for other in plan.directions if other.name != direction]
            cuts = ((other, azimuth_cut(firing(plan, other, band))) for other in others)
            items += [_faint(other, cut, look(number).colour) for other, cut in cuts]
            nowhere = np.zeros(0)
            faint = Curve("other directions", nowhere, nowhere, look(number).colour, 0.9, opacity=0.45)
            items += [faint] if others else []
        cut = azimuth_cut(firing(plan, direction, one.name))
        items.append(_chosen(f"{direction} on {one.name}", cut, 2, compass, number, one.name == band))
    title, state = titled(plan, "from above"), state_of(plan, direction)
    return Chart(title, state, (disc(items),), SIDE, margins=_MARGINS, foot=_FOOT)


def elevation_picture(plan: AnyPlan, direction: str, band: str) -> Chart:
    """Return the level from the front horizon (right) over the zenith to the horizon behind, on every band."""
    items = grid(HEIGHTS, RINGS, upright)
    if plan.elevation_deg is not None:
        items.append(aim(upright(np.radians(plan.elevation_deg), 1.0)))
    for number, one in enumerate(plan.bands):
        cut = elevation_cut(firing(plan, direction, one.name))
        items.append(_chosen(f"{direction} on {one.name}", cut, 4, upright, number, one.name == band))
    title, state = titled(plan, "from the side"), state_of(plan, direction)
    return Chart(title, state, (disc(items, half=True),), SIDE, margins=_MARGINS, foot=_FOOT)


def compass_grid(azimuth: float) -> list[Item]:
    """Return the field of a pattern from above with the beam heading [degree]."""
    # the rings are named behind the array, where fewer lines run, and midway between two spokes
    behind = 22.5 + 45 * round((azimuth + 135) / 45)
    return [*grid(COMPASS, RINGS, compass, named_at=behind), aim(compass(np.radians(azimuth), 1.0))]


def aim(end: tuple[Floats, Floats]) -> Curve:
    """Return the line of the beam heading."""
    return Curve("aim", np.array([0.0, end[0]]), np.array([0.0, end[1]]), INK, 1.0, legend=False)


def cut_points(cut: Cut, step: int, at: Placing) -> tuple[Floats, Floats]:
    """Return x and y of a cut below its greatest, every `step`-th of its points; `at` is `compass` or `upright`."""
    angle, level = np.radians(cut.angle_deg[::step]), (cut.level_db - cut.level_db.max())[::step]
    if at is compass:
        angle, level = np.append(angle, angle[0]), np.append(level, level[0])
    return at(angle, 1 - np.maximum(level, FLOOR) / FLOOR)


def _faint(direction: str, cut: Cut, colour: str) -> Curve:
    return Curve(direction, *cut_points(cut, 4, compass), colour, 0.9, opacity=0.45, legend=False)


def _chosen(label: str, cut: Cut, step: int, at: Placing, number: int, shown: bool) -> Curve:
    """Return the cut of the chosen direction on a band, thickest on the band that is shown."""
    colour, dashes, marker = look(number)
    every = slice(3 * number, None, 30 if at is compass else 15)
    width = 2.2 if shown else 1.3
    return Curve(label, *cut_points(cut, step, at), colour, width, dashes, marker, 5, every=every)


def sky_picture(plan: AnyPlan, direction: str, band: str) -> Chart:
    """Return the whole sky, zenith in the middle and horizon outside, north up: dB below the greatest, by contours."""
    fired = firing(plan, direction, band)
    azimuth, elevation, level = full_sky(fired, 5)
    level = np.maximum(level - level.max(), SKY_LEVELS[0] - 1)
    x, y = compass(np.radians(azimuth)[None, :], (90 - elevation)[:, None] / 90)
    rings = [(height / 90, f"{90 - height} deg") for height in (30, 60)]
    # the rings are named behind the array, where fewer lines run
    behind = fired.azimuth.m_as("degree") + 157.5
    place = compass(fired.azimuth.m_as("radian"), 1 - fired.elevation.m_as("degree") / 90)
    items: list[Item] = [
        contours.filled("level", x, y, level, SKY_LEVELS),
        *contours.lines(x, y, level, _SKY_LINES[:1], 0.8),
        *contours.lines(x, y, level, _SKY_LINES[1:], 0.8, "{:g}"),
        *grid(COMPASS, rings, compass, ON_MAP, f"{ON_MAP}44", behind),
        cross("beam; lines: dB below the maximum", *place),
    ]
    title, state = titled(plan, "the whole sky"), state_of(plan, direction, band)
    return Chart(title, state, (disc(items),), SIDE, margins=_MARGINS, foot=_FOOT)


def cross(label: str, x: Floats, y: Floats) -> Curve:
    """Return the mark of the chosen place on a map."""
    return Curve(label, np.array([x]), np.array([y]), "#ffffff", 0.0, marker="P", size=10, edge=ON_MAP)


def pictures(plan: AnyPlan) -> tuple[str, ...]:
    """Return what the build sheet shows of the first direction, as SVG; nothing where no pattern is known."""
    first, band = plan.directions[0], plan.bands[0].name
    if any(on.rdf_db is None for on in first.bands):
        return ()
    return tuple(draw(plan, first.name, band).svg() for draw in (azimuth_picture, elevation_picture))
