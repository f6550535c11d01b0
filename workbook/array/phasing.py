"""Weights that aim an array, and the delays and polarities behind them; angles of `*_delays` in rad, times in s."""

from typing import Any

import numpy as np
from scipy.optimize import brentq

from workbook.array.firing import array_frequency, elevation_angle
from workbook.array.ground import AnyGround, check_arrival
from workbook.array.layout import Layout, Rows, check_layout, check_several, projections, rows_toward
from workbook.array.merit import noise_matrix, steering_vector
from workbook.checks import check_broadcast, flag, real, single
from workbook.errors import InputError
from workbook.formulas.lines import C
from workbook.units import Gain

UNHEARD = 1e-3
"""What a pair hears toward its front, beside both in phase, below which it fires nowhere: 0.1 degree decides it."""

LOWEST_LIMIT = -1000.0
"""Limits of white-noise gain below this [dB] are typing errors."""

BLURRED, UNEXCITED = 1e-12, 1e-14
"""Parts of B beside its greatest, and parts of a wave beside the whole, below which rounding has a say."""


def aligned_delays(metres: Any, azimuth: Any, elevation: Any) -> Any:
    """Return how long each element waits so that a wave from a direction adds in phase, the least wait being 0.

    The wave meets the elements nearest to its source first, so those wait longest: tau = (u . r - least)/c, with
    u the unit vector toward the source.

    Parameters
    ----------
    metres
        Positions (N, 2): east, north [m].
    azimuth
        Azimuths of the directions (...,) [rad], clockwise from north.
    elevation
        Elevation of the wave [rad].

    Returns
    -------
    float array (..., N) [s]
    """
    ahead = projections(metres, azimuth) * np.cos(np.asarray(elevation))[..., None]
    return (ahead - ahead.min(axis=-1, keepdims=True)) / C


def weights_of(delays: Any, polarity: Any, hertz: Any) -> Any:
    """Return polarity times e^{-j omega tau}: delays [s] and polarities (..., N), frequency [Hz]; off is 0."""
    return polarity * np.exp(-2j * np.pi * np.asarray(hertz)[..., None] * np.nan_to_num(delays))


def aligned_weights(layout: Layout, frequency: Any, azimuth: Any, elevation: Any) -> Any:
    """Return weights that bring a wave from a direction into phase: e^{-j omega tau} with the least wait 0.

    Parameters
    ----------
    layout
        N elements.
    frequency, azimuth, elevation
        Arrays broadcast; their axes come before that of the elements.

    Returns
    -------
    plain complex array (..., N)

    Examples
    --------
    >>> from workbook.array.layout import row
    >>> aligned_weights(row(2, "20 m", "0 deg"), "1.83 MHz", "0 deg", "0 deg").round(3)
    array([0.72-0.694j, 1.  -0.j   ])
    """
    check_layout(layout)
    hertz, azimuths = array_frequency(frequency), real(azimuth, "radian", "azimuth")
    elevations = elevation_angle(elevation)
    check_broadcast(hertz, azimuths, elevations)
    delays = aligned_delays(layout.metres, azimuths, elevations)
    return weights_of(delays, 1, hertz)


def endfire_delays(rows: Rows, hertz: float, null_elevation: float, inversion: bool) -> tuple[Any, Any]:
    """Return waits and polarities (N,) of end-fire pairs of rows, a wait being not a number where a row stays out.

    In a pair d apart a wave from behind meets the rear d cos(el)/c before the front. Without inversion the front
    waits for the rest of half a period, with inversion the rear waits that long and is reversed: either cancels it.
    Pairs are brought into phase by the shortest waits that do it.

    Parameters
    ----------
    rows
        Rows of equal projection on the direction, front first.
    hertz
        Frequency [Hz].
    null_elevation
        Elevation [rad] of the wave that cancels, and toward which pairs are aligned.
    inversion
        Whether the rear is reversed.

    Raises
    ------
    InputError
        When there are fewer than two rows, or a pair hears as little from its front as from behind.
    """
    if rows.count < 2:
        raise InputError(
            ("all elements lie in one row across this direction, so that no pair has a front and a rear"),
            where="azimuth",
            remedy="fire along the row, or use the rule aligned",
        )
    pairs = rows.count // 2
    front, rear = rows.metres[:pairs], rows.metres[::-1][:pairs]
    ahead = (front - rear) * np.cos(null_elevation) / C
    waits, polarity = np.full(rows.count, np.nan), np.zeros(rows.count, dtype=int)
    polarity[:pairs] = 1
    polarity[::-1][:pairs] = -1 if inversion else 1
    waits[:pairs] = 0.0 if inversion else (0.5 / hertz - ahead) % (1 / hertz)
    waits[::-1][:pairs] = ahead if inversion else 0.0
    phases = np.exp(2j * np.pi * hertz * (rows.metres * np.cos(null_elevation) / C - np.nan_to_num(waits))) * polarity
    together = phases[:pairs] + phases[::-1][:pairs]
    _check_pairs(np.abs(together) / 2, front - rear)
    lag = -np.angle(together) / (2 * np.pi * hertz)
    extra = _into_phase(lag, 1 / hertz)
    waits[:pairs] += extra
    waits[::-1][:pairs] += extra
    waits -= np.nanmin(waits)
    return waits[rows.of], polarity[rows.of]


def _check_pairs(front: Any, apart: Any) -> None:
    """Refuse pairs that hear nothing toward their front, from what they hear beside both in phase, and spacings [m]."""
    if front.min() < UNHEARD:
        raise InputError(
            (
                f"a pair {apart[np.argmin(front)]:.3f} m apart hears nothing from its front either, since "
                "the way between is a whole number of half waves there"
            ),
            where="null_elevation",
            remedy="try another spacing, frequency or null elevation (polarity inversion does not change it)",
        )


def _into_phase(lag: Any, period: float) -> Any:
    """Return the waits, the longest as short as can be, that make lags equal but for whole periods."""
    # one pair waits for none; each is tried as that one; rounding must not turn nothing into a whole period
    tried = np.round((lag[:, None] - lag[None]) / period, 12) % 1.0 * period
    return tried[int(np.argmin(tried.max(axis=1)))]


def endfire_weights(
    layout: Layout, frequency: Any, azimuth: Any, null_elevation: Any, polarity_inversion: bool = False
) -> Any:
    """Return weights of end-fire pairs: nothing is heard from behind at the null elevation.

    Elements with equal projection on the azimuth are rows; rows pair front and rear about the centre, an odd middle
    row stays out, amplitudes are equal, and pairs are aligned toward the azimuth at the null elevation.

    Parameters
    ----------
    layout
        N elements.
    frequency, azimuth, null_elevation
        One each.
    polarity_inversion
        Whether the rear rows are reversed and wait, instead of the front rows waiting for the rest of half a period.

    Returns
    -------
    plain complex array (N,)

    Raises
    ------
    InputError
        When all elements lie in one row across the azimuth, or a pair hears as little from its front as from behind.
    """
    check_layout(layout)
    check_several(layout)
    hertz, inversion = single(array_frequency(frequency), "frequency"), flag(polarity_inversion, "polarity_inversion")
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    elevation = single(elevation_angle(null_elevation, "null_elevation"), "null_elevation")
    delays, polarity = endfire_delays(rows_toward(layout.metres, toward), hertz, elevation, inversion)
    return weights_of(delays, polarity, hertz)


def gain_limit(least: Gain, count: int) -> float:
    """Return a least white-noise gain as a power ratio, refusing more than so many elements can have."""
    decibel = single(real(least, "dB", "least_white_noise_gain"), "least_white_noise_gain")
    if decibel > 10 * np.log10(count) + 1e-11:
        raise InputError(
            f"{decibel:.3g} dB is more than {count} element{'s' if count > 1 else ''} can have",
            where="least_white_noise_gain",
            remedy=f"give at most {10 * np.log10(count):.2f} dB",
        )
    if decibel < LOWEST_LIMIT:
        raise InputError(
            f"{decibel:.3g} dB is below any limit of use",
            where="least_white_noise_gain",
            remedy=f"give {LOWEST_LIMIT:g} dB or more",
        )
    return float(10 ** (decibel / 10))


def greatest_rdf_weights(
    layout: Layout, frequency: Any, azimuth: Any, elevation: Any, ground: AnyGround, least_white_noise_gain: Any
) -> Any:
    """Return the weights of greatest RDF whose white-noise gain is not below a limit.

    w = (B + lambda I)^-1 conj(d), with d the phases of the wave and the least lambda that keeps the limit (E. N.
    Gilbert and S. P. Morgan, "Optimum design of directive antenna arrays subject to random variations", 1955; cited
    from memory).

    Parameters
    ----------
    layout
        N elements.
    frequency, azimuth, elevation
        One each.
    ground
        What the elements stand on.
    least_white_noise_gain
        Limit, a dB quantity; at most 10 log N, which all elements in phase have.

    Returns
    -------
    plain complex array (N,), largest size 1, phase 0 toward the direction

    Raises
    ------
    InputError
        When no weights reach the limit, when it is so low that rounding decides the weights, or when nothing arrives
        from the direction.
    """
    check_layout(layout)
    hertz = single(array_frequency(frequency), "frequency")
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    height = single(elevation_angle(elevation), "elevation")
    check_arrival(ground, hertz, height)
    limit = gain_limit(least_white_noise_gain, layout.count)
    phases = steering_vector(layout.metres, hertz, toward, height)
    return best_weights(noise_matrix(layout.metres, hertz, ground), phases, limit)


def best_weights(noise_form: Any, toward: Any, limit: float) -> Any:
    """Return (B + lambda I)^-1 conj(d) with the least lambda that keeps white-noise gain, a ratio, above a limit.

    Raises
    ------
    InputError
        When B is so nearly singular that rounding would decide them; says which limit can still be kept.
    """
    strength, axes = np.linalg.eigh(noise_form)
    parts = axes.T @ toward.conj()
    blurred = BLURRED * strength[-1]
    # what the wave does not excite at all, as across a symmetrical array, is left out, not divided by next to nothing
    excited = (strength > blurred) | (np.abs(parts) > UNEXCITED * np.linalg.norm(toward))
    axes, parts = axes[:, excited], parts[excited]
    # rounding may turn the least of them negative; the noise is never less than nothing
    strength = np.maximum(strength[excited], np.finfo(float).eps * strength[-1])
    load = _least_load(strength, np.abs(parts) ** 2, limit)
    if strength[0] + load < blurred:
        lowest = np.ceil(10 * np.log10(_white_noise_gain(strength, np.abs(parts) ** 2, blurred)))
        raise InputError(
            (
                "so low a limit leaves weights that rounding decides, the elements being so near to each "
                "other for this wave"
            ),
            where="least_white_noise_gain",
            remedy=f"give {lowest:.0f} dB or more, or space them wider",
        )
    weights = axes @ (parts / (strength + load))
    return weights / np.abs(weights).max()


def _white_noise_gain(strength: Any, power: Any, load: float) -> float:
    """Return the gain, a ratio, of (B + load I)^-1 conj(d): axes of B have this strength, and d this power on them."""
    share = power / (strength + load)
    return float(share.sum() ** 2 / (share / (strength + load)).sum())


def _least_load(strength: Any, power: Any, limit: float) -> float:
    """Return the least lambda that keeps the white-noise gain above a limit."""

    def above(logarithm: float) -> float:
        return float(np.log(_white_noise_gain(strength, power, np.exp(logarithm)) / limit))

    least, most = np.log(strength[0]) - 40, np.log(strength[-1]) + 40
    if above(least) >= 0:
        return 0.0
    # so great a load leaves all elements in phase
    return float(np.exp(most if above(most) <= 0 else brentq(above, least, most, xtol=1e-13)))
