"""What the panels' tests share: a folder with the demo designs, and what a picture draws apart from its words."""

import shutil
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from workbook.files import shipped
from workbook.panels import plan_panel


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for path in shipped("notebooks").glob("*.toml"):
        shutil.copy(path, tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def no_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search begins at once when a control was moved."""
    monkeypatch.setattr(plan_panel, "REST_SECONDS", 0.0)


@pytest.fixture
def drawn() -> Callable[[str], list[dict[str, str]]]:
    """The shapes of a picture: words and legend tell the state, and so would change whatever is drawn."""

    def parts(svg: str) -> list[dict[str, str]]:
        picture = ElementTree.fromstring(svg)
        for group in list(picture.iter()):
            for part in list(group):
                if part.tag.endswith("}text") or part.get("class") == "legend":
                    group.remove(part)
        return [
            part.attrib
            for part in picture.iter()
            if part.tag.endswith(("}path", "}line", "}rect", "}circle", "}polygon"))
        ]

    return parts


@pytest.fixture
def curves(drawn: Callable[[str], list[dict[str, str]]]) -> Callable[[str], list[dict[str, str]]]:
    """The curves of a picture: the straight line of aim follows a control whatever the pattern does."""
    return lambda svg: [shape for shape in drawn(svg) if shape.get("d", "").count("L") > 1]
