"""The worksheet's panel with real widgets: from sweep to verdict to as-built pattern; only the button writes."""

import datetime
import pickle
import re

import pytest
from sheets import files

from workbook.bench.record import read_record, record_path
from workbook.files import demo, shipped
from workbook.formatting import LengthUnits
from workbook.panels.delay_lines import DelayLinesPanel
from workbook.panels.measure_and_trim import DISTANCE, LEVELS, PATTERN, PRACTICE, REEL, TRIM, MeasureAndTrimPanel
from workbook.panels.skeleton import OLD, PREVIOUS
from workbook.plan.designs import load_design
from workbook.tables.trimming import verdict
from workbook.worksheets import STATE, remember_design, remembered_readings


@pytest.fixture
def panel(folder):
    (folder / demo().name).write_bytes(demo().read_bytes())
    made = MeasureAndTrimPanel(folder)
    made.file.value = demo().name
    return made


def uploaded(content: bytes, name="A.s1p"):
    day = datetime.datetime(2026, 11, 26, tzinfo=datetime.UTC)
    return ({"name": name, "type": "", "size": len(content), "content": memoryview(content), "last_modified": day},)


def test_an_uploaded_sweep_gives_the_verdict(panel):
    panel.piece.value = "B1"
    panel.upload.value = uploaded((PRACTICE / "B1.s1p").read_bytes())
    assert "trim" in panel.answer.value
    assert "Far end, open" in panel.page.value
    panel.picture_of.value = DISTANCE
    assert "distance (m)" in panel.picture.svg


def test_a_reading_taken_back_in_one_worksheet_is_taken_back_in_the_other(folder, tmp_path_factory, monkeypatch):
    monkeypatch.setenv(STATE, str(tmp_path_factory.mktemp("state")))
    (folder / demo().name).write_bytes(demo().read_bytes())
    remember_design(folder, folder / demo().name)
    cutting, measuring = DelayLinesPanel(folder), MeasureAndTrimPanel(folder)
    first, second = measuring.piece.options[:2]
    for name in (first, second):
        cutting.fields[name][0].value = "1.9"
    measuring = MeasureAndTrimPanel(folder)
    assert measuring.reading.value == "1.9"
    measuring.reading.value = ""
    again = DelayLinesPanel(folder)
    assert [again.fields[name][0].value for name in (first, second)] == ["", "1.9"]
    # one that was open meanwhile writes what is typed there, not what it showed before
    cutting.fields[second][0].value = ""
    assert remembered_readings(folder / demo().name) == {}


def test_a_foreign_file_is_answered_in_place_and_a_pickle_leaves_no_mark(panel, tmp_path):
    class Trap:
        def __reduce__(self):
            return (open, (str(tmp_path / "mark"), "w"))

    shown = panel.answer.value
    for content, words in ((pickle.dumps(Trap()), "not text"), (b"hello", "option line"), (b"# MHz\n1 2\n", "row 2")):
        panel.upload.value = uploaded(content, "trap.s1p")
        assert words in panel.status.value
        assert panel.answer.value == shown
    assert not (tmp_path / "mark").exists()


def test_the_practice_set_walks_from_sweep_to_pattern_and_says_that_it_is_simulated(panel, folder):
    before = files(folder)
    panel.practice.value = True
    assert "simulated" in panel.status.value
    verdicts = {trim.name: verdict(trim) for trim in panel.trims if verdict(trim) != "keep"}
    assert verdicts == {"B1": "trim", "run 3": "trim", "run 6": "measure again"}
    panel.piece.value = "run 6"
    assert "measure again" in panel.answer.value
    assert "poor joint" in panel.page.value
    assert "Correct B1 first" in panel.page.value
    assert "elements 4 and 7 swapped" in panel.page.value
    assert files(folder) == before


def test_every_piece_has_a_picture_at_a_measured_velocity_factor(folder):
    """A passive line reflects at most what arrives (transmission-line theory, from memory)."""
    design = load_design(demo())
    cable = design.plan().delay_lines[0].cable
    keys = {("velocity_factor", cable, "value"): 0.8, ("velocity_factor", cable, "frequency"): "1.84 MHz"}
    design.changed(keys).save(folder / "slow.toml")
    panel = MeasureAndTrimPanel(folder)
    panel.file.value = "slow.toml"
    for piece in panel.piece.options:
        panel.picture.svg = ""
        panel.piece.value = piece
        panel.picture_of.value = DISTANCE
        panel.picture_of.value = "sweep"
        assert "negative" not in panel.status.value
        assert "<svg" in panel.picture.svg


def test_only_the_button_writes_and_it_appends(panel, folder):
    record = record_path(folder / demo().name)
    panel.piece.value = "A"
    panel.reading.value = "6.8"
    assert not record.exists()
    panel.keep.click()
    panel.keep.click()
    assert [(one.piece, one.value, one.unit) for one in read_record(record)] == [("A", 6.8e6, "Hz")] * 2
    assert record.name in panel.status.value


def test_nothing_measured_is_not_written(panel, folder):
    panel.keep.click()
    assert "nothing was measured" in panel.status.value
    assert not record_path(folder / demo().name).exists()


def test_a_reading_is_known_when_its_piece_is_chosen_again(panel):
    panel.piece.value = "A"
    panel.reading.value = "6.8"
    panel.piece.value = "B1"
    assert panel.reading.value == ""
    panel.piece.value = "A"
    assert panel.reading.value == "6.8"


def test_designs_without_practice_sweeps_say_so(panel):
    panel.file.value = "heron-fen-square.toml"
    assert panel.practice.disabled
    assert (shipped("notebooks") / "practice").is_dir()


def test_pieces_with_a_length_by_tape_give_the_velocity_factor_and_the_button_puts_it_into_the_design(panel, folder):
    path = folder / demo().name
    before = path.read_text()
    panel.practice.value = True
    for name, metres in (("run 1", "24.68"), ("run 2", "24.69")):
        panel.piece.value = name
        panel.tape.value = metres
    assert "weighted mean" in panel.page.value
    assert path.read_text() == before
    panel.put.click()
    assert "saved" in panel.status.value
    changed = load_design(path).content.velocity_factor["series-6-copper"]
    assert changed.value == pytest.approx(0.83, abs=0.01)
    assert changed.date == datetime.date.today()


def test_the_switch_shows_lengths_in_feet_alone_and_a_tape_length_keeps_the_unit_it_was_typed_in(panel):
    panel.practice.value = True
    panel.piece.value, panel.tape.value = "run 1", "24.68"
    panel.piece.value, panel.picture_of.value = "B1", DISTANCE
    metric, feet = r"[\d.]+ m\b", r"\d+ (ft|in)\b"
    said = panel.answer.value, panel.page.pages[TRIM].value.split("</style>")[-1]
    velocity = panel.page.pages[REEL].value
    assert all(re.search(metric, text) and not re.search(feet, text) for text in said)
    panel.units.control.value = LengthUnits.FEET
    # 24.68 m and not ft, whatever is shown now
    assert panel.page.pages[REEL].value == velocity
    said = panel.answer.value, re.sub(r"\d+ m\b", "", panel.page.pages[TRIM].value.split("</style>")[-1])
    assert all(re.search(feet, text) and not re.search(metric, text) for text in said)
    assert "distance (ft)" in panel.picture.svg
    assert panel.tape.description == "length by tape (ft)"
    assert "ft" in panel.tape.placeholder
    panel.piece.value = "run 2"
    panel.tape.value = "81"
    panel.piece.value = "run 1"
    assert panel.tape.value == "24.68 m"
    panel.piece.value = "run 2"
    assert panel.tape.value == "81 ft"


def test_an_exact_frequency_moves_pattern_and_levels_but_neither_cuts_nor_verdicts(panel):
    panel.practice.value, panel.picture_of.value = True, PATTERN
    trims, before, levels = panel.trims, panel.picture.svg, panel.page.pages[LEVELS].value
    panel.band.field.value = "1.81"
    assert panel.trims is trims
    assert panel.picture.svg != before
    assert panel.page.pages[LEVELS].value != levels
    assert "160 m at 1.81 MHz" in panel.picture.svg
    # on the frequency of the design it is the design again
    panel.band.field.value = f"{panel.plan.bands[0].frequency_hz / 1e6:.9g} MHz"
    numbers = (re.findall(r"<td[^>]*><span>(.*?)</span>", text) for text in (levels, panel.page.pages[LEVELS].value))
    assert next(numbers) == next(numbers)
    panel.band.field.value = "1.81 m"
    assert "refused" in panel.status.value


def test_the_pattern_as_built_is_drawn_beside_the_planned_one(panel):
    panel.practice.value = True
    panel.picture_of.value = PATTERN
    assert "as planned" in panel.picture.svg.lower()
    before = panel.picture.svg
    panel.practice.value = False
    assert panel.picture.svg != before


def test_what_is_still_shown_when_another_design_cannot_be_planned_is_marked_as_old(folder, panel):
    """As in the other worksheets; with a design that can be planned the mark goes."""
    text = demo().read_text().replace("[bands]", '[bands]\n"160 m" = 5\n[other]', 1)
    (folder / "broken.toml").write_text(text)
    made = MeasureAndTrimPanel(folder)
    made.file.value = demo().name
    assert made.old.page.value == ""
    made.file.value = "broken.toml"
    assert PREVIOUS in made.old.page.value
    assert made.plan.name in made.old.page.value
    assert OLD in made.old.page._dom_classes
    made.file.value = demo().name
    assert made.old.page.value == ""
    assert OLD not in made.old.page._dom_classes
    made.azimuth.value = "nowhere"
    assert PREVIOUS in made.old.page.value
