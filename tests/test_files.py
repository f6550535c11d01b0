"""Shipped files, and writing that never leaves half a file."""

import os
import stat
import tempfile

import pytest

from workbook.files import shipped, write_all


def test_shipped_folders_are_found():
    assert (shipped("cable_data") / "series-6-copper.toml").is_file()
    assert list(shipped("notebooks").glob("*.toml"))


def test_text_is_written_as_it_is(tmp_path):
    texts = {tmp_path / "one.txt": "Ångström ½″\r\nnext\n", tmp_path / "two.txt": ""}
    write_all(texts)
    for path, text in texts.items():
        assert path.read_bytes() == text.encode("utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one.txt", "two.txt"]


def test_an_old_file_keeps_its_permissions(tmp_path):
    path = tmp_path / "one.txt"
    path.write_text("old")
    path.chmod(0o640)
    write_all({path: "new"})
    assert path.read_text() == "new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_new_file_has_the_usual_permissions(tmp_path):
    (tmp_path / "usual.txt").touch()
    write_all({tmp_path / "new.txt": "new"})
    modes = {stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("usual.txt", "new.txt")}
    assert len(modes) == 1


def test_nothing_is_written_unless_everything_can_be(tmp_path):
    first = tmp_path / "first.txt"
    first.write_text("old")
    with pytest.raises(OSError, match="no-such-folder"):
        write_all({first: "new", tmp_path / "no-such-folder" / "second.txt": "new"})
    assert first.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["first.txt"]


def broken(*_args, **_kwargs):
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("step", ["mkstemp", "fsync", "replace", "fdopen"])
def test_a_failure_at_any_step_leaves_the_old_file_whole(tmp_path, monkeypatch, step):
    path = tmp_path / "one.txt"
    path.write_text("old")
    monkeypatch.setattr(tempfile if step == "mkstemp" else os, step, broken)
    with pytest.raises(OSError, match="No space left"):
        write_all({path: "new"})
    monkeypatch.undo()
    assert path.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["one.txt"]
