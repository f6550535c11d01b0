"""Tables and sentences about lengths of line: pieces, drift, trimming and losses."""

import pytest

import workbook as wb
from workbook.line.losses import compare_losses
from workbook.line.piece import nominal_errors, piece
from workbook.tables.lines import (
    band_loss_table,
    loss_notes,
    loss_table,
    nominal_note,
    nominal_table,
    piece_table,
    root_rule_errors,
    sixteenth_note,
    temperature_table,
)

Q = wb.Quantity
MATCHED = "75 ohm"


def _on(comparison, band):
    return comparison.names.index(band)


# --- a piece of cable -------------------------------------------------------------------------------------


def test_an_ideal_cable_costs_nothing():
    one = piece(wb.ideal_cable("75 ohm", 0.66), "1.83 MHz", "27 m")
    assert all(abs(row.phase_error.m_as("degree")) < 1e-9 for row in nominal_errors(one))
    text = nominal_table(one).text()
    assert text.count("+0.00") == len(wb.bands())
    assert "-0" not in text


def test_a_piece_given_by_length_and_nominal_is_the_nominal_one():
    cable = wb.cable("series-6-clad")
    one = piece(cable, "1.83 MHz", "27 m", "nominal")
    assert "27.000 m (88 ft 7 in)" in nominal_note(one)
    for row in nominal_errors(one):
        really = wb.electrical_length("27 m", row.band.centre, cable)
        assert (row.wanted + row.phase_error).m_as("degree") == pytest.approx(really.m_as("degree"), rel=1e-12)


def test_published_coefficients_are_shown_with_their_status():
    one = piece(wb.ideal_cable("50 ohm", 0.66), "1.83 MHz", "100 deg")
    rows = temperature_table(one).rows[1:]
    assert rows[0][1:3] == ("-200 to -250", "-0.400 to -0.500")
    assert rows[1][1:3] == ("-20 to -100", "-0.040 to -0.200")
    assert rows[2][1:3] == ("-480", "-0.960")
    assert rows[3][1:3] == ("± 58 to 65", "± 0.116 to 0.130")
    assert all(row[3] for row in rows)


def test_piece_table_has_both_unit_systems():
    whole = wb.cable("series-6-clad")
    one = piece(whole.with_cladding("20 um"), "1.83 MHz", "71 deg", "nominal")
    table = piece_table(one, whole)
    assert [row[0] for row in table.rows] == [
        "nominal",
        "what it really is at 1.83 MHz",
        "slowest known cladding",
        "fastest known cladding",
    ]
    assert table.rows[0][1:3] == ("0.8500", "71.00")
    assert table.rows[1][5] == "27.463 m (90 ft 1 3/16 in)"
    assert float(table.rows[1][2]) == pytest.approx(one.actual.electrical_length.m_as("degree"), abs=0.005)
    assert float(table.rows[0][6]) == pytest.approx(wb.check_frequency(one.cable, one.length).m_as("MHz"), abs=5e-5)


def test_solid_copper_has_no_range():
    cable = wb.cable("series-6-copper")
    assert len(piece_table(piece(cable, "1.83 MHz", "71 deg"), cable).rows) == 1


def test_the_last_sixteenth_by_hand():
    """360 x 1.83e6 x 0.0254/16 / (0.66 c) = 0.00529 degrees."""
    note = sixteenth_note(piece(wb.ideal_cable("50 ohm", 0.66), "1.83 MHz", "10 m"))
    assert "0.0053 degree at 1.83 MHz" in note


def test_a_shorter_length_error_has_its_sign_on_the_tape_too():
    fast = wb.cable("series-6-copper").with_velocity_factor(0.9, "1.83 MHz")
    row = nominal_table(piece(fast, "1.83 MHz", "107.77 ns")).rows[0]
    assert row[4].startswith("-")
    assert row[5].startswith("-")
    assert "(-" in row[5]


# --- losses -----------------------------------------------------------------------------------------------


def test_a_sentence_says_where_the_root_misleads_and_by_how_much():
    comparison = compare_losses([wb.cable("series-6-clad"), wb.cable("series-6-copper")], "100 m", MATCHED)
    (said,) = root_rule_errors(comparison)
    one, here = comparison.chosen[0], _on(comparison, "160 m")
    for value in (one.by_root, *one.matched):
        assert f"{value.m_as('dB')[here]:.2f}" in said
    assert said.startswith("series-6-clad: ")
    assert "1.900 MHz" in said
    assert "over the known claddings" in said
    assert "2.2 times as much" in said
    assert "160 m, 80 m" in said
    assert "10 m" not in said


def test_a_generous_maximum_is_not_blamed_on_the_rule():
    """Solid copper follows the root law, though the standard's maximum lies 15 % above it."""
    comparison = compare_losses([wb.cable("series-6-copper")], "100 m", MATCHED)
    assert comparison.chosen[0].rule.ratio < 0.9
    assert root_rule_errors(comparison) == ()


def test_where_the_band_of_interest_is_right_the_sentence_names_the_lowest_band():
    comparison = compare_losses([wb.cable("series-6-clad")], "100 m", MATCHED, "10 m")
    (said,) = root_rule_errors(comparison)
    assert "1.900 MHz" in said


def test_notes_name_estimates_and_points_not_followed():
    comparison = compare_losses([wb.cable("rg-8x-foam"), wb.cable("series-6-clad")], "30 m", MATCHED)
    notes = "\n".join(loss_notes(comparison))
    assert "rg-8x-foam: known by a table alone; below 10 MHz an estimate." in notes
    assert "series-6-clad: the standard maximum at 5 MHz is not followed" in notes
    assert "estimated" in loss_table(comparison).rows[0][1] + loss_table(comparison).rows[0][3]
    assert "estimated" not in loss_table(comparison).text().splitlines()[-1]


def test_the_table_holds_what_the_functions_say():
    cable = wb.cable("series-6-clad")
    comparison = compare_losses([cable], "250 ft", Q(50 - 20j, "ohm"))
    assert loss_table(comparison).headings[1:] == ("series-6-clad matched dB", "series-6-clad with load dB")
    for row, name in zip(loss_table(comparison).rows, wb.bands(), strict=True):
        centre = wb.band(name).centre
        least, typical, greatest = (x * Q(250.0, "ft") for x in cable.span("attenuation", centre))
        total = wb.total_loss(cable, "250 ft", centre, Q(50 - 20j, "ohm"))
        assert row[1] == f"{typical.m_as('dB'):.2f} ({least.m_as('dB'):.2f} to {greatest.m_as('dB'):.2f})"
        assert row[2] == f"{total.m_as('dB'):.2f}"


def test_both_unit_systems_and_the_load_stand_in_the_titles():
    comparison = compare_losses([wb.cable("rg-213-solid-pe")], "100 ft", Q(50 - 20j, "ohm"))
    assert "30.480 m (100 ft 0 in), load 50 − j20 ohm" in loss_table(comparison).title
    assert "30.480 m (100 ft 0 in)" in band_loss_table(comparison).title
