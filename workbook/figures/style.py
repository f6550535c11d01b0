"""How every figure looks, and how it becomes SVG for a page, a file or a screen in light or dark."""

import io
from collections.abc import Iterable
from contextlib import AbstractContextManager
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.colors import ListedColormap
from matplotlib.figure import Figure

# Ink, faint lines and paper are drawn in colours that stand nowhere else, so that the screen can put the theme's own
# in their place; the series colours are legible on white and on black.
INK = "#010203"
FAINT = "#a9aaab"
PAPER = "#fcfdfe"
FIRST, SECOND, THIRD, FOURTH = "#2a7ab8", "#c4601a", "#2f8f5b", "#9a5bb0"
# colour and dashes of each curve, so that neither alone has to tell them apart
LOOKS: tuple[tuple[str, Any], ...] = (
    (FIRST, "-"),
    (SECOND, (0, (5, 1.6))),
    (THIRD, (0, (5, 1.5, 1, 1.5))),
    (FOURTH, (0, (1.2, 1.3))),
    ("#b8475f", (0, (8, 2, 1, 2, 1, 2))),
    ("#867a1e", (0, (3, 1, 3, 3))),
)

# the lighter part of an even scale, on which dark lines and figures can be read in either theme
MAP = ListedColormap(colormaps["viridis"](np.linspace(0.42, 1.0, 32)))
ON_MAP = "#101418"

_RC: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "workbook",
    "font.size": 10.5,
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Arial", "sans-serif"],
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.titlecolor": INK,
    "axes.titlesize": 11,
    "axes.facecolor": "none",
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": FAINT,
    "grid.linewidth": 0.6,
    "xtick.color": INK,
    "ytick.color": INK,
    "figure.facecolor": "none",
    "legend.frameon": False,
    "legend.fontsize": 9.5,
}


def new_figure(width: float, height: float, bottom: float = 0.12) -> Figure:
    """Return an empty figure of a size in inches, without any global state; `bottom` is the margin below the axes."""
    with mpl.rc_context(_RC):
        figure = Figure(figsize=(width, height))
        FigureCanvasSVG(figure)
    # fixed margins: laying out by measuring text costs more than all the drawing
    figure.subplots_adjust(left=0.14, right=0.97, top=0.88, bottom=bottom)
    return figure


def heading(axes: Axes, title: str, state: str) -> None:
    """Put a title over the axes, and below it the state that the picture shows; names are taken as they are.

    Long ones come in smaller letters.
    """
    place, figure = axes.get_position(), axes.get_figure(root=True)
    assert figure is not None
    middle = (place.x0 + place.x1) / 2
    room = 2 * min(middle, 1 - middle) * figure.get_figwidth() * 72
    size = font_size_within((title, state), room, _RC["axes.titlesize"])
    # a fixed height keeps the title from being placed by measuring every tick
    axes.set_title(f"{title}\n{state}", y=1.01, fontsize=size).set_parse_math(False)


def font_size_within(lines: Iterable[str], room: float, size: float) -> float:
    """Return the size of letters [pt] at which lines fit into so much room [pt]; a letter is 0.6 of it wide or less."""
    return min(size, room / (0.6 * max(1, *map(len, lines))))


def styled() -> AbstractContextManager[None]:
    """Return the context in which axes are added, so that they take the style."""
    return mpl.rc_context(_RC)


def to_svg(figure: Figure) -> str:
    """Return a figure as one `<svg>` element whose text stays text."""
    stream = io.StringIO()
    with mpl.rc_context(_RC):
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    text = stream.getvalue()
    return text[text.index("<svg") :]


def for_screen(svg: str) -> str:
    """Return the SVG with ink, faint lines and paper in the notebook theme's own colours."""
    for colour, own in ((INK, "ui-font-color1"), (FAINT, "border-color1"), (PAPER, "layout-color0")):
        svg = svg.replace(colour, f"var(--jp-{own}, {colour})")
    return svg
