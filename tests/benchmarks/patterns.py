"""Speed of the array's figures, as ratios taken in one run.

    python tests/benchmarks/patterns.py

Timings on a shared machine are noisy, so each line tells how often one thing takes as long as another measured right
before or after it.
"""

import numpy as np
from stopwatch import interleaved_ms, median_ms

import workbook as wb
from workbook.array.layout import projections
from workbook.files import shipped
from workbook.plan.designs import load_design
from workbook.plan.sweeps import frequency_sweep, spacing_sweep

RING = wb.ring(8, "42 m", "0 deg")
LAND = wb.Ground(13, "5 mS/m")
HERTZ, ELEVATION = 1.83e6, np.radians(20.0)


def by_grid(weights: np.ndarray) -> np.ndarray:
    """Return the RDF of weights (M, 8) as a ratio by a grid of one degree whose steering matrix is shared."""
    return np.abs(weights @ STEERING) ** 2 @ SOLID


_EL, _AZ = np.meshgrid(np.radians(np.arange(0.5, 90)), np.radians(np.arange(360.0)), indexing="ij")
STEERING = np.exp(
    1j * 2 * np.pi * HERTZ / 299_792_458.0 * np.cos(_EL.ravel()) * projections(RING.metres, _AZ.ravel()).T
)
SOLID = (np.cos(_EL) ** 3).ravel()


def many_weights() -> None:
    """Print RDF of 10,000 weight vectors on 8 elements against the bare form, and against a grid."""
    random = np.random.default_rng(1)
    weights = random.normal(size=(10_000, 8)) + 1j * random.normal(size=(10_000, 8))
    whole = wb.Firing(RING, weights, "1.83 MHz", "0 deg", "20 deg", LAND).arrival.noise_matrix

    def anew() -> None:
        wb.rdf(wb.Firing(RING, weights, "1.83 MHz", "0 deg", "20 deg", LAND))

    ours, bare = interleaved_ms(
        anew,
        lambda: np.einsum("mn,mn->m", weights.conj() @ whole, weights).real,
    )
    print(f"RDF of 10,000 weight vectors on 8 elements, Firing made anew: {ours / bare:.2f} of w^H B w (aim at most 2)")
    grid = median_ms(lambda: by_grid(weights[:200]), times=3) * 50
    print(f"  the same by a grid of 1 degree with a shared steering matrix takes {grid / ours:.0f} times as long")


def fewest() -> None:
    """Print the time of the search with two lines, three bands, a ring of eight, against a bare form of one million."""
    bands = wb.Quantity([1.83, 3.65, 7.1], "MHz")
    taken = median_ms(lambda: wb.fewest_delays(RING, bands, "0 deg", "20 deg", LAND, 2), times=3)
    values = np.random.default_rng(2).normal(size=(1_000_000, 8))
    unit = median_ms(lambda: np.cos(values), times=3)
    print(f"fewest delays, two lines, three bands, ring of eight: {taken:.0f} ms, {taken / unit:.1f} of 8e6 cosines")


def sliders() -> None:
    """Print what each slider's recomputation takes, against the plan of an aligned ring."""
    design = load_design(shipped("notebooks") / "heron-fen-ring.toml")
    plan = median_ms(design.plan)
    print(f"plan of the demo ring: {plan:.1f} ms; in its units:")
    others = {
        "end-fire": {("phasing", "rule"): "endfire"},
        "greatest RDF": {("phasing", "rule"): "greatest-rdf", ("phasing", "least_white_noise_gain"): "-8 dB"},
        "fewest delays, found before": {("phasing", "rule"): "fewest-delays", ("phasing", "lines"): 2},
    }
    for name, changes in others.items():
        changed = design.changed(changes)
        print(f"  plan, {name}: {median_ms(changed.plan) / plan:.1f}")
        swept = median_ms(lambda c=changed: spacing_sweep(c.stages(), "north"), times=5)
        print(f"  RDF and white-noise gain against spacing, {name}: {swept / plan:.1f}")
    swept = median_ms(lambda: frequency_sweep(design.stages(), "north"), times=5)
    print(f"  RDF against frequency: {swept / plan:.1f}")


if __name__ == "__main__":
    many_weights()
    fewest()
    sliders()
