"""Directions and stakes changed in the file: the right values, all comments that still fit, and the order."""

import math
import tomllib

import pytest

import workbook as wb
from workbook.design.editing import (
    add_direction,
    aim_direction,
    becomes_custom,
    move_stake,
    place_stakes,
    remove_direction,
    rename_direction,
)
from workbook.files import shipped

TEXT = """# An invented site.
name = "Otter Mead"
[bands]
"160 m" = "1.84 MHz"  # long distance

[array]
kind = "ring"            # or square, row
count = 4                # elements
diameter = "42 m"        # 137 ft 9 1/2 in across
first_azimuth = "0 deg"  # element 1 as seen from the centre

[phasing]
rule = "aligned"         # how the delays are found

# toward the pond
[[directions]]
name = "north"           # the long way
azimuth = "0 deg"

# over the barn, 90 deg
[[directions]]
name = "east"
azimuth = "90 deg"       # 90 degrees by the old map

# what the lines are made of
[cables]
delay_line = "series-6-copper"
"""


@pytest.fixture
def design(tmp_path):
    file = tmp_path / "array.toml"
    file.write_text(TEXT)
    return wb.load_design(file)


@pytest.fixture
def listed(tmp_path):
    file = tmp_path / "list.toml"
    head, *_ = TEXT.partition("# toward the pond")
    rest = '[cables]\ndelay_line = "series-6-copper"\n'
    entries = 'directions = [{ name = "north", azimuth = "0 deg" }, { name = "east", azimuth = "90 deg" }]\n'
    file.write_text(head.replace("[bands]", f"{entries}[bands]") + rest)
    return wb.load_design(file)


def directions(design):
    """What the text says, read without the workbook."""
    return [(one["name"], one["azimuth"]) for one in tomllib.loads(design.text)["directions"]]


def test_a_direction_is_added_at_the_end_and_comments_stay_with_what_they_are_about(design):
    added = add_direction(design, "south", "180")
    assert directions(added) == [("north", "0 deg"), ("east", "90 deg"), ("south", "180 deg")]
    new = '\n[[directions]]\nname = "south"\nazimuth = "180 deg"\n'
    before, after = added.text.split(new)
    assert before + after == TEXT
    assert after.strip().startswith("# what the lines are made of")
    assert (added.is_changed, design.is_changed) == (True, False)


def test_a_direction_is_removed_with_the_comment_right_above_it(design):
    removed = remove_direction(design, "east")
    assert directions(removed) == [("north", "0 deg")]
    assert "barn" not in removed.text
    assert "\n\n# what the lines are made of\n[cables]" in removed.text
    assert remove_direction(design, "north").text.count("[[directions]]") == 1


def test_a_direction_is_renamed_and_aimed(design):
    changed = aim_direction(rename_direction(design, "east", "pond"), "pond", "95.5 deg")
    assert directions(changed) == [("north", "0 deg"), ("pond", "95.5 deg")]
    # the comment that quotes the old number is gone, the others are there
    assert "by the old map" not in changed.text
    assert "# the long way" in changed.text
    assert [one.name for one in changed.plan().directions] == ["north", "pond"]


def test_directions_in_a_list_are_changed_too(listed):
    changed = remove_direction(add_direction(aim_direction(listed, "east", "100"), "south", "180 deg"), "north")
    assert directions(changed) == [("east", "100 deg"), ("south", "180 deg")]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda design: add_direction(design, "north", "10"), "there twice"),
        (lambda design: add_direction(design, " ", "10"), "cannot be a name"),
        (lambda design: add_direction(design, "south", "10 m"), "azimuth"),
        (lambda design: rename_direction(design, "west", "pond"), "there are north, east"),
        (lambda design: rename_direction(design, "north", "east"), "there twice"),
        (lambda design: aim_direction(design, "north", "up"), "azimuth"),
        (lambda design: remove_direction(remove_direction(design, "north"), "east"), "only direction"),
        (lambda design: move_stake(design, 5, "0 m", "0 m"), "from 1 to 4"),
        (lambda design: move_stake(design, True, "0 m", "0 m"), "from 1 to 4"),
        (lambda design: move_stake(design, 1, "3", "0 m"), "east"),
        (lambda design: move_stake(design, 2, "0 m", "21 m"), "array"),
        (lambda design: place_stakes(design, ""), "blank"),
        (lambda design: place_stakes(design, "east,north\n3,4\n5,6"), "row 2, column east"),
        (lambda design: place_stakes(design, "east (m),azimuth\n3,4"), "and east too"),
        (lambda design: place_stakes(design, "distance (m),azimuth\n3,x"), "column azimuth"),
        (lambda design: place_stakes(design, 3), "rows of text"),
    ],
)
def test_a_change_that_cannot_be_is_refused_in_words(design, change, words):
    with pytest.raises(wb.InputError, match=words):
        change(design)
    assert design.text == TEXT


# --- stakes -----------------------------------------------------------------------------------------------


def places(design):
    return [(round(one.east_m, 4), round(one.north_m, 4)) for one in design.plan().elements]


def test_a_moved_stake_makes_the_ring_custom_and_leaves_the_others_where_they_are(design):
    assert "custom" in becomes_custom(design)
    moved = move_stake(design, 2, "70 ft", "18 ft 3 1/2 in")
    assert becomes_custom(moved) == ""
    array = tomllib.loads(moved.text)["array"]
    assert (array["kind"], list(array)) == ("custom", ["kind", "positions"])
    assert array["positions"][1] == ["70 ft", "18 ft 3 1/2 in"]
    assert places(moved) == [(0, 21), (21.336, 5.5753), (0, -21), (-21, 0)]
    # the comment named other kinds beside ring, which it is no longer; the next table begins after a blank line
    assert "or square" not in moved.text
    assert "]\n\n[phasing]" in moved.text


def test_only_the_moved_stake_of_a_custom_array_changes_its_line(design):
    moved = move_stake(design, 2, "21 m", "1 m")
    again = move_stake(moved, 3, "0 m", "-22 m")
    pairs = zip(moved.text.splitlines(), again.text.splitlines(), strict=True)
    assert [(one, two) for one, two in pairs if one != two] == [('  ["0 m", "-21 m"], # 3', '  ["0 m", "-22 m"], # 3')]


def test_stakes_are_pasted_in_any_unit_by_east_and_north_or_by_distance_and_azimuth(design):
    polar = place_stakes(design, "distance,azimuth\n20 m,0\n65 ft 7 3/8 in,90 deg\n20 m,225")
    wanted = [(0, 20), (20, 0), (-20 / math.sqrt(2), -20 / math.sqrt(2))]
    for got, (east, north) in zip(places(polar), wanted, strict=True):
        assert got == pytest.approx((east, north), abs=2e-3)
    pasted = place_stakes(design, "element\tEast (ft)\tNorth (ft)\n2\t70\t-70\n1\t0\t0\n3\t-70\t0\n")
    assert places(pasted) == [(0, 0), (21.336, -21.336), (-21.336, 0)]
    assert tomllib.loads(pasted.text)["array"]["positions"][1] == ["70 ft", "-70 ft"]


def test_places_that_are_computed_follow_the_units_of_the_design(design):
    in_feet = design.changed({("units",): "feet"})
    assert tomllib.loads(place_stakes(in_feet, "distance,azimuth\n20 m,90\n9 m,0").text)["array"]["positions"] == [
        ["65.617 ft", "0 ft"],
        ["0 ft", "29.528 ft"],
    ]


def test_an_edited_design_saves_like_any_other(design):
    changed = add_direction(design, "south", "180").changed({("array", "diameter"): "50 m"})
    assert changed.sha256 != design.sha256
    saved = changed.save()
    assert (saved.is_changed, saved.text) == (False, design.path.read_text())
    assert directions(wb.load_design(design.path)) == directions(changed)
    with pytest.raises(wb.InputError, match="changed on disk"):
        rename_direction(design, "east", "pond").save()


@pytest.mark.parametrize("file", sorted(shipped("notebooks").glob("*.toml")), ids=lambda path: path.stem)
def test_every_demo_loses_no_comment_by_a_direction_more_and_less(file):
    design = wb.load_design(file)
    added = add_direction(design, "one more", "33")
    assert remove_direction(added, "one more").text.split() == design.text.split()


# --- comments ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value", "stays"),
    [
        (("array", "diameter"), "44 m", False),  # its feet are those of 42 m
        (("array", "first_azimuth"), "10 deg", True),
        (("array", "count"), 6, True),
        (("phasing", "rule"), "endfire", True),
        (("bands", "160 m"), "1.85 MHz", True),
        (("array", "kind"), "square", False),  # it names square as another kind
        (("array", "kind"), "custom", False),  # it names what else than a ring it may be
    ],
)
def test_a_comment_stays_unless_it_speaks_of_a_value(design, key, value, stays):
    line = next(line for line in TEXT.splitlines() if line.replace('"', "").startswith(f"{key[1]} ="))
    changes = {key: value}
    if value == "custom":
        size = dict.fromkeys((("array", "count"), ("array", "diameter"), ("array", "first_azimuth")))
        changes |= size | {("array", "positions"): [["0 m", "0 m"], ["20 m", "0 m"], ["0 m", "20 m"]]}
    if value == "square":
        changes |= {("array", "count"): None, ("array", "diameter"): None, ("array", "side"): "30 m"}
    assert (line.partition("#")[2] in design.changed(changes).text) is stays
