"""The inverse: how wide tolerances may be while a figure is kept with some confidence."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from workbook.array.firing import Firing
from workbook.checks import one_of, probability, real, single, whole_number
from workbook.errors import InputError
from workbook.formulas.chance import order_statistics
from workbook.line.cable import Cable
from workbook.tolerance.figures import FIGURES, figures_of, prepared
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.run import MOST_TRIALS, checked_model, run_trials
from workbook.units import Angle, Gain, Time

WIDEST, NARROWEST = 2.0**16, 2.0**-30
"""Common factors beyond these are not looked for."""
HALVINGS = 14
"""Halvings of the step between a factor that keeps the figure and twice that; the result is 1e-4 below the limit."""


class _Wanted(NamedTuple):
    """What is to be kept, on plain numbers, and what it is tried on."""

    firing: Firing
    figure: str
    least: float
    confidence: float
    delays: Time | None
    velocity_factor: float | Cable | None
    same_line: Sequence[Sequence[int]]
    trials: int
    seed: int

    def kept(self, tolerances: Sequence[Tolerance], factor: float) -> bool:
        """Return whether tolerances multiplied by a factor keep the figure in enough of the trials."""
        scaled = [tolerance.scaled(factor) for tolerance in tolerances]
        model = checked_model(self.firing, scaled, self.delays, self.velocity_factor, self.same_line)
        ready = prepared(model, self.firing.ground, (self.figure,))
        values = run_trials(ready, (self.figure,), self.trials, self.seed)[0]
        # as many trials may miss it as leave the confidence whole
        missing = int(np.floor((1 - self.confidence) * self.trials + 1e-9))
        return bool(order_statistics(values, [min(missing, self.trials - 1)])[0] >= np.float32(self.least))


def allowable(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    figure: str,
    least: Gain | Angle,
    confidence: float,
    delays: Time | None = None,
    velocity_factor: float | Cable | None = None,
    same_line: Sequence[Sequence[int]] = (),
    trials: int = 20_000,
    seed: int = 1,
) -> tuple[Tolerance, ...]:
    """Return the widest tolerances, all multiplied by one common factor, that keep a figure with some confidence.

    The same trials are used for every factor, so that only the factor decides. Where wider tolerances would again
    keep the figure, the first limit counts.

    Parameters
    ----------
    firing, tolerances, delays, velocity_factor, same_line
        As in `run_tolerance`; the tolerances give the proportions.
    figure
        One of the figures of `run_tolerance`.
    least
        What the figure must reach, a quantity in dB (for pointing an angle).
    confidence
        Probability with which it must, between 0 and 1.
    trials
        How many trials each factor is tried on.
    seed
        Seed of these trials.

    Returns
    -------
    tuple of Tolerance, in the order and of the kinds given

    Raises
    ------
    InputError
        On a confidence outside 0 to 1, a figure that the array misses even without errors (saying what it reaches),
        or one that the widest possible tolerances still keep.

    Examples
    --------
    >>> import workbook as wb
    >>> pair = wb.row(2, "20 m", "0 deg")
    >>> weights = wb.endfire_weights(pair, "1.83 MHz", "0 deg", "20 deg")
    >>> firing = wb.Firing(pair, weights, "1.83 MHz", "0 deg", "20 deg", wb.Ground(13, "5 mS/m"))
    >>> phase = wb.Tolerance("phase", "uniform", half_width="1 degree")
    >>> (held,) = allowable(firing, [phase], "front_to_back", "20 dB", 0.95, trials=4000)
    >>> 1 < held.half_width.m_as("degree") < 10
    True
    """
    wanted = _wanted(firing, tolerances, figure, least, confidence, delays, velocity_factor, same_line, trials, seed)
    factor = _widest(wanted, tolerances)
    if factor is None:
        raise InputError(
            f"{_shown(wanted.least, figure)} is kept however wide these tolerances are",
            where="least",
            remedy="raise it, or leave these tolerances out",
        )
    return tuple(tolerance.scaled(factor) for tolerance in tolerances)


def allowable_alone(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    figure: str,
    least: Gain | Angle,
    confidence: float,
    delays: Time | None = None,
    velocity_factor: float | Cable | None = None,
    same_line: Sequence[Sequence[int]] = (),
    trials: int = 20_000,
    seed: int = 1,
) -> tuple[Tolerance | None, ...]:
    """Return for each tolerance the widest it may be when all others are left out.

    Parameters
    ----------
    firing, tolerances, figure, least, confidence, delays, velocity_factor, same_line, trials, seed
        As in `allowable`.

    Returns
    -------
    tuple of Tolerance in the order given; None for one that keeps the figure however wide it is

    Raises
    ------
    InputError
        As `allowable`.
    """
    wanted = _wanted(firing, tolerances, figure, least, confidence, delays, velocity_factor, same_line, trials, seed)
    factors = [_widest(wanted, [tolerance]) for tolerance in tolerances]
    return tuple(
        None if factor is None else tolerance.scaled(factor)
        for tolerance, factor in zip(tolerances, factors, strict=True)
    )


def _wanted(
    firing: Firing,
    tolerances: Sequence[Tolerance],
    figure: str,
    least: Gain | Angle,
    confidence: float,
    delays: Time | None,
    velocity_factor: float | Cable | None,
    same_line: Sequence[Sequence[int]],
    trials: int,
    seed: int,
) -> _Wanted:
    """Check what both have in common, and that the array reaches the figure at all."""
    model = checked_model(firing, tolerances, delays, velocity_factor, same_line)
    name = one_of(figure, FIGURES, "figure")
    unit = FIGURES[name][1]
    level = float(single(real(least, unit, "least"), "least"))
    inside = probability(confidence, "confidence")
    count = whole_number(trials, "trials", 100, MOST_TRIALS)
    number = whole_number(seed, "seed", 0, 2**64 - 1)
    reached = float(figures_of(prepared(model, firing.ground, (name,)), model.perfect(), (name,))[0, 0])
    if reached < level:
        raise InputError(
            f"even without errors the array reaches {_shown(reached, name)}, not {_shown(level, name)}",
            where="least",
            remedy=f"give at most {_shown(reached, name)}",
        )
    return _Wanted(firing, name, level, inside, delays, velocity_factor, same_line, count, number)


def _shown(value: float, figure: str) -> str:
    return f"{value:.2f} {FIGURES[figure][1]}"


def _widest(wanted: _Wanted, tolerances: Sequence[Tolerance]) -> float | None:
    """Return the widest common factor that keeps the figure, None where no possible one breaks it."""
    low = 1.0
    while not wanted.kept(tolerances, low):
        low /= 2
        if low < NARROWEST:
            raise InputError("it is reached only without any error", where="least", remedy="lower it a little")
    high = 2 * low
    while high < WIDEST and _holds(wanted, tolerances, high):
        low, high = high, 2 * high
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _holds(wanted, tolerances, middle) else (low, middle)
    return low if high < WIDEST and _possible(wanted, tolerances, high) else None


def _possible(wanted: _Wanted, tolerances: Sequence[Tolerance], factor: float) -> bool:
    """Return whether tolerances multiplied by a factor stay physical."""
    try:
        scaled = [tolerance.scaled(factor) for tolerance in tolerances]
        checked_model(wanted.firing, scaled, wanted.delays, wanted.velocity_factor, wanted.same_line)
    except InputError:
        return False
    return True


def _holds(wanted: _Wanted, tolerances: Sequence[Tolerance], factor: float) -> bool:
    """Return whether tolerances multiplied by a factor are possible and keep the figure."""
    return _possible(wanted, tolerances, factor) and wanted.kept(tolerances, factor)
