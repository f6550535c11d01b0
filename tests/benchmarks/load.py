"""How the time of a plan grows with elements, directions and bands, and what the greatest design takes; by processor.

    python tests/benchmarks/load.py

Growth is printed as the slope on log axes: 1 means that twice as many take twice as long. The elements stand on no
regular grid, so that every delay is another one and nothing is saved by equal lines.
"""

import itertools
import json
import math
import os
import resource
import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import workbook as wb
from workbook.files import shipped
from workbook.report.files import write_sheets

FREQUENCIES = (1.83, 3.65, 5.36, 7.1, 10.12, 14.2, 18.1, 21.2)
LARGEST = 64, 72, 5


def design(folder: Path, elements: int, directions: int, bands: int) -> Path:
    """Write a design file of this size."""
    places = [
        [f"{20 * (n % 8) + 0.37 * (n // 8):.2f} m", f"{20 * (n // 8) + 0.53 * (n % 8):.2f} m"] for n in range(elements)
    ]
    lines = [
        'name = "Load"\n[bands]',
        *(f'"{n} m" = "{megahertz} MHz"' for n, megahertz in enumerate(FREQUENCIES[:bands], 1)),
        f'[array]\nkind = "custom"\npositions = {json.dumps(places)}',
        '[phasing]\nrule = "aligned"\n[cables]\ndelay_line = "series-6-copper"',
        *(f'[[directions]]\nname = "d{n}"\nazimuth = "{360 * n / directions} deg"' for n in range(directions)),
    ]
    path = folder / "load.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def seconds(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return processor time and result, so that other programs do not count."""
    begun = time.process_time()
    found = work()
    return time.process_time() - begun, found


def growth(folder: Path) -> None:
    """Print the time of a plan against one size after the other, the others at 16 elements, 16 directions, 2 bands."""
    for place, (what, sizes) in enumerate(
        {"elements": (8, 16, 32, 64), "directions": (8, 16, 32, 64), "bands": (1, 2, 4, 8)}.items()
    ):
        taken = []
        for size in sizes:
            whole = [16, 16, 2]
            whole[place] = size
            taken.append(min(seconds(wb.load_design(design(folder, *whole)).plan)[0] for _ in range(2)))
        steps = zip(itertools.pairwise(sizes), itertools.pairwise(taken), strict=True)
        slopes = [math.log(after / before) / math.log(more / fewer) for (fewer, more), (before, after) in steps]
        listed = ", ".join(f"{size}: {second:.2f} s" for size, second in zip(sizes, taken, strict=True))
        print(f"{what:10s} {listed}; slopes {', '.join(f'{slope:.2f}' for slope in slopes)}")


def largest(folder: Path) -> None:
    """Print time, size and memory of the greatest design."""
    elements, directions, bands = LARGEST
    path = design(folder, *LARGEST)
    taken, plan = seconds(lambda: wb.load_design(path).plan())
    more, text = seconds(lambda: json.dumps(plan.to_dict()))
    print(f"{elements} elements, {directions} directions, {bands} bands: {len(plan.delay_lines)} lines")
    print(f"plan and JSON {taken + more:.1f} s (aim 5), {len(text) / 1e6:.1f} MB")
    taken, written = seconds(lambda: write_sheets(plan, folder / "sheets"))
    print(f"sheets {taken:.1f} s (aim 5), {sum(each.stat().st_size for each in written) / 1e6:.1f} MB (aim 5)")


def cables(folder: Path) -> None:
    """Print how long each worksheet takes to open with 1,000 cables of one's own."""
    own, sheets = folder / "cables", folder / "worksheets"
    own.mkdir()
    text = (shipped("cable_data") / "series-6-clad.toml").read_text(encoding="utf-8")
    for number in range(1000):
        (own / f"own-{number:04d}.toml").write_text(text, encoding="utf-8")
    os.environ["FEEDLINE_WORKBOOK_CABLES"] = str(own)
    sheets.mkdir()
    for path in shipped("notebooks").glob("*.toml"):
        shutil.copy(path, sheets)
    os.chdir(sheets)
    print(f"{len(wb.cables())} cables; worksheets open in (aim 3 s):")
    for path in sorted(shipped("notebooks").glob("*.ipynb")):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        code = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
        print(f"  {path.stem} {seconds(lambda code=code: exec(code, {}))[0]:.2f} s")  # type: ignore[misc]


def sweep(folder: Path) -> None:
    """Print how long a sweep of two million rows takes to read."""
    path = folder / "long.s1p"
    with path.open("w", encoding="utf-8") as stream:
        stream.write("# Hz S RI R 50\n")
        stream.writelines(f"{number} 0.5 -0.25\n" for number in range(1, 2_000_001))
    print(f"sweep of 2,000,000 rows {seconds(lambda: wb.read_sweep(path))[0]:.1f} s (aim 5)")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        for part in (sweep, growth, largest, cables):
            part(Path(scratch))
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
            print(f"greatest memory so far {peak:.0f} MB")
        os.chdir("/")
