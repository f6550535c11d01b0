"""Make the practice set: simulated sweeps of every piece of the demo ring, with four planted faults.

    python tests/bench/make_practice.py

Lines of scikit-rf's coaxial media with noise, not the workbook's line model. The answers stand in `test_practice.py`.
"""

from pathlib import Path

import numpy as np
import skrf
from simulated import media

import workbook as wb
from workbook.files import demo, shipped
from workbook.plan.single_faults import SingleFault, level_changes, source, toward_and_away
from workbook.plan.trimming import RUN, line_of, piece_names

FOLDER = shipped("notebooks") / "practice"
HERTZ = np.arange(0.2e6, 40.1e6, 0.2e6)
NOISE = 1e-3
CONNECTOR_NS = 0.11
VELOCITY, OTHER_REEL = 0.846, 0.822
LONG_RUN, LONG_M = "run 3", 0.4
OTHER_LINE = "B1"
JOINT_RUN, JOINT_M, JOINT_OHM = "run 6", 9.0, 25.0
SWAPPED = (4, 7)
SOURCE = source("160 m", "60 deg")
NOTE = "! simulated practice sweep, far end open; made by scikit-rf, measured on nothing"


def length_of(seconds: float, hertz: float) -> float:
    """Return the length [m] of the practice cable that has a delay with both connectors on."""
    medium = media(np.array([hertz, hertz * 1.01]), velocity=VELOCITY)
    return float((seconds - 2e-9 * CONNECTOR_NS) * 2 * np.pi * hertz / medium.gamma.imag[0])


def piece(name: str, metres: float) -> skrf.Network:
    """Return the sweep of a piece with its connectors, and its planted fault if it has one."""
    medium = media(HERTZ, velocity=OTHER_REEL if name == OTHER_LINE else VELOCITY)
    end = skrf.media.DefinedGammaZ0(medium.frequency, z0_port=50, z0=75, gamma=2j * np.pi * HERTZ * CONNECTOR_NS * 1e-9)
    metres += LONG_M if name == LONG_RUN else 0.0
    network = end.line(1, "m")
    if name == JOINT_RUN:
        network = network ** medium.line(JOINT_M, "m") ** medium.resistor(JOINT_OHM)
        metres -= JOINT_M
    return network ** medium.line(metres, "m") ** end.line(1, "m") ** medium.open()


def text_of(network: skrf.Network, rng: np.random.Generator) -> str:
    """Return a Touchstone file with noise."""
    s = network.s[:, 0, 0] + NOISE * (rng.normal(size=len(HERTZ)) + 1j * rng.normal(size=len(HERTZ))) / np.sqrt(2)
    rows = (f"{hertz / 1e6:.1f} {one.real:.6f} {one.imag:.6f}" for hertz, one in zip(HERTZ, s, strict=True))
    return "\n".join((NOTE, "# MHz S RI R 50", *rows, ""))


def files() -> dict[Path, str]:
    """Return every file of the practice set."""
    plan, rng = wb.load_design(demo()).stages(), np.random.default_rng(2026)
    hertz = plan.design.cut_hertz
    run = next(band for band in plan.element_runs.bands if band.name == plan.cut_band).electrical_length_deg
    of_runs = run / 360 / hertz
    lines = {name: line_of(plan, name) for name in piece_names(plan)}
    delays = {name: of_runs if line == RUN else plan.line(line).delay_s for name, line in lines.items()}
    found = {}
    for name, seconds in delays.items():
        found[FOLDER / f"{name.replace(' ', '-')}.s1p"] = text_of(piece(name, length_of(seconds, hertz)), rng)
    rows = ["# simulated: change of level in dB when element 1, 2, ... is disconnected; signal from 60 deg on 160 m"]
    for direction in toward_and_away(plan, SOURCE):
        levels = level_changes(plan, SOURCE, direction, SingleFault("swapped", SWAPPED)) + rng.normal(0, 0.3, 8)
        rows.append(f"{direction}: {', '.join(f'{level:.1f}' for level in levels)}")
    found[FOLDER / "levels.txt"] = "\n".join((*rows, ""))
    return found


def main() -> None:
    """Write the files."""
    FOLDER.mkdir(exist_ok=True)
    for path, text in files().items():
        path.write_text(text)


if __name__ == "__main__":
    main()
