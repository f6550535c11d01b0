"""What every test has in common: it sees no cables of the user's own, and knows how a refusal reads."""

import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

import workbook as wb

# words of the libraries and of Python, which tell a builder nothing
JARGON = ("dictionary", "tuple", "discriminator", "tag ", "instance", "unable to", "validat", "[key]")
JARGON += ("Traceback", "Error", "NoneType", "datetime.", "literal", "object to")


def pytest_configure(config: pytest.Config) -> None:
    """Put an empty folder in place of the user's cables before anything is collected, since modules read cables.

    Doctests see it too in a run of all; `pytest workbook` alone does not come by here, and sees the user's own.
    """
    if hasattr(config, "workerinput"):
        return  # a worker of several inherits it, and is ended without cleaning up
    folder = tempfile.TemporaryDirectory(prefix="no-cables-of-my-own-")
    patch = pytest.MonkeyPatch()
    patch.setenv("FEEDLINE_WORKBOOK_CABLES", folder.name)
    config.add_cleanup(folder.cleanup)
    config.add_cleanup(patch.undo)


@pytest.fixture
def own_cables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder of cable files of one's own, empty at first, for this test alone."""
    folder = tmp_path / "own-cables"
    folder.mkdir()
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(folder))
    return folder


@pytest.fixture
def refused() -> Callable[..., str]:
    """A check that a call is refused in clear sentences, one for each fault, that hold some words."""

    def check(call: Callable[[], object], *words: str) -> str:
        with pytest.raises(wb.InputError) as caught:
            call()
        for fault in caught.value.faults:
            check_sentence(str(fault), words)
        text = str(caught.value)
        assert len(text.splitlines()) == len(caught.value.faults)
        for word in words:
            assert word in text, text
        return text

    def check_sentence(sentence: str, words: tuple[str, ...]) -> None:
        assert "\n" not in sentence
        assert sentence[-1] in ".?", sentence
        # the folder of a file may be long
        brief = sentence.rpartition(".toml: ")[2]
        assert len(brief) < 300, sentence
        assert not re.search(r"  | [.?]$|\bin [.]$", brief), sentence
        for jargon in JARGON:
            # unless it is what to write, and asked for here
            assert jargon not in brief or any(jargon in word for word in words), sentence

    return check
