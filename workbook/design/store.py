"""Reading, changing and saving a design file."""

import datetime
import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Self

from workbook.checks import file_path, one_of
from workbook.design.schema import DesignFile
from workbook.design.toml_edit import Changes, apply, changed_text, contents, rewritten_text
from workbook.errors import InputError, shown
from workbook.files import read_bounded, write_all
from workbook.formatting import LengthUnits
from workbook.schema import checked, read_toml

MEMORY = "the design"
MOST_GUARDED = 1 << 26
"""Greatest size [bytes] of a file that is compared before it is written over."""


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
        file = file_path(path, "path")
        raw, data = read_toml(file)
        content = checked(DesignFile, data, str(file))
        # design files keep their line ends, so that saving changes only what was changed; and their place, whatever
        # the working folder is when it is saved
        return cls(content, raw.decode("utf-8"), file.absolute(), _digest(raw))

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
        return changed_text(self._base, self.changes) if self.changes else self._base

    def rewritten(self, change: Callable[[Any], object]) -> Self:
        """Return the design after a change of its tables or lists, which `changed` cannot name; not saved yet.

        Parameters
        ----------
        change
            Changes the file as tomlkit has parsed it, with all changes made before.

        Returns
        -------
        StoredDesign
            A new design with this change, not saved yet.

        Raises
        ------
        InputError
            When the result is not a valid design; this one is untouched.
        """
        base = replace(self, edited=self.text, changes=MappingProxyType({}))
        text = rewritten_text(base._base, change)
        content = checked(DesignFile, contents(text), str(self.path or MEMORY))
        return replace(base, edited=text, content=content)

    @property
    def sha256(self) -> str:
        """SHA-256 of the file, and of the changes where some are not saved yet."""
        unsaved = repr(sorted(self.changes.items())) if self.changes else ""
        return _digest((self._base + unsaved).encode())

    def changed(self, changes: Changes) -> Self:
        """Return the design with some keys set; comments and everything else stay as they are.

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
        # later changes come last, also those of a key that was changed before
        together = {path: value for path, value in self.changes.items() if path not in changes} | dict(changes)
        data = contents(self._base)
        changed = replace(self, changes=MappingProxyType(together))
        if apply(data, together, dict):
            # where a new key stands among the others is for the file to say
            data = contents(changed.text)
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
            When the file was changed on disk since it was read, another file is already there, or the file or its
            folder cannot be written; nothing is then lost. Of several who save at the same time one succeeds.
        """
        target = file_path(path, "path").absolute() if path is not None else self.path
        if target is None:
            raise InputError("this design has no file yet", where="path", remedy="give a name such as 'my-array.toml'")
        text = self.text
        try:
            write_all({target: text}, lambda: self._guard(target, text))
        except OSError as error:
            raise InputError(
                f"cannot be written ({error.strerror})", where=str(target), remedy="choose another name or folder"
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
        found = _digest(read_bounded(target, MOST_GUARDED, "another file"))
        if found not in (self.on_disk if same else None, _digest(text.encode())):
            why = "was changed on disk since it was read" if same else "is already there"
            remedy = "load it again" if same else "choose another name"
            raise InputError(why, where=str(target), remedy=f"{remedy}, so that nothing is lost")


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
