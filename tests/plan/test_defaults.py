"""What a design file need not say."""

import pytest
from designs import ABSENT

import workbook as wb

LEAST = {
    ("format",): ABSENT,
    ("hub",): ABSENT,
    ("cutting",): ABSENT,
    ("lengths",): ABSENT,
    ("phasing",): {"rule": "aligned"},
    ("cables",): {"delay_line": "series-6-clad"},
    ("bands",): {"80 m": "3.65 MHz", "160 m": "1.83 MHz"},
}
WRITTEN = {
    **LEAST,
    ("format",): 1,
    ("hub",): {"kind": "joined", "position": ["0 m", "0 m"]},
    ("cutting",): {"trim": "10 cm"},
    ("lengths",): {"slack": "0.5 m"},
    ("phasing",): {"rule": "aligned", "elevation": "20 deg", "cut_band": "160 m"},
    ("cables",): {"delay_line": "series-6-clad", "element_run": "series-6-clad", "receiver_run": "series-6-clad"},
}


def without_checksum(made):
    return {key: value for key, value in made.to_dict().items() if key != "design_sha256"}


def test_a_design_with_the_defaults_written_out_has_the_same_plan(plan):
    assert without_checksum(plan("square", LEAST)) == without_checksum(plan("square", WRITTEN))


def test_defaults_are_those_of_the_contract(plan):
    made = plan("square", LEAST)
    assert (made.format, made.hub, made.hub_east_m, made.hub_north_m) == (1, "joined", 0.0, 0.0)
    assert (made.trim_m, made.elevation_deg, made.cut_band) == (pytest.approx(0.1), 20.0, "160 m")
    assert made.element_runs.cable == "series-6-clad"
    # corners of a square of 20 m lie 14.142 m from its centre
    assert made.element_runs.length_m == pytest.approx(14.142 + 0.5, abs=1e-3)
    assert made.receiver_run is None
    assert [one.cable for one in made.totals] == ["series-6-clad"]


def test_a_hub_table_without_a_kind_is_joined(plan):
    assert plan("square", {("hub",): {"position": ["1 m", "0 m"]}}).hub == "joined"


def test_a_receiver_run_with_a_length_alone_is_of_the_delay_lines_cable(plan):
    made = plan("square", {**LEAST, ("lengths",): {"receiver_run": "80 m"}})
    assert (made.receiver_run.cable, made.receiver_run.length_m) == ("series-6-clad", pytest.approx(80.0))


def test_a_receiver_cable_without_a_length_makes_no_run(plan):
    made = plan("full", {("lengths", "receiver_run"): ABSENT})
    assert made.receiver_run is None
    assert "series-11-clad" not in {one.cable for one in made.totals}


def test_saving_a_change_writes_no_default(write, tmp_path):
    design = wb.load_design(write("square", LEAST)).changed({("array", "side"): "21 m"})
    saved = design.save(tmp_path / "saved.toml")
    assert "elevation" not in saved.text
    assert "slack" not in saved.text


@pytest.mark.parametrize(("base", "change"), [("entered", {}), ("endfire", {("phasing", "elevation"): ABSENT})])
def test_every_rule_has_an_elevation(plan, base, change):
    made = plan(base, change)
    assert made.elevation_deg == 20.0
    assert made.directions[0].bands[0].rdf_db is not None
