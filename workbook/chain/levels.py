"""Levels of the channels: the longer line loses more, and what brings the others down to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.chain.channels import Channel, arrived, checked_channels, wired
from workbook.checks import positive
from workbook.errors import InputError
from workbook.formulas import terminated
from workbook.units import NEPER_IN_DB, with_unit


@dataclass(frozen=True, eq=False)
class Levelling:
    """What makes all channels as weak as the weakest, each field (channels, *frequency).

    `loss` [dB] is to be added to each channel, 0 for the weakest. As a pad at the port: `t_series` is each of the
    two series arms and `t_shunt` the shunt arm of a T, `pi_series` the series arm and `pi_shunt` each of the two
    shunt arms of a pi [ohm, infinite where no pad is needed]. As a longer run instead: `extra_run` [m] of the run's
    cable has that loss when matched, and `extra_lag` [degree] is what it delays, so that all other channels would
    have to wait as much longer; infinite where the run's cable loses nothing.
    """

    loss: Any
    t_series: Any
    t_shunt: Any
    pi_series: Any
    pi_shunt: Any
    extra_run: Any
    extra_lag: Any


def level_channels(channels: Sequence[Channel], frequency: Any) -> Levelling:
    """Return the pad or the longer run that brings each channel down to the weakest at a frequency.

    A pad is the better of the two: it is matched to the port, so it changes no phase, and loses the same on all
    bands. A longer run delays what should not wait, and between ends that are not matched its loss is not exactly
    that of its length.

    Raises
    ------
    InputError
        When a port has reactance, to which no pad of resistors is matched.
    """
    listed = checked_channels(channels)
    hertz = positive(frequency, "Hz", "frequency")
    parts = wired(listed, hertz)
    if np.any(np.imag(parts.port)):
        raise InputError(
            "a pad of resistors is matched to a resistance only", where="port", remedy="give a port without reactance"
        )
    level = np.log(np.abs(arrived(parts.response())))
    loss = level - level.min(axis=0)
    port = np.real(parts.port)
    alpha, beta = parts.run[0].real, parts.run[0].imag
    with np.errstate(divide="ignore", invalid="ignore"):
        metres = np.where(loss > 0, loss / alpha, 0.0)
    (t_series, t_shunt), (pi_series, pi_shunt) = terminated.t_pad(loss, port), terminated.pi_pad(loss, port)
    return Levelling(
        loss=with_unit(loss * NEPER_IN_DB, "dB"),
        t_series=with_unit(t_series, "ohm"),
        t_shunt=with_unit(t_shunt, "ohm"),
        pi_series=with_unit(pi_series, "ohm"),
        pi_shunt=with_unit(pi_shunt, "ohm"),
        extra_run=with_unit(metres, "m"),
        extra_lag=with_unit(np.degrees(beta * metres), "degree"),
    )
