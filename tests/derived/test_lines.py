"""Lines with one end terminated: derived figures for inputs of books, series, and scikit-rf."""

import numpy as np
import pytest
import skrf

import workbook as wb

Q = wb.Quantity
C = 299_792_458.0


def _line(impedance, gamma, hertz):
    """A line that has this impedance and propagation constant at this frequency."""
    series, shunt, omega = gamma * impedance, gamma / impedance, 2 * np.pi * hertz
    return wb.constant_cable(
        Q(np.real(series), "ohm/m"),
        Q(np.imag(series) / omega, "H/m"),
        Q(np.real(shunt), "S/m"),
        Q(np.imag(shunt) / omega, "F/m"),
    )


def _seen(cable, length, hertz, load):
    return wb.input_impedance(cable, Q(length, "m"), Q(hertz, "Hz"), Q(load, "ohm")).m_as("ohm")


# --- impedance, velocity, the four constants --------------------------------------------------------------


def test_phase_constant_with_a_small_loss():
    """Technical memorandum on interferometry: beta = w sqrt(LC) (1 + R^2/8 w^2 L^2), a series broken off there."""
    omega, inductance, capacitance = 2 * np.pi * 1.83e6, 250e-9, 100e-12
    for resistance in (0.1, 0.5):
        line = wb.constant_cable(Q(resistance, "ohm/m"), Q(inductance, "H/m"), "0 S/m", Q(capacitance, "F/m"))
        beta = line.propagation_constant("1.83 MHz").m_as("1/m").imag
        excess = beta / (omega * np.sqrt(inductance * capacitance)) - 1
        term = resistance**2 / (8 * omega**2 * inductance**2)
        # the first term left out is 5/2 of the square of the one kept
        assert excess == pytest.approx(term, abs=3 * term**2)


# --- loss -------------------------------------------------------------------------------------------------


STEARNS = "scikit-rf documentation on a line with complex impedance, after Stearns, 2014"
HERTZ, LOAD = 1.83e6, 4.5 - 1673j


def _stearns_line():
    """402.75 ohm, velocity factor 0.915, 0.095 dB/100 ft, X0 = -R0 alpha/beta: a line whose dielectric is perfect."""
    alpha = 0.095 / 30.48 * np.log(10) / 20
    beta = 2 * np.pi * HERTZ / (0.915 * C)
    # gamma over such an impedance is purely imaginary, so that no rounding makes a conductance
    series = (alpha + 1j * beta) * 402.75 * (1 - 1j * alpha / beta)
    omega = 2 * np.pi * HERTZ
    return wb.constant_cable(
        Q(series.real, "ohm/m"), Q(series.imag / omega, "H/m"), "0 S/m", Q(beta / 402.75 / omega, "F/m")
    )


def _loss_by_swr(matched, magnitude):
    """The textbook formula: total loss [dB] from matched loss [dB] and the load's reflection magnitude."""
    a = 10 ** (matched / 10)
    return 10 * np.log10((a**2 - magnitude**2) / (a * (1 - magnitude**2)))


def test_total_loss_with_a_complex_impedance(assert_printed):
    line = _stearns_line()
    loss = wb.total_loss(line, "100 ft", Q(HERTZ, "Hz"), Q(LOAD, "ohm"))
    assert_printed(loss, "13.275 dB", source=STEARNS)
    seen = _seen(line, 30.48, HERTZ, LOAD)
    assert_printed(seen.real, "5.257", source=STEARNS)
    assert_printed(seen.imag, "-22.998", source=STEARNS)


def test_the_formula_by_swr_is_not_our_answer(assert_printed):
    """With a complex impedance that formula is not valid, and 6 dB off; with the real part alone it says 12.758."""
    impedance = _stearns_line().characteristic_impedance(Q(HERTZ, "Hz")).m_as("ohm")
    wrong = _loss_by_swr(0.095, abs((LOAD - impedance) / (LOAD + impedance)))
    assert_printed(wrong, "7.22", source=f"{STEARNS}; invalid formula")
    half_wrong = _loss_by_swr(0.095, abs((LOAD - 402.75) / (LOAD + 402.75)))
    assert_printed(half_wrong, "12.758", source=f"{STEARNS}; real impedance")
    loss = wb.total_loss(_stearns_line(), "100 ft", Q(HERTZ, "Hz"), Q(LOAD, "ohm")).m_as("dB")
    assert loss - wrong > 6
    assert loss - half_wrong > 0.5


@pytest.mark.parametrize("load", [4.5 - 1673j, 402.75, 50.0, 2000 + 500j, 0.1 + 300j])
@pytest.mark.parametrize("feet", [1.0, 100.0, 333.0])
def test_total_loss_against_scikit_rf(load, feet):
    line = _stearns_line()
    gamma = line.propagation_constant(Q(HERTZ, "Hz")).m_as("1/m")
    impedance = line.characteristic_impedance(Q(HERTZ, "Hz")).m_as("ohm")
    ratio = skrf.tlineFunctions.zl_2_total_loss(impedance, load, gamma * feet * 0.3048)
    loss = wb.total_loss(line, Q(feet, "ft"), Q(HERTZ, "Hz"), Q(load, "ohm")).m_as("dB")
    assert loss == pytest.approx(10 * np.log10(ratio), rel=1e-9)


def test_example_of_the_scikit_rf_documentation(assert_printed):
    """Its inputs; 0.6094 dB and 373.59 W were worked out from them for this project."""
    source = "inputs of the scikit-rf documentation on power into a cable; figures worked out independently"
    alpha = 1.483 / 100 * np.log(10) / 20
    line = _line(50.0, alpha + 2j * np.pi * 13.56e6 / (0.84 * C), 13.56e6)
    loss = wb.total_loss(line, "20 m", "13.56 MHz", Q(200 - 30j, "ohm"))
    assert_printed(loss, "0.6094 dB", source=source)
    matched = wb.total_loss(line, "20 m", "13.56 MHz", "50 ohm").m_as("dB")
    assert_printed(400 / 10 ** (matched / 10), "373.59", source=source)


@pytest.mark.parametrize(
    ("matched", "swr", "total"), [(1.0, 3.0, "1.5039"), (0.5, 2.0, "0.6102"), (1.0, 5.0, "2.1235")]
)
@pytest.mark.parametrize("inverted", [False, True])
def test_where_the_impedance_is_real_the_formula_by_swr_holds(assert_printed, matched, swr, total, inverted):
    source = "extra loss by standing waves, any antenna handbook; digits worked out independently"
    line = _line(50.0, matched / 100 * np.log(10) / 20 + 0.37j, 10e6)
    loss = wb.total_loss(line, "100 m", "10 MHz", Q(50 / swr if inverted else 50 * swr, "ohm"))
    assert_printed(loss, f"{total} dB", source=source)
    assert_printed(_loss_by_swr(matched, (swr - 1) / (swr + 1)), total, source=source)


# --- inputs of books whose answers were not seen: two independent calculations against each other -----------


def test_inputs_of_bird_44_10(assert_printed):
    source = "inputs of Bird, example 44.10; figures worked out independently"
    line = wb.constant_cable("8 mohm/m", "3 uH/m", "0.25 nS/m", "7.5 pF/m")
    impedance = line.characteristic_impedance("1 kHz").m_as("ohm")
    gamma = line.propagation_constant("1 kHz").m_as("1/m") * 1e3
    assert_printed(abs(impedance), "659.19", source=source)
    assert_printed(np.degrees(np.angle(impedance)), "-11.347", source=source)
    assert_printed(gamma.real, "0.006273", source=source)
    assert_printed(gamma.imag, "0.030424", source=source)
    assert_printed(line.velocity_factor("1 kHz") * C / 1e6, "206.52", source=source)


def test_inputs_of_bird_44_02_and_44_08(assert_printed):
    source = "inputs of Bird, problems 44.02 and 44.08; figures worked out independently"
    line = wb.constant_cable("0 ohm/m", "4 uH/m", "0 S/m", "4 pF/m")
    assert_printed(line.propagation_constant("1 kHz").m_as("1/m").imag * 1e3, "0.02513", source=source)
    assert_printed(line.velocity_factor("1 kHz") * C / 1e3, "2.500e5", source=source)
    line = wb.constant_cable("0 ohm/m", "0.5 uH/m", "0 S/m", "120 pF/m")
    assert_printed(line.nominal_impedance, "64.55 ohm", source=source)
    assert_printed(line.propagation_constant("400 kHz").m_as("1/m").imag * 1e3, "19.47", source=source)
    assert_printed(line.velocity_factor("400 kHz") * C / 400e3, "322.7", source=source)
    assert_printed(line.velocity_factor("400 kHz") * C / 1e3, "1.291e5", source=source)


# --- delay and length -------------------------------------------------------------------------------------


def test_delay_and_phase():
    """The contract's sign and size: 360 f tau, later is positive."""
    assert wb.phase_of_delay("100 ns", "1.83 MHz").m_as("degree") == pytest.approx(65.88, rel=1e-12)
    assert wb.phase_of_delay("-100 ns", "1.83 MHz").m_as("degree") == pytest.approx(-65.88, rel=1e-12)
