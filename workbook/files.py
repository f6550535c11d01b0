"""Where shipped files lie, and writing that never leaves half a file."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


def shipped(folder: str) -> Path:
    """Return the folder `cable_data` or `notebooks`, from an installed wheel or from a checkout."""
    package = Path(__file__).parent
    installed = package / "shipped" / folder
    return installed if installed.is_dir() else package.parent / folder


def demo() -> Path:
    """Return the design file that is shown and planned where none is named."""
    return shipped("notebooks") / "heron-fen-ring.toml"


def write_all(texts: Mapping[Path, str]) -> None:
    """Write several UTF-8 files so that each is either the old one or the whole new one.

    Every text is first written beside its target; only when all are on disk are they moved into place.

    Raises
    ------
    OSError
        When a folder cannot be written; nothing has then changed.
    """
    waiting: list[tuple[str, Path]] = []
    try:
        for named, text in texts.items():
            # a link stays one: what it leads to is replaced
            path = named.resolve()
            handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
            waiting.append((temporary, path))
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            Path(temporary).chmod(_mode(path))
        for temporary, path in waiting:
            Path(temporary).replace(path)
    finally:
        for temporary, _ in waiting:
            Path(temporary).unlink(missing_ok=True)


def write_new(path: Path, text: str) -> None:
    """Write a UTF-8 file that is not there yet; one that is there stays as it is.

    Raises
    ------
    FileExistsError
        When there is something of that name, be it a link that leads nowhere.
    OSError
        When the file cannot be written; no part of it then stays.
    """
    with path.open("x", encoding="utf-8", newline="") as stream:
        try:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        except OSError:
            path.unlink(missing_ok=True)
            raise


def _mode(path: Path) -> int:
    """Permissions for the new file: those of the old one, else the usual ones less the umask."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
