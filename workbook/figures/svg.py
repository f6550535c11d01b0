"""The parts that drawings are made of, as SVG text; colours are written as styles, so that the theme can replace them.

Written by hand, since pictures follow every move of a slider: a plotting library takes ten to thirty times as long.
"""

import math
import re
import textwrap
from collections.abc import Iterable, Sequence
from html import escape

import numpy as np

from workbook.figures.style import INK, PAPER, SOLID, Dashes
from workbook.units import FloatArray

FONT = "DejaVu Sans, Arial, sans-serif"
LETTER = 0.6
"""Width of a letter over its size, at most, in words of several letters."""


def document(parts: Iterable[str], width: float, height: float, unit: str = "px") -> str:
    """Return all parts as one `<svg>` element."""
    size = f'viewBox="0 0 {width:g} {height:g}" width="{width:g}{unit}" height="{height:g}{unit}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" font-family="{FONT}" {size}>{"".join(parts)}</svg>'


def font_size_within(words: str, room: float, size: float, share: float = LETTER) -> float:
    """Return the size of letters at which words fit into so much room; a letter is `share` of it wide or less."""
    return min(size, room / (share * max(len(words), 1)))


def wrapped(words: str, letters: int) -> list[str]:
    """Return words in lines of at most so many letters, at least one, broken after commas where that is enough."""
    joined = re.sub(r"(?<![,;]) ", "\u00a0", words)
    long = any(len(part) > letters for part in joined.split(" "))
    return [
        line.replace("\u00a0", " ")
        for line in textwrap.wrap(words if long else joined, letters, break_on_hyphens=False)
    ] or [""]


def text(
    x: float,
    y: float,
    words: str,
    size: float = 12,
    anchor: str = "middle",
    weight: str = "normal",
    colour: str = INK,
) -> str:
    """Write words at a place; `anchor` is `start`, `middle` or `end`."""
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:.3g}" font-weight="{weight}"'
    return f'<text {place} style="fill: {colour}">{escape(words)}</text>'


def text_lines(x: float, y: float, lines: Sequence[str], size: float, apart: float) -> str:
    """Write lines centred below each other as one text, so that it reads and is copied as a whole."""
    if len(lines) == 1:
        return text(x, y, lines[0], size)
    rows = (f'<tspan x="{x:.1f}" y="{y + apart * n:.1f}">{escape(line)}</tspan>' for n, line in enumerate(lines))
    return f'<text text-anchor="middle" font-size="{size:.3g}" style="fill: {INK}">{" ".join(rows)}</text>'


def upright(x: float, y: float, words: str, size: float, anchor: str) -> str:
    """Write words that run upward; `anchor` is `start` where they begin at the place, `end` where they end there."""
    return f'<g transform="translate({x:.1f} {y:.1f}) rotate(-90)">{text(0, 0, words, size, anchor)}</g>'


def over_lines(words: str) -> str:
    """Return what was written with a rim of paper, legible over lines."""
    return words.replace('style="', f'style="paint-order: stroke; stroke: {PAPER}; stroke-width: 3; ')


def stroke(x1: float, y1: float, x2: float, y2: float, colour: str, width: float, dashes: str = "") -> str:
    """Draw a straight line."""
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    dashed = f"; stroke-dasharray: {dashes}" if dashes else ""
    return f'<line {ends} style="stroke: {colour}; stroke-width: {width:g}{dashed}"/>'


def scaled(dashes: Dashes, width: float) -> str:
    """Return dashes, given in line widths, as SVG wants them."""
    return " ".join(f"{part * width:.3g}" for part in dashes)


def path(
    d: str, line: str = "none", width: float = 1.0, dashes: Dashes = SOLID, fill: str = "none", opacity: float = 1
) -> str:
    """Draw a path; `line` and `fill` are colours."""
    look = f"fill: {fill}; stroke: {line}"
    if line != "none":
        look += f"; stroke-width: {width:.3g}; stroke-linejoin: round"
    if line != "none" and dashes:
        look += f"; stroke-dasharray: {scaled(dashes, width)}"
    if opacity != 1:
        look += f"; {'fill-opacity' if line == 'none' else 'opacity'}: {opacity:g}"
    return f'<path d="{d}" style="{look}"/>'


def rectangle(
    x: float, y: float, width: float, height: float, *, line: str = "none", fill: str = "none", opacity: float = 1.0
) -> str:
    """Draw a rectangle; `line` and `fill` are colours."""
    place = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"'
    return f'<rect {place} style="fill: {fill}; stroke: {line}; fill-opacity: {opacity:g}"/>'


def polyline(x: FloatArray, y: FloatArray, close: bool = False) -> str:
    """Return the path through points, interrupted where one is not finite."""
    known = np.isfinite(x) & np.isfinite(y)
    pieces = []
    for run in np.split(np.arange(len(x)), np.flatnonzero(np.diff(known)) + 1):
        if len(run) and known[run[0]]:
            points = zip(x[run].tolist(), y[run].tolist(), strict=True)
            pieces.append("M" + "L".join(f"{a:.1f},{b:.1f}" for a, b in points) + ("Z" if close else ""))
    return "".join(pieces)


def _polygon(corners: Iterable[tuple[float, float]]) -> str:
    """Return a closed outline of corners round the current place, as steps from it: one string for every place."""
    points = np.array(list(corners))
    steps = np.diff(points, axis=0, prepend=np.zeros((1, 2))).tolist()
    return "m" + "l".join(f"{x:.2f},{y:.2f}" for x, y in steps) + "z"


def _star(count: int, radius: float, inner: float = 1.0) -> list[tuple[float, float]]:
    """Return the corners of a regular polygon, one up, of which every second may lie further in."""
    turns = [2 * math.pi * n / count for n in range(count)]
    radii = [radius * (inner if n % 2 else 1.0) for n in range(count)]
    return [(r * math.sin(turn), -r * math.cos(turn)) for r, turn in zip(radii, turns, strict=True)]


def marker(kind: str, size: float) -> str:
    """Return the outline of a marker of this size round the current place of a path.

    `kind` is one of `o s ^ v D * X p P x`, as in Matplotlib.
    """
    r = size / 2
    if kind == "o":
        return f"m{-r:.2f},0a{r:.2f},{r:.2f} 0 1 0 {size:.2f},0a{r:.2f},{r:.2f} 0 1 0 {-size:.2f},0z"
    if kind == "x":
        return f"m{-r:.2f},{-r:.2f}l{size:.2f},{size:.2f}m0,{-size:.2f}l{-size:.2f},{size:.2f}"
    third = r / 3
    plus = [(-third, -r), (third, -r), (third, -third), (r, -third), (r, third), (third, third)]
    outlines: dict[str, list[tuple[float, float]]] = {
        "s": [(-r, -r), (r, -r), (r, r), (-r, r)],
        "^": [(0, -r), (r, r), (-r, r)],
        "v": [(0, r), (r, -r), (-r, -r)],
        "D": [(0, -1.3 * r), (1.3 * r, 0), (0, 1.3 * r), (-1.3 * r, 0)],
        "P": [*plus, *((-x, -y) for x, y in plus)],
        "*": _star(10, r, 0.4),
        "p": _star(5, r),
    }
    turn = math.sqrt(0.5)
    outlines["X"] = [(turn * (x - y), turn * (x + y)) for x, y in outlines["P"]]
    return _polygon(outlines[kind])


def markers(x: FloatArray, y: FloatArray, kind: str, size: float) -> str:
    """Return the path of markers at all places that are finite."""
    one, known = marker(kind, size), np.isfinite(x) & np.isfinite(y)
    places = zip(x[known].tolist(), y[known].tolist(), strict=True)
    return "".join(f"M{a:.1f},{b:.1f}{one}" for a, b in places)
