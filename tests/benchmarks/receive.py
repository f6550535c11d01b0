"""Times of the receiving chain: all cables on five bands, a cutting plan, and from a slider to the table.

Run as ``python tests/benchmarks/receive.py``.
"""

import shutil
import tempfile
from pathlib import Path

import numpy as np
from ipywidgets import FloatSlider
from stopwatch import interleaved_ms, median_ms

import workbook as wb
from workbook.files import shipped
from workbook.panels.front_end import FrontEndPanel
from workbook.panels.long_runs import LongRunsPanel
from workbook.tables.long_runs import cable_table, recommendation_sentences

BANDS = {"160 m": "1.83 MHz", "80 m": "3.65 MHz", "40 m": "7.1 MHz", "30 m": "10.12 MHz", "20 m": "14.2 MHz"}
RING = wb.ring(8, "20 m", "0 deg")


def bands() -> list[wb.ReceiveBand]:
    """Return the five bands of an eight-element ring."""
    element, receiver = wb.Stage("element", "-18 dB", "24 dB"), wb.Stage("receiver", "0 dB", "12 dB")
    found = []
    for name, frequency in BANDS.items():
        weights = wb.aligned_weights(RING, frequency, "22.5 deg", "20 deg")
        firing = wb.Firing(RING, weights, frequency, "22.5 deg", "20 deg", wb.Ground(13, "5 mS/m"))
        external = wb.external_noise(frequency, "quiet rural")
        found.append(wb.ReceiveBand(name, firing, external, element, after=(receiver,)))
    return found


def cuts(seed: int) -> tuple[list[tuple[str, wb.Quantity, None]], list[tuple[str, wb.Quantity]]]:
    """Return 40 pieces and 6 reels."""
    rng = np.random.default_rng(seed)
    pieces = [(f"p{n}", wb.Quantity(round(float(rng.uniform(9, 40)), 3), "m"), None) for n in range(40)]
    reels = [(f"r{n}", wb.Quantity(round(float(rng.uniform(170, 305)), 1), "m")) for n in range(6)]
    return pieces, reels


def worksheets(whole: float) -> None:
    """Print how long a move of a slider takes in the worksheets, beside the comparison of all cables [ms]."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        shutil.copy(shipped("notebooks") / "heron-fen-ring.toml", folder)
        front_end, long_runs = FrontEndPanel(folder), LongRunsPanel(folder)
    for name, slider in (
        ("element front end, height", front_end.design_controls.vertical.amounts["height"].slider),
        ("coax for long runs, receiver run", long_runs.design_controls.run.amounts["receiver_run"].slider),
    ):

        def move(slider: FloatSlider = slider) -> None:
            slider.value += slider.step

        took = median_ms(move)
        print(f"worksheet {name}: slider to tables and picture {took:.0f} ms, {took / whole:.1f} times all cables")


def main() -> None:
    """Print the times."""
    cases, runs = bands(), wb.CableRuns("15 m", 8, "250 m")
    prices = {name: 0.3 + 0.1 * n for n, name in enumerate(wb.suitable_cables())}
    wb.cable_comparison(None, runs, cases, "10 dB", prices)  # line constants are ready after this

    def moved() -> None:
        found = wb.cable_comparison(None, wb.CableRuns("15 m", 8, "251 m"), cases, "10 dB", prices)
        cable_table(found).html()
        recommendation_sentences(found)

    one, whole, table = interleaved_ms(
        lambda: wb.cable_comparison(["series-6-copper"], runs, cases, "10 dB"),
        lambda: wb.cable_comparison(None, runs, cases, "10 dB", prices),
        moved,
    )
    print(
        f"all {len(prices)} coaxial cables on {len(cases)} bands, line constants ready: {whole:.0f} ms, "
        f"{whole / one:.1f} times one cable; with table and choice written: {table:.0f} ms, {table / one:.1f} times"
    )
    worksheets(whole)
    for seed in range(3):
        pieces, reels = cuts(seed)
        plan = wb.cut_plan(pieces, reels, "5 mm", time_limit="20 s")
        once = median_ms(lambda p=pieces, r=reels: wb.cut_plan(p, r, "5 mm", time_limit="20 s"), 3)
        print(
            f"cutting plan of 40 pieces on 6 reels, limit 20 s: {once:.0f} ms, {len(plan.cuts)} reels, "
            f"proven {plan.proven}, gap {100 * plan.gap:.2f} %"
        )


if __name__ == "__main__":
    main()
