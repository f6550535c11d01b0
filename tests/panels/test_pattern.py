"""The panel *spacing, directions and pattern* with real widgets: every control does something, and nothing is lost."""

import threading
import time
from dataclasses import replace

import pytest
from sheets import settle

from workbook.design import phasing
from workbook.panels import plan_panel
from workbook.panels.pattern import PICTURES, PatternPanel
from workbook.panels.skeleton import OLD
from workbook.plan.firings import firing
from workbook.tables.pattern import beam_cautions

RING = "heron-fen-ring.toml"
ABOVE, SIDE = 1, 2
# under which rule each control is moved, and to what
# a ring looks the same from the side in all its directions, and ground weighs all azimuths alike
ENTERED = """rule = "entered"
elevation = "22 deg"
cut_band = "160 m"

[[directions]]
name = "north"
azimuth = "0 deg"
delays = ["140 ns", "120 ns", "70 ns", "20 ns", "0 ns", "20 ns", "70 ns", "120 ns"]

"""


@pytest.fixture
def panel(folder):
    return PatternPanel(folder)


@pytest.fixture
def entered(folder):
    text = (folder / RING).read_text()
    path = folder / "entered.toml"
    path.write_text(text[: text.index('rule = "aligned"')] + ENTERED + text[text.index("[hub]") :])
    return path


def control(panel, name):
    found = panel.design_controls
    for part in name.split("."):
        found = getattr(found, part)
    return found


def said(place) -> str:
    """What stands in a place, without the style sheet."""
    return place.value.split("</style>")[-1]


def refusal(panel) -> str:
    return "".join(said(place) for place in (panel.status, panel.old) if "refused" in said(place))


def shown(panel):
    return panel.page.value, panel.from_above.svg, panel.second.svg


def files(folder):
    return {path: path.read_bytes() for path in folder.iterdir()}


def use(panel, rule):
    control(panel, "rule.rule").value = rule
    settle()


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_follows_the_design(panel, curves, name):
    use(panel, "fewest-delays")
    panel.picture.value = name
    before = panel.second.svg
    assert before.startswith("<svg")
    assert "Heron Fen ring" in before
    panel.design_controls.elevation.value = 33.0
    assert not refusal(panel)
    assert curves(panel.second.svg) != curves(before)


def test_a_loaded_design_is_shown_as_it_stands_in_its_file(panel, folder):
    for name in sorted(path.name for path in folder.glob("*.toml")):
        panel.file.value = name
        assert not refusal(panel)
        assert panel.design_controls.changes() == {}, name
        assert "as it is in the file" in panel.where.value


def test_the_row_shows_its_own_rule_and_ground(panel):
    panel.file.value = "heron-fen-row.toml"
    assert control(panel, "rule.rule").value == "endfire"
    assert control(panel, "rule.null").value == pytest.approx(30.0)
    assert control(panel, "rule.inversion").value == "yes"
    control(panel, "ground.ground").value = "medium dry ground"
    assert "from above" in panel.from_above.svg


@pytest.mark.parametrize(
    ("rule", "wanted"),
    [
        ("aligned", set()),
        ("endfire", {"null", "inversion"}),
        ("greatest-rdf", {"gain", "inversion"}),
        ("fewest-delays", {"lines", "inversion", "limited", "gain"}),
    ],
)
def test_only_what_goes_with_a_rule_is_shown(panel, rule, wanted):
    use(panel, rule)
    names = ("null", "inversion", "lines", "limited", "gain")
    assert {name for name in names if control(panel, f"rule.{name}").layout.display != "none"} == wanted
    assert not refusal(panel)


def test_entered_is_offered_only_where_the_file_has_it(panel, entered):
    assert "entered" not in control(panel, "rule.rule").options
    panel.path.value = str(entered)
    assert control(panel, "rule.rule").value == "entered"
    assert not refusal(panel)


def test_another_rule_tells_that_saving_drops_what_was_entered(panel, entered):
    panel.path.value = str(entered)
    before = entered.read_text()
    use(panel, "aligned")
    assert not refusal(panel)
    assert "saving takes them out" in said(panel.old)
    use(panel, "entered")
    assert said(panel.old) == ""
    assert panel.design_controls.changes() == {}
    use(panel, "aligned")
    panel.save.click()
    after = entered.read_text()
    assert "delays = [" in before
    assert "delays = [" not in after
    assert 'rule = "aligned"' in after
    assert "# nothing" not in after
    assert "saved" in said(panel.status)


def test_entered_delays_without_an_elevation_are_shown_at_twenty_degrees(panel, entered):
    entered.write_text(entered.read_text().replace('elevation = "22 deg"\n', ""))
    panel.path.value = str(entered)
    assert not refusal(panel)
    assert "20 deg elevation" in panel.from_above.svg
    assert "as it is in the file" in panel.where.value


# --- what is written ----------------------------------------------------------------------------------------


def test_saving_writes_the_rule_and_its_keys_and_keeps_the_notes(panel, folder):
    path = folder / RING
    before = path.read_text()
    use(panel, "greatest-rdf")
    control(panel, "rule.gain").value = -3.0
    control(panel, "ground.ground").value = "wet ground"
    panel.design_controls.direction.value = "south"
    panel.design_controls.band.value = "80 m"
    assert path.read_text() == before
    panel.save.click()
    after = path.read_text()
    assert '"greatest-rdf"' in after
    assert 'least_white_noise_gain = "-3 dB"' in after
    assert 'kind = "wet ground"' in after
    assert [line for line in before.splitlines() if line.startswith("#")] == [
        line for line in after.splitlines() if line.startswith("#")
    ]
    assert (panel.design_controls.direction.value, panel.design_controls.band.value) == ("south", "80 m")
    assert panel.design_controls.changes() == {}


def test_keys_of_another_rule_are_taken_out(panel, folder):
    panel.file.value = "heron-fen-row.toml"
    use(panel, "aligned")
    assert panel.design_controls.changes() == {
        ("phasing", "rule"): "aligned",
        ("phasing", "null_elevation"): None,
        ("phasing", "polarity_inversion"): None,
    }
    panel.save.click()
    after = (folder / "heron-fen-row.toml").read_text()
    assert "null_elevation" not in after
    assert "polarity_inversion" not in after


def test_going_back_leaves_nothing_to_save(panel):
    panel.file.value = "heron-fen-row.toml"
    for rule in ("fewest-delays", "greatest-rdf", "aligned", "endfire"):
        use(panel, rule)
        assert not refusal(panel), rule
    assert panel.design_controls.changes() == {}


def test_the_null_goes_with_the_elevation_until_it_is_set_apart(panel):
    use(panel, "endfire")
    panel.design_controls.elevation.value = 35.0
    assert control(panel, "rule.null").value == pytest.approx(35.0)
    assert ("phasing", "null_elevation") not in panel.design_controls.changes()
    control(panel, "rule.null").value = 12.0
    panel.design_controls.elevation.value = 40.0
    assert control(panel, "rule.null").value == pytest.approx(12.0)
    assert panel.design_controls.changes()["phasing", "null_elevation"] == "12 deg"


def test_inversion_is_said_only_where_it_is_not_usual(panel):
    for rule, usual, other, value in (("endfire", "no", "yes", True), ("fewest-delays", "yes", "no", False)):
        use(panel, rule)
        assert control(panel, "rule.inversion").value == usual
        assert ("phasing", "polarity_inversion") not in panel.design_controls.changes()
        control(panel, "rule.inversion").value = other
        settle()
        assert panel.design_controls.changes()["phasing", "polarity_inversion"] is value


def test_ground_by_numbers_replaces_a_class(panel, folder):
    panel.file.value = "heron-fen-row.toml"
    control(panel, "ground.ground").value = "entered below"
    control(panel, "ground.permittivity").value = 20.0
    panel.save.click()
    text = (folder / "heron-fen-row.toml").read_text()
    assert "relative_permittivity = 20.0" in text
    assert "medium dry" not in text
    assert "as it is in the file" in panel.where.value


# --- refusals -----------------------------------------------------------------------------------------------


def test_a_rule_without_rows_is_refused_and_the_old_picture_is_marked(panel, folder):
    text = (folder / "heron-fen-row.toml").read_text()
    text = text.replace('rule = "endfire"', 'rule = "aligned"').replace('azimuth = "240 deg"', 'azimuth = "150 deg"')
    lines = [line for line in text.splitlines() if not line.startswith(("null_elevation", "polarity_inversion"))]
    (folder / "across.toml").write_text("\n".join(lines))
    panel.path.value = str(folder / "across.toml")
    assert not refusal(panel)
    before = shown(panel)
    use(panel, "endfire")
    assert "west-south-west" in refusal(panel)
    assert "one row" in refusal(panel)
    assert "those of the previous settings" in said(panel.old)
    assert shown(panel) == before
    assert panel.save.disabled
    use(panel, "aligned")
    assert not refusal(panel)
    assert said(panel.old) == ""
    assert shown(panel)[1] == before[1]


def test_more_lines_than_rows_are_refused(panel):
    panel.file.value = "heron-fen-square.toml"
    use(panel, "fewest-delays")
    assert not refusal(panel)
    control(panel, "rule.lines").value = 4
    assert "3 rows" in refusal(panel)
    control(panel, "rule.lines").value = 2
    settle()
    assert not refusal(panel)


@pytest.mark.parametrize("elevation", [90.0, 0.0])
def test_where_nothing_arrives_it_says_so(panel, elevation):
    before = shown(panel)
    panel.design_controls.elevation.value = elevation
    assert f"nothing arrives at {elevation:g} deg" in refusal(panel)
    assert "those of the previous settings" in said(panel.old)
    assert shown(panel) == before
    panel.design_controls.elevation.value = 20.0
    assert not refusal(panel)


@pytest.mark.parametrize("text", ["12 kg", "-3 m", "0", "50,5"])
def test_a_wrong_size_is_answered(panel, text):
    before = shown(panel)
    panel.design_controls.exact.value = text
    assert "diameter" in refusal(panel)
    assert shown(panel) == before


def test_a_map_of_other_than_two_delays_is_answered_in_its_place(panel):
    panel.picture.value = "map of two delays"
    assert "fewest-delays" in said(panel.second_answer)
    assert panel.second.svg == ""
    use(panel, "fewest-delays")
    assert panel.second_answer.value == ""
    assert "least RDF" in panel.second.svg
    control(panel, "rule.lines").value = 1
    settle()
    assert "it takes 2 lines" in said(panel.second_answer)


def test_a_bad_file_is_answered_in_place(panel, folder):
    before = shown(panel)
    panel.path.value = str(folder / "barn.toml")
    assert "barn.toml" in refusal(panel)
    assert shown(panel) == before


# --- what it says -------------------------------------------------------------------------------------------


def test_what_small_errors_ruin_is_told_in_plain_words(panel):
    use(panel, "greatest-rdf")
    control(panel, "rule.gain").value = -25.0
    panel.design_controls.spacing.value = 6.0
    assert "would ruin this" in panel.page.value


@pytest.mark.parametrize("title", ["Figures at", "Shape of the pattern", "Delays, beam", "Switch position",
                                   "kinds of hub", "Delay lines on every band", "What to expect"])  # fmt: skip
def test_the_tables_are_there(panel, title):
    assert title in panel.page.value


def test_fewest_delays_tells_runners_up_and_slack(panel):
    use(panel, "fewest-delays")
    assert "next 1" in panel.page.value
    assert "Tolerance of each delay" in panel.page.value


def test_a_search_is_announced_and_made_only_when_it_must(panel, monkeypatch):
    asked, heard = [], []
    whole = phasing.search
    monkeypatch.setattr(phasing, "search", lambda *given: asked.append(given) or whole(*given))
    monkeypatch.setattr(plan_panel, "SAID_AFTER_SECONDS", 0.0)
    panel.status.observe(lambda change: heard.append(change.new), "value")
    panel.design_controls.elevation.value = 33.3
    use(panel, "fewest-delays")
    assert any("Searching every assignment" in text and "2 delay lines" in text for text in heard)
    assert said(panel.status).count("<p") == 0
    assert len(asked) == 1  # eight directions alike
    for name, value in (("direction", "east"), ("band", "80 m")):
        control(panel, name).value = value
    for name in PICTURES:
        panel.picture.value = name
    assert len(asked) == 1


@pytest.fixture
def held_search(panel, monkeypatch):
    """A panel on two lines, and the event that lets further searches go on."""
    use(panel, "fewest-delays")
    go, whole = threading.Event(), phasing.search
    monkeypatch.setattr(phasing, "search", lambda *given: go.wait(60) and whole(*given))
    yield go
    go.set()
    settle()


def test_a_moved_slider_continues_the_last_answer_until_the_search_is_made(panel, held_search):
    before = shown(panel)
    panel.design_controls.elevation.value = 33.0
    # the search is held back, and all the same everything follows the slider
    assert all(new != old for new, old in zip(shown(panel), before, strict=True))
    assert panel.plan.provisional
    assert "Provisional" in said(panel.old)
    provisional = panel.plan
    held_search.set()
    settle()
    assert not panel.plan.provisional
    assert said(panel.old) == ""
    assert said(panel.status).count("<p") == 0
    for name in (one.name for one in panel.plan.directions):
        found, near = (plan.choices(name).least_rdf.m_as("dB") for plan in (panel.plan, provisional))
        assert found >= near - 1e-6


def test_the_answer_of_an_outdated_search_is_dropped(panel, held_search):
    control(panel, "rule.lines").value = 1
    assert "when the controls rest" in said(panel.status) or "Searching" in said(panel.status)
    assert "Figures of the last plan" in said(panel.old)
    assert panel.save.disabled
    use_now = control(panel, "rule.rule")
    use_now.value = "aligned"
    page, plan = panel.page.value, panel.plan
    held_search.set()
    settle()
    assert (panel.page.value, panel.plan) == (page, plan)
    assert plan.rule == "aligned"
    assert not refusal(panel)
    assert not panel.save.disabled


def test_a_direction_added_during_a_search_is_listed_at_once_and_only_once(panel, held_search):
    control(panel, "rule.lines").value = 1  # a search that is held back
    before, answer = list(panel.design_controls.direction.options), panel.answer.value
    panel.directions.add.click()
    panel.directions.add.click()
    (added,) = set(panel.design_controls.direction.options) - set(before)
    assert panel.design_controls.direction.value == added == panel.directions.name.value
    assert panel.directions.add.disabled
    assert "is added" in said(panel.status) or "Searching" in said(panel.status)
    # the figures of the plan before stay, said to be old and shown in grey
    assert panel.answer.value == answer
    assert "Figures of the last plan" in said(panel.old)
    assert OLD in panel.old._dom_classes
    held_search.set()
    settle()
    assert added in panel.answer.value
    assert said(panel.old) == ""
    assert OLD not in panel.old._dom_classes
    assert not panel.directions.add.disabled
    assert [one.name for one in panel.plan.directions] == [*before, added]


def test_a_search_in_the_background_that_is_refused_is_answered(panel):
    use(panel, "fewest-delays")
    before = shown(panel)
    control(panel, "rule.gain").value = 9.0
    settle()
    assert "least_white_noise_gain" in refusal(panel)
    assert shown(panel) == before
    assert panel.save.disabled
    control(panel, "rule.gain").value = -8.0
    settle()
    assert not refusal(panel)


def test_a_slider_move_takes_at_most_a_quarter_of_a_second_while_a_search_runs(panel, held_search):
    panel.design_controls.elevation.value = 30.0
    times = []  # of this thread alone, whatever else the machine does
    for elevation in (31.0, 32.0, 33.0, 34.0, 35.0):
        began = time.thread_time()
        panel.design_controls.elevation.value = elevation
        times.append(time.thread_time() - began)
    assert sorted(times)[2] < 0.25


def test_sliders_answer_while_they_move_under_every_rule(panel):
    for rule in ("fewest-delays", "aligned"):
        use(panel, rule)
        assert panel.design_controls.elevation.continuous_update


def test_fresh_controls_for_every_design(panel):
    old = panel.design_controls
    panel.file.value = "heron-fen-square.toml"
    assert panel.design_controls is not old
    assert panel.design_controls.spacing is not old.spacing
    # 10 log 4 is 6.02
    assert control(panel, "rule.gain").max == pytest.approx(6.0)


# --- directions ---------------------------------------------------------------------------------------------


def listed(panel):
    return [(one.name, one.azimuth.m_as("degree")) for one in panel.shown.content.directions]


def test_a_direction_is_named_and_aimed_without_an_editor(panel, folder):
    raw = (folder / RING).read_bytes()
    panel.design_controls.direction.value = "east"
    assert (panel.directions.name.value, panel.directions.heading.value) == ("east", "90")
    panel.directions.name.value = "sunrise"
    panel.directions.heading.value = "88.5"
    assert not refusal(panel)
    assert listed(panel)[2] == ("sunrise", 88.5)
    assert panel.design_controls.direction.value == "sunrise"
    assert "sunrise" in panel.from_above.svg
    assert "not saved" in said(panel.where)
    assert (folder / RING).read_bytes() == raw
    panel.save.click()
    text = (folder / RING).read_text()
    assert 'name = "sunrise"\nazimuth = "88.5 deg"' in text
    assert text.replace('name = "sunrise"\nazimuth = "88.5 deg"', 'name = "east"\nazimuth = "90 deg"') == raw.decode()


def test_a_direction_is_added_in_the_widest_gap_and_removed_again(panel, folder):
    panel.design_controls.direction.value = "east"
    panel.directions.remove.click()
    assert ("east", 90.0) not in listed(panel)
    assert panel.design_controls.direction.value == "north"
    # between north-east and south-east
    panel.directions.add.click()
    assert listed(panel)[-1] == ("90 deg", 90.0)
    assert panel.design_controls.direction.value == "90 deg"
    panel.directions.add.click()
    assert listed(panel)[-1] == ("22.5 deg", 22.5)
    panel.design_controls.elevation.value = 33.0
    assert len(listed(panel)) == 9
    panel.save.click()
    assert "saved" in said(panel.status)
    assert len(panel.plan.directions) == 9


def test_a_name_that_is_only_the_heading_follows_it(panel):
    panel.directions.add.click()
    assert listed(panel)[-1] == ("22.5 deg", 22.5)
    panel.directions.heading.value = "17"
    assert listed(panel)[-1] == ("17 deg", 17.0)
    assert panel.design_controls.direction.value == panel.directions.name.value == "17 deg"
    panel.directions.heading.value = "x"
    assert refusal(panel)
    assert listed(panel)[-1] == ("17 deg", 17.0)


def test_the_last_direction_stays(panel):
    for _ in range(7):
        assert not panel.directions.remove.disabled
        panel.directions.remove.click()
    assert panel.directions.remove.disabled
    assert len(listed(panel)) == 1
    panel.directions.add.click()
    assert not panel.directions.remove.disabled


@pytest.mark.parametrize(
    ("field", "text", "word"),
    [("name", "south", "south"), ("name", "", "name"), ("heading", "12 m", "azimuth"), ("heading", "x", "x")],
)
def test_a_direction_that_cannot_be_is_answered_in_place(panel, field, text, word):
    before = shown(panel)
    getattr(panel.directions, field).value = text
    assert word in refusal(panel)
    assert shown(panel) == before


def test_changes_of_sliders_stay_when_a_direction_is_changed(panel):
    panel.design_controls.elevation.value = 33.0
    panel.directions.heading.value = "5"
    assert panel.design_controls.elevation.value == 33.0
    assert panel.shown.content.phasing.elevation.m_as("degree") == 33.0
    assert listed(panel)[0] == ("north", 5.0)


def test_a_lobe_that_front_to_back_does_not_show_is_named(panel):
    """The row has 27.6 dB straight back and 4.7 dB to the side; the ring is not as deep straight back."""
    figures = panel.page.pages["Compare directions and bands"]
    assert "Front-to-rear is only" not in figures.value
    panel.file.value = "heron-fen-row.toml"
    assert "Front-to-rear is only 4.7 dB where front-to-back is 27.6 dB" in figures.value


def test_a_beam_that_loses_signal_is_compared_with_the_best(panel):
    assert "weaker than with the beam" not in panel.page.pages["Compare directions and bands"].value
    plan = panel.plan
    weak = replace(plan.directions[0].bands[0], signal_gain_db=plan.directions[0].bands[0].signal_gain_db - 5.0)
    one = replace(plan.directions[0], bands=(weak, *plan.directions[0].bands[1:]))
    band, others, fired = weak.name, plan.directions[1:], firing(plan, one.name, weak.name)
    whole = replace(plan.plan(), directions=(one, *others))
    said = " ".join(beam_cautions(whole, one.name, band, fired))
    assert f"With the beam {one.name} on {band} the signal is 5.0 dB weaker than with the beam" in said
    assert not any(
        "weaker" in text for text in beam_cautions(whole, others[0].name, band, firing(plan, one.name, band))
    )
