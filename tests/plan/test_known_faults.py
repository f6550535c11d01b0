"""Known faults of a plan's cables and elements: what each does to channels and pattern, in every kind of hub."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.formulas.lines import C
from workbook.plan.element_lines import cable_delays, element_lines
from workbook.plan.known_faults import CableFault, KnownFaults, dispersion, fault_reports, line_errors

LINES = {"ring": "ABCD", "square": "AB", "row": "ABC"}


def stages(name, **changes):
    design = wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml")
    changed = design.changed({tuple(key.split("__")): value for key, value in changes.items()})
    return changed.stages().computed("delay_lines", "directions")


def reports(plan, faults, place=0):
    return fault_reports(plan, plan.directions[place].name, faults)


def degrees(report):
    return report.phase_error.m_as("degree")


def velocity(plan, **more):
    return CableFault(0.85, 0.83, tuple(line.label for line in plan.delay_lines), **more)


@pytest.mark.parametrize("name", LINES)
def test_lines_cut_by_the_printed_velocity_factor_are_off_as_the_plan_says(name):
    plan = stages(name)
    for line in plan.delay_lines:
        errors = line_errors(plan, line.nominal_velocity_factor, line.velocity_factor)[line.label]
        np.testing.assert_allclose(errors, [band.nominal_phase_error_deg for band in line.bands], atol=1e-9)
        right = line_errors(plan, line.velocity_factor, line.velocity_factor)[line.label]
        np.testing.assert_allclose(right, [band.phase_error_deg for band in line.bands], atol=1e-9)


@pytest.mark.parametrize("name", LINES)
def test_wrong_velocity_factor_of_all_lines_is_that_of_the_formula(name):
    plan = stages(name)
    behind = element_lines(plan, plan.directions[0].name)
    for band in plan.bands:
        report = reports(plan, KnownFaults(velocity(plan)))[band.name]
        for seconds, late in zip(behind.seconds, degrees(report), strict=True):
            # the length that was cut: the delay by the assumed velocity factor
            length = wb.Quantity(seconds * 0.85 * C, "m")
            true = 0.83 * dispersion(plan)[band.name]
            wanted = wb.phase_error(length, wb.Quantity(band.frequency_hz, "Hz"), 0.85, true).m_as("degree")
            assert late == pytest.approx(wanted, abs=1e-9)


def test_a_ladder_piece_is_late_in_every_tap_farther_out():
    plan = stages("row")
    fault = CableFault(0.85, 0.83, ("B",))
    report = reports(plan, KnownFaults(fault))["160 m"]
    behind = element_lines(plan, plan.directions[0].name)
    alone = line_errors(plan, 0.85, 0.83)["B"][0]
    for label, late in zip(behind.labels, degrees(report), strict=True):
        assert late == pytest.approx(0.0 if label in (None, "A") else alone, abs=1e-9)
    warm = CableFault(0.83, 0.83, ("B",), excess_m=0.5, warmer=(30.0, 1e-4))
    late = dict(zip(behind.labels, degrees(reports(plan, KnownFaults(warm))["160 m"]), strict=True))
    wanted = 360 * 1.84e6 * (0.5 / (0.83 * C) + cable_delays(plan)["B"] * 3e-3)
    assert late["B"] == pytest.approx(wanted, abs=1e-9)


def test_runs_that_are_wrong_alike_change_nothing():
    plan = stages("ring")
    report = reports(plan, KnownFaults(CableFault(0.85, 0.83, (), tuple(range(8)))))["160 m"]
    assert np.ptp(degrees(report)) == pytest.approx(0.0, abs=1e-9)
    length = wb.Quantity(plan.element_runs.length_m, "m")
    assert degrees(report)[0] == pytest.approx(wb.phase_error(length, "1.84 MHz", 0.85, 0.83).m_as("degree"))
    assert report.rdf_lost.m_as("dB") == pytest.approx(0.0, abs=1e-9)
    one = reports(plan, KnownFaults(CableFault(0.85, 0.83, (), (3,))))["160 m"]
    assert degrees(one)[3] == pytest.approx(degrees(report)[3])
    assert np.delete(degrees(one), 3) == pytest.approx(0.0)
    assert abs(one.rdf_lost.m_as("dB")) > 0.01


def test_a_length_too_long_and_a_temperature_add_up():
    plan = stages("ring")
    some = CableFault(0.83, 0.83, ("A", "D"), (1,), excess_m=0.3, warmer=(20.0, 5e-5))
    report = reports(plan, KnownFaults(some))["80 m"]
    behind = element_lines(plan, plan.directions[0].name)
    for index, (label, seconds) in enumerate(zip(behind.labels, behind.seconds, strict=True)):
        true = 0.83 * dispersion(plan)["80 m"]
        slower = (1 + 1e-3) * 0.83 / true - 1
        late = 0.3 / (true * C) + seconds * slower if label in ("A", "D") else 0.0
        if index == 1:
            late += plan.element_runs.length_m / C * (1 / true - 1 / 0.83 + 1e-3 / true)
        assert degrees(report)[index] == pytest.approx(360 * 3.6e6 * late, abs=1e-9)


def test_faults_of_elements_are_those_of_the_engine():
    plan = stages("square")
    perfect = CableFault(0.83, 0.83)
    dead = reports(plan, KnownFaults(perfect, dead=2))["80 m"]
    assert dead.level[2].m_as("dB") == -np.inf
    assert degrees(reports(plan, KnownFaults(perfect, turned=1))["80 m"])[1] % 360 == pytest.approx(180.0)
    moved = reports(plan, KnownFaults(perfect, moved={1: (0.5, -0.25)}))["80 m"]
    np.testing.assert_allclose((moved.after.layout.metres - moved.before.layout.metres)[1], [0.5, -0.25])
    behind = element_lines(plan, plan.directions[0].name)
    swapped = reports(plan, KnownFaults(perfect, swapped=(0, 2)))["80 m"]
    apart = 360 * 3.6e6 * (behind.seconds[2] - behind.seconds[0])
    np.testing.assert_allclose(degrees(swapped), [apart, 0, -apart, 0], atol=1e-9)


def test_unmatched_ends_are_those_of_the_plan_with_these_ends():
    plan = stages("ring", hub__source_impedance="50 ohm", hub__port_impedance="60 ohm")
    report = reports(stages("ring"), KnownFaults(CableFault(0.83, 0.83), ends_ohm=(50.0, 60.0)))["80 m"]
    behind = element_lines(plan, plan.directions[0].name)
    planned = {one.line: one.bands[1] for one in plan.terminations.channels}
    for label, late, level in zip(behind.labels, degrees(report), report.level.m_as("dB"), strict=True):
        assert -late == pytest.approx(planned[label or "direct"].phase_error_deg, abs=1e-9)
        assert level == pytest.approx(planned[label or "direct"].level_db, abs=1e-9)
    real = next(one for one in plan.terminations.directions if (one.direction, one.name) == ("north", "80 m"))
    assert report.rdf[1].m_as("dB") == pytest.approx(real.rdf_db, abs=1e-6)


def test_elements_that_are_summed_share_a_line_and_others_do_not():
    joined = element_lines(stages("ring"), "north")
    assert sorted(joined.same_line) == [(1, 7), (2, 6), (3, 5)]
    assert element_lines(stages("square"), "north-east").same_line == ()
    assert element_lines(stages("ring", hub__kind="ports"), "north").same_line == ()


def test_lines_of_both_polarities_are_two():
    plan = stages("row", hub__kind="joined", array__kind="two-row", array__width="10 m")
    feeds = plan.directions[0].elements
    for group in element_lines(plan, plan.directions[0].name).same_line:
        assert len({(feeds[index].line, feeds[index].polarity) for index in group}) == 1


def test_connectors_are_no_part_of_the_cable():
    plan = stages("ring")
    for line in plan.delay_lines:
        assert cable_delays(plan)[line.label] == pytest.approx(line.delay_s - 0.22e-9, abs=1e-18)
        assert cable_delays(plan)[line.label] == pytest.approx(line.length_m / (line.velocity_factor * C), rel=1e-9)
