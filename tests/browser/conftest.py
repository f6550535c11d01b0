"""What the browser tests share: a folder with all worksheets and demos, and no cables of the user's own."""

import shutil
from pathlib import Path

import pytest

from workbook.files import shipped


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "no-cables-of-my-own"))
    for path in shipped("notebooks").iterdir():
        if path.is_file():
            shutil.copy(path, tmp_path)
    return tmp_path
