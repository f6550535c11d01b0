"""Copy the worksheets to a folder and open JupyterLab there, with our settings and not with the user's."""

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from urllib.parse import quote

from platformdirs import user_state_path

from workbook.errors import InputError
from workbook.files import shipped, write_all
from workbook.worksheets import STATE, remember_design, worksheets

_HERE = Path(__file__).parent
_COPIED = ("*.ipynb", "*.toml")


def fill(folder: Path) -> tuple[Path, ...]:
    """Copy to `folder` those shipped worksheets and design files that it lacks, and return the copies.

    Files that are there stay as they are, whatever they hold.

    Raises
    ------
    InputError
        When `folder` is a file or cannot be written.
    """
    originals = sorted(path for kind in _COPIED for path in shipped("notebooks").glob(kind))
    # lexists, because a link that leads nowhere is the user's too
    missing = {folder / path.name: path for path in originals if not os.path.lexists(folder / path.name)}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_all({copy: original.read_text(encoding="utf-8") for copy, original in missing.items()})
    except FileExistsError as error:
        raise InputError("is a file", where=str(folder), remedy="name a folder for the worksheets") from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputError(
            f"cannot be written to ({reason})", where=str(folder), remedy="name a folder of your own"
        ) from error
    return tuple(missing)


def environment(state: Path) -> dict[str, str]:
    """Return the variables that give JupyterLab our settings and keep what it remembers in `state`."""
    return {
        "JUPYTER_CONFIG_PATH": str(_HERE / "config"),
        # in place of ~/.jupyter, which would still count where our files say nothing
        "JUPYTER_CONFIG_DIR": str(state / "config"),
        "JUPYTERLAB_SETTINGS_DIR": str(state / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(state / "workspaces"),
        # where the worksheets keep which design was chosen
        STATE: str(state),
        # the user's own `python3` kernel may belong to a Python that has no workbook
        "JUPYTER_PREFER_ENV_PATH": "1",
        # a file beside the worksheets that is named like a module must not run in its place
        "PYTHONSAFEPATH": "1",
    }


def command(
    folder: Path,
    port: int | None = None,
    open_browser: bool = True,
    show_code: bool = False,
    options: Sequence[str] = (),
) -> list[str]:
    """Return the command line that serves `folder` to this machine only and opens its first worksheet.

    Without `port` JupyterLab takes its usual one, or one near by when that is taken; `options` are more of
    JupyterLab's own. The page is given titles and code fingerprints of the shipped worksheets, whose code alone runs
    unasked. With `show_code` worksheets are ordinary notebooks, to be edited.
    """
    page = {"worksheets": [asdict(sheet) for sheet in worksheets(shipped("notebooks"))], "showCode": show_code}
    return [
        *(sys.executable, "-m", "jupyterlab"),
        "--Application.log_level=ERROR",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--ServerApp.open_browser={open_browser}",
        f"--LabApp.default_url={_first_page(folder)}",
        f"--LabApp.extra_labextensions_path={_HERE / 'labextensions'}",
        f"--ServerApp.tornado_settings={ {'page_config_data': page} }",
        *(() if port is None else (f"--ServerApp.port={port}", "--ServerApp.port_retries=0")),
        *options,
    ]


def start(
    folder: Path,
    design: Path | None = None,
    open_browser: bool = True,
    show_code: bool = False,
    allow_root: bool = False,
) -> int:
    """Fill `folder`, run JupyterLab on it until it is ended (Ctrl-C does), and return its exit code.

    The worksheets open on `design`, or on the one chosen last; with `show_code` they are ordinary notebooks.

    Raises
    ------
    InputError
        When `folder` is a file or cannot be written, or root runs it without `allow_root`.
    """
    if not allow_root and hasattr(os, "geteuid") and os.geteuid() == 0:
        raise InputError(
            "whoever opens the worksheets may do all that root may",
            where="lab",
            remedy="run the command as an ordinary user, or add --allow-root where root is the only one",
        )
    fill(folder)
    state = user_state_path("feedline-workbook", appauthor=False)
    if design:
        remember_design(folder, design, state)
    print(f"The worksheets are in {folder.resolve()}; Ctrl-C ends JupyterLab.", flush=True)
    options = ("--ServerApp.allow_root=True",) if allow_root else ()
    serving = command(folder, open_browser=open_browser, show_code=show_code, options=options)
    with subprocess.Popen(serving, env={**os.environ, **environment(state)}) as server:
        return _wait(server)


def _wait(server: subprocess.Popen[bytes]) -> int:
    """Wait for the server to end; what ends this process ends the server, which ends its kernels."""
    signal.signal(signal.SIGTERM, lambda *_: server.terminate())
    while True:
        try:
            return server.wait()
        except KeyboardInterrupt:
            if not sys.stdin.isatty():  # a terminal's Ctrl-C has reached the server too, and once is enough
                server.terminate()


def _first_page(folder: Path) -> str:
    """Address of the first shipped worksheet in `folder`, or of JupyterLab itself when there is none."""
    names = sorted(path.name for path in shipped("notebooks").glob("*.ipynb"))
    there = [name for name in names if (folder / name).exists()]
    return f"/lab/tree/{quote(there[0])}" if there else "/lab"
