"""Delays that share a line by choice, pieces of a ladder by name, and warnings of near lines and wide arrays."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.lists import cut_list
from workbook.report.sheets import labels, uses


@pytest.fixture(scope="module")
def measured():
    """The demo ring with every stake measured a few centimetres off."""
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    off = np.random.default_rng(3).uniform(-0.04, 0.04, (8, 2))
    places = wb.ring(8, "46 m", "0 deg").positions.m_as("m") + off
    rows = [[f"{east:.3f} m", f"{north:.3f} m"] for east, north in places]
    gone = dict.fromkeys((("array", "count"), ("array", "diameter"), ("array", "first_azimuth")))
    return ring.changed({**gone, ("array", "kind"): "custom", ("array", "positions"): rows})


def test_measured_stakes_make_many_lines_and_a_warning_tells_the_key(measured):
    plan = measured.plan()
    assert len(plan.delay_lines) > 10
    assert any('merge = "0.2 deg" under [hub]' in text for text in plan.warnings)


def test_merged_delays_share_a_line_within_half_of_what_was_allowed(measured):
    merged = measured.changed({("hub", "merge"): "1 deg"}).plan()
    assert len(merged.delay_lines) == 4
    assert not any("under [hub]" in text for text in merged.warnings)
    of = {line.label: line.delay_s for line in merged.delay_lines}
    for direction in merged.directions:
        for feed in direction.elements:
            served = of[feed.line] if feed.line else 0.0
            # a mean lies within the whole span of what it stands for, and what needs no line is below the limit
            assert 360 * 3.6e6 * abs(served - feed.delay_s) < 1


@pytest.mark.parametrize("text", ["0 deg", "-1 deg", "31 deg", "1", "1 m"])
def test_a_limit_that_is_none_is_refused(measured, refused, text):
    refused(lambda: measured.changed({("hub", "merge"): text}), "hub")


def test_pieces_of_a_ladder_are_named_from_tap_to_tap_and_serve_all_behind_them():
    plan = wb.load_design(shipped("notebooks") / "heron-fen-row.toml").plan()
    names = [row[0] for row in cut_list(plan).rows]
    assert names == ["run", "A to end", "B to A", "C to B"]
    # element 4 enters at tap C when fired over element 1, so its signal passes through every piece
    first = plan.directions[0]
    assert first.elements[3].line == "C"
    assert all("4 reversed" in uses(plan, label)[0] for label in "ABC")
    assert "3 reversed" not in uses(plan, "C")[0]
    assert "passes through all pieces" in labels(plan)


def test_an_array_wider_than_half_a_wavelength_between_neighbours_is_warned_of():
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    assert not any("other lobes" in text for text in ring.plan().warnings)
    # half a wavelength at 3.6 MHz is 41.64 m; neighbours of a ring of eight stand 0.38268 diameters apart
    wide = ring.changed({("array", "diameter"): "109 m"}).plan()
    assert any("other lobes" in text for text in wide.warnings)
    assert not any("other lobes" in text for text in ring.changed({("array", "diameter"): "108 m"}).plan().warnings)


def test_elements_that_a_rule_leaves_out_are_named():
    row = wb.load_design(shipped("notebooks") / "heron-fen-row.toml").changed({("array", "count"): 5})
    assert "Fired east-north-east, element 3 is off." in row.plan().warnings
