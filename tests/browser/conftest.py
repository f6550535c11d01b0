"""What the browser tests share: one JupyterLab and one browser for all, on a folder that each test finds as shipped."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from harness import Laboratory, Sheet, laboratory


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laboratory]:
    with laboratory(tmp_path_factory.mktemp("worksheets")) as running:
        yield running


@pytest.fixture
def folder(lab: Laboratory) -> Path:
    """The folder that JupyterLab serves, with all worksheets and demos and nothing else."""
    lab.fill()
    return lab.folder


@pytest.fixture
def worksheet(lab: Laboratory, folder: Path) -> Callable[..., AbstractContextManager[Sheet]]:
    """Opens a worksheet of the folder by its name."""
    return lab.open
