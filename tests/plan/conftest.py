"""What the tests of the plan share: writing a changed design, and planning it."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from designs import BASES, Keys, changed

import workbook as wb


@pytest.fixture(scope="session")
def as_toml() -> Callable[[Mapping[str, Any]], str]:
    """Write content as TOML; each table is worked out once for all tests, since most change one of the same few."""
    tables: dict[str, str] = {}

    def write(content: Mapping[str, Any]) -> str:
        parts = []
        for part in ({key: value} for key, value in content.items()):
            if repr(part) not in tables:
                tables[repr(part)] = tomlkit.dumps(part)
            parts.append(tables[repr(part)])
        return "\n".join(sorted(parts, key=lambda part: part.startswith("[")))  # keys of no table come first

    return write


@pytest.fixture
def write(tmp_path: Path, as_toml: Callable[[Mapping[str, Any]], str]) -> Callable[..., Path]:
    """Write a design file: a base by name, and changes by key path."""

    def write(base: str = "square", changes: Mapping[Keys, Any] | None = None, name: str = "design.toml") -> Path:
        path = tmp_path / name
        path.write_text(as_toml(changed(BASES[base], changes or {})), encoding="utf-8")
        return path

    return write


@pytest.fixture
def plan(write: Callable[..., Path]) -> Callable[..., Any]:
    """Make the plan of a changed design."""

    def plan(base: str = "square", changes: Mapping[Keys, Any] | None = None) -> Any:
        return wb.load_design(write(base, changes)).plan()

    return plan
