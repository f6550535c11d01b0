"""The panel *tolerance* with real widgets: every control does something, runs can be stopped, nothing is written."""

import sys
import threading

import ipywidgets as widgets
import pytest

import workbook as wb
from workbook.panels.tolerance import ASSUMED, EXACT, HOLD, QUICK, TolerancePanel
from workbook.panels.tolerance_controls import SPREADS
from workbook.tables.tolerance import NAMES

RING, SQUARE, ROW = (f"heron-fen-{name}.toml" for name in ("ring", "square", "row"))


@pytest.fixture
def panel(folder):
    return TolerancePanel(folder)


def pictures(panel, drawn):
    return [drawn(one.svg) for one in (panel.spread, panel.envelope, panel.shares)]


def bytes_of(folder):
    return {path: path.read_bytes() for path in folder.iterdir()}


def finished(panel):
    """Wait for the computation that runs."""
    if job := panel.job:
        job.thread.join(60)
    assert panel.job is None


@pytest.mark.parametrize("key", SPREADS)
def test_every_tolerance_moves_numbers_and_pictures_but_not_the_file(panel, folder, drawn, key):
    raw, before, said = bytes_of(folder), pictures(panel, drawn), panel.page.value
    slider = panel.design_controls.sliders[key]
    slider.value = 0.6 * slider.max
    assert panel.page.value != said
    after = pictures(panel, drawn)
    assert all(new != old for new, old in zip(after, before, strict=True))
    assert bytes_of(folder) == raw
    assert "not saved" in panel.where.value


def test_the_distribution_moves_numbers_and_pictures(panel, drawn):
    before = pictures(panel, drawn)
    panel.design_controls.distribution.value = "normal"
    assert pictures(panel, drawn)[:2] != before[:2]
    assert "standard deviation" in panel.page.value


@pytest.mark.parametrize("figure", list(NAMES)[1:])
def test_every_figure_is_shown(panel, drawn, figure):
    before = pictures(panel, drawn)
    panel.design_controls.figure.value = figure
    assert pictures(panel, drawn)[0] != before[0]
    assert f"What spreads the {NAMES[figure]}" in panel.page.value
    assert f"<span>{NAMES[figure]} [" in panel.page.value


@pytest.mark.parametrize(
    ("name", "value", "which"),
    [("direction", "north-east", [0, 1, 2]), ("band", "80 m", [0, 1, 2]), ("coverage", 50, [0, 1])],
)
def test_what_is_shown_moves_its_pictures(panel, drawn, name, value, which):
    panel.design_controls.sliders["position"].value = 80.0
    before, said = pictures(panel, drawn), panel.answer.value
    getattr(panel.design_controls, name).value = value
    after = pictures(panel, drawn)
    assert all(after[number] != before[number] for number in which)
    assert panel.answer.value != said


def test_what_may_be_lost_moves_what_is_to_be_kept(panel):
    exact = panel.results["160 m"].nominal("rdf")
    assert f"RDF above {exact - 0.5:.2f} dB in 95 % of arrays" in panel.page.value
    panel.design_controls.lost.value = 1.0
    assert f"RDF above {exact - 1.0:.2f} dB in 95 % of arrays" in panel.page.value


def test_answer_is_that_of_the_library(panel):
    plan, result = panel.plan, panel.results["160 m"]
    feeds = plan.direction("north").elements
    inside = [0.0 if feed.delay_s == 0 else feed.delay_s - 0.22e-9 for feed in feeds]
    own = wb.run_tolerance(
        result.firing,
        result.tolerances,
        QUICK,
        1,
        delays=wb.Quantity(inside, "s"),
        velocity_factor=plan.delay_lines[0].velocity_factor,
        same_line=((1, 7), (2, 6), (3, 5)),
    )
    low, high = own.interval("rdf")
    assert f"{low:.2f} dB to {high:.2f} dB in 95 % of arrays" in panel.page.value
    assert f"<dt>RDF</dt><dd>{low:.2f} to {high:.2f} <small>dB</small></dd>" in panel.answer.value
    low, high = own.interval("front_to_back")
    assert f"<dt>front-to-back</dt><dd>{low:.2f} to {high:.2f} <small>dB</small></dd>" in panel.answer.value
    assert "2,048 trials" in panel.page.value


def test_the_ranking_follows_the_tolerances(panel):
    assert "Errors of phase of each channel cost most" in panel.page.value
    panel.design_controls.sliders["phase"].value = 0.0
    panel.design_controls.sliders["gain"].value = 3.0
    assert "Errors of gain of each channel cost most" in panel.page.value


def test_a_run_tries_all_figures_on_every_band(panel):
    panel.run.click()
    finished(panel)
    assert set(panel.results) == {"160 m", "80 m"}
    assert all(result.count == 10_000 for result in panel.results.values())
    assert all(f"{name} [" in panel.page.value for name in NAMES.values())
    assert "10,000" in panel.page.value
    assert panel.stop.disabled
    assert not panel.run.disabled
    # what is only looked at does not throw the trials away
    panel.design_controls.band.value = "80 m"
    panel.design_controls.figure.value = "null_depth"
    assert "10,000 trials" in panel.page.value
    panel.design_controls.sliders["position"].value = 30.0
    assert "2,048 trials" in panel.page.value


def test_a_stopped_run_keeps_what_it_has_and_says_so(panel):
    panel.trials.value = 1_000_000
    seen = threading.Event()
    panel.left.observe(lambda _: seen.set(), "value")
    panel.run.click()
    job = panel.job
    assert not panel.stop.disabled
    assert panel.run.disabled
    assert seen.wait(60)
    assert "trials, about" in panel.left.value
    panel.stop.click()
    job.thread.join(60)
    assert panel.job is None
    count = panel.results["160 m"].count
    assert QUICK < count < 1_000_000
    assert f"{count:,} trials, stopped before all 1,000,000 were done" in panel.page.value
    assert panel.results["80 m"].count == QUICK
    assert panel.bar.layout.display == "none"


def test_a_moved_tolerance_discards_a_run(panel):
    panel.trials.value = 1_000_000
    panel.run.click()
    job = panel.job
    panel.design_controls.sliders["phase"].value = 2.0
    assert panel.job is None
    job.thread.join(60)
    assert all(result.count == QUICK for result in panel.results.values())
    assert not panel.run.disabled
    assert panel.stop.disabled


def test_the_widest_tolerances_are_those_of_the_library(panel):
    panel.design_controls.lost.value = 0.1
    panel.find.click()
    finished(panel)
    assert "Widest tolerances that keep RDF above" in panel.page.pages[HOLD].value
    result = panel.results["160 m"]
    lines = {"delays": wb.Quantity(result.model.delays, "s"), "same_line": ((1, 7), (2, 6), (3, 5))}
    lines["velocity_factor"] = panel.plan.delay_lines[0].velocity_factor
    least = wb.Quantity(result.nominal("rdf") - 0.1, "dB")
    held = wb.allowable(result.firing, result.tolerances, "rdf", least, 0.95, trials=QUICK, **lines)
    phase = f"{int(held[-1].half_width.m_as('degree') * 10) / 10:g} deg"
    assert phase in panel.page.pages[HOLD].value
    # what is found is shown, and the first cause is what to hold
    assert panel.page._folds[HOLD].selected_index == 0
    assert f"<dt>hold it within</dt><dd>{phase}</dd>" in panel.answer.value
    panel.design_controls.sliders["phase"].value = 2.0
    assert "Widest tolerances" not in panel.page.value
    assert "hold it" not in panel.answer.value


def test_no_widest_tolerance_of_an_angle_is_looked_for(panel):
    panel.design_controls.figure.value = "pointing"
    panel.find.click()
    finished(panel)
    assert "refused" in panel.page.pages[HOLD].value


def test_without_tolerances_it_says_that_the_array_is_exact(panel):
    for slider in panel.design_controls.sliders.values():
        slider.value = 0.0
    assert EXACT in panel.page.value
    assert panel.answer.value == ""
    assert panel.run.disabled
    assert panel.spread.svg == ""
    panel.design_controls.sliders["phase"].value = 1.0
    assert EXACT not in panel.page.value
    assert not panel.run.disabled
    assert panel.spread.svg


def test_a_file_without_tolerances_begins_with_usual_ones_and_says_so(panel, folder):
    assert ASSUMED in panel.page.value
    assert "as it is in the file" in panel.where.value
    panel.design_controls.sliders["phase"].value = 2.0
    assert ASSUMED not in panel.page.value


def test_saving_writes_the_tolerances_and_the_saved_design_loads(panel, folder):
    path = folder / RING
    before = path.read_text()
    panel.design_controls.sliders["cut_length"].value = 18.0
    panel.design_controls.sliders["gain"].value = 0.0
    panel.save.click()
    saved = wb.load_design(path).content.tolerance
    assert saved.cut_length.m_as("mm") == pytest.approx(18.0)
    assert saved.reel_velocity_factor == pytest.approx(0.005)
    assert saved.gain is None
    lines = path.read_text().splitlines()
    assert [line for line in before.splitlines() if line not in lines] == []
    assert panel.design_controls.changes() == {}
    assert panel.design_controls.sliders["cut_length"].value == 18.0
    panel.design_controls.sliders["cut_length"].value = 0.0
    panel.save.click()
    assert wb.load_design(path).content.tolerance.cut_length is None


def test_values_off_the_steps_are_kept(panel, folder):
    path = folder / "own.toml"
    path.write_text((folder / RING).read_text() + '\n[tolerance]\ndistribution = "normal"\nposition = "2 ft"\n')
    panel.path.value = str(path)
    assert panel.design_controls.changes() == {}
    (own,) = panel.results["160 m"].tolerances
    assert own.standard_uncertainty.m_as("m") == pytest.approx(0.6096)
    assert ASSUMED not in panel.page.value


def test_a_direction_without_lines_leaves_out_what_belongs_to_them(panel, folder):
    alike = {"name": "up", "azimuth": "45 deg", "delays": ["0 ns"] * 4}
    changes = {("phasing", "rule"): "entered", ("directions",): [alike]}
    wb.load_design(folder / SQUARE).changed(changes).save(folder / "up.toml")
    panel.path.value = str(folder / "up.toml")
    assert {one.what for one in panel.results["80 m"].tolerances} == {"position", "amplitude", "phase"}


def test_a_fault_in_a_run_is_answered_in_place(panel, monkeypatch):
    def refuse(*_):
        raise wb.InputError("it is reached only without any error", where="least")

    monkeypatch.setattr(sys.modules[TolerancePanel.__module__], "widest", refuse)
    panel.find.click()
    finished(panel)
    assert "only without any error" in panel.page.pages[HOLD].value
    assert not panel.find.disabled


@pytest.mark.parametrize("text", ["3 kg", "1,5", "-2 mm"])
def test_a_wrong_length_is_answered_in_place_and_what_was_shown_stays(panel, folder, text):
    before, raw = (panel.page.value, panel.answer.value), bytes_of(folder)
    panel.design_controls.amounts["cut_length"].exact.value = text
    assert "refused" in panel.status.value.split("</style>")[1]
    assert (panel.page.value, panel.answer.value) == before
    assert panel.save.disabled
    panel.design_controls.amounts["cut_length"].exact.value = ""
    assert "refused" not in panel.status.value.split("</style>")[1]
    assert bytes_of(folder) == raw


def test_lengths_are_typed_in_any_unit_and_saved_as_typed(panel, folder):
    panel.units.control.value = "feet"
    # 1 in = 25.4 mm exactly
    assert panel.design_controls.amounts["position"].readout.value.endswith(" in")
    panel.design_controls.amounts["cut_length"].exact.value = "0.75"
    panel.design_controls.amounts["position"].exact.value = "2 ft"
    assert "not saved" in panel.where.value
    panel.save.click()
    saved = wb.load_design(folder / RING).content.tolerance
    assert saved.cut_length.m_as("mm") == pytest.approx(19.05)
    assert saved.position.m_as("m") == pytest.approx(0.6096)
    assert panel.design_controls.changes() == {}


def test_an_exact_frequency_moves_the_figures(panel):
    before = panel.answer.value
    panel.design_controls.band_row.field.value = "1.8"
    assert "160 m at 1.8 MHz" in panel.answer.value
    assert panel.answer.value != before


def test_controls_have_a_description_and_a_tip(panel):
    rows = (row for group in panel.design_controls.groups for row in group.rows)
    parts = (part for row in rows for part in getattr(row, "children", (row,)) if not isinstance(part, widgets.HTML))
    for one in (panel.trials, panel.run, panel.find, panel.stop, panel.picture, *parts):
        assert one.description
        assert one.tooltip
