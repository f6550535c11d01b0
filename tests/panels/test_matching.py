"""The panel *75 to 50 ohms* with real widgets, without a browser: every control does something, one button writes."""

import html
import re
import shutil

import numpy as np
import pytest
import skrf

import workbook as wb
from workbook.files import demo
from workbook.matching.cores import USUAL_CORES
from workbook.matching.parts import described
from workbook.panels.matching import MatchingPanel
from workbook.panels.matching_controls import ENTERED, RUN, SWR_AND_PHASE, USUAL_CABLES


@pytest.fixture(autouse=True)
def own_cables(tmp_path, monkeypatch):
    folder = tmp_path / "cables"
    folder.mkdir()
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(folder))
    return folder


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "sheets"
    made.mkdir()
    return made


@pytest.fixture
def panel(folder):
    return MatchingPanel(folder)


def controls(panel):
    every = panel.controls
    return {
        "band-40-m": every.bands["40 m"],
        "cable-trunk-500": every.cables["trunk-500"],
        "range": every.range,
        "source": every.source_resistance,
        "source-reactance": every.source_reactance,
        "load": every.load_resistance,
        "load-reactance": every.load_reactance,
        "swr": every.swr,
        "loss": every.loss,
        "way": every.way,
        "picture": every.picture,
        "turns": every.turns,
        "inductance": every.inductance,
        "coupling": every.coupling,
        "core-q": every.core_q,
        "winding-q": every.winding_q,
        "pad": every.pad,
        "run-cable": every.run_cable,
        "run": every.run.slider,
        "core": every.core,
    }


# what has to be chosen first for the control to matter


GOOD = {
    "range": "7 to 7.3",
    "source": "72",
    "source-reactance": "-10",
    "load": "300 ohm",
    "load-reactance": "25",
    "inductance": "1 uH",
}


def plain(widget) -> str:
    return html.unescape(re.sub(r"<[^>]+>", "|", widget.value.split("</style>")[-1]))


def numbers(panel):
    return plain(panel.page) + plain(panel.first)


def pictures(panel):
    return panel.overlay.svg + panel.second.svg


def row(panel, kind) -> list[str]:
    """The cells of a way in the ranking."""
    line = next(found for found in panel.page.value.split("<tr>") if f"<span>{kind}" in found)
    return [html.unescape(cell) for cell in re.findall(r"<td[^>]*><span>(.*?)</span>", line)]


def test_the_ranking_says_what_the_functions_say(panel):
    found = wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"), USUAL_CABLES, USUAL_CORES[0].core)
    found = [match for match in found if not re.search(r"exact|E96", match.name)]
    assert [match.name for match in panel.view.matches] == [match.name for match in found]
    for place, match in enumerate(found, 1):
        cells = row(panel, match.name)
        assert cells[0] == str(place)
        edges = wb.Quantity(np.concatenate([np.linspace(1.8, 2, 21), np.linspace(3.5, 4, 21)]), "MHz")
        response = match.response(edges)
        assert float(cells[3]) == pytest.approx(max(response.swr_in.max(), response.swr_out.max()), abs=0.006)
        assert float(cells[4]) == pytest.approx(response.insertion_loss.m_as("dB").max(), abs=0.006)
    assert f"First is {found[0].name}" in plain(panel.first)
    assert "the only match within SWR 1.2 and 1 dB" in plain(panel.first)


def test_the_pad_in_all_three_series(panel):
    """43.30 and 86.60 ohm, 5.72 dB between 75 and 50 ohm, as every table of pads has it."""
    panel.controls.way.value = "minimum-loss pad"
    for series, first, second, loss in (
        ("exact", 43.301, 86.603, 5.72),
        ("E24", 43, 91, None),
        ("E96", 43.2, 86.6, None),
    ):
        panel.controls.pad.value = series
        assert f"{first:g} ohm" in plain(panel.page)
        assert f"{second:g} ohm" in plain(panel.page)
        if loss:
            assert row(panel, "minimum-loss pad")[4] == f"{loss}"


@pytest.mark.parametrize("kind", ["no matching", "wideband transformer", "quarter-wave line", "twelfth-wave pair"])
def test_the_way_in_detail_is_listed_and_drawn(panel, kind):
    panel.controls.way.value = kind
    assert f"Parts: {kind}" in plain(panel.page)
    assert f"strong: {kind}" in panel.overlay.svg
    assert kind.capitalize() in panel.second.svg
    assert kind in panel.second.describes
    assert "var(--jp-ui-font-color1" in panel.overlay.svg
    for section in panel.shown.match.sections:
        assert f"{section.length.m_as('m'):.3f} m" in panel.page.value
        assert f"{section.check_frequency.m_as('MHz'):.4f}" in panel.page.value
    assert ("Nearest to a quarter-wave line of 61.24 ohm" in plain(panel.page)) == (kind == "quarter-wave line")


def test_only_what_changed_is_drawn_again(panel, monkeypatch):
    drawn = []
    for one in (panel.overlay, panel.second):
        one.observe(lambda change: drawn.append(change.owner), "svg")
    panel.controls.picture.value = RUN
    assert drawn == [panel.second]
    panel.controls.picture.value = SWR_AND_PHASE
    drawn.clear()
    panel.controls.way.value = "no matching"
    assert drawn == [panel.overlay, panel.second]


def test_a_run_of_cable_ripples_between_ends_that_it_does_not_match(panel):
    panel.controls.source_resistance.value = "50"
    panel.controls.run_cable.value = "series-6-copper"
    panel.controls.run.slider.value = 25.0
    panel.controls.picture.value = RUN
    assert "now 25 m" in panel.second.svg
    # 75 ohm between 50-ohm ends: both reflections are a fifth
    assert "by up to 0.70 dB and phase by 2.29 degrees" in plain(panel.page)
    assert "25.000 m" in row(panel, "no matching")[2]
    panel.controls.source_resistance.value = "75"
    assert "nothing varies" in plain(panel.page)


def test_equal_ends_leave_little_to_do_and_say_so(panel):
    panel.controls.load_resistance.value = "75"
    panel.controls.way.value = "quarter-wave line"
    assert "Cannot match 75 to 75 ohm" in plain(panel.page)
    assert "join them directly" in plain(panel.page)
    assert "quarter-wave line cannot match 75 to 75 ohm; the first of the list is in detail" in plain(panel.page)
    assert f"strong: {panel.view.ranked[0].short_name}" in panel.overlay.svg


def test_a_pair_that_cannot_match_says_the_allowed_range_and_the_nearest(panel):
    panel.controls.load_resistance.value = "450"
    assert re.search(
        r"twelfth-wave pair.*ohm or less would, or [\d.]+ ohm or more, the nearest being", plain(panel.page)
    )


def test_a_usual_core_sets_its_figures_and_a_typed_one_is_as_entered(panel):
    usual = USUAL_CORES[3]
    panel.controls.core.value = usual.name
    asked = panel.view.wanted.core
    assert asked.inductance_factor.m_as("nH") == pytest.approx(usual.henry * 1e9, abs=0.5)
    assert (asked.coupling, asked.core_q) == (usual.material.coupling, usual.material.core_q)
    panel.controls.coupling.value = 99.0
    assert panel.controls.core.value == ENTERED
    panel.units.control.value = "feet"
    assert panel.controls.core.value == ENTERED
    assert any("0.5 in ring" in label for label, _ in panel.controls.core.options)
    assert panel.view.wanted.core.inductance_factor == asked.inductance_factor


def test_what_limits_the_transformer_is_said_when_nothing_keeps_the_limits(panel):
    assert "the transformer" not in plain(panel.first)
    panel.controls.turns.value = 2
    assert "The turns limit the transformer:" in plain(panel.first)
    panel.controls.turns.value = 36
    panel.controls.coupling.value = 98.0
    assert "The coupling limits the transformer:" in plain(panel.first)


def test_lengths_are_shown_in_the_chosen_system_alone(panel):
    panel.controls.way.value = "twelfth-wave pair"
    section = panel.shown.match.sections[0]
    assert wb.feet_inches(section.length) not in plain(panel.page)
    panel.units.control.value = "feet"
    assert wb.feet_inches(section.length) in plain(panel.page)
    assert f"{section.length.m_as('m'):.3f} m" not in plain(panel.page)


def test_too_few_turns_are_told(panel):
    panel.controls.load_resistance.value = "1200"
    panel.controls.turns.value = 3
    assert "allow 4 turns or more" in plain(panel.page)


def test_a_range_with_and_without_units(panel):
    for text in ("7 to 7.3", "7-7.3 MHz", "7000 to 7300 kHz"):
        panel.controls.range.value = text
        assert panel.view.wanted.edges[-1] == ("7 to 7.3 MHz", 7e6, 7.3e6), text
        panel.controls.range.value = ""
    for tick in panel.controls.bands.values():
        tick.value = False
    panel.controls.range.value = "5 to 5.5"
    assert [name for name, _, _ in panel.view.wanted.edges] == ["5 to 5.5 MHz"]
    assert "5 to 5.5 MHz" in panel.second.svg


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("source", "0", "above 0"),
        ("source", "-75", "above 0"),
        ("source", "", "empty"),
        ("source", "75 m", "ohm"),
        ("source", "2e6 ohm", "1 Mohm"),
        ("source-reactance", "many", "cannot be read"),
        ("load", "50,0", "decimal point"),
        ("load", "<b>5</b>", "cannot be read"),
        ("load-reactance", "1e9 ohm", "1 Mohm"),
        ("range", "2", "lower one first"),
        ("range", "2 to 1.8", "runs downward"),
        ("range", "0.001 to 2", "0.1 to 1000 MHz"),
        ("range", "1 m to 2 m", "MHz"),
        ("inductance", "0", "above zero"),
        ("inductance", "400 pF", "nH"),
    ],
)
def test_wrong_entries_are_answered_and_the_last_result_stays(panel, name, text, words):
    before = numbers(panel), pictures(panel)
    controls(panel)[name].value = text
    assert "refused" in panel.status.value
    assert words in plain(panel.status)
    assert "Below is the last result" in plain(panel.status)
    assert "<b>5" not in panel.status.value
    assert (numbers(panel), pictures(panel)) == before
    controls(panel)[name].value = GOOD[name]
    assert panel.status.value == ""


def test_no_band_and_no_cable_are_answered(panel):
    for name in ("160 m", "80 m"):
        panel.controls.bands[name].value = False
    assert "bands: none is ticked" in plain(panel.status)
    panel.controls.bands["80 m"].value = True
    assert panel.status.value == ""
    for tick in panel.controls.cables.values():
        tick.value = False
    assert "cables: none is ticked" in plain(panel.status)
    panel.controls.usual.click()
    assert panel.status.value == ""


def test_the_buttons_tick_all_cables_and_the_usual_ones_with_one_comparison(panel):
    seen = []
    panel.overlay.observe(lambda _: seen.append(1), "svg")
    panel.controls.all.click()
    assert all(tick.value for tick in panel.controls.cables.values())
    panel.controls.usual.click()
    assert {name for name, tick in panel.controls.cables.items() if tick.value} == set(USUAL_CABLES)
    assert len(seen) == 2


def test_broken_cables_of_ones_own_do_not_take_the_sheet_down(own_cables, folder):
    (own_cables / "a-bad-one.toml").write_text("standard_type = 3\n")
    (own_cables / "rg-58-solid-pe.toml").write_text("nonsense\n")
    panel = MatchingPanel(folder)
    assert "First is" in plain(panel.first)
    panel.controls.cables["a-bad-one"].value = True
    assert "a-bad-one.toml" in plain(panel.status)
    panel.controls.cables["a-bad-one"].value = False
    assert panel.status.value == ""


# --- the file ---------------------------------------------------------------------------------------------


@pytest.mark.filterwarnings("default")
def test_the_button_writes_the_way_in_detail(panel, folder):
    panel.controls.way.value = "twelfth-wave pair"
    panel.write.click()
    assert "written" in plain(panel.written)
    assert [path.name for path in folder.iterdir()] == ["match.s2p"]
    network = skrf.Network(str(folder / "match.s2p"))
    assert len(network.f) == len(panel.view.hertz)
    # a match between 75 and 50 ohm in a file between 50 and 50: renormalised, it is the match again
    network.renormalize([75, 50])
    swr = (1 + abs(network.s[:, 0, 0])) / (1 - abs(network.s[:, 0, 0]))
    assert swr == pytest.approx(panel.shown.match.swr_in(wb.Quantity(network.f, "Hz")), rel=1e-5)


def test_a_file_that_is_there_stays(panel, folder):
    (folder / "match.s2p").write_text("mine")
    (folder / "link.s2p").symlink_to(folder / "elsewhere.s2p")
    for name in ("match.s2p", "link.s2p"):
        panel.name.value = name
        panel.write.click()
        assert "is there already and stays as it is" in plain(panel.written)
    assert (folder / "match.s2p").read_text() == "mine"
    assert not (folder / "elsewhere.s2p").exists()
    panel.name.value = "another.s2p"
    panel.write.click()
    assert "written" in plain(panel.written)


@pytest.mark.parametrize(
    "name",
    ["", "match", "match.txt", "../match.s2p", "/tmp/match.s2p", ".s2p", "a\0.s2p", "x" * 300 + ".s2p", "<b>.s2p"],
)
def test_names_that_lead_elsewhere_or_are_no_names_are_refused(panel, folder, name):
    panel.name.value = name
    panel.write.click()
    assert "refused" in panel.written.value
    assert "<b>.s2p" not in panel.written.value
    assert list(folder.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_answered(panel, folder):
    folder.rmdir()
    panel.write.click()
    assert "cannot be written" in plain(panel.written)


def test_sliders_stand_on_their_steps(panel):
    """Off a step the browser would move the slider by itself."""
    every = panel.controls
    for slider in (every.swr, every.loss, every.turns, every.coupling, every.core_q, every.winding_q, every.run.slider):
        steps = (slider.value - slider.min) / slider.step
        assert steps == pytest.approx(round(steps), abs=1e-6)


# --- a way put into a design file, and taken out of one ----------------------------------------------------


@pytest.fixture
def beside(folder):
    """A panel beside a design file."""
    shutil.copy(demo(), folder / "mine.toml")
    return MatchingPanel(folder)


def answer(panel):
    return html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", "", panel.in_design.said.value, flags=re.S))


def test_a_way_is_put_into_the_design_and_cut_by_its_plan(beside, folder):
    before = (folder / "mine.toml").read_text()
    every = beside.controls
    every.way.value, every.load_resistance.value = "twelfth-wave pair", "60"
    every.swr.value = 1.5
    assert (folder / "mine.toml").read_text() == before
    beside.in_design.put.click()
    assert "saved" in answer(beside)
    design = wb.load_design(folder / "mine.toml")
    match = design.content.match
    assert (match.way, match.source.m_as("ohm"), match.load.m_as("ohm")) == ("twelfth-wave pair", 75, 60)
    assert (match.most_swr, match.most_loss.m_as("dB")) == (1.5, 1.0)
    assert match.cables == [name for name, tick in every.cables.items() if tick.value]
    planned = design.plan().match
    assert planned.way == "twelfth-wave pair"
    assert planned.parts in answer(beside)
    # whatever stood in the file stands there still
    assert all(line in design.text for line in before.splitlines())


def test_the_transformer_that_is_shown_is_the_one_that_is_saved_and_taken(beside, folder):
    every = beside.controls
    every.way.value, every.turns.value = "wideband transformer", 13
    every.core.value = next(name for name in every.core.options if "powder" in name[1])[1]
    every.winding_q.value = 120
    shown = wb_described(beside.shown.match)
    beside.in_design.put.click()
    assert "saved" in answer(beside)
    planned = wb.load_design(folder / "mine.toml").plan().match
    assert planned.parts == shown
    assert shown in answer(beside)
    for band in planned.bands:
        hertz = wb.load_design(folder / "mine.toml").content.bands[band.name]
        assert band.swr_in == pytest.approx(beside.shown.match.swr_in(hertz), rel=1e-9)
    # another panel takes the same back, and another method takes turns and core out of the file
    other = MatchingPanel(folder)
    other.in_design.take.click()
    assert wb_described(other.shown.match) == shown
    assert other.controls.winding_q.value == 120
    other.controls.way.value = "no matching"
    other.in_design.put.click()
    assert wb.load_design(folder / "mine.toml").content.match.turns is None


def test_what_the_file_cannot_hold_as_it_is_shown_is_said_before_it_is_saved(beside, folder):
    """Lines are designed for the bands; those of the file are others here."""
    before = (folder / "mine.toml").read_text()
    beside.controls.way.value, beside.controls.swr.value = "quarter-wave line", 1.5
    beside.controls.bands["80 m"].value = False
    beside.controls.bands["40 m"].value = True
    beside.in_design.put.click()
    assert "not saved yet" in answer(beside)
    assert (folder / "mine.toml").read_text() == before
    beside.in_design.put.click()
    planned = wb.load_design(folder / "mine.toml").plan().match
    assert planned.parts in answer(beside)


def wb_described(match):
    return described(match.parts, wb.load_design(demo()).content.units)


def test_what_a_design_says_is_taken_over_as_one_change(beside, folder):
    asked = {"way": "minimum-loss pad, E24 resistors", "source": "72 ohm", "load": "48 ohm", "most_swr": 2.0}
    changes = {("match", key): value for key, value in asked.items()} | {("match", "most_loss"): "7 dB"}
    changes |= {("match", "cables"): ["rg-58-solid-pe", "series-6-copper"], ("bands", "odd"): "2.5 MHz"}
    wb.load_design(folder / "mine.toml").changed(changes).save()
    shown = []
    beside.overlay.observe(lambda change: shown.append(change.new), "svg")
    beside.in_design.take.click()
    assert len(shown) == 1
    assert beside.shown.match.name == "minimum-loss pad, E24 resistors"
    assert (beside.shown.match.source_ohms, beside.shown.match.load_ohms) == (72, 48)
    assert [name for name, _, _ in beside.view.wanted.edges][:2] == ["160 m", "80 m"]
    assert any(low < 2.5e6 < high for _, low, high in beside.view.wanted.edges)
    assert beside.controls.limits == (2.0, 7.0)
    assert set(beside.controls.cable_names) == {"rg-58-solid-pe", "series-6-copper"}


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda panel: panel.in_design.take.click(), "nothing under [match]"),
        (
            lambda panel: (setattr(panel.controls.load_reactance, "value", "5"), panel.in_design.put.click()),
            "resistances",
        ),
    ],
)
def test_what_cannot_be_put_or_taken_is_answered_and_nothing_changes(beside, folder, act, words):
    before, view = (folder / "mine.toml").read_bytes(), beside.view
    act(beside)
    assert words in answer(beside)
    assert "refused" in beside.in_design.said.value
    assert (folder / "mine.toml").read_bytes() == before
    assert beside.view.wanted.limits == view.wanted.limits


def test_limits_that_no_slider_has_are_not_clamped(beside, folder):
    changes = {("match", "way"): "no matching", ("match", "most_swr"): 20.0}
    wb.load_design(folder / "mine.toml").changed(changes).save()
    beside.in_design.take.click()
    assert "match.most_swr: 20 is outside the 1.05 to 5" in answer(beside)
    assert beside.controls.limits == (1.2, 1.0)


def test_the_demo_itself_is_never_written(panel):
    before = demo().read_bytes()
    panel.in_design.put.click()
    assert "is the demo itself" in answer(panel)
    assert demo().read_bytes() == before
