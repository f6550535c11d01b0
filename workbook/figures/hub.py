"""The inside of the hub: ports with the elements switched to them, combiners, inverting transformers, delay lines."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from workbook.figures.style import FIRST, INK, PAPER, SECOND
from workbook.figures.svg import document, stroke, text, upright
from workbook.plan.marks import used_marks
from workbook.plan.results import PlanDirection
from workbook.plan.stages import AnyPlan
from workbook.plan.taps import tap_delays
from workbook.tables.wiring import port_names

ROW, BETWEEN, LETTER, BOLD, SIZE = 30.0, 34.0, 7.4, 8.4, 12.0
"""From one port to the next, room for a piece of a ladder between two taps, and how wide and high letters are [px]."""
LEFT, BOX, LINE, GAP, OUT = 12.0, 44.0, 104.0, 12.0, 96.0
"""Margin, widths of a combiner and of a delay line, room between parts, and room for the output [px]."""
WIDEST = 700.0
"""Width [px] up to which all switch positions are shown: that of the printed page."""


@dataclass(frozen=True)
class Port:
    """A port of the hub: its name, line, piece and delay [s], and by direction the elements that are switched to it."""

    name: str
    line: str | None
    piece: str | None
    delay_s: float
    elements: tuple[tuple[int, ...], ...]
    reversed: tuple[tuple[int, ...], ...]

    @property
    def cells(self) -> tuple[str, ...]:
        """The elements in each direction, in words."""
        pairs = zip(self.elements, self.reversed, strict=True)
        return tuple(" ".join(f"{n}{'-' * (n in minus)}" for n in here) for here, minus in pairs)

    @property
    def inputs(self) -> int:
        """The most elements that any direction switches to it."""
        return max(map(len, self.elements))

    @property
    def inverts(self) -> bool:
        """Whether any direction needs it reversed."""
        return any(self.reversed)


def hub_ports(plan: AnyPlan) -> tuple[Port, ...]:
    """Return the ports of the hub, that of the longest delay first."""
    delays = dict(tap_delays(plan))
    found: dict[str, Port] = {}
    for place, one in enumerate(plan.directions):
        for feed, name, piece in zip(one.elements, port_names(plan, one), used_marks(plan, one), strict=True):
            if feed.polarity:
                empty: tuple[tuple[int, ...], ...] = ((),) * len(plan.directions)
                known = found.get(name) or Port(name, feed.line, piece, delays.get(feed.line or "", 0.0), empty, empty)
                minus = (feed.number,) if feed.polarity < 0 else ()
                found[name] = Port(
                    name,
                    known.line,
                    known.piece,
                    known.delay_s,
                    _with(known.elements, place, (feed.number,)),
                    _with(known.reversed, place, minus),
                )
    return tuple(sorted(found.values(), key=lambda port: (-port.delay_s, port.name)))


def _with(rows: tuple[tuple[int, ...], ...], place: int, more: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    return (*rows[:place], rows[place] + more, *rows[place + 1 :])


def at_once(ports: Sequence[Port]) -> int:
    """Return how many of some ports are used at once at most."""
    return max(sum(bool(port.elements[place]) for port in ports) for place in range(len(ports[0].elements)))


def hub_drawing(plan: AnyPlan, direction: str | None = None) -> str:
    """Return the inside of the hub as SVG; with a direction, which elements it switches to which port.

    Without a direction all switch positions are shown, as far as the page is wide enough.

    Raises
    ------
    InputError
        When the plan has no such direction.
    """
    chosen = None if direction is None else plan.direction(direction)
    return _Drawing(plan, chosen).svg()


class _Drawing:
    """Places of everything on the drawing."""

    def __init__(self, plan: AnyPlan, chosen: PlanDirection | None) -> None:
        self.plan, self.chosen, self.ports = plan, chosen, hub_ports(plan)
        shown = range(len(plan.directions)) if chosen is None else [plan.directions.index(chosen)]
        self.columns = [(place, self._column(place)) for place in shown]
        if chosen is None and LEFT + sum(width for _, width in self.columns) + self._right() > WIDEST:
            self.columns = []
        self.names = LEFT + sum(width for _, width in self.columns)
        upright_names = chosen is None and bool(self.columns)
        heading = max((len(plan.directions[place].name) for place, _ in self.columns), default=0)
        self.top = 62.0 + (LETTER * heading + 8 if upright_names else 18.0 * bool(self.columns)) + ROW / 2
        self.legend = tuple(self._legend())
        title, *words = *self._titles(), *self.legend
        written = max(BOLD * len(title), LETTER * max(map(len, words)))
        self.width = max(self.names + self._right(), 2 * LEFT + written)

    def _column(self, place: int) -> float:
        return max(20.0, LETTER * max(len(port.cells[place]) for port in self.ports) + 12)

    def _right(self) -> float:
        """Return how wide everything right of the switch positions is."""
        return self.port_width + BOX + GAP + self.inverter_width + self.line_width + BOX + OUT

    @property
    def port_width(self) -> float:
        return LETTER * max(len(port.name) for port in self.ports) + 2 * GAP

    @property
    def inverter_width(self) -> float:
        return (BOX + GAP) * any(port.inverts for port in self.ports)

    @property
    def line_width(self) -> float:
        return GAP if self.plan.hub_kind.in_series else LINE + 2 * GAP

    def heights(self) -> list[float]:
        """Return the height of every port; taps of a ladder leave room for the piece between them."""
        found, y = [], self.top
        for before, port in itertools.pairwise((None, *self.ports)):
            if before is not None and port is not None:
                y += ROW + BETWEEN * (self.plan.hub_kind.in_series and before.line != port.line)
            found.append(y)
        return found

    def svg(self) -> str:
        heights = self.heights()
        chain = self._taps(heights) if self.plan.hub_kind.in_series else self._sum(heights)
        end = max(heights) + (BETWEEN + ROW if self._ends_in_piece() else 0)
        parts = [
            *self._title(),
            *self._headings(),
            *itertools.chain.from_iterable(map(self._row, self.ports, heights, (None, *heights))),
            *chain,
            *(text(LEFT, end + 40 + 17 * n, words, SIZE, "start") for n, words in enumerate(self.legend)),
        ]
        return document(parts, self.width, end + 37 + 17 * len(self.legend))

    def _titles(self) -> tuple[str, str]:
        beam = f", beam {self.chosen.name}" if self.chosen else ""
        about = "elements by switch position, and the ports" if self.columns else "the ports, longest delay first"
        return f"{self.plan.name}: {self.plan.hub} hub{beam}", about

    def _title(self) -> Iterator[str]:
        title, about = self._titles()
        yield text(LEFT, 20, title, 13, "start", "bold")
        yield text(LEFT, 40, about, SIZE, "start")

    def _legend(self) -> Iterator[str]:
        """Yield what the signs on the drawing mean."""
        if any(port.inputs > 1 for port in self.ports) or at_once(self.ports) > 1:
            yield "Σ: combiner, and how many inputs it has"
        shared = [port.piece for port in self.ports if self._shares(port) and not self.plan.hub_kind.in_series]
        if shared:
            yield f"{' and '.join(map(str, shared))}: straight or reversed, never both at once"
        if any(port.inverts for port in self.ports):
            yield "−1: inverting transformer; minus: reversed element"
            if not self.plan.hub_kind.sums_first:
                yield "−1 is switched in where an element has a minus"

    def _headings(self) -> Iterator[str]:
        x = LEFT
        for place, width in self.columns if self.chosen is None else ():
            name = self.plan.directions[place].name
            yield upright(x + width / 2 + 4, self.top - ROW / 2 - 4, name, SIZE, "start")
            x += width

    def _shares(self, port: Port) -> bool:
        """Return whether the port before has the same piece of line, which is used by either of both only."""
        place = self.ports.index(port)
        before = self.ports[place - 1] if place else None
        return before is not None and port.piece is not None and port.piece == before.piece

    def _row(self, port: Port, y: float, above: float | None) -> Iterator[str]:
        x = LEFT
        for place, width in self.columns:
            yield text(x + width / 2, y + 4, port.cells[place] or "·", SIZE)
            x += width
        start = self.names + self.port_width
        yield text(self.names + self.port_width / 2, y + 4, port.name, 13, weight="bold")
        joins = above is not None and self._shares(port) and not self.plan.hub_kind.in_series
        end = self._sum_x - LINE - 2.5 * GAP if joins else self._sum_x
        yield stroke(start - GAP / 2, y, end, y, INK, 1.2)
        if joins and above is not None:
            yield stroke(end, y, end, above, INK, 1.2)
        if port.inputs > 1:
            yield from _box(start, y, BOX, f"Σ {port.inputs}")
        x = start + BOX + GAP
        if port.inverts:
            yield from _box(x, y, BOX, "−1")
        x += self.inverter_width
        if port.line is not None and not self.plan.hub_kind.in_series and not joins:
            yield from _box(x, y, LINE, f"{port.piece}  {port.delay_s * 1e9:.1f} ns", SECOND)

    @property
    def _sum_x(self) -> float:
        return self.names + self.port_width + BOX + GAP + self.inverter_width + self.line_width

    def _sum(self, heights: list[float]) -> Iterator[str]:
        """Draw the combiner of all ports, and the output."""
        inputs, x = at_once(self.ports), self._sum_x
        middle = (heights[0] + heights[-1]) / 2
        if inputs > 1:
            yield from _tall(x, heights[0], heights[-1], f"Σ {inputs}")
        yield from self._output(middle)

    def _output(self, y: float) -> Iterator[str]:
        x = self._sum_x + BOX
        yield stroke(x - BOX / 2 if at_once(self.ports) == 1 else x, y, x + 16, y, INK, 1.2)
        yield text(x + 20, y + 4, "to receiver", SIZE, anchor="start")

    def _taps(self, heights: list[float]) -> Iterator[str]:
        """Draw the chain of pieces with a combiner at every tap, the output at its end."""
        placed = itertools.groupby(zip(self.ports, heights, strict=True), key=lambda pair: pair[0].line)
        taps = [(line, list(pairs)) for line, pairs in placed]
        x, pieces = self._sum_x, {line.label: line for line in self.plan.delay_lines}
        for number, (line, pairs) in enumerate(taps):
            top, bottom = pairs[0][1], pairs[-1][1]
            inputs = at_once([port for port, _ in pairs]) + (number > 0)
            if inputs > 1:
                yield from _tall(x, top, bottom, f"Σ {inputs}")
            else:
                yield stroke(x, top, x + BOX / 2, top, INK, 1.2)
            if line is None:
                yield from self._output(bottom)
                continue
            end = taps[number + 1][1][0][1] if number + 1 < len(taps) else bottom + ROW + BETWEEN
            yield stroke(x + BOX / 2, bottom + (11 if inputs > 1 else 0), x + BOX / 2, end - 11, INK, 1.2)
            words = f"{line} to {pieces[line].to or 'end'}  {pieces[line].delay_s * 1e9:.1f} ns"
            yield from _box(x + BOX / 2 - 20, (bottom + end) / 2, LETTER * len(words) + 8, words, SECOND)
            if number + 1 == len(taps):
                yield stroke(x + BOX / 2, end - 11, x + BOX / 2, end, INK, 1.2)
                yield from self._output(end)

    def _ends_in_piece(self) -> bool:
        return self.plan.hub_kind.in_series and self.ports[-1].line is not None


def _box(x: float, y: float, width: float, words: str, colour: str = FIRST) -> Iterator[str]:
    """Draw a part with its words, its left side at x and its middle at y."""
    place = f'x="{x:.1f}" y="{y - 11:.1f}" width="{width:.1f}" height="22" rx="3"'
    yield f'<rect {place} style="fill: {PAPER}; stroke: {colour}; stroke-width: 1.6"/>'
    yield text(x + width / 2, y + 4, words, SIZE)


def _tall(x: float, top: float, bottom: float, words: str) -> Iterator[str]:
    """Draw a combiner that reaches from one port to another."""
    place = f'x="{x:.1f}" y="{top - 11:.1f}" width="{BOX:.1f}" height="{bottom - top + 22:.1f}" rx="3"'
    yield f'<rect {place} style="fill: {PAPER}; stroke: {FIRST}; stroke-width: 1.6"/>'
    yield text(x + BOX / 2, (top + bottom) / 2 + 4, words, SIZE)
