"""One line between real ends: what arrives on the load, as a plain complex ratio."""

from typing import Any

import numpy as np

from workbook.checks import check_broadcast, magnitude, not_negative, positive
from workbook.errors import InputError, shown
from workbook.formulas import terminated
from workbook.line.cable import Cable
from workbook.units import scalar


def the_cable(cable: Any, name: str = "cable") -> Cable:
    """Return a cable after checking that it is one."""
    if not isinstance(cable, Cable):
        raise InputError(
            f"{shown(cable)} is no cable", where=name, remedy="write wb.cable('series-6-copper') or another name"
        )
    return cable


def end_impedance(value: Any, name: str) -> Any:
    """Return an impedance [ohm] that ends a line, after checking that its resistance is above zero and not open."""
    ohms = None if value is None else magnitude(value, "ohm", name)
    if ohms is None or np.any(np.isinf(ohms) & ~(np.real(ohms) < 0)):
        raise InputError("is left open", where=name, remedy="end it in an impedance, such as '75 ohm'")
    _with_resistance(ohms, name)
    return ohms


def _with_resistance(ohms: Any, name: str) -> None:
    least = float(np.min(np.real(ohms))) if np.size(ohms) else 1.0
    if least <= 0:
        raise InputError(
            f"its resistance of {least:g} ohm is not above zero", where=name, remedy="give one above 0 ohm"
        )


def line_transfer(cable: Cable, length: Any, frequency: Any, source: Any, load: Any) -> Any:
    """Return the voltage on a line's load over the open voltage of its source, a plain complex number.

    Exact for a complex characteristic impedance. Its angle is minus the electrical length, and its size that of the
    matched loss and of the divider at the source, only where one end is matched.

    Parameters
    ----------
    cable
        What the line is made of.
    length, frequency
        Length and frequency quantities.
    source
        Impedance that drives the line.
    load
        Impedance at its far end; infinite ohm for an open end.

    Raises
    ------
    InputError
        When the resistance of source or load is not above zero, or the source is open.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> line_transfer(ideal_cable("75 ohm", 1), "10 m", "2 MHz", "75 ohm", "75 ohm")
    (0.45671-0.20350j)
    """
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    feed = end_impedance(source, "source")
    ohms = magnitude(load, "ohm", "load")
    _with_resistance(ohms, "load")
    check_broadcast(metres, hertz, feed, ohms)
    gamma, impedance = the_cable(cable).constants(hertz)
    return scalar(terminated.transfer([(gamma, impedance, metres)], feed, ohms))
