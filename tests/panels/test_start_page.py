"""The start page with real widgets: the design that is chosen, what is open, the worksheets, and a new design."""

import pytest

from workbook.design.template import KINDS
from workbook.files import shipped
from workbook.panels import start as panels_start
from workbook.panels.cable_loss import CableLossPanel
from workbook.panels.delay_lines import DelayLinesPanel
from workbook.panels.new_design import file_name
from workbook.panels.start_page import StartPanel
from workbook.worksheets import STATE, remember_design, remembered_design

SQUARE = "heron-fen-square.toml"


@pytest.fixture(autouse=True)
def all_at_once(monkeypatch):
    """Wait for every plan, however loaded the machine is."""
    monkeypatch.setattr("workbook.panels.start_page.SOON", 120.0)


@pytest.fixture
def state(monkeypatch, tmp_path_factory):
    monkeypatch.setenv(STATE, str(tmp_path_factory.mktemp("state")))


def body(page) -> str:
    return page.value.split("</style>")[-1]


def test_it_shows_what_the_design_is_and_what_is_open(folder):
    shown = body(StartPanel(folder).state)
    for words in ("Heron Fen ring", "ring of 8", "160 m (1.84 MHz)", "north-east", "4: A, B, C, D"):
        assert words in shown
    assert "No measured velocity factor for series-6-copper" in shown


def test_nothing_is_open_once_reel_and_pieces_were_measured(folder, state):
    path = folder / "heron-fen-ring.toml"
    path.write_text(
        path.read_text() + '\n[velocity_factor]\n"series-6-copper" = { value = 0.829, frequency = "1.84 MHz" }\n'
    )
    shown = body(StartPanel(folder).state)
    assert "velocity factor" not in shown
    assert "No check frequency measured yet for D, C, B, A, run 1 to 8:" in shown
    worksheet = DelayLinesPanel(folder)
    for name, (field, _) in worksheet.fields.items():
        assert "Nothing is open" not in body(StartPanel(folder).state)
        line = worksheet.plan.element_runs if name.startswith("run") else worksheet.plan.line(name)
        field.value = f"{line.check.frequency_hz / 1e6:.4f}" + ("" if name == "D" else " MHz")
    assert "Nothing is open" in body(StartPanel(folder).state)
    early, late = (f"{worksheet.plan.line('C').check.frequency_hz * share / 1e6:.4f}" for share in (0.9, 1.1))
    worksheet.fields["C"][0].value = early
    assert "By their readings, C: trim;" in body(StartPanel(folder).state)
    worksheet.fields["C"][0].value = late
    assert "By their readings, C: too short;" in body(StartPanel(folder).state)


def test_a_missed_noise_margin_is_open(folder, state):
    path = folder / "heron-fen-ring.toml"
    front_end = '\n[front_end]\nheight = "1 m"\ndiameter = "25 mm"\n\n[environment]\nmargin = "90 dB"\n'
    text = path.read_text()
    path.write_text(text)
    assert "wanted: internal noise" not in body(StartPanel(folder).state)
    path.write_text(text + front_end)
    assert "dB are wanted: internal noise raises the noise floor" in body(StartPanel(folder).state)


def test_readings_stay_with_their_design_when_the_worksheet_is_opened_again(folder, state):
    worksheet = DelayLinesPanel(folder)
    worksheet.fields["C"][0].value = "1.8 MHz"
    worksheet.file.value = SQUARE
    assert not any(field.value for field, _ in worksheet.fields.values())
    worksheet.file.value = "heron-fen-ring.toml"
    for panel in (worksheet, DelayLinesPanel(folder)):
        assert panel.fields["C"][0].value == "1.8 MHz"
        assert "cut off" in body(panel.fields["C"][1])
    worksheet.fields["C"][0].value = ""
    assert DelayLinesPanel(folder).fields["C"][0].value == ""


def test_it_links_to_every_other_worksheet_in_their_order(folder):
    listed = body(StartPanel(folder).sheets)
    names = [path.name for path in sorted(shipped("notebooks").glob("*.ipynb"))]
    places = [listed.find(f'href="{name}"') for name in names]
    assert places[0] == -1
    assert places[1:] == sorted(places[1:])
    assert -1 not in places[1:]


def test_a_design_chosen_here_is_chosen_in_a_worksheet_and_the_other_way_round(folder, state):
    panel = StartPanel(folder)
    panel.file.value = SQUARE
    assert "Heron Fen square" in body(panel.state)
    worksheet = DelayLinesPanel(folder)
    assert worksheet.file.value == SQUARE
    assert worksheet.plan.name == "Heron Fen square"
    worksheet.file.value = "heron-fen-row.toml"
    assert StartPanel(folder).file.value == "heron-fen-row.toml"


def test_a_design_elsewhere_is_chosen_by_its_path(folder, state, tmp_path_factory):
    other = tmp_path_factory.mktemp("elsewhere") / "mine.toml"
    other.write_text((folder / SQUARE).read_text().replace("Heron Fen square", "Mine"))
    panel = StartPanel(folder)
    panel.path.value = str(other)
    assert "Mine" in body(panel.state)
    worksheet = DelayLinesPanel(folder)
    assert worksheet.plan.name == "Mine"
    assert worksheet.file.value is None
    assert StartPanel(folder).file.value == str(other)


def test_a_chosen_design_that_cannot_be_read_is_refused_and_another_shown(folder, state):
    broken = folder / "broken.toml"
    broken.write_text("format = 1\n")
    remember_design(folder, broken)
    worksheet = DelayLinesPanel(folder)
    assert "broken.toml" in body(worksheet.status)
    assert worksheet.plan.name.startswith("Heron Fen")
    assert "broken.toml" in body(StartPanel(folder).status)
    broken.unlink()
    assert body(DelayLinesPanel(folder).status).count("loaded") == 1


def test_a_wrong_path_is_answered_and_not_remembered(folder, state):
    panel = StartPanel(folder)
    panel.path.value = "nowhere.toml"
    assert "nowhere.toml" in body(panel.status)
    assert remembered_design(folder) is None


def test_a_design_without_a_plan_says_why(folder):
    path = folder / "heron-fen-ring.toml"
    path.write_text(path.read_text().replace('"0.11 ns"', '"90 ns"'))
    shown = body(StartPanel(folder).state)
    assert "There is no plan yet" in shown
    assert "connector" in shown


def test_the_form_writes_a_design_and_chooses_it(folder, state):
    panel = StartPanel(folder)
    form = panel.form
    form.name.value, form.kind.value, form.units.value = "Long Meadow", "square", "feet"
    form.size.value, form.rule.value = "82 1/2", "aligned"
    form.write.click()
    assert "diameter" not in body(form.answer)
    assert "refused" in body(form.answer)
    form.size.value = "82.5"
    form.write.click()
    assert "written" in body(form.answer)
    assert panel.file.value == "long-meadow.toml"
    assert "Long Meadow" in body(panel.state)
    assert remembered_design(folder) == folder / "long-meadow.toml"
    assert 'side = "82.5 ft"' in (folder / "long-meadow.toml").read_text()
    text = (folder / "long-meadow.toml").read_text()
    form.size.value = "90"
    form.write.click()
    assert "already there" in body(form.answer)
    assert (folder / "long-meadow.toml").read_text() == text


def test_the_switch_turns_what_is_shown_and_the_usual_sizes_of_a_new_design(folder, state):
    panel = StartPanel(folder)
    # 46 m are 150.92 ft, and 24.5 m are 80 ft 4.57 in
    assert "ring of 8, 46 m across" in body(panel.state)
    panel.units.control.value = "feet"
    assert "ring of 8, 150 ft 11 in across" in body(panel.state)
    assert "8 of 80 ft 4 9/16 in" in body(panel.state)
    panel.form.name.value, panel.form.rule.value = "Long Meadow", "aligned"
    assert panel.form.size.placeholder == "150 ft"
    panel.form.write.click()
    assert 'diameter = "150 ft"' in (folder / "long-meadow.toml").read_text()
    assert "ring of 8, 150 ft across" in body(panel.state)


def test_a_new_design_in_feet_is_shown_in_feet_by_every_worksheet(folder, state):
    panel = StartPanel(folder)
    panel.form.name.value, panel.form.rule.value, panel.form.units.value = "Long Meadow", "aligned", "feet"
    panel.form.write.click()
    assert "ring of 8, 150 ft across" in body(panel.state)
    assert DelayLinesPanel(folder).units.value == CableLossPanel(folder).units.value == "feet"


def test_the_form_refuses_in_words(folder):
    form = StartPanel(folder).form
    for field, value, words in (
        ("name", "", "name"),
        ("count", "eight", "elements"),
        ("directions", "0", "directions"),
        ("azimuth", "north", "first_azimuth"),
        ("bands", "", "bands"),
    ):
        form.name.value = "Fen"
        before, entry = getattr(form, field).value, getattr(form, field)
        entry.value = value
        form.write.click()
        assert words in body(form.answer)
        assert "refused" in body(form.answer)
        entry.value = before
    assert not (folder / "fen.toml").exists()


@pytest.mark.parametrize("kind", KINDS)
def test_the_form_shows_the_fields_of_the_kind_with_usual_values(folder, kind):
    form = StartPanel(folder).form
    form.kind.value = kind
    shown = {name for name in ("count", "size", "width") if getattr(form, name).layout.display != "none"}
    assert shown == {"size"} | ({"count"} - ({"count"} if kind == "square" else set())) | (
        {"width"} if kind == "two-row" else set()
    )
    assert form.size.placeholder.endswith(" m")
    form.units.value = "feet"
    assert form.size.placeholder.endswith(" ft")


def test_a_file_name_has_no_spaces_and_signs():
    assert (file_name("Long Meadow / 2"), file_name("???")) == ("long-meadow-2", "design")


def test_the_panel_is_one_widget(folder):
    assert panels_start(folder).children
