"""The worksheets as a reader finds them, and the design chosen in a folder."""

import ast
import json

import pytest

from workbook.files import shipped
from workbook.lab import command
from workbook.worksheets import (
    STATE,
    read_worksheet,
    remember_design,
    remember_readings,
    remembered_design,
    remembered_readings,
    worksheets,
)


def notebook(*cells: tuple[str, str]) -> str:
    return json.dumps({"cells": [{"cell_type": kind, "source": [text]} for kind, text in cells]})


def test_title_and_answer_are_the_first_heading_and_the_first_sentence(tmp_path):
    path = tmp_path / "09-noise.ipynb"
    path.write_text(notebook(("markdown", "# Noise\n\nIs 1.8 MHz noisy\nhere? Yes. And so on."), ("code", "1")))
    sheet = read_worksheet(path)
    assert (sheet.name, sheet.title, sheet.answers) == ("09-noise.ipynb", "Noise", "Is 1.8 MHz noisy\nhere?")


def test_a_notebook_without_text_has_its_file_name_as_title(tmp_path):
    path = tmp_path / "09-noise.ipynb"
    path.write_text(notebook(("code", "1")))
    assert (read_worksheet(path).title, read_worksheet(path).answers) == ("09-noise", "")


def test_the_fingerprint_is_that_of_the_code_alone(tmp_path):
    prints = set()
    for number, cells in enumerate(
        ([("markdown", "# A"), ("code", "1")], [("markdown", "# B"), ("code", "1")], [("code", "1 ")])
    ):
        path = tmp_path / f"{number}.ipynb"
        path.write_text(notebook(*cells))
        prints.add(read_worksheet(path).fingerprint)
    assert len(prints) == 2


def test_every_shipped_worksheet_has_a_title_and_says_what_it_answers():
    found = worksheets(shipped("notebooks"))
    assert [sheet.name for sheet in found] == sorted(sheet.name for sheet in found)
    for sheet in found:
        assert sheet.title
        assert 20 < len(sheet.answers) < 200, sheet.answers


@pytest.fixture
def state(monkeypatch, tmp_path):
    folder = tmp_path / "state"
    monkeypatch.setenv(STATE, str(folder))
    return folder


def test_the_design_chosen_last_is_remembered_for_its_folder_alone(state, tmp_path):
    one, other, design = tmp_path / "one", tmp_path / "other", tmp_path / "fen.toml"
    for folder in (one, other):
        folder.mkdir()
    design.touch()
    remember_design(one, design)
    assert remembered_design(one) == design
    assert remembered_design(other) is None
    assert list(one.iterdir()) == []


def test_a_design_that_is_gone_or_a_note_that_is_broken_is_none(state, tmp_path):
    design = tmp_path / "fen.toml"
    design.touch()
    remember_design(tmp_path, design)
    (note,) = (state / "chosen-designs").iterdir()
    for broken in (b"\xff\xfe\x00", b"", b"a\0b", str(tmp_path).encode()):
        note.write_bytes(broken)
        assert remembered_design(tmp_path) is None
    remember_design(tmp_path, design)
    design.unlink()
    assert remembered_design(tmp_path) is None


def test_readings_are_remembered_by_design_and_broken_ones_are_none(state, tmp_path):
    remember_readings(tmp_path / "fen.toml", {"A": "1.7", "run": "2,1 MHz"})
    assert remembered_readings(tmp_path / "fen.toml") == {"A": "1.7", "run": "2,1 MHz"}
    assert remembered_readings(tmp_path / "other.toml") == {}
    (note,) = (state / "readings").iterdir()
    for broken in (b"\xff", b"", b"[1]", b"{"):
        note.write_bytes(broken)
        assert remembered_readings(tmp_path / "fen.toml") == {}
    note.write_text('{"A": 1.7, "B": "1.8"}')
    assert remembered_readings(tmp_path / "fen.toml") == {"B": "1.8"}


def test_nothing_is_remembered_outside_the_lab(monkeypatch, tmp_path):
    monkeypatch.delenv(STATE, raising=False)
    remember_design(tmp_path, tmp_path / "fen.toml")
    assert remembered_design(tmp_path) is None


def test_a_state_folder_that_cannot_be_written_stops_nothing(monkeypatch, tmp_path):
    (tmp_path / "file").touch()
    monkeypatch.setenv(STATE, str(tmp_path / "file"))
    remember_design(tmp_path, tmp_path / "fen.toml")
    assert remembered_design(tmp_path) is None


@pytest.mark.parametrize("show_code", [False, True])
def test_the_lab_gives_its_page_the_worksheets_and_the_switch(tmp_path, show_code):
    (settings,) = (
        part.partition("=")[2]
        for part in command(tmp_path, show_code=show_code)
        if part.startswith("--ServerApp.tornado_settings=")
    )
    page = ast.literal_eval(settings)["page_config_data"]
    assert page["showCode"] is show_code
    assert [sheet["name"] for sheet in page["worksheets"]] == [sheet.name for sheet in worksheets(shipped("notebooks"))]
