"""Times of the receiving chain: all cables on five bands, a cutting plan, and from a slider to the table.

Run as ``python tests/benchmarks/receive.py``.
"""

import numpy as np
from stopwatch import median_ms

import workbook as wb
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


def main() -> None:
    """Print the times."""
    cases, runs = bands(), wb.CableRuns("15 m", 8, "250 m")
    prices = {name: 0.3 + 0.1 * n for n, name in enumerate(wb.suitable_cables())}
    wb.cable_comparison(None, runs, cases, "10 dB", prices)  # line constants are ready after this
    whole = median_ms(lambda: wb.cable_comparison(None, runs, cases, "10 dB", prices))
    print(f"all {len(prices)} coaxial cables on {len(cases)} bands, line constants ready: {whole:.0f} ms")

    def moved() -> None:
        found = wb.cable_comparison(None, wb.CableRuns("15 m", 8, "251 m"), cases, "10 dB", prices)
        cable_table(found).html()
        recommendation_sentences(found)

    print(f"slider (length of the receiver run) to table: {median_ms(moved):.0f} ms")
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
