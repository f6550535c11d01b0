"""The array as built: exact pieces change nothing, known errors cost what the engine of faults says."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.as_built import as_built
from workbook.plan.element_lines import element_lines
from workbook.plan.firings import firing
from workbook.tables.as_built import built_table, correction_sentence

Q = wb.Quantity


@pytest.fixture(scope="module")
def plan():
    return wb.load_design(shipped("notebooks") / "heron-fen-eight.toml").stages()


def shown(metres):
    return wb.check_frequency(wb.cable("series-6-copper"), Q(metres, "m"), "open", "0.11 ns")


def every_piece(plan, longer=()):
    """Check frequencies of exact pieces, some of them longer by metres."""
    off = dict(longer)
    lines = {line.label: shown(line.length_m + off.get(line.label, 0)) for line in plan.delay_lines}
    runs = {f"run {n}": shown(plan.element_runs.length_m + off.get(f"run {n}", 0)) for n in range(1, 9)}
    return lines | runs


def test_exact_pieces_change_nothing(plan):
    for one in as_built(plan, every_piece(plan)).figures:
        assert one.built_rdf_db == pytest.approx(one.rdf_db, abs=1e-6)
        assert one.built_front_to_back_db == pytest.approx(one.front_to_back_db, abs=1e-3)


def test_runs_that_are_all_longer_change_nothing(plan):
    """Equal matters, not exact."""
    built = as_built(plan, every_piece(plan, {f"run {n}": 1.5 for n in range(1, 9)}))
    assert all(abs(one.cost.rdf_lost_db) < 1e-3 for one in built.figures)


@pytest.mark.parametrize("longer", [{"run 5": 0.9}, {"A": 1.2}, {"run 2": -0.5, "B": 0.8, "run 8": 0.7}])
def test_errors_cost_what_the_engine_of_faults_says(plan, longer):
    """`fault_report` with channel errors of 360 f L / (v c) for each element's line and run: a second path."""
    built = as_built(plan, every_piece(plan, longer))
    cable = wb.cable("series-6-copper")
    for one in built.figures:
        hertz = Q(plan.band(one.band).frequency_hz, "Hz")
        labels = element_lines(plan, one.direction).labels
        metres = [longer.get(f"run {n}", 0.0) + longer.get(label, 0.0) for n, label in enumerate(labels, 1)]
        late = np.sign(metres) * wb.electrical_length(Q(np.abs(metres), "m"), hertz, cable).m_as("degree")
        fault = wb.faults.ChannelError(Q(late, "degree"), Q(0.0, "dB"))
        report = wb.fault_report(firing(plan, one.direction, one.band), [fault])
        assert one.built_rdf_db == pytest.approx(report.rdf[1].m_as("dB"), abs=2e-3)
        assert one.built_front_to_back_db == pytest.approx(report.front_to_back[1].m_as("dB"), abs=0.02)


def test_an_exact_frequency_of_a_band_is_that_of_a_piece_cut_on_the_band_and_used_there(plan):
    """`fault_report` at the exact frequency with channel errors of 360 f L / (v c): a second path."""
    built, cable = as_built(plan, every_piece(plan, {"run 5": 0.9})), wb.cable("series-6-copper")
    band, direction, hertz = plan.bands[0].name, plan.directions[0].name, 1.03 * plan.bands[0].frequency_hz
    late = np.zeros(len(plan.elements))
    late[4] = wb.electrical_length(Q(0.9, "m"), Q(hertz, "Hz"), cable).m_as("degree")
    fault = wb.faults.ChannelError(Q(late, "degree"), Q(0.0, "dB"))
    wanted = wb.fault_report(firing(plan, direction, band, hertz), [fault])
    report = built.report(direction, band, hertz)
    assert report.before.frequency.m_as("Hz") == pytest.approx(hertz)
    for mine, other in zip(report.rdf, wanted.rdf, strict=True):
        assert mine.m_as("dB") == pytest.approx(other.m_as("dB"), abs=2e-3)
    assert report.rdf[0].m_as("dB") != pytest.approx(built.report(direction, band).rdf[0].m_as("dB"), abs=1e-3)


def test_the_correction_that_gains_most_is_that_of_the_worst_piece(plan):
    built = as_built(plan, every_piece(plan, {"run 5": 2.5, "run 6": 0.1}))
    first = built.corrections[0]
    assert first.piece == "run 5"
    assert first.worth > built.corrections[1].worth
    corrected = as_built(plan, every_piece(plan, {"run 6": 0.1}))
    after = next(one for one in corrected.figures if (one.direction, one.band) == (first.direction, first.band))
    before = next(one for one in built.figures if (one.direction, one.band) == (first.direction, first.band))
    assert after.built_rdf_db - before.built_rdf_db == pytest.approx(first.rdf_gained_db, abs=1e-6)
    assert "run 5" in correction_sentence(built)


def test_small_errors_do_not_matter(plan):
    built = as_built(plan, every_piece(plan, {"run 5": 0.02}))
    assert "does not matter" in correction_sentence(built)
    assert len(built_table(built).rows) == len(plan.directions) * len(plan.bands)


def test_measured_lines_are_taken_on_every_band(plan):
    hertz = Q(np.linspace(0.5e6, 12e6, 231), "Hz")
    cable = wb.cable("series-6-copper")
    seen = wb.input_impedance(cable, Q(plan.line("A").length_m + 1, "m"), hertz, Q(np.inf, "ohm"))
    line = wb.measure_line(open=wb.impedance_sweep(hertz, seen), cable=cable)
    late = as_built(plan, {"A": line}).late_s["A"]
    for band in plan.bands:
        wanted = wb.electrical_length("1 m", Q(band.frequency_hz, "Hz"), cable).m_as("turn") / band.frequency_hz
        assert late[band.name] + 0.22e-9 == pytest.approx(wanted, abs=0.02e-9)


def test_what_was_not_built_is_refused(plan, refused):
    refused(lambda: as_built(plan, {"run": "2 MHz"}), "which")
    refused(lambda: as_built(plan, {"X": "2 MHz"}), "there is no piece")
    refused(lambda: as_built(plan, {"A": "2 m"}), "A", "Hz")


@pytest.mark.parametrize("hub", ["joined", "ports", "ladder"])
def test_a_long_piece_delays_what_goes_through_it(hub):
    """In a ladder all that enters farther out passes a piece; in other hubs only what is on that line."""
    design = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").changed({("hub", "kind"): hub})
    plan = design.stages()
    label, cable = plan.delay_lines[1].label, wb.cable("series-6-copper")
    piece = label if plan.line(label).count == 1 else f"{label} 2"
    built = as_built(plan, {piece: shown(plan.line(label).length_m + 0.5)})
    labels = [line.label for line in plan.delay_lines]
    passed = set(labels[1:]) if hub == "ladder" else {label}
    for one in plan.directions:
        late = built.late_deg(one.name, "160 m")
        wanted = wb.electrical_length("0.5 m", Q(plan.band("160 m").frequency_hz, "Hz"), cable).m_as("degree")
        assert late == pytest.approx([wanted * (feed.line in passed) for feed in one.elements], abs=1e-4)
