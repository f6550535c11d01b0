"""The panel *ground and entry* with real widgets: what is shown is what the functions say."""

import pytest

import workbook as wb
from workbook.panels.ground import CARE, CHECK, ELEMENTS, ENTERED, JOIN, METALS, OF_DESIGN, RODS, GroundPanel


@pytest.fixture
def panel(folder):
    return GroundPanel(folder)


def page(panel, title):
    return panel.page.pages[title].value.split("</style>")[1]


def refusal(panel):
    return panel.status.value.split("</style>")[1] if panel.status.value else ""


def test_cautions_come_first_and_every_fold_says_something(panel):
    assert list(panel.page.pages) == [CARE, RODS, JOIN, ELEMENTS, METALS, CHECK]
    assert "licensed electrician" in page(panel, CARE)
    assert "water pipe" in page(panel, CARE)
    for title in panel.page.pages:
        assert page(panel, title)


def test_resistivity_is_that_of_the_design_at_first(panel):
    assert panel.soil.value == OF_DESIGN
    siemens = panel.design.content.ground_below().conductivity
    assert panel.amounts["resistivity"].value == pytest.approx(wb.ground_resistivity(siemens).m_as("ohm*m"))


def test_a_soil_sets_the_middle_of_its_range_and_a_number_is_entered(panel):
    panel.soil.value = "clay"
    low, high = (getattr(wb.SOILS["clay"], end).m_as("ohm*m") for end in ("least", "greatest"))
    assert panel.amounts["resistivity"].value == pytest.approx((low * high) ** 0.5, abs=0.1)
    panel.amounts["resistivity"].exact.value = "350"
    assert panel.soil.value == ENTERED
    assert "350 ohm m" in panel.answer.value


def test_answer_and_tables_are_those_of_the_functions(panel):
    panel.count.value, panel.shape.value = 8, "square"
    panel.amounts["rod-length"].exact.value = "8 ft"
    panel.amounts["rod-spacing"].exact.value = "10 ft"
    panel.diameter.value = "5/8 in"
    soil = wb.Quantity(panel.amounts["resistivity"].value, "ohm*m")
    ohms = wb.rods_resistance(soil, "8 ft", "5/8 in", "10 ft", 8, "square").m_as("ohm")
    assert not refusal(panel)
    assert f"<dd>{ohms:.3g} <small>ohm" in panel.answer.value
    assert f"{ohms:.3g}" in page(panel, RODS)
    assert panel.drawing.svg.count("<circle") == 8


def test_sizes_that_are_only_typed_follow_the_switch_until_they_are_typed(panel):
    assert (panel.diameter.description, panel.diameter.value) == ("rod diameter (mm)", "16")
    panel.units.control.value = "feet"
    assert (panel.diameter.value, panel.thickness.description) == ("5/8 in", "strap thickness (in)")
    panel.diameter.value = "0.5"
    panel.units.control.value = "metric"
    assert (panel.diameter.value, panel.thickness.value) == ("0.5 in", "0.5")
    assert not refusal(panel)
    ohms = wb.rods_resistance("200 ohm*m", "2.4 m", "12.7 mm", "2.4 m", 2, "line").m_as("ohm")
    panel.amounts["resistivity"].exact.value = "200"
    assert f"<dd>{ohms:.3g} <small>ohm" in panel.answer.value


def test_share_scales_the_surge(panel):
    panel.share.value = 100
    whole = panel.chart.svg
    panel.share.value = 10
    assert panel.chart.svg != whole
    assert "0.5 kA" in panel.answer.value


def test_a_wrong_entry_is_answered_and_what_was_shown_stays(panel):
    before = panel.answer.value, panel.drawing.svg, page(panel, JOIN)
    for control, text, word in (
        (panel.diameter, "5 kg", "diameter"),
        (panel.amounts["rod-spacing"].exact, "1 mm", "spacing"),
        (panel.thickness, "0", "thickness"),
    ):
        kept = control.value
        control.value = text
        assert word in refusal(panel)
        assert (panel.answer.value, panel.drawing.svg, page(panel, JOIN)) == before
        control.value = kept
        assert not refusal(panel)


def test_feet_are_shown_alone(panel):
    panel.units.control.value = "feet"
    assert " m (" not in page(panel, RODS)
    assert "ft" in page(panel, RODS)


def test_a_design_in_feet_is_shown_in_feet(folder):
    path = folder / "heron-fen-square.toml"
    path.write_text('units = "feet"\n' + path.read_text(encoding="utf-8"), encoding="utf-8")
    panel = GroundPanel(folder)
    panel.file.value = "heron-fen-square.toml"
    assert "ft" in panel.amounts["rod-length"].readout.value
    assert " m," not in page(panel, RODS)


def test_a_design_with_a_front_end_is_computed_with_it(panel, folder):
    assert "no [front_end]" in page(panel, ELEMENTS)
    path = folder / "own.toml"
    text = (folder / "heron-fen-square.toml").read_text(encoding="utf-8")
    path.write_text(text + '\n[front_end]\nheight = "9 m"\ndiameter = "20 mm"\n', encoding="utf-8")
    made = GroundPanel(folder)
    made.file.value = "own.toml"
    assert "no [front_end]" not in page(made, ELEMENTS)
    assert page(made, ELEMENTS) != page(panel, ELEMENTS)


def test_a_design_that_cannot_be_read_is_answered_and_the_one_before_stays(folder):
    (folder / "broken.toml").write_text("format = 1\n", encoding="utf-8")
    panel = GroundPanel(folder)
    # the first of the list cannot be read either
    assert "broken.toml" in refusal(panel)
    before, name = panel.design, panel.file.value
    assert name == before.path.name
    panel.count.value = 3
    assert not refusal(panel)
    panel.file.value = "broken.toml"
    assert "broken.toml" in refusal(panel)
    assert panel.design is before
    assert panel.file.value == name
