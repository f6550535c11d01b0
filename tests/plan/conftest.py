"""What the tests of the plan share: writing a changed design, and planning it."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from designs import BASES, Keys, changed

import workbook as wb


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Write a design file: a base by name, and changes by key path."""

    def write(base: str = "square", changes: Mapping[Keys, Any] | None = None, name: str = "design.toml") -> Path:
        path = tmp_path / name
        path.write_text(tomlkit.dumps(changed(BASES[base], changes or {})), encoding="utf-8")
        return path

    return write


@pytest.fixture
def plan(write: Callable[..., Path]) -> Callable[..., Any]:
    """Make the plan of a changed design."""

    def plan(base: str = "square", changes: Mapping[Keys, Any] | None = None) -> Any:
        return wb.load_design(write(base, changes)).plan()

    return plan
