"""The uniform line that sweeps show, on plain numbers: how late, how lossy, and which characteristic impedance.

Seen from its own characteristic impedance Zc, a line reflects e^(-2gl) with its far end open and -e^(-2gl) with its far
end shorted. A through sweep holds the same of half the line, since S11 + S21 and S11 - S21 are what a symmetrical
two-port reflects with its middle open and shorted: e^(-gl) and -e^(-gl). Zc is not known beforehand, but of a cable it
is gl/(jwC) with one capacitance C, since conductance is negligible below 30 MHz; a wrong C puts ripple on the phase, so
the C with the least ripple is the line's.

Lag and loss are smooth: each is fitted by f, sqrt(f), 1 and 1/sqrt(f), which follows every cable of the catalogue from
1 to 10 MHz to 1 mrad in 30 m.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.units import ComplexArray, FloatArray

FEWEST = 12
"""Points below which a sweep is too short for a fit of its own and needs a cable's record for its shape."""
ENOUGH = 200
"""Points that show the ripple of a wrong impedance well enough."""
COARSEST = 0.4
"""Turns of the reflection from one point to the next above which it is not known which turn it is."""
_LEAST_TURNS = 0.4
"""Turns of the reflection over a sweep below which the ripple does not show the characteristic impedance."""
_HIGH_START = 3.0
"""Lowest frequency over width of a sweep above which its slope does not show how many turns lie below it."""
WEAKEST = 0.08
"""Size of what comes back from the far end below which its phase is noise."""
_SURE = 0.3
"""Turns of the reflection by which a sweep may be off what is expected before it counts as another one."""
_SURE_START = 0.1
"""Turns of the reflection by which the phase may miss zero at zero frequency."""
_LONGEST = 500e-9
"""Delay [s] up to which a line without a known length is looked for: 100 m of solid polyethylene."""
_BIAS = 0.01
"""Relative uncertainty of the impedance by ripple, for one turn of the reflection."""
_UNKNOWN_IMPEDANCE = 0.03
"""Relative standard uncertainty of a characteristic impedance that comes from the record."""


class Reflection(NamedTuple):
    """What is seen into one port (n): reflection, its reference [ohm], +1 open or -1 short, passes through the line."""

    hertz: FloatArray
    seen: ComplexArray
    ohms: float
    sign: int
    passes: int


class Shape(NamedTuple):
    """What is known beforehand: lag and loss [rad, Np] of the piece by its record at some frequencies, and its Zc."""

    lag: FloatArray
    loss: FloatArray
    ohms: ComplexArray

    def up_to(self, count: int) -> "Shape":
        """Return the same at the lowest frequencies."""
        return Shape(self.lag[:count], self.loss[:count], self.ohms[:count])


@dataclass(frozen=True, eq=False)
class UniformLine:
    """A line fitted to sweeps.

    Attributes
    ----------
    hertz
        Frequencies of the sweep (n) [Hz].
    lag, loss
        Smooth lag [rad] and loss [Np] of the whole piece (n).
    ohms
        Characteristic impedance (n) [ohm], complex.
    lag_scatter, loss_scatter
        Standard deviations (n) [rad, Np] of single points about smooth lag and loss, by their neighbours.
    impedance_scatter
        Relative standard uncertainty of the characteristic impedance.
    """

    hertz: FloatArray
    lag: FloatArray
    loss: FloatArray
    ohms: ComplexArray
    lag_scatter: FloatArray
    loss_scatter: FloatArray
    impedance_scatter: float


def fitted(seen: Sequence[Reflection], shape: Shape | None, long: bool) -> UniformLine:
    """Return the uniform line that reflections on the same frequencies show.

    Parameters
    ----------
    seen
        Reflections.
    shape
        What the cable's record says of the piece; of its impedance only where the sweep does not show one.
    long
        Whether the record's lag, of a known length, says how many turns lie below the sweep.

    Raises
    ------
    InputError
        When the points are too few or too coarse, or it is not known how many turns lie below the first.
    """
    hertz = seen[0].hertz
    few = len(hertz) < FEWEST
    if few and not (shape and long):
        raise InputError(
            f"has {len(hertz)} points",
            where="sweep",
            wanted=f"{FEWEST} or more",
            remedy="give more, or cable and length",
        )
    fit = _Fit(seen, shape, few, long)
    if not few and (strong := fit.strong_points()) < len(hertz):
        seen = [one._replace(hertz=one.hertz[:strong], seen=one.seen[:strong]) for one in seen]
        fit = _Fit(seen, None if shape is None else shape.up_to(strong), few, long)
    level, ripple = fit.best_level()
    return fit.line(level, ripple)


class _Fit:
    """The search for the characteristic impedance with the least ripple."""

    def __init__(self, seen: Sequence[Reflection], shape: Shape | None, few: bool, long: bool) -> None:
        self.seen, self.shape, self.few, self.long = seen, shape, few, long
        self.hertz = seen[0].hertz
        x = self.hertz / 1e6
        columns = [x, np.sqrt(x), np.ones_like(x), 1 / np.sqrt(x)]
        if few and shape is not None:
            self.bases = [shape.lag[:, None], shape.loss[:, None]]
        else:
            self.bases = [np.stack(columns, 1)] * 2
        self.ratio: Any = 1.0 if shape is None else shape.ohms / np.abs(shape.ohms[-1])
        self.reference: FloatArray | None = shape.lag if few and shape is not None else None

    def best_level(self) -> tuple[float, float]:
        """Return the characteristic impedance [ohm] at the highest frequency, and its relative uncertainty."""
        if self.few:
            return self._checked_points()
        level = self._first_level()
        self.reference = self._lag_of(level)
        turns = float(np.ptp(self.reference)) * self.seen[0].passes / (2 * np.pi)
        both_ends = len({one.sign for one in self.seen}) > 1
        # without several turns ripple and slope are hard to distinguish
        bias = 0.0 if both_ends else max(_BIAS / turns, _BIAS / turns**3)
        if not both_ends and (turns < _LEAST_TURNS or (self.shape is not None and bias > _UNKNOWN_IMPEDANCE)):
            return self._recorded()
        search = self._thinned()
        for width in (1.4, 1.1, 1.02):
            level = _least(search._cost, level / width, level * width)
            lag, loss, _ = search._smooth(level)
            ratio = (loss + 1j * lag) / (1j * search.hertz)
            search.ratio = ratio / np.abs(ratio[-1])
        self.ratio = np.interp(self.hertz, search.hertz, search.ratio)
        return level, max(self._ripple(level), bias)

    def _first_level(self) -> float:
        """Return the best of a few impedances [ohm] to begin with."""
        known = None if self.shape is None else np.abs(self.shape.ohms[-1])
        starts = np.geomspace(25, 300, 11) if known is None else known * np.array([0.6, 0.7, 0.85, 1.0, 1.2, 1.45])
        return float(min(starts, key=self._cost))

    def strong_points(self) -> int:
        """Return how many points, from the lowest up, come back through the loss strongly enough to have a phase."""
        back = np.max([np.exp(-log.real) for log in self._logs(self._first_level())], axis=0)
        weak = np.flatnonzero(_local_mean(back, 9) < WEAKEST)
        return int(weak[0]) if weak.size and weak[0] >= 2 * FEWEST else len(self.hertz)

    def _thinned(self) -> "_Fit":
        """Return the same search on few enough points; which turn they are on is known."""
        step = max(1, len(self.hertz) // ENOUGH)
        some = slice((len(self.hertz) - 1) % step, None, step)
        seen = [one._replace(hertz=one.hertz[some], seen=one.seen[some]) for one in self.seen]
        found = _Fit(seen, None, False, self.long)
        found.ratio = np.broadcast_to(self.ratio, self.hertz.shape)[some]
        found.reference = None if self.reference is None else self.reference[some]
        return found

    def _checked_points(self) -> tuple[float, float]:
        """Return the impedance of the record; refuse points that do not fit the record's lag."""
        recorded = self._recorded()
        expected = 0.0 if self.shape is None else self.shape.lag
        turned = zip(self._turned(recorded[0]), self.seen, strict=True)
        if max(np.abs(one.imag - expected).max() * seen.passes for one, seen in turned) > _SURE * 2 * np.pi:
            raise _another_end("the phase does not fit the length")
        return recorded

    def _recorded(self) -> tuple[float, float]:
        """Return the impedance of the record, where the sweep does not show one."""
        if self.shape is None:
            raise InputError(
                "covers too little of the line's resonances to show its characteristic impedance",
                where="sweep",
                remedy="sweep over a wider range, or give the cable",
            )
        return float(np.abs(self.shape.ohms[-1])), _UNKNOWN_IMPEDANCE

    def _ripple(self, level: float) -> float:
        """Return the relative error of the impedance that would make as much ripple as the points scatter."""
        slope = 1e-3
        ripple = np.concatenate(self._turned(level * (1 + slope))) - np.concatenate(self._turned(level))
        strength = np.sqrt(np.mean(np.abs(ripple) ** 2)) / slope
        return float(min(self._smooth(level)[2] / strength, _UNKNOWN_IMPEDANCE))

    def _logs(self, level: float) -> list[ComplexArray]:
        """Return loss + j lag of one pass by every reflection (n), the lag not unwrapped."""
        ohms = level * self.ratio
        found: list[ComplexArray] = []
        for one in self.seen:
            seen = one.seen
            impedance = one.ohms * (1 + seen) / np.where(seen == 1, 1e-15, 1 - seen)
            own = one.sign * (impedance - ohms) / (impedance + ohms)
            found.append(-np.log(np.where(own == 0, 1e-15, own)))
        return found

    def _turned(self, level: float) -> list[ComplexArray]:
        """Return loss + j lag of the line by every reflection (n), the lag on the turn of the reference."""
        found: list[ComplexArray] = []
        for one, log in zip(self.seen, self._logs(level), strict=True):
            if self.reference is None:
                lag = _anchored(np.unwrap(log.imag), self.hertz)
            else:
                expected = self.reference * one.passes
                lag = log.imag + 2 * np.pi * np.rint((expected - log.imag) / (2 * np.pi))
            turned: Any = log.real + 1j * lag
            found.append(turned / one.passes)
        return found

    def _smooth(self, level: float) -> tuple[FloatArray, FloatArray, float]:
        """Return smooth lag and loss (n), and the root mean square by which the points scatter."""
        each = self._turned(level)
        weights = [np.exp(-one.real * seen.passes) * seen.passes for one, seen in zip(each, self.seen, strict=True)]
        total = np.sum(weights, 0)
        mean = np.sum([w * one for w, one in zip(weights, each, strict=True)], 0) / total
        lag = _weighted(self.bases[0], mean.imag, total)
        loss = _weighted(self.bases[1], mean.real, total)
        off = [np.mean(np.abs((one - loss - 1j * lag) * w) ** 2) for w, one in zip(weights, each, strict=True)]
        return lag, loss, float(np.sqrt(np.mean(off)) * len(each) / np.mean(total))

    def _cost(self, level: float) -> float:
        return self._smooth(level)[2]

    def _lag_of(self, level: float) -> FloatArray:
        """Return the smooth lag on the right turn; refuse a sweep that does not show which it is."""
        if max(np.abs(np.diff(np.unwrap(log.imag))).max() for log in self._logs(level)) > COARSEST * 2 * np.pi:
            raise InputError(
                "the points lie too far apart to follow the phase",
                where="sweep",
                remedy=f"sweep with a step of at most {np.diff(self.hertz).max() / 2e3:.4g} kHz",
            )
        lag = self._smooth(level)[0]
        passes = max(one.passes for one in self.seen)
        start = np.polynomial.Polynomial.fit(self.hertz, lag, 1)(0.0) * passes / (2 * np.pi)
        if self.hertz[0] <= _HIGH_START * np.ptp(self.hertz) and abs(start) <= _SURE_START:
            self._check_step(passes)
            return lag
        if not self.long or self.shape is None:
            raise _another_end(f"it is not known how many turns of phase lie below {self.hertz[0] / 1e6:.4g} MHz")
        off = (self.shape.lag - lag) * passes / (2 * np.pi)
        turns = float(np.rint(np.mean(off)))
        if np.abs(off - turns).max() > _SURE:
            raise _another_end("the phase does not fit the length")
        return lag + turns * 2 * np.pi / passes

    def _check_step(self, passes: int) -> None:
        """Refuse a sweep of which another number of turns from point to point fits as well."""
        step = float(np.diff(self.hertz).max())
        # a turn more from point to point is seen as this much at zero frequency
        shift = abs(self.hertz[0] / step - np.rint(self.hertz[0] / step))
        widest = (1 - COARSEST) / (passes * _LONGEST)
        if step > widest and shift < _SURE_START and not self.long:
            raise InputError(
                f"a step of {step / 1e3:.4g} kHz would show a longer line as the same",
                where="sweep",
                remedy=f"sweep with a step of at most {0.99 * widest / 1e3:.3g} kHz, or give the length",
            )

    def line(self, level: float, ripple: float) -> UniformLine:
        """Return the fitted line."""
        lag, loss, _ = self._smooth(level)
        mean = np.mean(self._turned(level), 0)
        parts = []
        # what the smooth shapes do not follow is seen where several neighbours are off the same way
        width = 1 if self.few else max(1, min(15, len(self.hertz) // 8))
        for smooth, seen in ((lag, mean.imag), (loss, mean.real)):
            off = seen - smooth
            near = np.maximum(_local_mean(off**2, 2 * width + 1), np.mean(off**2) / 4)
            parts += [smooth if self.few else smooth + _local_mean(off, width), np.sqrt(near)]
        ohms = level * self.ratio * np.ones_like(self.hertz)
        return UniformLine(self.hertz, parts[0], parts[2], ohms, parts[1], parts[3], ripple)


def _another_end(problem: str) -> InputError:
    remedy = "check which far end is open or shorted, and the length, or start lower with a finer step"
    return InputError(problem, where="sweep", remedy=remedy)


def _anchored(lag: FloatArray, hertz: FloatArray) -> FloatArray:
    """Return an unwrapped lag on the turn on which it would begin nearest to zero at zero frequency."""
    start = np.polynomial.Polynomial.fit(hertz, lag, 1)(0.0) if len(hertz) > 1 else 0.0
    return lag - 2 * np.pi * np.rint(start / (2 * np.pi))


def _local_mean(values: FloatArray, width: int) -> FloatArray:
    """Return the mean over so many neighbours of every value, fewer at the ends."""
    total = np.concatenate(([0.0], np.cumsum(values)))
    place = np.arange(len(values))
    low, high = np.maximum(place - width // 2, 0), np.minimum(place + width // 2 + 1, len(values))
    return np.asarray((total[high] - total[low]) / (high - low))


def _weighted(basis: FloatArray, values: FloatArray, weights: FloatArray) -> FloatArray:
    """Return the values of a weighted least-squares fit."""
    found = np.linalg.lstsq(basis * weights[:, None], values * weights, rcond=None)[0]
    return basis @ found


def _least(cost: Any, low: float, high: float) -> float:
    """Return where a cost is least between two ends, by golden section to 1e-5."""
    golden = (np.sqrt(5) - 1) / 2
    inner = high - golden * (high - low), low + golden * (high - low)
    costs = cost(inner[0]), cost(inner[1])
    while high - low > 1e-5 * high:
        if costs[0] < costs[1]:
            high = inner[1]
            inner = high - golden * (high - low), inner[0]
            costs = cost(inner[0]), costs[0]
        else:
            low = inner[0]
            inner = inner[1], low + golden * (high - low)
            costs = costs[1], cost(inner[1])
    return (low + high) / 2
