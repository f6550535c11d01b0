"""Reading, changing and saving a design file."""

import datetime
import hashlib
import os
import re
import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Self

from workbook.checks import one_of
from workbook.design.schema import DesignFile
from workbook.errors import InputError, shown
from workbook.files import write_all
from workbook.formatting import LengthUnits
from workbook.schema import checked, read_toml

MEMORY = "the design"
MARK = "\ufeff"
"""Byte order mark that some editors put first; it says nothing, and stays."""


Changes = Mapping[tuple[str, ...], Any]


@dataclass(frozen=True)
class StoredDesign:
    """A design file: its checked content, the text it was read from, and what was changed since.

    `on_disk` is the SHA-256 of the file as it was read, so that nothing written since is overwritten unseen. `changes`
    are values by key; `edited` is the whole text where tables or lists were changed too, before these changes.

    When a key gets another value, the comment on its line stays unless it speaks of a value: it is taken out where it
    says the old or the new value or a number of the old one, or a number with a unit.
    """

    content: DesignFile
    read: str
    path: Path | None = None
    on_disk: str | None = None
    changes: Changes = field(default_factory=lambda: MappingProxyType({}))
    edited: str | None = None

    @classmethod
    def load(cls, path: Path | str) -> Self:
        """Return the design that a TOML file holds.

        Parameters
        ----------
        path
            The file's name.

        Returns
        -------
        StoredDesign
            The checked content with the text it was read from.

        Raises
        ------
        InputError
            When the file cannot be read or holds no valid design, naming file, key and remedy.
        """
        if not isinstance(path, (str, os.PathLike)):
            raise InputError(f"got {shown(path)}", where="path", wanted="the name of a design file")
        file = Path(path)
        raw, data = read_toml(file)
        content = checked(DesignFile, data, str(file))
        # design files keep their line ends, so that saving changes only what was changed
        return cls(content, raw.decode("utf-8"), file, _digest(raw))

    @property
    def is_changed(self) -> bool:
        """Whether anything is not saved yet."""
        return bool(self.changes) or self._base != self.read

    @property
    def _base(self) -> str:
        return self.read if self.edited is None else self.edited

    @property
    def text(self) -> str:
        """The design as TOML, with all comments and the changes."""
        return self._written(_set_keys(self.changes)) if self.changes else self._base

    def _written(self, change: Callable[[Any], object]) -> str:
        """Return the text after a change of the parsed file."""
        import tomlkit

        mark = MARK if self.read.startswith(MARK) else ""
        document = tomlkit.parse(self._base.removeprefix(MARK))
        change(document)
        text = mark + tomlkit.dumps(document)
        # a file keeps its line ends, also in what is new
        return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in self.read else text

    def rewritten(self, change: Callable[[Any], object]) -> Self:
        """Return the design after a change of its tables or lists, which `changed` cannot name; not saved yet.

        Parameters
        ----------
        change
            Changes the file as tomlkit has parsed it, with all changes made before.

        Raises
        ------
        InputError
            When the result is not a valid design; this one is untouched.
        """
        base = replace(self, edited=self.text, changes=MappingProxyType({}))
        text = base._written(change)
        content = checked(DesignFile, tomllib.loads(text.removeprefix(MARK)), str(self.path or MEMORY))
        return replace(base, edited=text, content=content)

    @property
    def sha256(self) -> str:
        """SHA-256 of the file, and of the changes where some are not saved yet."""
        unsaved = repr(sorted(self.changes.items())) if self.changes else ""
        return _digest((self._base + unsaved).encode())

    def changed(self, changes: Changes) -> Self:
        """Return the design with some keys set anew; comments and everything else stay as they are.

        Parameters
        ----------
        changes
            New values by key path, such as ``{("array", "diameter"): "44 m"}``; None takes the key out.

        Returns
        -------
        StoredDesign
            A new design with these changes, not saved yet.

        Raises
        ------
        InputError
            When the result is not a valid design; this one is untouched.
        """
        _check_changes(changes)
        together = {**self.changes, **changes}
        data = tomllib.loads(self._base.removeprefix(MARK))
        changed = replace(self, changes=MappingProxyType(together))
        if _apply(data, together, dict):
            # where a new key stands among the others is for the file to say
            data = tomllib.loads(changed.text.removeprefix(MARK))
        return replace(changed, content=checked(DesignFile, data, str(self.path or MEMORY)))

    def in_units(self, units: LengthUnits) -> Self:
        """Return the design with lengths written in other units, which saving does not write to its file.

        Parameters
        ----------
        units
            Which lengths are written.

        Returns
        -------
        StoredDesign
            The same design otherwise.

        Raises
        ------
        InputError
            When `units` is something else.
        """
        wanted = LengthUnits(one_of(units, tuple(LengthUnits), "units"))
        return replace(self, content=self.content.model_copy(update={"units": wanted}))

    def save(self, path: Path | str | None = None) -> Self:
        """Write the design, whole or not at all, and return it with its new file.

        Parameters
        ----------
        path
            Where to; without it, back to the file it was read from.

        Returns
        -------
        StoredDesign
            The design as it now stands in its file, with no changes left.

        Raises
        ------
        InputError
            When the file was changed on disk since it was read, another file is already there, or the folder
            cannot be written; nothing is then lost.
        """
        if not isinstance(path, (str, os.PathLike, type(None))):
            raise InputError(f"got {shown(path)}", where="path", wanted="the name of a design file")
        target = Path(path) if path is not None else self.path
        if target is None:
            raise InputError("this design has no file yet", where="path", remedy="give a name such as 'my-array.toml'")
        text = self.text
        try:
            self._guard(target, text)
            write_all({target: text})
        except InputError:
            raise
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or "that is not a file name"
            raise InputError(
                f"cannot be written ({why})", where=str(shown(str(target))), remedy="choose another name or folder"
            ) from None
        done = replace(self, read=text, edited=None, path=target, changes=MappingProxyType({}))
        return replace(done, on_disk=_digest(text.encode()))

    def _guard(self, target: Path, text: str) -> None:
        """Refuse to write over what is not this design's own file as it was read."""
        if not target.exists():
            return
        if not target.is_file():  # a folder, or a device that has no end
            raise InputError("is not a file", where=str(shown(str(target))), remedy="choose another name or folder")
        same = self.path is not None and target.resolve() == self.path.resolve()
        if _digest(target.read_bytes()) != (self.on_disk if same else _digest(text.encode())):
            why = "was changed on disk since it was read; load it again" if same else "is already there; choose another"
            raise InputError(f"{why}, so that nothing is lost", where=str(target))


def _set_keys(changes: Changes) -> Callable[[Any], object]:
    """Return what sets keys in a parsed file."""
    import tomlkit

    return lambda document: _apply(document, changes, tomlkit.table)


def set_value(table: Any, key: str, value: Any) -> None:
    """Set a key of a parsed table and take out the comment on its line where that speaks of a value."""
    old = table.get(key)
    table[key] = value
    trivia = getattr(table.item(key), "trivia", None) if hasattr(table, "item") else None
    if trivia is not None and old is not None and _speaks_of(trivia.comment, old, value):
        trivia.comment, trivia.comment_ws = "", ""


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_WITH_UNIT = re.compile(r"\d ?(?:m|mm|cm|ft|in|deg|degrees|[kM]?Hz|dB|ns|ohm|mS/m)\b")


def _speaks_of(comment: str, old: Any, new: Any) -> bool:
    """Return whether a comment says the old or the new value, a number of the old one, or a number with a unit."""
    words = [str(old), str(new), *_NUMBER.findall(str(old))]
    said = (re.search(rf"(?<![\w.]){re.escape(word)}(?![\w.]\w)", comment, re.IGNORECASE) for word in words if word)
    return bool(_WITH_UNIT.search(comment)) or any(said)


def _apply(document: Any, changes: Changes, new_table: Callable[[], Any]) -> bool:
    """Set keys in a parsed TOML file, leaving alone what already has its value; say whether any key is new."""
    new = False
    for path, value in changes.items():
        table = document
        for name in path[:-1]:
            if name not in table and value is not None:
                table[name], new = new_table(), True
            table = table.get(name, {})
            if not isinstance(table, MutableMapping):
                raise InputError(
                    f"{shown(name)} is not a table of keys",
                    where=str(".".join(map(str, path))),
                    remedy="name the key itself",
                )
        key = path[-1]
        if value is None:
            table.pop(key, None)
        elif table.get(key) != value:
            new = new or key not in table
            set_value(table, key, value)
    return new


def _check_changes(changes: Changes) -> None:
    if not isinstance(changes, Mapping):
        raise InputError(
            f"got {shown(changes)}", where="changes", wanted="values by key path, such as {('array', 'side'): '24 m'}"
        )
    for path, value in changes.items():
        if not isinstance(path, tuple) or not path or not all(isinstance(name, str) for name in path):
            raise InputError(f"{shown(path)} is not a key path", remedy="write it like ('array', 'diameter')")
        if not _is_toml(value):
            raise InputError(
                f"{shown(value)} cannot stand in a file",
                where=str(".".join(path)),
                remedy="write it as text with its unit",
            )


def _is_toml(value: Any) -> bool:
    if isinstance(value, dict):
        return all(isinstance(key, str) and _is_toml(entry) for key, entry in value.items())
    if isinstance(value, (list, tuple)):
        return all(_is_toml(entry) for entry in value)
    return value is None or isinstance(value, (str, int, float, datetime.date))


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()
