"""Readings off by the same share: pieces of a reel of another velocity factor, measured as first cut."""

import datetime

import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.cuts import design_cable
from workbook.plan.reel_velocity import measured_velocity, reel_velocity, velocity_changes

DESIGN = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")


@pytest.fixture(scope="module")
def plan():
    return DESIGN.stages()


def first_cuts(plan, factor, off=(0, 0, 0, 0)):
    """What an analyser shows on first cuts from a reel whose velocity factor is so much greater [Hz]."""
    made_of = design_cable(plan.design, "series-6-copper")
    true = made_of.with_velocity_factor(made_of.velocity_factor("1.84 MHz") * factor, "1.84 MHz")
    found = {}
    for line, millimetres in zip(plan.delay_lines, off, strict=True):
        length = wb.Quantity(line.first_cut_m - 0.028 + millimetres / 1000, "m")
        found[line.label] = wb.check_frequency(true, length, "open", "0.11 ns").m_as("Hz")
    return found


def outside(plan, readings):
    """How many readings are not those of a piece that is good already."""
    checks = [(plan.line(label).check, hertz) for label, hertz in readings.items()]
    return sum(not check.least_good_hz <= hertz <= check.greatest_good_hz for check, hertz in checks)


@pytest.mark.parametrize("factor", [0.97, 0.99, 1.006, 1.02])
def test_the_velocity_factor_of_the_reel_is_found_from_its_first_cuts(plan, factor):
    found = reel_velocity(plan, first_cuts(plan, factor))
    assert found.velocity_factor == pytest.approx(0.829 * factor, rel=0.01)
    assert found.velocity_factor / found.assumed == pytest.approx(factor, abs=2e-4)
    assert found.readings == outside(plan, first_cuts(plan, factor))


def test_lines_planned_with_it_need_no_other_length(plan):
    changed = DESIGN.changed(reel_velocity(plan, first_cuts(plan, 1.02)).changes())
    true = design_cable(changed.content, "series-6-copper")
    assert true.velocity_factor("1.84 MHz") == pytest.approx(1.02 * plan.delay_lines[0].velocity_factor, abs=2e-4)
    assert reel_velocity(changed.stages(), first_cuts(changed.stages(), 1.0)) is None


def test_readings_that_differ_are_not_one_reel(plan):
    one, other = first_cuts(plan, 1.02), first_cuts(plan, 0.99)
    assert reel_velocity(plan, {"A": one["A"], "B": other["B"]}) is None


def test_cutting_errors_of_a_few_millimetres_still_agree(plan):
    found = reel_velocity(plan, first_cuts(plan, 1.012, (3, -5, 8, -10)))
    assert found.velocity_factor / found.assumed == pytest.approx(1.012, abs=1e-3)


def test_one_reading_is_not_enough(plan):
    assert reel_velocity(plan, {"A": first_cuts(plan, 1.02)["A"]}) is None


def test_trimmed_pieces_say_nothing_about_their_reel(plan):
    assert reel_velocity(plan, {line.label: line.check.frequency_hz for line in plan.delay_lines}) is None


def test_slips_and_pieces_of_other_cables_are_passed_over(plan):
    readings = first_cuts(plan, 1.02) | {"match 1": 5e6, "run": 1e9}
    assert reel_velocity(plan, readings).readings == outside(plan, first_cuts(plan, 1.02))


def test_the_mean_of_measured_pieces_goes_into_the_design():
    """Three pieces of one reel with tape errors: the weighted mean lies nearer than each, and the plan cuts by it."""
    cable = wb.cable("series-6-copper")
    true = cable.with_velocity_factor(0.84, "1.84 MHz")
    lines = []
    for metres, off in ((20.0, 0.006), (30.0, -0.005), (25.0, 0.002)):
        seen = wb.check_frequency(true, wb.Quantity(metres, "m"))
        lines.append(wb.measure_resonance(cable, seen, length=wb.Quantity(metres + off, "m")))
    mean = measured_velocity(lines, "1.84 MHz")
    assert abs(mean.value - 0.84) < 2 * mean.uncertainty
    assert mean.uncertainty < min(line.velocity_factor("1.84 MHz").uncertainty for line in lines)
    changes = velocity_changes("series-6-copper", mean.value, 1.84e6, datetime.date(2026, 11, 26))
    changed = DESIGN.changed(changes)
    assert changed.content.velocity_factor["series-6-copper"].date == datetime.date(2026, 11, 26)
    assert changed.stages().delay_lines[0].velocity_factor == pytest.approx(mean.value, abs=5e-5)
