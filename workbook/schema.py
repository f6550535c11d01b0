"""Checking a TOML file: unknown and missing keys, units and ranges; all faults of a file in one refusal."""

import difflib
import functools
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Self, TypeVar, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ModelWrapValidatorHandler,
    ValidationError,
    model_validator,
)
from pydantic.fields import FieldInfo

from workbook import checks, units
from workbook.errors import InputError, shown
from workbook.files import read_bounded

LARGEST = 1_000_000
"""Size in bytes above which a design or cable file is not read."""

MOST_LISTED = 8
"""So many keys of a table are listed in a refusal."""

_WANTED = {"list_type": "a list in square brackets", "string_type": "text in quotes", "bool_type": "true or false"}


class Strict(BaseModel):
    """A table of a file: unknown keys are refused with the nearest known one, missing ones with an example.

    A validator of a subclass raises `InputError` whose `where` is the key, relative to its table.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, validate_default=True)

    @model_validator(mode="wrap")
    @classmethod
    def _refuse_in_words(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        if not isinstance(data, (Mapping, BaseModel)):
            names = list(cls.model_fields)
            keys = ", ".join(names[:MOST_LISTED]) + (" and others" if len(names) > MOST_LISTED else "")
            raise InputError(f"got {shown(data)}", wanted=f"a table with the keys {keys}")
        try:
            return handler(data)
        except ValidationError as error:
            raise InputError.together(_faults(cls, error.errors(include_url=False), data)) from None


Model = TypeVar("Model", bound=Strict)


def checked(model: type[Model], data: Mapping[str, Any], file: str) -> Model:
    """Return a file's contents as the validated model; files that it names lie beside `file`.

    Raises
    ------
    InputError
        With every fault of the file in the order of the file, each naming file, key and remedy.
    """
    try:
        return model.model_validate(data, context={"folder": Path(file).parent})
    except ValidationError as error:
        faults = _faults(model, error.errors(include_url=False), data)
        raise InputError.together(faults).within(file) from None


def read_toml(path: Path) -> tuple[bytes, dict[str, Any]]:
    """Return a TOML file's bytes and its contents.

    Raises
    ------
    InputError
        When the file is missing, too large, not text, or not TOML; says where.
    """
    raw = read_bounded(path, LARGEST, "a design or cable file")
    try:
        # editors on some systems put a byte order mark first, which says nothing
        return raw, tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError("is not UTF-8 text", where=str(path), remedy="save it as UTF-8") from None
    except (ValueError, RecursionError) as error:
        what = "is nested too deeply" if isinstance(error, RecursionError) else " ".join(str(error)[:120].split())
        remedy = "correct that place (text in straight quotes, each key once)"
        raise InputError(f"is not valid TOML: {what}", where=str(path), remedy=remedy) from None


# --- refusals ---------------------------------------------------------------------------------------------


def _faults(model: type[Strict], found: list[Any], data: Any) -> Iterator[InputError]:
    """Yield a refusal for each of pydantic's findings on one table, in the order of the file.

    The tables inside have put their own in words already.
    """
    missing = [each["loc"][0] for each in found if each["type"] == "missing"]
    misspelt = {
        near
        for each in found
        if each["type"] == "extra_forbidden"
        for near in difflib.get_close_matches(str(each["loc"][0]), missing, n=1)
    }
    for each in sorted(found, key=lambda each: _order(each["loc"], data)):
        if each["type"] != "missing":
            yield from _fault(model, each, data)
        # a misspelt key is one fault, not an unknown and a missing one
        elif each["loc"][0] not in misspelt:
            yield _missing(model, str(each["loc"][0]))


def _fault(model: type[Strict], found: Any, data: Any) -> Iterator[InputError]:
    place, kind, came = _place(found["loc"], data), found["type"], found["input"]
    if kind == "value_error":
        yield from _placed(found["ctx"]["error"], place, in_table=isinstance(came, (Mapping, BaseModel)))
    elif kind == "extra_forbidden":
        key = found["loc"][-1]
        yield InputError(f"unknown key {shown(key)}", remedy=checks.nearest(key, model.model_fields))
    elif kind.startswith("union_tag") and isinstance(came, Mapping):
        yield _unknown_kind(model, str(found["loc"][0]), came)
    elif kind == "literal_error":
        yield InputError(f"got {shown(came)}", where=place, wanted=found["ctx"]["expected"])
    else:
        wanted = _WANTED.get(kind, "a table of keys")
        remedy = f"tables in a list begin with [[{place}]]" if kind == "list_type" else ""
        yield InputError(f"got {shown(came)}", where=place, wanted=wanted, remedy=remedy)


def _missing(model: type[Strict], key: str) -> InputError:
    examples = model.model_fields[key].examples
    return InputError(f"the key {key} is missing", remedy=f"write {key} = {examples[0]}" if examples else "add it")


def _placed(error: ValueError, place: str, in_table: bool) -> Iterator[InputError]:
    """Yield the single refusals of a validator with the place put first.

    That of a table names the key in it; that of a value names its argument `value`, which says nothing in a file, or
    another file that the value names.
    """
    for fault in error.faults if isinstance(error, InputError) else (InputError(str(error)),):
        where = fault.where
        if in_table and where:
            yield fault.at(f"{place}.{where[0]}" if place else where[0], *where[1:])
        else:
            yield fault.at(*filter(None, (place, *where[where[:1] == ("value",) :])))


def _unknown_kind(model: type[Strict], key: str, table: Mapping[str, Any]) -> InputError:
    field = model.model_fields[key]
    tag = field.discriminator if isinstance(field.discriminator, str) else "kind"
    members = (get_args(member)[0] if get_args(member) else member for member in get_args(field.annotation))
    kinds = [get_args(member.model_fields[tag].annotation)[0] for member in members]
    if tag not in table:
        listed = " or ".join(f'"{kind}"' for kind in kinds)
        return InputError(f"the key {tag} is missing", where=key, remedy=f"write {tag} = {listed}")
    came = table[tag]
    return InputError(f"{shown(came)} is not known", where=f"{key}.{tag}", remedy=checks.nearest(came, kinds))


def _place(steps: tuple[int | str, ...], data: Any) -> str:
    """Return where a finding is, such as array.diameter or directions[2].azimuth."""
    place = ""
    for step in steps:
        if step == "[key]" or (isinstance(step, str) and isinstance(data, Mapping) and step not in data):
            continue  # the tag of one kind among several, or pydantic's word for a key itself
        place += f"[{step + 1}]" if isinstance(step, int) else f".{step}"
        data = _inside(data, step)
    return place.lstrip(".")


def _order(steps: tuple[int | str, ...], data: Any) -> tuple[int, ...]:
    """Return the rank of a place in its file; a missing key comes behind the keys that are there."""
    ranks = []
    for step in steps:
        if isinstance(step, int):
            ranks.append(step)
        elif isinstance(data, Mapping):
            ranks.append(list(data).index(step) if step in data else len(data))
        data = _inside(data, step)
    return tuple(ranks)


def _inside(data: Any, step: int | str) -> Any:
    known = step in data if isinstance(data, Mapping) else isinstance(data, list) and step in range(len(data))
    return data[step] if known else None


# --- values -----------------------------------------------------------------------------------------------


KINDS = {"Hz": "a frequency", "m": "a length", "degree": "an angle", "s": "a time", "ohm": "an impedance"}
"""What is wanted, by its unit."""


def _reader(check: Callable[..., Any], unit: str, example: str, value: Any) -> Any:
    came = value
    if isinstance(value, str):
        value = units.quantity(value, _own_number(value, example))
    elif not isinstance(value, units.Quantity):  # as defaults are
        remedy = f'write it as text with its unit, such as "{_own_number(value, example)}"'
        raise InputError(f"{shown(value)} has no unit", remedy=remedy)
    if isinstance(came, str) and unit in KINDS and value.dimensionality != units.Quantity(1.0, unit).dimensionality:
        raise InputError(
            f"got {shown(came)}", wanted=f"{KINDS[unit]} in {unit}", remedy=f'check the unit, as in "{example}"'
        )
    check(value, unit, "value")
    return value


def _own_number(value: Any, example: str) -> str:
    """Return the example of a quantity with the number that was written, where that is one."""
    text = str(value).strip()
    bare = re.fullmatch(r"[-+]?\d{1,6}(\.\d{1,6})?", text)
    if not bare or isinstance(value, bool):
        return example
    unit = example.partition(" ")[2]
    # band frequencies in MHz have one or two digits before the point, in kHz more
    return f"{text} {'kHz' if unit == 'MHz' and float(text) >= 100 else unit}"


def _declination(value: Any) -> Any:
    """Read an angle that maps print as 12 E or 3 W."""
    printed = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:deg|degrees|°)?\s*([EeWw])(?:ast|est)?\s*", str(value))
    if printed:
        side, sign = ("west", "-") if printed[2] in "Ww" else ("east", "")
        remedy = f'write "{sign}{printed[1]} deg" for {printed[1]} degrees {side}'
        raise InputError(f"got {shown(value)}", wanted="an angle, positive east,", remedy=remedy)
    return _reader(checks.real, "degree", "-3 deg", value)


def _field(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(functools.partial(_reader, check, unit, example))


def example_of(field: FieldInfo) -> str:
    """Return how the value of a key is written, nothing where neither the key nor its type says."""
    if field.examples:
        return str(field.examples[0])
    for part in (*field.metadata, *(part for arg in get_args(field.annotation) for part in get_args(arg)[1:])):
        call = part.func if isinstance(part, BeforeValidator) else None
        if isinstance(call, functools.partial):
            quoted = call.func is _reader
            example = call.args[-1] if quoted else call.keywords["example"]
            return f'"{example}"' if quoted else str(example)
    return ""


def _velocity_factor(value: Any) -> float:
    return float(checks.single(checks.check_velocity_factor(value, "value"), "value"))


def number(least: float, most: float, example: str) -> BeforeValidator:
    """Return the check of a plain number between two ends, both included."""
    check = functools.partial(checks.plain_number, name="value", least=least, most=most, example=example)
    return BeforeValidator(check)


def _boolean(value: Any) -> bool:
    if not isinstance(value, bool):
        raise InputError(f"got {shown(value)}", wanted="true or false, without quotes,")
    return value


def _or_off(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(lambda value: value if value == "off" else _reader(check, unit, example, value))


def _length_or_delay(value: Any) -> Any:
    """Read how long a line is, in length of cable or in time."""
    timed = isinstance(value, str) and units.quantity(value, "9.94 m").check("[time]")
    return _reader(checks.positive, "s" if timed else "m", "9.94 m", value)


def _resistance(value: Any) -> Any:
    """Read an impedance, of which only resistances are supported."""
    if isinstance(value, str) and re.search(r"\d ?[ij]\b|\b[ij] ?\d", value):
        problem = f"{shown(value)} has reactance, and only a resistance is understood here"
        raise InputError(problem, remedy='write it like "75 ohm"')
    return _reader(checks.positive, "ohm", "75 ohm", value)


def _position(value: Any) -> Any:
    """Read east and north of a point on the ground."""
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise InputError(f"got {shown(value)}", wanted="east and north", remedy='write them like ["3 m", "-4 m"]')
    return tuple(_reader(checks.real, "m", "-3 m", part) for part in value)


Length = Annotated[Any, _field(checks.positive, "m", "42 m")]
NonNegativeLength = Annotated[Any, _field(checks.not_negative, "m", "1 m")]
Frequency = Annotated[Any, _field(checks.positive, "Hz", "1.83 MHz")]
Angle = Annotated[Any, _field(checks.real, "degree", "45 deg")]
Tolerance = Annotated[Any, _field(checks.real, "degree", "1 deg")]
Elevation = Annotated[Any, _field(checks.real, "degree", "20 deg")]
Declination = Annotated[Any, BeforeValidator(_declination)]
Delay = Annotated[Any, _field(checks.not_negative, "s", "0.11 ns")]
Impedance = Annotated[Any, BeforeValidator(_resistance)]
Resistance = Annotated[Any, _field(checks.positive, "ohm/m", "6.39 ohm/1000 ft")]
Capacitance = Annotated[Any, _field(checks.positive, "F/m", "16.2 pF/ft")]
Conductivity = Annotated[Any, _field(checks.positive, "S/m", "58 MS/m")]
NonNegativeConductivity = Annotated[Any, _field(checks.not_negative, "S/m", "5 mS/m")]
Height = Annotated[Any, _field(checks.real, "m", "120 m")]
Gain = Annotated[Any, _field(checks.real, "dB", "-8 dB")]
Loss = Annotated[Any, _field(checks.real, "dB", "1 dB")]
LossPerLength = Annotated[Any, _field(checks.positive, "dB/m", "0.58 dB/100 ft")]
NonNegativeLoss = Annotated[Any, _field(checks.not_negative, "dB/m", "0.02 dB/100 ft")]
Mass = Annotated[Any, _field(checks.positive, "kg/m", "41 kg/km")]
Inductance = Annotated[Any, _field(checks.not_negative, "H", "200 uH")]
StrayCapacitance = Annotated[Any, _field(checks.not_negative, "F", "15 pF")]
Voltage = Annotated[Any, _field(checks.positive, "V", "13.8 V")]
NoiseVoltage = Annotated[Any, _field(checks.not_negative, "V", "5 nV")]
Current = Annotated[Any, _field(checks.not_negative, "A", "30 mA")]
NoiseCurrent = Annotated[Any, _field(checks.not_negative, "A", "10 fA")]
Power = Annotated[Any, _field(checks.positive, "W", "400 W")]
FieldStrength = Annotated[Any, _field(checks.positive, "V/m", "10 mV/m")]
NoiseFigure = Annotated[Any, _field(checks.not_negative, "dB", "12 dB")]
Duration = Annotated[Any, _field(checks.positive, "s", "10 s")]
Place = Annotated[Any, BeforeValidator(_position)]
DelayOrOff = Annotated[Any, _or_off(checks.real, "s", "38 ns")]
PhaseOrOff = Annotated[Any, _or_off(checks.real, "degree", "71 deg")]
LengthOrDelay = Annotated[Any, BeforeValidator(_length_or_delay)]
Boolean = Annotated[bool, BeforeValidator(_boolean)]
VelocityFactor = Annotated[float, BeforeValidator(_velocity_factor)]
Share = VelocityFactor
"""A plain number above 0 and not above 1."""
