"""Where shipped files lie, reading that is bounded, and writing that never leaves half a file or half a set."""

import contextlib
import errno
import os
import stat
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path, PureWindowsPath

from workbook.errors import InputError, shown

try:
    import fcntl
except ImportError:  # not every system has it
    fcntl = None  # type: ignore[assignment]

PART = ".feedline-part-"
"""Beginning of the names of files that are being written; an ended program may leave some behind."""
STALE = 3600.0
"""Age [s] from which such a file is stale where no lock shows that it is not being written."""
PATIENCE = 5.0
"""How long [s] another writer of the same folder is waited for."""
_DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    "conin$",
    "conout$",
    *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)),
}


def shipped(folder: str) -> Path:
    """Return the folder `cable_data` or `notebooks`, from an installed wheel or from a checkout."""
    package = Path(__file__).parent
    installed = package / "shipped" / folder
    return installed if installed.is_dir() else package.parent / folder


def demo() -> Path:
    """Return the design file that is shown and planned where none is named."""
    return shipped("notebooks") / "heron-fen-eight.toml"


def read_bounded(path: Path, most: int, wanted: str) -> bytes:
    """Return the bytes of a file; a folder, pipe or device is refused unread, and no more than `most` bytes are read.

    Parameters
    ----------
    path
        The file.
    most
        Greatest size [bytes].
    wanted
        What to name instead, such as ``"a sweep"``.

    Raises
    ------
    InputError
        When it is missing, too large, not a file, or cannot be read; it names the file.
    """
    where = str(path)
    try:
        if path.exists() and not path.is_file():
            raise InputError("cannot be read, since it is not a file", where=where, remedy=f"name {wanted}")
        # without waiting, should a pipe have taken its place
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as stream:
            state = os.fstat(stream.fileno())
            if not stat.S_ISREG(state.st_mode):
                raise InputError("cannot be read, since it is not a file", where=where, remedy=f"name {wanted}")
            # a file of the system may say size 0 and never end
            raw = stream.read(most + 1) if state.st_size <= most else None
    except OSError as error:
        remedy = "check the name and the permissions"
        raise InputError(f"cannot be read ({error.strerror})", where=where, remedy=remedy) from None
    except InputError:
        raise
    except ValueError:  # a NUL or half a surrogate pair in the name
        raise InputError(f"{shown(where)} cannot be a file name", remedy="check it") from None
    if raw is None or len(raw) > most:
        size = f"{most >> 20} MiB" if most % (1 << 20) == 0 else f"{most // 10**6} MB"
        raise InputError(f"is larger than {size}", where=where, remedy=f"name {wanted}")
    return raw


def write_all(texts: Mapping[Path, str], check: Callable[[], None] = lambda: None) -> None:
    """Write several UTF-8 files so that each is either the old one or the whole new one.

    Every text is first written beside its target; only when all are on disk are they moved into place. Two programs of
    the workbook never do so at the same time in one folder, and what an ended one left behind is cleared.

    Parameters
    ----------
    texts
        Texts by file; a link stays one, and what it leads to is replaced.
    check
        Called just before files are moved, while no other program of the workbook writes there; an error that it
        raises ends the writing.

    Raises
    ------
    OSError
        When a folder cannot be written, or a target is write-protected or not a file; nothing has then changed.
    InputError
        When a name is that of a device on some systems.
    """
    _write(list(texts.items()), check)


def write_set(texts: Mapping[Path, str], note: Path, finished: str, unfinished: str) -> None:
    """Write files that belong together like `write_all`, and a note that says so.

    While the files are moved the note says `unfinished`; a program that is ended there leaves it saying so.

    Raises
    ------
    OSError
        As `write_all`.
    """
    _write([(note, unfinished), *texts.items(), (note, finished)], lambda: None)


def write_new(path: Path, text: str) -> None:
    """Write a UTF-8 file that is not there yet; one that is there stays as it is.

    Raises
    ------
    FileExistsError
        When there is something of that name, be it a link that leads nowhere.
    OSError
        When the file cannot be written; no part of it then stays.
    """

    def check() -> None:
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))

    check()
    write_all({path: text}, check)


def _write(texts: Sequence[tuple[Path, str]], check: Callable[[], None]) -> None:
    targets = [(_target(named), text) for named, text in texts]
    with contextlib.ExitStack() as stack:
        for folder in sorted({path.parent for path, _ in targets}):
            _clear(folder, stack.enter_context(_alone(folder)))
        waiting: list[tuple[Path, Path]] = []
        try:
            for path, text in targets:
                handle, name = tempfile.mkstemp(dir=path.parent, prefix=PART)
                waiting.append((Path(name), path))
                with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
                    stream.write(text)
                    stream.flush()
                    os.fsync(stream.fileno())
                Path(name).chmod(_mode(path))
            check()
            for temporary, path in waiting:
                temporary.replace(path)
        finally:
            for temporary, _ in waiting:
                temporary.unlink(missing_ok=True)


def _target(named: Path) -> Path:
    """Return the file that a name leads to, which is missing or a file that may be written."""
    if PureWindowsPath(named.name).stem.partition(".")[0].strip().lower() in _DEVICES:
        problem = "is the name of a device on some systems"
        raise InputError(problem, where=str(named), remedy="choose another name")
    path = Path(os.path.realpath(named))
    if named.is_symlink() and not named.exists():
        raise OSError(errno.ENOENT, "it is a link that leads nowhere", str(named))
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is not a file", str(named))
    # the owner of the computer may write it all the same, but has said not to
    if path.exists() and not path.stat().st_mode & 0o222:
        raise OSError(errno.EACCES, "it is write-protected", str(named))
    return path


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[bool]:
    """Keep other programs of the workbook from writing in a folder; yield False where the system has no such lock.

    The system lifts the lock when a program ends, however it ends.
    """
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        yield False
        return
    try:
        yield _locked(handle, folder)
    finally:
        os.close(handle)


def _locked(handle: int, folder: Path) -> bool:
    if fcntl is None:
        return False
    last = time.monotonic() + PATIENCE
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > last:
                raise OSError(errno.EAGAIN, "another program is writing there", str(folder)) from None
            time.sleep(0.01)
        except OSError:  # some network drives have no locks
            return False
        else:
            return True


def _clear(folder: Path, alone: bool) -> None:
    """Remove what ended programs left behind; without a lock only what is old."""
    for left in folder.glob(f"{PART}*"):
        with contextlib.suppress(OSError):
            if alone or time.time() - left.lstat().st_mtime > STALE:
                left.unlink()


def _mode(path: Path) -> int:
    """Permissions for the new file: those of the old one, else the usual ones less the umask."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
