"""The panel *electrical length* with real widgets, without a browser: every control does something, none writes."""

import re
from pathlib import Path

import pytest
from sheets import settle

import workbook as wb
from workbook.files import demo, shipped
from workbook.line.piece import nominal_errors
from workbook.panels.electrical_length import ERRORS, SEARCHING, ElectricalLengthPanel
from workbook.plan.line_costs import LineCosts
from workbook.tables.costs import cost_cell
from workbook.worksheets import remember_design


@pytest.fixture(autouse=True)
def own_cables(tmp_path, monkeypatch):
    folder = tmp_path / "cables"
    folder.mkdir()
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(folder))
    monkeypatch.chdir(tmp_path)
    return folder


@pytest.fixture
def panel():
    made = ElectricalLengthPanel(Path())
    made.cable.value, made.band.field.value = "series-6-clad", "1.9"
    return made


def amount(panel):
    return panel.amount_place.children[0]


def cladding(panel):
    return panel.cladding_place.children[0]


def controls(panel):
    return {
        "band": panel.band.band,
        "frequency": panel.band.field,
        "cable": panel.cable,
        "cladding": cladding(panel),
        "given": panel.given,
        "amount": amount(panel),
        "exact": panel.exact,
        "velocity": panel.velocity,
        "coefficient": panel.coefficient,
    }


GOOD = {"frequency": "1.83", "exact": "88 ft 3 1/2 in", "coefficient": "-220"}


def shown(panel):
    return panel.page.value.split("</style>")[1], panel.drawing.svg


def answer(panel, name) -> str:
    value = panel.answers[name].value
    assert (panel.answers[name].layout.display == "none") == (value == "")
    return value.split("</style>")[1] if value else ""


def cells(panel) -> list[str]:
    """The first row of the first table."""
    return re.findall(r"<td[^>]*><span>(.*?)</span>", panel.page.value)[:7]


def test_the_tables_say_what_the_functions_say(panel):
    panel.cable.value = "series-6-copper"
    panel.band.field.value = "1.83"
    panel.exact.value = "71 deg"
    cable = wb.cable("series-6-copper")
    length = wb.physical_length("71 deg", "1.83 MHz", cable)
    check = wb.check_frequency(cable, length).m_as("MHz")
    name, factor, degrees, delay, wavelengths, cut, checked = cells(panel)
    assert name == "true at 1.83 MHz"
    assert float(factor) == pytest.approx(cable.velocity_factor("1.83 MHz"), abs=5e-5)
    assert (degrees, wavelengths) == ("71.00", "0.1972")
    assert float(delay) == pytest.approx(71 / 360 / 1.83e6 * 1e9, abs=5e-4)
    assert cut == f"{length.m_as('m'):.3f} m"
    assert float(checked) == pytest.approx(check, abs=5e-5)
    for band in wb.bands():
        assert f">{band}<" in panel.page.value
    assert "unknown" in panel.page.value


def test_it_begins_with_the_cable_and_cut_frequency_of_the_design(tmp_path, monkeypatch):
    made = ElectricalLengthPanel(Path())
    content = wb.load_design(demo()).content
    assert made.cable.value == content.cables.delay_line
    assert made.used_at.m_as("Hz") == content.cut_hertz
    monkeypatch.setenv("FEEDLINE_WORKBOOK_STATE", str(tmp_path / "state"))
    own = tmp_path / "own.toml"
    text = demo().read_text().replace("1.84 MHz", "1.81 MHz")
    own.write_text(text.replace('delay_line = "series-6-copper"', 'delay_line = "series-11-copper"'))
    remember_design(tmp_path, own)
    made = ElectricalLengthPanel(tmp_path)
    assert (made.cable.value, made.band.field.value) == ("series-11-copper", "1.81 MHz")


def test_an_error_says_what_it_costs_a_design_that_needs_no_search(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_STATE", str(tmp_path / "state"))
    own = tmp_path / "ring.toml"
    own.write_text((shipped("notebooks") / "heron-fen-ring.toml").read_text())
    remember_design(tmp_path, own)
    made = ElectricalLengthPanel(tmp_path)
    made.exact.value = "500 ns"
    plan = wb.load_design(own).plan()
    late = nominal_errors(made.shown)[0].phase_error.m_as("degree")
    cost = LineCosts(plan).of_line(plan.cut_order[0].label, "160 m", late)
    assert f"<span>{cost_cell(cost)}</span>" in made.page.value
    assert "cost in the design" in made.page.value


def test_an_error_says_what_it_costs_a_design_that_needs_a_search_once_its_table_is_opened(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_STATE", str(tmp_path / "state"))
    searched = {("phasing", "rule"): "fewest-delays", ("phasing", "lines"): 1}
    own = tmp_path / "square.toml"
    own.write_text(wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").changed(searched).text)
    remember_design(tmp_path, own)
    made, said = ElectricalLengthPanel(tmp_path), []
    assert "cost in the design" not in made.page.value
    made.page.pages[ERRORS].observe(lambda change: said.append(change.new), "value")
    made.page.open(ERRORS)
    settle()
    assert SEARCHING in said[0]
    assert SEARCHING not in made.page.value
    made.exact.value = "500 ns"
    plan = wb.load_design(own).plan()
    late = nominal_errors(made.shown)[0].phase_error.m_as("degree")
    cost = LineCosts(plan).of_line(plan.cut_order[0].label, "160 m", late)
    assert f"<span>{cost_cell(cost)}</span>" in made.page.value


def test_the_length_counts_between_connectors_and_says_what_they_add(panel):
    end = panel.design.content.ends.delay_line
    metres = panel.shown.length.m_as("m") + 2 * end.strip.m_as("m")
    assert "counts between the connectors" in panel.page.value
    if end.strip.m_as("m") or end.delay.m_as("s"):
        assert f"is cut {metres:.3f} m long" in panel.page.value


def test_lengths_are_shown_in_the_chosen_system_alone(panel):
    metres = f"{panel.shown.length.m_as('m'):.3f} m"
    assert metres in panel.page.value
    assert wb.feet_inches(panel.shown.length) not in panel.page.value
    panel.units.control.value = "feet"
    assert metres not in panel.page.value
    assert wb.feet_inches(panel.shown.length) in panel.page.value


def test_the_picture_has_line_dashes_band_and_mark(panel):
    for text in ("true", "nominal 0.85", "copper 8 to 35 um", "at 1.9 MHz", "15 um of copper", "frequency (MHz)"):
        assert text in panel.drawing.svg
    assert "stroke-dasharray" in panel.drawing.svg
    assert "var(--jp-ui-font-color1" in panel.drawing.svg
    assert "series-6-clad" in panel.drawing.describes
    panel.cable.value = "series-6-copper"
    assert "copper 8 to" not in panel.drawing.svg
    assert "um of copper" not in panel.drawing.svg


def test_the_picture_widens_for_a_frequency_outside(panel):
    for text in ("0.2", "144"):
        panel.band.field.value = text
        assert f"at {text} MHz" in panel.drawing.svg


def test_the_band_sets_the_frequency_and_an_empty_entry_that_of_the_band(panel):
    panel.band.band.value = "40 m"
    assert panel.band.field.value == "7.15 MHz"
    panel.band.field.value = "10.1 MHz"
    assert "true at 10.1 MHz" in panel.page.value
    assert panel.band.name == "30 m"
    panel.band.field.value = ""
    assert panel.band.field.value == "10.125 MHz"
    assert "true at 10.125 MHz" in panel.page.value
    panel.band.field.value = "nonsense"
    panel.band.band.value = "40 m"
    assert not answer(panel, "frequency")
    assert panel.used_at.m_as("MHz") == 7.15
    # a band of the design has the frequency that the design says
    panel.band.band.value = "160 m"
    assert panel.used_at.m_as("Hz") == panel.design.content.bands["160 m"].m_as("Hz")


@pytest.mark.parametrize("text", ["26.9 m", "88 ft 3 1/2 in", "120 ns", "71 deg", "0.2 turn", "0.12 us"])
def test_an_exact_amount_sets_kind_and_amount(panel, text):
    panel.exact.value = text
    kind = {"m": "length", "in": "length", "ns": "delay", "us": "delay"}.get(text.split()[-1], "degrees")
    assert panel.given.value == kind
    stated = {"length": "length", "delay": "delay", "degrees": "electrical_length"}[kind]
    unit = amount(panel).description.split("(")[1].rstrip(")")
    assert getattr(panel.shown, stated).m_as(unit) == pytest.approx(wb.quantity(text).m_as(unit), rel=1e-12)
    assert amount(panel).value == pytest.approx(wb.quantity(text).m_as(unit), abs=0.51 * amount(panel).step)


def test_an_exact_amount_beyond_the_slider_makes_a_longer_slider(panel):
    panel.exact.value = "350 m"
    assert amount(panel).value == 350
    assert amount(panel).max >= 700
    panel.exact.value = "1 mm"
    assert panel.shown.length.m_as("mm") == pytest.approx(1)
    assert not answer(panel, "exact")


def test_told_otherwise_the_piece_stays_the_same(panel):
    panel.exact.value = "88 ft 3 1/2 in"
    before = cells(panel)
    for kind in ("degrees", "delay", "length"):
        panel.given.value = kind
        assert cells(panel) == before
        assert panel.exact.value == ""
        assert amount(panel).description.startswith(kind)


def test_sliders_stand_on_their_steps(panel):
    """Off a step the browser would move the slider by itself, and a live one's range must not change."""
    for text in ("26.9113 m", "107.7711 ns", "71.03 deg", "900.07 deg"):
        old = amount(panel)
        panel.exact.value = text
        assert amount(panel) is not old
        steps = (amount(panel).value - amount(panel).min) / amount(panel).step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert wb.quantity(text).m_as(panel.amount.units) == pytest.approx(panel.amount.magnitude, rel=1e-12)
    for name in wb.cables():
        panel.cable.value = name
        one = cladding(panel)
        steps = (one.value - one.min) / one.step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert one.disabled == (not wb.cable(name).is_clad)


def test_a_moved_slider_empties_the_exact_entry(panel):
    panel.exact.value = "71 deg"
    amount(panel).value = 80.0
    assert panel.exact.value == ""
    assert cells(panel)[2] == "80.00"
    panel.exact.value = "71 kg"
    amount(panel).value = 81.0
    assert not answer(panel, "exact")


def test_the_cladding_is_the_cable_s_own_until_it_is_moved(panel):
    assert (cladding(panel).min, cladding(panel).value, cladding(panel).max) == (8, 15, 35)
    assert panel.made_of == wb.cable("series-6-clad")
    cladding(panel).value = 20.0
    assert panel.made_of == wb.cable("series-6-clad").with_cladding("20 um")
    panel.cable.value = "series-11-clad"
    assert panel.made_of == wb.cable("series-11-clad")
    assert (cladding(panel).min, cladding(panel).value, cladding(panel).max) == (13, 24, 56)


def test_nominal_is_followed_by_what_it_really_is(panel):
    panel.velocity.value = "nominal"
    assert cells(panel)[0] == "nominal"
    assert cells(panel)[1] == "0.8500"
    assert "what it really is at 1.9 MHz" in panel.page.value


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("frequency", "1,83", "decimal point"),
        ("frequency", "12 m", "Hz"),
        ("frequency", "-3", "above zero"),
        ("frequency", "5000", "1000 MHz"),
        ("frequency", "<b>1</b>", "cannot be read"),
        ("exact", "71", "without a unit"),
        ("exact", "71 kg", "71 deg"),
        ("exact", "0 m", "above zero"),
        ("exact", "12 ft 14 in", "carry"),
        ("exact", "300 km", "10 km"),
        ("exact", "71 dge", "deg"),
        ("coefficient", "-220 ppm", "ppm/K"),
        ("coefficient", "many", "cannot be read"),
        ("coefficient", "90000", "ppm/K"),
    ],
)
def test_wrong_entries_are_answered_in_place(panel, name, text, words):
    before = shown(panel)
    controls(panel)[name].value = text
    assert "refused" in answer(panel, name)
    assert words in answer(panel, name)
    assert "Until then" in answer(panel, name)
    assert "<b>1" not in answer(panel, name)
    assert shown(panel) == before
    controls(panel)[name].value = GOOD[name]
    assert not answer(panel, name)
    assert shown(panel) != before


def test_a_drift_that_cannot_be_used_is_unknown_again(panel):
    panel.coefficient.value = "-220"
    assert "-0.301" in panel.page.value  # 68.4 degrees x -220e-6 x 20
    panel.coefficient.value = "+-3"
    assert panel.drift is None
    assert "enter the coefficient" in panel.page.value
    panel.coefficient.value = "-220 ppm/K"
    panel.coefficient.value = ""
    assert "enter the coefficient" in panel.page.value


def test_a_bare_number_has_the_unit_of_its_label(panel):
    panel.band.field.value, panel.coefficient.value = "1.83", "-220"
    said = shown(panel)
    panel.band.field.value, panel.coefficient.value = "1830 kHz", "-220 ppm/K"
    assert shown(panel) == said


def test_a_broken_cable_file_is_answered_and_the_others_stay(own_cables):
    (own_cables / "a-bad-one.toml").write_text("standard_type = 3\n")
    panel = ElectricalLengthPanel(Path())
    before = shown(panel)
    panel.cable.value = "a-bad-one"
    assert "a-bad-one.toml" in answer(panel, "cable")
    assert "series-6-copper" in answer(panel, "cable")
    assert shown(panel) == before
    panel.cable.value = "series-6-copper"
    assert not answer(panel, "cable")


def test_a_broken_file_that_hides_the_first_cable_does_not_take_the_sheet_down(own_cables):
    (own_cables / "series-6-clad.toml").write_text("nonsense\n")
    assert "A piece of" in ElectricalLengthPanel(Path()).page.value


def test_a_reel_whose_cladding_is_known_has_nothing_to_slide(own_cables, panel):
    text = (Path(wb.__file__).parents[1] / "cable_data" / "series-6-clad.toml").read_text()
    text = text.replace('"8 um"', '"15 um"').replace('"35 um"', '"15 um"')
    (own_cables / "my-reel.toml").write_text(text)
    panel = ElectricalLengthPanel(Path())
    panel.cable.value = "my-reel"
    assert cladding(panel).disabled
    assert cladding(panel).min < cladding(panel).max
    assert not answer(panel, "cable")


def test_a_cable_known_by_a_table_says_where_it_is_estimated(panel):
    panel.cable.value = "rg-8x-foam"
    assert "Estimated" in panel.page.value
    panel.band.field.value = "28"
    assert "Estimated" not in panel.page.value


def test_a_long_lossy_piece_is_shown_without_a_check_frequency(panel):
    panel.exact.value = "3 km"
    assert cells(panel)[6] == "see below"
    assert "its loss hides the far end" in panel.page.value
