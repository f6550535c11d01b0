"""Checking what stands in a TOML file: unknown and missing keys, units and ranges, each refused in one sentence."""

import functools
import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError, model_validator

from workbook import checks, units
from workbook.errors import InputError, shown


class Strict(BaseModel):
    """A table of a file: unknown keys are refused with the nearest known one, missing ones with an example."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, validate_default=True)

    @model_validator(mode="before")
    @classmethod
    def _keys(cls, data: Any) -> Any:
        if not isinstance(data, Mapping):
            raise ValueError(f"a table with the keys {', '.join(cls.model_fields)} is wanted, not {shown(data)}.")
        for key in data:
            if key not in cls.model_fields:
                raise ValueError(f"unknown key {shown(key)}; {checks.nearest(key, cls.model_fields)}")
        for name, field in cls.model_fields.items():
            if field.is_required() and name not in data:
                example = f"; write {name} = {field.examples[0]}." if field.examples else "; add it."
                raise ValueError(f"the key {name} is missing{example}")
        return data


Model = TypeVar("Model", bound=BaseModel)


def read_toml(path: Path) -> tuple[bytes, dict[str, Any]]:
    """Return a TOML file's bytes and its contents.

    Raises
    ------
    InputError
        When the file is missing, too large, no text, or not TOML; says where.
    """
    try:
        if path.exists() and not path.is_file():
            raise InputError(
                "cannot be read, since it is no file", where=str(path), remedy="name a design or cable file"
            )
        if path.stat().st_size > 1_000_000:
            raise InputError(
                "is larger than 1 MB, which no design or cable file is", where=str(path), remedy="check the name"
            )
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", where=str(path), remedy="check the name and the permissions"
        ) from None
    except InputError:
        raise
    except ValueError:
        raise InputError(f"{shown(str(path))} is no file name", remedy="check it") from None
    try:
        # editors on some systems put a byte order mark first, which says nothing
        return raw, tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError("is not UTF-8 text", where=str(path), remedy="save it as UTF-8") from None
    except (ValueError, RecursionError) as error:
        what = "is nested too deeply" if isinstance(error, RecursionError) else " ".join(str(error)[:120].split())
        raise InputError(
            f"is not valid TOML: {what}",
            where=str(path),
            remedy="mend that place (text in straight quotes, each key once)",
        ) from None


def checked(model: type[Model], data: Mapping[str, Any], file: str) -> Model:
    """Return the validated model, or raise one sentence naming file, key and remedy.

    Files that it names lie beside `file`.
    """
    try:
        return model.model_validate(data, context={"folder": Path(file).parent})
    except ValidationError as error:
        first = error.errors()[0]
        key = _key(first["loc"], data)
        text = first["msg"].removeprefix("Value error, ").removeprefix("value: ")
        if first["type"].startswith("union_tag"):
            key, text = f"{key}.kind", _unknown_kind(first)
        elif first["type"] != "value_error":
            text = _in_words(first, key)
        raise InputError(": ".join(part for part in (file, key, text) if part)) from None


def _unknown_kind(fault: Any) -> str:
    tags = (
        fault["ctx"].get("expected_tags", "'ring', 'square', 'row', 'two-row', 'custom'").replace("'", "").split(", ")
    )
    if not isinstance(fault["input"], Mapping) or "kind" not in fault["input"]:
        return f'the key kind is missing; write kind = "{tags[0]}", or {", ".join(tags[1:])}.'
    tag = fault["input"]["kind"]
    return f"{shown(tag)} is not known; {checks.nearest(tag, tags)}"


def _in_words(fault: Any, key: str) -> str:
    """Return pydantic's finding as a sentence of ours."""
    came, kind = shown(fault["input"]), fault["type"]
    wanted = {"list_type": f"a list in square brackets, or tables that begin with [[{key}]],", "string_type": "text"}
    wanted |= {"dict_type": "a table of keys", "model_type": "a table of keys"}
    if kind == "literal_error":
        return f"{came} is not among {fault['ctx']['expected']}; write one of them."
    return f"{wanted.get(kind, 'something else')} is wanted here, not {came}; mend it."


def _key(steps: tuple[int | str, ...], data: Any) -> str:
    """Return where it went wrong, such as array.diameter or directions[2].azimuth."""
    key = ""
    for step in steps:
        if step == "[key]" or (isinstance(step, str) and isinstance(data, Mapping) and step not in data):
            continue  # the tag of one kind among several, or pydantic's word for a key itself
        key += f"[{step + 1}]" if isinstance(step, int) else f".{step}"
        known = step in data if isinstance(data, Mapping) else isinstance(data, list) and step in range(len(data))
        data = data[step] if known else None
    return key.lstrip(".")


def _reader(check: Callable[..., Any], unit: str, example: str, value: Any) -> Any:
    # defaults are quantities already
    if isinstance(value, units.Quantity):
        return units.Quantity(check(value, unit, "value"), unit)
    if not isinstance(value, str):
        raise InputError(f"{shown(value)} has no unit", remedy=f'write it as text with its unit, such as "{example}"')
    read = units.quantity(value, example)
    check(read, unit, "value")
    return read


def _field(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(functools.partial(_reader, check, unit, example))


def _plain_fraction(value: Any) -> float:
    """Read a velocity factor or share: one plain number above 0 and not above 1."""
    if isinstance(value, (list, tuple)):
        raise InputError(f"{shown(value)} is not one plain number", remedy="write it like 0.66")
    return float(checks.check_velocity_factor(value, "value"))


def _number(least: float, most: float, example: str, value: Any) -> float:
    plain = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not plain or not least <= value <= most:
        raise InputError(f"{shown(value)} is no number from {least:g} to {most:g}", remedy=f"write it like {example}")
    return float(value)


def number(least: float, most: float, example: str) -> BeforeValidator:
    """Return the check of a plain number between two ends."""
    return BeforeValidator(functools.partial(_number, least, most, example))


def _truth(value: Any) -> Any:
    if not isinstance(value, bool):
        raise InputError(f"{shown(value)} is neither true nor false", remedy="write true or false without quotes")
    return value


def _unless_off(check: Callable[..., Any], unit: str, example: str, value: Any) -> Any:
    return value if value == "off" else _reader(check, unit, example, value)


def _or_off(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(functools.partial(_unless_off, check, unit, example))


def _resistive(value: Any) -> Any:
    """Read an impedance, of which only resistances are understood."""
    if isinstance(value, str) and re.search(r"\d ?[ij]\b|\b[ij] ?\d", value):
        raise InputError(
            f"{shown(value)} has reactance, but only a resistance is understood here", remedy='write it like "75 ohm"'
        )
    return _reader(checks.positive, "ohm", "75 ohm", value)


Length = Annotated[Any, _field(checks.positive, "m", "42 m")]
NonNegativeLength = Annotated[Any, _field(checks.not_negative, "m", "1 m")]
Frequency = Annotated[Any, _field(checks.positive, "Hz", "1.83 MHz")]
Angle = Annotated[Any, _field(checks.real, "degree", "45 deg")]
Delay = Annotated[Any, _field(checks.not_negative, "s", "0.11 ns")]
Impedance = Annotated[Any, BeforeValidator(_resistive)]
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


def _place(value: Any) -> Any:
    """Read a place on the ground: east and north."""
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise InputError(f"{shown(value)} is no place", remedy='write east and north, such as ["3 m", "-4 m"]')
    return tuple(_reader(checks.real, "m", "-3 m", part) for part in value)


Place = Annotated[Any, BeforeValidator(_place)]
DelayOrOff = Annotated[Any, _or_off(checks.real, "s", "38 ns")]
PhaseOrOff = Annotated[Any, _or_off(checks.real, "degree", "71 deg")]
Truth = Annotated[bool, BeforeValidator(_truth)]
Fraction = Annotated[float, BeforeValidator(_plain_fraction)]
