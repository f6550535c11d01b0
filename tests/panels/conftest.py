"""What the panels' tests share: a folder with the demo designs."""

import shutil
from pathlib import Path

import pytest

from workbook.files import shipped


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for path in shipped("notebooks").glob("*.toml"):
        shutil.copy(path, tmp_path)
    return tmp_path
