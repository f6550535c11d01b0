"""How far the phase of each channel may lie when ends are not what they should be: the worst of all corners."""

import itertools
from collections.abc import Hashable, Sequence
from typing import Any

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
from workbook.errors import InputError, shown
from workbook.units import Quantity, give, positive


def _tolerance(value: Any, name: str) -> float:
    plain = None if isinstance(value, (bool, Quantity)) else np.asarray(value)
    if plain is None or plain.ndim or plain.dtype.kind not in "iuf" or not 0 <= plain < 1:
        raise InputError(f"{name}: {shown(value)} is no share from 0 to 1; write 0.05 for ±5 %.")
    return float(plain)


def error_corners(
    channels: Sequence[Channel],
    delays: Any,
    frequency: Any,
    source_tolerance: float = 0.0,
    port_tolerance: float = 0.0,
    directions: Sequence[Hashable] | None = None,
) -> tuple[Any, Any]:
    """Return the least and the greatest phase error of each channel [degree] when its ends are off.

    Every channel is off by itself, the zero-delay channel too: the least error is that of the latest corner of a
    channel against the earliest corner of the zero-delay channel, the greatest the other way round. The zero-delay
    channel against itself has none.

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
    moved = np.stack([np.angle(_at(parts, *corner).response() / nominal) for corner in corners])
    latest, earliest = moved.min(axis=0), moved.max(axis=0)
    error = early_by(relative(nominal, zero), seconds, hertz)
    itself = along_channels(zero == np.arange(len(listed)), error.ndim)
    least = np.where(itself, 0.0, error + latest - earliest[zero])
    greatest = np.where(itself, 0.0, error + earliest - latest[zero])
    return give(np.degrees(least), "degree"), give(np.degrees(greatest), "degree")


def _at(parts: Any, source: float, port: float, summing: float) -> Any:
    stage = None if parts.summing is None else parts.summing * summing
    return parts._replace(source=parts.source * source, port=parts.port * port, summing=stage)
