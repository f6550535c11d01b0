"""What the tests of the line room share."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_cables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The user's folder of cable files, empty at first."""
    folder = tmp_path / "cables"
    folder.mkdir()
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(folder))
    return folder
