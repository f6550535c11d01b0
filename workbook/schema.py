"""Checking what stands in a TOML file: unknown and missing keys, units and ranges, each refused in one sentence."""

import functools
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError, model_validator

from workbook import units
from workbook.errors import InputError


class Strict(BaseModel):
    """A table of a file: unknown keys are refused with the nearest known one, missing ones with an example."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, validate_default=True)

    @model_validator(mode="before")
    @classmethod
    def _keys(cls, data: Any) -> Any:
        if not isinstance(data, Mapping):
            raise ValueError(f"a table with the keys {', '.join(cls.model_fields)} is wanted, not {data!r}.")
        for key in data:
            if key not in cls.model_fields:
                raise ValueError(f"unknown key {key!r}{units.nearest(str(key), cls.model_fields)}")
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
        if path.stat().st_size > 1_000_000:
            raise InputError(f"{path}: is larger than 1 MB, which no design or cable file is; check the name.")
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}); check the name and the permissions.") from None
    try:
        return raw, tomllib.loads(raw.decode("utf-8"))
    except UnicodeDecodeError:
        raise InputError(f"{path}: is not UTF-8 text; save it as UTF-8.") from None
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{path}: is not valid TOML: {error}; mend that place.") from None


def checked(model: type[Model], data: Mapping[str, Any], file: str) -> Model:
    """Return the validated model, or raise one sentence naming file, key and remedy."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        key = _key(first["loc"], data)
        text = first["msg"].removeprefix("Value error, ").removeprefix("value: ")
        if first["type"] != "value_error":
            text = f"{text[:1].lower()}{text[1:]}, not {first['input']!r}."
        raise InputError(": ".join(part for part in (file, key, text) if part)) from None


def _key(steps: tuple[int | str, ...], data: Any) -> str:
    """Return where it went wrong, such as array.diameter or directions[2].azimuth."""
    key = ""
    for step in steps:
        if isinstance(step, str) and isinstance(data, Mapping) and step not in data:
            continue  # the tag of one kind among several, which is no key of the file
        key += f"[{step + 1}]" if isinstance(step, int) else f".{step}"
        inside = isinstance(data, Mapping) or (isinstance(data, list) and isinstance(step, int))
        data = data[step] if inside else None
    return key.lstrip(".")


def _reader(check: Callable[..., Any], unit: str, example: str, value: Any) -> Any:
    # a value that has been read already comes again when a design is changed in memory
    if isinstance(value, units.Quantity):
        return units.Quantity(check(value, unit, "value"), unit)
    if not isinstance(value, str):
        raise InputError(f'{value!r} is wanted as text with its unit, such as "{example}".')
    read = units.quantity(value)
    check(read, unit, "value")
    return read


def _field(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(functools.partial(_reader, check, unit, example))


def _plain_fraction(value: Any) -> float:
    return float(units.fraction(value, "value"))


def _unless_off(check: Callable[..., Any], unit: str, example: str, value: Any) -> Any:
    return value if value == "off" else _reader(check, unit, example, value)


def _or_off(check: Callable[..., Any], unit: str, example: str) -> BeforeValidator:
    return BeforeValidator(functools.partial(_unless_off, check, unit, example))


Length = Annotated[Any, _field(units.positive, "m", "42 m")]
LengthOrNone = Annotated[Any, _field(units.not_negative, "m", "1 m")]
Place = Annotated[Any, _field(units.real, "m", "-3 m")]
Frequency = Annotated[Any, _field(units.positive, "Hz", "1.83 MHz")]
Angle = Annotated[Any, _field(units.real, "degree", "45 deg")]
Delay = Annotated[Any, _field(units.not_negative, "s", "0.11 ns")]
Impedance = Annotated[Any, _field(units.positive, "ohm", "75 ohm")]
Resistance = Annotated[Any, _field(units.positive, "ohm/m", "6.39 ohm/1000 ft")]
Capacitance = Annotated[Any, _field(units.positive, "F/m", "16.2 pF/ft")]
Conductivity = Annotated[Any, _field(units.positive, "S/m", "58 MS/m")]
LossPerLength = Annotated[Any, _field(units.positive, "dB/m", "0.58 dB/100 ft")]
LossOrNone = Annotated[Any, _field(units.not_negative, "dB/m", "0.02 dB/100 ft")]
Mass = Annotated[Any, _field(units.positive, "kg/m", "41 kg/km")]
DelayOrOff = Annotated[Any, _or_off(units.real, "s", "38 ns")]
PhaseOrOff = Annotated[Any, _or_off(units.real, "degree", "71 deg")]
Fraction = Annotated[float, BeforeValidator(_plain_fraction)]
