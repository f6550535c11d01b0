"""Delay lines that are cut already, and arrays of one position."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped


@pytest.fixture(scope="module")
def ring():
    return wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").changed({("cutting", "accept"): "0.2 deg"})


def test_lines_of_the_planned_lengths_give_the_planned_pattern(ring):
    exact = ring.plan()
    kept = ring.changed({("hub", "lines"): [f"{line.length_m:.12g} m" for line in exact.delay_lines]}).plan()
    assert [line.count for line in kept.delay_lines] == [line.count for line in exact.delay_lines]
    for old, new in zip(exact.delay_lines, kept.delay_lines, strict=True):
        assert new.length_m == pytest.approx(old.length_m, abs=1e-9)
    for old, new in zip(exact.directions, kept.directions, strict=True):
        assert [feed.line for feed in new.elements] == [feed.line for feed in old.elements]
        assert [band.rdf_db for band in new.bands] == pytest.approx([band.rdf_db for band in old.bands], abs=1e-6)
    assert any("0.00 dB of RDF and 0.0 dB of front-to-back" in text and "not matter" in text for text in kept.warnings)


def test_a_delay_and_the_length_that_makes_it_are_the_same_line(ring):
    """Between connectors of 0.11 ns a length is the velocity times what the connectors leave of the delay."""
    vf = wb.cable("series-6-copper").velocity_factor("1.84 MHz")
    metres = 299_792_458 * vf * (60e-9 - 2 * 0.11e-9)
    (one,) = ring.changed({("hub", "lines"): ["60 ns"]}).plan().delay_lines
    (other,) = ring.changed({("hub", "lines"): [f"{metres:.12g} m"]}).plan().delay_lines
    assert one.delay_s == pytest.approx(60e-9, abs=1e-18)
    assert other.delay_s == pytest.approx(60e-9, abs=1e-18)
    assert one.length_m == pytest.approx(metres, abs=1e-9)


def test_every_element_goes_through_the_line_of_the_nearest_delay(ring):
    kept = ring.changed({("hub", "lines"): ["30 ns", "100 ns", "700 ns"]}).plan()
    assert [line.delay_s for line in kept.delay_lines] == pytest.approx([30e-9, 100e-9])
    wanted = np.array([[feed.delay_s for feed in one.elements] for one in ring.plan().directions])
    given = np.array([[feed.delay_s for feed in one.elements] for one in kept.directions])
    choices = np.array([0.0, 30e-9, 100e-9])
    best = choices[np.abs(wanted[..., None] - choices).argmin(axis=-1)]
    assert given == pytest.approx(best, abs=1e-15)
    assert any("Not used of the lines under [hub]: 700 ns" in text for text in kept.warnings)


def test_what_kept_lines_cost_is_the_greatest_loss_of_all_directions_and_bands(ring):
    exact, kept = ring.plan(), ring.changed({("hub", "lines"): ["40 ns", "110 ns"]}).plan()
    pairs = [
        (before, after)
        for old, new in zip(exact.directions, kept.directions, strict=True)
        for before, after in zip(old.bands, new.bands, strict=True)
    ]
    rdf = max(a.rdf_db - b.rdf_db for a, b in pairs)
    back = max(a.front_to_back_db - b.front_to_back_db for a, b in pairs)
    assert any(f"at most {rdf:.2f} dB of RDF and {back:.1f} dB of front-to-back" in text for text in kept.warnings)


def test_kept_lines_are_not_among_the_cable_to_have_at_hand(ring):
    plan = ring.changed({("hub", "lines"): ["40 ns", "110 ns"]}).plan()
    assert {total.cable: total.pieces for total in plan.totals} == {"series-6-copper": 8, "series-11-clad": 1}


def test_a_line_that_is_needed_more_often_than_entered_is_named(ring):
    plan = ring.changed({("hub", "lines"): ["40 ns", "110 ns"], ("hub", "kind"): "ports"}).plan()
    needed = {line.label: line.count for line in plan.delay_lines}
    assert all(
        any(f"Line {label} is needed {count} times" in text for text in plan.warnings)
        for label, count in needed.items()
        if count > 1
    )


def test_pieces_of_a_ladder_add_up_to_its_taps(ring):
    plan = ring.changed({("hub", "lines"): ["40 ns", "60 ns"], ("hub", "kind"): "ladder"}).plan()
    assert [line.delay_s for line in plan.delay_lines] == pytest.approx([40e-9, 60e-9])
    delays = {feed.delay_s for one in plan.directions for feed in one.elements}
    assert sorted(delays) == pytest.approx([0.0, 40e-9, 100e-9])


def test_one_position_needs_no_delay_line_where_the_rule_takes_it(plan):
    one = {("array",): {"kind": "custom", "positions": [["10 m", "0 m"]]}}
    made = plan("square", one)
    assert made.delay_lines == ()
    assert made.element_runs.count == 1
    assert not any("inf" in text for text in made.warnings)


def test_a_rule_that_needs_rows_refuses_one_position(plan, refused):
    one = {
        ("array",): {"kind": "custom", "positions": [["10 m", "0 m"]]},
        ("phasing",): {"rule": "fewest-delays", "lines": 1, "cut_band": "160 m"},
    }
    refused(lambda: plan("square", one), "directions", "one row")
