"""Weights that aim an array, and the delays and polarities behind them; angles of `*_delays` in rad, times in s."""

import numpy as np

from workbook.array.firing import array_frequency, elevation_angle
from workbook.array.ground import AnyGround, check_arrival
from workbook.array.layout import Layout, Rows, check_layout, check_several, projections, rows_toward
from workbook.array.merit import noise_matrix, steering_vector
from workbook.checks import check_broadcast, flag, real, single
from workbook.errors import InputError
from workbook.formulas.lines import C
from workbook.units import Angle, ComplexArray, FloatArray, Floats, Frequency, Gain, IntArray

NO_FRONT = 1e-3
"""Response of a pair to its front, beside both in phase, below which it has no front: 0.1 degree decides it."""

LOWEST_LIMIT = -1000.0
"""Limits of white-noise gain below this [dB] are typing errors."""

SINGULAR, UNEXCITED = 1e-12, 1e-14
"""Eigenvalues of B beside the greatest, and parts of a wave beside the whole, below which rounding decides."""


def aligned_delays(metres: FloatArray, azimuth: Floats, elevation: Floats) -> FloatArray:
    """Return the delay of each element that brings a wave from a direction into phase, the least delay being 0.

    The wave meets the elements nearest to its source first, so those have the longest delays:
    tau = (u . r - least)/c, with u the unit vector toward the source.

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


def weights_of(delays: FloatArray, polarity: Floats, hertz: Floats) -> ComplexArray:
    """Return polarity times e^{-j omega tau}: delays [s] and polarities (..., N), frequency [Hz]; off is 0."""
    return polarity * np.exp(-2j * np.pi * np.asarray(hertz)[..., None] * np.nan_to_num(delays))


def aligned_weights(layout: Layout, frequency: Frequency, azimuth: Angle, elevation: Angle) -> ComplexArray:
    """Return weights that bring a wave from a direction into phase: e^{-j omega tau} with the least delay 0.

    Parameters
    ----------
    layout
        N elements.
    frequency, azimuth, elevation
        Arrays broadcast; their axes come before that of the elements.

    Returns
    -------
    plain complex array (..., N)

    Raises
    ------
    InputError
        When the arguments do not broadcast, or an elevation is outside 0 to 90 degrees.

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


def endfire_delays(rows: Rows, hertz: float, null_elevation: float, inversion: bool) -> tuple[FloatArray, IntArray]:
    """Return delays and polarities (N,) of end-fire pairs of rows, a delay being not a number where a row stays out.

    In a pair d apart a wave from behind meets the rear d cos(el)/c before the front. Without inversion the front has
    the rest of half a period as its delay, with inversion the rear has that time and is reversed: either cancels the
    wave. Pairs are brought into phase by the shortest delays that do it.

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
        When there are fewer than two rows, or a pair receives as little from its front as from behind.
    """
    if rows.count < 2:
        raise InputError(
            ("all elements lie in one row across this direction, so that no pair has a front and a rear"),
            where="azimuth",
            remedy="choose a direction along the row, or use the rule aligned",
        )
    pairs = rows.count // 2
    front, rear = rows.metres[:pairs], rows.metres[::-1][:pairs]
    ahead = (front - rear) * np.cos(null_elevation) / C
    delays, polarity = np.full(rows.count, np.nan), np.zeros(rows.count, dtype=int)
    polarity[:pairs] = 1
    polarity[::-1][:pairs] = -1 if inversion else 1
    delays[:pairs] = 0.0 if inversion else (0.5 / hertz - ahead) % (1 / hertz)
    delays[::-1][:pairs] = ahead if inversion else 0.0
    phases = np.exp(2j * np.pi * hertz * (rows.metres * np.cos(null_elevation) / C - np.nan_to_num(delays))) * polarity
    together = phases[:pairs] + phases[::-1][:pairs]
    _check_pairs(np.abs(together) / 2, front - rear)
    lag = -np.angle(together) / (2 * np.pi * hertz)
    extra = _into_phase(lag, 1 / hertz)
    delays[:pairs] += extra
    delays[::-1][:pairs] += extra
    delays -= np.nanmin(delays)
    return delays[rows.of], polarity[rows.of]


def _check_pairs(front: FloatArray, apart: FloatArray) -> None:
    """Refuse pairs that receive nothing from their front, by their response beside both in phase; spacings in m."""
    if front.min() < NO_FRONT:
        raise InputError(
            (
                f"a pair {apart[np.argmin(front)]:.3f} m apart receives nothing from its front either, because "
                "the path between is a whole number of half waves there"
            ),
            where="null_elevation",
            remedy="try another spacing, frequency or null elevation (polarity inversion does not change it)",
        )


def _into_phase(lag: FloatArray, period: float) -> FloatArray:
    """Return the delays, the longest as short as possible, that make lags equal but for whole periods."""
    # one pair has no delay; each is tried as that one; rounding must not turn zero into a whole period
    tried = np.round((lag[:, None] - lag[None]) / period, 12) % 1.0 * period
    return tried[int(np.argmin(tried.max(axis=1)))]


def endfire_weights(
    layout: Layout, frequency: Frequency, azimuth: Angle, null_elevation: Angle, polarity_inversion: bool = False
) -> ComplexArray:
    """Return weights of end-fire pairs: nothing is received from behind at the null elevation.

    Elements with equal projection on the azimuth are rows; rows pair front and rear about the centre, an odd middle
    row stays out, amplitudes are equal, and pairs are aligned toward the azimuth at the null elevation.

    Parameters
    ----------
    layout
        N elements.
    frequency, azimuth, null_elevation
        One each.
    polarity_inversion
        Whether the rear rows are reversed and delayed, instead of the front rows delayed by the rest of half a period.

    Returns
    -------
    plain complex array (N,)

    Raises
    ------
    InputError
        When all elements lie in one row across the azimuth, or a pair receives as little from its front as from behind.
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
    layout: Layout,
    frequency: Frequency,
    azimuth: Angle,
    elevation: Angle,
    ground: AnyGround,
    least_white_noise_gain: Gain,
) -> ComplexArray:
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


def best_weights(matrix: FloatArray, steering: ComplexArray, limit: float) -> ComplexArray:
    """Return (B + lambda I)^-1 conj(d) with the least lambda that keeps white-noise gain, a ratio, above a limit.

    Raises
    ------
    InputError
        When B is so nearly singular that rounding would decide them; says which limit can still be kept.
    """
    strength, axes = np.linalg.eigh(matrix)
    parts = axes.T @ steering.conj()
    singular = SINGULAR * strength[-1]
    # what the wave does not excite at all, as across a symmetrical array, is left out, not divided by nearly zero
    excited = (strength > singular) | (np.abs(parts) > UNEXCITED * np.linalg.norm(steering))
    axes, parts = axes[:, excited], parts[excited]
    # rounding may turn the least of them negative; noise power is not
    strength = np.maximum(strength[excited], np.finfo(float).eps * strength[-1])
    load = _least_load(strength, np.abs(parts) ** 2, limit)
    if strength[0] + load < singular:
        lowest = np.ceil(10 * np.log10(_white_noise_gain(strength, np.abs(parts) ** 2, singular)))
        raise InputError(
            (
                "with so low a limit rounding decides the weights, because the elements stand so near to each "
                "other for this wave"
            ),
            where="least_white_noise_gain",
            remedy=f"give {lowest:.0f} dB or more, or space them wider",
        )
    weights = axes @ (parts / (strength + load))
    return weights / np.abs(weights).max()


def _white_noise_gain(strength: FloatArray, power: FloatArray, load: float) -> float:
    """Return the gain, a ratio, of (B + load I)^-1 conj(d): axes of B have this strength, and d this power on them."""
    share = power / (strength + load)
    return float(share.sum() ** 2 / (share / (strength + load)).sum())


def _least_load(strength: FloatArray, power: FloatArray, limit: float) -> float:
    """Return the least lambda that keeps the white-noise gain above a limit."""
    from scipy.optimize import brentq  # a slow import, which few plans need

    def above(logarithm: float) -> float:
        return float(np.log(_white_noise_gain(strength, power, np.exp(logarithm)) / limit))

    least, most = np.log(strength[0]) - 40, np.log(strength[-1]) + 40
    if above(least) >= 0:
        return 0.0
    # so great a load leaves all elements in phase
    return float(np.exp(most if above(most) <= 0 else brentq(above, least, most, xtol=1e-13)))


def least_lags(weights: ComplexArray) -> FloatArray:
    """Return the lags [rad] of weights (N,), whole turns taken out so that the greatest is as small as can be.

    Examples
    --------
    >>> np.degrees(least_lags(np.exp(-1j * np.radians([170.0, 190.0, 200.0])))).round(6)
    array([ 0., 20., 30.])
    """
    turn = 2 * np.pi
    lag = np.round(-np.angle(weights), 12) % turn
    tried = np.round(lag[:, None] - lag[None], 12) % turn
    greatest = tried.max(axis=0)
    # of equal ones that with the least sum, so that directions alike but for a turn get the same lags
    total = np.where(greatest <= greatest.min() + 1e-6, tried.sum(axis=0), np.inf)
    return np.asarray(tried[:, int(np.argmin(total))])
