"""Tables of cables: a cable on the bands, its data sheet, and the result of a reel calibration."""

import pytest

import workbook as wb
from workbook.tables.cables import band_table, calibration_sentence, data_sheet, listing, published_table


@pytest.mark.parametrize("name", ["series-6-clad", "rg-213-solid-pe"])
def test_band_table_holds_what_the_cable_answers(name):
    cable = wb.cable(name)
    for row, band in zip(band_table(cable).rows, wb.bands(), strict=True):
        centre = wb.band(band).centre
        loss, factor = cable.attenuation(centre) * wb.Quantity(100, "m"), cable.velocity_factor(centre)
        assert row[0] == band
        assert row[2].split()[0] == f"{loss.m_as('dB'):.2f}"
        assert row[3].split()[0] == f"{factor:.4f}"
        assert ("to" in row[3]) == cable.is_clad


@pytest.mark.parametrize("name", wb.cables())
def test_a_data_sheet_names_every_point_and_everything_unknown(name):
    cable = wb.cable(name)
    text = " ".join(data_sheet(cable).split())
    assert all(f"- {sentence}" in text for sentence in cable.unknown)
    assert len(published_table(cable.record).rows) == len(cable.record.attenuation)


def test_a_file_of_many_faults_has_one_row(own_cables):
    (own_cables / "broken.toml").write_text("standard_type = 5", encoding="utf-8")
    (row,) = (row for row in listing().rows if row[0] == "broken")
    assert "\n" not in row[-1]
    assert row[-1].count("broken.toml") > 3


def test_a_calibration_is_a_sentence():
    by_resistance = wb.calibrate_by_resistance(wb.cable("series-6-clad"), "13.78 ohm", "100 m")
    assert calibration_sentence(by_resistance) == (
        "15.0 um of copper on steel, by centre resistance of 13.78 ohm over 100 m."
    )
    by_frequency = wb.calibrate_by_check_frequency(wb.ideal_cable("75 ohm", 0.66), "3.6 MHz", "50 ft")
    assert calibration_sentence(by_frequency).startswith("velocity factor 0.7320 at 3.6000 MHz, by check frequency")
