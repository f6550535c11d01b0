"""Levels of the channels: the longer line loses more, and what brings the others down to it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from workbook.chain.channels import Channel, channel_arrays, checked_channels, checked_response
from workbook.checks import positive
from workbook.errors import InputError
from workbook.formulas import terminated
from workbook.units import NEPER_IN_DB, Frequency, Impedance, Length, Loss, with_unit


@dataclass(frozen=True, eq=False)
class Levelling:
    """What makes all channels as weak as the weakest, each field (channels, *frequency).

    `loss` [dB] is to be added to each channel, 0 for the weakest. As a pad at the port: `pi_series` is the series arm
    and `pi_shunt` each of the two shunt arms of a pi [ohm, infinite where no pad is needed]. As a longer run instead:
    `extra_run` [m] of the run's cable has that loss when matched, infinite where the run's cable loses nothing.
    """

    loss: Loss
    pi_series: Impedance
    pi_shunt: Impedance
    extra_run: Length


def level_channels(channels: Sequence[Channel], frequency: Frequency) -> Levelling:
    """Return the pad or the longer run that brings each channel down to the weakest at a frequency.

    A pad is the better of the two: it is matched to the port, so it changes no phase, and loses the same on all
    bands. A longer run adds its own delay, so that all other channels would have to be delayed as much, and between
    ends that are not matched its loss is not exactly that of its length. The resistors are those of
    `workbook.formulas.terminated.pi_pad`.

    Parameters
    ----------
    channels
        One for each element.
    frequency
        Frequency, any shape.

    Returns
    -------
    loss [dB], resistors [ohm] and length of run [m], each (channels, *frequency)

    Raises
    ------
    InputError
        When a port has reactance, to which no pad of resistors is matched.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> made_of = cable("series-6-copper")
    >>> direct = Channel("75 ohm", made_of, "30 m", None, None, "75 ohm")
    >>> delayed = Channel("75 ohm", made_of, "30 m", made_of, "30 m", "75 ohm")
    >>> level_channels([direct, delayed], "1.83 MHz").loss.m_as("dB").tolist()
    [0.2375, 0.0]
    """
    listed = checked_channels(channels)
    hertz = positive(frequency, "Hz", "frequency")
    parts = channel_arrays(listed, hertz)
    if np.any(np.imag(parts.port)):
        raise InputError(
            "a pad of resistors is matched to a resistance only", where="port", remedy="give a port without reactance"
        )
    level = np.log(np.abs(checked_response(parts.response())))
    loss = level - level.min(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        metres = np.where(loss > 0, loss / parts.run[0].real, 0.0)
    series, shunt = terminated.pi_pad(loss, np.real(parts.port))
    return Levelling(
        loss=with_unit(loss * NEPER_IN_DB, "dB"),
        pi_series=with_unit(series, "ohm"),
        pi_shunt=with_unit(shunt, "ohm"),
        extra_run=with_unit(metres, "m"),
    )
