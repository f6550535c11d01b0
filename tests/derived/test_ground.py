"""What one short vertical receives over ground: the reflection of Fresnel and the average of the whole sky, in mpmath.

Reflection comes from outside: one element at the origin answers f = cos el (1 + R)/2, so R = 2f/cos el - 1. All sums
on the other side are done by mpmath, from the textbook forms written out here.
"""

import mpmath
import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

import workbook as wb

Q = wb.Quantity
VACUUM = 8.8541878128e-12
AVERAGE = wb.Ground(13, "5 mS/m")
AT_ORIGIN = wb.layout_from(Q([[0, 0], [0, 10]], "m"))
DERIVED = "reflection for vertical polarisation in 30-digit arithmetic over eps 13, 5 mS/m; no print seen"


def received(ground, frequency, elevation, azimuth=0.0):
    """Response of one element at the origin; angles in degrees."""
    one = wb.Firing(AT_ORIGIN, [1, 0], frequency, "0 deg", "20 deg", ground)
    return wb.array_response(one, Q(azimuth, "deg"), Q(elevation, "deg"))


def reflection(ground, frequency, elevation):
    return 2 * received(ground, frequency, elevation) / np.cos(np.radians(elevation)) - 1


def by_hand(permittivity, siemens, hertz, elevation):
    """Fresnel's coefficient for e^{+jwt}: eps = eps_r - j sigma/(w eps_0); elevation in rad; mpmath."""
    eps = mpmath.mpc(permittivity, -siemens / (2 * mpmath.pi * hertz * VACUUM))
    root = mpmath.sqrt(eps - mpmath.cos(elevation) ** 2)
    return (eps * mpmath.sin(elevation) - root) / (eps * mpmath.sin(elevation) + root)


def power_by_hand(permittivity, siemens, hertz, elevation):
    through = (1 + by_hand(permittivity, siemens, hertz, elevation)) / 2
    return mpmath.cos(elevation) ** 2 * abs(through) ** 2


# --- reflection -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("elevation", "size", "phase"),
    [
        (5, "0.4856", "-162.4"),
        (10, "0.2324", "-128.6"),
        (15, "0.1946", "-72.1"),
        (20, "0.2691", "-41.7"),
        (30, "0.4116", "-23.1"),
        (45, "0.5374", "-15.2"),
    ],
)
def test_reflection_of_average_ground_at_7_1_mhz(assert_printed, elevation, size, phase):
    found = reflection(AVERAGE, "7.1 MHz", elevation)
    assert_printed(abs(found), size, source=DERIVED)
    assert_printed(np.degrees(np.angle(found)), phase, source=DERIVED)


@pytest.mark.parametrize(
    ("frequency", "elevation", "size"),
    [
        ("1.84 MHz", "8.06", "0.335"),
        ("3.65 MHz", "10.83", "0.270"),
        ("7.1 MHz", "13.31", "0.186"),
        ("10.1 MHz", "14.22", "0.142"),
        ("14.2 MHz", "14.78", "0.106"),
        ("21.2 MHz", "15.16", "0.073"),
        ("28.5 MHz", "15.31", "0.055"),
    ],
)
def test_pseudo_brewster_angle(assert_printed, frequency, elevation, size):
    """Where the reflection is least; its phase passes a quarter turn near there."""
    least = minimize_scalar(
        lambda degrees: abs(reflection(AVERAGE, frequency, degrees)),
        bounds=(1, 40),
        method="bounded",
        options={"xatol": 1e-6},
    )
    assert_printed(least.x, elevation, source=DERIVED)
    assert_printed(least.fun, size, source=DERIVED)
    quarter = brentq(lambda degrees: reflection(AVERAGE, frequency, degrees).real, 1, 40)
    assert quarter == pytest.approx(least.x, abs=0.4)
    assert reflection(AVERAGE, frequency, quarter).imag < 0


def test_pseudo_brewster_angle_ends_at_brewster_s(assert_printed):
    """With rising frequency it nears atan(1/sqrt 13), where ground without loss reflects nothing."""
    assert abs(reflection(wb.Ground(13, "0 S/m"), "7.1 MHz", np.degrees(np.arctan(13**-0.5)))) < 1e-12
    found = brentq(lambda degrees: reflection(wb.Ground(13, "0 S/m"), "7.1 MHz", degrees).real, 5, 40)
    assert_printed(found, "15.50", source="atan(1/sqrt 13)")


def test_brewster_angle_of_a_dielectric(assert_printed):
    found = brentq(lambda degrees: reflection(wb.Ground(2.55, "0 S/m"), "10 MHz", degrees).real, 5, 60)
    assert_printed(90 - found, "57.94", source="atan(sqrt 2.55) from the normal, derived")


@pytest.mark.parametrize(("permittivity", "siemens"), [(70, 5), (30, 1e-2), (80, 3e-3), (15, 1e-3), (3, 1e-4)])
@pytest.mark.parametrize("megahertz", [1.83, 7.1, 28.5])
def test_reflection_of_ground_classes(permittivity, siemens, megahertz):
    """Classes of the curves in ITU-R P.527-3 (from memory), against the textbook form by mpmath."""
    ground = wb.Ground(permittivity, Q(siemens, "S/m"))
    for elevation in (0.1, 1, 7, 25, 60, 85):
        wanted = complex(by_hand(permittivity, siemens, megahertz * 1e6, mpmath.radians(elevation)))
        assert reflection(ground, Q(megahertz, "MHz"), elevation) == pytest.approx(wanted, abs=1e-9)


def test_ends_of_the_scale():
    """At the horizon real ground turns the wave over, so nothing is received; a very good one is nearly perfect."""
    assert abs(received(AVERAGE, "7.1 MHz", 0.0)) < 1e-12
    assert reflection(AVERAGE, "7.1 MHz", 1e-4) == pytest.approx(-1, abs=1e-4)
    assert reflection(wb.PERFECT_GROUND, "7.1 MHz", 30.0) == pytest.approx(1, abs=1e-15)
    assert abs(received(wb.PERFECT_GROUND, "7.1 MHz", 0.0)) == pytest.approx(1, abs=1e-15)
    assert abs(received(wb.PERFECT_GROUND, "7.1 MHz", 60.0)) == pytest.approx(0.5, abs=1e-15)
    assert received(wb.FREE_SPACE, "7.1 MHz", 60.0) == pytest.approx(1, abs=1e-15)
    # a good one lacks 2/(sqrt|eps| sin el) to first order, here |eps| = 17975 x 100/1.83
    lack = 1 - reflection(wb.Ground(1, "100 S/m"), "1.83 MHz", 30.0)
    assert abs(lack) == pytest.approx(4 / np.sqrt(17975 * 100 / 1.83), rel=5e-3)
    # from overhead: (sqrt eps - 1)/(sqrt eps + 1)
    assert reflection(wb.Ground(9, "0 S/m"), "7.1 MHz", 89.9) == pytest.approx(0.5, abs=1e-5)
    # ground like air reflects nothing at all
    assert abs(reflection(wb.Ground(1, "0 S/m"), "7.1 MHz", 33.0)) < 1e-12


def test_one_vertical_is_the_same_all_round():
    around = np.arange(0.0, 360.0, 7.0)
    for ground in (AVERAGE, wb.PERFECT_GROUND, wb.FREE_SPACE):
        assert received(ground, "3.65 MHz", 25.0, around) == pytest.approx(
            received(ground, "3.65 MHz", 25.0), abs=1e-15
        )


# --- the whole sky ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("permittivity", "siemens"), [(13, 5e-3), (30, 1e-2), (3, 1e-4), (70, 5)])
@pytest.mark.parametrize("megahertz", [1.83, 28.5])
@pytest.mark.parametrize("elevation", [3.0, 20.0, 50.0])
def test_directivity_of_one_vertical(permittivity, siemens, megahertz, elevation):
    """p(el) over the mean of p on the sphere, 1/2 int p cos el d(el) from horizon to zenith."""

    def power(el):
        return power_by_hand(permittivity, siemens, megahertz * 1e6, el)

    # the steps near the horizon are for sea water, whose reflection turns within a degree
    steps = [0, *(mpmath.radians(x) for x in (0.1, 0.3, 1, 3, 10, 30)), mpmath.pi / 2]
    mean = mpmath.quad(lambda el: power(el) * mpmath.cos(el), steps) / 2
    wanted = 10 * mpmath.log10(power(mpmath.radians(elevation)) / mean)
    ground = wb.Ground(permittivity, Q(siemens, "S/m"))
    one = wb.Firing(AT_ORIGIN, [1, 0], Q(megahertz, "MHz"), "0 deg", Q(elevation, "deg"), ground)
    assert wb.rdf(one).m_as("dB") == pytest.approx(float(wanted), abs=1e-7)
