"""What a run of trials gives: figures of each trial, coverage intervals, sensitivities, the envelope of patterns."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from workbook.array.firing import Firing
from workbook.checks import one_of, probability, real, whole_number
from workbook.formulas.chance import coverage_ranks, order_statistics, quantile_error, variance_shares
from workbook.tolerance import lobes
from workbook.tolerance.figures import FIGURES, figures_of, noise_power, power
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.model import BLOCK, Model
from workbook.units import Angle, Float32Array, FloatArray, Loss, with_unit

SENSITIVITY_TRIALS, MOST_SENSITIVITY = 8 * BLOCK, 1_000_000
"""Trials with one tolerance alone that a share of the variance rests on, by default, and at most."""
ENVELOPE_TRIALS = 2 * BLOCK
LEAK = 4.0
"""A null counts as filled by errors alone where they leak this many times the power that reached it before."""


ROUNDING = 1e-10
"""A figure that spreads less than this, in dB or degrees, does not vary."""


class Envelope(NamedTuple):
    """Azimuth cuts of the trials in dB below the front of the array without errors: quantiles at each azimuth."""

    low: Loss
    median: Loss
    high: Loss


@dataclass(frozen=True, eq=False)
class ToleranceResult:
    """Figures of every trial of a run.

    Attributes
    ----------
    firing, tolerances, figures, seed
        What was run; figures as their names.
    wanted
        Trials that were wanted; a run that was stopped rests on fewer, see `count`.
    values
        Figures of the trials, float32 (F, count), read-only.
    model
        The array and its sources of error on plain numbers.
    """

    firing: Firing
    tolerances: tuple[Tolerance, ...]
    figures: tuple[str, ...]
    seed: int
    wanted: int
    values: Float32Array
    model: Model

    def __repr__(self) -> str:
        """Write on one line what was run, and on how many trials it rests."""
        stopped = f" of {self.wanted:,}, stopped early" if self.stopped else ""
        kinds = len(self.tolerances)
        return f"<ToleranceResult: {', '.join(self.figures)}; {kinds} tolerances; {self.count:,} trials{stopped}>"

    @property
    def count(self) -> int:
        """How many trials the result rests on."""
        return int(self.values.shape[1])

    @property
    def stopped(self) -> bool:
        """Whether the run was stopped before all wanted trials were done."""
        return self.count < self.wanted

    def trials(self, figure: str) -> FloatArray:
        """Return a figure of every trial, in the order of their numbers.

        Parameters
        ----------
        figure
            One of the figures that were run.

        Returns
        -------
        plain float array (count,) in dB, for pointing in degrees

        Raises
        ------
        InputError
            On a figure that was not run.
        """
        return self._single(figure).astype(float)

    def _single(self, figure: str) -> Float32Array:
        return self.values[self.figures.index(one_of(figure, self.figures, "figure"))]

    def unit(self, figure: str) -> str:
        """Return the unit of a figure: ``"dB"`` or ``"degree"``.

        Parameters
        ----------
        figure
            One of the figures that were run.

        Returns
        -------
        text

        Raises
        ------
        InputError
            On a figure that was not run.
        """
        return FIGURES[one_of(figure, self.figures, "figure")][1]

    @cached_property
    def _nominal(self) -> FloatArray:
        return figures_of(self.model, self.model.perfect(), self.figures)[:, 0]

    def nominal(self, figure: str) -> float:
        """Return a figure of the array without errors.

        Parameters
        ----------
        figure
            One of the figures that were run.

        Returns
        -------
        plain float in dB, for pointing in degrees; infinite for a null without errors

        Raises
        ------
        InputError
            On a figure that was not run.
        """
        return float(self._nominal[self.figures.index(one_of(figure, self.figures, "figure"))])

    def median(self, figure: str) -> float:
        """Return the median of a figure.

        Parameters
        ----------
        figure
            One of the figures that were run.

        Returns
        -------
        plain float in dB, for pointing in degrees

        Raises
        ------
        InputError
            On a figure that was not run.
        """
        return float(order_statistics(self._single(figure), [self.count // 2])[0])

    def interval(self, figure: str, coverage: float = 0.95) -> tuple[float, float]:
        """Return the coverage interval with equal tails, between two ordered trials (JCGM 101:2008, 7.7).

        Parameters
        ----------
        figure
            One of the figures that were run.
        coverage
            Probability inside, between 0 and 1.

        Returns
        -------
        (low, high), plain floats in dB, for pointing in degrees

        Raises
        ------
        InputError
            On a figure that was not run or a coverage outside 0 to 1.
        """
        ranks = coverage_ranks(self.count, probability(coverage, "coverage"))
        low, high = order_statistics(self._single(figure), ranks)
        return float(low), float(high)

    def interval_error(self, figure: str, coverage: float = 0.95) -> tuple[float, float]:
        """Return the standard uncertainty of both ends of a coverage interval, from the number of trials.

        Parameters
        ----------
        figure, coverage
            As in `interval`.

        Returns
        -------
        (of the low end, of the high end), plain floats in the figure's unit

        Raises
        ------
        InputError
            On a figure that was not run or a coverage outside 0 to 1.
        """
        tail = (1 - probability(coverage, "coverage")) / 2
        sample = self._single(figure)
        return quantile_error(sample, tail), quantile_error(sample, 1 - tail)

    @property
    def rdf_error(self) -> float:
        """Greatest error of the RDF from the series for B(d) [dB], 0 where positions do not vary."""
        if self.model.series is None:
            return 0.0
        built = self.model.perfect()
        most = np.sum(np.abs(built.weights)) ** 2 * self.model.series.alone * self.model.series.error
        return float(10 * np.log10(1 + most / noise_power(self.model, built)[0]))

    def sensitivities(self, figure: str, trials: int = SENSITIVITY_TRIALS) -> tuple[tuple[Tolerance, float], ...]:
        """Return each tolerance's share of the variance, first order: its own variance with the others left out.

        JCGM 101:2008, annex B. Shares are of the sum of these variances. A null that errors alone fill has a level in
        dB that spreads alike whatever the errors' size; there the share is that of the power that leaks on average.

        Parameters
        ----------
        figure
            One of the figures that were run.
        trials
            On how many trials of each tolerance alone a share rests, rounded up to whole blocks of 2048.

        Returns
        -------
        pairs of Tolerance and share, a plain float; largest first, shares adding up to 1

        Raises
        ------
        InputError
            On a figure that was not run.
        """
        name = one_of(figure, self.figures, "figure")
        blocks = -(-whole_number(trials, "trials", 1, MOST_SENSITIVITY) // BLOCK)
        alone = [self._alone(name, number, blocks) for number in range(len(self.tolerances))]
        shares = variance_shares(_variances(alone, self.nominal(name), self.unit(name)))
        order = np.argsort(-shares, kind="stable")
        return tuple((self.tolerances[n], float(shares[n])) for n in order)

    def _alone(self, figure: str, number: int, blocks: int) -> FloatArray:
        """Return a figure of trials in which one tolerance alone has errors, the same as in the run."""
        model = replace(self.model, sources=(self.model.sources[number],))
        built = [model.built(self.seed, block) for block in range(blocks)]
        return np.concatenate([figures_of(model, each, (figure,))[0] for each in built])

    def envelope(self, azimuth: Angle, coverage: float = 0.95) -> Envelope:
        """Return between which levels the azimuth cut lies, at the firing's elevation, for the first 4096 trials.

        Parameters
        ----------
        azimuth
            Azimuths (A,).
        coverage
            Probability inside at each azimuth, between 0 and 1.

        Returns
        -------
        Envelope of dB quantities (A,), relative to the front of the array without errors

        Raises
        ------
        InputError
            On azimuths that are not angles or a coverage outside 0 to 1.
        """
        turns = np.atleast_1d(real(azimuth, "radian", "azimuth")) - self.model.azimuth
        inside = probability(coverage, "coverage")
        count = min(self.count, ENVELOPE_TRIALS)
        blocks = [self.model.built(self.seed, block) for block in range(-(-count // BLOCK))]
        east, north = lobes.toward(self.model, turns)
        found = [lobes.coarse_power(self.model, part, east, north) for block in blocks for part in lobes.sliced(block)]
        levels = np.concatenate(found, axis=1)[:, :count].astype(float)
        ranks = coverage_ranks(count, inside)
        bounds = np.sort(levels, axis=1)[:, [ranks[0], count // 2, ranks[1]]]
        perfect = self.model.perfect()
        front = power(perfect.weights * lobes.steering(self.model, perfect, *self.model.across))[0]
        in_db = 10 * np.log10(np.maximum(bounds / front, 1e-20))
        return Envelope(*(with_unit(in_db[:, n], "dB") for n in range(3)))


def _variances(alone: Sequence[FloatArray], nominal: float, unit: str) -> list[float]:
    """Return what each tolerance alone contributes: variance in dB, or leaked power where a null is filled."""
    if unit == "dB":
        leaked = [float(np.mean(10 ** (-each / 10))) for each in alone]
        before = 10 ** (-nominal / 10)
        if sum(leaked) - len(leaked) * before > LEAK * before and nominal > 0:
            return [max(each - before, 0.0) for each in leaked]
    spreads = [float(np.std(each)) if np.all(np.isfinite(each)) else 0.0 for each in alone]
    return [spread**2 if spread > ROUNDING else 0.0 for spread in spreads]
