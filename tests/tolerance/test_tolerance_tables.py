"""Tolerances and faults as tables and sentences."""

import numpy as np
import pytest

import workbook as wb
from workbook.tables import tolerance as tables

TAPE = wb.Tolerance("position", "uniform", half_width="5 cm")
REEL = wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.004, shared="reel")
PHASE = wb.Tolerance("phase", "normal", standard_uncertainty="2 deg")


@pytest.fixture(scope="module")
def result(ring):
    return wb.run_tolerance(ring.firing, [TAPE, REEL, PHASE], 4000, 1, **ring.lines)


def test_figures_are_written_with_the_digits_that_the_trials_bear(result, ring):
    table = tables.figure_table(result)
    assert table.title == "Figures of 4,000 trials"
    row = dict(zip(table.headings, table.rows[0], strict=True))
    assert row["figure"] == "RDF [dB]"
    assert float(row["without errors"]) == pytest.approx(wb.rdf(ring.firing).m_as("dB"), abs=0.005)
    decimals = len(row["95 % from"].partition(".")[2])
    assert 10**-decimals >= 2 * max(result.interval_error("rdf"))


def test_complete_null_is_written_as_having_no_limit(cardioid):
    result = wb.run_tolerance(cardioid.firing, [PHASE], 200, 1, figures=("front_to_back",))
    assert tables.figure_table(result).rows[0][1] == "no limit"


def test_ranking_names_what_costs_most_and_what_hardly_matters(result):
    sentence = tables.ranking(result.sensitivities("rdf"), "rdf")
    assert sentence.startswith("Errors of phase of each channel cost most")
    assert sentence.endswith("; velocity factor of the reel and position of each stake hardly matter.")
    two = wb.run_tolerance(result.firing, [TAPE, PHASE], 10, 1)
    assert tables.ranking(two.sensitivities("rdf"), "rdf").endswith("; position of each stake hardly matters.")
    alone = wb.run_tolerance(result.firing, [wb.Tolerance("phase", "uniform", half_width="1 deg", shared="all")], 10, 1)
    assert tables.ranking(alone.sensitivities("rdf"), "rdf") == "None of these tolerances changes the RDF."


def test_shares_are_listed_largest_first(result):
    shares = [
        float(row[-1].removesuffix(" %")) for row in tables.sensitivity_table(result.sensitivities("rdf"), "rdf").rows
    ]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(100, abs=0.2)


def test_sentence_says_how_many_trials_a_stopped_run_rests_on(ring):
    run = wb.run_tolerance(ring.firing, [TAPE], 30_000, 1, progress=lambda _: False)
    assert tables.basis(run) == (
        "These figures rest on 16,384 trials; the run was stopped before all 30,000 were done."
    )


def test_channels_are_listed_in_degrees_and_both_lengths(ring):
    faults = [wb.faults.WrongLength("-10 cm", 0.83, (0,)), wb.faults.DeadElement(6)]
    report = wb.fault_report(ring.firing, faults, ring.delays)
    rows = tables.channel_table(report, 0.83).rows
    assert rows[0] == ("1", "-0.26", "-0.100 m (-3 15/16 in)", "+0.00")
    assert rows[6] == ("7", "dead", "", "no signal")


def test_pattern_is_listed_before_and_after(ring):
    report = wb.fault_report(ring.firing, [wb.faults.SwappedLines(0, 3)], ring.delays)
    rows = {row[0]: row[1:] for row in tables.fault_table(report).rows}
    before, after, lost = (float(cell) for cell in rows["RDF [dB]"])
    assert lost == pytest.approx(before - after, abs=0.011)
    assert rows["deepest null"][0].startswith("at 202.5 deg")


def test_verdict_says_plainly_that_nothing_is_lost(ring, cardioid):
    alike = wb.fault_report(ring.firing, [wb.faults.WrongRunVelocity("30 m", 0.85, 0.83)], ring.delays)
    assert tables.verdict(alike) == "RDF stays the same (0.00 dB); front-to-back stays the same (0.00 dB)."
    swapped = wb.fault_report(ring.firing, [wb.faults.SwappedLines(0, 3)], ring.delays)
    assert f"RDF falls by {swapped.rdf_lost.m_as('dB'):.2f} dB" in tables.verdict(swapped)
    filled = wb.fault_report(cardioid.firing, [wb.faults.WrongLength("1 m", 0.83, (0,))], cardioid.delays)
    depth = filled.front_to_back[1].m_as("dB")
    assert np.isfinite(depth)
    assert f"a complete null behind becomes a front-to-back of {depth:.1f} dB" in tables.verdict(filled)
