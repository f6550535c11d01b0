"""Magnetic declination: what is refused, how arrays and dates go through; its values are in tests/published."""

import datetime
import subprocess
import sys

import numpy as np
import pytest

import workbook as wb
from workbook.array.declination import compass_warning

Q = wb.Quantity
DAY = datetime.date(2026, 7, 2)


def degrees(*arguments):
    return wb.declination(*arguments).m_as("degree")


def test_places_broadcast_and_a_place_gives_a_number():
    assert isinstance(degrees("50 deg", "10 deg", DAY), float)
    north, east = Q([[50.0], [-30.0]], "deg"), Q([10.0, 20.0, 30.0], "deg")
    found = degrees(north, east, DAY)
    assert found.shape == (2, 3)
    for (row, column), value in np.ndenumerate(found):
        assert value == degrees(north[row, 0], east[column], DAY)
    assert degrees("50 deg", "10 deg", DAY, Q([0.0, 1.0], "km")).shape == (2,)
    assert degrees(Q([], "deg"), "10 deg", DAY).shape == (0,)


def test_longitude_may_run_around_and_units_may_differ():
    assert degrees("50 deg", "-100 deg", DAY) == pytest.approx(degrees("50 deg", "260 deg", DAY), abs=1e-9)
    turned = degrees(Q(50 / 360, "turn"), Q(np.radians(-100), "rad"), DAY, "1000 ft")
    assert turned == pytest.approx(degrees("50 deg", "-100 deg", DAY, "304.8 m"), abs=1e-9)


def test_the_poles_are_places():
    for latitude in ("90 deg", "-90 deg"):
        assert -180 <= degrees(latitude, "30 deg", DAY) <= 180


def test_height_matters_little():
    assert degrees("50 deg", "10 deg", DAY, "2 km") == pytest.approx(degrees("50 deg", "10 deg", DAY), abs=0.02)


def test_one_model_follows_another():
    """Each model ends where the next begins: they differ by what the older did not foresee, some tenths of a degree."""
    for year in (2015, 2020, 2025):
        before = degrees("50 deg", "10 deg", datetime.date(year - 1, 12, 31))
        after = degrees("50 deg", "10 deg", datetime.date(year, 1, 1))
        assert before == pytest.approx(after, abs=0.5)
        assert before != after


def test_a_time_of_day_counts_as_its_day():
    assert degrees("50 deg", "10 deg", datetime.datetime(2026, 7, 2, 23, 59)) == degrees("50 deg", "10 deg", DAY)


@pytest.mark.parametrize("day", [datetime.date(2009, 12, 31), datetime.date(2030, 1, 1), datetime.date.min])
def test_a_date_without_a_model_is_refused(refused, day):
    refused(lambda: wb.declination("50 deg", "10 deg", day), "date", str(day), "2010-01-01", "2029-12-31")
    degrees("50 deg", "10 deg", datetime.date(2010, 1, 1))
    degrees("50 deg", "10 deg", datetime.date(2029, 12, 31))


@pytest.mark.parametrize("day", ["2026-07-02", 2026.5, 2026, None, (2026, 7, 2), datetime.time(12), Q(2026, "year")])
def test_what_is_no_date_is_refused(refused, day):
    refused(lambda: wb.declination("50 deg", "10 deg", day), "date", "datetime.date(2026, 7, 2)")


@pytest.mark.parametrize(
    ("argument", "values"),
    [
        ("latitude", ["90.01 deg", "-91 deg", 50.0, "50", "50 m", None, Q(np.nan, "deg"), Q([0.0, 95.0], "deg")]),
        ("longitude", ["361 deg", "-360.5 deg", 10.0, "10", "10 m", None, Q(np.inf, "deg"), "10 deg 30"]),
        ("height", ["-1.1 km", "851 km", 100.0, "100", "100 deg", None, Q(np.nan, "m")]),
    ],
)
def test_what_is_no_place_is_refused(refused, argument, values):
    given = {"latitude": "50 deg", "longitude": "10 deg", "date": DAY, "height": "0 m"}
    for value in values:
        refused(lambda value=value: wb.declination(**{**given, argument: value}), argument)


def test_arrays_that_do_not_fit_are_refused(refused):
    refused(lambda: wb.declination(Q([1.0, 2.0], "deg"), Q([1.0, 2.0, 3.0], "deg"), DAY), "(2,)", "(3,)")


def test_a_compass_near_the_magnetic_pole_is_warned_of(refused):
    """Blackout below 2000 nT of horizontal field, caution below 6000 nT, as the model's own report has it."""
    assert compass_warning("50 deg", "10 deg", DAY) == ""
    assert "useless" in compass_warning("85.8 deg", "139 deg", DAY)
    assert "degrees off" in compass_warning("75 deg", "-90 deg", DAY)
    refused(lambda: compass_warning(Q([50.0, 60.0], "deg"), "10 deg", DAY), "latitude", "one place")


def test_the_model_is_loaded_only_when_asked():
    script = "import sys, workbook.array.declination; print('pygeomag' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
