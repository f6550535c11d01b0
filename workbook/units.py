"""The one registry of units, reading what builders write, and printing lengths for a tape.

Loss is a dimension of its own here (neper as base, decibel defined on it), so that dB/m times m is dB and
nothing turns a loss into a ratio by accident.
"""

import difflib
import functools
import math
import re
from collections.abc import Iterable
from typing import Any

import numpy as np
import pint

from workbook.errors import InputError, shown

# The trade's units, offered when a unit is misspelt.
_USUAL_UNITS = tuple(
    "Hz kHz MHz GHz m cm mm um km ft in ohm kohm mohm ns us ps s deg degree rad dB dBm pF nF uH nH "
    "V A mA W K degC degF".split()
)
_ANGLES = {"degree", "radian", "turn", "arcminute", "arcsecond", "milliradian", "grade", "revolutions_per_minute"}

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_FRACTION = r"\d+/\d+"
_AMOUNT = rf"(?:{_NUMBER}[ -]{_FRACTION}|{_FRACTION}|{_NUMBER})"
_FEET = rf"(?P<feet>{_AMOUNT}) ?(?:'|(?:ft|foot|feet)\.?(?![^\W\d]))"
_INCHES = rf"(?P<inches>{_AMOUNT}) ?(?:\"|''|(?:inches|inch|in)\b\.?)"
_TAPE = re.compile(rf"(?P<sign>[+-]?) ?(?:{_FEET}(?:(?:,? ?|-| - ){_INCHES})?|{_INCHES.replace('inches>', 'only>')})")
_NAME = r"[^\W\d_][^\W\d]*(?:(?:\^|\*\*)-?\d+)?|°[CF]?|%"
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


class _Quantity(pint.UnitRegistry.Quantity):
    """A quantity whose text and unit names are read by the workbook, since the stock parser misreads tapes silently."""

    def __new__(cls, value: Any, units: Any = None) -> Any:
        """Read text by `quantity`; a misspelt unit is refused with the nearest one."""
        if isinstance(units, str):
            units = _unit(units, units)
        if isinstance(value, str):
            read = quantity(value)
            return read if units is None else read.to(units)
        return super().__new__(cls, value, units)


class _Registry(pint.UnitRegistry):
    """The registry of those quantities."""

    Quantity = _Quantity

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

NEPER_IN_DB = 20.0 / math.log(10.0)


def quantity(text: str) -> Any:
    """Read a number with its unit as a builder writes it; feet and inches may come with fractions.

    Parameters
    ----------
    text
        For example ``18' 3 1/2"``, ``5.58 m``, ``1.83 MHz``, ``-40 degF`` or ``6.6 dB/100 m``.

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
    if not isinstance(text, str):
        raise InputError(f"a quantity is read from text such as '5.58 m', not from {shown(text)}.")
    plain = _plain(text)
    if not plain:
        raise InputError("the text for a quantity is empty; write a number and its unit, such as '5.58 m'.")
    if re.search(r"\d,\d", plain):
        raise InputError(
            f"{shown(text)} has a comma inside a number; write a decimal point, and no mark for thousands."
        )
    if tape := _TAPE.fullmatch(plain):
        return _from_tape(tape, text)
    if found := _PLAIN.fullmatch(plain):
        return _from_plain(found, text)
    if re.fullmatch(rf"[+-]? ?{_AMOUNT}(?:[eE][+-]?\d+)?", plain):
        raise InputError(f"{shown(text)} is a number without a unit; write the unit too, such as MHz, m, ft or ns.")
    raise InputError(
        f"{shown(text)} cannot be read as one number and its unit; write it like '5.58 m' or '18 ft 3 1/2 in'."
    )


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
            raise InputError(f"the fraction {part} divides by nought; write it like 1/2.")
        total += float(top) / float(bottom or 1)
    return total


def _from_tape(tape: re.Match[str], text: str) -> Any:
    feet, inches = _amount(tape["feet"]), _amount(tape["inches"] or tape["only"])
    if tape["feet"] and inches >= 12:
        raise InputError(f"{shown(text)} has 12 inches or more beside feet; carry them over into the feet.")
    if not math.isfinite(feet + inches):
        raise InputError(f"{shown(text)} is too large a number.")
    sign = -1.0 if tape["sign"] == "-" else 1.0
    return Quantity(sign * (12.0 * feet + inches), "inch")


def _from_plain(found: re.Match[str], text: str) -> Any:
    value = float(found["number"].replace(" ", ""))
    if not math.isfinite(value):
        raise InputError(f"{shown(text)} is too large a number.")
    result = Quantity(value, _unit(found["unit"], text))
    if found["per"] is None:
        return result
    per = float(found["per"])
    if per == 0:
        raise InputError(f"{shown(text)} divides by nought; write for example 'dB/100 m'.")
    return Quantity(result.magnitude / per, result.units / _unit(found["per_unit"], text))


@functools.lru_cache(maxsize=256)
def _parsed(name: str) -> Any:
    return registry.parse_units(name.replace("·", "*"))


def _unit(name: str, text: str) -> Any:
    try:
        return _parsed(name)
    except Exception:  # pint raises many kinds here, some of them bare assertions
        near = difflib.get_close_matches(name, _USUAL_UNITS, n=1, cutoff=0.5)
        same = [usual for usual in _USUAL_UNITS if usual.lower() == name.lower()]
        hint = f"; did you mean {(same or near)[0]}?" if same or near else "; write a unit such as m, ft, MHz or ns."
        raise InputError(f"{shown(text)} has an unknown unit{hint}") from None


def magnitude(value: Any, unit: str, name: str) -> Any:
    """Take the unit off one argument: the plain SI number (or array), after checking what kind of thing came.

    Raises
    ------
    InputError
        On a bare number, a quantity of another dimension or registry, or a value that is not a number.
    """
    if isinstance(value, str):
        value = _named(value, name)
    if not isinstance(value, Quantity):
        foreign = hasattr(value, "magnitude") and hasattr(value, "units")
        what = "a quantity of another unit registry" if foreign else f"the bare value {shown(value)}"
        raise InputError(f"{name}: got {what}, but a quantity in {unit} is wanted: write wb.Quantity(value, '{unit}').")
    _check_kind(value, unit, name)
    result = value.m_as(_parsed(unit))
    # an integer or a list would divide and broadcast differently from a float
    result = np.asarray(result)
    if np.ma.is_masked(value.magnitude):
        raise InputError(f"{name}: some values are masked; leave them out, or give every one.")
    if result.dtype.kind not in "buifc":
        raise InputError(f"{name}: {shown(value)} holds what are no numbers; give plain numbers with their unit.")
    result = (result.astype(float) if result.dtype.kind in "iub" else result)[()]
    if np.any(np.isnan(result) & ~np.isinf(result)):
        raise InputError(f"{name}: not a number; give a finite value{_in(unit)}.")
    return result


def _named(text: str, name: str) -> Any:
    try:
        return quantity(text)
    except InputError as error:
        raise InputError(f"{name}: {error}") from None


def _check_kind(value: Any, unit: str, name: str) -> None:
    wanted = _parsed(unit)
    angle = set(dict(wanted._units)) <= _ANGLES and bool(dict(wanted._units))
    # an angle must come as one, and a frequency must not come as an angle per time, which differs by two pi
    if value.is_compatible_with(wanted) and angle == bool(set(dict(value._units)) & _ANGLES):
        return
    came = f"{value.units:~P}" or "no unit"
    kind = "degree, radian or turn" if angle else unit
    raise InputError(f"{name}: came in {came}, but {kind} is wanted; check the unit.")


def scalar(value: Any) -> Any:
    """Return a lone NumPy value as Python's own number, so that a scalar in gives a scalar out; arrays are the
    caller's own, to be written into.
    """
    if not np.ndim(value):
        return np.asarray(value).item()
    return value if value.flags.writeable else value.copy()


def give(value: Any, unit: str) -> Any:
    """Put the unit back on a result."""
    return Quantity(scalar(value), unit)


def real(value: Any, unit: str, name: str) -> Any:
    """Like `magnitude`, for arguments that are real and finite."""
    result = magnitude(value, unit, name)
    if np.iscomplexobj(result) or not np.all(np.isfinite(result)):
        raise InputError(f"{name}: a real and finite value{_in(unit)} is wanted, not {shown(value)}.")
    return result


def positive(value: Any, unit: str, name: str) -> Any:
    """Like `real`, for arguments above zero."""
    result = real(value, unit, name)
    if np.any(result <= 0):
        raise InputError(f"{name}: {_worst(result, unit)} is not above zero; give a value above {f'0 {unit}'.strip()}.")
    return result


def not_negative(value: Any, unit: str, name: str) -> Any:
    """Like `real`, for arguments of zero or more."""
    result = real(value, unit, name)
    if np.any(result < 0):
        raise InputError(f"{name}: {_worst(result, unit)} is negative; give {f'0 {unit}'.strip()} or more.")
    return result


def _worst(result: Any, unit: str) -> str:
    return f"{float(np.min(result)):g} {unit}".strip()


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def fitting(*values: Any) -> None:
    """Check that arrays go together, before NumPy says it in its own words."""
    shapes = [np.shape(value) for value in values]
    try:
        np.broadcast_shapes(*shapes)
    except ValueError:
        listed = " and ".join(str(shape) for shape in shapes if shape)
        raise InputError(f"arrays of the shapes {listed} do not fit each other; give them equal shapes.") from None


def fraction(value: Any, name: str = "velocity_factor") -> Any:
    """Check a velocity factor: a plain number (or array) above 0 and not above 1."""
    plain = None if isinstance(value, (Quantity, bool)) else np.asarray(value)
    if plain is None or plain.dtype.kind not in "iuf" or np.ma.is_masked(value):
        raise InputError(f"{name}: {shown(value)} is not a plain number; write it like 0.66.")
    result = plain.astype(float)[()]
    outside = ~((np.asarray(result) > 0) & (np.asarray(result) <= 1))
    if np.any(outside):
        worst = float(np.atleast_1d(result)[np.atleast_1d(outside)][0])
        per_cent = f"; {worst:g} looks like per cent, write {worst / 100:g}" if 5 <= worst <= 100 else ""
        raise InputError(f"{name}: {worst:g} is outside 0 to 1 (light in vacuum is 1){per_cent}.")
    return result


def one_of(value: str, allowed: Iterable[str], name: str) -> str:
    """Check a word against the few that are understood; the nearest is offered."""
    allowed = tuple(allowed)
    if isinstance(value, str) and value in allowed:
        return value
    raise InputError(f"{name}: {shown(value)} is not known{nearest(value, allowed)}")


def nearest(word: Any, known: Iterable[str], count: int = 3) -> str:
    """Return the end of a sentence that offers the nearest of the known words, or all of a few."""
    known = tuple(known)
    # names are small letters; a word of any other kind, or a whole page, is near to none
    plain = word.lower() if isinstance(word, str) and len(word) <= 80 else ""
    near = difflib.get_close_matches(plain, known, n=count, cutoff=0.4)
    if near:
        return f"; did you mean {' or '.join(near)}?"
    few = known if len(known) <= 6 else (*known[:4], f"{len(known) - 4} more")
    return f"; known are {', '.join(few)}."


def feet_inches(length: Any) -> Any:
    """Write a length for a tape in feet, inches and sixteenths, halves of a sixteenth rounded up.

    Parameters
    ----------
    length
        Length quantity, zero or more; an array gives an array of texts.

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
        raise InputError("length: is longer than any tape; check its unit.")
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


def signed_lengths(metres: float) -> str:
    """Write a plain length [m] that may be negative both ways, the sign before each; never a minus nought.

    Examples
    --------
    >>> signed_lengths(-16.2635)
    '-16.263 m (-53 ft 4 5/16 in)'
    """
    sign = "-" if round(metres, 3) < 0 else ""
    return f"{sign}{abs(metres):.3f} m ({sign}{_tape(abs(metres))})"


def both_lengths(metres: float) -> str:
    """Write a plain length [m] both ways: metres to the millimetre, then feet, inches and sixteenths.

    Examples
    --------
    >>> both_lengths(26.911)
    '26.911 m (88 ft 3 1/2 in)'
    """
    return f"{metres:.3f} m ({_tape(metres)})"
