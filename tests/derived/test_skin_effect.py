"""Impedance of round conductors and shields: limits, boundary values in 30 digits, scikit-rf."""

import mpmath as mp
import numpy as np
import pytest
import skrf

import workbook as wb

COPPER = 58.0e6
MU0 = 4e-7 * np.pi


def _m(metres):
    return wb.Quantity(metres, "m")


def _layers(*rows):
    return [(_m(radius), wb.Quantity(sigma, "S/m"), mu) for radius, sigma, mu in rows]


def _wire(hertz, radius, conductivity=COPPER):
    rows = _layers((radius, conductivity, 1.0))
    return wb.conductor_impedance(wb.Quantity(hertz, "Hz"), _m(radius), rows).m_as("ohm/m")


def _rod(hertz, rows, inner=None):
    hollow = None if inner is None else _m(inner)
    found = wb.conductor_impedance(wb.Quantity(hertz, "Hz"), _m(rows[-1][0]), _layers(*rows), hollow)
    return found.m_as("ohm/m")


def _shield(hertz, radius, thickness, conductivity, mu=1.0):
    sigma = wb.Quantity(conductivity, "S/m")
    return wb.shield_impedance(wb.Quantity(hertz, "Hz"), _m(radius), _m(thickness), sigma, mu).m_as("ohm/m")


# --- skin depth and surface impedance ---------------------------------------------------------------------


def _surface(hertz, conductivity):
    """Face of a bar so thick that its curvature is beyond the printed digits: ohm per square."""
    radius = 1.0
    return _wire(hertz, radius, conductivity) * 2 * np.pi * radius


def _skin_depth(hertz, conductivity):
    return 1 / (conductivity * _surface(hertz, conductivity).real)


# --- limits -----------------------------------------------------------------------------------------------


def test_a_wire_without_layers_is_annealed_copper():
    radius = _m(0.5e-3)
    rows = _layers((0.5e-3, COPPER, 1.0))
    assert wb.conductor_impedance("2 MHz", radius) == wb.conductor_impedance("2 MHz", radius, rows)


def test_internal_inductance_at_direct_current():
    """Any textbook: mu0/8 pi per metre for a solid round wire, whatever its radius."""
    for radius in (0.1e-3, 2e-3):
        assert _wire(1e-3, radius).imag / (2 * np.pi * 1e-3) == pytest.approx(MU0 / (8 * np.pi), rel=1e-6)


def test_tubes_and_layers_at_direct_current():
    """Resistance at direct current is one over conductivity times area, layers in parallel."""
    inner, outer = 0.4e-3, 0.5e-3
    area = np.pi * (outer**2 - inner**2)
    assert _rod(0.01, [(outer, COPPER, 1.0)], inner).real == pytest.approx(1 / (COPPER * area), rel=1e-9)
    assert _shield(0.01, inner, outer - inner, COPPER).real == pytest.approx(1 / (COPPER * area), rel=1e-9)
    steel = 5.8e6 * np.pi * inner**2
    clad = _rod(1e-3, [(inner, 5.8e6, 200.0), (outer, COPPER, 1.0)])
    assert clad.real == pytest.approx(1 / (COPPER * area + steel), rel=1e-9)


@pytest.mark.parametrize("hertz", [1e8, 1e9, 1e10])
def test_high_frequency_limit_of_a_wire(hertz):
    """R/R0 tends to x/sqrt(8) + 1/4 and wL/R0 to x/sqrt(8); what is left over falls as 1/x (standard expansion)."""
    radius = 1e-3
    x = radius * np.sqrt(2 * np.pi * hertz * MU0 * COPPER)
    found = _wire(hertz, radius) * COPPER * np.pi * radius**2
    assert abs(found.real - (x / np.sqrt(8) + 0.25)) < 0.2 / x
    assert abs(found.imag - x / np.sqrt(8)) < 0.2 / x


def test_high_frequency_limit_of_a_tube():
    """A wall of many skin depths looks like a bar turned inside out: the sign of the curvature changes."""
    radius, hertz = 1e-3, 1e10
    plane = _surface(hertz, COPPER) / (2 * np.pi * radius)
    skin = _skin_depth(hertz, COPPER)
    outside, inside = _wire(hertz, radius), _shield(hertz, radius, 1e-3, COPPER)
    assert outside.real / plane.real - 1 == pytest.approx(skin / (2 * radius), rel=0.01)
    assert inside.real / plane.real - 1 == pytest.approx(-skin / (2 * radius), rel=0.01)


# --- mpmath at 30 digits ----------------------------------------------------------------------------------


def _basis(k, omega, mu, radius):
    """Electric and magnetic field (rows) of the two solutions I and K (columns) at one radius, unscaled."""
    h = k / (1j * omega * mu)
    x = k * radius
    return mp.matrix([[mp.besseli(0, x), mp.besselk(0, x)], [h * mp.besseli(1, x), -h * mp.besselk(1, x)]])


def _carry(fields, layer, omega, near, far):
    """Carry (E, H) through a layer: find how much of each solution there is at `near`, add them up at `far`."""
    _, sigma, relative = layer
    mu = 4 * mp.pi * mp.mpf("1e-7") * relative
    k = mp.sqrt(1j * omega * mu * sigma)
    at = _basis(k, omega, mu, near)
    determinant = at[0, 0] * at[1, 1] - at[0, 1] * at[1, 0]
    amounts = mp.matrix([[at[1, 1], -at[0, 1]], [-at[1, 0], at[0, 0]]]) * fields / determinant
    return _basis(k, omega, mu, far) * amounts


def _rod_by_mpmath(hertz, rows, inner=None):
    """Boundary-value problem of a conductor with its return outside: no magnetic field at the inner face."""
    with mp.workdps(30):
        omega = 2 * mp.pi * mp.mpf(hertz)
        rows = [tuple(map(mp.mpf, row)) for row in rows]
        # a solid centre starts as close to the axis as the digits allow, where H still vanishes
        radius = rows[0][0] * mp.mpf("1e-20") if inner is None else mp.mpf(inner)
        fields = mp.matrix([1, 0])
        for row in rows:
            fields = _carry(fields, row, omega, radius, row[0])
            radius = row[0]
        return complex(fields[0] / (2 * mp.pi * radius * fields[1]))


def _shield_by_mpmath(hertz, radius, thickness, conductivity, relative):
    """Boundary-value problem of a tube with its return inside: no magnetic field at the outer face."""
    with mp.workdps(30):
        omega, inner = 2 * mp.pi * mp.mpf(hertz), mp.mpf(radius)
        outer = inner + mp.mpf(thickness)
        layer = (outer, mp.mpf(conductivity), mp.mpf(relative))
        fields = _carry(mp.matrix([1, 0]), layer, omega, outer, inner)
        # seen from inside, the current in the tube runs the other way
        return complex(-fields[0] / (2 * mp.pi * inner * fields[1]))


RODS = {
    "solid copper": ([(0.512e-3, COPPER, 1.0)], None),
    "solid steel": ([(0.512e-3, 5.8e6, 200.0)], None),
    "thick bar": ([(5e-3, COPPER, 1.0)], None),
    "tube": ([(0.512e-3, COPPER, 1.0)], 0.4e-3),
    "thin tube": ([(2.3e-3, 35e6, 1.0)], 2.29e-3),
    "steel tube": ([(5e-3, 5.8e6, 500.0)], 2e-3),
    "8 um on steel of 200": ([(0.504e-3, 5.8e6, 200.0), (0.512e-3, COPPER, 1.0)], None),
    "15 um on steel of 50": ([(0.497e-3, 5.8e6, 50.0), (0.512e-3, COPPER, 1.0)], None),
    "35 um on steel of 500": ([(0.477e-3, 5.8e6, 500.0), (0.512e-3, COPPER, 1.0)], None),
    "clad tube": ([(0.45e-3, 5.8e6, 200.0), (0.512e-3, COPPER, 1.0)], 0.3e-3),
    "three layers": ([(0.4e-3, 5.8e6, 200.0), (0.5e-3, COPPER, 1.0), (0.512e-3, 8.7e6, 1.0)], None),
}

SHIELDS = {
    "foil": (2.286e-3, 9e-6, 35e6, 1.0),
    "foil and braid": (2.286e-3, 137e-6, 35e6, 1.0),
    "thick aluminium": (2.286e-3, 1e-3, 35e6, 1.0),
    "solid copper outer": (3.6e-3, 4e-3, COPPER, 1.0),
    "steel pipe": (10e-3, 2e-3, 5.8e6, 200.0),
}

FREQUENCIES = np.geomspace(1e5, 1e9, 9)


def _agree(got, wanted, within=1e-9):
    for one, other in ((got.real, wanted.real), (got.imag, wanted.imag)):
        if abs(other) >= 1e-6 * abs(wanted):
            assert one == pytest.approx(other, rel=within, abs=0)


@pytest.mark.parametrize("name", RODS)
def test_conductor_against_mpmath(name):
    for hertz, got in zip(FREQUENCIES, _rod(FREQUENCIES, *RODS[name]), strict=True):
        _agree(got, _rod_by_mpmath(hertz, *RODS[name]))


@pytest.mark.parametrize("name", SHIELDS)
def test_shield_against_mpmath(name):
    for hertz, got in zip(FREQUENCIES, _shield(FREQUENCIES, *SHIELDS[name]), strict=True):
        _agree(got, _shield_by_mpmath(hertz, *SHIELDS[name]))


# --- scikit-rf --------------------------------------------------------------------------------------------


def _coaxial(hertz, inside, outside, radius=0.512e-3, **shape):
    """scikit-rf's medium that solves the Bessel equations; conductivity without end makes a conductor perfect."""
    grid = skrf.Frequency.from_f(hertz, unit="Hz")
    # scikit-rf takes the newest measured mu0, we take 4 pi 1e-7: the materials make up for 1.3e-10
    relative = MU0 / skrf.media.coaxial._const.mu_0
    parts = [{"sigma": sigma, "mu_r": relative} for sigma in (inside, outside)]
    return skrf.media.Coaxial(
        grid, Dint=2 * radius, inner_conductor=parts[0], outer_conductor=parts[1], model="schelkunoff", **shape
    )


def _internal(medium, perfect):
    omega = medium.frequency.w
    return medium.R + 1j * omega * (medium.L - perfect.L)


@pytest.mark.parametrize("radius", [0.1e-3, 0.512e-3, 3e-3])
def test_solid_centre_against_scikit_rf(radius):
    hertz = np.geomspace(1e4, 1e10, 61)
    medium, perfect = (_coaxial(hertz, sigma, np.inf, radius, Dout=8e-3) for sigma in (COPPER, np.inf))
    for got, wanted in zip(_wire(hertz, radius), _internal(medium, perfect), strict=True):
        _agree(got, wanted)


@pytest.mark.parametrize("thickness", [9e-6, 137e-6, 1e-3])
def test_tubular_shield_against_scikit_rf(thickness):
    hertz, inner = np.geomspace(1e4, 1e10, 61), 2.286e-3
    shape = {"Dout": 2 * inner, "tout": thickness}
    medium, perfect = (_coaxial(hertz, np.inf, sigma, **shape) for sigma in (35e6, np.inf))
    for got, wanted in zip(_shield(hertz, inner, thickness, 35e6), _internal(medium, perfect), strict=True):
        _agree(got, wanted)


# --- range and shapes -------------------------------------------------------------------------------------


WIDE = np.geomspace(10.0, 1e10, 46)


@pytest.mark.parametrize("name", RODS)
def test_conductors_stay_finite_from_10_hz_to_10_ghz(name):
    found = _rod(WIDE, *RODS[name])
    assert np.all(np.isfinite(found))
    assert np.all(found.real > 0)
    assert np.all(found.imag > 0)


@pytest.mark.parametrize("name", SHIELDS)
def test_shields_stay_finite_from_10_hz_to_10_ghz(name):
    found = _shield(WIDE, *SHIELDS[name])
    assert np.all(np.isfinite(found))
    assert np.all(found.real > 0)


def test_shapes_broadcast():
    hertz = wb.Quantity(np.array([[1.83e6], [3.65e6], [7.1e6]]), "Hz")
    radii = np.array([0.4e-3, 0.512e-3])
    found = wb.conductor_impedance(hertz, _m(radii), _layers((radii - 15e-6, 5.8e6, 200.0), (radii, COPPER, 1.0)))
    walls = wb.shield_impedance(hertz, "2.286 mm", _m(np.array([9e-6, 1e-4])), "35 MS/m")
    assert found.shape == walls.shape == (3, 2)
    one = wb.conductor_impedance(
        "3.65 MHz", _m(radii[1]), _layers((radii[1] - 15e-6, 5.8e6, 200.0), (radii[1], COPPER, 1.0))
    )
    assert found[1, 1].m_as("ohm/m") == pytest.approx(one.m_as("ohm/m"), rel=1e-12)
    wall = wb.shield_impedance("3.65 MHz", "2.286 mm", _m(1e-4), "35 MS/m")
    assert walls[1, 1].m_as("ohm/m") == pytest.approx(wall.m_as("ohm/m"), rel=1e-12)


def test_a_scalar_gives_a_scalar():
    assert np.ndim(wb.conductor_impedance("1.83 MHz", "0.5 mm").magnitude) == 0
    assert np.ndim(wb.shield_impedance("1.83 MHz", "2 mm", "9 um", "35 MS/m").magnitude) == 0


@pytest.mark.parametrize(
    ("x", "printed"),
    [(0.5, "0.999837"), (1, "0.997408"), (2, "0.961135"), (5, "0.555968"), (10, "0.281619"), (100, "0.028283")],
)
def test_internal_inductance_falls_with_frequency_as_worked_out_in_many_digits(assert_printed, x, printed):
    """Over mu0/8 pi, for x = radius sqrt(omega mu sigma)."""
    radius = 1e-3
    omega = x**2 / (radius**2 * MU0 * COPPER)
    inductance = _wire(omega / (2 * np.pi), radius).imag / omega
    assert_printed(inductance / (MU0 / (8 * np.pi)), printed, source="Bessel functions in 30 digits, elsewhere")
