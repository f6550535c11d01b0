"""What the tests of the plan share: writing a changed design, planning it, and how a refusal reads."""

import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import tomlkit

import workbook as wb

sys.path.insert(0, str(Path(__file__).parent))
from designs import BASES, Keys, changed


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


@pytest.fixture
def refused() -> Callable[..., str]:
    """A check that a call is refused in one clear sentence that holds some words."""

    def check(call: Callable[[], object], *words: str) -> str:
        with pytest.raises(wb.InputError) as caught:
            call()
        sentence = str(caught.value)
        assert "\n" not in sentence
        assert sentence[-1] in ".?", sentence
        # the folder of a file may be long
        brief = sentence.rpartition(".toml: ")[2]
        assert len(brief) < 300, sentence
        assert not re.search(r"  | [.?]$", re.sub(r"'[^']*'|\"[^\"]*\"", "it", brief)), sentence
        for jargon in ("dictionary", "tuple", "discriminator", "tag ", "instance", "unable to", "validat", "[key]"):
            assert jargon not in brief, sentence
        for jargon in ("Traceback", "Error", "NoneType", "datetime.", "literal", "object to"):
            assert jargon not in brief, sentence
        for word in words:
            assert word in sentence, sentence
        return sentence

    return check


@pytest.fixture(autouse=True)
def _only_bundled_cables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "no-cables-of-my-own"))
