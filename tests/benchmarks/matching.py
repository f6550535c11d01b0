"""Speed of comparing ways to match, in one run: `python tests/benchmarks/matching.py`.

All ways on 1,000 frequencies, line constants computed beforehand, against the same ways built one by one with
scikit-rf networks. Printed, never asserted: timings on shared machines are noisy, ratios from one run much less.
"""

from typing import Any

import numpy as np
import skrf
from stopwatch import median_ms

import workbook as wb
from workbook.matching.match import Match
from workbook.matching.parts import Resistor, Section
from workbook.tables.matching import ranking

HERTZ = np.linspace(1.8e6, 4.0e6, 1000)
BANDS = ("160 m", "80 m")
C = 299_792_458.0


def library_part(part: Any, grid: Any, plain: Any, constants: dict[str, Any]) -> Any:
    """Return one part as a scikit-rf network between 50 and 50 ohm."""
    if isinstance(part, Section):
        gamma, impedance = constants[part.cable.name]
        media = skrf.media.DefinedGammaZ0(grid, z0_port=50, z0=impedance / part.count, gamma=gamma)
        return media.line(part.metres, "m")
    if isinstance(part, Resistor):
        resistor = plain.resistor(part.ohms)
        return plain.shunt(resistor ** plain.short()) if part.is_shunt else resistor
    omega = 2 * np.pi * HERTZ
    first, second = (part.henry_per_turn2 * n**2 for n in (part.source_turns, part.load_turns))
    leaking = (1 - part.coupling) * (1j + 1 / part.winding_q)
    shared = part.coupling * omega / (1 / part.core_q - 1j)
    z = np.empty((len(HERTZ), 2, 2), complex)
    z[:, 0, 0], z[:, 1, 1] = (leaking * omega + shared) * first, (leaking * omega + shared) * second
    z[:, 0, 1] = z[:, 1, 0] = shared * np.sqrt(first * second)
    return skrf.Network(frequency=grid, s=skrf.network.z2s(z, 50), z0=50)


def by_library(match: Match, constants: dict[str, Any]) -> Any:
    """Return SWR at both ends, loss and phase of one way by scikit-rf."""
    grid = skrf.Frequency.from_f(HERTZ, unit="Hz")
    plain = skrf.media.DefinedGammaZ0(grid, z0_port=50, z0=50, gamma=1j)
    whole = plain.thru()
    for part in match.parts:
        whole = whole ** library_part(part, grid, plain, constants)
    whole.renormalize([match.source_ohms, match.load_ohms])
    return whole.s_vswr[:, 0, 0], whole.s_vswr[:, 1, 1], -whole.s_db[:, 1, 0], whole.s_deg_unwrap[:, 1, 0]


def main() -> None:
    """Print the times and their ratio."""
    matches = wb.compare_matches("75 ohm", "50 ohm", BANDS)
    cables = {line.cable.name: line.cable for match in matches for line in match.sections}
    constants = {name: cable.constants(HERTZ) for name, cable in cables.items()}
    frequency = wb.Quantity(HERTZ, "Hz")

    ours = median_ms(lambda: [match.response(frequency) for match in matches])
    theirs = median_ms(lambda: [by_library(match, constants) for match in matches])
    away = max(
        float(np.abs(match.insertion_loss(frequency).m_as("dB") - by_library(match, constants)[2]).max())
        for match in matches
    )
    print(f"all {len(matches)} ways on {len(HERTZ)} frequencies: {ours:.2f} ms, scikit-rf one by one {theirs:.2f} ms")
    print(f"  ratio {theirs / ours:.1f} (aim 10), losses agree to {away:.1e} dB")
    compare = median_ms(lambda: wb.compare_matches("75 ohm", "50 ohm", BANDS))
    table = median_ms(lambda: ranking(matches, BANDS))
    print(f"slider: choosing and ranking all ways {compare:.1f} ms, their table {table:.1f} ms")


if __name__ == "__main__":
    main()
