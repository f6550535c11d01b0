"""The one registry of units, reading what builders write, and printing lengths for a tape.

Loss is a dimension of its own here (neper as base, decibel defined on it), so that dB/m times m is dB and
nothing turns a loss into a ratio by accident.
"""

import difflib
import functools
import math
import re
import sys
from typing import Any, TypeAlias

import numpy as np
import pint

from workbook.errors import InputError, shown

# The trade's units, offered when a unit is misspelt.
_USUAL_UNITS = tuple(
    "Hz kHz MHz GHz m cm mm um km ft in ohm kohm mohm ns us ps s deg degree rad dB dBm pF nF uH nH "
    "V A mA W K degC degF".split()
)
_LONGEST = 200
"""Letters up to which a text is read as a quantity."""
_MOST_POWERS = 8
"""Greatest sum of the powers in a unit; the units of a formula need 7."""
_POWER = re.compile(r"(?:\^|\*\*) ?-?\d(?![\d.]| *(?:\^|\*\*))")

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_FRACTION = r"\d+/\d+"
_AMOUNT = rf"(?:{_NUMBER}[ -]{_FRACTION}|{_FRACTION}|{_NUMBER})"
_FEET = rf"(?P<feet>{_AMOUNT}) ?(?:'|(?:ft|foot|feet)\.?(?![^\W\d]))"
_INCHES = rf"(?P<inches>{_AMOUNT}) ?(?:\"|''|(?:inches|inch|in)\b\.?)"
_TAPE = re.compile(rf"(?P<sign>[+-]?) ?(?:{_FEET}(?:(?:,? ?|-| - ){_INCHES})?|{_INCHES.replace('inches>', 'only>')})")
_NAME = r"[^\W\d_][^\W\d]*(?:(?:\^|\*\*)-?\d)?|°[CF]?|%"
_PLAIN = re.compile(
    rf"(?P<number>[+-]? ?{_NUMBER}(?:[eE][+-]?\d+)?) ?"
    rf"(?P<unit>(?:{_NAME})(?: ?[*/·] ?(?:{_NAME}))*)"
    rf"(?: ?/ ?(?P<per>{_NUMBER}) ?(?P<per_unit>{_NAME}))?"
)
_UNICODE = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "⁄": "/"}
    | dict.fromkeys("\u00a0\u2009\u202f\t", " ")
)
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"
}  # fmt: skip


class _Unit(pint.UnitRegistry.Unit):
    """A unit of the workbook's own registry, also after pickling."""

    def __reduce__(self) -> tuple[Any, ...]:
        return _restored_unit, (self._units,)


def _restored_unit(units: Any) -> Any:
    return registry.Unit(units)


class _Quantity(pint.UnitRegistry.Quantity):
    """A quantity whose text and unit names are read by the workbook, since the stock parser misreads tapes silently.

    It belongs to the workbook's own registry, also after pickling.
    """

    def __new__(cls, value: Any, units: Any = None) -> Any:
        """Read text by `quantity`; a misspelt unit is refused with the nearest one."""
        if isinstance(units, str):
            units = _unit(units, units, "")
        if isinstance(value, str):
            return _converted(quantity(value), units)
        if isinstance(value, int) and abs(value) > sys.float_info.max:
            raise InputError(f"{shown(value)} is too large a number", remedy="check it")
        try:
            if isinstance(value, (list, tuple, np.ndarray)) and np.asarray(value).dtype.kind not in "buifcO":
                raise TypeError
            return super().__new__(cls, value, units)
        except (TypeError, ValueError, AttributeError):
            problem = f"{shown(value)} cannot have the unit {_named(units)}"
            raise InputError(problem, remedy="write it like wb.Quantity(5.58, 'm')") from None

    def __reduce__(self) -> tuple[Any, ...]:
        return _restored, (self.magnitude, self._units)


def _restored(magnitude: Any, units: Any) -> Any:
    return Quantity(magnitude, units)


def _named(units: Any) -> str:
    return f"{units:~P}" if isinstance(units, registry.Unit) else shown(units)


def _converted(read: Any, units: Any) -> Any:
    try:
        if units is not None and kind_of(read.units) != kind_of(registry.Unit(units)):
            raise TypeError
        return read if units is None else read.to(units)
    except (pint.DimensionalityError, AttributeError, TypeError, ValueError):
        raise InputError(
            f"{read:g~P} cannot have the unit {_named(units)}", remedy="write a unit of the same kind"
        ) from None


class _Registry(pint.UnitRegistry):
    """The registry of those quantities."""

    Quantity = _Quantity
    Unit = _Unit

    def parse_expression(self, input_string: str, *_: Any, **__: Any) -> Any:
        return quantity(input_string)


def _registry() -> Any:
    registry = _Registry(on_redefinition="ignore")
    registry.define("loss_neper = [loss] = Np = neper")
    registry.define("loss_decibel = 0.11512925464970229 * loss_neper = dB = decibel")
    registry.formatter.default_format = "~P"
    return registry


registry = _registry()
Quantity = registry.Quantity

# Kinds of argument and result. An argument may be a quantity or text such as "42 m"; a result is a quantity. Where
# arrays are allowed they broadcast.
Length: TypeAlias = Any
Frequency: TypeAlias = Any
Angle: TypeAlias = Any
Time: TypeAlias = Any
Impedance: TypeAlias = Any
Gain: TypeAlias = Any
Loss: TypeAlias = Gain
# Plain numbers in SI units (angles in radians unless a name says degrees): one number or an array of them.
Floats: TypeAlias = Any
Complexes: TypeAlias = Any
FloatArray: TypeAlias = np.ndarray[Any, np.dtype[np.float64]]
Float32Array: TypeAlias = np.ndarray[Any, np.dtype[np.float32]]
ComplexArray: TypeAlias = np.ndarray[Any, np.dtype[np.complex128]]
IntArray: TypeAlias = np.ndarray[Any, np.dtype[np.int_]]
BoolArray: TypeAlias = np.ndarray[Any, np.dtype[np.bool_]]

NEPER_IN_DB = 20.0 / math.log(10.0)


def quantity(text: str, example: str = "") -> Any:
    """Read a number with its unit as a builder writes it; feet and inches may come with fractions.

    Parameters
    ----------
    text
        For example ``18' 3 1/2"``, ``5.58 m``, ``1.83 MHz``, ``-40 degF`` or ``6.6 dB/100 m``.
    example
        What a refusal proposes to write; by default one that suits the fault.

    Returns
    -------
    quantity
        One value in the unit that was written; feet with inches come in inches.

    Raises
    ------
    InputError
        On empty text, a number without unit, a decimal comma, an unknown unit, or anything left over.

    Examples
    --------
    >>> quantity("18 ft 3 1/2 in").to("m").magnitude
    5.5753
    >>> quantity("6.6 dB/100 m").to("dB/m").magnitude
    0.066
    """
    if not isinstance(example, str):
        raise InputError(f"got {shown(example)}", where="example", wanted="text")
    if not isinstance(text, str):
        raise InputError(f"got {shown(text)}", wanted=f"text such as '{example or '5.58 m'}'")
    plain, like = _plain(text[: _LONGEST + 1]), f'write it like "{example}"'
    if len(text) > _LONGEST:
        raise InputError(f"{shown(text)} is longer than {_LONGEST} letters", remedy="write a number and its unit")
    if not plain:
        remedy = like if example else "write a number and its unit, such as '5.58 m'"
        raise InputError("the text for a quantity is empty", remedy=remedy)
    if re.search(r"\d,\d", plain):
        remedy = "write a decimal point, and no mark for thousands"
        raise InputError(f"{shown(text)} has a comma inside a number", remedy=remedy)
    if tape := _TAPE.fullmatch(plain):
        return _from_tape(tape, text)
    if found := _PLAIN.fullmatch(plain):
        return _from_plain(found, text, example)
    if re.fullmatch(rf"[+-]? ?{_AMOUNT}(?:[eE][+-]?\d+)?", plain):
        remedy = like if example else "write the unit too, such as MHz, m, ft or ns"
        raise InputError(f"{shown(text)} is a number without a unit", remedy=remedy)
    remedy = like if example else "write it like '5.58 m' or '18 ft 3 1/2 in'"
    raise InputError(f"{shown(text)} cannot be read as one number and its unit", remedy=remedy)


def _plain(text: str) -> str:
    """Replace unicode primes, fractions and spaces by the keys of an ordinary keyboard."""
    for sign, ratio in _VULGAR.items():
        # one that runs into another digit or fraction stays as it is, and is then refused
        text = re.sub(rf"(?<=\d) ?{sign}(?![\d{''.join(_VULGAR)}])", f" {ratio}", text)
        text = re.sub(rf"(?<![\d{''.join(_VULGAR)}/.]){sign}(?![\d{''.join(_VULGAR)}])", ratio, text)
    return re.sub(r" +", " ", text.translate(_UNICODE)).strip()


def _amount(text: str | None) -> float:
    """Return the value of '3', '3.5', '1/2', '3 1/2' or '3-1/2'."""
    total = 0.0
    for part in re.split(r"[ -]", text) if text else ():
        top, _, bottom = part.partition("/")
        if bottom and float(bottom) == 0:
            raise InputError(f"the fraction {part} divides by zero", remedy="write it like 1/2")
        total += float(top) / float(bottom or 1)
    return total


def _from_tape(tape: re.Match[str], text: str) -> Any:
    feet, inches = _amount(tape["feet"]), _amount(tape["inches"] or tape["only"])
    if tape["feet"] and inches >= 12:
        raise InputError(f"{shown(text)} has 12 inches or more beside feet", remedy="carry them over into the feet")
    if not math.isfinite(feet + inches):
        raise InputError(f"{shown(text)} is too large a number", remedy="check it")
    sign = -1.0 if tape["sign"] == "-" else 1.0
    return Quantity(sign * (12.0 * feet + inches), "inch")


def _from_plain(found: re.Match[str], text: str, example: str) -> Any:
    value = float(found["number"].replace(" ", ""))
    if not math.isfinite(value):
        raise InputError(f"{shown(text)} is too large a number", remedy="check it")
    result = Quantity(value, _unit(found["unit"], text, example))
    if found["per"] is None:
        return result
    per = float(found["per"])
    if per == 0:
        raise InputError(f"{shown(text)} divides by zero", remedy="write for example 'dB/100 m'")
    return Quantity(result.magnitude / per, result.units / _unit(found["per_unit"], text, example))


@functools.lru_cache(maxsize=256)
def parsed_unit(name: str) -> Any:
    """Return a unit of the registry by its name, such as ``"dB/m"``.

    Raises
    ------
    ValueError
        When its powers are too high, before they are computed.
    """
    plain = name.replace("·", "*")
    rest = _POWER.sub("", plain)
    if len(plain) > _LONGEST or "^" in rest or "**" in rest:
        raise ValueError
    unit = registry.parse_units(plain)
    if sum(abs(power) for power in unit._units.values()) > _MOST_POWERS:
        raise ValueError
    return unit


@functools.lru_cache(maxsize=1024)
def kind_of(unit: Any) -> tuple[Any, bool]:
    """Return what a unit measures: its root units, and whether a mere ratio, such as per cent, goes with them.

    Turns, bytes and counts have a root of their own, so that none of them per second is a frequency.
    """
    root = registry.get_root_units(unit)[1]
    ratio = any(registry.get_root_units(part)[1].dimensionless for part in map(registry.Unit, dict(unit._units)))
    return root, ratio and not root.dimensionless


def _unit(name: str, text: str, example: str) -> Any:
    try:
        return parsed_unit(name)
    except Exception:  # pint raises many kinds here, some of them bare assertions
        same = [usual for usual in _USUAL_UNITS if usual.lower() == name.lower()]
        near = same or difflib.get_close_matches(name, _USUAL_UNITS, n=1, cutoff=0.5)
        like = f'write it like "{example}"' if example else "write a unit such as m, ft, MHz or ns"
        remedy = f"did you mean {near[0]}?" if near else like
        raise InputError(f"{shown(text)} has an unknown unit", remedy=remedy) from None


def scalar(value: Any) -> Any:
    """Return a lone NumPy value as Python's own number, so that a scalar in gives a scalar out; arrays are the
    caller's own, to be written into.
    """
    if not np.ndim(value):
        return np.asarray(value).item()
    return value if value.flags.writeable else value.copy()


def with_unit(value: Any, unit: str) -> Any:
    """Put the unit back on a result."""
    return Quantity(scalar(value), unit)
