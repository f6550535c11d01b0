"""How early and how strong each channel arrives beside what it should, with tolerances of its ends, and in weights."""

import itertools
from collections.abc import Hashable, Sequence
from typing import Any, NamedTuple

import numpy as np

from workbook.chain.channels import Channel, ChannelArrays, channel_arrays, checked_channels, checked_response
from workbook.checks import check_broadcast, not_negative, plain_number, positive, real
from workbook.errors import InputError, shown
from workbook.units import (
    NEPER_IN_DB,
    Angle,
    ComplexArray,
    FloatArray,
    Floats,
    Frequency,
    Gain,
    IntArray,
    Quantity,
    Time,
    with_unit,
)

MOST_LEVEL = 100.0
"""Greatest level [Np] that a weight is multiplied by."""

MOST_TOLERANCE = 0.999999
"""Greatest tolerance of an end, as a share: more would leave no resistance."""


def channel_errors(
    channels: Sequence[Channel], delays: Time, frequency: Frequency, directions: Sequence[Hashable] | None = None
) -> tuple[Angle, Gain]:
    """Return how early and how strong each channel arrives beside what it should.

    Parameters
    ----------
    channels
        One for each element.
    delays
        Delay that each channel should have, the least of them 0.
    frequency
        Frequency, any shape.
    directions
        Where the channels belong to several directions: the name of each channel's direction, which has a
        zero-delay channel of its own.

    Returns
    -------
    transfer phase less that of the (first) zero-delay channel, plus 360 f tau, within ±180 degrees, positive =
    arrives early [degree]; and the transfer over the zero-delay channel's, negative = weaker [dB]; both of the shape
    (channels, *frequency)

    Raises
    ------
    InputError
        When the counts of channels and delays differ, or no channel has delay 0.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> made_of = cable("series-6-copper")
    >>> direct = Channel("75 ohm", made_of, "30 m", None, None, "75 ohm")
    >>> delayed = Channel("75 ohm", made_of, "30 m", made_of, "9 m", "75 ohm")
    >>> error, _ = channel_errors([direct, delayed], Quantity([0, 36], "ns"), "1.83 MHz")
    >>> float(error[1].m_as("degree"))
    -0.019
    """
    listed = checked_channels(channels)
    seconds = checked_delays(delays, len(listed))
    hertz = positive(frequency, "Hz", "frequency")
    zero = references(seconds, directions)
    ratio = relative(checked_response(channel_arrays(listed, hertz).response()), zero)
    early, level = np.degrees(early_by(ratio, seconds, hertz)), 20 * np.log10(np.abs(ratio))
    return with_unit(early, "degree"), with_unit(level, "dB")


class ErrorCorners(NamedTuple):
    """Extremes of each channel's phase error [degree] and of its level [dB] beside the zero-delay channel."""

    least: Angle
    greatest: Angle
    weakest: Gain
    strongest: Gain


def error_corners(
    channels: Sequence[Channel],
    delays: Time,
    frequency: Frequency,
    source_tolerance: float = 0.0,
    port_tolerance: float = 0.0,
    directions: Sequence[Hashable] | None = None,
) -> ErrorCorners:
    """Return the least and the greatest phase error and level of each channel when its ends are off.

    Every channel is off by itself, the zero-delay channel too: the least error is that of the latest corner of a
    channel against the earliest corner of the zero-delay channel, the greatest the other way round; so with levels.
    The zero-delay channel against itself has none.

    Parameters
    ----------
    channels, delays, frequency, directions
        As in `channel_errors`.
    source_tolerance
        Share by which each element's output impedance, and a summing stage's, may be off: 0.05 for ±5 %.
    port_tolerance
        The same of the ports.

    Returns
    -------
    least and greatest phase error [degree], least and greatest level [dB], each (channels, *frequency)

    Raises
    ------
    InputError
        When a tolerance is not from 0 to below 1, or as in `channel_errors`.
    """
    listed = checked_channels(channels)
    seconds = checked_delays(delays, len(listed))
    hertz = positive(frequency, "Hz", "frequency")
    by = plain_number(source_tolerance, "source_tolerance", 0, MOST_TOLERANCE, "0.05 for ±5 %")
    at_port = plain_number(port_tolerance, "port_tolerance", 0, MOST_TOLERANCE, "0.05 for ±5 %")
    zero = references(seconds, directions)
    parts = channel_arrays(listed, hertz)
    nominal = checked_response(parts.response())
    stage = (1 - by, 1, 1 + by) if parts.summing is not None else (1,)
    # the middle too, so that the spread always holds the error of ends without tolerance
    corners = itertools.product((1 - by, 1, 1 + by), (1 - at_port, 1, 1 + at_port), stage)
    # of a complex logarithm the imaginary part is the phase, the real part the level
    moved = np.log(np.stack([_with_ends(parts, *corner).response() / nominal for corner in corners]))
    ratio = relative(nominal, zero)
    itself = _along_channels(zero == np.arange(len(listed)), ratio.ndim)

    def extremes(middle: FloatArray, off: FloatArray) -> tuple[FloatArray, FloatArray]:
        low, high = off.min(axis=0), off.max(axis=0)
        return np.where(itself, 0.0, middle + low - high[zero]), np.where(itself, 0.0, middle + high - low[zero])

    phases = extremes(early_by(ratio, seconds, hertz), moved.imag)
    levels = extremes(np.log(np.abs(ratio)), moved.real)
    return ErrorCorners(
        *(with_unit(np.degrees(phase), "degree") for phase in phases),
        *(with_unit(NEPER_IN_DB * level, "dB") for level in levels),
    )


def _with_ends(parts: ChannelArrays, source: float, port: float, summing: float) -> ChannelArrays:
    stage = None if parts.summing is None else parts.summing * summing
    return parts._replace(source=parts.source * source, port=parts.port * port, summing=stage)


def perturbed_weights(weights: ComplexArray, phase_error: Angle, level: Gain) -> ComplexArray:
    """Return weights times 10^(level/20) e^{+j error}: what channels with errors make of ideal ones.

    A positive error arrives early, so it takes away from the lag in e^{-j omega tau}.

    Parameters
    ----------
    weights
        Ideal weights (..., N), plain complex, elements along the last axis. An element that is off has weight 0 and
        stays off.
    phase_error, level
        Errors as they come from `channel_errors`: channels, one for each element, along the first axis.

    Returns
    -------
    weights (..., N) [1], plain complex

    Raises
    ------
    InputError
        When the counts of elements and channels differ.

    Examples
    --------
    >>> perturbed_weights([1, 1], Quantity([0, -90], "degree"), Quantity([0, 0], "dB")).round(3).tolist()
    [(1+0j), -1j]
    """
    early = np.atleast_1d(real(phase_error, "radian", "phase_error"))
    gain = np.atleast_1d(real(level, "dB", "level")) / NEPER_IN_DB
    check_broadcast(early, gain)
    ideal = _plain_weights(weights)
    if np.any(gain > MOST_LEVEL):
        raise InputError("too large", where="level", remedy="check its unit")
    factor = np.moveaxis(np.exp(gain + 1j * early), 0, -1)
    if ideal.ndim == 0 or ideal.shape[-1] != factor.shape[-1]:
        came = ideal.shape[-1] if ideal.ndim else 1
        raise InputError(
            f"{came} came for {factor.shape[-1]} channels", where="weights", remedy="give one for each channel"
        )
    check_broadcast(ideal, factor)
    perturbed: ComplexArray = ideal * factor
    return perturbed


def _plain_weights(weights: Any) -> ComplexArray:
    has_units = isinstance(weights, Quantity) or (
        isinstance(weights, (list, tuple)) and any(isinstance(one, Quantity) for one in weights)
    )
    try:
        ideal = np.asarray(None if has_units else weights)
        if ideal.dtype.kind not in "iufc" or np.ma.is_masked(weights):
            raise ValueError
    except ValueError:
        raise InputError(
            f"got {shown(weights)}",
            where="weights",
            wanted="plain complex numbers",
            remedy="give one for each element",
        ) from None
    if not np.all(np.isfinite(ideal)):
        raise InputError("some are not finite", where="weights", remedy="give 0 for an element that is off")
    return ideal.astype(complex)


# --- what is relative to what -----------------------------------------------------------------------------


def checked_delays(delays: Time, count: int) -> FloatArray:
    """Return the delays [s], one for each channel, after checking that none is missing or negative."""
    if isinstance(delays, (list, tuple)):
        each = [not_negative(delay, "s", "delays") for delay in delays]
        if any(np.ndim(one) for one in each):
            raise InputError("a delay is an array", where="delays", remedy="give one delay for each channel")
        seconds = np.array(each, dtype=float)
    else:
        seconds = np.atleast_1d(not_negative(delays, "s", "delays"))
    if seconds.shape != (count,):
        raise InputError(
            f"{seconds.size} came for {count} channels", where="delays", remedy="give one for each channel"
        )
    return seconds


def checked_names(names: Sequence[Hashable], count: int, argument: str) -> list[Hashable]:
    """Return names, one for each channel."""
    listed = list(names) if isinstance(names, (list, tuple)) else [names]
    if len(listed) != count:
        raise InputError(
            f"{len(listed)} came for {count} channels", where=argument, remedy="give one name for each channel"
        )
    for name in listed:
        try:
            hash(name)
        except TypeError:
            raise InputError(
                f"got {shown(name)}", where=argument, wanted="a name", remedy="write it like 'A'"
            ) from None
    return listed


def references(seconds: FloatArray, directions: Sequence[Hashable] | None) -> IntArray:
    """Return for each channel the index of its direction's zero-delay channel, the first where there are several."""
    names = [None] * len(seconds) if directions is None else checked_names(directions, len(seconds), "directions")
    first: dict[Hashable, int] = {}
    for index, (name, delay) in enumerate(zip(names, seconds, strict=True)):
        if delay == 0:
            first.setdefault(name, index)
    for name in names:
        if name not in first:
            where = "" if name is None else f" in direction {shown(name)}"
            raise InputError(
                f"no channel{where} has delay 0, to which the others are compared", where="delays", remedy="give one"
            )
    return np.array([first[name] for name in names])


def relative(response: ComplexArray, zero: IntArray) -> ComplexArray:
    """Return each response over that of its zero-delay channel (its index), for which it is exactly 1."""
    ratio = response / response[zero]
    ratio[zero == np.arange(len(zero))] = 1
    return ratio


def early_by(ratio: ComplexArray, seconds: FloatArray, hertz: Floats) -> FloatArray:
    """Return by what phase [rad] responses over the zero-delay one's are early, given the delays [s] wanted."""
    return np.angle(ratio * np.exp(2j * np.pi * hertz * _along_channels(seconds, np.ndim(ratio))))


def _along_channels(values: Any, dimensions: int) -> Any:
    """Return one value for each channel in a shape that goes with (channels, ...)."""
    return np.reshape(values, (-1, *[1] * (dimensions - 1)))
