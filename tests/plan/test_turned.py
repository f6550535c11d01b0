"""Beams beside the array's symmetry: how many more delay lines they take, against plans of designs turned by hand."""

import re

import pytest

RING = {("array",): {"kind": "ring", "count": 8, "diameter": "42 m", "first_azimuth": "10 deg"}}
ALIGNED = {("phasing",): {"rule": "aligned", "elevation": "20 deg", "cut_band": "160 m"}}


def toward(*azimuths):
    return {("directions",): [{"name": f"beam {n}", "azimuth": f"{a} deg"} for n, a in enumerate(azimuths, 1)]}


def note(plan):
    return [text for text in plan.warnings if "along the array's symmetry" in text]


def ring(plan, *azimuths, **keys):
    extra = {("hub", key): value for key, value in keys.items()}
    return plan("square", {**RING, **ALIGNED, **toward(*azimuths), **extra})


@pytest.mark.parametrize(
    ("azimuths", "nearest"),
    [((17,), (10,)), ((30, 10), (32.5, 10)), ((15, 105, 195, 285), (10, 100, 190, 280)), ((3, 48), (10, 55))],
)
def test_lines_more_than_of_the_plan_with_the_nearest_headings(plan, azimuths, nearest):
    """Elements stand at 10, 55, ... deg, gaps at 32.5, 77.5, ... deg; both plans are made and their lines counted."""
    turned, along = ring(plan, *azimuths), ring(plan, *nearest)
    (said,) = note(turned)
    more = len(turned.delay_lines) - len(along.delay_lines)
    assert more > 0
    assert f"needs {more} more delay line" in said
    assert f"({len(turned.delay_lines)}, not {len(along.delay_lines)})" in said
    named = re.search(r"than with headings? ([\d., ]+) deg", said)[1].split(", ")
    assert [float(one) for one in named] == [b for a, b in zip(azimuths, nearest, strict=True) if a != b]
    assert note(along) == []


def test_elements_and_gaps_of_a_ring_are_its_symmetry(plan):
    assert note(ring(plan, *(10 + 22.5 * number for number in range(16)))) == []


def test_a_row_takes_as_many_lines_aslant_as_along(plan):
    row = {("array",): {"kind": "row", "count": 4, "spacing": "15 m", "azimuth": "0 deg"}}
    aslant = plan("square", {**row, **ALIGNED, **toward(30)})
    assert len(aslant.delay_lines) == len(plan("square", {**row, **ALIGNED, **toward(0)}).delay_lines)
    (said,) = note(aslant)
    assert "heading 0 deg would save no delay line, so this does not matter" in said


def test_a_square_and_two_rows_have_theirs(plan):
    square = {("array",): {"kind": "square", "side": "24 m", "first_azimuth": "45 deg"}}
    assert note(plan("square", {**square, **ALIGNED, **toward(0, 45, 90)})) == []
    assert "heading 45 deg" in note(plan("square", {**square, **ALIGNED, **toward(60)}))[0]
    rows = {("array",): {"kind": "two-row", "count": 3, "spacing": "20 m", "width": "30 m", "azimuth": "20 deg"}}
    assert note(plan("square", {**rows, **ALIGNED, **toward(20, 110, 200)})) == []
    assert "heading 110 deg" in note(plan("square", {**rows, **ALIGNED, **toward(90)}))[0]


def test_nothing_is_said_of_stakes_or_delays_that_are_entered_or_of_lines_that_are_cut(plan):
    stakes = {("array",): {"kind": "custom", "positions": [["0 m", "20 m"], ["20 m", "0 m"], ["0 m", "-20 m"]]}}
    assert note(plan("square", {**stakes, **ALIGNED, **toward(7)})) == []
    assert note(plan("entered", {("directions", 0, "azimuth"): "7 deg"})) == []
    assert note(ring(plan, 17, lines=["9 m", "18 m", "20 m"])) == []


def test_a_search_is_compared_with_the_search_along_the_symmetry(plan):
    search = {("phasing",): {"rule": "fewest-delays", "lines": 1, "elevation": "20 deg", "cut_band": "160 m"}}
    array = {("array",): {"kind": "square", "side": "24 m", "first_azimuth": "45 deg"}}
    turned = plan("square", {**array, **search, **toward(0, 90, 190)})
    along = plan("square", {**array, **search, **toward(0, 90, 180)})
    more = len(turned.delay_lines) - len(along.delay_lines)
    (said,) = note(turned)
    assert more > 0
    assert f"needs {more} more delay line" in said
    assert "heading 180 deg" in said


def test_a_rule_without_an_answer_there_names_the_heading_alone(plan):
    """Along the diagonal of the square, across which there are but two rows, three lines cannot be used."""
    search = {("phasing",): {"rule": "fewest-delays", "lines": 3, "elevation": "20 deg", "cut_band": "160 m"}}
    array = {("array",): {"kind": "square", "side": "24 m", "first_azimuth": "45 deg"}}
    (said,) = note(plan("square", {**array, **search, **toward(5)}))
    assert said.endswith("the nearest along it: heading 0 deg.")


def test_headings_are_named_as_in_the_file(plan):
    made = ring(plan, 17)
    assert "beam 1 (17 deg)" in note(made)[0]
