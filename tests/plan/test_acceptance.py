"""The error at which a line is good: what keeps the pattern, between limits, unless the design says it."""

import itertools

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.firings import firing


def demo(name, **keys):
    changes = {("cutting", "accept"): None, **{("array", key): value for key, value in keys.items()}}
    return wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml").changed(changes)


def worst(plan, degrees):
    """RDF and front-to-back lost with every line off by so much on the cut band, of all combinations: one by one."""
    found = []
    for one, band in itertools.product(plan.directions, plan.bands):
        planned = firing(plan, one.name, band.name)
        labels = sorted({feed.line for feed in one.elements if feed.line})
        for signs in itertools.product((-1, 1), repeat=len(labels)):
            late = dict(zip(labels, signs, strict=True))
            turns = np.array([late.get(feed.line, 0) for feed in one.elements]) * degrees / 360
            scale = band.frequency_hz / plan.band(plan.cut_band).frequency_hz
            weights = planned.weights * np.exp(-2j * np.pi * turns * scale)
            off = wb.Firing(
                planned.layout, weights, planned.frequency, planned.azimuth, planned.elevation, planned.ground
            )
            found.append([(figure(planned) - figure(off)).m_as("dB") for figure in (wb.rdf, wb.front_to_back)])
    return np.max(found, axis=0)


@pytest.mark.parametrize("name", ["ring", "square"])
def test_the_default_is_the_greatest_tenth_of_a_degree_that_keeps_the_pattern(name):
    plan = demo(name).plan()
    assert plan.accept_deg == pytest.approx(round(plan.accept_deg, 1))
    assert np.all(worst(plan, plan.accept_deg) <= (0.1, 1.0))
    if plan.accept_deg < 3:
        assert np.any(worst(plan, plan.accept_deg + 0.1) > (0.1, 1.0))
    assert "within 0.1 dB and front-to-back within 1 dB" in plan.accept_reason


def test_no_more_than_three_degrees_are_accepted():
    """Four elements over 60 m on 160 m alone lose little; the limit then says so."""
    plan = demo("square").plan()
    assert plan.accept_deg == 3
    assert "a greater error is not accepted" in plan.accept_reason


def test_no_less_than_a_fifth_of_a_degree_is_accepted():
    """Eight elements in so short a row have little signal left, and no RDF survives any error that can be cut."""
    plan = demo("row", count=8).plan()
    assert plan.accept_deg == 0.2
    assert plan.accept_reason.startswith("the least that can be cut and measured; beam ")


def within(plan, degrees):
    """Whether RDF is kept within 0.1 dB and front-to-back within 1 dB or at 20 dB: one combination at a time."""
    for one, band in itertools.product(plan.directions, plan.bands):
        for before, after in changed(plan, one, band, degrees):
            if before[0] - after[0] > 0.1 or after[1] < min(before[1] - 1, 20):
                return False
    return True


def changed(plan, one, band, degrees):
    """RDF and front-to-back [dB] before and after every piece of a ladder is off by so much."""
    planned = firing(plan, one.name, band.name)
    pieces = [line.label for line in plan.delay_lines]
    for signs in itertools.product((-1, 1), repeat=len(pieces)):
        # what enters the ladder farther out goes through every piece on its way
        late = dict(zip(pieces, np.cumsum(signs), strict=True))
        turns = np.array([late.get(feed.line, 0) for feed in one.elements]) * degrees / 360
        scale = band.frequency_hz / plan.band(plan.cut_band).frequency_hz
        weights = planned.weights * np.exp(-2j * np.pi * turns * scale)
        off = wb.Firing(planned.layout, weights, planned.frequency, planned.azimuth, planned.elevation, planned.ground)
        yield tuple(tuple(figure(on).m_as("dB") for figure in (wb.rdf, wb.front_to_back)) for on in (planned, off))


def test_a_front_to_back_beyond_20_db_need_not_be_kept():
    """The row's back is 24 dB down on 80 m, more than any small error leaves; 20 dB of it are enough."""
    plan = demo("row").plan()
    deepest = max(band.front_to_back_db for one in plan.directions for band in one.bands)
    assert deepest > 21
    assert within(plan, plan.accept_deg)
    assert not within(plan, plan.accept_deg + 0.1)
    assert worst_back(plan, plan.accept_deg) > 1


def worst_back(plan, degrees):
    places = itertools.product(plan.directions, plan.bands)
    return max(before[1] - after[1] for one, band in places for before, after in changed(plan, one, band, degrees))


def test_a_tight_error_names_the_beam_that_demands_it_and_what_a_degree_costs_there():
    plan = demo("row").plan()
    said = plan.accept_reason.partition("; beam ")[2]
    found = {
        (one.name, band.name): max(b[1] - a[1] for b, a in changed(plan, one, band, 1.0))
        for one, band in itertools.product(plan.directions, plan.bands)
    }
    (beam, band), lost = next((key, lost) for key, lost in found.items() if said.startswith(" on ".join(key)))
    assert said == f"{beam} on {band} demands it: at 1 deg its front-to-back falls by {lost:.1f} dB"
    assert lost > 1
    assert "demands" not in demo("ring").plan().accept_reason


def test_the_error_in_the_file_counts():
    plan = demo("ring").changed({("cutting", "accept"): "2.4 deg"}).plan()
    assert (plan.accept_deg, plan.accept_reason) == (2.4, "as the design says")


def test_the_default_written_out_makes_the_same_lines():
    plan = demo("ring").plan()
    written = demo("ring").changed({("cutting", "accept"): f"{plan.accept_deg} deg"}).plan()
    assert written.delay_lines == plan.delay_lines
    assert written.element_runs == plan.element_runs


def test_the_usual_error_is_accepted_where_no_pattern_is_known(plan):
    made = plan("square")
    assert (made.accept_deg, made.delay_lines[0].check.accept_hz > 0) == (1, True)
