"""The size controls of the worksheets on delay lines and on patterns, for every kind of array."""

import math
import re

import pytest

import workbook as wb
from workbook.panels.delay_lines import DelayLinesPanel
from workbook.panels.pattern import PatternPanel

TWO_ROWS = """[array]
kind = "two-row"
count = 3
spacing = "14 m"
width = "17 m"
azimuth = "100 deg"
"""
CUSTOM = '[array]\nkind = "custom"\npositions = [["0 m", "0 m"], ["30 m", "5 m"], ["-8 m", "20 m"]]\n'
ROW = '[array]\nkind = "row"\ncount = 4\nspacing = "14 m"\nazimuth = "100 deg"\n'


@pytest.fixture(params=[DelayLinesPanel, PatternPanel])
def panel(request, folder):
    return request.param(folder)


def show(panel, folder, array):
    """Show the demo with another array."""
    text = (folder / "heron-fen-ring.toml").read_text()
    path = folder / "another.toml"
    path.write_text(re.sub(r"\[array\].*?\n(?=\n)", array, text, flags=re.S))
    panel.path.value = str(path)
    assert "loaded" in panel.status.value
    return path


def apart(panel, one, other) -> float:
    one, other = (panel.plan.elements[number - 1] for number in (one, other))
    return math.dist((one.east_m, one.north_m), (other.east_m, other.north_m))


def named(panel):
    """Sliders and fields by their names."""
    parts = [part for row in panel.design_controls.size.rows for part in row.children]
    return {part._dom_classes[0]: part for part in parts}


def names(panel):
    """Name the sliders."""
    return [name for name in named(panel) if not name.endswith(("-exact", "-readout"))]


def test_two_rows_offer_all_their_sizes(panel, folder):
    show(panel, folder, TWO_ROWS)
    sizes = panel.design_controls.size
    assert names(panel) == ["across", "spacing", "width"]
    assert set(sizes.rows) <= set(panel.design_controls.rows)
    assert all(control.layout.display != "none" for control in sizes.rows)
    for name in names(panel):
        assert named(panel)[name].description
        assert named(panel)[f"{name}-exact"].tooltip
    assert panel.design_controls.changes() == {}
    # two spacings along, one width over
    assert panel.design_controls.across.value == pytest.approx(math.hypot(28, 17), abs=0.05)


@pytest.mark.parametrize(
    ("name", "value", "spacing", "width"),
    [
        ("spacing", 15.0, 15.0, 17.0),
        ("width", 20.0, 14.0, 20.0),
        ("spacing-exact", "50 ft", 15.24, 17.0),
        ("width-exact", "20.5", 14.0, 20.5),
        ("across-exact", f"{2 * math.hypot(28, 17)} m", 28.0, 34.0),
        # twice as far across is twice as far along and over
        ("across", 2 * math.hypot(28, 17), 28.0, 34.0),
    ],
)
def test_each_size_of_two_rows_moves_the_plan_and_is_read_back(panel, folder, name, value, spacing, width):
    path = show(panel, folder, TWO_ROWS)
    others = path.read_text().partition("[phasing]")[2]
    before = panel.page.value
    named(panel)[name].value = value
    assert panel.page.value != before
    # elements 1 to 3 stand along one row, 4 to 6 along the other; what is slid is written to six digits
    assert apart(panel, 1, 2) == pytest.approx(spacing, abs=1e-3)
    assert apart(panel, 1, 4) == pytest.approx(width, abs=1e-3)
    plan = panel.plan
    panel.save.click()
    array = wb.load_design(path).content.array
    assert (array.spacing.m_as("m"), array.width.m_as("m")) == pytest.approx((spacing, width), abs=1e-3)
    assert panel.plan.elements == plan.elements
    assert path.read_text().partition("[phasing]")[2] == others
    assert panel.design_controls.changes() == {}


def test_the_sliders_of_two_rows_follow_each_other(panel, folder):
    show(panel, folder, TWO_ROWS)
    sizes = panel.design_controls.size
    sizes.amounts["width"].exact.value = "30 m"
    assert sizes.sliders["width"].value == 30.0
    assert panel.design_controls.across.value == pytest.approx(math.hypot(28, 30), abs=0.05)
    panel.design_controls.across.value = 20.5
    assert sizes.amounts["width"].exact.value == sizes.amounts["width"].readout.value
    assert sizes.sliders["width"].value == pytest.approx(30 * 20.5 / math.hypot(28, 30), abs=0.06)
    sizes.amounts["spacing"].exact.value = "<b>"
    assert "spacing" in panel.status.value.split("</style>")[1]
    assert panel.save.disabled
    sizes.sliders["width"].value = 12.0
    assert panel.save.disabled  # what cannot be read still stands in its field
    sizes.sliders["spacing"].value = 12.0
    assert not panel.save.disabled


def test_every_size_stands_in_feet_where_feet_are_chosen(panel, folder):
    show(panel, folder, TWO_ROWS)
    panel.units.control.value = "feet"
    # 14 m is 551.18 in, 45 ft 11 3/16 in; 17 m is 669.29 in, 55 ft 9 5/16 in; 32.757 m is 1289.64 in
    wanted = {"spacing": "45 ft 11 3/16 in", "width": "55 ft 9 5/16 in", "across": "107 ft 5 5/8 in"}
    assert {name: named(panel)[f"{name}-readout"].value for name in wanted} == wanted
    assert {name: named(panel)[f"{name}-exact"].value for name in wanted} == wanted
    assert panel.design_controls.changes() == {}
    # what is typed is shown exactly, though no slider has it; a number alone is in feet
    named(panel)["spacing-exact"].value = "50 ft 1/4 in"
    assert named(panel)["spacing-readout"].value == "50 ft 0 1/4 in"
    named(panel)["spacing-exact"].value = "60"
    assert apart(panel, 1, 2) == pytest.approx(60 * 0.3048)
    # what is slid is a whole number of quarters: 20 m is 65.62 ft
    named(panel)["spacing"].value = 20.0
    assert named(panel)["spacing-readout"].value == "65 ft 6 in"
    assert panel.design_controls.changes()["array", "spacing"] == "65.5 ft"
    assert apart(panel, 1, 2) == pytest.approx(65.5 * 0.3048)


def test_changes_stay_when_the_other_system_is_chosen(panel, folder):
    show(panel, folder, TWO_ROWS)
    named(panel)["spacing-exact"].value = "15 m"
    panel.design_controls.elevation.value = 33.0
    shown = panel.page.value
    panel.units.control.value = "feet"
    assert panel.shown.changes == {("array", "spacing"): "15 m", ("phasing", "elevation"): "33 deg"}
    assert apart(panel, 1, 2) == pytest.approx(15.0)
    assert "not saved" in panel.where.value
    panel.units.control.value = "metric"
    assert panel.page.value == shown


def test_readout_and_field_agree_with_the_file(panel, folder):
    show(panel, folder, ROW.replace("14 m", "34.44 m"))
    assert named(panel)["spacing-readout"].value == named(panel)["spacing-exact"].value == "34.440 m"
    panel.design_controls.spacing.value = 35.0
    panel.save.click()
    assert named(panel)["spacing-readout"].value == named(panel)["spacing-exact"].value == "35.000 m"


def test_a_row_is_as_long_as_its_spacings(panel, folder):
    show(panel, folder, ROW)
    assert names(panel) == ["across", "spacing"]
    panel.design_controls.across.value = 45.0
    assert apart(panel, 1, 2) == pytest.approx(15.0)
    assert panel.design_controls.changes() == {("array", "spacing"): "15 m"}


def test_entered_positions_have_no_size_to_move(panel, folder):
    show(panel, folder, CUSTOM)
    assert names(panel) == []
    panel.design_controls.elevation.value = 33.0
    assert panel.design_controls.changes() == {("phasing", "elevation"): "33 deg"}
