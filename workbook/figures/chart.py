"""Charts: curves, shades and marks over two axes with ticks and a legend; data that `svg` writes as a picture.

A chart is a value: figures are functions from results to charts, and tests look at the data that is drawn.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from workbook.figures import svg
from workbook.figures.style import FAINT, INK, SOLID, Dashes
from workbook.formatting import LengthUnits
from workbook.units import FloatArray, Floats

TITLE, LETTERS, SMALL, LEAST = 11.0, 10.0, 10.0, 9.0
"""Sizes of letters [pt]: titles, ticks and axes, legend and notes, and the least that a legend has in columns."""
LEFT, RIGHT, TOP, FOOT, GAP, ROW = 56.0, 12.0, 38.0, 36.0, 33.0, 14.4
"""Margins round the axes, gap between two of them, and height of a row of the legend [pt]."""
WIDE, TALL = 300.0, 126.0
"""Width of a picture that stands with another, and height of its axes [pt]: letters keep 9 pt in a small window."""
_FAR = 1e4


@dataclass(frozen=True, eq=False)
class Curve:
    """Points joined by a line, marked, or both; `every` are the places that carry a marker. Width 0 draws no line."""

    label: str
    x: Floats
    y: Floats
    colour: str = INK
    width: float = 1.5
    dashes: Dashes = SOLID
    marker: str = ""
    size: float = 6.0
    hollow: bool = False
    every: slice | list[int] = field(default_factory=lambda: slice(None))
    opacity: float = 1.0
    edge: str = ""
    legend: bool = True


@dataclass(frozen=True, eq=False)
class Fill:
    """The area between two curves over the same places."""

    label: str
    x: FloatArray
    low: FloatArray
    high: FloatArray
    colour: str
    opacity: float
    legend: bool = True


@dataclass(frozen=True, eq=False)
class Span:
    """A strip across the whole axes: between two places of x, or with `level` between two values of y."""

    label: str
    low: float
    high: float
    colour: str
    opacity: float
    level: bool = False
    legend: bool = False


@dataclass(frozen=True, eq=False)
class Rule:
    """A line across the whole axes: upright at a place of x, or with `level` at a value of y."""

    label: str
    at: float
    colour: str = INK
    width: float = 1.0
    dashes: Dashes = SOLID
    level: bool = False
    legend: bool = False


@dataclass(frozen=True, eq=False)
class Strokes:
    """Upright strokes, each from one value to another over its place."""

    label: str
    x: FloatArray
    low: FloatArray
    high: FloatArray
    colour: str
    width: float = 1.8
    legend: bool = False


@dataclass(frozen=True, eq=False)
class Note:
    """Words at a place, moved by some points; with `share`, y is a share of the axes' height."""

    words: str
    x: float
    y: float
    move: tuple[float, float] = (0.0, 0.0)
    anchor: str = "middle"
    share: bool = False
    upright: bool = False
    size: float = SMALL
    colour: str = INK
    legend: bool = False


@dataclass(frozen=True, eq=False)
class Areas:
    """Closed outlines filled with one colour each: the steps of a map, lowest first."""

    label: str
    outlines: Sequence[tuple[str, Sequence[tuple[FloatArray, FloatArray]]]]
    legend: bool = False


Item: TypeAlias = Curve | Fill | Span | Rule | Strokes | Note | Areas


@dataclass(frozen=True, eq=False)
class Axis:
    """One axis: its label, its ends, and its ticks as places and words; `log` for a logarithmic one."""

    label: str
    low: float
    high: float
    ticks: tuple[tuple[float, str], ...]
    log: bool = False

    def share(self, values: Floats) -> FloatArray:
        """Return how far along the axis values lie, 0 to 1 within it."""
        flat = np.asarray(values, dtype=float)
        low, high = self.low, self.high
        if self.log:
            with np.errstate(divide="ignore", invalid="ignore"):
                flat = np.log10(flat)
            low, high = math.log10(low), math.log10(high)
        return np.clip((flat - low) / (high - low), -_FAR, _FAR)


def linear_axis(label: str, low: float, high: float, most: int = 7) -> Axis:
    """Return an axis with round ticks, `most` of them at most."""
    step = round_step((high - low) / most)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    places = [step * n for n in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]
    return Axis(label, low, high, tuple((place, _number(place, decimals)) for place in places))


def length_axis(label: str, low: float, high: float, units: LengthUnits) -> Axis:
    """Return an axis over lengths [m] with round ticks in metres or feet."""
    unit, size = units.scale
    drawn = linear_axis(f"{label} ({unit})", low / size, high / size)
    return Axis(drawn.label, low, high, tuple((place * size, words) for place, words in drawn.ticks))


def axis_at(label: str, low: float, high: float, ticks: Sequence[float], log: bool = False) -> Axis:
    """Return an axis with ticks at these places, those beyond its ends left out."""
    return Axis(label, low, high, tuple((tick, f"{tick:g}") for tick in ticks if low <= tick <= high), log)


def round_step(least: float) -> float:
    """Return the next 1, 2 or 5 times a power of ten."""
    decade = 10.0 ** math.floor(math.log10(least))
    return next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= least * (1 - 1e-9))


def _number(value: float, decimals: int) -> str:
    words = f"{value:.{decimals}f}"
    return words.removeprefix("-") if float(words) == 0 else words.replace("-", "−")


def around(values: Sequence[Floats], margin: float = 0.05, least: float = 0.0) -> tuple[float, float]:
    """Return ends of an axis on which all finite values are seen, with a margin, and at least so far apart."""
    flat = np.concatenate([np.ravel(np.asarray(part, dtype=float)) for part in values] or [np.zeros(1)])
    flat = flat[np.isfinite(flat)]
    low, high = (float(flat.min()), float(flat.max())) if flat.size else (0.0, 1.0)
    extent = max((high - low) * (1 + 2 * margin), least)
    if extent <= 1e-9 * max(1.0, abs(low)):
        extent = 0.1 * max(1.0, abs(low))
    middle = (low + high) / 2
    return middle - extent / 2, middle + extent / 2


@dataclass(frozen=True, eq=False)
class Plot:
    """Items over two axes, drawn in their order; without a `frame` neither axes nor grid are drawn."""

    x: Axis
    y: Axis
    items: tuple[Item, ...]
    height: float
    frame: bool = True


@dataclass(frozen=True, eq=False)
class Chart:
    """Plots below each other under a title and the state that they show, and what the legend says."""

    title: str
    state: str
    plots: tuple[Plot, ...]
    width: float
    columns: int = 2
    explained: tuple[Item, ...] | None = None
    """Items of the legend in place of those that are drawn."""
    margins: tuple[float, float] = (LEFT, RIGHT)
    foot: float = FOOT

    @property
    def legend(self) -> tuple[Item, ...]:
        """The items that the legend names."""
        if self.explained is not None:
            return self.explained
        return tuple(item for plot in self.plots for item in plot.items if item.legend)

    def svg(self) -> str:
        """Return the chart as one `<svg>` element whose text stays text; sizes are in points."""
        parts, top = _heading(self)
        for number, plot in enumerate(self.plots):
            box = _Box(self.margins[0], top, self.width - sum(self.margins), plot.height, plot)
            parts += box.parts(last=number == len(self.plots) - 1)
            top += plot.height + GAP
        columns = _columns(self)
        bottom, rows = top - GAP + self.foot, -(-len(self.legend) // columns)
        parts += _legend(self.legend, columns, self.width, bottom)
        return svg.document(parts, round(self.width, 1), round(bottom + ROW * rows + 6, 1), "pt")


def _heading(chart: Chart) -> tuple[list[str], float]:
    """Return title and state, and where the first plot begins; what is too long for one line goes on in the next."""
    room = chart.width - 4
    fits = int(room / (0.6 * LETTERS))
    title, state = (svg.wrapped(said, fits) for said in (chart.title, chart.state))
    # a word alone may be longer than a line
    size = min(svg.font_size_within(line, room, TITLE) for line in (*title, *state))
    middle, below = chart.width / 2, TOP - 22 + 14 * len(title)
    parts = [svg.text_lines(middle, TOP - 22, title, size, 14), svg.text_lines(middle, below, state, size, 14)]
    return parts, TOP + 14 * (len(title) + len(state) - 2)


@dataclass(frozen=True, eq=False)
class _Box:
    """Where a plot lies on the picture [pt]."""

    left: float
    top: float
    width: float
    height: float
    plot: Plot

    def across(self, values: Floats) -> FloatArray:
        return self.left + self.width * self.plot.x.share(values)

    def down(self, values: Floats) -> FloatArray:
        return self.top + self.height * (1 - self.plot.y.share(values))

    @property
    def bottom(self) -> float:
        return self.top + self.height

    def parts(self, last: bool) -> list[str]:
        """Draw grid, items, frame and ticks; the ticks of x are named under the last of several plots only."""
        inside = [self.drawn(item) for item in self.plot.items if not isinstance(item, Note)]
        notes = [self.note(item) for item in self.plot.items if isinstance(item, Note)]
        if not self.plot.frame:
            return [*inside, *notes]
        # an inner picture cuts off what runs beyond the axes
        place = f'x="{self.left:g}" y="{self.top:.1f}" width="{self.width:g}" height="{self.height:.1f}"'
        view = f'viewBox="{self.left:g} {self.top:.1f} {self.width:g} {self.height:.1f}"'
        clipped = f"<svg {place} {view}>{''.join(inside)}</svg>"
        frame = svg.rectangle(self.left, self.top, self.width, self.height, line=INK)
        return [*self.grid(), clipped, frame, *self.ticks(last), *notes]

    def grid(self) -> list[str]:
        upright = (float(self.across(place)) for place, _ in self.plot.x.ticks)
        level = (float(self.down(place)) for place, _ in self.plot.y.ticks)
        return [
            *(svg.stroke(x, self.top, x, self.bottom, FAINT, 0.6) for x in upright),
            *(svg.stroke(self.left, y, self.left + self.width, y, FAINT, 0.6) for y in level),
        ]

    def ticks(self, last: bool) -> list[str]:
        parts, x, y = list[str](), self.plot.x, self.plot.y
        for place, words in y.ticks:
            parts.append(svg.text(self.left - 6, float(self.down(place)) + 3.6, words, LETTERS, "end"))
        parts.append(svg.upright(14, self.top + self.height / 2, y.label, LETTERS, "middle"))
        if not last:
            return parts
        for place, words in x.ticks:
            for row, line in enumerate(words.split("\n")):
                parts.append(svg.text(float(self.across(place)), self.bottom + 13 + 12 * row, line, LETTERS))
        rows = max((words.count("\n") for _, words in x.ticks), default=0)
        parts.append(svg.text(self.left + self.width / 2, self.bottom + 28 + 12 * rows, x.label, LETTERS))
        return parts

    def note(self, note: Note) -> str:
        x = float(self.across(note.x)) + note.move[0]
        y = (self.bottom - self.height * note.y if note.share else float(self.down(note.y))) - note.move[1]
        if note.upright:
            return svg.upright(x, y, note.words, note.size, note.anchor)
        words = svg.text(x, y, note.words, note.size, note.anchor, colour=note.colour)
        # on a map, whose colours are its own, a rim of paper would be a stain
        return svg.over_lines(words) if note.colour == INK else words

    def drawn(self, item: Item) -> str:
        """Return what an item draws."""
        match item:
            case Curve():
                return self.curve(item)
            case Fill():
                x = np.concatenate((item.x, item.x[::-1]))
                d = svg.polyline(self.across(x), self.down(np.concatenate((item.low, item.high[::-1]))), close=True)
                return svg.path(d, fill=item.colour, opacity=item.opacity)
            case Span(level=False):
                low, high = self.across([item.low, item.high]).tolist()
                return svg.rectangle(low, self.top, high - low, self.height, fill=item.colour, opacity=item.opacity)
            case Span():
                low, high = self.down([item.low, item.high]).tolist()
                return svg.rectangle(self.left, high, self.width, low - high, fill=item.colour, opacity=item.opacity)
            case Rule():
                dashes = svg.scaled(item.dashes, item.width)
                if item.level:
                    y = float(self.down(item.at))
                    return svg.stroke(self.left, y, self.left + self.width, y, item.colour, item.width, dashes)
                at = float(self.across(item.at))
                return svg.stroke(at, self.top, at, self.bottom, item.colour, item.width, dashes)
            case Strokes():
                ends = (self.across(item.x).tolist(), self.down(item.low).tolist(), self.down(item.high).tolist())
                d = "".join(f"M{a:.1f},{b:.1f}V{c:.1f}" for a, b, c in zip(*ends, strict=True))
                return svg.path(d, line=item.colour, width=item.width)
            case Areas():
                return "".join(
                    svg.path(
                        "".join(svg.polyline(self.across(x), self.down(y), close=True) for x, y in lines), fill=colour
                    ).replace("fill:", "fill-rule: evenodd; fill:")
                    for colour, lines in item.outlines
                )
        return ""

    def curve(self, item: Curve) -> str:
        x, y = self.across(np.ravel(item.x)), self.down(np.ravel(item.y))
        drawn = ""
        if item.width:
            drawn = svg.path(svg.polyline(x, y), item.colour, item.width, item.dashes, opacity=item.opacity)
        return drawn + (_marked(item, x[item.every], y[item.every]) if item.marker else "")


def _marked(item: Curve, x: FloatArray, y: FloatArray) -> str:
    fill = "none" if item.hollow or item.marker == "x" else item.colour
    width = 2.0 if item.marker == "x" else 1.0
    d = svg.markers(x, y, item.marker, item.size)
    return svg.path(d, line=item.edge or item.colour, width=width, fill=fill, opacity=item.opacity)


def _columns(chart: Chart) -> int:
    """Return the columns of the legend: fewer than wanted where its letters would become too small to read."""
    longest = max((len(_words(item)) for item in chart.legend), default=1)
    most = int((chart.width - 12) / (32 + LEAST * svg.LETTER * longest))
    return max(1, min(chart.columns, len(chart.legend), most))


def _legend(items: Sequence[Item], columns: int, width: float, top: float) -> list[str]:
    """Return the legend, filled column by column; names of the user's own come in smaller letters where long."""
    if not items:
        return []
    rows, wide = -(-len(items) // columns), (width - 12) / columns
    longest = max((_words(item) for item in items), key=len)
    size = svg.font_size_within(longest, wide - 32, SMALL)
    # in the middle, as near as the longest name lets it be
    wide = min(wide, 44 + 0.56 * size * len(longest))
    left = (width - columns * wide) / 2
    parts = ['<g class="legend">']
    for number, item in enumerate(items):
        x, y = left + wide * (number // rows), top + ROW * (number % rows + 0.5)
        parts += [_sign(item, x, y), svg.text(x + 28, y + 3.3, _words(item), size, "start")]
    return [*parts, "</g>"]


def _words(item: Item) -> str:
    return item.words if isinstance(item, Note) else item.label


def _sign(item: Item, x: float, y: float) -> str:
    """Return the sample of an item beside its name in the legend."""
    if isinstance(item, Fill | Span):
        return svg.rectangle(x + 2, y - 4, 20, 8, fill=item.colour, opacity=item.opacity)
    if isinstance(item, Rule):
        return svg.stroke(x, y, x + 24, y, item.colour, item.width, svg.scaled(item.dashes, item.width))
    if not isinstance(item, Curve):
        return ""
    line = svg.path(f"M{x:.1f},{y:.1f}h24", item.colour, item.width, item.dashes) if item.width else ""
    return line + (_marked(item, np.array([x + 12]), np.array([y])) if item.marker else "")
