"""The declination against the official test values of the World Magnetic Model."""

import datetime

import pytest
from pygeomag import GeoMag

import workbook as wb

Q = wb.Quantity


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


def test_high_resolution_model_is_another_model(assert_printed):
    """Official value of WMMHR2025 at 89 N, 121 W, 28 km: -101.96. Ours is the standard model, -99.775 there."""
    found = wb.declination("89 deg", "-121 deg", datetime.date(2025, 1, 1), "28 km")
    assert_printed(found, "-99.775 degree", source="standard WMM2025, worked out independently")
    with pytest.raises(AssertionError, match="is not the printed"):
        assert_printed(found, "-101.96 degree", source="official test value of WMMHR2025, kept with the library")
