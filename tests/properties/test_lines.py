"""What physics demands of any line."""

import dataclasses
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

import workbook as wb

sys.path.insert(0, str(Path(__file__).parent))
from strategies import (
    Q,
    any_cables,
    bundled_cables,
    clad_cables,
    delays,
    frequencies,
    ideal_cables,
    lengths,
    loads,
    lossy_cables,
    low_bands,
    often,
    passive_cables,
    seldom,
    velocity_factors,
)

C = 299_792_458.0
OPEN = Q(math.inf, "ohm")


def ohms(quantity):
    return quantity.m_as("ohm")


# --- impedance --------------------------------------------------------------------------------------------


@often
@given(ideal_cables, frequencies, loads)
def test_a_quarter_wave_inverts(cable, frequency, load):
    quarter = wb.physical_length("90 deg", frequency, cable)
    seen = wb.input_impedance(cable, quarter, frequency, load)
    assert ohms(seen) * ohms(load) == pytest.approx(ohms(cable.nominal_impedance) ** 2, rel=1e-9)


@often
@given(ideal_cables, frequencies, loads, st.integers(1, 5))
def test_half_waves_repeat(cable, frequency, load, halves):
    length = wb.physical_length(Q(180 * halves, "deg"), frequency, cable)
    assert ohms(wb.input_impedance(cable, length, frequency, load)) == pytest.approx(ohms(load), rel=1e-9)


@often
@given(any_cables, frequencies, lengths)
def test_its_own_impedance_goes_through_unchanged(cable, frequency, length):
    own = cable.characteristic_impedance(frequency)
    assert ohms(wb.input_impedance(cable, length, frequency, own)) == pytest.approx(ohms(own), rel=1e-9)


@often
@given(any_cables, frequencies, lengths, lengths, loads)
def test_two_lengths_in_a_row_are_one(cable, frequency, near, far, load):
    whole = wb.input_impedance(cable, near + far, frequency, load)
    behind = wb.input_impedance(cable, far, frequency, load)
    assert ohms(wb.input_impedance(cable, near, frequency, behind)) == pytest.approx(ohms(whole), rel=1e-6)


@often
@given(any_cables, frequencies, lengths)
def test_open_and_short_tell_the_characteristic_impedance(cable, frequency, length):
    opened, shorted = (ohms(wb.input_impedance(cable, length, frequency, load)) for load in (OPEN, Q(0, "ohm")))
    assert opened * shorted == pytest.approx(ohms(cable.characteristic_impedance(frequency)) ** 2, rel=1e-6)


@often
@given(any_cables, frequencies, lengths, loads)
def test_a_passive_load_stays_passive(cable, frequency, length, load):
    seen = ohms(wb.input_impedance(cable, length, frequency, load))
    assert seen.real > -1e-9 * abs(seen)


# --- power ------------------------------------------------------------------------------------------------


@often
@given(ideal_cables, frequencies, lengths, loads)
def test_a_lossless_line_loses_nothing(cable, frequency, length, load):
    assert wb.total_loss(cable, length, frequency, load).m_as("dB") == pytest.approx(0, abs=1e-6)


@often
@given(ideal_cables, frequencies, lengths)
def test_a_lossless_network_conserves_power(cable, frequency, length):
    s = cable.network(frequency, length).s[0]
    assert s.conj().T @ s == pytest.approx(np.eye(2), abs=1e-9)


@often
@given(any_cables, frequencies, lengths, loads)
def test_total_loss_is_the_power_that_goes_in_over_what_comes_out(cable, frequency, length, load):
    """By the voltage and current at both ends instead, from the two-port's chain matrix."""
    gamma, zc = cable.propagation_constant(frequency).m_as("1/m"), ohms(cable.characteristic_impedance(frequency))
    gl = gamma * length.m_as("m")
    assume(gl.real < 3)
    voltage, current = ohms(load), 1.0
    near_voltage = np.cosh(gl) * voltage + zc * np.sinh(gl) * current
    near_current = np.sinh(gl) / zc * voltage + np.cosh(gl) * current
    ratio = (near_voltage * np.conj(near_current)).real / (voltage * np.conj(current)).real
    assume(ratio > 0)
    by_hand = 10 * math.log10(ratio)
    assert wb.total_loss(cable, length, frequency, load).m_as("dB") == pytest.approx(by_hand, abs=1e-6)


@often
@given(lossy_cables, frequencies, lengths)
def test_a_matched_line_loses_its_attenuation(cable, frequency, length):
    own = cable.characteristic_impedance(frequency)
    matched = (cable.attenuation(frequency) * length).m_as("dB")
    assert wb.total_loss(cable, length, frequency, own).m_as("dB") == pytest.approx(matched, rel=1e-9, abs=1e-12)


@often
@given(passive_cables, frequencies, lengths, loads)
def test_no_line_gains(cable, frequency, length, load):
    assert wb.total_loss(cable, length, frequency, load).m_as("dB") > -1e-6


@often
@given(any_cables, frequencies, lengths)
def test_a_network_is_the_same_both_ways(cable, frequency, length):
    s = cable.network(frequency, length, "75 ohm").s[0]
    assert s[0, 1] == pytest.approx(s[1, 0], rel=1e-12)
    assert s[0, 0] == pytest.approx(s[1, 1], rel=1e-9, abs=1e-12)


@often
@given(passive_cables, frequencies, lengths)
def test_a_network_gives_no_power(cable, frequency, length):
    """All but a cable of measured velocity, whose phase and impedance come from two places."""
    assert np.linalg.norm(cable.network(frequency, length, "75 ohm").s[0], 2) <= 1 + 1e-9


# --- length, delay, phase ---------------------------------------------------------------------------------


@often
@given(delays, velocity_factors, frequencies)
def test_delay_to_length_to_phase_to_delay(delay, v, frequency):
    length = wb.delay_length(delay, v)
    phase = wb.electrical_length(length, frequency, v)
    assert phase.m_as("degree") == pytest.approx(wb.phase_of_delay(delay, frequency).m_as("degree"), rel=1e-12)
    assert wb.physical_length(phase, frequency, v).m_as("m") == pytest.approx(length.m_as("m"), rel=1e-12)


@often
@given(delays, any_cables, frequencies)
def test_the_same_through_a_cable(delay, cable, frequency):
    length = wb.delay_length(delay, cable, frequency)
    phase = wb.electrical_length(length, frequency, cable)
    assert phase.m_as("degree") == pytest.approx(wb.phase_of_delay(delay, frequency).m_as("degree"), rel=1e-12)
    assert wb.physical_length(phase, frequency, cable).m_as("m") == pytest.approx(length.m_as("m"), rel=1e-12)


@often
@given(any_cables, frequencies, lengths, st.floats(1.001, 10))
def test_more_cable_is_more_of_everything(cable, frequency, length, factor):
    longer = length * factor
    assert wb.electrical_length(longer, frequency, cable) > wb.electrical_length(length, frequency, cable)
    assert cable.attenuation(frequency) * longer >= cable.attenuation(frequency) * length
    assert abs(cable.network(frequency, longer, "75 ohm").s[0, 1, 0]) <= 1 + 1e-9
    own = cable.characteristic_impedance(frequency)
    near, far = (wb.total_loss(cable, x, frequency, own).m_as("dB") for x in (length, longer))
    assert far >= near - 1e-9


@often
@given(bundled_cables, frequencies, st.floats(1.01, 10))
def test_a_higher_frequency_loses_more_and_is_no_slower(cable, frequency, factor):
    assume(frequency.m_as("Hz") * factor < 1e9)
    assert cable.attenuation(frequency * factor) > cable.attenuation(frequency)
    assert cable.velocity_factor(frequency * factor) > cable.velocity_factor(frequency)
    assert cable.velocity_factor(frequency) < cable.nominal_velocity_factor


# --- check frequency --------------------------------------------------------------------------------------

ends = st.sampled_from(["open", "short"])
connectors = st.just(Q(0, "ns")) | st.floats(0, 0.1).map(lambda x: Q(x, "ns"))


def checkable(cable, length):
    """Whether a length is far from too lossy: the crossing exists beyond doubt."""
    quarter = C * cable.nominal_velocity_factor / 4 / length.m_as("m")
    at_it = Q(quarter, "Hz")
    return (cable.attenuation(at_it) * length).m_as("dB") < 3


@often
@given(any_cables, lengths, ends, connectors)
def test_length_to_check_frequency_to_length(cable, length, far_end, connector):
    assume(checkable(cable, length))
    frequency = wb.check_frequency(cable, length, far_end, connector)
    back = wb.length_from_check_frequency(cable, frequency, far_end, connector)
    assert back.m_as("m") == pytest.approx(length.m_as("m"), rel=1e-9)


@often
@given(any_cables, lengths, ends)
def test_the_reactance_vanishes_at_the_check_frequency(cable, length, far_end):
    assume(checkable(cable, length))
    frequency = wb.check_frequency(cable, length, far_end)
    seen = ohms(wb.input_impedance(cable, length, frequency, OPEN if far_end == "open" else Q(0, "ohm")))
    own = abs(ohms(cable.characteristic_impedance(frequency)))
    assert abs(seen.imag) < 1e-8 * own
    # the crossing of low resistance, not that of high
    assert seen.real < own


@often
@given(any_cables, lengths, ends, st.floats(1.001, 2))
def test_a_longer_piece_is_checked_lower(cable, length, far_end, factor):
    assume(checkable(cable, length * factor))
    assert wb.check_frequency(cable, length * factor, far_end) < wb.check_frequency(cable, length, far_end)


@often
@given(ideal_cables, lengths)
def test_an_ideal_line_is_checked_at_its_quarter_and_half_wave(cable, length):
    quarter, half = (wb.check_frequency(cable, length, end) for end in ("open", "short"))
    assert wb.electrical_length(length, quarter, cable).m_as("degree") == pytest.approx(90, rel=1e-12)
    assert half.m_as("Hz") == pytest.approx(2 * quarter.m_as("Hz"), rel=1e-12)


# --- claddings and measured velocity factors --------------------------------------------------------------

shares = st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=5, max_size=20)


def inside(limits, share):
    low, high = limits
    return low * (high / low) ** share


def ranked(quantity, cable, frequency):
    answer = getattr(cable, quantity)(frequency)
    return abs(getattr(answer, "magnitude", answer))


@often
@given(
    clad_cables, frequencies, shares, st.sampled_from(["attenuation", "velocity_factor", "characteristic_impedance"])
)
def test_a_span_holds_every_cladding_and_steel_of_the_range(cable, frequency, shares, quantity):
    least, _, greatest = (abs(getattr(end, "magnitude", end)) for end in cable.span(quantity, frequency))
    model = cable.model
    for of_cladding, of_steel in shares:
        one = model.at(inside(model.cladding_range, of_cladding), inside(model.permeability_range, of_steel))
        found = ranked(quantity, dataclasses.replace(cable, model=one), frequency)
        assert least * (1 - 1e-6) <= found <= greatest * (1 + 1e-6)


@seldom
@given(clad_cables, frequencies)
def test_a_span_is_no_wider_than_it_must_be(cable, frequency):
    """Its ends are reached by some cladding and steel of the range, found on a grid of its own."""
    grid, omega = np.linspace(0, 1, 41), 2 * math.pi * frequency.m_as("Hz")
    claddings = inside(cable.model.cladding_range, grid)[:, None]
    steels = inside(cable.model.permeability_range, grid[::4])
    series, shunt = cable.model.at(claddings, steels).per_metre(omega)
    gamma = np.sqrt(series * shunt)
    for quantity, found in {
        "attenuation": gamma.real * 20 / math.log(10),
        "velocity_factor": omega / (gamma.imag * C),
        "characteristic_impedance": np.abs(np.sqrt(series / shunt)),
    }.items():
        least, _, greatest = (abs(getattr(end, "magnitude", end)) for end in cable.span(quantity, frequency))
        assert found.min() == pytest.approx(least, rel=5e-3)
        assert found.max() == pytest.approx(greatest, rel=5e-3)


@often
@given(bundled_cables, low_bands, frequencies, st.floats(0.9, 1.05))
@example(wb.cable("series-6-clad"), Q(1.83e6, "Hz"), Q(7e6, "Hz"), 1.0)
def test_a_measured_velocity_factor_scales_the_phase_and_nothing_else(cable, measured_at, frequency, ratio):
    value = cable.velocity_factor(measured_at) * ratio
    scaled = cable.with_velocity_factor(value, measured_at)
    assert scaled.velocity_factor(measured_at) == pytest.approx(value, rel=1e-13)
    before, after = (c.propagation_constant(frequency).m_as("1/m") for c in (cable, scaled))
    assert after.real == before.real
    assert after.imag == pytest.approx(before.imag / ratio, rel=1e-13)
    assert scaled.characteristic_impedance(frequency) == cable.characteristic_impedance(frequency)
    assert scaled.loop_resistance == cable.loop_resistance
    for mine, model in zip(
        scaled.span("velocity_factor", frequency), cable.span("velocity_factor", frequency), strict=True
    ):
        assert mine == pytest.approx(model * ratio, rel=1e-12)
    for mine, model in zip(scaled.span("attenuation", frequency), cable.span("attenuation", frequency), strict=True):
        assert mine == model
