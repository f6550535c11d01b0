"""What a cable answers beyond its published points: claddings, spans, measured velocity factors, networks."""

import dataclasses
import math
import pickle

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped

Q = wb.Quantity
C = 299_792_458.0
CLAD = ["series-6-clad", "series-11-clad"]
SPANNED = ["attenuation", "velocity_factor", "characteristic_impedance"]


def plain(answer):
    return getattr(answer, "magnitude", answer)


@pytest.mark.parametrize("name", wb.cables())
def test_gamma_impedance_loss_and_velocity_agree(name):
    cable, frequency = wb.cable(name), Q([0.1, 1.83, 30, 1000], "MHz")
    gamma = cable.propagation_constant(frequency).m_as("1/m")
    assert np.all(gamma.real > 0)
    assert np.all(gamma.imag > 0)
    assert cable.attenuation(frequency).m_as("dB/m") == pytest.approx(gamma.real * 20 / math.log(10), rel=1e-14)
    omega = 2 * math.pi * frequency.m_as("Hz")
    assert cable.velocity_factor(frequency) == pytest.approx(omega / (gamma.imag * C), rel=1e-14)
    assert np.all(cable.characteristic_impedance(frequency).m_as("ohm").real > 0)
    assert 0 < cable.nominal_velocity_factor <= 1
    assert cable.loop_resistance.m_as("ohm/m") > 0


@pytest.mark.parametrize("name", wb.cables())
@pytest.mark.parametrize("megahertz", [0.1, 1.83, 7, 100])
def test_group_velocity_is_the_slope_of_the_phase(name, megahertz):
    """Against a plain central difference of the phase constant."""
    cable, step = wb.cable(name), 1e-4
    beta = cable.propagation_constant(Q([megahertz * (1 - step), megahertz * (1 + step)], "MHz")).m_as("1/m").imag
    by_hand = 2 * math.pi * 2 * step * megahertz * 1e6 / (beta[1] - beta[0]) / C
    assert cable.group_velocity_factor(Q(megahertz, "MHz")) == pytest.approx(by_hand, rel=1e-6)


def test_in_an_ideal_cable_every_velocity_is_the_same():
    cable = wb.ideal_cable("75 ohm", 0.66)
    assert cable.velocity_factor("1.83 MHz") == pytest.approx(0.66, rel=1e-14)
    assert cable.group_velocity_factor("1.83 MHz") == pytest.approx(0.66, rel=1e-10)
    assert cable.attenuation("1.83 MHz").m_as("dB/m") == 0
    assert cable.characteristic_impedance("1.83 MHz").m_as("ohm") == pytest.approx(75, rel=1e-14)
    assert cable.nominal_velocity_factor == 0.66
    assert cable.nominal_impedance.m_as("ohm") == 75
    assert cable.loop_resistance.m_as("ohm/m") == 0
    assert wb.ideal_cable("75 ohm", 1).velocity_factor("1 MHz") == pytest.approx(1, rel=1e-14)


def test_a_constant_cable_by_hand():
    """At 1 MHz, w = 6.283e6: Z = 0.1 + j1.5708, Y = 1e-6 + j4.1888e-4 (66.667 pF/m), in ordinary arithmetic."""
    cable = wb.constant_cable("0.1 ohm/m", "0.25 uH/m", "1 uS/m", Q(200 / 3, "pF/m"))
    series, shunt = complex(0.1, 2 * math.pi * 0.25), complex(1e-6, 2 * math.pi * 1e6 * 200e-12 / 3)
    gamma, impedance = cable.propagation_constant("1 MHz"), cable.characteristic_impedance("1 MHz")
    assert gamma.m_as("1/m") ** 2 == pytest.approx(series * shunt, rel=1e-13)
    assert impedance.m_as("ohm") ** 2 == pytest.approx(series / shunt, rel=1e-13)
    assert cable.nominal_impedance.m_as("ohm") == pytest.approx(math.sqrt(0.25e-6 / (200e-12 / 3)), rel=1e-13)
    assert cable.loop_resistance.m_as("ohm/m") == pytest.approx(0.1)


@pytest.mark.parametrize("name", CLAD)
def test_a_clad_cable_answers_for_its_typical_cladding(name):
    cable = wb.cable(name)
    typical = cable.record.centre.cladding.typical.value
    at_it = cable.with_cladding(typical)
    assert at_it.attenuation("1.83 MHz") == cable.attenuation("1.83 MHz")
    assert at_it.velocity_factor("1.83 MHz") == cable.velocity_factor("1.83 MHz")
    assert at_it.loop_resistance == cable.loop_resistance
    thin = cable.with_cladding("8 um")
    assert thin.attenuation("1.83 MHz") > cable.attenuation("1.83 MHz")
    assert thin.loop_resistance > cable.loop_resistance
    assert (thin.name, thin.nominal_velocity_factor) == (cable.name, cable.nominal_velocity_factor)
    assert wb.cable(name).attenuation("1.83 MHz") == cable.attenuation("1.83 MHz")


@pytest.mark.parametrize("name", CLAD)
def test_a_cladding_as_thick_as_the_radius_is_solid_copper(name):
    cable, solid = wb.cable(name), wb.cable(name.replace("clad", "copper"))
    almost = cable.with_cladding(cable.record.centre.diameter.value / 2 * 0.999)
    assert almost.attenuation("30 MHz").m_as("dB/m") == pytest.approx(
        solid.attenuation("30 MHz").m_as("dB/m"), rel=1e-4
    )


@pytest.mark.parametrize("name", CLAD)
@pytest.mark.parametrize("quantity", SPANNED)
def test_a_span_rises_and_its_typical_value_is_the_cable_s(name, quantity):
    cable, frequency = wb.cable(name), Q([0.5, 1.83, 3.65, 30], "MHz")
    least, typical, greatest = cable.span(quantity, frequency)
    assert np.all(plain(typical) == plain(getattr(cable, quantity)(frequency)))
    assert np.all(np.abs(plain(least)) <= np.abs(plain(typical)))
    assert np.all(np.abs(plain(typical)) <= np.abs(plain(greatest)))
    one = cable.span(quantity, "1.83 MHz")
    assert [plain(x) for x in one] == pytest.approx([plain(x)[1] for x in (least, typical, greatest)], rel=1e-12)


@pytest.mark.parametrize("name", CLAD)
def test_the_span_of_one_cladding_is_that_of_the_steel(name):
    cable = wb.cable(name)
    one = cable.with_cladding("20 um")
    least, typical, greatest = one.span("velocity_factor", "1.83 MHz")
    assert typical == one.velocity_factor("1.83 MHz")
    whole = cable.span("velocity_factor", "1.83 MHz")
    assert greatest - least < whole[2] - whole[0]
    assert whole[0] <= least <= greatest <= whole[2] + 1e-9


@pytest.mark.parametrize("quantity", SPANNED)
def test_the_span_of_a_cable_without_range_is_three_equal_values(quantity):
    for cable in (wb.cable("series-6-copper"), wb.ideal_cable("75 ohm", 0.66)):
        least, typical, greatest = cable.span(quantity, "1.83 MHz")
        assert least == typical == greatest == getattr(cable, quantity)("1.83 MHz")


def test_a_measured_velocity_factor_holds_at_its_frequency_and_scales_the_model():
    cable = wb.cable("series-6-copper")
    measured = cable.with_velocity_factor(0.82, "1.83 MHz")
    assert measured.velocity_factor("1.83 MHz") == pytest.approx(0.82, rel=1e-14)
    ratio = 0.82 / cable.velocity_factor("1.83 MHz")
    frequency = Q([0.5, 3.65, 100], "MHz")
    assert measured.velocity_factor(frequency) == pytest.approx(cable.velocity_factor(frequency) * ratio, rel=1e-13)
    assert measured.group_velocity_factor("7 MHz") == pytest.approx(
        cable.group_velocity_factor("7 MHz") * ratio, rel=1e-9
    )
    assert measured.nominal_velocity_factor == cable.nominal_velocity_factor
    again = measured.with_velocity_factor(0.84, "7 MHz")
    assert again.velocity_factor("7 MHz") == pytest.approx(0.84, rel=1e-14)
    assert again.attenuation("7 MHz") == cable.attenuation("7 MHz")
    assert cable.velocity_factor("1.83 MHz") != pytest.approx(0.82, rel=1e-4)


@pytest.mark.parametrize("port", ["50 ohm", "75 ohm"])
def test_a_network_is_the_length_of_line(port):
    """Scattering of a line between equal ports, written out: Gamma (1 - e^-2gl)/(1 - Gamma^2 e^-2gl) and so on."""
    cable, frequency, length = wb.cable("series-6-copper"), Q([1.83, 3.65, 30], "MHz"), Q(25, "m")
    network = cable.network(frequency, length, port)
    assert network.f.tolist() == frequency.m_as("Hz").tolist()
    assert network.z0 == pytest.approx(np.full((3, 2), wb.quantity(port).m_as("ohm")))
    gamma, zc = cable.propagation_constant(frequency).m_as("1/m"), cable.characteristic_impedance(frequency).m_as("ohm")
    rho = (zc - wb.quantity(port).m_as("ohm")) / (zc + wb.quantity(port).m_as("ohm"))
    through = np.exp(-gamma * 25)
    below = 1 - rho**2 * through**2
    assert network.s[:, 0, 0] == pytest.approx(rho * (1 - through**2) / below, abs=1e-12)
    assert network.s[:, 1, 0] == pytest.approx((1 - rho**2) * through / below, abs=1e-12)


def test_a_network_has_50_ohm_ports_and_the_cable_s_name():
    network = wb.cable("series-6-copper").network("1.83 MHz", "10 m")
    assert network.z0.tolist() == [[50, 50]]
    assert network.name == "series-6-copper"
    assert network.nports == 2


def test_a_cable_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        wb.cable("series-6-copper").name = "mine"


def test_no_layers_are_solid_copper():
    layers = [("0.5 mm", "58 MS/m", 1)]
    assert wb.conductor_impedance("1.83 MHz", "0.5 mm", layers) == wb.conductor_impedance("1.83 MHz", "0.5 mm")


def test_a_layer_of_the_same_metal_changes_nothing():
    whole = wb.conductor_impedance("1.83 MHz", "0.5 mm").m_as("ohm/m")
    parts = [("0.2 mm", "58 MS/m", 1), ("0.4 mm", "58 MS/m", 1), ("0.5 mm", "58 MS/m", 1)]
    assert wb.conductor_impedance("1.83 MHz", "0.5 mm", parts).m_as("ohm/m") == pytest.approx(whole, rel=1e-10)


# --- lengths ----------------------------------------------------------------------------------------------


def test_delay_phase_and_length_by_hand():
    """A quarter wave of 1.83 MHz at velocity factor 0.66 is c 0.66/(4 x 1.83e6) = 27.0305 m."""
    assert wb.physical_length("90 deg", "1.83 MHz", 0.66).m_as("m") == pytest.approx(C * 0.66 / 4 / 1.83e6, rel=1e-14)
    assert wb.electrical_length(Q(C * 0.66 / 1.83e6, "m"), "1.83 MHz", 0.66).m_as("degree") == pytest.approx(360)
    assert wb.delay_length("100 ns", 0.66).m_as("m") == pytest.approx(C * 0.66 * 1e-7, rel=1e-14)
    assert wb.phase_of_delay("100 ns", "1.83 MHz").m_as("degree") == pytest.approx(65.88, rel=1e-14)
    assert wb.phase_of_delay("-1 us", "1.83 MHz").m_as("degree") == pytest.approx(-658.8, rel=1e-14)


def test_lengths_are_not_wrapped():
    assert wb.electrical_length("1 km", "30 MHz", 0.66).m_as("degree") == pytest.approx(360 * 30e9 / (0.66 * C))
    assert wb.physical_length("7200 deg", "30 MHz", 0.66).m_as("m") == pytest.approx(20 * 0.66 * C / 30e6)


def test_zero_length_has_zero_delay_phase_and_loss():
    assert wb.electrical_length("0 m", "1.83 MHz", 0.66).m_as("degree") == 0
    assert wb.physical_length("0 deg", "1.83 MHz", 0.66).m_as("m") == 0
    assert wb.delay_length("0 ns", 0.66).m_as("m") == 0
    assert wb.total_loss(wb.cable("series-6-copper"), "0 m", "1.83 MHz", "50 ohm").m_as("dB") == 0


def test_a_cable_may_be_given_for_its_velocity_factor():
    cable = wb.cable("series-6-clad")
    v = cable.velocity_factor("1.83 MHz")
    for call in (
        lambda x: wb.electrical_length("10 m", "1.83 MHz", x),
        lambda x: wb.physical_length("71 deg", "1.83 MHz", x),
        lambda x: wb.delay_length("38 ns", x, "1.83 MHz"),
    ):
        assert plain(call(cable)) == pytest.approx(plain(call(v)), rel=1e-14)


@pytest.mark.parametrize("far_end", ["open", "short"])
@pytest.mark.parametrize("name", [*wb.cables(), "constant"])
@pytest.mark.parametrize("metres", [0.5, 12, 150])
def test_the_check_frequency_is_the_lowest_low_resistance_crossing(name, far_end, metres):
    """Seen on a fine sweep of the input impedance: none below, and nothing left of the reactance there."""
    cable = wb.cable(name) if name != "constant" else wb.constant_cable("0.2 ohm/m", "0.3 uH/m", "2 uS/m", "70 pF/m")
    load = Q(math.inf if far_end == "open" else 0, "ohm")
    found = wb.check_frequency(cable, Q(metres, "m"), far_end).m_as("Hz")
    at_it = wb.input_impedance(cable, Q(metres, "m"), Q(found, "Hz"), load).m_as("ohm")
    assert abs(at_it.imag) < 1e-8 * abs(cable.characteristic_impedance(Q(found, "Hz")).m_as("ohm"))
    # from a third below: an open line is capacitive all the way up, a shorted one beyond its quarter wave
    below = np.linspace(0.67, 0.9999, 200) * found
    reactance = wb.input_impedance(cable, Q(metres, "m"), Q(below, "Hz"), load).m_as("ohm").imag
    assert np.all(reactance < 0)
    if far_end == "open":
        low = np.linspace(0.01, 0.67, 200) * found
        assert np.all(wb.input_impedance(cable, Q(metres, "m"), Q(low, "Hz"), load).m_as("ohm").imag < 0)


def test_a_pair_of_connectors_lowers_the_check_frequency_like_cable_of_their_delay():
    cable = wb.ideal_cable("75 ohm", 0.66)
    fitted = wb.check_frequency(cable, "10 m", connector_delay="2 ns")
    longer = Q(10, "m") + wb.delay_length("4 ns", 0.66)
    assert fitted.m_as("Hz") == pytest.approx(wb.check_frequency(cable, longer).m_as("Hz"), rel=1e-12)
    back = wb.length_from_check_frequency(cable, fitted, connector_delay="2 ns")
    assert back.m_as("m") == pytest.approx(10, rel=1e-12)


def test_connectors_longer_than_the_line_are_refused(refused):
    cable = wb.cable("series-6-copper")
    refused(lambda: wb.length_from_check_frequency(cable, "5 MHz", connector_delay="30 ns"), "connector_delay")


def test_unknown_names_a_shield_known_only_as_a_range(tmp_path, monkeypatch):
    """Design card: a record without shield resistance says "low-band loss uncertain" and carries a range."""
    text = (shipped("cable_data") / "series-6-copper.toml").read_text()
    spread = "\n".join(
        f'dc_resistance_range.{end} = {{ value = "{ohm} ohm/1000 ft", source = "data-sheets" }}'
        for end, ohm in (("least", 3.5), ("typical", 4.5), ("greatest", 9.5))
    )
    line = 'dc_resistance = { value = "4.5 ohm/1000 ft", source = "data-sheets" }'
    assert text.count(line) == 1
    (tmp_path / "barn-cable.toml").write_text(text.replace(line, spread))
    monkeypatch.setenv("FEEDLINE_WORKBOOK_CABLES", str(tmp_path))
    cable = wb.cable("barn-cable")
    assert any("low-band loss uncertain" in sentence for sentence in cable.unknown)
    assert cable.attenuation("1.84 MHz") == wb.cable("series-6-copper").attenuation("1.84 MHz")


# --- shown and sent ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", wb.cables())
def test_a_cable_survives_pickling(name):
    cable = wb.cable(name).with_velocity_factor(0.7, "1.83 MHz")
    again = pickle.loads(pickle.dumps(cable))
    assert again == cable
    assert again.attenuation("1.83 MHz") == cable.attenuation("1.83 MHz")


@pytest.mark.parametrize("cable", [wb.constant_cable("0 ohm/m", "0.3 uH/m", "0 S/m", "70 pF/m"), wb.cables()[0]])
def test_a_cable_is_shown_on_one_line_and_as_a_card(cable):
    shown = wb.cable(cable) if isinstance(cable, str) else cable
    assert "\n" not in repr(shown)
    assert len(repr(shown)) < 100
    assert shown.name in repr(shown)
    assert shown.name in shown._repr_html_()


def test_a_cable_of_several_nominal_values_is_shown_by_their_count():
    assert repr(wb.ideal_cable(Q([50, 75], "ohm"), 0.66)) == "Cable('ideal', 2 nominal values)"


def test_a_card_is_escaped():
    assert "<b>&lt;i&gt;" in dataclasses.replace(wb.ideal_cable("75 ohm", 1), name="<i>")._repr_html_()


@pytest.mark.parametrize("model", [None, "coax", 5, object()])
def test_a_cable_rejects_what_is_not_a_model(model):
    with pytest.raises(wb.InputError, match="model: "):
        wb.Cable("a", model, 0.66, Q(75, "ohm"))
