"""The errors of the delay lines: every band has a look and a name of its own, and names are taken as they are."""

import itertools
from dataclasses import replace

import pytest
from chart_data import curves

import workbook as wb
from workbook.figures.delay_errors import delay_errors
from workbook.files import shipped
from workbook.tables.pattern import figure_table
from workbook.tables.receiver_match import match_tables
from workbook.tables.terminations import side_by_side_table
from workbook.tables.wiring import direction_tables

NAMED = r"top $\zz$ band"


@pytest.fixture(scope="module")
def design():
    return wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")


def test_five_bands_differ_by_marker_and_keep_their_names(tmp_path, design):
    more = f"[bands]\n'{NAMED}' = \"7.1 MHz\"\n'c' = \"5 MHz\"\n'd' = \"10 MHz\"\n"
    path = tmp_path / "five.toml"
    path.write_text(design.text.replace("\n[bands]", f"\n{more}#", 1))
    plan = wb.load_design(path).plan()
    figure = delay_errors(plan)
    planned = [curve for label, curve in curves(figure).items() if label.endswith("as planned")]
    assert len(planned) == 5
    for one, other in itertools.combinations(planned, 2):
        assert one.marker != other.marker
        assert one.colour != other.colour
    assert f"{NAMED}, as planned" in figure.svg()


def test_without_a_pattern_no_front_to_back_is_told(design):
    """Nothing arrives at the horizon over earth: there are no figures, and a deep back is none of them."""
    delays = {"delays": [f"{n * 10} ns" for n in range(8)]}
    entered = design.changed(
        {("phasing",): {"rule": "entered", "elevation": "0 deg", "cut_band": "160 m"}}
        | {("directions",): [{"name": "north", "azimuth": "0 deg", **delays}]}
        | {("hub", "source_impedance"): "75 ohm", ("hub", "port_impedance"): "60 ohm"}
    )
    plan = entered.plan()
    assert {row[4] for row in figure_table(plan).rows} == {"none"}
    assert plan.terminations is not None
    assert {cell for row in side_by_side_table(plan, plan.terminations).rows for cell in row[2:]} == {"none"}


def test_no_bearing_is_written_as_a_full_turn_and_no_nought_with_a_minus(design):
    plan = design.changed({("site",): {"declination": "0.02 deg"}, ("match",): {"way": "no matching"}}).plan()
    assert [row[2] for row in direction_tables(plan)[0].rows if row[1] == "0"] == ["0.0"]
    assert plan.match is not None
    hardly = replace(plan.match, bands=tuple(replace(band, phase_shift_deg=-0.03) for band in plan.match.bands))
    assert {row[4] for row in match_tables(hardly)[0].rows} == {"0.0"}
