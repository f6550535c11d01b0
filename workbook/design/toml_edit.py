"""Changing keys in the text of a TOML file; comments, order and line ends of everything else stay."""

import copy
import difflib
import re
import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from typing import Any

from workbook.errors import InputError, shown

MARK = "\ufeff"
"""Byte order mark that some editors put first; it says nothing, and stays."""

Changes = Mapping[tuple[str, ...], Any]
"""New values by key path; None takes a key out."""


def contents(text: str) -> dict[str, Any]:
    """Return what a TOML text holds."""
    return tomllib.loads(text.removeprefix(MARK))


def apply(document: Any, changes: Changes, new_table: Callable[[], Any]) -> bool:
    """Set keys in a parsed TOML file, keeping what already has its value; return whether any key is new.

    Raises
    ------
    InputError
        When a path leads through a value that is not a table.
    """
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
                    where=".".join(path),
                    remedy="name the key itself",
                )
        key = path[-1]
        if value is None:
            table.pop(key, None)
        elif key not in table or table[key] != value:
            new = new or key not in table
            set_value(table, key, copy.deepcopy(value))
    return new


def set_value(table: Any, key: str, value: Any) -> None:
    """Set a key of a parsed table and take out the comment on its line where that speaks of a value."""
    old = table.get(key)
    table[key] = value
    trivia = getattr(table.item(key), "trivia", None) if hasattr(table, "item") else None
    if trivia is not None and old is not None and _speaks_of(trivia.comment, old, value):
        trivia.comment, trivia.comment_ws = "", ""


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_OTHERS = re.compile(r"#\s*or\b")
_WITH_UNIT = re.compile(r"\d ?(?:m|mm|cm|ft|in|deg|degrees|[kM]?Hz|dB|ns|ohm|mS/m)\b")


def _speaks_of(comment: str, old: Any, new: Any) -> bool:
    """Return whether a comment says the old or the new value, what else it may be, a number of it, or with a unit."""
    words = [str(old), str(new), *_NUMBER.findall(str(old))]
    said = (re.search(rf"(?<![\w.]){re.escape(word)}(?![\w.]\w)", comment, re.IGNORECASE) for word in words if word)
    return bool(_WITH_UNIT.search(comment) or _OTHERS.match(comment)) or any(said)


def changed_text(text: str, changes: Changes) -> str:
    """Return a TOML text with some keys changed.

    Where a table is written in a form that cannot be changed in its place, such as an inline table that would need a
    table inside, it is written again at the end, without its comments.

    Raises
    ------
    InputError
        When no text holds the changed contents.
    """
    wanted = contents(text)
    apply(wanted, changes, dict)
    plain = text.removeprefix(MARK).replace("\r\n", "\n")
    for edit in (_in_place, _table_rewritten):
        found = edit(plain, changes, wanted)
        if found is not None and _same(contents(found), wanted):
            mark = MARK if text.startswith(MARK) else ""
            return mark + _with_line_ends(found, text.removeprefix(MARK))
    key = ".".join(next(iter(changes)))
    remedy = "write that table in the file with a heading in square brackets of its own"
    raise InputError("cannot be changed where it stands", where=key, remedy=remedy)


def rewritten_text(text: str, change: Callable[[Any], object]) -> str:
    """Return a TOML text after a change of the file as tomlkit has parsed it."""
    import tomlkit

    mark = MARK if text.startswith(MARK) else ""
    before = text.removeprefix(MARK)
    document = tomlkit.parse(before.replace("\r\n", "\n"))
    change(document)
    return mark + _with_line_ends(tomlkit.dumps(document), before)


def _same(found: Any, wanted: Any) -> bool:
    """Return whether two contents differ at most by empty tables, the order of directions and bands included."""
    if not isinstance(found, dict) or not isinstance(wanted, dict):
        return bool(found == wanted)
    one, other = ({key: part for key, part in each.items() if part != {}} for each in (found, wanted))
    return set(one) == set(other) and all(_same(one[key], other[key]) for key in one)


def _in_place(text: str, changes: Changes, _: Mapping[str, Any]) -> str | None:
    import tomlkit

    document = tomlkit.parse(text)
    try:
        apply(document, changes, tomlkit.table)
        found = tomlkit.dumps(document)
        tomllib.loads(found)
    except ValueError:  # a table inside an inline one, or one that comes in several places
        return None
    return found


def _table_rewritten(text: str, changes: Changes, wanted: Mapping[str, Any]) -> str | None:
    import tomlkit

    document = tomlkit.parse(text)
    names = dict.fromkeys(path[0] for path in changes)
    for name in names:
        while name in document:
            document.remove(name)
    kept = tomlkit.dumps(document)
    added = tomlkit.dumps({name: wanted[name] for name in names if name in wanted})
    # what is not a table comes before all tables
    values, _, tables = added.partition("[")
    found = f"{values}{kept.rstrip()}\n\n[{tables}" if tables else f"{values}{kept}"
    try:
        tomllib.loads(found)
    except ValueError:
        return None
    return found


def _with_line_ends(text: str, before: str) -> str:
    """Return a text with the line ends of the text that it was made from, new lines with its usual one."""
    if "\r\n" not in before:
        return text
    old, new = before.split("\n"), text.split("\n")
    usual = "\r" if 2 * before.count("\r\n") >= before.count("\n") else ""
    alike = difflib.SequenceMatcher(None, [line.removesuffix("\r") for line in old], new, autojunk=False)
    lines = [f"{line}{usual}" for line in new[:-1]] + new[-1:]
    for block in alike.get_matching_blocks():
        for place in range(block.size):
            # the last line of either has no end to keep
            if block.a + place < len(old) - 1 and block.b + place < len(new) - 1:
                lines[block.b + place] = old[block.a + place]
    return "\n".join(lines)
