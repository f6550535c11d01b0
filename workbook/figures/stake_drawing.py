"""The field with its stakes: numbers, hub and runs, the two fixed stakes, and the tapes to a chosen stake.

Places on the drawing are complex numbers here, x + iy in pixels with y downward.
"""

import cmath
import math
import textwrap
from typing import Any

import numpy as np

from workbook.array.stakeout import CENTRE, NEGLIGIBLE, Fix, StakeOut
from workbook.figures.ground_plan import (
    LEFT,
    NARROW,
    SIDE,
    TOP,
    WIDTH,
    Field,
    dot,
    drawing,
    heading,
    north,
    pointer,
    runs,
    scales,
    square,
)
from workbook.figures.style import FOURTH, INK, SECOND, THIRD
from workbook.figures.svg import over_lines, stroke, text
from workbook.formatting import LengthUnits
from workbook.tables.stakeout import how_to_set

MARGIN, KEY, STEP, LINES = LEFT - 44, TOP + SIDE + 56, 19.0, 5
"""Where words below the field begin, the key's height, and from one line to the next [px]; how many lines follow."""
TAPES = (("a", THIRD, "9 4"), ("b", FOURTH, "3 3"), ("c", SECOND, "12 3 3 3"))
"""Letter, colour and dashes of each tape, so that colour alone says nothing."""

CLEAR = 14.0
"""Words that are so far from everything else [px] need be no farther."""


class _Room:
    """What is taken on the drawing, so that words find a place; over lines they can be read, if need be."""

    def __init__(self, solid: Any, lines: Any) -> None:
        self.solid, self.lines = solid, lines

    def find(self, places: Any, reach: Any, liked: Any) -> complex:
        """Take the place with most room, the one liked most among equals; words reach to `reach` around it."""
        covered = places[:, None] + reach
        apart, off_lines = (
            np.minimum(np.abs(covered[..., None] - taken).min(axis=(1, 2)), CLEAR) for taken in (self.solid, self.lines)
        )
        best = int(np.argmax(apart + 0.3 * off_lines + liked))
        self.solid = np.concatenate((self.solid, covered[best]))
        return complex(places[best])


def stake_drawing(
    titles: tuple[str, str],
    out: StakeOut,
    hub: tuple[float, float],
    chosen: int,
    note: str = "",
    units: LengthUnits = LengthUnits.BOTH,
) -> str:
    """Return the field to scale, north up, as SVG, with the tapes that set one stake.

    Parameters
    ----------
    titles
        The design's name, and its layout in a few words.
    out
        The stakes.
    hub
        East and north of the hub [m].
    chosen
        Number of the element whose tapes are drawn.
    note
        A line to write below.
    units
        Which lengths are written.
    """
    metres = [(stake.east_m, stake.north_m) for stake in out.stakes]
    # wide enough that the arrows in the corner stand clear of any stake
    field = Field([*metres, hub, (0.0, 0.0)], wide=3.2, unit=units.scale)
    spots = np.array([complex(*field(*place)) for place in metres])
    centre, middle = complex(*field(0, 0)), complex(*field(*hub))
    radius, fix = _radius(spots), out.fixes[chosen - 1]
    tapes = [(centre if tape.start == CENTRE else spots[int(tape.start) - 1], spots[chosen - 1]) for tape in fix.tapes]
    lines = _points([*((middle, spot) for spot in spots), *tapes])
    room = _Room(np.concatenate((spots, [middle, centre], _points(_CORNER))), lines)
    words = [
        *(_number(room, n, spots, radius, ringed=n == out.first - 1) for n in range(len(spots))),
        *(_letter(room, n, *ends) for n, ends in enumerate(tapes)),
        _centre(room, centre),
    ]
    below, rows = _below(out, fix, note, units)
    parts = [
        *heading(f"{titles[0]}: tapes to stake {chosen}", titles[1]),
        *scales(field),
        *runs(field, metres, hub, radius),
        *(_line(start, end, *TAPES[n][1:]) for n, (start, end) in enumerate(tapes)),
        *(_fixed(place, radius) for place in (centre, spots[out.first - 1])),
        *(_cross(centre) if np.hypot(*np.array(metres).T).min() >= NEGLIGIBLE else ()),
        *words,
        *north(),
        *_magnetic(out.declination_deg),
        *_key(radius),
        *below,
    ]
    return drawing(parts, KEY + max(rows, LINES) * STEP + 14)


_CORNER = tuple((complex(LEFT + SIDE - x, TOP + 10), complex(LEFT + SIDE - x, TOP + 44)) for x in (18, 44))


def _points(lines: Any) -> Any:
    """Return points along all lines."""
    ends = np.array(lines)
    return (ends[:, :1] + np.linspace(0, 1, 21) * (ends[:, 1:] - ends[:, :1])).ravel()


def _radius(spots: Any) -> float:
    """Return how large elements are drawn [px], so that near ones stay apart."""
    apart = np.abs(spots[:, None] - spots)[np.triu_indices(len(spots), 1)]
    return float(np.clip(0.35 * apart.min(), 1.5, 6.0))


def _number(room: _Room, number: int, spots: Any, radius: float, ringed: bool) -> str:
    """Write an element's number on whichever side has room, the outer one if it can be."""
    ways = np.exp(1j * np.arange(16) * np.pi / 8)
    outward = spots[number] - spots.mean()
    liked = (ways * np.conj(outward)).real / max(abs(outward), 1.0)
    place = room.find(spots[number] + (radius + (14 if ringed else 11)) * ways, np.zeros(1), liked)
    size = 13 if radius > 4 else 12
    return over_lines(text(place.real, place.imag + size / 3, str(number + 1), size=size, weight="bold"))


def _letter(room: _Room, number: int, start: complex, end: complex) -> str:
    """Write a tape's letter beside it; its length stands below the drawing."""
    along = cmath.rect(1, cmath.phase(end - start))
    shares, aside = np.meshgrid((0.5, 0.4, 0.6, 0.25, 0.75), (-10, 10, -20, 20))
    places = (start + shares * (end - start) + aside * 1j * along).ravel()
    place = room.find(places, np.zeros(1), -0.01 * np.abs(aside.ravel()))
    return over_lines(text(place.real, place.imag + 4, TAPES[number][0], 13))


def _centre(room: _Room, centre: complex) -> str:
    """Name the centre."""
    right, down = np.meshgrid((0, 36, -36, 60, -60), (22, -22, 36, -36, 52, -52))
    place = room.find(
        centre + (right + 1j * down).ravel(), np.linspace(-20, 20, 5), -0.02 * np.abs(right + down).ravel()
    )
    return over_lines(text(place.real, place.imag + 4, CENTRE))


def _line(start: complex, end: complex, colour: str, dashes: str) -> str:
    return stroke(start.real, start.imag, end.real, end.imag, colour, 3, dashes)


def _fixed(place: complex, radius: float) -> str:
    """Ring a fixed stake."""
    look = f'r="{radius + 4.5:.3g}" style="fill: none; stroke: {INK}; stroke-width: 1.3"'
    return f'<circle cx="{place.real:.1f}" cy="{place.imag:.1f}" {look}/>'


def _cross(place: complex) -> list[str]:
    """Mark a place where nothing else stands."""
    x, y = place.real, place.imag
    return [stroke(x - 5, y, x + 5, y, INK, 1), stroke(x, y - 5, x, y + 5, INK, 1)]


def _magnetic(declination: float | None) -> list[str]:
    """Draw where a compass points, beside true north."""
    if declination is None:
        return []
    middle, way = complex(LEFT + SIDE - 44, TOP + 28), cmath.rect(1, math.radians(declination - 90))
    tail, head, letter = (middle + far * way for far in (-10, 10, 18))
    return [*pointer(tail.real, tail.imag, head.real, head.imag, width=1.2), text(letter.real, letter.imag + 4, "M")]


def _key(radius: float) -> list[str]:
    x, y = MARGIN, KEY + 4
    return [
        *(dot(x + 8, KEY, radius), text(x + 20, y, "element", anchor="start")),
        *(square(x + 102, KEY), text(x + 114, y, "hub", anchor="start")),
        *(stroke(x + 160, KEY, x + 184, KEY, INK, 1.0), text(x + 190, y, "run", anchor="start")),
        *(_fixed(complex(x + 242, KEY), 4), text(x + 256, y, "fixed stake", anchor="start")),
    ]


def _below(out: StakeOut, fix: Fix, note: str, units: LengthUnits) -> tuple[list[str], int]:
    """Say how long each tape is, where a compass points, and the note; return the rows they take, too."""
    samples, rows = list[str](), list[tuple[float, str]]()
    for (letter, colour, dashes), tape in zip(TAPES, fix.tapes, strict=False):
        start = "the centre" if tape.start == CENTRE else f"stake {tape.start}"
        y = KEY + (len(rows) + 1) * STEP
        samples.append(stroke(MARGIN, y, MARGIN + 34, y, colour, 3, dashes))
        rows += _wrapped(f"{letter}: from {start}, {units.text(tape.length_m)}", MARGIN + 42)
    lines = [] if fix.tapes else [f"stake {fix.element} stands at the centre: no tape is needed"]
    lines += [how_to_set(fix, out.first, units)] if fix.by_string else []
    lines += [note] if note else []
    if out.declination_deg is not None:
        way = "east" if out.declination_deg >= 0 else "west"
        lines.append(f"M: magnetic north, {abs(out.declination_deg):.1f} deg {way} of true north")
    rows += [row for line in lines for row in _wrapped(line, MARGIN)]
    words = (text(x, KEY + (n + 1) * STEP + 4, line, anchor="start") for n, (x, line) in enumerate(rows))
    return [*samples, *words], len(rows)


def _wrapped(line: str, x: float) -> list[tuple[float, str]]:
    """Return a line in rows that fit the drawing, each with its place."""
    return [(x, row) for row in textwrap.wrap(line, int((WIDTH - x) / (NARROW * 12)))]
