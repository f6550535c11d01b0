"""External noise by Recommendation ITU-R P.372, stages of a receiving chain, and their cascade."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from workbook.checks import between, check_broadcast, instance, listed, not_negative, one_of, positive, real
from workbook.errors import InputError
from workbook.formulas import noise
from workbook.line.cable import Cable
from workbook.units import Floats, Frequency, Gain, Length, Loss, Quantity, with_unit

MAN_MADE: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"city": (76.8, 27.7), "residential": (72.5, 27.7), "rural": (67.2, 27.7), "quiet rural": (53.6, 28.6)}
)
"""c and d of F_am = c - d log10(f in MHz), Recommendation ITU-R P.372, man-made noise."""
GALACTIC = (52.0, 23.0)
DEFAULT_ENVIRONMENT = "quiet rural"
"""The least noise of the recommendation: a cable that is good enough here is good enough anywhere."""


def ratio(decibels: Floats) -> Floats:
    """Return a power ratio of plain decibels."""
    return 10 ** (np.asarray(decibels) / 10)


def decibels(power_ratio: Floats) -> Gain:
    """Return a power ratio as a quantity in dB, minus infinity for zero."""
    with np.errstate(divide="ignore"):
        return with_unit(10 * np.log10(power_ratio), "dB")


def _megahertz(frequency: Frequency) -> Floats:
    megahertz = positive(frequency, "MHz", "frequency")
    if np.any((megahertz < 0.3 * (1 - 1e-12)) | (megahertz > 250 * (1 + 1e-12))):
        raise InputError(
            "the noise classes of Recommendation ITU-R P.372 hold from 0.3 to 250 MHz",
            where="frequency",
            remedy="stay inside, or enter a noise level of your own",
        )
    return megahertz


def external_noise(frequency: Frequency, environment: str) -> Gain:
    """Return the median man-made noise of an environment as Fa, dB over kT0B of a short lossless vertical.

    Fa = c - d log10(f in MHz) of Recommendation ITU-R P.372. Atmospheric noise, which rules the low bands at night,
    is not part of it: enter it as a level with its source, and add levels by `combined_noise`.

    Parameters
    ----------
    frequency
        Frequency from 0.3 to 250 MHz.
    environment
        ``"city"``, ``"residential"``, ``"rural"`` or ``"quiet rural"``.

    Returns
    -------
    quantity in dB

    Raises
    ------
    InputError
        On another environment, or a frequency outside the recommendation.

    Examples
    --------
    >>> external_noise("1.8 MHz", "quiet rural").m_as("dB")
    46.30
    """
    c, d = MAN_MADE[one_of(environment, MAN_MADE, "environment")]
    return with_unit(c - d * np.log10(_megahertz(frequency)), "dB")


def galactic_noise(frequency: Frequency, critical_frequency: Frequency) -> Gain:
    """Return the galactic noise as Fa: 52 - 23 log10(f in MHz) above the critical frequency, by ITU-R P.372.

    Parameters
    ----------
    frequency
        Frequency from 0.3 to 250 MHz.
    critical_frequency
        Critical frequency of the ionosphere, below which nothing of it comes through.

    Returns
    -------
    quantity in dB, minus infinity below the critical frequency

    Raises
    ------
    InputError
        On a frequency outside the recommendation.

    Examples
    --------
    >>> galactic_noise("28 MHz", "8 MHz").m_as("dB")
    18.72
    """
    megahertz, critical = _megahertz(frequency), positive(critical_frequency, "MHz", "critical_frequency")
    check_broadcast(megahertz, critical)
    level = GALACTIC[0] - GALACTIC[1] * np.log10(megahertz)
    return with_unit(np.where(megahertz > critical, level, -np.inf), "dB")


def combined_noise(levels: Iterable[Gain]) -> Gain:
    """Return the sum in power of noise levels that are independent of each other.

    Parameters
    ----------
    levels
        Levels in dB over kT0B, such as man-made, atmospheric and galactic noise; minus infinity for none.

    Returns
    -------
    quantity in dB

    Raises
    ------
    InputError
        When no level is given.

    Examples
    --------
    >>> combined_noise(["46.3 dB", "46.3 dB"]).m_as("dB")
    49.3
    """
    plain = [_level(level) for level in listed(levels, "levels", "write ['46 dB', '40 dB']")]
    if not plain:
        raise InputError("the list is empty", where="levels", remedy="give at least one")
    check_broadcast(*plain)
    return decibels(sum(ratio(level) for level in plain))


def _level(level: Gain) -> Floats:
    if isinstance(level, Quantity) and np.any(np.isneginf(level.magnitude)):
        kept = np.where(np.isneginf(level.magnitude), 0.0, level.magnitude)
        return np.where(np.isneginf(level.magnitude), -np.inf, real(Quantity(kept, level.units), "dB", "levels"))
    return real(level, "dB", "levels")


def noise_field(external: Gain, frequency: Frequency, bandwidth: Frequency) -> Quantity:
    """Return the rms field strength of external noise for a short vertical on perfect ground.

    The relation of Recommendation ITU-R P.372: E_n = F_a + 20 log f + B - 95.5 dB(uV/m), f in MHz, B = 10 log of the
    bandwidth in Hz.

    Parameters
    ----------
    external
        Fa in dB.
    frequency, bandwidth
        Frequency and bandwidth.

    Returns
    -------
    quantity in V/m, rms

    Raises
    ------
    InputError
        When frequency or bandwidth is not above zero.

    Examples
    --------
    >>> noise_field("46.3 dB", "1.8 MHz", "500 Hz").m_as("uV/m")
    0.139
    """
    level = real(external, "dB", "external")
    hertz = positive(frequency, "Hz", "frequency")
    bandwidths = positive(bandwidth, "Hz", "bandwidth")
    check_broadcast(level, hertz, bandwidths)
    return with_unit(noise.noise_field(ratio(level), hertz, bandwidths), "V/m")


@dataclass(frozen=True)
class Stage:
    """One stage of a receiving chain.

    It adds (F - 1) temperature/290 K at its input. A passive line is a stage of gain -L and noise figure L at its own
    temperature, see `line_stage`.

    Parameters
    ----------
    name
        What it is, for tables.
    gain
        Gain in dB, positive for an amplifier.
    noise_figure
        Noise figure in dB at 290 K, zero or more.
    temperature
        Temperature of the stage.

    Raises
    ------
    InputError
        On a noise figure below 0 dB, or a temperature that is not above zero.

    Examples
    --------
    >>> Stage("receiver", "0 dB", "10 dB").noise_figure.m_as("dB")
    10.0
    """

    name: str
    gain: Gain
    noise_figure: Gain
    temperature: Quantity = "290 K"

    def __post_init__(self) -> None:
        """Check the figures, and keep them in dB and kelvin."""
        instance(self.name, str, "name", "write what the stage is, such as 'receiver'")
        gain = real(self.gain, "dB", "gain")
        figure = not_negative(self.noise_figure, "dB", "noise_figure")
        kelvin = positive(self.temperature, "K", "temperature")
        check_broadcast(gain, figure, kelvin)
        if np.any(np.abs(gain) > 1000) or np.any(figure > 1000):
            raise InputError("the figures are beyond anything that can be built", where="gain", remedy="check them")
        object.__setattr__(self, "gain", with_unit(gain, "dB"))
        object.__setattr__(self, "noise_figure", with_unit(figure, "dB"))
        object.__setattr__(self, "temperature", with_unit(kelvin, "K"))

    @property
    def power_gain(self) -> Floats:
        """Gain as a plain ratio of powers [1]."""
        return ratio(self.gain.m_as("dB"))

    @property
    def excess(self) -> Floats:
        """Noise added at the input, as a plain ratio to kT0B [1]."""
        return noise.excess_noise(ratio(self.noise_figure.m_as("dB")), self.temperature.m_as("K"))


def passive_stage(name: str, loss: Loss, temperature: Quantity = "290 K") -> Stage:
    """Return a stage that only loses, such as a pad or a hub: gain -L and noise figure L at its own temperature.

    Parameters
    ----------
    name
        What it is.
    loss
        Loss in dB, zero or more.
    temperature
        Its temperature.

    Returns
    -------
    Stage

    Raises
    ------
    InputError
        When the loss is negative.
    """
    decibel = not_negative(loss, "dB", "loss")
    return Stage(name, with_unit(-decibel, "dB"), with_unit(decibel, "dB"), temperature)


def line_stage(cable: Cable, length: Length, frequency: Frequency, temperature: Quantity = "290 K") -> Stage:
    """Return a matched length of cable as a stage, for the typical cladding.

    Parameters
    ----------
    cable
        The cable.
    length, frequency
        Length and frequency.
    temperature
        Temperature of the cable.

    Returns
    -------
    Stage
        Gain and noise figure [dB].

    Raises
    ------
    InputError
        When the length is negative, or the cable is not one.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> line_stage(cable("series-6-copper"), "100 m", "1.83 MHz").gain.m_as("dB")
    -0.813
    """
    instance(cable, Cable, "cable", "write wb.cable('series-6-copper') or another name")
    metres = not_negative(length, "m", "length")
    hertz = between(frequency, "Hz", "frequency", 1, 1e12)
    check_broadcast(metres, hertz)
    loss = cable.attenuation(with_unit(hertz, "Hz")).m_as("dB/m") * metres
    return passive_stage(cable.name, with_unit(loss, "dB"), temperature)


def check_stages(stages: Iterable[Stage], name: str = "stages") -> tuple[Stage, ...]:
    """Return stages as a tuple after checking each."""
    remedy = "make one by wb.Stage('receiver', '0 dB', '10 dB')"
    return tuple(instance(stage, Stage, name, remedy) for stage in listed(stages, name, remedy))


def cascade(stages: Iterable[Stage]) -> tuple[Gain, Gain]:
    """Return the gain and the noise figure of stages one after the other.

    F = 1 + sum of (F_i - 1)(T_i/290 K)/(g_1 ... g_(i-1)), after Friis.

    Parameters
    ----------
    stages
        The stages, the one nearest to the antenna first.

    Returns
    -------
    (quantity in dB, quantity in dB)
        Gain and noise figure.

    Raises
    ------
    InputError
        When the list is empty or holds anything but stages.

    Examples
    --------
    A cable of 3 dB before an amplifier of noise figure 3 dB adds its whole loss, behind it little.

    >>> cable, amplifier = Stage("cable", "-3 dB", "3 dB"), Stage("amplifier", "20 dB", "3 dB")
    >>> cascade([cable, amplifier])[1].m_as("dB"), cascade([amplifier, cable])[1].m_as("dB")
    (6.0, 3.02)
    """
    row = check_stages(stages)
    if not row:
        raise InputError("the list is empty", where="stages", remedy="give at least the receiver")
    gains, excess = [stage.power_gain for stage in row], [stage.excess for stage in row]
    check_broadcast(*gains, *excess)
    total = sum(stage.gain.m_as("dB") for stage in row)
    return with_unit(total, "dB"), decibels(1 + noise.cascaded_noise(gains, excess))
