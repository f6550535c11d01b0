"""What pictures of several bands have in common: how each band is drawn, and what is written on it."""

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from workbook.figures.style import LOOKS, font_size_within
from workbook.plan.results import Plan
from workbook.plan.wiring import tap_delays

_MARKERS = "os^Dv*Xp"


def band_look(number: int) -> dict[str, Any]:
    """Return colour, dashes and marker of a band by its place in the design, so that no colour has to tell it alone."""
    colour, dashes = LOOKS[number % len(LOOKS)]
    return {"color": colour, "linestyle": dashes, "marker": _MARKERS[number % len(_MARKERS)]}


def line_names(plan: Plan) -> list[str]:
    """Return the delay lines' names for an axis; with many of them their delays would run into each other."""
    few = len(plan.delay_lines) <= 8
    return [f"{line}\n{delay * 1e9:.1f} ns" if few else line for line, delay in tap_delays(plan)]


def legend_below(figure: Figure, columns: int = 2, handles: Any = None) -> None:
    """Put a legend under the axes; names of the user's own are taken as they are, long ones in smaller letters."""
    given = {} if handles is None else {"handles": handles}
    made = figure.legend(loc="lower center", ncols=columns, **given)
    words = made.get_texts()
    # beside the words stand a sign and its distances
    room = figure.get_figwidth() * 72 / min(columns, max(len(words), 1)) - 42
    size = font_size_within([text.get_text() for text in words], room, 9.5)
    for text in words:
        text.set_parse_math(False)
        text.set_fontsize(size)


def mark_place(axes: Axes, x: float, text: str, below: bool = False) -> None:
    """Write a name upright beside a place on the x axis, at the top of the axes or at their bottom."""
    height, side = (0.02, "bottom") if below else (0.985, "top")
    across = axes.get_xaxis_transform()
    axes.text(x, height, text, transform=across, rotation=90, ha="right", va=side, fontsize=9).set_parse_math(False)
