"""Shipped files, and writing that never leaves half a file."""

import os
import stat
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

import workbook as wb
from workbook import files
from workbook.files import PART, read_bounded, shipped, write_all, write_new, write_set


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


# --- under attack -----------------------------------------------------------------------------------------


def test_what_an_ended_program_left_is_cleared_by_the_next_writing(tmp_path):
    for name in ("abc", "def"):
        (tmp_path / f"{PART}{name}").write_text("half a fi")
    kept = tmp_path / ".ring.toml.swp"
    kept.write_text("an editor's")
    write_all({tmp_path / "ring.toml": "new"})
    assert sorted(path.name for path in tmp_path.iterdir()) == [kept.name, "ring.toml"]


SAVER = """
import sys, time
from pathlib import Path
import os
from workbook import files
slow = Path.replace
def replace(self, target):
    if Path(target).name == sys.argv[2]:
        print("here", flush=True)
        time.sleep(60)
    return slow(self, target)
Path.replace = replace
folder = Path(sys.argv[1])
files.write_set({folder / name: "new" for name in ("a", "b", "c")}, folder / "note", "whole", "interrupted")
"""


@pytest.mark.parametrize(("ended_at", "says"), [("a", "interrupted"), ("c", "interrupted"), (None, "whole")])
def test_a_set_that_was_not_written_whole_says_so(tmp_path, ended_at, says):
    folder = tmp_path / "sheets"
    folder.mkdir()
    write_set({folder / name: "old" for name in ("a", "b", "c")}, folder / "note", "whole", "interrupted")
    if ended_at:
        with subprocess.Popen([sys.executable, "-c", SAVER, folder, ended_at], stdout=subprocess.PIPE) as writer:
            assert writer.stdout.readline() == b"here\n"
            writer.kill()
    assert (folder / "note").read_text() == says
    write_set({folder / name: "last" for name in ("a", "b", "c")}, folder / "note", "whole", "interrupted")
    assert {path.name: path.read_text() for path in folder.iterdir()} == {
        **dict.fromkeys(("a", "b", "c"), "last"),
        "note": "whole",
    }


def test_a_writer_does_not_wait_for_ever_for_another(tmp_path, monkeypatch):
    monkeypatch.setattr("workbook.files.PATIENCE", 0.2)
    with files._alone(tmp_path), pytest.raises(OSError, match="another program"):
        write_all({tmp_path / "one.txt": "new"})
    assert list(tmp_path.iterdir()) == []
    write_all({tmp_path / "one.txt": "new"})


@pytest.mark.parametrize("kind", ["loop", "link to nothing", "pipe", "folder", "/dev/full", "write-protected"])
def test_what_is_not_a_file_to_be_written_stays_as_it_is(tmp_path, kind):
    target = tmp_path / "target"
    if kind == "loop":
        target.symlink_to(target)
    elif kind == "link to nothing":
        target.symlink_to(tmp_path / "nothing")
    elif kind == "pipe":
        os.mkfifo(target)
    elif kind == "folder":
        target.mkdir()
    elif kind == "/dev/full":
        target.symlink_to("/dev/full")
    else:
        target.write_text("kept")
        target.chmod(0o444)

    def state() -> tuple[int, ...]:
        # all but the time of the last access, which looking at a link may change
        found = target.lstat()
        return (found.st_mode, found.st_ino, found.st_nlink, found.st_size, found.st_mtime_ns, found.st_ctime_ns)

    before = state()
    with pytest.raises(OSError, match="it is"):
        write_all({target: "new"})
    assert state() == before
    assert [path.name for path in tmp_path.iterdir()] == ["target"]


@pytest.mark.parametrize("name", ["con", "CON.toml", "nul.csv", "com1.txt", "LPT9.toml", "aux", "Prn.tar.gz"])
def test_names_of_devices_are_refused(refused, tmp_path, name):
    refused(lambda: write_all({tmp_path / name: "new"}), "device")
    refused(lambda: write_new(tmp_path / name, "new"), "device")


@pytest.mark.parametrize("name", ["console.toml", "auxiliary.csv", "com.txt", "com10.toml"])
def test_names_like_those_of_devices_are_written(tmp_path, name):
    write_all({tmp_path / name: "new"})
    assert (tmp_path / name).read_text() == "new"


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/full", "/dev/stdin", "."])
def test_devices_and_folders_are_refused_unread(refused, name):
    refused(lambda: read_bounded(Path(name), 10, "a sweep"), "not a file", "name a sweep")


def test_a_pipe_is_refused_without_waiting_for_its_other_end(refused, tmp_path):
    os.mkfifo(tmp_path / "pipe")
    begun = time.perf_counter()
    for read in (wb.read_sweep, wb.read_positions, wb.load_design, lambda path: read_bounded(path, 10, "a sweep")):
        refused(lambda read=read: read(tmp_path / "pipe"), "not a file")
    assert time.perf_counter() - begun < 5


def test_a_file_of_the_system_that_says_size_0_is_read_up_to_the_limit(refused):
    assert Path("/proc/self/maps").stat().st_size == 0
    refused(lambda: read_bounded(Path("/proc/self/maps"), 100, "a sweep"), "larger than")
