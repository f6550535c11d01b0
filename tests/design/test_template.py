"""A fresh design file from a few choices: it can be planned, its comments fit, and no file is written over."""

import itertools
import tomllib

import pytest

import workbook as wb
from workbook.design.template import FRESH_RULES, KINDS, NewDesign, completed, design_text, write_design


@pytest.mark.parametrize(("kind", "rule"), list(itertools.product(KINDS, FRESH_RULES)))
@pytest.mark.parametrize("feet", [False, True])
def test_every_kind_and_rule_with_usual_values_makes_a_plan(tmp_path, kind, rule, feet):
    path = write_design(tmp_path / "fen.toml", NewDesign("Fen", kind=kind, rule=rule, feet=feet))
    plan = wb.load_design(path).plan()
    assert plan.delay_lines
    assert plan.name == "Fen"


def test_the_choices_are_what_the_file_says():
    choices = NewDesign(
        'Long "Meadow"',
        kind="two-row",
        count=3,
        size="70",
        width="100 ft 3 in",
        bands=("160 m = 1.83 MHz", "40 m=7.0"),
        directions=3,
        first_azimuth="-30.5",
        rule="endfire",
        cable="series-11-copper",
        feet=True,
    )
    data = tomllib.loads(design_text(choices))
    assert data["name"] == 'Long "Meadow"'
    assert data["bands"] == {"160 m": "1.83 MHz", "40 m": "7.0 MHz"}
    assert data["array"] == {
        "kind": "two-row",
        "count": 3,
        "spacing": "70 ft",
        "width": "100 ft 3 in",
        "azimuth": "329.5 deg",
    }
    assert [one["azimuth"] for one in data["directions"]] == ["329.5 deg", "89.5 deg", "209.5 deg"]
    assert data["phasing"]["cut_band"] == "160 m"
    assert data["cables"] == {"element_run": "series-11-copper", "delay_line": "series-11-copper"}


@pytest.mark.parametrize("feet", [False, True])
def test_lengths_are_in_one_system_alone(feet):
    values = [line.partition("#")[0] for line in design_text(NewDesign("Fen", feet=feet)).splitlines()]
    lengths = [value for value in values if any(unit in value for unit in (' m"', ' cm"', ' ft"', ' in"'))]
    lengths = [value for value in lengths if not value.startswith(('"', "cut_band"))]
    assert len(lengths) == 4
    assert all((' ft"' in value or ' in"' in value) == feet for value in lengths)


def test_directions_on_points_of_the_compass_have_their_names():
    names = [one["name"] for one in tomllib.loads(design_text(NewDesign("Fen", first_azimuth="45")))["directions"]]
    assert names[:2] == ["north-east", "east"]
    odd = tomllib.loads(design_text(NewDesign("Fen", directions=3)))["directions"]
    assert [one["name"] for one in odd] == ["north", "120 deg", "240 deg"]


def test_every_key_of_a_table_has_a_comment_in_one_column():
    for line in design_text(NewDesign("Fen")).splitlines():
        if " # " in line and not line.startswith("#"):
            assert line.index("# ") == 34


def test_a_band_by_name_alone_gets_a_usual_frequency():
    data = tomllib.loads(design_text(NewDesign("Fen", bands=("160 m", "30 m"))))
    assert data["bands"] == {"160 m": "1.84 MHz", "30 m": "10.125 MHz"}


def test_usual_values_follow_the_kind_and_the_units():
    assert (completed(NewDesign("")).count, completed(NewDesign("")).size) == (8, "46 m")
    rows = completed(NewDesign("", kind="two-row", feet=True))
    assert (rows.count, rows.size, rows.width, rows.directions) == (2, "65 ft", "100 ft", 2)


@pytest.mark.parametrize(
    ("choices", "words"),
    [
        ({"kind": "rign"}, ["kind", "ring"]),
        ({"kind": "custom"}, ["kind"]),
        ({"kind": "square", "count": 5}, ["count", "4"]),
        ({"count": 99}, ["array", "count", "24"]),
        ({"size": "46 kg"}, ["array", "diameter"]),
        ({"width": "3 m"}, ["width", "two-row"]),
        ({"bands": ()}, ["bands"]),
        ({"bands": ("161 m",)}, ["161 m"]),
        ({"bands": ("160 m=abc",)}, ["bands"]),
        ({"directions": 0}, ["directions", "36"]),
        ({"first_azimuth": "north"}, ["first_azimuth"]),
        ({"rule": "entered"}, ["rule"]),
        ({"cable": "series-6-coper"}, ["cable", "series-6-copper"]),
    ],
)
def test_a_wrong_choice_is_refused_and_nothing_is_written(refused, tmp_path, choices, words):
    refused(lambda: write_design(tmp_path / "fen", NewDesign("Fen", **choices)), *words)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_never_written_over(refused, tmp_path):
    path = tmp_path / "fen.toml"
    path.write_text("mine")
    refused(lambda: write_design(path, NewDesign("Fen")), "fen.toml", "already there")
    refused(lambda: write_design(tmp_path / "fen", NewDesign("Fen")), "fen.toml", "already there")
    assert path.read_text() == "mine"
    (tmp_path / "link.toml").symlink_to(tmp_path / "nowhere.toml")
    refused(lambda: write_design(tmp_path / "link.toml", NewDesign("Fen")), "already there")
    assert not (tmp_path / "nowhere.toml").exists()


def test_the_file_ends_in_toml(refused, tmp_path):
    assert write_design(tmp_path / "fen", NewDesign("Fen")) == tmp_path / "fen.toml"
    refused(lambda: write_design(tmp_path / "fen.txt", NewDesign("Fen")), ".toml")
    refused(lambda: write_design(tmp_path / "none" / "fen.toml", NewDesign("Fen")), "cannot be written")
