"""The array seen from above: elements, runs, hub, and which line each element goes through."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.errors import InputError
from workbook.figures.style import FAINT, FIRST, INK, SECOND, few_ticks, heading, new_figure, styled
from workbook.plan.results import Feed, Plan, PlanDirection


def plan_drawing(plan: Plan, direction: str | None = None) -> Figure:
    """Draw a plan to scale, north up; with a direction, show where it fires and every element's line.

    Raises
    ------
    InputError
        When the plan has no such direction.
    """
    chosen = _direction(plan, direction)
    figure = new_figure(5.4, 5.2)
    with styled():
        _draw(figure.add_subplot(), plan, chosen)
    return figure


def _draw(axes: Axes, plan: Plan, chosen: PlanDirection | None) -> None:
    spots = np.array([(element.east_m, element.north_m) for element in plan.elements])
    hub = np.array((plan.hub_east_m, plan.hub_north_m))
    everything = np.vstack((spots, hub))
    reach = float(max(np.ptp(everything, axis=0).max() / 2, 1.0))
    middle = (everything.max(axis=0) + everything.min(axis=0)) / 2
    for spot in spots:
        axes.plot(*zip(hub, spot, strict=True), color=FAINT, linewidth=1.2, zorder=1)
    axes.plot(*spots.T, linestyle="none", marker="o", markersize=9, color=FIRST, label="element", zorder=3)
    axes.plot(*hub, linestyle="none", marker="s", markersize=9, color=SECOND, label="hub", zorder=2)
    for number, spot in enumerate(spots):
        _name(axes, plan, number, spot, middle, reach, chosen)
    if chosen:
        _arrow(axes, middle, reach, chosen)
    _finish(axes, plan, middle, reach, chosen)


def _direction(plan: Plan, name: str | None) -> PlanDirection | None:
    if name is None:
        return None
    for one in plan.directions:
        if one.name == name:
            return one
    raise InputError(f"direction: there is none named {name!r} in {plan.name}; choose one of its directions.")


def _name(
    axes: Axes,
    plan: Plan,
    number: int,
    spot: np.ndarray,
    middle: np.ndarray,
    reach: float,
    chosen: PlanDirection | None,
) -> None:
    outward = spot - middle
    distance = float(np.hypot(*outward))
    outward = outward / distance if distance > 0.05 * reach else np.array((0.0, 1.0))
    x, y = spot + outward * 0.2 * reach
    text = str(plan.elements[number].number)
    if chosen:
        text += f": {_line(chosen.elements[number])}"
    axes.text(x, y, text, ha="center", va="center", fontweight="bold", zorder=4)


def _state(plan: Plan) -> str:
    cable = plan.delay_lines[0].cable if plan.delay_lines else "no delay lines"
    elevation = "" if plan.elevation_deg is None else f", {plan.elevation_deg:g} deg elevation"
    return f"{cable}, cut for {plan.cut_band}{elevation}"


def _line(feed: Feed) -> str:
    if feed.polarity == 0:
        return "off"
    return (feed.line or "direct") + (" rev." if feed.polarity < 0 else "")


def _arrow(axes: Axes, middle: np.ndarray, reach: float, chosen: PlanDirection) -> None:
    azimuth = np.radians(chosen.azimuth_deg)
    toward = np.array((np.sin(azimuth), np.cos(azimuth)))
    axes.annotate(
        "",
        xy=tuple(middle + toward * 0.78 * reach),
        xytext=tuple(middle + toward * 0.3 * reach),
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 2.0},
        zorder=5,
    )


def _finish(axes: Axes, plan: Plan, middle: np.ndarray, reach: float, chosen: PlanDirection | None) -> None:
    axes.set_aspect("equal")
    axes.set_xlim(middle[0] - 1.5 * reach, middle[0] + 1.5 * reach)
    axes.set_ylim(middle[1] - 1.5 * reach, middle[1] + 1.5 * reach)
    axes.set_xlabel("east of the centre (m)")
    axes.set_ylabel("north of the centre (m)")
    aim = f"fired {chosen.name}, {chosen.azimuth_deg:g} deg" if chosen else "seen from above"
    heading(axes, f"{plan.name}: {aim}", _state(plan))
    few_ticks(axes)
    axes.annotate(
        "N",
        xy=(0.95, 0.99),
        xytext=(0.95, 0.88),
        xycoords="axes fraction",
        ha="center",
        va="center",
        arrowprops={"arrowstyle": "-|>", "color": INK},
    )
    axes.legend(loc="lower left", ncols=2, handletextpad=0.1, borderaxespad=0.1)
