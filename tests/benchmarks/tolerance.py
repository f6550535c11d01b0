"""Speed and memory of the tolerance engine, as ratios taken in one run.

    python tests/benchmarks/tolerance.py

100,000 trials of 8 elements on one band, weights and positions random, RDF and front-to-back: against a sky grid for
each trial, and against the bare arithmetic (the same draws, phases, B(d) of 28 pairs and quadratic forms).
"""

import subprocess
import sys
import time
from pathlib import Path

import numpy as np

import workbook as wb
from workbook.array.firing import Firing
from workbook.tolerance.run import checked_model

HERTZ, ELEVATION, TRIALS = 1.83e6, np.radians(20.0), 100_000
LAND = wb.Ground(13, "5 mS/m")
RING = wb.ring(8, "42 m", "0 deg")
TOLERANCES = [
    wb.Tolerance("position", "normal", standard_uncertainty="5 cm"),
    wb.Tolerance("phase", "normal", standard_uncertainty="1 deg"),
    wb.Tolerance("amplitude", "normal", standard_uncertainty=0.02),
]


def firing() -> Firing:
    weights = wb.aligned_weights(RING, "1.83 MHz", "22.5 deg", "20 deg")
    return wb.Firing(RING, weights, "1.83 MHz", "22.5 deg", "20 deg", LAND)


def engine(trials: int = TRIALS) -> float:
    """Return how long the engine takes [s]."""
    start = time.perf_counter()
    wb.run_tolerance(firing(), TOLERANCES, trials, seed=1)
    return time.perf_counter() - start


def by_grid(n: int = 5) -> float:
    """Return how long a grid of 90 by 360 directions takes for all trials, from a few [s]."""
    model = checked_model(firing(), TOLERANCES, None, None, ())
    arrays = model.built(1, 0)
    xy = (model.metres[:, :, None] + arrays.moved.transpose(1, 0, 2)).transpose(2, 0, 1)
    w = np.ascontiguousarray(arrays.weights.T)
    el, az = np.meshgrid(np.radians(np.arange(0.5, 90)), np.radians(np.arange(360.0)), indexing="ij")
    U = np.stack((np.cos(el) * np.sin(az), np.cos(el) * np.cos(az)), axis=-1)
    p, cos_el, k = np.abs(LAND.element(HERTZ, el)) ** 2, np.cos(el), model.wave_number
    start = time.perf_counter()
    for t in range(n):
        F = np.exp(1j * k * (U @ xy[t].T)) @ w[t]
        power = np.abs(F) ** 2 * p
        (power * cos_el).sum()
    return (time.perf_counter() - start) / n * TRIALS


def floor() -> float:
    """Return how long the bare arithmetic takes [s]: blocks of 2048 trials that stay near the processor."""
    model = checked_model(firing(), TOLERANCES, None, None, ())
    series, block, n = model.series, 2048, 8
    one, other = np.triu_indices(n, 1)
    x0, y0 = model.metres.T[:, :, None]
    generator = np.random.Generator(np.random.Philox(1))
    w0, (kx, ky) = model.weights[:, None], model.across
    kept = np.empty((2, TRIALS + block), dtype=np.float32)
    start = time.perf_counter()
    for first in range(0, TRIALS, block):
        draws = generator.standard_normal((4, n, block))
        x, y = x0 + 0.05 * draws[0], y0 + 0.05 * draws[1]
        phase, size = np.radians(1) * draws[2], 1 + 0.02 * draws[3]
        turned, toward = np.empty((2, n, block), dtype=complex)
        turned.real, turned.imag = np.cos(phase), np.sin(phase)
        phase = kx * x + ky * y
        toward.real, toward.imag = np.cos(phase), np.sin(phase)
        w = w0 * size * turned
        front, back = (w * toward).sum(axis=0), (w * toward.conj()).sum(axis=0)
        re, im = w.real.copy(), w.imag.copy()
        t = ((x[one] - x[other]) ** 2 + (y[one] - y[other]) ** 2 - series.middle[:, None]) * series.scale[:, None]
        b = series.coefficients[0][:, None] * t
        for row in series.coefficients[1:-1]:
            b = (b + row[:, None]) * t
        b += series.coefficients[-1][:, None]
        noise = 2 * (b * (re[one] * re[other] + im[one] * im[other])).sum(axis=0)
        noise += series.alone * (re**2 + im**2).sum(axis=0)
        ahead = front.real**2 + front.imag**2
        kept[0, first : first + block] = 10 * np.log10(ahead * model.element_power / noise)
        kept[1, first : first + block] = 10 * np.log10(ahead / (back.real**2 + back.imag**2))
    return time.perf_counter() - start


def memory(trials: int) -> float:
    """Return the peak of memory of a process of its own that runs so many trials [MiB], 0 for none."""
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); import tolerance; tolerance.peak({trials})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(done.stdout)


def peak(trials: int) -> None:
    """Print this process's peak of memory after a run [MiB]; what the parent had does not count."""
    if trials:
        engine(trials)
    line = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
    print(int(line.split()[1]) / 1024)


def main() -> None:
    """Print ratios of interleaved runs, the least of each."""
    engine(4096)
    runs = [(engine(), floor(), by_grid()) for _ in range(5)]
    ours, bare, grid = (min(each) for each in zip(*runs, strict=True))
    print(f"100,000 trials of 8 elements, RDF and front-to-back: {ours:.2f} s")
    print(f"  a sky grid for each trial takes {grid / ours:.0f} times as long (aim 800)")
    print(f"  the bare arithmetic takes 1/{ours / bare:.2f} of it (aim at most 2)")
    own, whole = memory(0), memory(1_000_000)
    print(f"1,000,000 trials: peak of memory {whole - own:.0f} MiB above the interpreter's {own:.0f} MiB (aim 512)")


if __name__ == "__main__":
    main()
