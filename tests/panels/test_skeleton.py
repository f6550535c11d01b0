"""The one face of the worksheets: named groups of controls, an answer line, folds; rows of amounts and bands."""

import re

import ipywidgets as widgets
import pytest
from sheets import CONTROLS, SHEETS, Sheet

import workbook as wb
from workbook.bands import band, bands
from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Folds
from workbook.panels.units_switch import UnitsSwitch
from workbook.tables.answer import AnswerLine, Figure
from workbook.worksheets import STATE

WITHOUT_EXACT = {
    "06": {
        f"band-{name.replace(' ', '-')}": "several bands are matched at once; the row below takes a range"
        for name in bands()
    },
    "11": {"band": "a filter over the bands of the design, which have their frequencies there"},
}
"""Choices of bands where no exact frequency is typed in the same row, and why."""
FEWEST_FOLDS = {"12": 1, "13": 1, "14": 1}
"""Worksheets that begin with one fold: nothing is in stock, nothing was measured, and there is one table."""


@pytest.fixture
def sheet(folder, own_cables, monkeypatch):
    monkeypatch.chdir(folder)
    return lambda name: Sheet(SHEETS[name](folder))


def parts(sheet, css):
    return [each for each in sheet.everything() if css in each._dom_classes]


@pytest.mark.parametrize("name", SHEETS)
def test_every_control_of_the_left_column_stands_in_a_named_group(sheet, name):
    one = sheet(name)
    groups = parts(one, "worksheet-group")
    titles = [re.sub("<[^>]+>", "", group.children[0].value) for group in groups]
    assert all(titles)
    assert len(set(titles)) == len(titles) >= 3
    grouped = {id(each) for group in groups for each in Sheet(group).everything()}
    (left,) = parts(one, "worksheet-controls")
    loose = [each for each in Sheet(left).everything() if isinstance(each, CONTROLS) and id(each) not in grouped]
    assert loose == []


@pytest.mark.parametrize("name", SHEETS)
def test_the_answer_line_has_three_to_six_figures(sheet, name):
    (answer,) = parts(sheet(name), "answer")
    labels = re.findall("<dt>(.+?)</dt>", answer.value)
    assert 3 <= len(labels) <= 6
    assert len(set(labels)) == len(labels) == len(re.findall("<dd>.+?</dd>", answer.value))


@pytest.mark.parametrize("name", SHEETS)
def test_folds_are_named_once_the_first_is_open_and_no_table_is_shown_twice(sheet, name):
    one = sheet(name)
    (box,) = parts(one, "worksheet-folds")
    shown = [fold for fold in box.children if fold.layout.display != "none"]
    titles = [fold.titles[0] for fold in shown]
    assert len(set(titles)) == len(titles) >= FEWEST_FOLDS.get(name, 2)
    assert [fold.selected_index for fold in shown] == [0, *[None] * (len(shown) - 1)]
    captions = re.findall("<caption>(.*?)</caption>", "".join(fold.children[0].value for fold in shown))
    assert captions
    assert len(set(captions)) == len(captions)


@pytest.mark.parametrize("name", SHEETS)
def test_where_a_band_is_chosen_an_exact_frequency_can_be_typed(sheet, name):
    one = sheet(name)
    rows = [row.children for row in parts(one, "band-row")]
    assert all(isinstance(field, widgets.Text) for _, field in rows)
    bare = set()
    for control_name, control in one.controls.items():
        labels = (
            {control.description} if isinstance(control, widgets.Checkbox) else getattr(control, "_options_labels", ())
        )
        if set(labels) & set(bands()) and not any(control is choice for choice, _ in rows):
            bare.add(control_name)
    assert bare == set(WITHOUT_EXACT.get(name, {}))


@pytest.mark.parametrize("name", SHEETS)
def test_no_two_controls_have_one_name(sheet, name):
    names = [each._dom_classes[0] for each in sheet(name).everything() if isinstance(each, CONTROLS)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("count", [0, 2, 7])
def test_an_answer_line_of_too_few_or_too_many_figures_is_refused(count):
    with pytest.raises(InputError, match="3 to 6"):
        AnswerLine("", (Figure("RDF", "7.3", "dB"),) * count)


def test_the_first_fold_with_content_is_open_and_closes_when_another_comes_before_it():
    folds = Folds("one", "other", "last")

    def opened():
        return [each.titles[0] for each in folds.widget.children if each.selected_index == 0]

    folds.show("last", "<p>3</p>")
    assert opened() == ["last"]
    folds.show("other", "<p>2</p>")
    assert opened() == ["other"]
    folds.show("one", "<p>1</p>")
    assert opened() == ["one"]
    # what the reader opened or closed stays so while the first is the same
    folds.open("last")
    folds.widget.children[0].selected_index = None
    folds.show("other")
    folds.show("one", "<p>1</p>")
    assert opened() == ["last"]
    folds.show("one")
    assert opened() == ["last"]


def test_an_answer_line_is_escaped_and_explains_terms_of_the_glossary():
    line = AnswerLine("<b>", (Figure("RDF", "<i>", "dB"), Figure("<u>", "1"), Figure("lines", "2")))
    assert "<b>" not in line.html()
    assert "<i>" not in line.html()
    assert "<u>" not in line.html()
    assert 'title="RDF: ' in line.html()


def test_folds_without_content_are_hidden():
    folds = Folds("one", "other")
    one, other = folds.widget.children
    folds.show("one", "<p>1</p>")
    assert (one.layout.display, other.layout.display) == (None, "none")
    folds.show("other", "<p>2</p>")
    folds.show("one")
    assert (one.layout.display, other.layout.display) == ("none", None)
    assert "<p>2</p>" in folds.value
    assert "<p>1</p>" not in folds.value


# --- amounts ----------------------------------------------------------------------------------------------


def amount(metres=34.44, units=LengthUnits.METRIC, least="above zero"):
    heard = []
    low = -60.0 if least == "any" else 0 if least == "zero" else 1.0
    made = LinkedSlider(Scale("size", "size", "how large", low, 60.0, 0.1, least), "m", metres, lambda: None, units)
    made._changed = lambda: heard.append(made.value)
    return made, heard


def test_readout_and_field_say_the_value_and_not_the_step_of_the_slider():
    made, _ = amount()
    assert made.slider.value == pytest.approx(34.4)
    assert made.readout.value == made.exact.value == "34.440 m"
    assert made.text == "34.44 m"


@pytest.mark.parametrize(
    ("units", "typed", "metres", "readout"),
    [
        # 1 ft = 0.3048 m exactly (international foot)
        (LengthUnits.METRIC, "113 ft", 34.4424, "34.442 m"),
        (LengthUnits.METRIC, "20", 20.0, "20.000 m"),
        (LengthUnits.FEET, "20", 6.096, "20 ft 0 in"),
        (LengthUnits.FEET, "34.4424 m", 34.4424, "113 ft 0 in"),
        (LengthUnits.FEET, "8 1/2 in", 0.2159, "8 1/2 in"),
    ],
)
def test_a_number_alone_has_the_unit_of_the_system_shown(units, typed, metres, readout):
    made, heard = amount(units=units)
    made.exact.value = typed
    assert heard == [pytest.approx(metres)]
    assert made.readout.value == readout
    assert made.exact.value == typed
    assert wb.quantity(made.text).m_as("m") == pytest.approx(metres)


def test_a_slid_length_in_feet_is_a_whole_number_of_quarters():
    made, heard = amount(units=LengthUnits.FEET)
    for metres in (20.0, 20.1, 20.2, 20.3):
        made.slider.value = metres
    assert [value / 0.3048 * 4 for value in heard] == pytest.approx([262, 264, 265, 266])
    assert made.readout.value == made.exact.value == "66 ft 6 in"
    assert made.text == "66.5 ft"


def test_a_first_value_is_round_in_either_system_until_it_is_moved():
    # 2.4 m are 7 ft 10.49 in; an 8 ft rod is usual
    made = LinkedSlider(Scale("rod", "rod", "its length", 0.5, 6, 0.05), "m", 2.4, lambda: None, in_feet=8 * 0.3048)
    for units, said, text in (("feet", "8 ft 0 in", "8 ft"), ("metric", "2.400 m", "2.4 m")):
        made.use(LengthUnits(units))
        assert (made.readout.value, made.exact.value, made.text) == (said, said, text)
    made.exact.value = "2.5"
    other = LinkedSlider(made.scale, "m", 2.4, lambda: None, LengthUnits.FEET, 8 * 0.3048)
    other.stand_as(made)
    made.use(LengthUnits.FEET)
    assert made.readout.value == other.readout.value == "8 ft 2 7/16 in"
    # what is shown is what a file gets
    assert made.exact.value == made.text == "8 ft 2 7/16 in"
    made.use(LengthUnits.METRIC)
    assert made.text == "2.5 m"


@pytest.mark.parametrize(
    ("unit", "text", "said"),
    [("m", "-1", "-1 ft is not above zero"), ("m", "3 kg", "ft is wanted"), ("mm", "0", "0 in is not above zero")],
)
def test_a_refused_length_is_in_the_system_shown(unit, text, said):
    made = LinkedSlider(Scale("size", "size", "how large", 1, 9, 0.1), unit, 3.0, lambda: None, LengthUnits.FEET)
    made.exact.value = text
    with pytest.raises(InputError, match=said):
        _ = made.quantity


def test_what_is_less_than_a_tape_shows_is_not_zero():
    made = LinkedSlider(Scale("kerf", "kerf", "of a cut", 0, 50, 1, "zero"), "mm", 0.3, lambda: None, LengthUnits.FEET)
    # 0.3 mm are 0.0118 in
    assert made.readout.value == made.text == "0.012 in"


def test_an_emptied_field_says_the_value_again():
    made, _ = amount()
    made.exact.value = "abc"
    assert not made.matches(34.44)
    made.exact.value = ""
    assert made.exact.value == "34.440 m"
    assert made.matches(34.44)


def test_a_value_beyond_the_slider_gets_a_longer_one_in_the_same_row():
    made, heard = amount()
    old, place = made.slider, made.row.children.index(made.slider)
    made.exact.value = "500 m"
    assert made.slider is not old
    assert made.row.children[place] is made.slider
    assert made.slider.value == 500
    assert heard == [500]


@pytest.mark.parametrize(
    ("least", "typed", "taken"),
    [("any", "-4 m", True), ("zero", "0", True), ("zero", "-1", False), ("any", "x", False)],
)
def test_what_may_be_typed_follows_the_scale(least, typed, taken):
    made, _ = amount(10.0, least=least)
    made.exact.value = typed
    assert made.matches(10.0) is False
    assert (made.value != 10.0) == taken
    steps = (made.slider.value - made.slider.min) / made.slider.step
    assert steps == pytest.approx(round(steps), abs=1e-6)


# --- bands ------------------------------------------------------------------------------------------------


def band_row(nearest):
    heard = []
    usual = {name: band(name).centre for name in bands()[:3]}
    labels = ("band", "band", "which band")
    return BandRow(labels, usual, lambda: heard.append("chosen"), lambda: heard.append("typed"), nearest), heard


def test_an_exact_frequency_stays_that_of_its_band():
    row, heard = band_row(nearest=False)
    row.field.value = "1.8"
    assert row.frequency.m_as("MHz") == 1.8
    row.band.value = "80 m"
    assert row.field.value == "3.75 MHz"
    assert row.frequency.m_as("MHz") == 3.75
    row.band.value = "160 m"
    assert row.field.value == "1.8"
    assert row.changes() == {("bands", "160 m"): "1.8 MHz"}
    row.field.value = ""
    assert row.field.value == "1.9 MHz"
    assert row.changes() == {}
    assert heard == ["typed", "chosen", "chosen", "typed"]


def test_an_exact_frequency_chooses_the_nearest_band():
    row, heard = band_row(nearest=True)
    row.field.value = "3500 kHz"
    assert (row.name, row.frequency.m_as("MHz"), heard) == ("80 m", 3.5, ["typed"])
    row.band.value = "160 m"
    assert row.frequency.m_as("MHz") == 1.9
    row.field.value = "1.8 m"
    with pytest.raises(InputError, match="Hz"):
        _ = row.frequency


# --- metric or feet -----------------------------------------------------------------------------------------


def test_the_system_chosen_last_is_remembered_for_the_folder(tmp_path, monkeypatch):
    monkeypatch.setenv(STATE, str(tmp_path / "state"))
    here, there = tmp_path / "here", tmp_path / "there"
    first = UnitsSwitch(here)
    heard = []
    first.observe(lambda: heard.append(first.value))
    # a design's own system is shown, and not remembered
    first.follow(LengthUnits.FEET)
    assert (first.value, heard, UnitsSwitch(here).value) == (LengthUnits.FEET, [], LengthUnits.METRIC)
    first.control.value = LengthUnits.METRIC
    first.control.value = LengthUnits.FEET
    assert heard == [LengthUnits.METRIC, LengthUnits.FEET]
    assert (UnitsSwitch(here).value, UnitsSwitch(there).value) == (LengthUnits.FEET, LengthUnits.METRIC)
    # what was chosen wins over what a design says
    second = UnitsSwitch(here)
    second.follow(LengthUnits.METRIC)
    assert second.value == LengthUnits.FEET


def test_every_description_of_a_control_in_a_row_can_be_read_out():
    made, _ = amount()
    assert all(part.description for part in made.row.children if not isinstance(part, widgets.HTML))


def folds(one):
    (box,) = parts(one, "worksheet-folds")
    return "".join(each.value for each in Sheet(box).everything() if isinstance(each, widgets.HTML))


@pytest.mark.parametrize("name", ["03", "07", "08", "09"])
def test_tables_show_the_system_of_the_switch_alone(sheet, name):
    one = sheet(name)
    metric, feet = r"<span>[^<]*\d (m|cm|mm)\b", r"<span>[^<]*\d (ft|in)\b"
    # a band is written as a length is, such as 160 m
    shown = re.sub(r"(?<![.\d])\d+ m\b", "", folds(one))
    assert re.search(metric, shown)
    assert not re.search(feet, shown)
    one.move("units", "feet")
    shown = re.sub(r"(?<![.\d])\d+ m\b", "", folds(one))
    assert re.search(feet, shown)
    assert not re.search(metric, shown)
