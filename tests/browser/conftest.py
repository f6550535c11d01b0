"""What the browser tests share: a folder with all worksheets and demos."""

import shutil
from pathlib import Path

import pytest

from workbook.files import shipped


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for path in shipped("notebooks").iterdir():
        if path.is_file():
            shutil.copy(path, tmp_path)
    return tmp_path
