"""The panel *cable loss* with real widgets: every control changes tables and picture; what is drawn is what is said."""

import pytest
from chart_data import curves

import workbook as wb
from workbook.figures.loss import loss_curves
from workbook.panels.cable_loss import AT_FIRST, BAND, EVERY_BAND, NOTES, CableLossPanel

SIX = ("series-6-clad", "series-11-clad", "series-6-copper", "rg-213-solid-pe", "rg-8x-foam", "trunk-500")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path))
    return tmp_path


@pytest.fixture
def panel(folder):
    return CableLossPanel(folder)


def at(panel, name):
    """A control by its name."""
    return panel.amount.exact if name == "exact" else getattr(panel, name)


def shown(panel):
    return panel.page.pages[BAND].value, panel.page.pages[EVERY_BAND].value, panel.picture.svg


def refusal(panel) -> str:
    return panel.status.value.split("</style>")[1] if panel.status.value else ""


# --- controls ------------------------------------------------------------------------------------------------


def test_a_tick_adds_a_cable_and_taking_it_off_drops_it(panel):
    before = shown(panel)
    panel.ticks["trunk-500"].value = True
    added = shown(panel)
    for one, other in zip(before, added, strict=True):
        assert "trunk-500" not in one
        assert "trunk-500" in other
    panel.ticks["trunk-500"].value = False
    assert shown(panel) == before


def test_a_seventh_tick_is_answered_in_place_and_taken_off_again(panel):
    for name in SIX:
        panel.ticks[name].value = True
    assert len(panel.ticked) == 6
    before = shown(panel)
    panel.ticks["rg-58-solid-pe"].value = True
    assert "six cables at most" in refusal(panel)
    assert panel.ticks["rg-58-solid-pe"].value is False
    assert shown(panel) == before
    panel.ticks["trunk-500"].value = False
    panel.ticks["rg-58-solid-pe"].value = True
    assert not refusal(panel)
    assert "rg-58-solid-pe" in panel.page.value


def test_no_tick_at_all_is_answered_and_the_next_mends_it(panel):
    for name in AT_FIRST:
        panel.ticks[name].value = False
    assert "got 0 cables" in refusal(panel)
    panel.ticks["rg-213-solid-pe"].value = True
    assert not refusal(panel)
    assert "series-6-clad" not in panel.page.value


@pytest.mark.parametrize(
    ("control", "text", "word"),
    [
        ("exact", "30 kg", "length"),
        ("exact", "0 m", "above zero"),
        ("exact", "-3 m", "above zero"),
        ("exact", "10,5 m", "comma"),
        ("exact", "30 MHz", "length"),
        ("exact", "<b>long</b>", "&lt;b&gt;"),
        ("resistance", "0", "takes no power"),
        ("resistance", "-50", "negative"),
        ("resistance", "", "load resistance"),
        ("resistance", "75 m", "load resistance"),
        ("reactance", "40 pF", "load reactance"),
        ("reactance", "j40", "load reactance"),
    ],
)
def test_wrong_entries_are_answered_in_place(panel, control, text, word):
    before, entry = shown(panel), at(panel, control)
    good = entry.value
    entry.value = text
    assert "refused" in refusal(panel)
    assert word in refusal(panel)
    assert "<b>" not in refusal(panel)
    assert shown(panel) == before
    entry.value = good
    assert not refusal(panel)
    assert shown(panel) == before


def test_an_exact_length_wins_in_either_unit_and_the_slider_follows_and_takes_over(panel):
    panel.amount.exact.value = "100 ft 6 1/4 in"
    assert panel.comparison.length.m_as("m") == pytest.approx(30.6388, abs=1e-4)
    assert panel.amount.slider.value == 30.5
    assert "30.639 m" in panel.page.value
    assert "30.639 m" in panel.picture.svg
    panel.band.value = "80 m"
    assert panel.comparison.length.m_as("m") == pytest.approx(30.6388, abs=1e-4)
    panel.amount.slider.value = 31.0
    assert panel.comparison.length.m_as("m") == 31.0
    assert panel.amount.exact.value == panel.amount.readout.value == "31.000 m"


@pytest.mark.parametrize(("text", "place"), [("2 km", 2000.0), ("10 cm", 0.5)])
def test_an_exact_length_beyond_the_slider_is_taken(panel, text, place):
    panel.amount.exact.value = text
    assert panel.amount.slider.value == place
    assert panel.comparison.length.m_as("m") == wb.quantity(text).m_as("m")


def test_the_slider_mends_a_wrong_length(panel):
    panel.amount.exact.value = "long"
    assert refusal(panel)
    panel.amount.slider.value = 40.0
    assert not refusal(panel)
    assert panel.comparison.length.m_as("m") == 40.0


def test_a_load_may_be_written_with_or_without_its_unit(panel):
    panel.resistance.value, panel.reactance.value = "0.3 kohm", "−25.5"
    assert panel.comparison.load.m_as("ohm") == 300 - 25.5j
    assert "load 300 − j25.5 ohm" in panel.picture.svg


def test_a_broken_file_of_the_user_is_answered_and_takes_no_other_down(folder):
    (folder / "my own reel.toml").write_text("impedance = 75")
    panel = CableLossPanel(folder)
    before = shown(panel)
    panel.ticks["my own reel"].value = True
    assert "my own reel.toml" in refusal(panel)
    assert panel.ticks["my own reel"].value is False
    assert shown(panel) == before
    # what has a space in it is no class of a page
    assert all(" " not in word for tick in panel.ticks.values() for word in tick._dom_classes)


def test_what_the_sheet_says_of_the_root_of_frequency(panel):
    assert (
        "series-6-clad: the square root of frequency from the standard maximum at 55 MHz"
        in panel.page.pages[NOTES].value
    )
    panel.ticks["series-6-clad"].value = panel.ticks["series-11-clad"].value = False
    assert "within a tenth" in panel.page.pages[NOTES].value


def test_a_cable_keeps_its_look_while_others_come_and_while_the_order_changes(panel):
    def colour(name):
        return curves(loss_curves(panel.comparison))[f"{name}, matched"].colour

    before = {name: colour(name) for name in AT_FIRST}
    panel.ticks["rg-213-solid-pe"].value = True
    panel.band.value = "10 m"
    assert {name: colour(name) for name in AT_FIRST} == before
