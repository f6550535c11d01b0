"""The panel *phase error* with real widgets: every control moves numbers and a picture, and nothing is written."""

import ipywidgets as widgets
import pytest

import workbook as wb
from workbook.panels.phase_error import PhaseErrorPanel
from workbook.panels.phase_error_controls import EVERY_RUN, FAULTS
from workbook.panels.skeleton import PREVIOUS

RING, SQUARE, ROW = (f"heron-fen-{name}.toml" for name in ("ring", "square", "row"))
# where each control stands, to what it is moved, and the fault under which it is shown
MOVES = {
    "cut band": ("band", "80 m", ""),
    "cable": ("cable", "series-11-clad", ""),
    "across": ("across", 60.0, ""),
    "spacing": ("spacing", 25.0, ""),
    "elevation": ("elevation", 30.0, ""),
    "direction": ("direction", "east", ""),
    "assumed": ("velocity.assumed", 0.84, ""),
    "true": ("velocity.true", 0.82, ""),
    "runs": ("velocity.runs", "the run of element 3", ""),
    "fault": ("other.fault", "a dead element", ""),
    "excess": ("other.amounts.excess.slider", -40.0, "chosen cables too long"),
    "kelvin": ("other.choices.kelvin", 60.0, "chosen cables warmer"),
    "drift": ("other.choices.drift", -300.0, "chosen cables warmer"),
    "element": ("other.choices.element", 4, "a reversed element"),
    "other element": ("other.choices.other", 5, "two lines swapped"),
    "east": ("other.amounts.east.slider", -300.0, "an element elsewhere"),
    "north": ("other.amounts.north.slider", 300.0, "an element elsewhere"),
    "source": ("other.amounts.source.slider", 150.0, "unmatched ends"),
    "port": ("other.amounts.port.slider", 150.0, "unmatched ends"),
}
# a stake elsewhere does not turn a channel
CHANNELS_STAY = ("east", "north")


@pytest.fixture
def panel(folder):
    return PhaseErrorPanel(folder)


def control(panel, path):
    found = panel.design_controls
    for name in path.split("."):
        found = found[name] if isinstance(found, dict) else getattr(found, name)
    return found


def bytes_of(folder):
    return {path: path.read_bytes() for path in folder.iterdir()}


def refusal(panel) -> str:
    return panel.status.value if "refused" in panel.status.value.split("</style>")[1] else ""


@pytest.mark.parametrize("name", MOVES)
def test_every_control_moves_numbers_and_pictures_but_not_the_file(panel, folder, drawn, name):
    path, value, fault = MOVES[name]
    if fault:
        panel.design_controls.other.fault.value = fault
    raw = bytes_of(folder)
    before = (panel.page.value + panel.answer.value, drawn(panel.errors.svg), drawn(panel.pattern.svg))
    assert control(panel, path).value != value
    control(panel, path).value = value
    assert not refusal(panel)
    assert not panel.old.value
    assert panel.page.value + panel.answer.value != before[0]
    assert (drawn(panel.errors.svg) != before[1]) == (name not in CHANNELS_STAY)
    assert drawn(panel.pattern.svg) != before[2]
    assert bytes_of(folder) == raw


def test_the_band_shown_moves_the_pattern(panel, drawn):
    before = drawn(panel.pattern.svg)
    panel.design_controls.shown_band.value = "80 m"
    assert drawn(panel.pattern.svg) != before
    assert "length on 80 m" in panel.page.value


def test_it_begins_with_the_printed_velocity_factor_and_the_true_one(panel):
    cable = wb.cable("series-6-copper")
    assert panel.design_controls.velocity.assumed.value == pytest.approx(cable.nominal_velocity_factor)
    true = panel.plan.delay_lines[0].velocity_factor
    assert panel.design_controls.velocity.true.value == pytest.approx(true, abs=0.0003)
    panel.design_controls.cable.value = "rg-213-solid-pe"
    assert panel.design_controls.velocity.assumed.value == pytest.approx(
        wb.cable("rg-213-solid-pe").nominal_velocity_factor
    )


def test_an_error_that_costs_nothing_is_said_as_plainly(panel):
    panel.design_controls.velocity.assumed.value = panel.design_controls.velocity.true.value
    assert "RDF stays the same (0.00 dB); front-to-back stays the same (0.00 dB)." in panel.page.value
    assert "This does not matter." in panel.page.value
    assert "nothing" in panel.answer.value
    panel.design_controls.other.fault.value = "a reversed element"
    assert "This does not matter" not in panel.page.value
    assert "RDF falls by" in panel.page.value
    assert "correct its polarity" in panel.answer.value


def test_only_ticked_lines_are_wrong(panel):
    for tick in panel.design_controls.velocity.ticks.values():
        tick.value = False
    assert "RDF stays the same (0.00 dB)" in panel.page.value
    panel.design_controls.velocity.ticks["C"].value = True
    assert "RDF stays the same (0.00 dB)" not in panel.page.value


def test_runs_that_are_wrong_alike_are_said_to_change_nothing(panel):
    for tick in panel.design_controls.velocity.ticks.values():
        tick.value = False
    panel.design_controls.velocity.runs.value = EVERY_RUN
    assert "Every channel is off by the same" in panel.page.value
    assert "changes nothing" in panel.page.value


def test_lines_that_come_and_go_with_the_design_keep_their_ticks(panel, folder):
    ticks = panel.design_controls.velocity.ticks
    assert tuple(ticks) == tuple("ABCD")
    ticks["B"].value = False
    panel.design_controls.elevation.value = 90.0
    assert tuple(panel.design_controls.velocity.ticks) == ()
    panel.design_controls.elevation.value = 22.0
    assert {label: tick.value for label, tick in panel.design_controls.velocity.ticks.items()} == {
        "A": True, "B": False, "C": True, "D": True
    }  # fmt: skip


def test_only_what_the_chosen_fault_needs_is_shown(panel):
    for fault, needed in FAULTS.items():
        panel.design_controls.other.fault.value = fault
        shown = {name for name, part in panel.design_controls.other.parts.items() if part.layout.display is None}
        assert shown == set(needed)


def test_a_ladder_says_that_its_pieces_add_up(panel):
    assert "ladder" not in panel.page.value
    panel.file.value = ROW
    assert "part of every tap farther out" in panel.page.value


def test_what_cannot_be_is_answered_in_place_and_the_next_move_corrects_it(panel):
    panel.design_controls.other.fault.value = "two lines swapped"
    before = panel.pattern.svg, panel.page.value
    panel.design_controls.elevation.value = 0.0
    assert "refused" in panel.old.value.split("</style>")[1]
    assert PREVIOUS in panel.old.value
    assert (panel.pattern.svg, panel.page.value) == before
    panel.design_controls.elevation.value = 20.0
    assert not panel.old.value
    assert panel.page.value != before[1]


@pytest.mark.parametrize(
    ("name", "text", "word"), [("excess", "3 kg", "kg"), ("east", "1,5", "comma"), ("port", "0", "above")]
)
def test_a_wrong_amount_is_answered_in_place_and_what_was_shown_stays(panel, name, text, word):
    fault = next(fault for fault, parts in FAULTS.items() if name in parts)
    panel.design_controls.other.fault.value = fault
    before = panel.pattern.svg, panel.page.value
    panel.design_controls.other.amounts[name].exact.value = text
    assert word in panel.old.value
    assert (panel.pattern.svg, panel.page.value) == before
    panel.design_controls.other.amounts[name].exact.value = ""
    assert not panel.old.value


def test_small_lengths_are_typed_in_any_unit_and_shown_in_inches_with_feet(panel):
    panel.design_controls.other.fault.value = "chosen cables too long"
    panel.design_controls.other.amounts["excess"].exact.value = "1 ft 8 in"
    # 20 in, an inch being 2.54 cm exactly
    assert panel.design_controls.faults.cable.excess_m == pytest.approx(0.508)
    panel.units.control.value = "feet"
    assert panel.design_controls.other.amounts["excess"].readout.value == "1 ft 8 in"
    assert panel.design_controls.faults.cable.excess_m == pytest.approx(0.508)
    panel.design_controls.other.amounts["excess"].exact.value = "-3"
    assert panel.design_controls.faults.cable.excess_m == pytest.approx(-0.0762)


def test_another_system_keeps_what_is_tried(panel):
    panel.design_controls.velocity.ticks["B"].value = False
    panel.design_controls.velocity.true.value = 0.81
    shown = panel.answer.value
    panel.units.control.value = "feet"
    assert panel.design_controls.velocity.true.value == pytest.approx(0.81)
    assert not panel.design_controls.velocity.ticks["B"].value
    assert panel.answer.value == shown


def test_saving_writes_the_design_and_none_of_the_errors(panel, folder):
    path = folder / RING
    before = path.read_text()
    panel.design_controls.velocity.true.value = 0.81
    panel.design_controls.other.fault.value = "a dead element"
    panel.design_controls.across.value = 50.0
    panel.save.click()
    assert path.read_text() == before.replace('diameter = "46 m"', 'diameter = "50 m"')
    assert panel.design_controls.velocity.true.value == pytest.approx(0.81)
    assert panel.design_controls.other.fault.value == "a dead element"


def test_a_refused_size_marks_what_is_shown_as_old(panel):
    shown = panel.page.value
    panel.design_controls.exact.value = "46 parsecs of"
    assert refusal(panel)
    assert PREVIOUS in panel.old.value
    assert panel.page.value == shown
    panel.design_controls.exact.value = "46 m"
    assert panel.old.value == ""


def test_controls_have_a_description_and_a_tip(panel):
    rows = (row for group in panel.design_controls.groups for row in group.rows)
    for one in (part for row in rows for part in getattr(row, "children", (row,))):
        if isinstance(one, (widgets.HTML, widgets.Label)):
            continue
        assert one.description
        assert one.tooltip
