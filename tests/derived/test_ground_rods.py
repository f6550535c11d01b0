"""Rods and straps against numerical methods that share no formula with them: line charges, and Neumann's integral."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

import workbook as wb

MU0 = 4e-7 * math.pi


def potentials(places, length, diameter, parts):
    """Ohm per part: mean potential at the middle of each part of each rod, by line charges and their images."""
    edges = np.linspace(0.0, length, parts + 1)
    low, high = (np.tile(each, len(places)) for each in (edges[:-1], edges[1:]))
    at = np.repeat(np.asarray(places, dtype=complex), parts)
    apart = np.maximum(np.abs(at[:, None] - at), diameter / 2)
    middle = ((low + high) / 2)[:, None]

    def line(start, end):
        return np.arcsinh((end - middle) / apart) - np.arcsinh((start - middle) / apart)

    return (line(low, high) + line(-high, -low)) / (4 * math.pi * length / parts)


def by_line_charges(resistivity, places, length, diameter, parts=120):
    """Resistance where every part of every rod is at one potential, whatever current it leaks."""
    matrix = resistivity * potentials(places, length, diameter, parts)
    return 1 / np.linalg.solve(matrix, np.ones(len(matrix))).sum()


@pytest.mark.parametrize(("length", "diameter"), [(3.048, 0.019), (2.4, 0.0159), (1.0, 0.012), (0.6, 0.016)])
def test_rod_lies_one_to_three_per_cent_above_line_charges(length, diameter):
    """More leaks from the tip of a real rod than from the rest; an even leakage can only have more resistance."""
    wanted = by_line_charges(100.0, [0], length, diameter)
    got = wb.rod_resistance("100 ohm*m", f"{length} m", f"{diameter} m").m_as("ohm")
    assert 1.0 < got / wanted < 1.03


@pytest.mark.parametrize("spacing", [0.3, 1.0, 2.0, 6.0])
@pytest.mark.parametrize(("shape", "places"), [("line", [0, 1, 2]), ("square", [0, 1, 1j, 1 + 1j])])
def test_joined_rods_by_line_charges(shape, places, spacing):
    wanted = by_line_charges(100.0, spacing * np.array(places), 2.0, 0.016, parts=60)
    got = wb.rods_resistance("100 ohm*m", "2 m", "16 mm", f"{spacing} m", len(places), shape).m_as("ohm")
    assert 1.0 < got / wanted < 1.035


def test_series_for_two_rods_joins_the_closed_form_when_they_are_apart():
    apart = wb.Quantity([2.0, 4.0, 6.0, 20.0], "m")
    two = wb.two_rods_resistance("100 ohm*m", "2 m", "16 mm", apart).m_as("ohm")
    joined = [wb.rods_resistance("100 ohm*m", "2 m", "16 mm", each, 2).m_as("ohm") for each in apart]
    away = two / joined - 1
    assert 0.01 < away[0] < 0.05
    assert abs(away[1:]) == pytest.approx(0, abs=2e-3)


def test_potential_beside_an_earth_is_that_of_its_line_charges():
    """At 20 m the rod of 3 m is a point within half a per cent of the whole."""
    rod = wb.rod_resistance("100 ohm*m", "3 m", "16 mm")
    seen = 100 / (2 * math.pi * 3) * math.asinh(3 / 20)
    got = wb.potential_between_earths("1 kA", rod, "100 ohm*m", "20 m").m_as("kV")
    assert got == pytest.approx(rod.m_as("ohm") - seen, rel=5e-4)


def neumann(length, distance):
    """Mutual inductance of two parallel filaments, Neumann's double integral over both."""

    def inner(x):
        return quad(lambda y: 1 / math.hypot(x - y, distance), 0, length, points=[x], limit=200)[0]

    return MU0 / (4 * math.pi) * quad(inner, 0, length, limit=100)[0]


@pytest.mark.parametrize(("length", "diameter"), [(1.0, 0.002), (0.3, 0.01), (5.0, 0.004)])
def test_wire_inductance_is_neumanns_integral(length, diameter):
    """A filament on the axis and one on the surface; terms in d/l are left out of the handbook formula."""
    got = wb.wire_inductance(f"{length} m", f"{diameter} m").m_as("H")
    left_out = diameter / length / (math.log(4 * length / diameter) - 1)
    assert got == pytest.approx(neumann(length, diameter / 2), rel=0.6 * left_out + 1e-6)


@pytest.mark.parametrize(("length", "width"), [(1.0, 0.025), (0.5, 0.05), (2.0, 0.1)])
def test_strap_inductance_is_neumanns_integral_over_its_width(length, width):
    """The mean over all pairs of filaments of a thin tape, each pair in closed form, itself checked above.

    The handbook's last term is 0.2235 (w + t)/l where a thin tape has 1/3 w/l.
    """

    def pair(distance):
        root = math.hypot(length, distance)
        return MU0 / (2 * math.pi) * (length * math.asinh(length / distance) - root + distance)

    assert pair(width) == pytest.approx(neumann(length, width), rel=1e-9)
    mean = quad(lambda d: 2 * (width - d) / width**2 * pair(d), 0, width, limit=200)[0]
    got = wb.strap_inductance(f"{length} m", f"{width} m", "1 um").m_as("H")
    shorter = 0.12 * width / length / (math.log(2 * length / width) + 0.5)
    assert 1 - shorter < got / mean < 1
