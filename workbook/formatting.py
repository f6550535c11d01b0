"""How numbers and lengths are written, for every table, sentence and picture."""

import math
from enum import StrEnum
from typing import Any

import numpy as np

from workbook.checks import not_negative
from workbook.errors import InputError
from workbook.units import Length

FOOT = 0.3048
"""A foot [m]."""


def rounded(value: float, digits: int, sign: str = "") -> str:
    """Write a number to some digits, never as a negative zero; `sign` "+" writes a plus too.

    Examples
    --------
    >>> rounded(-0.03, 1), rounded(0.26, 1, "+")
    ('0.0', '+0.3')
    """
    return f"{round(value, digits) + 0.0:{sign}.{digits}f}"


def feet_inches(length: Length) -> Any:
    """Write a length for a tape in feet, inches and sixteenths, halves of a sixteenth rounded up.

    Parameters
    ----------
    length
        Zero or more; an array gives an array of texts.

    Returns
    -------
    str or array of str
        Such as ``"18 ft 3 1/2 in"``, zero parts kept.

    Raises
    ------
    InputError
        On a negative length or anything that is not a length.

    Examples
    --------
    >>> feet_inches("5.5753 m")
    '18 ft 3 1/2 in'
    """
    metres = not_negative(length, "m", "length")
    if np.any(metres > 1e9):
        raise InputError("is longer than any tape", where="length", remedy="check its unit")
    return np.array([_tape(m) for m in metres.flat]).reshape(metres.shape) if np.ndim(metres) else _tape(metres)


def _tape(metres: float) -> str:
    # the nudge keeps 1/32 in, which is not exact in metres, a half that rounds up
    sixteenths = math.floor(metres / 0.0254 * 16.0 + 0.5 + 1e-9)
    feet, rest = divmod(sixteenths, 192)
    inches, part = divmod(rest, 16)
    if not part:
        return f"{feet} ft {inches} in"
    common = math.gcd(part, 16)
    return f"{feet} ft {inches} {part // common}/{16 // common} in"


def _short_tape(metres: float) -> str:
    """Write a length for a tape without feet where it has none, and without inches below one."""
    text = _tape(metres).removeprefix("0 ft ")
    return text.removeprefix("0 ") if "/" in text else text


class LengthUnits(StrEnum):
    """Which lengths are written: metres to the millimetre, feet with inches and sixteenths, or both.

    It is the key ``units`` of a design, and is passed on to whatever writes a length.
    """

    BOTH = "both"
    METRIC = "metric"
    FEET = "feet"

    def text(self, metres: float) -> str:
        """Write a plain length [m].

        Examples
        --------
        >>> [units.text(26.911) for units in LengthUnits]
        ['26.911 m (88 ft 3 1/2 in)', '26.911 m', '88 ft 3 1/2 in']
        >>> LengthUnits.FEET.text(0.0762), LengthUnits.FEET.text(0.0175), LengthUnits.FEET.text(0)
        ('3 in', '11/16 in', '0 in')
        """
        return self.joined(f"{metres:.3f} m", _short_tape(metres))

    def signed(self, metres: float, plus: str = "") -> str:
        """Write a plain length [m] that may be negative, the sign before each; never a negative zero.

        Examples
        --------
        >>> LengthUnits.BOTH.signed(-16.2635), LengthUnits.FEET.signed(0.0254, "+")
        ('-16.263 m (-53 ft 4 5/16 in)', '+1 in')
        """
        sign = "-" if round(metres, 3) < 0 else plus if round(metres, 3) else ""
        return self.joined(f"{sign}{abs(metres):.3f} m", f"{sign}{_short_tape(abs(metres))}")

    def about(self, metres: float, digits: int = 0) -> str:
        """Write a plain length [m] in round numbers; feet have one decimal less, or none.

        Examples
        --------
        >>> LengthUnits.BOTH.about(41.7), LengthUnits.FEET.about(20.52, 2)
        ('42 m (137 ft)', '67.3 ft')
        """
        return self.joined(f"{metres:.{digits}f} m", f"{metres / FOOT:.{max(digits - 1, 0)}f} ft")

    def short(self, metres: float) -> str:
        """Write a plain length [m] in as few figures as say it, for titles and examples.

        Examples
        --------
        >>> LengthUnits.BOTH.short(45.72), LengthUnits.FEET.short(45.8724), LengthUnits.FEET.short(0.1)
        ('45.72 m (150 ft)', '150 ft 6 in', '3 15/16 in')
        """
        return self.joined(f"{metres:.5g} m", _short_tape(metres).removesuffix(" 0 in"))

    def entered(self, length: Length) -> str:
        """Write a length for a field: as a file has it where that is in this system, else converted to it.

        Examples
        --------
        >>> from workbook.units import Quantity
        >>> [LengthUnits.FEET.entered(Quantity(*length)) for length in ((1000, "ft"), (9.94, "m"))]
        ['1000 ft', '32 ft 7 5/16 in']
        >>> [LengthUnits.METRIC.entered(Quantity(*length)) for length in ((1000, "ft"), (9.94, "m"))]
        ['304.8 m', '9.94 m']
        """
        metres = float(length.m_as("m"))
        if self is not LengthUnits.FEET:
            return f"{round(metres, 4):.9g} m"
        feet = metres / FOOT
        return f"{feet:.9g} ft" if math.isclose(100 * feet, round(100 * feet), abs_tol=1e-6) else _short_tape(metres)

    def small(self, metres: float) -> str:
        """Write a plain length [m] of a few centimetres at most.

        Examples
        --------
        >>> [units.small(0.014) for units in LengthUnits]
        ['14 mm (9/16 in)', '14 mm', '9/16 in']
        """
        return self.joined(f"{1000 * metres:.3g} mm", _short_tape(metres))

    def on_drawing(self, metres: float) -> str:
        """Write a plain length [m] once, where a drawing has room for one."""
        return self.alone.text(metres)

    def joined(self, metric: str, feet: str) -> str:
        """Return what is written in metric units, in feet and inches, or both, the second in brackets."""
        return {"metric": metric, "feet": feet}.get(self.value, f"{metric} ({feet})")

    @property
    def alone(self) -> "LengthUnits":
        """The one system of drawings and scales."""
        return self if self is LengthUnits.FEET else LengthUnits.METRIC

    @property
    def least(self) -> tuple[str, float]:
        """The least part of a length that a tape shows, and how long it is [m]."""
        return ("millimetre", 0.001) if self is LengthUnits.METRIC else ("sixteenth of an inch", 0.0254 / 16)

    @property
    def scale(self) -> tuple[str, float]:
        """Unit of drawn scales and of a number alone, and how long one is [m]."""
        return ("ft", FOOT) if self is LengthUnits.FEET else ("m", 1.0)

    @property
    def hundred(self) -> tuple[str, float]:
        """The length that a loss is printed for, and how long it is [m]."""
        return ("100 ft", 100 * FOOT) if self is LengthUnits.FEET else ("100 m", 100.0)

    @property
    def small_scale(self) -> tuple[str, float]:
        """Unit of small sizes such as a diameter, and how long one is [m]."""
        return ("in", FOOT / 12) if self is LengthUnits.FEET else ("mm", 0.001)


def bearing_text(value: float | None) -> str:
    """Write a bearing to a tenth of a degree, 0.0 to 359.9, a dash where there is none.

    Examples
    --------
    >>> bearing_text(359.97)
    '0.0'
    """
    # rounded first, so that 359.97 is not written as 360.0
    return "-" if value is None else f"{round(value, 1) % 360:.1f}"


def impedance_text(*ohms: complex) -> str:
    """Write plain impedances [ohm], of a source and a load for example, with their reactance where they have one.

    Examples
    --------
    >>> impedance_text(75), impedance_text(77.8 - 1.5j), impedance_text(72 + 5j, 50)
    ('75 ohm', '77.8 − j1.5 ohm', '72 + j5 to 50 ohm')
    """
    return f"{' to '.join(map(_bare_impedance, ohms))} ohm"


def _bare_impedance(ohms: complex) -> str:
    whole = complex(ohms)
    sign = "\u2212" if whole.imag < 0 else "+"  # a minus as wide as the plus
    reactance = f" {sign} j{abs(whole.imag):.4g}" if whole.imag else ""
    return f"{whole.real:.4g}{reactance}"
