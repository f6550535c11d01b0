"""Noise as ratios to kT0B on plain numbers: sums, cascades, and the field strength of external noise.

Levels are ratios of powers, not decibels; T0 = 290 K.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from workbook.formulas.waves import wave_number

T0 = 290.0
BOLTZMANN = 1.380649e-23


def excess_noise(noise_factor: Any, temperature: Any) -> Any:
    """Return the noise that a stage adds at its input over kT0B.

    (F - 1) T/T0: the noise factor F is that at T0, and what a passive line adds goes with its own temperature.

    Parameters
    ----------
    noise_factor
        Noise factor as a ratio, 1 or more [1].
    temperature
        Temperature of the stage [K].

    Returns
    -------
    float array [1]
    """
    return (noise_factor - 1) * temperature / T0


def cascaded_noise(gains: Sequence[Any], excess: Sequence[Any]) -> Any:
    """Return the noise of a row of stages at the input of the first, over kT0B.

    e1 + e2/g1 + e3/(g1 g2) + ... (H. T. Friis, "Noise figures of radio receivers", Proc. IRE, 1944).

    Parameters
    ----------
    gains
        Gain of each stage as a ratio of powers [1].
    excess
        Noise that each adds at its own input [1].

    Returns
    -------
    float array [1]
    """
    total, before = 0.0, 1.0
    for gain, added in zip(gains, excess, strict=True):
        total = total + added / before
        before = before * gain
    return total


def noise_field(noise: Any, hertz: Any, bandwidth: Any) -> Any:
    """Return the rms field strength from which a short vertical on perfect ground draws a noise power.

    The available power of a field E is (E h/2)^2/(4 * 10 (kh)^2 ohm) = E^2/(160 ohm k^2), whatever the height. In dB
    this is the relation of Recommendation ITU-R P.372: E_n = F_a + 20 log f + B - 95.5 dB(uV/m), f in MHz.

    Parameters
    ----------
    noise
        Power over kT0B as a ratio [1].
    hertz
        Frequency [Hz].
    bandwidth
        Bandwidth [Hz].

    Returns
    -------
    float array [V/m]
    """
    return wave_number(hertz) * np.sqrt(160 * noise * BOLTZMANN * T0 * bandwidth)


def available_power(field: Any, hertz: Any) -> Any:
    """Return the power that a short lossless vertical on perfect ground offers in a field, whatever its height.

    Parameters
    ----------
    field
        Field strength, rms [V/m].
    hertz
        Frequency [Hz].

    Returns
    -------
    float array [W]
    """
    return field**2 / (160 * wave_number(hertz) ** 2)
