"""Copper on steel: what a right model of two layers must show."""

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
C, MU0 = 299_792_458.0, 4e-7 * np.pi
COPPER, STEEL, STEEL_MU = 58.0e6, 5.8e6, 200.0
DESIGN_CARD = "the project's design card, 71 degrees at 1.83 MHz"


# --- loss against a measurement ---------------------------------------------------------------------------


def test_some_thirty_micrometres_lose_less_than_solid_copper_near_7_mhz():
    """Real, and known of clad conductors about a skin depth thick (24.5 um here); away from there it is not so."""
    solid, clad = wb.cable("series-6-copper"), wb.cable("series-6-clad").with_cladding("30 um")
    ratio = {f: clad.attenuation(f) / solid.attenuation(f) for f in ("1.83 MHz", "7.1 MHz", "100 MHz")}
    assert 0.95 < ratio["7.1 MHz"] < 1.0
    assert ratio["1.83 MHz"] > 1.2
    assert ratio["100 MHz"] == pytest.approx(1.0, abs=0.005)


def test_the_steel_s_permeability_hardly_matters():
    """15.2 um at 1.83 MHz: permeability 50 to 500 moves the loss by less than 6 % (two-layer model by others)."""
    hertz = 2 * np.pi * 1.83e6
    low, high = (_drop_cable(hertz, 15.2e-6, mu)[0].real for mu in (50.0, 500.0))
    assert abs(high / low - 1) < 0.06


# --- length against the design card -----------------------------------------------------------------------


RADIUS, OUTER = 0.0403 * 0.0254 / 2, 0.180 * 0.0254 / 2


def _drop_cable(omega, cladding, mu=STEEL_MU):
    """Propagation constant and impedance of a Series 6 cable with a thick aluminium shield, from public parts."""
    hertz, radius = Q(omega / (2 * np.pi), "Hz"), Q(RADIUS, "m")
    layers = [(radius, Q(COPPER, "S/m"), 1.0)]
    if cladding:
        layers.insert(0, (Q(RADIUS - cladding, "m"), Q(STEEL, "S/m"), mu))
    inside = wb.conductor_impedance(hertz, radius, layers) + wb.shield_impedance(
        hertz, Q(OUTER, "m"), "3 mm", "35 MS/m"
    )
    external = MU0 / (2 * np.pi) * np.log(OUTER / RADIUS)
    series = inside.m_as("ohm/m") + 1j * omega * external
    shunt = 1j * omega / (external * (0.85 * C) ** 2)
    return np.sqrt(series * shunt), np.sqrt(series / shunt)


@pytest.mark.parametrize(
    ("cladding", "printed"),
    [(None, "26.911"), (35e-6, "27.114"), (20e-6, "27.166"), (10e-6, "27.094"), (8e-6, "27.016")],
)
def test_lengths_of_the_design_card(assert_printed, cladding, printed):
    gamma, _ = _drop_cable(2 * np.pi * 1.83e6, cladding)
    assert_printed(np.radians(71) / gamma.imag, printed, source=DESIGN_CARD)


def test_velocity_has_its_maximum_inside_the_range():
    least, _, greatest = wb.cable("series-6-clad").span("velocity_factor", "1.83 MHz")
    ends = [wb.cable("series-6-clad").with_cladding(t).velocity_factor("1.83 MHz") for t in ("8 um", "35 um")]
    assert greatest > max(ends) * 1.001
    assert least <= min(ends) * (1 + 1e-12)
