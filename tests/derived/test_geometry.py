"""Plane geometry of rings, squares and rows, and the contract's example of a ring aligned toward a direction."""

from pathlib import Path

import numpy as np
import pytest

import workbook as wb

OCTAGON = "plane geometry of a regular octagon 42 m across corners"
CONTRACT = "the project's contract, design file and plan, example to check by hand"
C = 299_792_458.0


def _metres(layout):
    return layout.positions.m_as("m")


# --- the octagon ------------------------------------------------------------------------------------------


@pytest.fixture
def octagon():
    return _metres(wb.ring(8, "42 m", "0 deg"))


def test_sides_of_the_octagon(assert_printed, octagon):
    for one, other in zip(octagon, np.roll(octagon, -1, axis=0), strict=True):
        assert_printed(np.linalg.norm(other - one), "16.0727", source=OCTAGON)


def test_octagon_across_corners_and_between_parallel_sides(assert_printed, octagon):
    for number in range(4):
        assert_printed(np.linalg.norm(octagon[number] - octagon[number + 4]), "42.0000", source=OCTAGON)
    middles = (octagon + np.roll(octagon, -1, axis=0)) / 2
    for number in range(4):
        assert_printed(np.linalg.norm(middles[number] - middles[number + 4]), "38.8029", source=OCTAGON)


def test_chords_of_the_octagon(assert_printed, octagon):
    """Side 0.76537 R, next chord 1.41421 R, then 1.84776 R and 2 R."""
    for step, printed in ((1, "0.76537"), (2, "1.41421"), (3, "1.84776"), (4, "2.00000")):
        assert_printed(np.linalg.norm(octagon[step] - octagon[0]) / 21, printed, source=OCTAGON)


def test_rings_are_numbered_clockwise_from_north(octagon):
    assert octagon[0] == pytest.approx([0, 21], abs=1e-12)
    assert octagon[2] == pytest.approx([21, 0], abs=1e-12)
    assert octagon[1][0] > 0
    assert octagon[1][1] > 0


# --- square and row ---------------------------------------------------------------------------------------


def test_square(assert_printed):
    corners = _metres(wb.square("24 m", "45 deg"))
    assert corners == pytest.approx(np.array([[12, 12], [12, -12], [-12, -12], [-12, 12]]), abs=1e-12)
    assert_printed(np.linalg.norm(corners[2] - corners[0]), "33.941", source="diagonal of a square of 24 m")


def test_row():
    """Element 1 is nearest to the azimuth; all centred on the origin."""
    stakes = _metres(wb.row(3, "20 m", "90 deg"))
    assert stakes == pytest.approx(np.array([[20, 0], [0, 0], [-20, 0]]), abs=1e-12)


# --- the contract's example -------------------------------------------------------------------------------

DESIGN = (Path(__file__).parents[1] / "independent" / "contract-design.toml").read_text(encoding="utf-8")


def _plan(folder, **azimuths):
    """Plan of the contract's design file as printed, fired toward other azimuths where given."""
    printed = '[[directions]]\nname = "north-east"\nazimuth = "45 deg"\n'
    assert printed in DESIGN
    others = "".join(f'[[directions]]\nname = "{name}"\nazimuth = "{value}"\n' for name, value in azimuths.items())
    path = folder / "long-meadow.toml"
    path.write_text(DESIGN.replace(printed, others or printed), encoding="utf-8")
    return wb.load_design(path).plan().to_dict()


def _delays(plan, direction=0):
    return [feed["delay_s"] for feed in plan["directions"][direction]["elements"]]


def test_contract_design_loads_as_printed(tmp_path):
    plan = _plan(tmp_path)
    assert plan["name"] == "Long Meadow"
    assert plan["directions"][0]["azimuth_deg"] == pytest.approx(45)


def test_delays_of_the_contract_s_example(assert_printed, tmp_path):
    wanted = ["121.627", "121.627", "86.003", "35.624", "0.000", "0.000", "35.624", "86.003"]
    plan = _plan(tmp_path, between="22.5 deg")
    for delay, printed in zip(_delays(plan), wanted, strict=True):
        assert_printed(delay * 1e9, printed, source=CONTRACT)
    lines = [feed["line"] for feed in plan["directions"][0]["elements"]]
    assert lines == ["C", "C", "B", "A", None, None, "A", "B"]
    for line, printed in zip(plan["delay_lines"], ("35.624", "86.003", "121.627"), strict=True):
        assert_printed(line["delay_s"] * 1e9, printed, source=CONTRACT)


def test_rows_when_fired_between_two_elements(assert_printed, tmp_path):
    """Delay over the cosine of the elevation is distance: four rows, the outer 11.3651 m from the inner."""
    plan = _plan(tmp_path, between="22.5 deg")
    rows = sorted({round(delay * C / np.cos(np.radians(20)), 6) for delay in _delays(plan)})
    assert len(rows) == 4
    assert_printed(rows[1] - rows[0], "11.3651", source=OCTAGON)
    assert_printed(rows[3] - rows[2], "11.3651", source=OCTAGON)
    assert_printed(rows[3] - rows[0], "38.8029", source=OCTAGON)


def test_the_wave_waits_longest_at_the_element_it_meets_first(tmp_path):
    plan = _plan(tmp_path, north="0 deg", east="90 deg")
    assert np.argmax(_delays(plan, 0)) == 0
    assert np.argmax(_delays(plan, 1)) == 2
    assert _delays(plan, 0)[4] == _delays(plan, 1)[6] == 0
