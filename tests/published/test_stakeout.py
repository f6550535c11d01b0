"""Stake-out against plane geometry, and the declination against the official test values of the magnetic model."""

import datetime

import pytest
from pygeomag import GeoMag

import workbook as wb

Q = wb.Quantity
OCTAGON = "plane geometry of a regular octagon of radius R"


# --- chords -----------------------------------------------------------------------------------------------


def test_chords_of_the_octagon(assert_printed):
    """Side 0.76537 R, next chord 1.41421 R, then 1.84776 R and 2 R."""
    found = wb.stake_out(wb.ring(8, "42 m", "0 deg")).distances
    printed = {"0.76537": ("neighbour", 8), "1.41421": ("diagonal", 8), "1.84776": ("diagonal", 8)}
    printed |= {"2.00000": ("across", 4)}
    for each, (chord, (kind, pairs)) in zip(found, printed.items(), strict=True):
        assert_printed(each.length_m / 21, chord, source=OCTAGON)
        assert (each.kind, len(each.pairs)) == (kind, pairs)


def test_sides_and_diagonals_of_a_square(assert_printed):
    side, diagonal = wb.stake_out(wb.square("24 m", "45 deg")).distances
    assert_printed(side.length_m, "24.000", source="square of 24 m")
    assert side.pairs == ((1, 2), (1, 4), (2, 3), (3, 4))
    assert_printed(diagonal.length_m, "33.941", source="diagonal of a square of 24 m, 24 sqrt 2")
    assert (diagonal.kind, diagonal.pairs) == ("across", ((1, 3), (2, 4)))


def test_two_tapes_at_a_right_angle(assert_printed):
    """Tapes of 3 and 4 over a base of 5: an inch on each moves the stake by the diagonal of a square inch."""
    out = wb.stake_out(wb.layout_from(Q([[5, 0], [1.8, 2.4]], "m")))
    assert [tape.length_m for tape in out.fixes[1].tapes] == pytest.approx([3, 4])
    for tape in out.fixes[1].tapes:
        assert_printed(tape.place_error_m / 0.0254, "1.414214", source="diagonal of a square")


# --- World Magnetic Model ---------------------------------------------------------------------------------

# year, height km, latitude, longitude; X, Y, Z nT, inclination and declination degree
OFFICIAL_2025 = "official test values of WMM2025, as kept beside a second implementation (commit 8d57234)"
OFFICIAL_2020 = "official test values of WMM2020, as kept in the library's repository"
OFFICIAL_2015 = "official test values of WMM2015v2, as kept in the library's repository"
VALUES = {
    (2025.0, 0, 80, 0): ("6521.6", "145.9", "54791.5", "83.21", "1.28", OFFICIAL_2025),
    (2025.0, 0, 0, 120): ("39677.8", "-109.6", "-10580.2", "-14.93", "-0.16", OFFICIAL_2025),
    (2025.0, 0, -80, 240): ("6117.5", "15751.9", "-52022.5", "-72.00", "68.78", OFFICIAL_2025),
    (2025.0, 100, 80, 0): ("6216.0", "92.4", "52598.8", "83.26", "0.85", OFFICIAL_2025),
    (2025.0, 100, 0, 120): ("37688.6", "-96.2", "-10152.1", "-15.08", "-0.15", OFFICIAL_2025),
    (2025.0, 100, -80, 240): ("5907.6", "14780.3", "-49540.7", "-72.19", "68.21", OFFICIAL_2025),
    (2027.5, 0, 0, 120): ("39701.6", "-167.4", "-10381.8", "-14.65", "-0.24", OFFICIAL_2025),
    (2027.5, 100, 80, 0): ("6196.7", "233.8", "52670.5", "83.29", "2.16", OFFICIAL_2025),
    (2020.0, 0, 80, 0): ("6570.4", "-146.3", "54606.0", "83.14", "-1.28", OFFICIAL_2020),
    (2020.0, 0, 0, 120): ("39624.3", "109.9", "-10932.5", "-15.42", "0.16", OFFICIAL_2020),
    (2020.0, 0, -80, 240): ("5940.6", "15772.1", "-52480.8", "-72.20", "69.36", OFFICIAL_2020),
    (2022.5, 100, -80, 240): ("5815.0", "14803.0", "-49755.3", "-72.27", "68.55", OFFICIAL_2020),
    (2017.5, 0, 80, 0): ("6605.2", "-298.7", "54506.3", "83.08", "-2.59", OFFICIAL_2015),
    (2017.5, 100, -80, 240): ("5674.9", "14793.1", "-50179.5", "-72.48", "69.01", OFFICIAL_2015),
}


def _day(year):
    """The day of a decimal year; half a year is noon of 2 July, so that day's beginning is half a day early.

    The declination moves by less than 1 degree a year at these places, half a day thus by less than 0.0014 degree.
    """
    return datetime.date(int(year), 7, 2) if year % 1 else datetime.date(int(year), 1, 1)


@pytest.mark.parametrize("where", VALUES)
def test_declination_has_the_official_values(assert_printed, where):
    year, height, latitude, longitude = where
    *_, printed, source = VALUES[where]
    found = wb.declination(Q(latitude, "deg"), Q(longitude, "deg"), _day(year), Q(height, "km"))
    assert_printed(found, f"{printed} degree", source=source)


@pytest.mark.parametrize("where", VALUES)
def test_the_library_has_the_official_field(assert_printed, where):
    year, height, latitude, longitude = where
    *printed, source = VALUES[where]
    field = GeoMag(base_year=year).calculate(latitude, longitude, height, year)
    for got, each in zip((field.x, field.y, field.z, field.i, field.d), printed, strict=True):
        assert_printed(got, each, source=source)


def test_declination_of_an_ordinary_day(assert_printed):
    found = wb.declination("42.283 deg", "-71.35 deg", datetime.date(2028, 7, 4), "1 km")
    assert_printed(found, "-13.6891 degree", source="example of a mathematics package for WMM2025, 4 July 2028")


def test_declination_between_two_days():
    """14.309584 degrees at 2026.5 (a third implementation's own test), which is noon of 2 July."""
    early, late = (wb.declination("65 deg", "85 deg", datetime.date(2026, 7, day)).m_as("degree") for day in (2, 3))
    assert (early + late) / 2 == pytest.approx(14.309584, abs=0.5e-6)
    assert early != late
