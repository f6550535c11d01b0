"""Checks of arguments: units come off, plain numbers come out, and what cannot be used is refused in words."""

import contextlib
import difflib
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np

from workbook.errors import InputError, shown
from workbook.units import Quantity, kind_of, parsed_unit, quantity

T = TypeVar("T")
LARGEST = 1e60
"""Values beyond this, and those above zero that are below its inverse, are refused before a formula overflows."""
RANGES: Mapping[str, tuple[float, float, str]] = MappingProxyType(
    {"Hz": (1e-6, 1e12, "1 uHz to 1 THz"), "m": (1e-9, 1e9, "1 nm to a million km")}
)
"""Least value above zero and greatest size, by unit, beyond which nothing is built and formulas fail."""


def magnitude(value: Any, unit: str, name: str) -> Any:
    """Take the unit off one argument: the plain number (or array) in `unit`, after checking what kind of thing came.

    Raises
    ------
    InputError
        On a bare number, a quantity of another dimension or registry, or a value that is not a number.
    """
    if isinstance(value, str):
        value = _read(value, name)
    if not isinstance(value, Quantity):
        foreign = hasattr(value, "magnitude") and hasattr(value, "units")
        came = "a quantity of another unit registry" if foreign else f"the bare value {shown(value)}"
        raise InputError(
            f"got {came}", where=name, wanted=f"a quantity in {unit}", remedy=f"write wb.Quantity(value, '{unit}')"
        )
    _check_kind(value, unit, name)
    if np.ma.is_masked(value.magnitude):
        raise InputError("some values are masked", where=name, remedy="leave them out, or give every one")
    result = np.asarray(value.magnitude)
    if result.dtype.kind not in "buifc":
        raise InputError(f"{shown(value)} is not numeric", where=name, remedy="give plain numbers with their unit")
    # an integer or a list would divide and broadcast differently from a float
    with np.errstate(over="ignore"):
        result = np.asarray(value.m_as(parsed_unit(unit)))
        result = (result.astype(float) if result.dtype.kind in "iub" else result)[()]
        size = np.abs(result)
    if np.any(np.isnan(result) & ~np.isinf(result)):
        raise InputError("not a number", where=name, remedy=f"give a finite value{_in(unit)}")
    if ((size > LARGEST) & (size < np.inf)).any():
        raise InputError(f"got {shown(value)}", where=name, wanted=f"a size up to {LARGEST:g}{_in(unit)}")
    return result


def _read(text: str, name: str) -> Any:
    try:
        return quantity(text)
    except InputError as error:
        raise error.within(name) from None


def _check_kind(value: Any, unit: str, name: str) -> None:
    wanted = parsed_unit(unit)
    # an angle must come as one, and per second only cycles are a frequency: others differ by two pi, or mean nothing
    if kind_of(value.units) == kind_of(wanted):
        return
    came = f"{value.units:~P}" or "no unit"
    kind = "degree, radian or turn" if kind_of(wanted) == kind_of(parsed_unit("radian")) else unit
    raise InputError(f"came in {came}", where=name, wanted=kind, remedy="check the unit")


def real(value: Any, unit: str, name: str) -> Any:
    """Like `magnitude`, for arguments that are real and finite."""
    result = magnitude(value, unit, name)
    if np.iscomplexobj(result) or not np.all(np.isfinite(result)):
        raise InputError(f"got {shown(value)}", where=name, wanted=f"a real and finite value{_in(unit)}")
    if unit in RANGES and np.any(np.abs(result) > RANGES[unit][1]):
        raise _out_of_range(result, unit, name)
    return result


def _out_of_range(result: Any, unit: str, name: str) -> InputError:
    """Return the refusal of values of which some lie outside the range of their unit."""
    least, most, text = RANGES[unit]
    size = np.abs(np.ravel(result))
    worst = np.ravel(result)[(size > most) | (size < least)][0]
    return InputError(f"got {worst:g} {unit}", where=name, wanted=f"a size from {text}", remedy="check its unit")


def positive(value: Any, unit: str, name: str) -> Any:
    """Like `real`, for arguments above zero."""
    result = real(value, unit, name)
    if np.any(result <= 0):
        raise InputError(
            f"{_least(result, unit)} is not above zero", where=name, remedy=f"give a value above {f'0 {unit}'.strip()}"
        )
    if unit in RANGES and np.any(result < RANGES[unit][0]):
        raise _out_of_range(result, unit, name)
    if np.any(result < 1 / LARGEST):
        raise InputError(f"got {shown(value)}", where=name, wanted=f"a size from {1 / LARGEST:g}{_in(unit)}")
    return result


def not_negative(value: Any, unit: str, name: str) -> Any:
    """Like `real`, for arguments of zero or more."""
    result = real(value, unit, name)
    if np.any(result < 0):
        raise InputError(
            f"{_least(result, unit)} is negative", where=name, remedy=f"give {f'0 {unit}'.strip()} or more"
        )
    return result


def between(value: Any, unit: str, name: str, least: float, most: float) -> Any:
    """Like `real`, for arguments of some unit from `least` to `most`, both included."""
    result = real(value, unit, name)
    if np.any((result < least) | (result > most)):
        worst = np.asarray(result)[(np.asarray(result) < least) | (np.asarray(result) > most)].flat[0]
        wanted = f"a value from {least:g} to {most:g} {unit}".strip()
        raise InputError(f"got {worst:g} {unit}".strip(), where=name, wanted=wanted, remedy="check its unit")
    return result


def _least(result: Any, unit: str) -> str:
    return f"{float(np.min(result)):g} {unit}".strip()


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def check_broadcast(*values: Any) -> None:
    """Refuse arrays that do not broadcast together, before NumPy says it in its own words."""
    shapes = [np.shape(value) for value in values]
    try:
        np.broadcast_shapes(*shapes)
    except ValueError:
        listed = " and ".join(str(shape) for shape in shapes if shape)
        raise InputError(
            f"arrays of the shapes {listed} do not broadcast together", remedy="give them equal shapes"
        ) from None


def plain_array(value: Any, name: str, remedy: str) -> Any:
    """Return a plain real number or array of them as floats; a quantity, text, True or masked values are refused."""
    try:
        plain = None if isinstance(value, (Quantity, bool)) or np.ma.is_masked(value) else np.asarray(value)
    except ValueError:  # rows of unequal length
        plain = None
    if plain is None or plain.dtype.kind not in "iuf":
        raise InputError(f"{shown(value)} is not a plain number", where=name, remedy=remedy)
    return plain.astype(float)[()]


def check_velocity_factor(value: Any, name: str = "velocity_factor") -> Any:
    """Check a velocity factor: a plain number (or array) above 0 and not above 1."""
    result = plain_array(value, name, "write it like 0.66")
    # nothing is slower than a thousandth of light, and a quotient by less would overflow
    outside = ~((np.asarray(result) >= 1e-3) & (np.asarray(result) <= 1))
    if np.any(outside):
        worst = float(np.atleast_1d(result)[np.atleast_1d(outside)][0])
        per_cent = f"{worst:g} looks like per cent, write {worst / 100:g}" if 5 <= worst <= 100 else ""
        raise InputError(f"{worst:g} is outside 0 to 1 (light in vacuum is 1)", where=name, remedy=per_cent)
    return result


def single(value: Any, name: str) -> Any:
    """Return the only value of a plain number or array as Python's own number; several values are refused."""
    if np.ndim(value):
        raise InputError(f"got {np.size(value)} values", where=name, wanted="one value", remedy="call once for each")
    return np.asarray(value).item()


def whole_number(value: Any, name: str, least: int, most: int) -> int:
    """Return an integer between two ends, both included; True and 3.0 are refused."""
    if isinstance(value, (bool, np.bool_)) or not isinstance(value, (int, np.integer)) or not least <= value <= most:
        raise InputError(f"got {shown(value)}", where=name, wanted=f"a whole number from {least} to {most}")
    return int(value)


def plain_number(value: Any, name: str, least: float, most: float, example: str = "") -> float:
    """Return a plain real number between two ends, both included; a quantity, text or True is refused."""
    numeric = isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)
    if not numeric or not least <= value <= most:
        remedy = f"write it like {example}" if example else ""
        wanted = f"a plain number from {least:g} to {most:g}"
        raise InputError(f"got {shown(value)}", where=name, wanted=wanted, remedy=remedy)
    return float(value)


def probability(value: Any, name: str) -> float:
    """Return a probability between 0 and 1, both excluded; per cent are refused."""
    plain = plain_number(value, name, 0.0, 100.0, "0.95")
    if not 0 < plain < 1:
        per_cent = f"{plain:g} looks like per cent, write {plain / 100:g}" if plain > 1 else "write it like 0.95"
        raise InputError(f"{plain:g} is not between 0 and 1", where=name, remedy=per_cent)
    return plain


def flag(value: Any, name: str) -> bool:
    """Return True or False, refusing what only counts as one."""
    if not isinstance(value, (bool, np.bool_)):
        raise InputError(f"got {shown(value)}", where=name, wanted="True or False")
    return bool(value)


def instance(value: Any, kind: type[T], name: str, remedy: str) -> T:
    """Return an argument that must be an object of one class, such as a `Cable`.

    `remedy` says how to make one.
    """
    if not isinstance(value, kind):
        raise InputError(f"got {shown(value)}", where=name, wanted=f"a {kind.__name__}", remedy=remedy)
    return value


def file_path(value: Any, name: str, example: str = "meadow.toml") -> Path:
    """Return the path of a file or folder, which need not exist; text that no file system takes is refused."""
    if isinstance(value, (str, Path)):
        try:
            if "\0" not in str(value) and os.fsencode(value):
                return Path(value)
        except UnicodeEncodeError:
            pass
    raise InputError(f"got {shown(value)}", where=name, wanted="a file name", remedy=f"write it like '{example}'")


def listed(values: Any, name: str, remedy: str) -> list[Any]:
    """Return the entries of a list or another sequence; text, a mapping, a quantity or a lone value is refused.

    `remedy` says what to write.
    """
    if not isinstance(values, (str, bytes, bytearray, Mapping, Quantity)):
        with contextlib.suppress(TypeError):
            return list(values)
    raise InputError(f"got {shown(values)}", where=name, wanted="a list", remedy=remedy)


def one_of(value: Any, allowed: Iterable[str], name: str) -> str:
    """Check a word against the few that are understood; the nearest is offered."""
    allowed = tuple(allowed)
    if isinstance(value, str) and value in allowed:
        return value
    raise InputError(f"{shown(value)} is not known", where=name, remedy=nearest(value, allowed))


def nearest(word: Any, known: Iterable[str], count: int = 3) -> str:
    """Return a remedy that offers the nearest of the known words, or all of a few."""
    known = tuple(known)
    # names are small letters; a word of any other kind, or a whole page, is near to none
    plain = word.lower() if isinstance(word, str) and len(word) <= 80 else ""
    near = difflib.get_close_matches(plain, known, n=count, cutoff=0.4)
    if near:
        return f"did you mean {' or '.join(near)}?"
    few = known if len(known) <= 6 else (*known[:4], f"{len(known) - 4} more")
    return f"known are {', '.join(few)}"
