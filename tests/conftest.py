"""What the tests of several rooms share: how a refusal reads."""

import re
from collections.abc import Callable

import pytest

import workbook as wb


@pytest.fixture
def refused() -> Callable[..., str]:
    """A check that a call is refused in one clear sentence that holds some words."""

    def check(call: Callable[[], object], *words: str) -> str:
        with pytest.raises(wb.InputError) as caught:
            call()
        sentence = str(caught.value)
        assert "\n" not in sentence
        assert "  " not in sentence
        assert not re.search(r" [.?]$|\bin [.]$", sentence), sentence
        assert sentence[-1] in ".?", sentence
        # the folder of a file may be long
        assert len(sentence.rpartition(".toml: ")[2]) < 300, sentence
        for word in words:
            assert word in sentence, sentence
        return sentence

    return check
