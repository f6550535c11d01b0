"""The panel *the reel in your hands*: readings narrow the cable at once, and only the button writes."""

import numpy as np
import pytest
import skrf

import workbook as wb
from workbook.panels.reel import WAYS, ReelPanel


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path / "mine"))
    return tmp_path / "mine"


@pytest.fixture
def panel(folder):
    return ReelPanel()


def said(page) -> str:
    return page.value.split("</style>")[1]


def test_every_way_of_measuring_narrows_and_nothing_is_written(panel, folder, tmp_path):
    cable = wb.cable("series-6-clad")
    line = cable.network(wb.Quantity(np.linspace(5e5, 9e6, 401), "Hz"), "20 m")
    seen = line ** skrf.media.DefinedGammaZ0(line.frequency, z0=50).open()
    seen.write_touchstone("seen.s1p", dir=str(tmp_path))
    readings = ("9", "10 ohm", "3.1", str(tmp_path / "seen.s1p"))
    panel.length.value = "60"
    found = set()
    for way, reading in zip(WAYS, readings, strict=True):
        panel.value.value = ""
        panel.way.value = way
        panel.length.value = "60" if way in WAYS[:2] else "20"
        panel.value.value = reading
        assert "done" in said(panel.page), way
        found.add(said(panel.page))
    assert len(found) == len(WAYS)
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
    ("way", "reading", "length"),
    [
        (WAYS[0], "9 m", "60"),
        (WAYS[0], "0.001", "60"),
        (WAYS[2], "99", "60"),
        (WAYS[3], "nowhere.s1p", "60"),
        (WAYS[0], "9", "-1"),
        (WAYS[0], "9,5", "60"),
    ],
)
def test_wrong_entries_are_answered_in_place(panel, folder, way, reading, length):
    panel.way.value, panel.length.value, panel.value.value = way, length, reading
    assert "refused" in said(panel.page)
    panel.name.value = "barn-reel"
    panel.keep.click()
    assert "refused" in said(panel.status)
    assert not folder.exists()


def test_a_solid_cable_answers_that_its_centre_has_nothing_to_narrow(panel):
    panel.cable.value = "series-6-copper"
    panel.length.value, panel.value.value = "60", "9"
    assert "no clad centre" in said(panel.page)


def test_every_control_has_a_description_and_a_tip(panel):
    for control in (panel.cable, panel.way, panel.value, panel.length, panel.delay, panel.name, panel.keep):
        assert control.description
        assert control.tooltip
