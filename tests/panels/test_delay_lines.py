"""The worksheet's panel with real widgets, without a browser: every control does something, and nothing is lost."""

import math
import shutil

import pytest

from workbook.files import shipped
from workbook.panels.delay_lines import DelayLinesPanel
from workbook.tables.cuts import piece_name


@pytest.fixture
def panel(folder):
    return DelayLinesPanel(folder)


def shown(panel):
    return panel.page.value, panel.drawing.svg, panel.errors.svg


def refusal(panel) -> str:
    return panel.status.value if "refused" in panel.status.value.split("</style>")[1] else ""


def test_choosing_another_file_shows_it(panel):
    panel.file.value = "heron-fen-square.toml"
    assert "Heron Fen square" in panel.page.value
    assert panel.design_controls.cable.value == "series-6-clad"
    assert panel.design_controls.band.value == "80 m"
    assert panel.design_controls.spacing.value == pytest.approx(24.0)


def test_a_path_elsewhere_is_read_and_a_bad_one_answered_in_place(panel, tmp_path_factory):
    before = shown(panel)
    panel.path.value = "nowhere.toml"
    assert "nowhere.toml" in refusal(panel)
    assert shown(panel) == before
    elsewhere = tmp_path_factory.mktemp("elsewhere") / "mine.toml"
    shutil.copy(shipped("notebooks") / "heron-fen-square.toml", elsewhere)
    panel.path.value = str(elsewhere)
    assert not refusal(panel)
    assert "Heron Fen square" in panel.page.value


def test_the_two_size_sliders_are_one_size(panel):
    def apart() -> float:
        one, two = panel.plan.elements[:2]
        return math.dist((one.east_m, one.north_m), (two.east_m, two.north_m))

    panel.design_controls.across.value = 60.0
    # a regular octagon's side is 0.76537 of its circumradius (an identity); the sliders show whole steps of it
    assert apart() == pytest.approx(0.76537 * 30.0, rel=1e-5)
    assert panel.design_controls.spacing.value == pytest.approx(apart(), abs=0.05)
    panel.design_controls.spacing.value = 19.0
    assert apart() == pytest.approx(19.0, abs=1e-3)  # sizes are written to the millimetre or finer
    assert panel.design_controls.across.value == pytest.approx(19.0 / 0.76537 * 2, abs=0.051)


def test_a_size_off_the_sliders_steps_is_kept_until_it_is_moved(panel, folder):
    """Off a step the browser would move the slider by itself; what it shows must not become the design."""
    odd = (
        (folder / "heron-fen-ring.toml")
        .read_text()
        .replace('"46 m"', '"138 ft 3 1/2 in"')
        .replace("22 deg", "22.33 deg")
    )
    (folder / "odd.toml").write_text(odd)
    panel.path.value = str(folder / "odd.toml")
    assert panel.design_controls.changes() == {}
    for control in (panel.design_controls.across, panel.design_controls.spacing, panel.design_controls.elevation):
        steps = (control.value - control.min) / control.step
        assert steps == pytest.approx(round(steps), abs=1e-6)
    panel.design_controls.elevation.value = 30.0
    assert panel.design_controls.changes() == {("phasing", "elevation"): "30 deg"}


def test_saving_writes_only_what_was_moved_and_keeps_the_notes(panel, folder):
    path = folder / "heron-fen-ring.toml"
    before = path.read_text()
    panel.design_controls.elevation.value = 30.0
    panel.save.click()
    assert path.read_text() == before.replace('elevation = "22 deg"', 'elevation = "30 deg"')
    assert "saved" in panel.status.value


def test_saving_over_a_file_changed_meanwhile_is_refused(panel, folder):
    path = folder / "heron-fen-ring.toml"
    panel.design_controls.elevation.value = 30.0
    path.write_text(path.read_text() + "# a note made meanwhile\n")
    kept = path.read_bytes()
    panel.save.click()
    assert "changed on disk" in refusal(panel)
    assert path.read_bytes() == kept


def test_a_measured_check_frequency_is_answered_for_each_line(panel):
    runs = {f"run {number}": panel.plan.element_runs.check for number in (1, 8)}
    wanted = {line.label: line.check for line in panel.plan.delay_lines} | runs
    for name, check in wanted.items():
        field, answer = panel.fields[name]
        field.value = f"{check.frequency_hz / 1e6:.6f} MHz"
        assert "good, keep it" in answer.value
        field.value = f"{check.first_cut_frequency_hz / 1e6:.6f} MHz"
        assert "too long by 0.100 m" in answer.value
        field.value = f"{(check.greatest_good_hz * 1.01) / 1e6:.6f} MHz"
        assert "too short" in answer.value
        field.value = f"{(check.least_good_hz * 0.99) / 1e6:.6f} MHz"
        assert "gains nothing" in answer.value
    # so far off that it costs something
    field, answer = panel.fields["A"]
    field.value = f"{wanted['A'].least_good_hz * 0.7 / 1e6:.6f} MHz"
    assert "cut off" in answer.value


@pytest.mark.parametrize(
    "text",
    ["1,75", "1,75 MHz", "12 m", "-3 MHz", "0 MHz", "fast", "<b>1</b>", "1 GHz" * 3, "17.572", "1757.2", "-1", "1e9"],
)
def test_wrong_entries_are_answered_in_place(panel, text):
    field, answer = panel.fields["D"]
    field.value = text
    assert "refused" in answer.value.split("</style>")[1]
    assert "<b>1" not in answer.value


def test_a_bare_number_has_the_unit_of_its_label(panel):
    field, answer = panel.fields["D"]
    field.value = "1.7572 MHz"
    said = answer.value
    field.value = "1.7572"
    assert answer.value == said


def test_what_was_typed_stays_when_a_slider_moves(panel):
    field, answer = panel.fields["D"]
    field.value = "1.7572 MHz"
    before = answer.value
    panel.design_controls.elevation.value = 40.0
    assert panel.fields["D"][0].value == "1.7572 MHz"
    assert answer.value != before


def test_a_folder_with_no_design_offers_the_demo(tmp_path):
    panel = DelayLinesPanel(tmp_path)
    assert "Heron Fen eight" in panel.page.value


def test_a_design_that_cannot_be_built_is_answered_and_the_next_move_mends_it(panel, folder):
    short = (folder / "heron-fen-ring.toml").read_text().replace('"0.11 ns"', '"9 ns"')
    (folder / "short.toml").write_text(short)
    panel.path.value = str(folder / "short.toml")
    assert not refusal(panel)
    panel.design_controls.across.value = 8.0
    assert "connector" in refusal(panel)
    panel.design_controls.across.value = 46.0
    assert not refusal(panel)


def test_an_exact_size_in_feet_is_taken_as_it_was_typed(panel, folder):
    panel.design_controls.exact.value = "150 ft"
    assert not refusal(panel)
    assert panel.plan.elements[0].north_m == pytest.approx(75 * 0.3048)
    assert panel.design_controls.across.value == pytest.approx(45.7)
    panel.save.click()
    assert 'diameter = "150 ft"' in (folder / "heron-fen-ring.toml").read_text()


@pytest.mark.parametrize("text", ["150 MHz", "50,5", "abc", "-3 m", "0"])
def test_a_wrong_exact_size_is_answered_in_place(panel, text):
    before = shown(panel)
    panel.design_controls.exact.value = text
    assert "diameter" in refusal(panel)
    assert shown(panel) == before
    panel.design_controls.across.value = 50.0
    assert panel.design_controls.exact.value == "50.000 m"
    assert not refusal(panel)


def test_it_says_which_file_is_shown_and_whether_it_is_saved(panel, folder):
    assert "heron-fen-ring.toml: as it is" in panel.where.value
    panel.design_controls.elevation.value = 31.0
    assert "not saved" in panel.where.value
    panel.save.click()
    assert "as it is" in panel.where.value


def test_a_file_changed_outside_is_loaded_again_by_the_button(panel, folder):
    path = folder / "heron-fen-ring.toml"
    path.write_text(path.read_text().replace('"46 m"', '"50 m"'))
    panel.again.click()
    assert panel.design_controls.across.value == pytest.approx(50.0)


def test_any_of_the_list_can_be_chosen_after_a_typed_path(panel, folder):
    panel.path.value = str(folder / "heron-fen-square.toml")
    assert "Heron Fen square" in panel.page.value
    panel.file.value = "heron-fen-ring.toml"
    assert "Heron Fen ring" in panel.page.value
    assert panel.path.value == ""


def test_readings_belong_to_one_design(panel):
    panel.fields["B"][0].value = "3.5"
    panel.file.value = "heron-fen-square.toml"
    assert panel.fields["B"][0].value == ""


def test_readings_of_a_ladder_are_named_as_in_the_cut_list(panel):
    assert panel.fields["B"][0].description == "B (MHz)"
    panel.file.value = "heron-fen-row.toml"
    for line in panel.plan.delay_lines:
        called = piece_name(line.label, line)
        assert called != line.label
        assert panel.fields[called][0].description == f"{called} (MHz)"
        assert f">{called}<" in panel.page.value
    assert panel.fields["run 4"][0].description == "run 4 (MHz)"


# --- lines that are there, the reel, the sheets --------------------------------------------------------------


def test_lines_that_are_cut_already_are_entered_saved_and_taken_out_again(panel, folder):
    path = folder / "heron-fen-ring.toml"
    before = path.read_text()
    kept = panel.design_controls.kept
    kept.value = "35.4, 30.2 m, 17.7 m, 17 ns"
    assert not refusal(panel)
    assert panel.shown.changes["hub", "lines"] == ["35.4 m", "30.2 m", "17.7 m", "17 ns"]
    panel.save.click()
    assert 'lines = ["35.4 m", "30.2 m", "17.7 m", "17 ns"]' in path.read_text()
    assert panel.design_controls.kept.value == "35.4 m, 30.2 m, 17.7 m, 17 ns"
    assert panel.design_controls.changes() == {}
    panel.design_controls.kept.value = ""
    panel.save.click()
    assert path.read_text() == before


@pytest.mark.parametrize("text", ["35.4 kg", "a, b", "<b>", "0 m", "1,5 m"])
def test_lines_that_cannot_be_read_are_answered_in_place(panel, text):
    before = shown(panel)
    panel.design_controls.kept.value = text
    assert refusal(panel)
    assert "<b>" not in panel.status.value.split("</style>")[1].replace("<b>Warning", "")
    assert shown(panel) == before


def test_merging_gives_way_to_lines_that_are_there(panel, folder):
    path = folder / "merged.toml"
    text = (folder / "heron-fen-ring.toml").read_text()
    path.write_text(text.replace('kind = "joined" ', 'merge = "3 deg"\nkind = "joined" '))
    panel.path.value = str(path)
    assert not refusal(panel)
    panel.design_controls.kept.value = "35.4 m, 17.7 m"
    assert not refusal(panel)
    assert panel.shown.content.hub.merge is None


def enter_first_cuts(panel, faster):
    """Enter a reading of every first cut from a reel that is faster by a share than the plan assumes."""
    for name, (field, _) in panel.fields.items():
        check = panel.plan.element_runs.check if name[:3] == "run" else panel.plan.line(name).check
        # the check frequency of a piece of one length goes with its velocity
        field.value = f"{check.first_cut_frequency_hz * faster / 1e6:.6f}"


def test_readings_off_by_the_same_share_give_the_reel_and_the_button_puts_it_into_the_design(panel, folder):
    raw = (folder / "heron-fen-ring.toml").read_bytes()
    assert panel.readings.put.layout.display == "none"
    enter_first_cuts(panel, 1.02)
    assert "velocity factor is 0.8495 at 1.84 MHz, not 0.8329" in panel.readings.reel_page.value
    wanted = panel.plan.delay_lines[0].velocity_factor * 1.02
    assert panel.readings.reel.velocity_factor == pytest.approx(wanted, rel=1e-3)
    lengths = {line.label: line.length_m for line in panel.plan.delay_lines}
    panel.readings.put.click()
    for line in panel.plan.delay_lines:
        # a line of a faster cable is longer by the same share
        assert line.length_m == pytest.approx(lengths[line.label] * 1.02, rel=1e-3)
    assert panel.readings.reel_page.value == ""
    assert panel.readings.put.layout.display == "none"
    assert "not saved" in panel.where.value
    assert (folder / "heron-fen-ring.toml").read_bytes() == raw
    panel.save.click()
    assert "[velocity_factor." in (folder / "heron-fen-ring.toml").read_text()


def test_readings_that_are_good_already_are_named_beside_those_of_first_cuts(panel):
    enter_first_cuts(panel, 1.02)
    first, *_ = panel.plan.cut_order
    panel.fields[first.label][0].value = f"{first.check.frequency_hz / 1e6:.6f}"
    found = panel.readings.reel
    assert found.readings + found.good == len(panel.fields)
    assert f"{found.readings} of {len(panel.fields)} readings of first cuts" in panel.readings.reel_page.value
    assert "count" in panel.readings.reel_page.value


def test_the_accepted_error_says_why_and_which_beam_demands_it(panel):
    panel.file.value = "heron-fen-row.toml"
    assert "Accepted error of a line: 0.5 deg on 160 m (as the design says)" in panel.page.value
    assert panel.plan.accept_reason in panel.page.value


def test_equal_runs_that_are_all_off_are_kept(panel):
    check = panel.plan.element_runs.check
    for number in range(1, 9):
        panel.fields[f"run {number}"][0].value = f"{check.frequency_hz * 1.03 / 1e6:.6f}"
    cells = [panel.readings._cells[f"run {number}"].value for number in range(1, 9)]
    assert all("<span>keep</span>" in cell for cell in cells)
    panel.fields["run 8"][0].value = ""
    assert "<span>keep</span>" not in panel.readings._cells["run 1"].value


def test_readings_that_do_not_agree_say_nothing_of_the_reel(panel):
    enter_first_cuts(panel, 1.02)
    field = panel.fields["C"][0]
    field.value = f"{float(field.value) * 1.03:.6f}"
    assert panel.readings.reel_page.value == ""


def test_the_button_makes_the_sheets_beside_the_design(panel, folder):
    panel.design_controls.elevation.value = 30.0
    panel.make.click()
    made = folder / "build-heron-fen-ring"
    assert {path.name for path in made.iterdir()} == {
        *("build-sheet.html", "labels.html", "cuts.csv", "buy.csv", "sheets.txt")
    }
    assert str(made) in panel.status.value
    assert "not saved" in panel.status.value
    longest = max(panel.plan.delay_lines, key=lambda line: line.first_cut_m)
    assert f"{longest.first_cut_m:.3f}" in (made / "cuts.csv").read_text()


def test_nothing_is_made_of_what_is_refused(panel, folder):
    panel.design_controls.exact.value = "abc"
    panel.make.click()
    assert "not final" in refusal(panel)
    assert not (folder / "build-heron-fen-ring").exists()


def test_the_list_has_every_piece_with_its_first_cut_and_check_frequency(panel):
    cells = {name: html.value for name, html in panel.readings._cells.items()}
    assert list(cells) == [line.label for line in panel.plan.cut_order] + [f"run {n}" for n in range(1, 9)]
    for line in panel.plan.delay_lines:
        assert f"<span>{line.first_cut_m:.3f} m</span>" in cells[line.label]
        then, trimmed = line.check.first_cut_frequency_hz, line.check.frequency_hz
        assert f"<span>{then / 1e6:.4f}</span><span>{trimmed / 1e6:.4f}</span>" in cells[line.label]
    panel.units.control.value = "feet"
    assert " ft " in panel.readings._cells["D"].value
    assert " m<" not in panel.readings._cells["D"].value


def test_every_piece_of_a_line_has_a_box_and_a_verdict(panel):
    """Two equal pieces of line B of the square are two rows; what is not measured says so."""
    panel.file.value = "heron-fen-square.toml"
    (line,) = [line for line in panel.plan.delay_lines if line.count == 2]
    first, second = f"{line.label}1", f"{line.label}2"
    panel.fields[first][0].value = f"{line.check.frequency_hz / 1e6:.6f}"
    assert "<span>keep</span>" in panel.readings._cells[first].value
    assert "<span>not measured</span>" in panel.readings._cells[second].value
    panel.fields[second][0].value = f"{line.check.first_cut_frequency_hz / 1e6:.6f}"
    assert "<span>keep: trimming it gains nothing</span>" in panel.readings._cells[second].value
    panel.fields[second][0].value = f"{line.check.frequency_hz / 1.4e6:.6f}"
    assert "<span>trim</span>" in panel.readings._cells[second].value
    panel.fields[second][0].value = "1,7"
    assert "<span>check the reading</span>" in panel.readings._cells[second].value


def test_nearly_equal_delays_share_a_line_when_merging_is_entered(panel, folder):
    before = len(panel.plan.delay_lines)
    panel.design_controls.merge.value = "28"
    assert len(panel.plan.delay_lines) < before
    panel.save.click()
    assert 'merge = "28 deg"' in panel.shown.path.read_text()
    panel.design_controls.merge.value = ""
    panel.save.click()
    assert "merge" not in panel.shown.path.read_text()
    panel.design_controls.merge.value = "1.5 ns"
    assert "merge" in panel.status.value
