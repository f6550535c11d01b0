"""The worksheet's panel with real widgets: from sweep to verdict to as-built pattern; only the button writes."""

import datetime
import pickle

import pytest
from sheets import files

from workbook.bench.record import read_record, record_path
from workbook.files import demo, shipped
from workbook.panels.measure_and_trim import DISTANCE, PATTERN, PRACTICE, MeasureAndTrimPanel
from workbook.plan.designs import load_design
from workbook.tables.trimming import verdict


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
    panel.piece.value = "B 1"
    panel.upload.value = uploaded((PRACTICE / "B-1.s1p").read_bytes())
    assert "trim" in panel.answer.value
    assert "Far end, open" in panel.page.value
    panel.picture_of.value = DISTANCE
    assert "distance (m)" in panel.picture.svg


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
    assert verdicts == {"B 1": "trim", "run 3": "trim", "run 6": "measure again"}
    panel.piece.value = "run 6"
    assert "measure again" in panel.answer.value
    assert "poor joint" in panel.page.value
    assert "Correct B 1 first" in panel.page.value
    assert "elements 4 and 7 swapped" in panel.page.value
    assert files(folder) == before


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
    panel.piece.value = "B 1"
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


def test_the_pattern_as_built_is_drawn_beside_the_planned_one(panel):
    panel.practice.value = True
    panel.picture_of.value = PATTERN
    assert "as planned" in panel.picture.svg.lower()
    before = panel.picture.svg
    panel.practice.value = False
    assert panel.picture.svg != before
