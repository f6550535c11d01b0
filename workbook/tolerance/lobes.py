"""Lobes and nulls of arrays as built: where the main lobe points, the nominal null, the strongest lobe behind.

A cut goes all round at the firing's elevation; turns are azimuths [rad] counted clockwise from the firing's own.
Coarse looks use half the digits (float32); what is found is refined and computed with all of them.
"""

import numpy as np

from workbook.array.ground import AnyGround
from workbook.tolerance.model import AsBuilt, Model, phasor
from workbook.units import ComplexArray, Float32Array, FloatArray, Floats, IntArray

FINE = 0.5
"""Phase of the outermost element [rad] by which neighbouring directions of a coarse look differ."""
COARSEST = np.radians(4.0)
"""Greatest step of a coarse look, for arrays so small that the ground shapes the pattern."""
ROUNDS = 8
"""Halvings of the step with which the strongest direction behind is refined."""
SLICE = 128
"""Trials of a coarse look at a time, so that the numbers stay near the processor."""
ROUNDING = 1e-5
"""Error of a coarse look, as part of the sum of the weights."""
FLAT = 1e-11
"""A slope less than this part of the greatest power for a rad is rounding."""
LEVEL = 1e-9
"""Part of the front by which two minima differ at least when one is called the deeper."""


def toward(model: Model, turn: Floats) -> tuple[Floats, Floats]:
    """Return the wave vector's parts east and north [1/m] toward turns of azimuth at the firing's elevation."""
    east, north = model.across
    return east * np.cos(turn) + north * np.sin(turn), north * np.cos(turn) - east * np.sin(turn)


def steering(model: Model, built: AsBuilt, east: Floats, north: Floats) -> ComplexArray:
    """Return e^{jk u.r} for one wave vector of all trials, or one each: (N, T), or (N, 1) where nothing moved."""
    x, y = model.metres[:, 0, None], model.metres[:, 1, None]
    if built.moved is None:
        return phasor(east * x + north * y)
    return phasor(east * (x + built.moved[0]) + north * (y + built.moved[1]))


def step_of(model: Model) -> float:
    """Return the step [rad] of a coarse look that is fine enough for the array's size."""
    radius = np.linalg.norm(model.metres - model.metres.mean(axis=0), axis=-1).max()
    return float(min(FINE / max(model.wave_number * radius, 1e-9), COARSEST))


def coarse_power(model: Model, built: AsBuilt, east: FloatArray, north: FloatArray) -> Float32Array:
    """Return the power toward wave vectors (D,) of all trials (D, T), float32, without the element's own."""
    if built.moved is None:
        phases = phasor(np.outer(east, model.metres[:, 0]) + np.outer(north, model.metres[:, 1]))
        total = phases.astype(np.complex64) @ built.weights.astype(np.complex64)
        return total.real**2 + total.imag**2
    x = (model.metres[:, 0, None] + built.moved[0]).astype(np.float32)
    y = (model.metres[:, 1, None] + built.moved[1]).astype(np.float32)
    weights = built.weights.astype(np.complex64)
    real = np.zeros((len(east), x.shape[-1]), dtype=np.float32)
    imaginary = np.zeros_like(real)
    across, along = east[:, None].astype(np.float32), north[:, None].astype(np.float32)
    for n, w in enumerate(weights):
        phase = across * x[n] + along * y[n]
        cosine, sine = np.cos(phase), np.sin(phase)
        real += w.real * cosine - w.imag * sine
        imaginary += w.real * sine + w.imag * cosine
    return real**2 + imaginary**2


def sliced(built: AsBuilt) -> list[AsBuilt]:
    """Return a block of trials in slices."""
    count = built.weights.shape[-1]
    starts = range(0, count, SLICE)
    return [
        AsBuilt(
            built.weights[:, start : start + SLICE],
            None if built.moved is None else built.moved[..., start : start + SLICE],
        )
        for start in starts
    ]


# --- the main lobe ----------------------------------------------------------------------------------------


def peak_turn(model: Model, built: AsBuilt) -> FloatArray:
    """Return how far the main lobe's peak in the cut is turned from the firing's azimuth, at most 90 degrees (T,)."""
    half = int(np.ceil(np.pi / 2 / step_of(model)))
    turns = np.linspace(-np.pi / 2, np.pi / 2, 2 * half + 1)
    east, north = toward(model, turns)
    found = []
    for part in sliced(built):
        look = coarse_power(model, part, east, north)
        # a pattern that is level points where it should
        level = look[half] >= (1 - ROUNDING) * look.max(axis=0)
        found.append(np.where(level, 0.0, turns[look.argmax(axis=0)]))
    return _climb(model, built, np.concatenate(found), turns[1] - turns[0])


def _climb(model: Model, built: AsBuilt, turn: FloatArray, step: float) -> FloatArray:
    """Return turns (T,) moved to the nearest peak by Newton's method, never more than a step at once."""
    for _ in range(6):
        first, second = _slopes(model, built, turn)
        first = np.where(np.abs(first) > FLAT * np.abs(built.weights).sum(axis=0) ** 2, first, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = np.where(second < 0, -first / second, np.sign(first) * step)
        turn = np.clip(turn + np.clip(newton, -step, step), -np.pi / 2, np.pi / 2)
    return turn


def _slopes(model: Model, built: AsBuilt, turn: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the first and second derivative of the power by azimuth (T,)."""
    east, north = toward(model, turn)
    x, y = model.metres[:, 0, None], model.metres[:, 1, None]
    if built.moved is not None:
        x, y = x + built.moved[0], y + built.moved[1]
    phase, slope = east * x + north * y, north * x - east * y
    each = built.weights * phasor(phase)
    total, once, twice = each.sum(axis=0), (slope * each).sum(axis=0), ((1j * phase + slope**2) * each).sum(axis=0)
    # F' = j sum p' w e^{jp}; F'' = - sum (j p + p'^2) w e^{jp}, since p'' = -p
    first = 2 * np.real(np.conj(total) * 1j * once)
    return first, 2 * (np.abs(once) ** 2 - np.real(np.conj(total) * twice))


# --- the nominal null -------------------------------------------------------------------------------------


def nominal_null(model: Model) -> tuple[float, float]:
    """Return the turn [rad] of the array's deepest null in the cut, without errors, and its power.

    Of nulls equally deep, such as those either side of a symmetrical pattern, the one nearest to straight behind.
    """
    count = max(720, int(np.ceil(2 * np.pi / step_of(model) * 4)))
    turns = np.linspace(0, 2 * np.pi, count, endpoint=False)
    found = _cut(model, turns)
    low = np.flatnonzero((found <= np.roll(found, 1)) & (found <= np.roll(found, -1)))
    places, step = turns[low], 2 * np.pi / count
    offsets = np.linspace(-1, 1, 9)
    while step > 1e-9:
        near = places[:, None] + step * offsets
        places = near[np.arange(len(near)), _cut(model, near).argmin(axis=-1)]
        step /= 3
    depth = _cut(model, places)
    deepest = np.flatnonzero(depth <= depth.min() + LEVEL * found.max())
    best = deepest[np.argmin(np.round(np.abs(places[deepest] % (2 * np.pi) - np.pi), 6))]
    return float(places[best]), float(depth[best])


def _cut(model: Model, turns: FloatArray) -> FloatArray:
    """Return the power toward turns (...) of the array without errors."""
    east, north = toward(model, turns)
    phases = phasor(east[..., None] * model.metres[:, 0] + north[..., None] * model.metres[:, 1])
    total = phases @ model.weights
    return total.real**2 + total.imag**2


# --- the strongest lobe behind ----------------------------------------------------------------------------


def element_table(ground: AnyGround, hertz: float) -> tuple[FloatArray, FloatArray]:
    """Return elevations [rad] from horizon to zenith, crowded to the horizon, and one element's power there."""
    elevation = np.pi / 2 * np.linspace(0.0, 1.0, 4001) ** 2
    return elevation, np.abs(ground.element(hertz, elevation)) ** 2


def greatest_behind(model: Model, built: AsBuilt) -> FloatArray:
    """Return the greatest power from 90 degrees or more off the firing's azimuth, at any elevation (T,)."""
    step = step_of(model)
    turns = np.linspace(np.pi / 2, 3 * np.pi / 2, 1 + int(np.ceil(np.pi / step)))
    heights = np.linspace(0.0, np.pi / 2, 1 + int(np.ceil(np.pi / 2 / step)))
    turn, height = (grid.ravel() for grid in np.meshgrid(turns, heights))
    element, (east, north) = _element(model, height), _sky(model, turn, height)
    nominal = np.sqrt(coarse_power(model, model.perfect(), east, north)[:, 0])
    start = []
    for part in sliced(built):
        some = _candidates(model, part, nominal, np.sqrt(element))
        found = coarse_power(model, part, east[some], north[some]) * element[some, None]
        start.append(some[found.argmax(axis=0)])
    best = np.concatenate(start)
    return _refined(model, built, turn[best], height[best], step)


def _candidates(model: Model, built: AsBuilt, nominal: FloatArray, element: FloatArray) -> IntArray:
    """Return which directions can be the strongest: no error changes the field by more than all parts' errors added.

    `nominal` and `element` are field strengths (D,), of the array without errors and of one element.
    """
    change = np.abs(built.weights - model.weights[:, None])
    if built.moved is not None:
        change = change + model.wave_number * np.abs(built.weights) * np.hypot(*built.moved)
    most = change.sum(axis=0).max() + ROUNDING * np.abs(model.weights).sum()
    return np.flatnonzero((nominal + most) * element >= ((nominal - most) * element).max())


def _refined(model: Model, built: AsBuilt, turn: FloatArray, height: FloatArray, step: float) -> FloatArray:
    """Return the greatest power near directions (T,), by looking one step to each side, the step being halved."""
    found = _power_at(model, built, turn, height)
    for _ in range(ROUNDS):
        for across, up in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            near = np.clip(turn + across * step, np.pi / 2, 3 * np.pi / 2)
            high = np.clip(height + up * step, 0.0, np.pi / 2)
            other = _power_at(model, built, near, high)
            better = other > found
            turn, height = np.where(better, near, turn), np.where(better, high, height)
            found = np.where(better, other, found)
        step /= 2
    return found


def _power_at(model: Model, built: AsBuilt, turn: FloatArray, height: FloatArray) -> FloatArray:
    total = (built.weights * steering(model, built, *_sky(model, turn, height))).sum(axis=0)
    return (total.real**2 + total.imag**2) * _element(model, height)


def _sky(model: Model, turn: FloatArray, height: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the wave vector's parts toward turns and elevations."""
    azimuth, along = model.azimuth + turn, model.wave_number * np.cos(height)
    return along * np.sin(azimuth), along * np.cos(azimuth)


def _element(model: Model, height: FloatArray) -> FloatArray:
    """Return one element's power at elevations, from a table that is good to a millionth."""
    if model.element is None:
        raise ValueError("the model came without the element's response")
    return np.interp(height, *model.element)
