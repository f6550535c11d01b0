"""A short vertical as a source: its capacitance, effective height and impedance, and a transmitter's field at it."""

from dataclasses import dataclass

import numpy as np

from workbook.checks import between, check_broadcast
from workbook.errors import InputError
from workbook.formulas import front_ends
from workbook.formulas.lines import C
from workbook.units import Floats, Frequency, Impedance, Length, Quantity, scalar, with_unit

RADIO = (1.0, 1e12)
"""Frequencies [Hz] that are taken."""


@dataclass(frozen=True)
class ShortVertical:
    """A vertical rod or wire on perfect ground, shorter than a quarter wave.

    Parameters
    ----------
    height, diameter
        Height and diameter; arrays broadcast.

    Raises
    ------
    InputError
        When a height is not more than two diameters.

    Examples
    --------
    >>> ShortVertical("8 m", "10 mm").capacitance.m_as("pF")
    65.2
    """

    height: Length
    diameter: Length

    def __post_init__(self) -> None:
        """Check the size, and keep it in metres."""
        height = between(self.height, "m", "height", 1e-3, 1e5)
        diameter = between(self.diameter, "m", "diameter", 1e-7, 1e4)
        check_broadcast(height, diameter)
        if np.any(height <= 2 * diameter):
            raise InputError(
                "the formula is for thin verticals, higher than two diameters",
                where="height",
                remedy="check the units of both",
            )
        object.__setattr__(self, "height", with_unit(height, "m"))
        object.__setattr__(self, "diameter", with_unit(diameter, "m"))

    @property
    def metres(self) -> Floats:
        """Height [m], plain."""
        return self.height.m_as("m")

    @property
    def farads(self) -> Floats:
        """Capacitance [F], plain."""
        return front_ends.vertical_capacitance(self.metres, self.diameter.m_as("m"))

    @property
    def quarter_wave_hertz(self) -> Floats:
        """Frequency [Hz], plain, at which the height is a quarter wave."""
        return C / (4 * self.metres)

    @property
    def capacitance(self) -> Quantity:
        """Capacitance to ground [F]: 2 pi eps0 h / ln(1.15 h/d), after Meinke and Gundlach."""
        return with_unit(self.farads, "F")

    def effective_height(self, frequency: Frequency) -> Length:
        """Return the open-circuit voltage over the field strength: tan(kh/2)/k.

        Parameters
        ----------
        frequency
            Frequency, below that at which the height is a quarter wave.

        Returns
        -------
        quantity in m

        Raises
        ------
        InputError
            When the height reaches a quarter wave.

        Examples
        --------
        >>> ShortVertical("7 m", "25 mm").effective_height("1.83 MHz").m_as("m")
        3.52
        """
        return with_unit(
            front_ends.vertical_effective_height(self.metres, hertz_below_quarter_wave(self, frequency)), "m"
        )

    def impedance(self, frequency: Frequency) -> Impedance:
        """Return the impedance at the base: 10 (kh)^2 - j cot(kh) h/(c C) ohm.

        Parameters
        ----------
        frequency
            Frequency, below that at which the height is a quarter wave.

        Returns
        -------
        quantity in ohm, complex

        Raises
        ------
        InputError
            When the height reaches a quarter wave.
        """
        return with_unit(
            front_ends.vertical_impedance(self.metres, self.farads, hertz_below_quarter_wave(self, frequency)), "ohm"
        )


def hertz_below_quarter_wave(vertical: ShortVertical, frequency: Frequency) -> Floats:
    """Return a frequency as plain hertz, refusing one at which the vertical's height reaches a quarter wave."""
    hertz = between(frequency, "Hz", "frequency", *RADIO)
    check_broadcast(hertz, vertical.metres)
    if np.any(hertz >= vertical.quarter_wave_hertz):
        limit = float(np.min(vertical.quarter_wave_hertz)) / 1e6
        raise InputError(
            f"the vertical reaches a quarter wave at {limit:.4g} MHz",
            where="frequency",
            remedy="stay below that, or take a shorter vertical",
        )
    return hertz


def short_vertical(height: Length, diameter: Length) -> ShortVertical:
    """Return a short vertical by its height and diameter.

    Parameters
    ----------
    height, diameter
        Height above ground and diameter of the rod or wire; arrays broadcast.

    Returns
    -------
    ShortVertical

    Raises
    ------
    InputError
        When the height is not more than two diameters.

    Examples
    --------
    >>> short_vertical("7 m", "25 mm").capacitance.m_as("pF")
    67.4
    """
    return ShortVertical(height, diameter)


def transmitter_field(power: Quantity, distance: Length, frequency: Frequency) -> Quantity:
    """Return the vertical field on perfect ground beside a short vertical that radiates a power, near field included.

    sqrt(90 ohm P)/d |1 + 1/(jkd) - 1/(kd)^2|, the field of a short current element over its image.

    Parameters
    ----------
    power
        Power radiated.
    distance
        Distance on the ground.
    frequency
        Frequency.

    Returns
    -------
    quantity in V/m, rms

    Raises
    ------
    InputError
        When one of them is not above zero, or beyond 1 TW, 1 mm to a million kilometres, 1 Hz to 1 THz.

    Examples
    --------
    >>> transmitter_field("1 kW", "10 km", "7 MHz").m_as("mV/m")
    30.0
    """
    watts = between(power, "W", "power", 1e-15, 1e12)
    metres = between(distance, "m", "distance", 1e-3, 1e9)
    hertz = between(frequency, "Hz", "frequency", *RADIO)
    check_broadcast(watts, metres, hertz)
    return with_unit(scalar(front_ends.vertical_field(watts, metres, hertz)), "V/m")
