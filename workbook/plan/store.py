"""Reading, changing and saving a design file."""

import hashlib
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from workbook.errors import InputError
from workbook.files import write_all
from workbook.plan.make import make_plan
from workbook.plan.results import Plan
from workbook.plan.schema import DesignFile
from workbook.schema import checked, read_toml

MEMORY = "the design"


Changes = Mapping[tuple[str, ...], Any]


@dataclass(frozen=True)
class Design:
    """A design: its checked content, the text it was read from, and what was changed since.

    `on_disk` is the SHA-256 of the file as it was read, so that nothing written since is overwritten unseen.
    """

    content: DesignFile
    read: str
    path: Path | None = None
    on_disk: str | None = None
    changes: Changes = field(default_factory=lambda: MappingProxyType({}))

    @property
    def text(self) -> str:
        """The design as TOML, with all comments and the changes."""
        if not self.changes:
            return self.read
        import tomlkit

        document = tomlkit.parse(self.read)
        _apply(document, self.changes, tomlkit.table)
        return tomlkit.dumps(document)

    @property
    def sha256(self) -> str:
        """SHA-256 of the file, and of the changes where some are not saved yet."""
        unsaved = repr(sorted(self.changes.items())) if self.changes else ""
        return _digest((self.read + unsaved).encode())

    def plan(self) -> Plan:
        """Return the plan: delays, lines to cut, runs, totals and warnings.

        Raises
        ------
        InputError
            When the design cannot be built, naming file, key and remedy.
        """
        from workbook import __version__

        try:
            return make_plan(self.content, __version__, self.sha256)
        except InputError as error:
            raise InputError(f"{self.path or MEMORY}: {error}") from None

    def changed(self, changes: Changes) -> "Design":
        """Return the design with some keys set anew; comments and everything else stay as they are.

        Parameters
        ----------
        changes
            New values by key path, such as ``{("array", "diameter"): "44 m"}``; None takes the key out.

        Raises
        ------
        InputError
            When the result is no valid design; this one is untouched.
        """
        together = {**self.changes, **changes}
        data = tomllib.loads(self.read)
        _apply(data, together, dict)
        content = checked(DesignFile, data, str(self.path or MEMORY))
        return replace(self, content=content, changes=MappingProxyType(together))

    def save(self, path: Path | str | None = None) -> "Design":
        """Write the design, whole or not at all, and return it with its new file.

        Parameters
        ----------
        path
            Where to; without it, back to the file it was read from.

        Raises
        ------
        InputError
            When the file was changed on disk since it was read, another file is already there, or the folder
            cannot be written; nothing is then lost.
        """
        target = Path(path) if path is not None else self.path
        if target is None:
            raise InputError("path: this design has no file yet; give a name such as 'my-array.toml'.")
        same = self.path is not None and target.resolve() == self.path.resolve()
        text = self.text
        if target.exists() and _digest(target.read_bytes()) != (self.on_disk if same else _digest(text.encode())):
            why = "was changed on disk since it was read; load it again" if same else "is already there; choose another"
            raise InputError(f"{target}: {why}, so that nothing is lost.")
        try:
            write_all({target: text})
        except OSError as error:
            raise InputError(f"{target}: cannot be written ({error.strerror}); choose another folder.") from None
        return Design(self.content, text, target, _digest(text.encode()))


def _apply(document: Any, changes: Changes, new_table: Callable[[], Any]) -> None:
    """Set keys in a parsed TOML file, leaving alone what already has its value."""
    for (*tables, key), value in changes.items():
        table = document
        for name in tables:
            table = table.setdefault(name, new_table())
        if value is None:
            table.pop(key, None)
        elif table.get(key) != value:
            table[key] = value


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def load_design(path: Path | str) -> Design:
    """Return a design read from its TOML file.

    Raises
    ------
    InputError
        One sentence naming the file, the key and the remedy.
    """
    file = Path(path)
    raw, data = read_toml(file)
    content = checked(DesignFile, data, str(file))
    # design files keep their line ends, so that saving changes only what was changed
    return Design(content, raw.decode("utf-8"), file, _digest(raw))
