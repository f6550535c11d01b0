"""Tolerances of a plan: what a design says, what is held where it says nothing, and how the engine is handed a plan."""

import numpy as np
import pytest

import workbook as wb
from workbook.design.tolerances import USUAL, ToleranceTable
from workbook.files import shipped
from workbook.plan.results import PlanTolerance
from workbook.plan.tolerances import BACK_ENOUGH, CONFIDENCE, Kept, held, run_plan, wanted, widest, widest_alone
from workbook.report.sheets import build_sheet
from workbook.tables.hold import hold_list, hold_reason

OWN = {
    ("tolerance", "distribution"): "triangular",
    ("tolerance", "reel_velocity_factor"): 0.004,
    ("tolerance", "cut_length"): "1/2 in",
    ("tolerance", "gain"): "0.2 dB",
    ("tolerance", "phase"): "1.5 deg",
}


def test_a_design_says_its_tolerances(plan):
    found = plan("full", OWN).tolerances
    assert [(one.what, one.shared, one.unit) for one in found] == [
        ("velocity factor", "reel", "1"),
        ("cut length", "each", "m"),
        ("amplitude", "each", "1"),
        ("phase", "each", "degree"),
    ]
    assert {one.kind for one in found} == {"triangular"}
    assert [one.spread for one in found] == pytest.approx([0.004, 0.0127, 10 ** (0.2 / 20) - 1, 1.5])
    assert plan("full").tolerances == ()


@pytest.mark.parametrize("kind", ["uniform", "normal", "triangular"])
def test_a_planned_tolerance_becomes_the_distribution_it_was(kind):
    table = USUAL.model_copy(update={"distribution": kind})
    for one in table.tolerances():
        again = PlanTolerance.of(one).tolerance()
        assert (again.what, again.kind, again.shared) == (one.what, one.kind, one.shared)
        assert again.deviation == pytest.approx(one.deviation, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "value", "word"),
    [
        ("cut_length", "0 mm", "above zero"),
        ("cut_length", "-1 cm", "cut_length"),
        ("gain", "0 dB", "above zero"),
        ("gain", "9 dB", "too wide"),
        ("phase", "-1 deg", "above zero"),
        ("reel_velocity_factor", 0, "reel_velocity_factor"),
        ("reel_velocity_factor", 1.5, "reel_velocity_factor"),
        ("distribution", "square", "distribution"),
        ("cut", "1 cm", "cut"),
    ],
)
def test_a_wrong_tolerance_is_refused_by_its_key(write, key, value, word):
    with pytest.raises(wb.InputError, match=word):
        wb.load_design(write("square", {("tolerance", key): value}))


def test_held_tolerances_of_a_design_are_its_own(plan):
    found = held(plan("full", OWN))
    assert len(found.tolerances) == 4
    assert found.kept == ()
    assert "says so" in hold_reason(found)


@pytest.mark.parametrize("name", ["ring", "square", "row"])
def test_a_balanced_set_keeps_every_figure_and_a_wider_one_does_not(name):
    made = wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml").plan()
    found = held(made)
    assert found.kept == wanted(made, made.directions[0].name)
    shares = []
    for goal in found.kept:
        result = run_plan(made, (goal.direction, goal.band), found.tolerances, 2048, (goal.figure,))
        shares.append(np.mean(result.trials(goal.figure) >= goal.least_db))
    assert min(shares) >= CONFIDENCE
    wider = [one.scaled(1.05) for one in found.tolerances]
    missed = [
        np.mean(run_plan(made, (g.direction, g.band), wider, 2048, (g.figure,)).trials(g.figure) >= g.least_db)
        for g in found.kept
    ]
    assert min(missed) < CONFIDENCE
    reason = hold_reason(found)
    assert f"{made.directions[0].name} on 160 m and 80 m" in reason
    assert "RDF within 0.1 dB" in reason
    assert "95 % of arrays" in reason
    # one common factor on what a careful builder holds
    factors = [one.deviation / usual.deviation for one, usual in zip(found.tolerances, USUAL.tolerances(), strict=True)]
    assert factors == pytest.approx([factors[0]] * len(factors))


def test_what_is_wanted_is_a_little_below_the_plan(plan):
    made = plan("full")
    first = made.directions[0]
    goals = wanted(made, first.name)
    assert len(goals) == 2 * len(made.bands)
    for one, rdf, back in zip(first.bands, goals[::2], goals[1::2], strict=True):
        assert rdf.least_db == pytest.approx(one.rdf_db - 0.1)
        assert back.least_db == pytest.approx(min(one.front_to_back_db - 1.0, BACK_ENOUGH))


def test_the_widest_alone_is_wider_than_together(plan):
    made = plan("full")
    goal = wanted(made, made.directions[0].name)[0]
    together = widest(made, goal, USUAL.tolerances())
    for one in together:
        alone = widest_alone(made, goal, one)
        assert alone is None or alone.deviation > one.deviation


def test_a_plan_in_which_nothing_arrives_has_nothing_to_hold(plan):
    assert held(plan("square")).tolerances == ()


def test_the_build_sheet_has_a_box(plan):
    made = plan("full", OWN)
    sheet = build_sheet(made)
    assert "Hold these tolerances" in sheet
    for line in hold_list(held(made).tolerances):
        assert f"<li>{line}</li>" in sheet
    assert "length of each line: within 12 mm (7/16 in)" in sheet
    assert "Hold these tolerances" not in build_sheet(plan("square"))


def test_every_key_of_the_table_is_a_tolerance():
    keys = set(ToleranceTable.model_fields) - {"distribution"}
    everything = {key: 0.01 for key in keys if "factor" in key}
    everything |= {"cut_length": "1 cm", "shared_cut_length": "1 cm", "connector_delay": "0.1 ns"}
    everything |= {"position": "1 cm", "gain": "1 dB", "phase": "1 deg"}
    assert set(everything) == keys
    assert len(ToleranceTable(**everything).tolerances()) == len(keys)


@pytest.mark.parametrize("name", ["ring", "square"])
def test_chance_allows_at_least_the_error_that_is_accepted_by_default(name):
    """The accepted error keeps the pattern in the worst combination of signs, so that nearly all arrays keep it."""
    design = wb.load_design(shipped("notebooks") / f"heron-fen-{name}.toml").changed({("cutting", "accept"): None})
    made = design.plan()
    line = made.delay_lines[-1]
    hertz = wb.Quantity(line.cut_frequency_hz, "Hz")
    length = wb.length_error(wb.Quantity(made.accept_deg, "degree"), hertz, line.velocity_factor)
    own = wb.Tolerance("cut length", "uniform", half_width=length)
    for one in made.directions[0].bands:
        for figure, least in (("rdf", one.rdf_db - 0.1), ("front_to_back", one.front_to_back_db - 1.0)):
            alone = widest_alone(made, Kept(made.directions[0].name, one.name, figure, least), own, 0.99)
            assert alone is None or alone.deviation >= own.deviation
