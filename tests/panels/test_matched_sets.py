"""The worksheet's panel with real widgets: an uploaded file is text, sorted; nothing in it is ever executed."""

import datetime
import pickle

import pytest

from workbook.panels.matched_sets import MatchedSetsPanel


@pytest.fixture
def panel(folder):
    return MatchedSetsPanel(folder)


def uploaded(content: bytes, name="parts.csv"):
    day = datetime.datetime(2026, 11, 26, tzinfo=datetime.UTC)
    return ({"name": name, "type": "", "size": len(content), "content": memoryview(content), "last_modified": day},)


def test_an_uploaded_file_is_sorted(panel):
    panel.size.value = 2.0
    panel.upload.value = uploaded(b"a, 1 uH\nb, 5 uH\nc, 1.1 uH\nd, 5.2 uH\n")
    assert panel.found.sets == (("a", "c"), ("b", "d"))
    assert "sorting takes away" in panel.page.value


def test_an_uploaded_pickle_leaves_no_mark(panel, tmp_path):
    class Trap:
        def __reduce__(self):
            return (open, (str(tmp_path / "mark"), "w"))

    before = panel.found
    panel.upload.value = uploaded(pickle.dumps(Trap()), "parts.csv")
    assert "not text" in panel.status.value
    assert panel.found is before
    assert not (tmp_path / "mark").exists()


def test_delays_say_what_they_cost_the_array(panel):
    panel.values.value = "r1 120 ns\nr2 121.5 ns\nr3 120.1 ns\nr4 122 ns"
    assert "Heron Fen" in panel.page.value
    assert "deg on 160 m" in panel.page.value


def test_too_few_parts_are_refused_and_what_was_shown_stays(panel):
    shown = panel.page.value
    panel.sets = panel.count.value = 9.0
    assert "12 parts" in panel.status.value
    assert panel.page.value == shown
