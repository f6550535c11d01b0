"""Tables and checklists of ground and entry: their figures are those of the functions, verdicts and boxes are there."""

import cmath

import pytest

import workbook as wb
from workbook.formatting import LengthUnits
from workbook.ground.entry import Entry, Rods, Strap
from workbook.report.sheets import build_sheet
from workbook.tables import ground
from workbook.tables.ground_checklists import checklists

Q = wb.Quantity
RODS = Rods("100 ohm*m", "10 ft", "5/8 in", "10 ft", 5, "ring")
STRAP = Strap("2 m", "50 mm", "0.5 mm")
BANDS = {"160 m": "1.83 MHz", "80 m": "3.65 MHz"}


def front_end(chokes="0 uH"):
    return wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", chokes, 60, "2 pF")


def test_rods_are_listed_for_every_shape():
    table = ground.rods_table(RODS)
    rows = {row[0]: row[1:] for row in table.rows}
    assert rows["1"] == ("33.1", "33.1", "33.1")
    assert rows["3"][2] == "-"
    assert list(rows) == ["1", "2", "3", "4", "5", "6", "8", "12"]  # its own number too
    assert float(rows["4"][2]) == pytest.approx(
        wb.rods_resistance("100 ohm*m", "10 ft", "5/8 in", "10 ft", 4, "square").m_as("ohm"), rel=5e-3
    )


def test_lengths_are_written_in_one_system():
    assert "3.048 m" in ground.rods_table(RODS, LengthUnits.METRIC).title
    assert "10 ft" in ground.rods_table(RODS, LengthUnits.FEET).title
    assert " m" not in ground.rods_table(RODS, LengthUnits.FEET).title


def test_answer_has_the_figures_of_the_functions():
    entry = Entry(RODS, STRAP, "8/20", 0.5, "30 m")
    text = ground.entry_answer(entry, BANDS).text()
    rods = wb.rods_resistance("100 ohm*m", "10 ft", "5/8 in", "10 ft", 5, "ring")
    strap = wb.strap_inductance("2 m", "50 mm", "0.5 mm")
    along = wb.surge_voltage(strap, "0 ohm", "2.5 kA", "8 us").m_as("kV")
    between = wb.potential_between_earths("2.5 kA", rods, "100 ohm*m", "30 m").m_as("kV")
    for figure in (rods.m_as("ohm"), along, 2.5 * rods.m_as("ohm"), between):
        assert f" {float(f'{figure:.3g}'):g} " in text
    assert "2.5 kA" in text


def test_longer_counts_more_than_wider():
    found = {name: each.m_as("uH") for name, each in ground.strap_lengths(STRAP, LengthUnits.METRIC).items()}
    whole = found["strap, 2.000 m by 50 mm"]
    assert found["half as long"] < 0.5 * whole < found["twice as wide"] < whole < found["wire of 4.1 mm"]


def test_band_beyond_a_quarter_wave_of_the_vertical_is_not_computed():
    rows = ground.element_table(front_end(), {"160 m": "1.83 MHz", "20 m": "14.1 MHz"}, Q(30.0, "ohm")).rows
    assert rows[0][1] != "-"
    assert rows[1][1] == "-"


def test_no_figure_has_a_power_of_ten():
    strap = wb.strap_inductance("20 m", "50 mm", "0.5 mm")
    text = ground.surge_table(strap, Q(500.0, "ohm")).text() + ground.reactance_table({"s": strap}, BANDS).text()
    assert "e+" not in text
    assert "50000" in text


def test_surges_of_all_waves_are_listed():
    rows = ground.surge_table(wb.Quantity(1.0, "uH"), Q(30.0, "ohm")).rows
    assert [row[0].split()[0] for row in rows] == list(wb.SURGE_WAVES)
    assert rows[0][2:] == ("5", "0.625", "150")


@pytest.mark.parametrize("chokes", ["0 uH", "200 uH"])
def test_element_ground_is_one_more_resistance_in_the_circuit(chokes):
    """The same divider, written out: vertical, chokes and rods in series before the buffer's input."""
    found = ground.element_ground(front_end(chokes), "1.83 MHz", "300 ohm")
    omega = 2 * 3.141592653589793 * 1.83e6
    vertical = front_end().vertical.impedance("1.83 MHz").m_as("ohm")
    henry = Q(chokes).m_as("H")
    coil = omega * henry * (1 / 60 + 1j)
    choke = coil / (1 + coil * 1j * omega * 2e-12)
    buffer = 1 / (1e-6 + 1j * omega * 15e-12)
    whole = vertical + choke + buffer
    change = whole / (whole + 300)
    assert 10 ** (-found.loss.m_as("dB") / 20) == pytest.approx(abs(change), rel=1e-9)
    assert found.phase.m_as("radian") == pytest.approx(-cmath.phase(change), rel=1e-9)


def test_good_rods_do_not_matter_and_poor_ones_are_to_be_alike():
    good, poor = (ground.element_table(front_end(), BANDS, Q(ohms, "ohm")).rows[0][-1] for ohms in (30.0, 600.0))
    assert good == "does not matter"
    assert "alike" in poor


def test_earth_that_is_not_joined_takes_the_blame():
    along, rise = ground.strap_and_rise(Q(1.0, "uH"), Q(30.0, "ohm"), wb.SURGE_WAVES["8/20"])
    sentence = ground.one_point_sentence(along, rise, Q(120.0, "kV"))
    assert "0.625 kV" in sentence
    assert "150 kV" in sentence
    assert "120 kV" in sentence


def test_choke_sentence_says_turns_and_rejection():
    choke = wb.shield_choke(Q(25 + 20j, "ohm"), "50 ohm", "30 dB")
    sentence = ground.choke_sentence(choke, Q(30.0, "dB"), Q(50.0, "ohm"))
    assert "8 turns" in sentence
    assert "1530 ohm" in sentence
    assert f"{choke.rejection.m_as('dB'):.0f} dB lower" in sentence


def test_copper_avoids_zinc():
    rows = {row[0]: row for row in ground.metals_table().rows}
    assert "zinc" in rows["copper"][2]
    assert "brass" in rows["copper"][1]


def test_checklists_have_a_box_for_everything_and_room_for_measured_values():
    tables = checklists()
    assert [table.title for table in tables] == ["Element", "Hub", "Entry", "Station"]
    assert {row[0] for table in tables for row in table.rows} == {"☐"}
    for table in tables[:3]:
        assert any("rod resistance" in row[2] for row in table.rows)
        assert any("ohm" in row[2] for row in table.rows)


def test_full_build_sheet_has_cautions_before_the_checklists():
    sheet = build_sheet(wb.load_design("notebooks/heron-fen-square.toml").plan(), full=True)
    assert 0 < sheet.index("arithmetic, not a safety design") < sheet.index("rod resistance ____ ohm")
