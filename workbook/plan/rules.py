"""What each phasing rule asks of the elements in one direction; plain SI numbers."""

import functools
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.candidates import Problem, problem_of
from workbook.array.fewest import check_lines
from workbook.array.ground import check_arrival
from workbook.array.layout import Layout, Rows, projections, rows_toward
from workbook.array.phasing import aligned_delays, endfire_delays, gain_limit, greatest_rdf_weights
from workbook.array.search import SearchResult, refined_delays, search
from workbook.design.schema import DesignFile, Direction
from workbook.errors import InputError
from workbook.units import Quantity


@dataclass(frozen=True, eq=False)
class Feeds:
    """What elements are asked for: waits [s], not a number where off; polarities, 0 where off; amplitudes."""

    delays: Any
    polarity: Any
    amplitude: Any


def stacked(rows: Iterable[Feeds]) -> Feeds:
    """Return the feeds of several directions together: (directions, elements)."""
    rows = tuple(rows)
    return Feeds(*(np.array([getattr(row, key) for row in rows]) for key in ("delays", "polarity", "amplitude")))


def feeds(design: DesignFile, layout: Layout, direction: Direction, hertz: float) -> Feeds:
    """Return what a direction asks for when its rule is solved at a frequency [Hz]; the least wait is 0.

    The rule *fewest-delays* is solved over all bands of the design, whatever the frequency.

    Raises
    ------
    InputError
        When the rule cannot be followed in this direction; says which could.
    """
    rule, azimuth = design.phasing.rule, direction.azimuth.m_as("radian")
    if rule == "entered":
        return _entered(direction, layout.count, design.bands[design.phasing.cut_band].m_as("Hz"))
    assert design.phasing.elevation is not None  # the schema asks for it
    elevation = design.phasing.elevation.m_as("radian")
    if rule == "aligned":
        return _with_polarity(aligned_delays(layout.metres, azimuth, elevation), np.ones(layout.count, dtype=int))
    if rule == "endfire":
        # an elevation of 0 is an elevation too
        null = design.phasing.elevation if design.phasing.null_elevation is None else design.phasing.null_elevation
        inversion = bool(design.phasing.polarity_inversion)
        rows = rows_toward(layout.metres, azimuth)
        return _with_polarity(*endfire_delays(rows, hertz, null.m_as("radian"), inversion))
    if rule == "greatest-rdf":
        return _greatest(design, layout, direction, hertz)
    return _fewest(design, layout, direction)


def _with_polarity(delays: Any, polarity: Any) -> Feeds:
    return Feeds(delays - np.nanmin(delays), polarity, np.where(polarity == 0, 0.0, 1.0))


def _entered(direction: Direction, count: int, cut_hertz: float) -> Feeds:
    rows, per_unit = (direction.delays, 1.0) if direction.delays is not None else (direction.phases, 1 / cut_hertz)
    assert rows is not None  # the schema asks for one of the two
    unit = "s" if direction.delays is not None else "turn"
    delays = np.array([np.nan if isinstance(entry, str) else entry.m_as(unit) * per_unit for entry in rows])
    polarity = np.where(np.isnan(delays), 0, direction.polarity or [1] * count)
    return _with_polarity(delays, polarity)


def _greatest(design: DesignFile, layout: Layout, direction: Direction, hertz: float) -> Feeds:
    phasing = design.phasing
    weights = greatest_rdf_weights(
        layout, Quantity(hertz, "Hz"), direction.azimuth, phasing.elevation, design.ground_below(),
        phasing.least_white_noise_gain,
    )  # fmt: skip
    part = 2 if phasing.polarity_inversion else 1
    lag = lags(weights**part) / part
    # what half a turn less of lag leaves over is a reversed element
    turned = weights * np.exp(1j * lag)
    polarity = np.where((turned * turned[0].conj()).real < 0, -1, 1)
    ahead = projections(layout.metres, direction.azimuth.m_as("radian"))
    # all may be turned over: few are to be reversed, and of two such choices the one with the front straight
    front = polarity[int(np.argmax(np.round(ahead, 6)))]
    if (polarity.sum(), round(float(polarity @ ahead), 6), front) < (0, 0.0, 0):
        polarity = -polarity
    amplitude = np.minimum(np.abs(weights), 1.0)
    return Feeds(lag / (2 * np.pi * hertz), polarity, amplitude)


def lags(weights: Any) -> Any:
    """Return the lags [rad] of weights (N,), whole turns taken out so that the greatest is as small as can be.

    Examples
    --------
    >>> np.degrees(lags(np.exp(-1j * np.radians([170.0, 190.0, 200.0])))).round(6)
    array([ 0., 20., 30.])
    """
    turn = 2 * np.pi
    lag = np.round(-np.angle(weights), 12) % turn
    tried = np.round(lag[:, None] - lag[None], 12) % turn
    greatest = tried.max(axis=0)
    # of equal ones that with the least sum, so that directions alike but for a turn get the same lags
    total = np.where(greatest <= greatest.min() + 1e-6, tried.sum(axis=0), np.inf)
    return tried[:, int(np.argmin(total))]


def _fewest(design: DesignFile, layout: Layout, direction: Direction) -> Feeds:
    found, rows = fewest(design, layout, direction)
    waits = np.concatenate(([0.0], found.delays[0]))[found.candidates.line[0]]
    return _with_polarity(waits[rows.of], found.candidates.polarity[0][rows.of])


def fewest(design: DesignFile, layout: Layout, direction: Direction) -> tuple[SearchResult, Rows]:
    """Return what the search for fewest delays found in a direction, and the rows it speaks of."""
    phasing = design.phasing
    assert phasing.lines is not None  # the schema asks for it
    inversion = phasing.polarity_inversion is not False
    rows = rows_toward(layout.metres, direction.azimuth.m_as("radian"))
    check_lines(phasing.lines, rows.count, inversion)
    lines = min(phasing.lines, rows.count - 1)
    return _searched(_Alike(task_of(design, layout, direction)), lines, inversion, _limit(design, layout.count)), rows


def task_of(design: DesignFile, layout: Layout, direction: Direction) -> Problem:
    """Return what the search for fewest delays in a direction works on: the rows on all bands of the design."""
    assert design.phasing.elevation is not None  # the schema asks for it
    elevation, azimuth = design.phasing.elevation.m_as("radian"), direction.azimuth.m_as("radian")
    hertz = np.unique([frequency.m_as("Hz") for frequency in design.bands.values()])
    for one in hertz:
        check_arrival(design.ground_below(), one, elevation)
    return problem_of(
        layout.metres, rows_toward(layout.metres, azimuth), hertz, azimuth, elevation, design.ground_below()
    )


def _limit(design: DesignFile, count: int) -> float | None:
    least = design.phasing.least_white_noise_gain
    return None if least is None else gain_limit(least, count)


@dataclass(frozen=True)
class _Alike:
    """A problem_of that equals another but for rounding, as in the directions of a symmetrical array."""

    asked: Problem

    @property
    def _key(self) -> tuple[bytes, ...]:
        parts = (self.asked.hertz, self.asked.signals, self.asked.noise)
        # a minus nought would tell apart what is alike
        return tuple((np.round(part, 8) + 0.0).tobytes() for part in parts)

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Alike) and self._key == other._key


@functools.lru_cache(maxsize=64)
def _searched(alike: _Alike, lines: int, inversion: bool, limit: float | None) -> SearchResult:
    return search(alike.asked, lines, inversion, limit)


def every_feed(design: DesignFile, layout: Layout, hertz: float) -> Feeds:
    """Return what all directions ask for, (directions, elements), naming the direction that cannot have it."""
    return stacked(_named(design, layout, number, hertz) for number in range(len(design.directions)))


def _named(design: DesignFile, layout: Layout, number: int, hertz: float) -> Feeds:
    direction = design.directions[number]
    try:
        return feeds(design, layout, direction, hertz)
    except InputError as error:
        raise InputError(f"directions[{number + 1}] ({direction.name}): {error}") from None


def followed(design: DesignFile, layout: Layout, number: int, scales: Any) -> list[Feeds | None]:
    """Return what a direction asks for in the array made larger by each scale, None where it cannot be had.

    With *fewest delays* the rows keep the lines and polarities they have now, and the delays are moved to the nearest
    summit; anything else is solved anew.
    """
    hertz = design.bands[design.phasing.cut_band].m_as("Hz")
    direction = design.directions[number]
    if design.phasing.rule == "fewest-delays":
        return _follow_fewest(design, layout, direction, scales)
    found: list[Feeds | None] = []
    for scale in scales:
        try:
            found.append(feeds(design, Layout(layout.metres * scale), direction, hertz))
        except InputError:
            found.append(None)
    return found


def _follow_fewest(design: DesignFile, layout: Layout, direction: Direction, scales: Any) -> list[Feeds | None]:
    found, rows = fewest(design, layout, direction)
    limit = _limit(design, layout.count)
    best: dict[int, Feeds] = {}
    # outward from the present size, each starting from its neighbour's delays
    order = np.argsort(np.abs(np.log(scales)), kind="stable")
    for side in (order[scales[order] <= 1], order[scales[order] > 1]):
        delays, before = found.delays[:1], 1.0
        for n in side:
            asked = task_of(design, Layout(layout.metres * scales[n]), direction)
            delays = refined_delays(asked, found.candidates[:1], delays * scales[n] / before, limit)
            before = scales[n]
            waits = np.concatenate(([0.0], delays[0]))[found.candidates.line[0]]
            best[int(n)] = _with_polarity(waits[rows.of], found.candidates.polarity[0][rows.of])
    return [best[n] for n in range(len(scales))]
