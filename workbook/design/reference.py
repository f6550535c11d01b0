"""The reference of the design file, from its schema: tables and keys, how each is written, its default and meaning."""

import ast
import inspect
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from workbook.checks import nearest
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.schema import Strict, example_of
from workbook.units import Quantity

TOP = "top level"
"""What the keys outside every table are listed under."""


@dataclass(frozen=True)
class Key:
    """A key: its name, whether it must be written, what else is said of how it is written, and what it means."""

    name: str
    required: bool
    written: str
    meaning: str


@dataclass(frozen=True)
class KeyTable:
    """A table of the file, or what one kind of it has beside the keys of all kinds: path, condition, meaning, keys."""

    path: str
    condition: str
    meaning: str
    keys: tuple[Key, ...]

    def text(self, width: int = 80) -> str:
        """Return the table for a terminal, wrapped to a width."""
        title = f"[{self.path}]" if self.path != TOP else TOP
        head = " ".join(filter(None, (title, self.condition)))
        return "\n".join((*textwrap.wrap(f"{head}: {self.meaning}", width), *self._lines(width)))

    def _lines(self, width: int) -> Iterator[str]:
        for key in self.keys:
            yield from textwrap.wrap(f"{key.name}: {key.written}", width, initial_indent="  ", subsequent_indent="    ")
            yield from textwrap.wrap(key.meaning, width, initial_indent="    ", subsequent_indent="    ")


def key_tables(table: str | None = None) -> tuple[KeyTable, ...]:
    """Return the reference, whole or of one table.

    Parameters
    ----------
    table
        A table's name, such as ``"array"``; without it all.

    Returns
    -------
    tuple of KeyTable
        In the order of the schema, the tables inside a table behind it.

    Raises
    ------
    InputError
        When there is no such table; names the nearest.

    Examples
    --------
    >>> [key.name for key in key_tables("cutting")[0].keys]
    ['trim', 'accept', 'kerf', 'one_reel', 'time_limit']
    """
    tables = (
        KeyTable(TOP, "", "the design as a whole", tuple(_keys(DesignFile, _plain(DesignFile)))),
        *_inside(DesignFile),
    )
    if table is None:
        return tables
    wanted = table.strip("[] ")
    found = tuple(one for one in tables if one.path == wanted or one.path.startswith(f"{wanted}."))
    if not found:
        known = list(dict.fromkeys(one.path.partition(".")[0] for one in tables))
        raise InputError(f"the design file has no table {wanted!r}", remedy=nearest(wanted, known))
    return found


def _inside(model: type[Strict], path: str = "") -> Iterator[KeyTable]:
    """Yield the tables of a table."""
    for name, field in model.model_fields.items():
        kinds, place = _models(field.annotation), f"{path}{name}"
        meaning = _meanings(model).get(name, "").rstrip(".")
        if kinds:
            yield from _table(place, meaning, field, kinds)
        elif place == "bands":
            yield KeyTable(
                place, "", meaning, (Key('"160 m"', True, 'required, such as "1.83 MHz"', "Name and frequency."),)
            )


def _table(path: str, meaning: str, field: FieldInfo, kinds: list[type[Strict]]) -> Iterator[KeyTable]:
    """Yield a table: the keys that all its kinds have, then what each kind adds, then the tables in it."""
    first, tag = kinds[0], _tag(kinds)
    common = [name for name in _plain(first) if all(name in kind.model_fields for kind in kinds)]
    if get_origin(field.annotation) is dict:
        path = f"{path}.NAME"
    keys = [_kind_key(kinds, tag) if name == tag else _key(first, name) for name in common]
    if keys:
        yield KeyTable(path, "", meaning, tuple(keys))
    for kind in kinds if len(kinds) > 1 else ():
        own = [name for name in _plain(kind) if name not in common]
        if own:
            yield KeyTable(path, f'with {tag} = "{_literal(kind, tag)}"', _about(kind), tuple(_keys(kind, own)))
    if len(kinds) == 1:
        yield from _inside(first, f"{path}.")


def _kind_key(kinds: list[type[Strict]], tag: str) -> Key:
    """Return the key that names the kind, with what each kind is."""
    quoted, default = [f'"{_literal(kind, tag)}"' for kind in kinds], kinds[0].model_fields[tag].default
    written = f"{', '.join(quoted[:-1])} or {quoted[-1]}" + (
        f'; "{default}" unless given' if isinstance(default, str) else ""
    )
    meaning = "; ".join(f"{name}: {_about(kind)}" for name, kind in zip(quoted, kinds, strict=True))
    return Key(tag, not isinstance(default, str), written, f"{meaning}.")


def _about(model: type[Strict]) -> str:
    """Return the first sentence of what a table's class says."""
    return " ".join((inspect.getdoc(model) or "").split("\n\n")[0].split()).partition(".")[0]


def _models(annotation: Any) -> list[type[Strict]]:
    """Return the tables that an annotation holds, in a list, a dict or a union too."""
    if inspect.isclass(annotation) and issubclass(annotation, Strict):
        return [annotation]
    return [model for part in get_args(annotation) for model in _models(part)]


def _plain(model: type[Strict]) -> list[str]:
    """Return the keys of a table that are not tables themselves."""
    return [name for name, field in model.model_fields.items() if not _models(field.annotation) and name != "bands"]


def _keys(model: type[Strict], names: list[str]) -> Iterator[Key]:
    for name in names:
        yield _key(model, name)


def _key(model: type[Strict], name: str) -> Key:
    field, meaning = model.model_fields[name], _meanings(model).get(name, "")
    # a key that a validator fills in has no default of its own
    required = field.is_required() and "unless given" not in meaning
    return Key(name, required, _written(field, required), meaning)


def _written(field: FieldInfo, required: bool) -> str:
    """Say how a key is written: required or its default, and an example."""
    example, default = example_of(field), field.default
    if isinstance(default, bool):
        return f"true or false; {str(default).lower()} unless given"
    if isinstance(default, Quantity):
        return f'"{default.magnitude:g} {default.units:~}" unless given'
    if isinstance(default, (int, float)):
        return f"{default:g} unless given"
    if default and isinstance(default, str):
        return f'"{default}" unless given'
    return ("required" if required else "optional") + (f", such as {example}" if example else "")


def _tag(kinds: list[type[Strict]]) -> str:
    """Return the key that names the kind, nothing where there is one kind."""
    literal = [name for name in kinds[0].model_fields if _literal(kinds[0], name)]
    return literal[0] if len(kinds) > 1 else ""


def _literal(model: type[Strict], name: str) -> str:
    annotation = model.model_fields[name].annotation
    return str(get_args(annotation)[0]) if get_origin(annotation) is Literal else ""


def _meanings(model: type[Strict]) -> dict[str, str]:
    """Return what the text below each key of a model, or of what it inherits from, says."""
    found: dict[str, str] = {}
    for cls in reversed(model.__mro__):
        if issubclass(cls, Strict) and cls is not Strict:
            body = ast.parse(textwrap.dedent(inspect.getsource(cls))).body[0]
            assert isinstance(body, ast.ClassDef)
            for key, below in zip(body.body, body.body[1:], strict=False):
                if isinstance(key, ast.AnnAssign) and isinstance(key.target, ast.Name) and isinstance(below, ast.Expr):
                    assert isinstance(below.value, ast.Constant)
                    found[key.target.id] = " ".join(str(below.value.value).split())
    return found
