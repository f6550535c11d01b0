"""Time of the command from shell to prompt, each beside starting Python with NumPy in the same run.

    python tests/benchmarks/command.py [OTHER]

OTHER is the folder of another version of the workbook, which is then measured in turn with this one. Seconds are those
of the processor, which other programs on the machine hardly change, and the median of several runs.
"""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
TIMES = 5
CALLS = {"plan": ("plan", "--out", "sheets"), "plan --json": ("plan", "--json")}


def seconds(code: str, source: Path, folder: str) -> float:
    """Return the processor time of one Python process that runs some code with the workbook of a folder."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "PYTHONPATH": str(source)}
    subprocess.run([sys.executable, "-c", code], cwd=folder, env=environment, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main(others: list[str]) -> None:
    """Print the time of every call."""
    sources = [HERE, *(Path(other).resolve() for other in others)]
    with tempfile.TemporaryDirectory() as folder:
        for name, arguments in CALLS.items():
            call = f"from workbook.cli import main; main({list(arguments)!r})"
            taken: dict[str, list[float]] = {}
            for _ in range(TIMES):
                taken.setdefault("numpy alone", []).append(seconds("import numpy", HERE, folder))
                for source in sources:
                    taken.setdefault(str(source), []).append(seconds(call, source, folder))
            middle = {what: statistics.median(times) for what, times in taken.items()}
            for source in map(str, sources):
                ratio = middle[source] / middle["numpy alone"]
                print(f"feedline-workbook {name}: {middle[source]:.2f} s, {ratio:.1f} of NumPy alone ({source})")


if __name__ == "__main__":
    main(sys.argv[1:])
