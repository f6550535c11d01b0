"""How far phase and level of each channel may lie when ends are not what they should be: the worst of all corners."""

import itertools
from collections.abc import Hashable, Sequence
from typing import Any, NamedTuple

import numpy as np

from workbook.chain.channels import (
    Channel,
    along_channels,
    arrived,
    checked_channels,
    checked_delays,
    early_by,
    references,
    relative,
    wired,
)
from workbook.checks import positive
from workbook.errors import InputError, shown
from workbook.units import NEPER_IN_DB, Quantity, with_unit


def _tolerance(value: Any, name: str) -> float:
    plain = None if isinstance(value, (bool, Quantity)) else np.asarray(value)
    if plain is None or plain.ndim or plain.dtype.kind not in "iuf" or not 0 <= plain < 1:
        raise InputError(f"{shown(value)} is no share from 0 to 1", where=name, remedy="write 0.05 for ±5 %")
    return float(plain)


class Corners(NamedTuple):
    """Extremes of each channel's phase error [degree] and of its level [dB] beside the zero-delay channel."""

    least: Any
    greatest: Any
    weakest: Any
    strongest: Any


def error_corners(
    channels: Sequence[Channel],
    delays: Any,
    frequency: Any,
    source_tolerance: float = 0.0,
    port_tolerance: float = 0.0,
    directions: Sequence[Hashable] | None = None,
) -> Corners:
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
    """
    listed = checked_channels(channels)
    seconds = checked_delays(delays, len(listed))
    hertz = positive(frequency, "Hz", "frequency")
    by, at_port = _tolerance(source_tolerance, "source_tolerance"), _tolerance(port_tolerance, "port_tolerance")
    zero = references(seconds, directions)
    parts = wired(listed, hertz)
    nominal = arrived(parts.response())
    stage = (1 - by, 1, 1 + by) if parts.summing is not None else (1,)
    # the middle too, so that the spread always holds the error of ends without tolerance
    corners = itertools.product((1 - by, 1, 1 + by), (1 - at_port, 1, 1 + at_port), stage)
    # of a complex logarithm the imaginary part is the phase, the real part the level
    moved = np.log(np.stack([_at(parts, *corner).response() / nominal for corner in corners]))
    ratio = relative(nominal, zero)
    itself = along_channels(zero == np.arange(len(listed)), ratio.ndim)

    def ends(middle: Any, off: Any) -> tuple[Any, Any]:
        low, high = off.min(axis=0), off.max(axis=0)
        return np.where(itself, 0.0, middle + low - high[zero]), np.where(itself, 0.0, middle + high - low[zero])

    phases, levels = ends(early_by(ratio, seconds, hertz), moved.imag), ends(np.log(np.abs(ratio)), moved.real)
    return Corners(
        *(with_unit(np.degrees(phase), "degree") for phase in phases),
        *(with_unit(NEPER_IN_DB * level, "dB") for level in levels),
    )


def _at(parts: Any, source: float, port: float, summing: float) -> Any:
    stage = None if parts.summing is None else parts.summing * summing
    return parts._replace(source=parts.source * source, port=parts.port * port, summing=stage)
