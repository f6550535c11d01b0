"""How every figure looks: colours, dashes and markers that are legible in light and dark, and the theme on screen."""

import re
from types import MappingProxyType
from typing import NamedTuple

# Ink, faint lines and paper are drawn in colours that stand nowhere else, so that the screen can put the theme's own
# in their place; the series colours are legible on white and on black.
INK = "#010203"
FAINT = "#a9aaab"
PAPER = "#fcfdfe"
FIRST, SECOND, THIRD, FOURTH = "#2a7ab8", "#c4601a", "#2f8f5b", "#9a5bb0"

Dashes = tuple[float, ...]
"""Lengths of dashes and gaps in line widths; empty for a solid line."""
SOLID: Dashes = ()
LIMIT: Dashes = (6, 3)
"""Dashes of lines that mark a limit."""
DOTS: Dashes = (1, 3)
"""Dashes of limits beside curves that are dashed themselves."""


class Look(NamedTuple):
    """Colour, dashes and marker of a curve, so that no colour has to distinguish it alone."""

    colour: str
    dashes: Dashes
    marker: str


_COLOURS: tuple[tuple[str, Dashes], ...] = (
    (FIRST, SOLID),
    (SECOND, (5, 1.6)),
    (THIRD, (5, 1.5, 1, 1.5)),
    (FOURTH, (1.2, 1.3)),
    ("#b8475f", (8, 2, 1, 2, 1, 2)),
    ("#867a1e", (3, 1, 3, 3)),
)
_MARKERS = "os^Dv*Xp"

MAP = (
    "#287d8e", "#238a8d", "#1f968b", "#20a386", "#29af7f", "#3dbc74", "#56c667", "#75d054", "#95d840", "#bade28",
    "#dde318", "#fde725",
)  # fmt: skip
"""The lighter part of the scale *viridis*, on which dark lines and words can be read in either theme."""
ON_MAP = "#101418"

_SHADE = re.compile(r"fill-opacity: ([0-9.]+)")
THEME = MappingProxyType({INK: "ui-font-color1", FAINT: "border-color1", PAPER: "layout-color0"})


def look(number: int) -> Look:
    """Return the look of a curve by its place among the others."""
    return Look(*_COLOURS[number % len(_COLOURS)], _MARKERS[number % len(_MARKERS)])


def for_screen(svg: str) -> str:
    """Return the SVG with ink, faint lines and paper in the notebook theme's own colours, and shades as it wants them.

    What is shaded lightly on white is hardly seen on black; the page says how much stronger it is there.
    """
    svg = _SHADE.sub(r"fill-opacity: calc(\1 * var(--feedline-shade, 1))", svg)
    for colour, own in THEME.items():
        svg = svg.replace(colour, f"var(--jp-{own}, {colour})")
    return svg
