"""Calibrating a reel in worksheet 04: readings calibrate the cable at once, and only the button writes."""

from pathlib import Path

import numpy as np
import pytest
import skrf

import workbook as wb
from workbook.panels.electrical_length import REEL, ElectricalLengthPanel
from workbook.panels.reel import METHODS


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "mine"))
    return tmp_path / "mine"


@pytest.fixture
def panel(folder):
    made = ElectricalLengthPanel(Path())
    made.cable.value = "series-6-clad"
    return made


def said(page) -> str:
    return page.value.split("</style>")[1]


def test_every_method_calibrates_and_nothing_is_written(panel, folder, tmp_path):
    cable = wb.cable("series-6-clad")
    line = cable.network(wb.Quantity(np.linspace(5e5, 9e6, 401), "Hz"), "20 m")
    seen = line ** skrf.media.DefinedGammaZ0(line.frequency, z0=50).open()
    seen.write_touchstone("seen.s1p", dir=str(tmp_path))
    readings = ("9", "10 ohm", "3.1", str(tmp_path / "seen.s1p"))
    panel.reel.length.value = "60"
    found = set()
    for method, reading in zip(METHODS, readings, strict=True):
        panel.reel.value.value = ""
        panel.reel.method.value = method
        panel.reel.length.value = "60" if method in METHODS[:2] else "20"
        panel.reel.value.value = reading
        assert "done" in said(panel.reel.page), method
        found.add(said(panel.reel.page))
    assert len(found) == len(METHODS)
    assert not folder.exists()


def test_the_button_keeps_it_and_the_cable_can_be_chosen(panel, folder):
    panel.reel.length.value, panel.reel.value.value, panel.reel.name.value = "200 ft", "9 ohm", "barn-reel"
    panel.reel.keep.click()
    assert "saved" in said(panel.reel.status)
    assert "barn-reel" in panel.cable.options
    assert panel.cable.value == "series-6-clad"
    assert "<caption>barn-reel" not in panel.page.value
    panel.cable.value = "barn-reel"
    assert "<caption>barn-reel" in said(panel.page.pages[REEL])


@pytest.mark.parametrize(
    ("method", "reading", "length"),
    [
        (METHODS[0], "9 m", "60"),
        (METHODS[0], "0.001", "60"),
        (METHODS[2], "99", "60"),
        (METHODS[3], "nowhere.s1p", "60"),
        (METHODS[0], "9", "-1"),
        (METHODS[0], "9,5", "60"),
    ],
)
def test_wrong_entries_are_answered_in_place(panel, folder, method, reading, length):
    panel.reel.method.value, panel.reel.length.value, panel.reel.value.value = method, length, reading
    assert "refused" in said(panel.reel.page)
    panel.reel.name.value = "barn-reel"
    panel.reel.keep.click()
    assert "refused" in said(panel.reel.status)
    assert not folder.exists()


def test_a_cable_of_solid_copper_is_refused_by_its_resistance(panel):
    panel.cable.value = "series-6-copper"
    panel.reel.length.value, panel.reel.value.value = "60", "9"
    assert "no clad centre" in said(panel.reel.page)


def test_the_table_of_the_cable_follows_the_reading_and_the_cable(panel):
    table = said(panel.page.pages[REEL])
    panel.reel.length.value, panel.reel.value.value = "60", "9"
    calibrated = said(panel.page.pages[REEL])
    assert calibrated != table
    panel.reel.value.value = ""
    assert said(panel.page.pages[REEL]) == table
    panel.reel.value.value, panel.cable.value = "9", "series-11-clad"
    assert "<caption>series-11-clad" in said(panel.page.pages[REEL])
    # what was typed without a unit keeps it in the other system
    found = panel.reel.found
    panel.units.control.value = "feet"
    assert panel.reel.length.value == "60 m"
    assert panel.reel.length.description == "length measured (ft)"
    assert panel.reel.found == found


def test_a_broken_file_of_the_cable_leaves_the_calibration_of_the_one_before(folder):
    folder.mkdir()
    (folder / "series-6-clad.toml").write_text("standard_type = 5", encoding="utf-8")
    panel = ElectricalLengthPanel(Path())
    table = said(panel.page.pages[REEL])
    panel.cable.value = "series-6-clad"
    assert "series-6-clad.toml" in said(panel.answers["cable"])
    assert said(panel.page.pages[REEL]) == table
    panel.reel.keep.click()
    assert "refused" in said(panel.reel.status)
