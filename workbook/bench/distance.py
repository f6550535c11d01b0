"""Distance to a fault: the reflection of a wide sweep over distance, by the inverse transform with a window.

The sweep is taken as the upper half of a spectrum from zero frequency on, continued down to it, weighted by a Kaiser
window and transformed, so that every reflection is a pulse of its own size and sign: positive where the impedance rises
(an open end, a poor joint), negative where it falls (a short, water). Half the time it takes, times the velocity in the
cable, is its distance (time-domain reflectometry, as in any handbook).
"""

from dataclasses import dataclass

import numpy as np

from workbook.bench.sweeps import Sweep
from workbook.checks import check_velocity_factor, instance, positive, single
from workbook.errors import InputError
from workbook.formulas.lines import C
from workbook.line.cable import Cable
from workbook.units import ComplexArray, FloatArray, Floats, Impedance, Length, Quantity, with_unit

KAISER = 6.0
"""Shape of the window: side lobes 44 dB below a pulse."""
SEEN = 0.02
"""Size of a reflection from which it is listed: a change of 4 % of impedance."""
FAR_END = 0.3
"""Size from which the strongest reflection is the far end; nothing but echoes follows it."""
_MARGIN = 1.1
_FEWEST = 32
_FINER = 8
"""Points of the answer for each that the sweep has."""
_WIDTH = 1.5
"""Width of a pulse at half its height, in units of 1/(2 f) in time."""


@dataclass(frozen=True, eq=False)
class Reflector:
    """Where the impedance changes.

    Attributes
    ----------
    distance
        From the near end [m].
    reflection
        Its size with its sign, a plain number, as it is seen through the loss of the line.
    kind
        ``"higher"`` or ``"lower"`` impedance, ``"open"`` or ``"short"``.
    """

    distance: Length
    reflection: float
    kind: str


@dataclass(frozen=True, eq=False)
class DistanceResponse:
    """The reflection over distance.

    Attributes
    ----------
    distance
        Rising distances from the near end (n) [m].
    reflection
        Reflection at each (n), plain numbers.
    resolution
        Distance below which two faults are seen as one [m].
    farthest
        Distance up to which the steps of the sweep reach [m].
    reflectors
        Changes of impedance, the nearest first, up to the far end.
    """

    distance: Length
    reflection: FloatArray
    resolution: Length
    farthest: Length
    reflectors: tuple[Reflector, ...]


def distance_response(
    sweep: Sweep, velocity_factor: Floats | Cable, impedance: Impedance | None = None, length: Length | None = None
) -> DistanceResponse:
    """Return the reflection over distance of a sweep of one port.

    Parameters
    ----------
    sweep
        The sweep, wide and from a low frequency on: twice the highest frequency resolves twice as finely.
    velocity_factor
        Of the cable: a plain number, or a `Cable`, of which it is the group velocity in the middle of the sweep.
    impedance
        Characteristic impedance of the line, so that its own beginning is not seen as a fault; without it that of the
        `Cable`, else that of the sweep.
    length
        Length that has to be seen, if it is known.

    Returns
    -------
    DistanceResponse

    Raises
    ------
    InputError
        When the sweep has too few points, does not begin low enough, or its step is too coarse for the length.
    """
    instance(sweep, Sweep, "sweep", "read one with wb.read_sweep('line.s1p')")
    hertz = sweep.frequency.m_as("Hz")
    some = hertz > 0
    hertz, seen = hertz[some], sweep.s[some, 0, 0]
    if len(hertz) < _FEWEST:
        raise InputError(f"has {len(hertz)} points", where="sweep", wanted=f"{_FEWEST} or more")
    step, top = float(np.diff(hertz).max()), float(hertz[-1])
    if hertz[0] > 4 * step or hertz[0] > top / 10:
        remedy = f"begin at or below {min(4 * step, top / 10) / 1e6:.3g} MHz"
        raise InputError(f"begins at {hertz[0] / 1e6:.4g} MHz", where="sweep", remedy=remedy)
    velocity = _velocity(velocity_factor, top / 2)
    # the transform repeats after 1/step; echoes of the far end must not fall on its beginning
    farthest = velocity * C / (4 * step)
    _check_reach(length, farthest, velocity)
    own = _seen_from(seen, sweep, velocity_factor, impedance)
    distance, pulse = _transformed(hertz, own, velocity)
    resolution = _WIDTH * velocity * C / (4 * top)
    inside = distance <= farthest
    distance, pulse = distance[inside], pulse[inside]
    return DistanceResponse(
        with_unit(distance, "m"),
        pulse,
        with_unit(resolution, "m"),
        with_unit(farthest, "m"),
        _reflectors(distance, pulse, resolution),
    )


def _velocity(velocity_factor: Floats | Cable, hertz: float) -> float:
    if isinstance(velocity_factor, Cable):
        return float(velocity_factor.group_velocity_factor(Quantity(hertz, "Hz")))
    return float(single(check_velocity_factor(velocity_factor), "velocity_factor"))


def _check_reach(length: Length | None, farthest: float, velocity: float) -> None:
    metres = 0.0 if length is None else single(positive(length, "m", "length"), "length")
    # a pulse at the very end of the range would be cut off
    if metres > farthest / _MARGIN:
        step = 0.99 * velocity * C / (4 * metres * _MARGIN)
        raise InputError(
            f"its step reaches {farthest / _MARGIN:.4g} m only",
            where="sweep",
            remedy=f"sweep with a step of at most {step / 1e3:.3g} kHz",
        )


def _seen_from(
    seen: ComplexArray, sweep: Sweep, velocity_factor: Floats | Cable, impedance: Impedance | None
) -> ComplexArray:
    """Return the reflection as it is seen from the characteristic impedance of the line."""
    port = float(sweep.port_impedance.m_as("ohm"))
    if impedance is not None:
        ohms = single(positive(impedance, "ohm", "impedance"), "impedance")
    elif isinstance(velocity_factor, Cable):
        ohms = float(velocity_factor.nominal_impedance.m_as("ohm"))
    else:
        ohms = port
    mismatch = (port - ohms) / (port + ohms)
    # a change of reference is a bilinear map; for a passive line its pole is never reached
    return np.asarray((seen + mismatch) / (1 + seen * mismatch))


def _transformed(hertz: FloatArray, seen: ComplexArray, velocity: float) -> tuple[FloatArray, FloatArray]:
    """Return distances [m] and the reflection at each, by the inverse transform of the windowed sweep."""
    step, top = float(np.diff(hertz).max()), float(hertz[-1])
    grid = np.arange(0, top + step / 2, step)
    grid = grid[grid <= top * (1 + 1e-12)]
    # down to zero frequency the size stays that of the first point and the phase runs on to a whole half turn
    phase = np.unwrap(np.angle(seen))
    slope = np.polynomial.Polynomial.fit(hertz[:8], phase[:8], 1)
    start = np.pi * np.rint(slope(0.0) / np.pi)
    size = np.interp(grid, hertz, np.abs(seen))
    angle = np.interp(grid, np.append(0.0, hertz), np.append(start, phase))
    window = np.kaiser(2 * len(grid) - 1, KAISER)[len(grid) - 1 :]
    count = 2 * len(grid) * _FINER
    pulse = np.fft.irfft(size * np.exp(1j * angle) * window, count) * count
    pulse /= window[0] + 2 * window[1:].sum()
    times = np.arange(count) / (count * step)
    half = count // 2
    return times[:half] * velocity * C / 2, pulse[:half]


def _reflectors(distance: FloatArray, pulse: FloatArray, resolution: float) -> tuple[Reflector, ...]:
    """Return the peaks of a response up to the far end."""
    size = np.abs(pulse)
    peaks = np.flatnonzero((size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:]) & (size[1:-1] >= SEEN)) + 1
    # what the beginning itself reflects does not count
    peaks = peaks[distance[peaks] > resolution / 2]
    if not len(peaks):
        return ()
    last = int(peaks[size[peaks].argmax()])
    found: list[Reflector] = []
    for place in peaks[peaks <= last].tolist():
        # a side lobe of a neighbour does not count
        if size[place] < size[np.abs(distance - distance[place]) < resolution].max():
            continue
        value = float(pulse[place])
        large = place == last and abs(value) >= FAR_END
        kind = ("open" if value > 0 else "short") if large else ("higher" if value > 0 else "lower")
        found.append(Reflector(with_unit(float(distance[place]), "m"), value, kind))
    return tuple(found)
