"""Every bundled cable against what must hold for any cable, and against fits done again from its points."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import nnls

import workbook as wb
from workbook.line.models import TableModel

C = 299_792_458.0
FOLDER = Path(__file__).parents[2] / "cable_data"

RECORDS = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.toml"))}
TABLED = {name: record for name, record in RECORDS.items() if "table" in record}

every_cable = pytest.mark.parametrize("name", RECORDS)


# --- what any cable must do -------------------------------------------------------------------------------


WIDE = wb.Quantity(np.geomspace(1e4, 1e9, 101), "Hz")


@every_cable
def test_loss_rises_with_frequency(name):
    assert np.all(np.diff(wb.cable(name).attenuation(WIDE).m_as("dB/m")) > 0)


@every_cable
def test_the_line_is_passive(name):
    """Series resistance Re(Zc gamma) is above zero, shunt conductance Re(gamma/Zc) not below it."""
    gamma = wb.cable(name).propagation_constant(WIDE).m_as("1/m")
    impedance = wb.cable(name).characteristic_impedance(WIDE).m_as("ohm")
    assert np.all((impedance * gamma).real > 0)
    assert np.all((gamma / impedance).real >= 0)
    assert np.all(gamma.real > 0)
    assert np.all(gamma.imag > 0)


@every_cable
def test_the_nominal_velocity_factor_is_the_limit_at_high_frequency(name):
    velocity = wb.cable(name).velocity_factor(WIDE)
    nominal = RECORDS[name]["nominal_velocity_factor"]["value"]
    assert np.all(velocity < nominal)
    assert velocity[-1] == pytest.approx(nominal, rel=0.003)


@pytest.mark.parametrize(("frequency", "printed"), [("1.83 MHz", "0.833"), ("3.65 MHz", "0.838")])
def test_velocity_factor_of_the_design_card(assert_printed, frequency, printed):
    source = "the project's design card, solid-copper Series 6"
    assert_printed(wb.cable("series-6-copper").velocity_factor(frequency), printed, source=source)


@every_cable
def test_network_has_the_loss_of_the_line_between_its_own_impedance(name):
    """What leaves for scikit-rf is passive, reciprocal, and has the loss of the cable between its own impedance."""
    network = wb.cable(name).network(wb.Quantity(np.array([1.83e6, 3.65e6, 50e6]), "Hz"), "37 m")
    assert network.is_passive()
    assert network.is_reciprocal()
    network.renormalize(
        wb.cable(name).characteristic_impedance(wb.Quantity(network.f, "Hz")).m_as("ohm"), s_def="traveling"
    )
    through = -20 * np.log10(np.abs(network.s[:, 1, 0]))
    wanted = wb.cable(name).attenuation(wb.Quantity(network.f, "Hz")).m_as("dB/m") * 37
    assert through == pytest.approx(wanted, rel=1e-6)


# --- cables told by a table alone ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", TABLED)
def test_the_terms_of_a_table_are_the_fit_of_its_points(name):
    """The fit is done again from the raw points: least relative error, no term below zero."""
    record = TABLED[name]
    mhz, loss = np.array(
        [
            (wb.quantity(point["frequency"]).m_as("MHz"), wb.quantity(point["loss"]).m_as("dB/m"))
            for point in record["attenuation"]
        ]
    ).T
    terms, _ = nnls(np.stack((np.ones_like(mhz), np.sqrt(mhz), mhz), axis=1) / loss[:, None], np.ones_like(mhz))
    for key, term in zip(("dc", "skin", "dielectric"), terms, strict=True):
        assert wb.quantity(record["table"][key]["value"]).m_as("dB/m") == pytest.approx(term, rel=2e-3)


@pytest.mark.parametrize("name", TABLED)
def test_a_table_is_an_estimate_below_its_points(name):
    cable = wb.cable(name)
    lowest = min(wb.quantity(point["frequency"]) for point in TABLED[name]["attenuation"])
    assert cable.estimated_below == lowest
    assert any("estimated" in sentence and f"{lowest:~P}" in sentence for sentence in cable.unknown)


@pytest.mark.parametrize("name", ["rg-58-solid-pe", "rg-213-solid-pe", "series-6-copper"])
def test_table_of_a_built_cable_s_loss_has_its_velocity(name):
    """Loss and dispersion belong together: three terms fitted to the loss alone give the velocity of the construction.

    Where the skin term had no reactance, the velocity factor would be 0.4 to 1 % off at 10 MHz.
    """
    cable = wb.cable(name)
    hertz = np.geomspace(10e6, 300e6, 30)
    loss = cable.attenuation(wb.Quantity(hertz, "Hz")).m_as("Np/m")
    (dc, skin, dielectric), _ = nnls(
        np.stack((np.ones_like(hertz), np.sqrt(hertz), hertz), axis=1) / loss[:, None], np.ones_like(hertz)
    )
    impedance = cable.characteristic_impedance("1 GHz").m_as("ohm").real
    table = TableModel(impedance, cable.nominal_velocity_factor, dc, skin, dielectric)
    omega = 2 * np.pi * hertz
    series, shunt = table.per_metre(omega)
    velocity = omega / np.sqrt(series * shunt).imag / C
    assert velocity == pytest.approx(cable.velocity_factor(wb.Quantity(hertz, "Hz")), rel=1e-3)


@pytest.mark.parametrize("name", [name for name, record in RECORDS.items() if "centre" in record])
def test_series_resistance_at_low_frequency_is_the_loop_resistance(name):
    """Zc gamma is the series impedance; at 1 mHz its real part is what an ohmmeter reads on the shorted cable."""
    cable = wb.cable(name)
    series = cable.propagation_constant("1 mHz").m_as("1/m") * cable.characteristic_impedance("1 mHz").m_as("ohm")
    assert series.real == pytest.approx(cable.loop_resistance.m_as("ohm/m"), rel=1e-3)
