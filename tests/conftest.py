"""What every test has in common: it sees no cables of the user's own, and knows how a refusal and a print read."""

import re
import tempfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import workbook as wb

# words of the libraries and of Python, which tell a builder nothing
JARGON = ("dictionary", "tuple", "discriminator", "tag ", "instance", "unable to", "validat", "[key]")
JARGON += ("Traceback", "Error", "NoneType", "datetime.", "literal", "object to")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let a run of the wrong arguments be as long as one likes."""
    parser.addoption("--campaign", type=int, default=3000, help="how many calls with wrong arguments are tried")


def pytest_configure(config: pytest.Config) -> None:
    """Put an empty folder in place of the user's cables before anything is collected, since modules read cables.

    Doctests see it too in a run of all; `pytest workbook` alone does not come by here, and sees the user's own.
    Workers share the cores, so each gets one thread of linear algebra.
    """
    if hasattr(config, "workerinput"):
        return  # a worker of several inherits it, and is ended without cleaning up
    folder = tempfile.TemporaryDirectory(prefix="no-cables-of-my-own-")
    patch = pytest.MonkeyPatch()
    patch.setenv("FEEDLINE_WORKBOOK_CABLES", folder.name)
    patch.setenv("OPENBLAS_NUM_THREADS", "1")
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


# --- printed numbers --------------------------------------------------------------------------------------


def printed_value(printed: str) -> tuple[Decimal, Decimal, str]:
    """Return a printed number, half a unit in its last digit, and the unit behind it (may be empty)."""
    number, _, unit = printed.partition(" ")
    value = Decimal(number)
    return value, Decimal(5).scaleb(int(value.as_tuple().exponent) - 1), unit


def check_printed(got: Any, printed: str, *, source: str) -> None:
    """Fail unless `got` agrees with the print; the tolerance comes from the printed digits and nothing else.

    A unit behind the number asks for a quantity, and takes it in that unit. Complex values are printed, and so
    checked, as real and imaginary part.
    """
    assert source.strip(), "a printed value without a source is no check"
    value, half_a_digit, unit = printed_value(printed)
    plain = float(got.m_as(unit) if unit else got)
    away = abs(Decimal(plain) - value)
    assert away <= half_a_digit, f"{plain!r} is not the printed {printed} ({source})"


@pytest.fixture(scope="session")
def assert_printed() -> Callable[..., None]:
    return check_printed
