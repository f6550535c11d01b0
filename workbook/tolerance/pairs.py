"""Noise that pairs of elements receive in common when their positions vary: B(d) by one short series for each pair.

B depends on a pair's distance alone and is smooth in its square, so near its nominal distance a polynomial of a few
terms in d^2 gives it; no root and no table look-up for each trial. The error is measured where the series is made.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev

from workbook.array.ground import AnyGround
from workbook.errors import InputError
from workbook.formulas.waves import wave_number
from workbook.units import FloatArray

CLOSE = 1e-9
"""Greatest error of a series, relative to B(0)."""
DEGREES = (2, 3, 4, 5, 6, 8, 10, 13, 17, 22, 28)
WIDEST = 10.0
"""Greatest change of a pair's phase [rad] that a series covers, about 1.6 wavelengths."""


@dataclass(frozen=True, eq=False)
class PairSeries:
    """B of each pair i < j as a polynomial in t = (d^2 - middle) * scale, which lies within -1 to 1.

    `coefficients` (terms, pairs), highest power first; `alone` is B(0); `error` the greatest seen, relative to B(0).
    """

    middle: FloatArray
    scale: FloatArray
    coefficients: FloatArray
    alone: float
    error: float

    def averages(self, pairs: slice, squares: FloatArray) -> FloatArray:
        """Return B for some pairs at squared distances (pairs, trials) [m^2]."""
        t = (squares - self.middle[pairs, None]) * self.scale[pairs, None]
        total = self.coefficients[0, pairs, None] * t
        for row in self.coefficients[1:-1]:
            total += row[pairs, None]
            total *= t
        total += self.coefficients[-1, pairs, None]
        return total


def pair_series(metres: FloatArray, hertz: float, ground: AnyGround, change: float) -> PairSeries:
    """Return B of every pair for distances that change by up to so much.

    Parameters
    ----------
    metres
        Nominal positions (N, 2) [m].
    hertz
        Frequency [Hz].
    ground
        Ground.
    change
        Greatest change of a distance [m].

    Raises
    ------
    InputError
        When the change is wider than a series covers.
    """
    if wave_number(hertz) * change > WIDEST:
        raise InputError(
            f"a position spread with changes of distance up to {change:.3g} m is more than the wavelength allows",
            where="tolerances",
            remedy=f"keep changes of distance under {WIDEST / wave_number(hertz):.3g} m",
        )
    one, other = np.triu_indices(len(metres), 1)
    apart = np.linalg.norm(metres[one] - metres[other], axis=-1)
    # pairs of equal distance share a series: a ring has few
    distinct, which = np.unique(np.round(apart, 9), return_inverse=True)
    low, high = np.maximum(distinct - change, 0.0) ** 2, (distinct + change) ** 2
    middle, half = (low + high) / 2, (high - low) / 2
    alone = float(ground.averages(hertz, np.zeros(1))[0])
    for degree in DEGREES:
        series = _fitted(hertz, ground, middle, half, degree)
        at = np.cos(np.pi * (np.arange(2 * degree + 3)) / (2 * degree + 2))
        exact = ground.averages(hertz, np.sqrt(np.maximum(middle[:, None] + half[:, None] * at, 0.0)))
        error = float(np.max(np.abs(chebyshev.chebval(at, series) - exact), initial=0.0)) / alone
        if error < CLOSE:
            break
    # a matrix, since cheb2poly shortens a series whose last term is zero
    to_powers = np.array([np.pad(chebyshev.cheb2poly(row), (0, degree - n)) for n, row in _unit_rows(degree)])
    powers = to_powers.T @ series
    return PairSeries(middle[which], 1 / half[which], powers[::-1][:, which], alone, error)


def _fitted(hertz: float, ground: AnyGround, middle: FloatArray, half: FloatArray, degree: int) -> FloatArray:
    """Return Chebyshev coefficients (degree + 1, pairs) through the Chebyshev points."""
    angle = np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1)
    at = np.sqrt(np.maximum(middle[:, None] + half[:, None] * np.cos(angle), 0.0))
    values = ground.averages(hertz, at)
    cosines = np.cos(np.outer(np.arange(degree + 1), angle))
    series = 2 / (degree + 1) * cosines @ values.T
    series[0] /= 2
    return series


def _unit_rows(degree: int) -> list[tuple[int, FloatArray]]:
    """Return each Chebyshev polynomial up to a degree as its own coefficients."""
    return [(n, np.eye(degree + 1)[n, : n + 1]) for n in range(degree + 1)]
