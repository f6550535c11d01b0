"""An array toward one direction with all its sources of error, on plain numbers: what a worker needs for trials."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.errors import InputError
from workbook.formulas.chance import stream
from workbook.formulas.lines import C
from workbook.formulas.waves import wave_number
from workbook.tolerance.kinds import DISTRIBUTIONS, NORMAL_REACH, OF_LINES, Tolerance
from workbook.tolerance.pairs import PairSeries, pair_series
from workbook.units import ComplexArray, FloatArray, IntArray

BLOCK = 2048
"""Trials are drawn and evaluated in blocks of so many, whole, so that no answer depends on how they are handed out."""

TAIL = 8.9
"""Standard deviations that no distance of two normal draws exceeds within 10^17 trials (Rayleigh distribution)."""


@dataclass(frozen=True, eq=False)
class Source:
    """One tolerance as a source of random errors; `of` (N,) holds which draw each element takes, -1 for none."""

    number: int
    what: str
    draw: Callable[[np.random.Generator, tuple[int, ...]], FloatArray]
    deviation: float
    count: int
    of: IntArray

    def errors(self, seed: int, block: int) -> FloatArray:
        """Return the errors of a block: (N, BLOCK), for positions (2, N, BLOCK), east and north."""
        axes = 2 if self.what == "position" else 1
        drawn = self.draw(stream(seed, self.number, block), (axes, self.count, BLOCK))
        drawn *= self.deviation
        if self.count != len(self.of) or np.any(self.of != np.arange(self.count)):
            none = np.zeros((axes, 1, BLOCK))
            drawn = np.concatenate((drawn, none), axis=1)[:, self.of]
        return drawn if axes == 2 else drawn[0]


@dataclass(frozen=True, eq=False)
class AsBuilt:
    """A block of arrays as they came out: weights (N, T), and how far each element was moved (2, N, T) [m] or None."""

    weights: ComplexArray
    moved: FloatArray | None


@dataclass(frozen=True, eq=False)
class Model:
    """The array, its direction and its sources of error on plain SI numbers.

    `across` is the wave vector (2,) toward the firing's direction, east and north [1/m]; `velocity` that of the
    lines [m/s], not a number where it is not needed; `noise` is B (N, N) at the nominal positions, and `series` gives
    it elsewhere where positions vary. `null_turn` [rad] and `element` (elevations [rad], one element's power there)
    are filled in for figures that need them.
    """

    metres: FloatArray
    weights: ComplexArray
    delays: FloatArray
    velocity: float
    hertz: float
    azimuth: float
    elevation: float
    across: FloatArray
    element_power: float
    noise: FloatArray
    sources: tuple[Source, ...]
    series: PairSeries | None = None
    null_turn: float = np.nan
    element: tuple[FloatArray, FloatArray] | None = None

    @property
    def wave_number(self) -> float:
        """Phase per metre [1/m]."""
        return float(wave_number(self.hertz))

    def built(self, seed: int, block: int) -> AsBuilt:
        """Return the arrays of one block of trials.

        A velocity factor v (1 + e) makes a line's lag omega tau / (1 + e); length and connectors add to it, and so
        does a channel's phase; amplitudes become w (1 + e). Several tolerances on one thing multiply or add.
        """
        radians = 2 * np.pi * self.hertz
        lag: Any = 0.0
        speed: Any = 1.0
        gain: Any = 1.0
        moved: Any = None
        for source in self.sources:
            error = source.errors(seed, block)
            if source.what == "velocity factor":
                speed = speed * (1 + error)
            elif source.what == "cut length":
                lag = lag + radians / self.velocity * error
            elif source.what == "connector delay":
                lag = lag + radians * error
            elif source.what == "phase":
                lag = lag + error
            elif source.what == "amplitude":
                gain = gain * (1 + error)
            else:
                moved = error if moved is None else moved + error
        if np.ndim(speed):
            lag = lag + (radians * self.delays)[:, None] * (1 / speed - 1)
        weights = self.weights[:, None] * gain
        if np.ndim(lag):
            weights = weights * phasor(-lag)
        return AsBuilt(np.broadcast_to(weights, (len(self.metres), BLOCK)), moved)

    def perfect(self) -> AsBuilt:
        """Return the array without any error, as the only trial of a block."""
        return AsBuilt(self.weights[:, None], None)


def phasor(phase: FloatArray) -> ComplexArray:
    """Return e^{j phase}, in a third of the time that a complex exponential takes."""
    turned = np.empty(np.shape(phase), dtype=complex)
    np.cos(phase, out=turned.real)
    np.sin(phase, out=turned.imag)
    return turned


def lines_of(delays: FloatArray, same_line: Sequence[Sequence[int]]) -> IntArray:
    """Return the number of each element's delay line (N,), -1 where it has none."""
    line = np.where(delays > 0, np.arange(len(delays)), -1)
    for group in same_line:
        line[list(group)] = line[group[0]]
    used = np.unique(line[line >= 0])
    return np.where(line < 0, -1, np.searchsorted(used, line))


def model_of(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    delays: FloatArray | None,
    velocity_factor: float | None,
    same_line: Sequence[Sequence[int]],
) -> Model:
    """Return a firing and its tolerances on plain numbers, after checking that each tolerance has what it needs."""
    count = firing.layout.count
    hertz, azimuth, elevation = firing.arrival.hertz, firing.arrival.azimuth, firing.arrival.elevation
    lines = None if delays is None else lines_of(delays, same_line)
    sources = tuple(
        _source(number, tolerance, count, lines, velocity_factor) for number, tolerance in enumerate(tolerances)
    )
    _check_velocity(tolerances, velocity_factor)
    moves = [t for t in tolerances if t.what == "position"]
    series = pair_series(firing.layout.metres, hertz, firing.ground, _change(moves)) if moves else None
    across = wave_number(hertz) * np.cos(elevation) * np.array([np.sin(azimuth), np.cos(azimuth)])
    return Model(
        metres=firing.layout.metres,
        weights=firing.weights,
        delays=np.zeros(count) if delays is None else delays,
        velocity=np.nan if velocity_factor is None else velocity_factor * C,
        hertz=hertz,
        azimuth=azimuth,
        elevation=elevation,
        across=across,
        element_power=firing.arrival.element_power,
        noise=firing.arrival.noise_matrix,
        sources=sources,
        series=series,
    )


def _source(
    number: int, tolerance: Tolerance, count: int, lines: IntArray | None, velocity_factor: float | None
) -> Source:
    """Return one tolerance as a source of errors."""
    what = f"tolerances: {tolerance.what}"
    of_lines = tolerance.what in OF_LINES or tolerance.shared == "reel"
    if of_lines and lines is None:
        raise InputError("a tolerance of delay lines came without them", where=what, remedy="give delays, one each")
    if of_lines and np.all(lines == -1):
        raise InputError(
            "no element has a delay line, since every delay is 0", where=what, remedy="leave the tolerance out"
        )
    if tolerance.what == "cut length" and velocity_factor is None:
        raise InputError(
            "a length is a delay only with the cable's velocity factor", where=what, remedy="give velocity_factor"
        )
    if tolerance.shared == "each":
        of = lines if lines is not None and tolerance.what in OF_LINES else np.arange(count)
    else:
        of = np.where(lines < 0, -1, 0) if lines is not None and of_lines else np.zeros(count, dtype=int)
    draw = DISTRIBUTIONS[tolerance.kind].draw
    return Source(number, tolerance.what, draw, tolerance.deviation, int(of.max()) + 1, of)


def _check_velocity(tolerances: Sequence[Tolerance], velocity_factor: float | None) -> None:
    """Refuse spreads that take velocity factors out of 0 to 1."""
    own = [t for t in tolerances if t.what == "velocity factor"]
    bounded = sum(t.reach for t in own if t.kind != "normal")
    reach = bounded + NORMAL_REACH * float(np.sqrt(sum(t.deviation**2 for t in own if t.kind == "normal")))
    v = 1.0 if velocity_factor is None else velocity_factor
    highest = 0.0 if velocity_factor is None else v * (1 + reach)
    if reach >= 1 or highest > 1:
        ends = f"{v * (1 - reach):.3g} to {v * (1 + reach):.3g}"
        raise InputError(
            f"velocity factors from {ends}{' times the nominal one' if velocity_factor is None else ''} come of it",
            where="tolerances: velocity factor",
            wanted="a spread that stays within 0 to 1",
            remedy="make the spread narrower",
        )


def _change(moves: Sequence[Tolerance]) -> float:
    """Return how far the distance of two elements can change [m]."""
    bounded = sum(2 * np.sqrt(2) * t.reach for t in moves if t.kind != "normal")
    return float(bounded + TAIL * np.sqrt(2 * sum(t.deviation**2 for t in moves if t.kind == "normal")))
