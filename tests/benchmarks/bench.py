"""Times of the bench: a sweep to its verdict, parts into sets, the pictures of a sweep.

Run as ``python tests/benchmarks/bench.py``.
"""

import numpy as np
from stopwatch import interleaved_ms, median_ms

import workbook as wb
from workbook.figures.measuring import distance_chart, sweep_chart

HERTZ = wb.Quantity(np.linspace(0.1e6, 60e6, 1001), "Hz")


def two_ports() -> wb.Sweep:
    """Return a sweep of 1,001 points through 25 m of cable, with noise."""
    network = wb.cable("series-6-copper").network(HERTZ, "25 m")
    rng = np.random.default_rng(0)
    noise = 1e-3 * (rng.normal(size=network.s.shape) + 1j * rng.normal(size=network.s.shape))
    return wb.Sweep(HERTZ, network.s + noise, "50 ohm")


def verdict(sweep: wb.Sweep) -> str:
    """Return the verdict on a piece by its sweep."""
    cable = wb.cable("series-6-copper")
    line = wb.measure_line(through=sweep, length="25 m", cable=cable)
    return wb.trim_advice(cable, line.check_frequency, "98 ns", "1.83 MHz").verdict


def parts(count: int) -> dict[str, wb.Quantity]:
    """Return measured chokes."""
    rng = np.random.default_rng(0)
    return {f"C{n}": wb.Quantity(float(rng.normal(100, 7)), "uH") for n in range(count)}


def main() -> None:
    """Print the times."""
    sweep, chokes = two_ports(), parts(200)
    whole, scalar = interleaved_ms(
        lambda: verdict(sweep), lambda: wb.check_frequency(wb.cable("series-6-copper"), "25 m")
    )
    print(f"two-port sweep of 1,001 points to verdict: {whole:.0f} ms, {whole / scalar:.0f} check frequencies solved")
    print(f"200 parts into sets of four, proven: {median_ms(lambda: wb.matched_sets(chokes, 4)):.0f} ms")
    pairs = median_ms(lambda: wb.matched_pairs_in_series(chokes, 50), 5)
    print(f"50 pairs in series of 200 parts, proven: {pairs:.0f} ms")
    response = wb.distance_response(sweep, wb.cable("series-6-copper"))
    drawn = median_ms(lambda: sweep_chart(sweep, 2.4e6, 2.3e6).svg())
    over = median_ms(lambda: distance_chart(response, 40.0).svg())
    print(f"redraw of the sweep: {drawn:.1f} ms, of the distance: {over:.1f} ms")


if __name__ == "__main__":
    main()
