"""The panel *reel calibration*: readings calibrate the cable at once, and only the button writes."""

from pathlib import Path

import numpy as np
import pytest
import skrf

import workbook as wb
from workbook.panels.reel import METHODS, ReelPanel


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "mine"))
    return tmp_path / "mine"


@pytest.fixture
def panel(folder):
    return ReelPanel(Path())


def said(page) -> str:
    return page.value.split("</style>")[1]


def test_every_method_calibrates_and_nothing_is_written(panel, folder, tmp_path):
    cable = wb.cable("series-6-clad")
    line = cable.network(wb.Quantity(np.linspace(5e5, 9e6, 401), "Hz"), "20 m")
    seen = line ** skrf.media.DefinedGammaZ0(line.frequency, z0=50).open()
    seen.write_touchstone("seen.s1p", dir=str(tmp_path))
    readings = ("9", "10 ohm", "3.1", str(tmp_path / "seen.s1p"))
    panel.length.value = "60"
    found = set()
    for method, reading in zip(METHODS, readings, strict=True):
        panel.value.value = ""
        panel.method.value = method
        panel.length.value = "60" if method in METHODS[:2] else "20"
        panel.value.value = reading
        assert "done" in said(panel.page), method
        found.add(said(panel.page))
    assert len(found) == len(METHODS)
    assert not folder.exists()


def test_the_button_keeps_it_and_the_cable_can_be_chosen(panel, folder):
    panel.length.value, panel.value.value, panel.name.value = "200 ft", "9 ohm", "barn-reel"
    panel.keep.click()
    assert "saved" in said(panel.status)
    assert "barn-reel" in panel.cable.options
    assert panel.cable.value == "series-6-clad"
    panel.cable.value = "barn-reel"
    assert "barn-reel" in said(panel.page)


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
    panel.method.value, panel.length.value, panel.value.value = method, length, reading
    assert "refused" in said(panel.page)
    panel.name.value = "barn-reel"
    panel.keep.click()
    assert "refused" in said(panel.status)
    assert not folder.exists()


def test_a_cable_of_solid_copper_is_refused_by_its_resistance(panel):
    panel.cable.value = "series-6-copper"
    panel.length.value, panel.value.value = "60", "9"
    assert "no clad centre" in said(panel.page)


def test_a_broken_file_of_the_first_cable_leaves_the_panel_usable(folder):
    folder.mkdir()
    (folder / "series-6-clad.toml").write_text("standard_type = 5", encoding="utf-8")
    panel = ReelPanel(Path())
    assert panel.cable.value != "series-6-clad"
    assert "<table" in said(panel.page)
    panel.cable.value = "series-6-clad"
    assert "refused" in said(panel.page)
    assert "series-6-clad.toml" in said(panel.page)
    panel.keep.click()
    assert "refused" in said(panel.status)
    panel.cable.value = "series-6-copper"
    assert "<table" in said(panel.page)
