"""The worksheet *layout and stake-out* with real widgets: every control does something, nothing is lost or written."""

import datetime
import itertools
import math
import re

import pytest

import workbook as wb
from workbook.panels.layout import LayoutPanel
from workbook.plan.line_costs import LineCosts
from workbook.tables.costs import cost_cell

C = 299_792_458
CUSTOM = """[array]
kind = "custom"
positions = [["0 m", "0 m"], ["30 m", "5 m"], ["-8 m", "20 m"], ["-60 m", "-10 m"], ["11 ft", "-40 m"]]
"""


@pytest.fixture
def panel(folder):
    return LayoutPanel(folder)


def rewritten(folder, name, **keys):
    """Write the demo with other text in place of some of it, and return its path."""
    text = (folder / "heron-fen-ring.toml").read_text()
    for old, new in keys.pop("replace", {}).items():
        assert old in text
        text = text.replace(old, new)
    if array := keys.pop("array", None):
        text = re.sub(r"\[array\].*?\n(?=\n)", array, text, flags=re.S)
    (folder / name).write_text(text + keys.pop("end", ""))
    return str(folder / name)


def shown(panel):
    return panel.page.value, panel.drawing.svg


def refusal(panel) -> str:
    return panel.status.value if "refused" in panel.status.value.split("</style>")[1] else ""


def size(panel, key="diameter"):
    return panel.design_controls.shape.sizes[key]


def count(panel):
    return panel.design_controls.shape.box.children[0]


def turn(panel):
    return panel.design_controls.shape.box.children[-1]


def widest(panel) -> float:
    places = [(stake.east_m, stake.north_m) for stake in panel.out.stakes]
    return max(math.dist(one, other) for one, other in itertools.combinations(places, 2))


def by_place(panel, latitude="52.3", longitude="-1.2", date="2026-06-01"):
    bearings = panel.design_controls.bearings
    bearings.mode.value = "from place and date"
    for key, text in (("latitude", latitude), ("longitude", longitude), ("date", date)):
        bearings.entries[key].value = text


# --- every control ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["declination", "latitude", "longitude", "date"])
def test_each_bearing_entry_turns_the_magnetic_bearings(panel, key):
    if key == "declination":
        panel.design_controls.bearings.mode.value = "declination entered"
        panel.design_controls.bearings.entries["declination"].value = "4"
    else:
        by_place(panel)
    before = shown(panel)
    other = {"declination": "-3 deg", "latitude": "-31", "longitude": "116 deg", "date": "2012-06-01"}[key]
    panel.design_controls.bearings.entries[key].value = other
    assert not refusal(panel)
    assert all(new != old for new, old in zip(shown(panel), before, strict=True))


# --- the numbers ------------------------------------------------------------------------------------------


def test_magnetic_bearings_are_those_of_the_declination(panel):
    panel.design_controls.bearings.mode.value = "declination entered"
    panel.design_controls.bearings.entries["declination"].value = "-3"
    # stake 3 stands due east; where magnetic north lies 3 degrees west of true north, a compass reads 93
    assert panel.out.stakes[2].magnetic_deg == pytest.approx(93)
    assert ">93.0<" in panel.page.value
    by_place(panel)
    wanted = wb.declination("52.3 deg", "-1.2 deg", datetime.date(2026, 6, 1)).m_as("degree")
    assert panel.out.declination_deg == pytest.approx(wanted)


def test_the_tolerance_is_the_wave_that_the_accepted_phase_is_of(panel):
    # one degree is a 360th of the wave, and so many metres are 360 times as many over the wave in degrees
    wave = C / 3.6e6
    assert f"one stake alone within {wave / 360:.3f} m" in panel.drawing.svg
    assert f"<span>{360 * 0.02 / wave:.2f}</span>" in panel.page.value
    panel.design_controls.band.value = "160 m"
    wave = C / 1.84e6
    panel.design_controls.accept.value = 2.0
    assert f"one stake alone within {wave / 180:.3f} m" in panel.drawing.svg
    assert "<span>80 m</span>" not in panel.page.value


def test_the_runs_reach_from_the_hub_to_the_farthest_element(panel):
    assert panel.runs.length_m == pytest.approx(23 + 1.5)
    panel.design_controls.hub.sliders[0].value = 5.0
    assert panel.runs.length_m == pytest.approx(28 + 1.5)
    assert "29.500 m" in panel.page.value


def test_the_page_warns_of_what_a_slip_of_the_tapes_ruins_and_of_coupling(panel):
    eighth = C / 3.6e6 / 8
    assert f"shorter than {eighth:.2f} m, an eighth of a wave on 80 m" in panel.page.value
    assert "An error of" not in panel.page.value
    panel.design_controls.accept.value = 0.4
    assert "moves stakes 4, 6 by up to" in panel.page.value
    size(panel).exact.value = "20 m"
    # the side of an octagon is 0.76537 of its circumradius
    assert "shorter than 7.65 m, as far as the nearest two stand apart" in panel.page.value
    assert "half a wave" not in panel.page.value
    size(panel).exact.value = "120 m"
    assert "half a wave on 80 m, 41.6 m" in panel.page.value
    panel.design_controls.band.value = "160 m"
    assert "half a wave" not in panel.page.value


def test_near_the_pole_it_says_that_a_compass_is_useless(panel):
    by_place(panel, "86", "160")
    assert "magnetic pole" in panel.page.value


# --- another kind -----------------------------------------------------------------------------------------


def test_every_kind_is_as_far_across_and_the_way_back_leads_to_the_file(panel):
    kinds = panel.design_controls.shape.kind
    assert "custom" not in kinds.options
    for kind, elements in (("square", 4), ("row", 8), ("two-row", 8), ("square", 4), ("two-row", 8), ("ring", 8)):
        kinds.value = kind
        assert not refusal(panel)
        assert panel.shown.content.array.kind == kind
        assert len(panel.out.stakes) == elements
        assert widest(panel) == pytest.approx(46, abs=1e-3)
    assert panel.design_controls.changes() == {}
    assert "as it is in the file" in panel.where.value


def test_a_size_turn_and_count_are_kept_through_the_other_kinds(panel):
    size(panel).exact.value = "150 ft"
    turn(panel).value = 33.0
    count(panel).value = 5
    for kind in ("two-row", "square", "row", "ring"):
        panel.design_controls.shape.kind.value = kind
    assert panel.shown.content.array.count == 5
    assert panel.shown.content.array.diameter.m_as("ft") == pytest.approx(150, rel=1e-5)
    assert panel.shown.content.array.first_azimuth.m_as("degree") == 33


def test_two_rows_keep_their_shape(panel):
    panel.design_controls.shape.kind.value = "two-row"
    size(panel, "width").exact.value = "30 m"
    size(panel, "spacing").exact.value = "12 m"
    for kind in ("ring", "row", "two-row"):
        panel.design_controls.shape.kind.value = kind
        assert widest(panel) == pytest.approx(math.hypot(36, 30), abs=1e-3)
    assert size(panel, "width").value == pytest.approx(30)
    assert size(panel, "spacing").value == pytest.approx(12)


def test_custom_positions_are_shown_as_entered(panel, folder):
    panel.path.value = rewritten(folder, "custom.toml", array=CUSTOM)
    assert not refusal(panel)
    assert len(panel.out.stakes) == 5
    assert not panel.design_controls.shape.sizes
    assert panel.design_controls.changes() == {}
    far = widest(panel)
    panel.design_controls.hub.sliders[0].value = 3.0
    assert {key[0] for key in panel.design_controls.changes()} == {"hub"}
    kinds = panel.design_controls.shape.kind
    for kind in ("row", "two-row", "square"):
        kinds.value = kind
        assert not refusal(panel)
        assert widest(panel) == pytest.approx(far, rel=1e-4)
    assert "takes the place" in panel.page.value
    kinds.value = "custom"
    assert len(panel.out.stakes) == 5
    assert "takes the place" not in panel.page.value


def test_positions_of_a_table_beside_the_file_are_shown(panel, folder):
    (folder / "stakes.csv").write_text("east (m),north (m)\n0,0\n20,0\n0,25\n")
    text = '[array]\nkind = "custom"\npositions_file = "stakes.csv"\n'
    panel.path.value = rewritten(folder, "table.toml", array=text)
    assert len(panel.out.stakes) == 3
    panel.design_controls.shape.kind.value = "ring"
    panel.save.click()
    assert len(wb.load_design(folder / "table.toml").content.array.layout().metres) == 3


def test_a_smaller_count_leaves_a_stake_to_show(panel):
    panel.design_controls.stake.value = 8
    count(panel).value = 5
    assert panel.design_controls.stake.value == 5
    assert "tapes to stake 5" in panel.drawing.svg
    count(panel).value = 24
    assert panel.design_controls.stake.options[-1] == 24


# --- saving -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["ring", "square", "row", "two-row"])
def test_what_is_saved_is_what_was_shown(panel, folder, kind):
    path = folder / "heron-fen-ring.toml"
    others = path.read_text().partition("[phasing]")[2].partition("[hub]")[0]
    panel.design_controls.shape.kind.value = kind
    turn(panel).value = 12.5
    panel.design_controls.hub.sliders[1].value = 2.0
    by_place(panel)
    panel.design_controls.stake.value = 4
    panel.design_controls.accept.value = 2.0
    out = panel.out
    panel.save.click()
    assert "saved" in panel.status.value
    again = wb.load_design(path).content
    site = again.site.east_of_north()
    assert wb.stake_out(again.array.layout(), site) == out == panel.out
    assert [place.m_as("m") for place in again.hub.position] == [0, 2]
    assert path.read_text().partition("[phasing]")[2].partition("[hub]")[0] == others
    # what was only looked at stays as it was
    assert (panel.design_controls.stake.value, panel.design_controls.accept.value) == (4, 2.0)
    assert panel.design_controls.changes() == {}


def test_saving_writes_only_what_was_moved(panel, folder):
    path = folder / "heron-fen-ring.toml"
    before = path.read_text()
    size(panel).exact.value = "150 ft 6 in"
    panel.save.click()
    assert path.read_text() == before.replace('diameter = "46 m"', 'diameter = "150 ft 6 in"')


def test_taking_the_compass_away_takes_the_site_out_of_the_file(panel, folder):
    panel.path.value = rewritten(folder, "site.toml", end='\n[site]\ndeclination = "-2 deg"\n')
    assert panel.out.declination_deg == -2
    by_place(panel)
    assert not refusal(panel)
    panel.design_controls.bearings.mode.value = "no compass"
    assert panel.out.declination_deg is None
    panel.save.click()
    assert wb.load_design(folder / "site.toml").content.site is None


def test_saving_over_a_file_changed_meanwhile_is_refused(panel, folder):
    path = folder / "heron-fen-ring.toml"
    turn(panel).value = 10.0
    path.write_text(path.read_text() + "# a note made meanwhile\n")
    kept = path.read_bytes()
    panel.save.click()
    assert "changed on disk" in refusal(panel)
    assert path.read_bytes() == kept


def test_what_is_refused_cannot_be_saved(panel):
    size(panel).exact.value = "abc"
    assert panel.save.disabled
    size(panel).slider.value = 30.0
    assert not panel.save.disabled


def test_a_saved_layout_that_makes_no_plan_is_told(panel, folder):
    panel.path.value = rewritten(folder, "short.toml", replace={'"0.11 ns"': '"9 ns"'})
    size(panel).exact.value = "8 m"
    panel.save.click()
    assert "saved. But no plan can be made yet" in panel.status.value
    assert "connector" in panel.status.value


def test_a_kind_that_the_rule_cannot_fire_is_told_before_it_is_saved(panel, folder):
    path = folder / "endfire.toml"
    path.write_text((folder / "heron-fen-square.toml").read_text().replace('rule = "aligned"', 'rule = "endfire"'))
    panel.path.value = str(path)
    raw = path.read_bytes()
    assert "no plan" not in panel.status.value
    panel.design_controls.shape.kind.value = "row"
    assert "As changed here, no plan can be made yet" in panel.status.value
    assert "all elements lie in one row" in panel.status.value
    # the stakes can be driven all the same
    assert len(panel.out.stakes) == 4
    assert path.read_bytes() == raw
    panel.design_controls.shape.kind.value = "square"
    assert "no plan" not in panel.status.value


def test_a_plan_that_fails_is_told_while_the_size_is_moved(panel, folder):
    panel.path.value = rewritten(folder, "short.toml", replace={'"0.11 ns"': '"5 ns"'})
    said = "As changed here, no plan can be made yet"
    assert said not in panel.status.value
    size(panel).exact.value = "8 m"
    assert said in panel.status.value
    assert "connector" in panel.status.value
    assert not panel.save.disabled
    size(panel).slider.value = 46.0
    assert "no plan" not in panel.status.value
    size(panel).exact.value = "8 m"
    panel.save.click()
    panel.again.click()
    assert "loaded. But no plan can be made yet" in panel.status.value
    turn(panel).value = 10.0
    assert said in panel.status.value
    size(panel).slider.value = 46.0
    assert "no plan" not in panel.status.value


def test_runs_are_added_up_as_first_cut_like_the_cable_to_have_at_hand(panel):
    runs = panel.runs
    assert runs.first_cut_m > runs.length_to_cut_m
    assert "first cuts altogether" in panel.page.value
    assert f"{runs.count * runs.first_cut_m:.3f} m" in panel.page.value
    assert f"{runs.count * runs.length_to_cut_m:.3f} m" not in panel.page.value


def test_the_hub_stands_in_feet_too(panel):
    panel.design_controls.hub.sliders[1].value = -4.0
    # 4 m is 157.48 in, 13 ft 1 1/2 in
    panel.units.control.value = "feet"
    assert panel.design_controls.hub.amounts[1].readout.value == "-13 ft 1 1/2 in"
    assert panel.design_controls.changes() == {}
    assert panel.shown.content.hub.position[1].m_as("m") == -4


# --- refusals ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["150 MHz", "50,5", "abc", "-3 m", "0", "<b>1</b>", "1e30 m", "2 mm", "3000 km"])
def test_a_wrong_size_is_answered_in_place(panel, text):
    before = shown(panel)
    size(panel).exact.value = text
    assert "diameter" in refusal(panel)
    assert "<b>1" not in panel.status.value
    assert shown(panel) == before
    size(panel).slider.value = 50.0
    assert size(panel).exact.value == size(panel).readout.value == "50.000 m"
    assert not refusal(panel)


@pytest.mark.parametrize(
    ("key", "text", "word"),
    [
        ("latitude", "95", "latitude"),
        ("latitude", "north", "latitude"),
        ("latitude", "", "latitude: is blank"),
        ("longitude", "12 m", "longitude"),
        ("longitude", "", "longitude: is blank"),
        ("date", "soon", "date"),
        ("date", "2026-02-30", "date"),
        ("date", "1999-01-01", "no magnetic model"),
        ("date", "2080-01-01", "no magnetic model"),
        ("date", "", "date: is blank"),
    ],
)
def test_a_wrong_place_or_date_is_answered(panel, key, text, word):
    by_place(panel)
    before = shown(panel)
    entry = panel.design_controls.bearings.entries[key]
    good, entry.value = entry.value, text
    assert word in refusal(panel)
    assert shown(panel) == before
    entry.value = good
    assert not refusal(panel)


@pytest.mark.parametrize("text", ["", "200", "3 m", "west"])
def test_a_wrong_declination_is_answered(panel, text):
    panel.design_controls.bearings.mode.value = "declination entered"
    panel.design_controls.bearings.entries["declination"].value = text
    assert "declination" in refusal(panel)


def test_entered_phases_hold_the_count(panel, folder):
    text = (folder / "heron-fen-ring.toml").read_text().replace('rule = "aligned"', 'rule = "entered"')
    phases = ", ".join(f'"{n} deg"' for n in range(8))
    text = re.sub(r"(\nazimuth = .*)", rf"\1\nphases = [{phases}]", text)
    (folder / "entered.toml").write_text(text)
    panel.path.value = str(folder / "entered.toml")
    assert not refusal(panel)
    count(panel).value = 6
    assert "the array has 6 elements" in refusal(panel)
    count(panel).value = 8
    assert not refusal(panel)


def test_a_broken_first_file_is_told_and_the_next_is_shown(folder):
    (folder / "a-broken.toml").write_text("kind = ")
    panel = LayoutPanel(folder)
    assert "a-broken.toml" in refusal(panel)
    assert "heron-fen-ring.toml: as it is" in panel.where.value
    assert panel.file.value is None
    panel.file.value = "heron-fen-square.toml"
    assert "Heron Fen square" in panel.drawing.svg


def test_a_folder_without_a_design_shows_the_demo(tmp_path):
    assert "Heron Fen eight" in LayoutPanel(tmp_path).drawing.svg


# --- sliders ----------------------------------------------------------------------------------------------


def test_what_the_browser_rounds_is_no_move(panel):
    """Seen in a browser: a slider set to 14.5 reports 14.499999999999998 when it is first shown."""
    panel.design_controls.shape.kind.value = "two-row"
    spacing = size(panel, "spacing")
    assert spacing.slider.value == 14.5
    exact = spacing.value
    spacing.slider.set_state({"value": 14.499999999999998})
    assert spacing.value == exact
    spacing.slider.set_state({"value": 14.6})
    assert spacing.value == 14.6


def test_a_size_beyond_the_slider_gets_a_longer_one(panel):
    size(panel).exact.value = "800 m"
    assert size(panel).slider.value == 800
    assert not refusal(panel)
    size(panel).slider.value = 700
    assert widest(panel) == pytest.approx(700)


# --- stakes typed and pasted --------------------------------------------------------------------------------


def places(panel):
    return [(stake.east_m, stake.north_m) for stake in panel.out.stakes]


def test_a_typed_place_moves_one_stake_and_leaves_the_others(panel, folder):
    raw = (folder / "heron-fen-ring.toml").read_bytes()
    before = places(panel)
    panel.design_controls.stake.value = 4
    panel.stakes.east.value = "-3"
    assert not refusal(panel)
    after = places(panel)
    assert after[3] == (-3.0, pytest.approx(before[3][1], abs=1e-6))
    assert after[:3] + after[4:] == [pytest.approx(place, abs=5e-4) for place in before[:3] + before[4:]]
    assert panel.design_controls.stake.value == 4
    assert panel.stakes.east.value == "-3.000 m"
    assert "custom array" in panel.status.value
    assert (folder / "heron-fen-ring.toml").read_bytes() == raw
    panel.save.click()
    array = wb.load_design(folder / "heron-fen-ring.toml").content.array
    assert array.kind == "custom"
    assert array.layout().metres[3] == pytest.approx(after[3])


def test_a_bare_number_of_a_stake_is_in_the_system_shown(panel):
    panel.units.control.value = "feet"
    panel.stakes.north.value = "10"
    # 1 ft = 0.3048 m exactly
    assert places(panel)[2][1] == pytest.approx(3.048)
    assert panel.stakes.north.value == "10 ft 0 in"


def test_a_bare_number_of_a_pasted_table_is_in_the_system_shown(panel):
    panel.units.control.value = "feet"
    panel.stakes.table.value = "east,north\n75,0\n0,75\n-75,0"
    panel.stakes.take.click()
    assert not refusal(panel)
    # 1 ft = 0.3048 m exactly
    assert places(panel) == [pytest.approx(place) for place in ((22.86, 0), (0, 22.86), (-22.86, 0))]


def test_a_pasted_table_takes_the_place_of_all_stakes(panel):
    panel.stakes.table.value = "distance\tazimuth\n100 ft\t0\n100 ft\t90\n100 ft\t180\n"
    panel.stakes.take.click()
    assert not refusal(panel)
    foot = 0.3048
    assert places(panel) == [
        pytest.approx(place, abs=6e-4) for place in ((0, 100 * foot), (100 * foot, 0), (0, -100 * foot))
    ]
    assert panel.stakes.table.value == ""
    assert len(panel.design_controls.stake.options) == 3


@pytest.mark.parametrize(
    "text", ["", "x,y\n1,2", "east (m),north (m)\n1,a", "east,north\n<b>,1", "east (m),north (m)\n"]
)
def test_a_table_that_cannot_be_used_is_answered_and_stays(panel, text):
    before = shown(panel)
    panel.stakes.table.value = text
    panel.stakes.take.click()
    assert refusal(panel)
    assert "<b>,1" not in panel.status.value
    assert shown(panel) == before
    assert panel.stakes.table.value == text


@pytest.mark.parametrize("text", ["3 kg", "abc", "1,5", ""])
def test_a_place_that_cannot_be_read_is_answered(panel, text):
    before = shown(panel)
    panel.stakes.east.value = text
    assert refusal(panel)
    assert shown(panel) == before


def test_one_stake_alone_is_shown(panel):
    panel.stakes.table.value = "east (m),north (m)\n1,2"
    panel.stakes.take.click()
    assert places(panel) == [(1.0, 2.0)]
    assert panel.design_controls.stake.value == 1
    assert "stakes" in panel.answer.value


def test_the_tolerance_of_a_stake_says_what_it_costs(panel):
    held = panel.page.pages["Hold the tolerance"]
    assert "costs RDF, F/B dB" in held.value
    assert "does not matter" in held.value
    panel.design_controls.accept.value = 10.0
    costs = LineCosts(panel.shown.stages().computed("directions", "delay_lines"))
    for band in ("160 m", "80 m"):
        assert f"<span>{cost_cell(costs.of_element(band, 10.0))}</span>" in held.value
