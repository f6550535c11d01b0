"""What all worksheets on a design do alike: they work a design out once when it is loaded, changed or saved, and not
at all where only something else is looked at; warnings and refusals are told apart.
"""

import re

import pytest

from workbook.panels import controls
from workbook.panels.delay_lines import DelayLinesPanel
from workbook.panels.layout import LayoutPanel
from workbook.panels.pattern import PatternPanel
from workbook.panels.picture import Picture
from workbook.panels.real_ports import RealPortsPanel

SQUARE = "heron-fen-square.toml"
# the worksheet, what moves its design to what, and what is only looked at
PANELS = {
    "layout": (LayoutPanel, "hub.sliders.0", 3.0, {"band": "160 m", "accept": 2.0, "stake": 2}),
    "pattern": (PatternPanel, "elevation", 31.0, {"band": "160 m", "direction": "north-west"}),
    "delay lines": (DelayLinesPanel, "elevation", 31.0, {"direction": "north-west"}),
    "real ports": (RealPortsPanel, "slack", 3.0, {"band": "160 m", "length": 90.0, "direction": "north-west"}),
}


def control(panel, path):
    found = panel.design_controls
    for name in path.split("."):
        found = found[int(name)] if name.isdigit() else getattr(found, name)
    return found


def body(page) -> str:
    return page.value.split("</style>")[-1]


@pytest.mark.parametrize("name", PANELS)
def test_a_design_is_worked_out_once_and_a_look_is_none(folder, monkeypatch, name):
    kind, moved, value, looks = PANELS[name]
    worked = []
    work_out = kind.work_out
    monkeypatch.setattr(
        kind, "work_out", lambda self, design, moved: worked.append(design) or work_out(self, design, moved)
    )
    panel = kind(folder)
    assert len(worked) == 1
    panel.file.value = SQUARE
    assert len(worked) == 2
    for look, other in looks.items():
        control(panel, look).value = other
    assert len(worked) == 2
    control(panel, moved).value = value
    assert len(worked) == 3
    panel.save.click()
    assert "saved" in body(panel.status)
    assert len(worked) == 4
    assert {look: control(panel, look).value for look in looks} == looks
    assert "as it is in the file" in body(panel.where)


@pytest.mark.parametrize("kind", [PatternPanel, DelayLinesPanel])
def test_looking_elsewhere_leaves_a_refusal_standing(folder, kind):
    panel = kind(folder)
    panel.design_controls.exact.value = "abc"
    said, old, before = body(panel.status), getattr(panel, "old", panel.status).value, panel.page.value
    assert "refused" in said
    panel.design_controls.direction.value = "south-west"
    assert body(panel.status) == said
    assert getattr(panel, "old", panel.status).value == old
    assert panel.page.value != before
    assert panel.save.disabled


def test_a_design_that_cannot_be_shown_leaves_everything_as_it_was(folder):
    panel = DelayLinesPanel(folder)
    text = (folder / SQUARE).read_text()
    (folder / "short.toml").write_text(re.sub(r'"0\.\d+ ns"', '"90 ns"', text))
    variation, rows, page = panel.design_controls, panel.sliders.children, panel.page.value
    panel.path.value = str(folder / "short.toml")
    assert "connector" in body(panel.status)
    assert panel.design_controls is variation
    assert panel.sliders.children == rows
    assert panel.page.value == page
    panel.design_controls.elevation.value = 31.0
    assert panel.page.value != page


def test_the_list_goes_back_to_the_design_that_is_shown(folder):
    text = (folder / SQUARE).read_text()
    (folder / "short.toml").write_text(re.sub(r'"0\.\d+ ns"', '"90 ns"', text))
    panel = DelayLinesPanel(folder)
    assert panel.file.value == "heron-fen-ring.toml"
    panel.design_controls.elevation.value = 31.0
    page, where = panel.page.value, panel.where.value
    panel.file.value = "short.toml"
    assert "connector" in body(panel.status)
    assert "heron-fen-ring.toml is still the design that is shown" in body(panel.status)
    assert panel.file.value == "heron-fen-ring.toml"
    # what was moved and not saved is still there
    assert (panel.page.value, panel.where.value) == (page, where)
    assert panel.design_controls.elevation.value == 31.0
    panel.file.value = SQUARE
    assert "loaded" in body(panel.status)
    assert panel.file.value == SQUARE
    # a design named by its path stands in no list
    panel.path.value = str(folder / "heron-fen-ring.toml")
    assert panel.file.value is None
    panel.file.value = "short.toml"
    assert panel.file.value is None
    assert panel.shown.path.name == "heron-fen-ring.toml"


def test_warnings_are_told_apart_from_refusals_by_more_than_colour(folder):
    panel = PatternPanel(folder)
    panel.design_controls.rule.rule.value = "greatest-rdf"
    panel.design_controls.rule.gain.value = -25.0
    panel.design_controls.spacing.value = 6.0
    assert panel.plan.warnings
    assert body(panel.page).count('<p class="warning"><b>Warning:</b> ') == len(panel.plan.warnings)
    assert 'class="refused"' not in body(panel.page)


def test_every_kind_of_sentence_has_a_look_and_escapes():
    style = controls.tables("")
    for kind in ("refused", "warning", "todo", "done", "note"):
        assert f'<p class="{kind}">' in controls.sentence("<i>", kind)
        assert "&lt;i&gt;" in controls.sentence("<i>", kind)
        assert f".{kind}" in style
    assert controls.sentence("", "warning") == ""


def lengths(panel) -> tuple[int, int]:
    """How many lengths are written in metres, to the millimetre, and how many in feet or inches."""
    said = (
        body(panel.page)
        + panel.answer.value.split("</style>")[-1]
        + body(panel.page.pages[next(iter(panel.page.pages))])
    )
    drawn = "".join(picture.svg for picture in vars(panel).values() if isinstance(picture, Picture))
    text = said + drawn
    return len(re.findall(r"\d\.\d{3} m\b", text)), len(re.findall(r"\d (?:ft|in)\b", text))


@pytest.mark.parametrize("name", PANELS)
def test_one_system_of_lengths_is_shown_alone(folder, name):
    panel = PANELS[name][0](folder)
    metres, feet = lengths(panel)
    assert metres > (0 if name == "pattern" else 3)
    assert feet == 0
    panel.units.control.value = "feet"
    metres, feet = lengths(panel)
    assert metres == 0
    assert feet > (0 if name == "pattern" else 3)
    assert "as it is in the file" in body(panel.where)


@pytest.mark.parametrize("name", PANELS)
def test_a_design_in_feet_is_shown_in_feet_until_metric_is_chosen(folder, name):
    path = folder / "feet.toml"
    path.write_text('units = "feet"\n' + (folder / "heron-fen-ring.toml").read_text())
    panel = PANELS[name][0](folder)
    panel.path.value = str(path)
    assert panel.units.value == "feet"
    assert lengths(panel)[0] == 0
    assert "as it is in the file" in body(panel.where)
    panel.units.control.value = "metric"
    assert lengths(panel)[1] == 0
    panel.again.click()
    assert panel.units.value == "metric"
