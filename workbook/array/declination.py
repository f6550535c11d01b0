"""Magnetic declination by the World Magnetic Model, so that a compass can serve for true bearings."""

import datetime
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, real
from workbook.errors import InputError, shown
from workbook.units import Angle, Floats, Length, with_unit

FIRST_YEAR = 2010
"""First year of the oldest model."""


def declination(latitude: Angle, longitude: Angle, date: datetime.date, height: Length = "0 m") -> Angle:
    """Return how far magnetic north lies east of true north, by the World Magnetic Model of the date's five years.

    Parameters
    ----------
    latitude, longitude
        Angles, north and east positive.
    date
        A `datetime.date`: the declination drifts by up to some tenths of a degree a year.
    height
        Above sea level; the effect is small.

    Returns
    -------
    angle quantity, positive where a compass points east of true north

    Raises
    ------
    InputError
        When no model covers the date, or a latitude is beyond 90 degrees.

    Notes
    -----
    The model leaves out what local rock, fences and cars add; its own standard error is some 0.3 degree where the
    horizontal field is strong. Near the magnetic poles `compass_warning` says more.

    Examples
    --------
    >>> declination("0 deg", "120 deg", datetime.date(2025, 1, 1)).m_as("degree")
    -0.16
    """
    model, year = _model(date)
    here = _place(latitude, longitude, height)
    return with_unit(np.vectorize(lambda *place: model.calculate(*place, year).d, otypes=[float])(*here), "degree")


def compass_warning(latitude: Angle, longitude: Angle, date: datetime.date, height: Length = "0 m") -> str:
    """Return a sentence where a compass cannot be trusted, for one place; empty where it can.

    The limits are those of the World Magnetic Model: caution below 6000 nT of horizontal field, blackout below 2000.

    Parameters
    ----------
    latitude, longitude
        Angles of one place, north and east positive.
    date
        A `datetime.date`.
    height
        Above sea level.

    Returns
    -------
    str

    Raises
    ------
    InputError
        When several places are given, no model covers the date, or a latitude is beyond 90 degrees.

    Examples
    --------
    >>> compass_warning("60 deg", "25 deg", datetime.date(2025, 1, 1))
    ''
    """
    model, year = _model(date)
    here = _place(latitude, longitude, height)
    if any(np.size(part) != 1 for part in here):
        raise InputError("got several places", where="latitude", wanted="one place", remedy="call once for each")
    field = model.calculate(*map(float, here), year)
    if field.in_blackout_zone:
        return (
            f"So near to the magnetic pole (horizontal field {field.h:.0f} nT) a compass is useless; "
            "take true north from the sun, a star or a satellite receiver."
        )
    if field.in_caution_zone:
        return (
            f"The horizontal field is weak here ({field.h:.0f} nT), so that a compass may be degrees off; "
            "check it against the sun or a satellite receiver."
        )
    return ""


def _model(date: Any) -> tuple[Any, float]:
    """Return the model of a date, and the date as a decimal year."""
    # a large import that only a declination needs
    from pygeomag import GeoMag, decimal_year_from_date  # type: ignore[import-untyped]

    if not isinstance(date, datetime.date):
        raise InputError(
            f"got {shown(date)}", where="date", wanted="a datetime.date", remedy="write datetime.date(2026, 7, 2)"
        )
    model = GeoMag(base_year=date)
    try:
        model.life_span  # noqa: B018 - the coefficients are read when first used
    except ValueError:
        last = int(GeoMag().life_span[1]) - 1
        raise InputError(
            f"no magnetic model covers {shown(date)}",
            where="date",
            remedy=f"give a date from {FIRST_YEAR}-01-01 to {last}-12-31, or enter the declination",
        ) from None
    return model, decimal_year_from_date(date)


def _place(latitude: Angle, longitude: Angle, height: Length) -> tuple[Floats, Floats, Floats]:
    """Return latitude and longitude [degree] and height [km], within what the model takes."""
    north = _within(real(latitude, "degree", "latitude"), "latitude", -90, 90, "deg")
    east = _within(real(longitude, "degree", "longitude"), "longitude", -360, 360, "deg")
    up = _within(real(height, "km", "height"), "height", -1, 850, "km")
    check_broadcast(north, east, up)
    return north, east, up


def _within(value: Floats, name: str, least: float, most: float, unit: str) -> Floats:
    outside = np.ravel(value)[(np.ravel(value) < least) | (np.ravel(value) > most)]
    if outside.size:
        raise InputError(
            f"{outside[0]:g} {unit} lies outside {least:g} to {most:g} {unit}", where=name, remedy="check it"
        )
    return value
