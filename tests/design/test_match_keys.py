"""The match in a design file: keys that fit its way, or one sentence that says what would."""

import pytest

import workbook as wb
from workbook.files import shipped

BARE = (shipped("notebooks") / "heron-fen-ring.toml").read_text(encoding="utf-8").split("[match]")[0]


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('way = "no matching"\nturns = [13, 11]', ("match.turns", "no matching", "wideband transformer")),
        ('way = "no matching"\ncore = { coupling = 0.99 }', ("match.core", "no matching", "wideband transformer")),
        ("turns = [13]", ("match.turns", "both windings", "[13, 11]")),
        ("turns = [0, 5]", ("match.turns", "1 to 200")),
        ('core = { inductance = "-3 nH" }', ("match.core.inductance", "negative")),
    ],
)
def test_what_does_not_fit_is_refused(tmp_path, refused, keys, words):
    path = tmp_path / "match.toml"
    path.write_text(f"{BARE}\n[match]\n{keys}\n", encoding="utf-8")
    refused(lambda: wb.load_design(path), *words)


def test_turns_in_the_file_are_those_of_the_transformer(tmp_path):
    path = tmp_path / "match.toml"
    path.write_text(f'{BARE}\n[match]\nway = "wideband transformer"\nturns = [12, 10]\n', encoding="utf-8")
    match = wb.load_design(path).plan().match
    turns = {part.name: part.value for part in match.components}
    assert (turns["turns at the source"], turns["turns at the load"]) == (12, 10)
