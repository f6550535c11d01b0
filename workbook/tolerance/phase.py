"""Phase error of a line whose velocity factor is not the one it was cut with, and the length that equals it."""

import numpy as np

from workbook.checks import check_broadcast, check_velocity_factor, not_negative, positive, real
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.units import Angle, Floats, Frequency, Length, with_unit


def velocity_at(velocity_factor: Floats | Cable, hertz: Floats, name: str) -> Floats:
    """Return a velocity factor as a plain number, a cable's at a frequency [Hz]."""
    if isinstance(velocity_factor, Cable):
        return velocity_factor.velocity(hertz)
    return check_velocity_factor(velocity_factor, name)


def phase_error(length: Length, frequency: Frequency, assumed: Floats | Cable, true: Floats | Cable) -> Angle:
    """Return how much too long a line is electrically when its velocity factor is not the assumed one.

    360 f L/c (1/true - 1/assumed), positive where the line is electrically too long. It is zero on every band for
    runs of equal length from one reel, since what counts is the difference between channels.

    Parameters
    ----------
    length
        Length of the line; 0 m or more.
    frequency
        Frequency.
    assumed
        Velocity factor the line was cut with: a plain number, or a `Cable` that is evaluated at the frequency.
    true
        Velocity factor the line has: a plain number or a `Cable`.

    Returns
    -------
    degree quantity, not wrapped; the arguments broadcast

    Raises
    ------
    InputError
        On a negative length or a velocity factor outside 0 to 1.

    Examples
    --------
    >>> phase_error("26.911 m", "1.83 MHz", 0.85, 0.8329).m_as("degree")
    1.428
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    wanted = velocity_at(assumed, hertz, "assumed")
    got = velocity_at(true, hertz, "true")
    check_broadcast(metres, hertz, wanted, got)
    return with_unit(np.degrees(lines.phase(metres, hertz, got) - lines.phase(metres, hertz, wanted)), "degree")


def length_error(phase_error: Angle, frequency: Frequency, velocity_factor: Floats | Cable) -> Length:
    """Return the length of cable that a phase error is worth: phase/(360 f) times c times the velocity factor.

    Parameters
    ----------
    phase_error
        Phase error; positive is too long.
    frequency
        Frequency.
    velocity_factor
        The line's own: a plain number or a `Cable`.

    Returns
    -------
    m quantity of the same sign; the arguments broadcast

    Raises
    ------
    InputError
        On a velocity factor outside 0 to 1 or an argument of another dimension.

    Examples
    --------
    >>> length_error("1 degree", "1.83 MHz", 0.8329).m_as("m")
    0.379
    """
    radians = real(phase_error, "radian", "phase_error")
    hertz = positive(frequency, "Hz", "frequency")
    v = velocity_at(velocity_factor, hertz, "velocity_factor")
    check_broadcast(radians, hertz, v)
    return with_unit(lines.length_of_phase(radians, hertz, v), "m")
