"""What physics demands of any line between any ends."""

import math
import sys
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

import workbook as wb
from workbook.chain.channel_errors import channel_errors
from workbook.chain.channels import Channel, channel_arrays, delayed_channels
from workbook.chain.compensation import compensated_lengths
from workbook.chain.mismatch import mismatch_phase, required_match

sys.path.insert(0, str(Path(__file__).parent))
from strategies import Q, any_cables, between, bundled_cables, lengths, loads, low_bands, often, seldom

resistances = between(5, 1000, "ohm")
# R/L = G/C: lossy, and yet with a real characteristic impedance
real_cables = st.builds(
    lambda impedance, loss, v: wb.constant_cable(
        Q(loss * impedance, "ohm/m"),
        Q(impedance / (v * 299_792_458.0), "H/m"),
        Q(loss / impedance, "S/m"),
        Q(1 / (impedance * v * 299_792_458.0), "F/m"),
    ),
    st.floats(30, 300),
    st.just(0.0) | st.floats(1e-4, 0.05),
    st.floats(0.5, 1.0),
)


def phase_error(cable, length, frequency, source, load):
    """Angle of the transfer beside that without line, less the line's own [rad]."""
    ratio = wb.line_transfer(cable, length, frequency, source, load)
    ratio /= wb.line_transfer(cable, Q(0, "m"), frequency, source, load)
    return np.angle(ratio * np.exp(1j * wb.electrical_length(length, frequency, cable).m_as("radian")))


@often
@given(real_cables, lengths, low_bands, resistances, resistances)
def test_between_resistances_the_bound_holds_with_the_loss_of_the_line(cable, length, frequency, source, load):
    impedance = cable.characteristic_impedance(frequency).m_as("ohm")
    rho = [(end.m_as("ohm") - impedance) / (end.m_as("ohm") + impedance) for end in (source, load)]
    there_and_back = 10 ** (-2 * (cable.attenuation(frequency) * length).m_as("dB") / 20)
    bound = math.asin(abs(rho[0] * rho[1]) * there_and_back)
    assert abs(phase_error(cable, length, frequency, source, load)) <= bound + 1e-9


@often
@given(any_cables, lengths, low_bands, loads, loads)
def test_no_length_is_beyond_the_extremes(cable, length, frequency, source, load):
    try:
        found = mismatch_phase(cable, frequency, source, load)
    except wb.InputError:
        return  # so reactive that there is no bound
    none = -np.angle(1 - found.product)
    off = phase_error(cable, length, frequency, source, load) + none
    off = (off + np.pi) % (2 * np.pi) - np.pi
    assert found.latest.m_as("radian") - 1e-9 <= off <= found.earliest.m_as("radian") + 1e-9
    assert found.exact.m_as("radian") <= found.bound.m_as("radian") + 1e-12


@often
@given(any_cables, st.lists(lengths, min_size=2, max_size=5), low_bands, loads, st.booleans())
def test_reactance_at_one_end_shifts_all_alike_when_the_other_is_matched(cable, line_lengths, frequency, end, staged):
    """Elements with any reactance before matched ports, or ports with any before matched elements and stages."""
    own = cable.characteristic_impedance(frequency)
    metres = Q([0, *(length.m_as("m") for length in line_lengths)], "m")
    delays = wb.electrical_length(metres, frequency, cable).m_as("turn") / frequency
    for source, port, stage in ((end, own, end), (own, end, own)):
        direct = Channel(source, cable, "30 m", None, None, port, summing=stage if staged else None)
        channels = delayed_channels(direct, cable, metres)
        error, _ = channel_errors(channels, delays, frequency)
        assert np.abs(error.m_as("degree")).max() < 1e-9


@often
@given(any_cables, lengths, low_bands, loads, loads)
def test_a_line_between_real_ends_is_reciprocal(cable, length, frequency, one, other):
    """Voltage over open voltage, each by its load: the current that one volt drives is the same both ways."""
    forth = wb.line_transfer(cable, length, frequency, one, other) / other.m_as("ohm")
    back = wb.line_transfer(cable, length, frequency, other, one) / one.m_as("ohm")
    assert abs(forth - back) <= 1e-9 * abs(forth)


@often
@given(any_cables, any_cables, lengths, lengths, low_bands, loads, loads)
def test_a_channel_gives_no_more_than_there_is(run, line, near, far, frequency, source, port):
    """Power in the port is at most what the element has to give, |V|^2/(4 Re Zs)."""
    channels = delayed_channels(Channel(source, run, near, None, None, port), line, far)
    voltage = channel_arrays(channels, frequency.m_as("Hz")).response()[0]
    power = abs(voltage) ** 2 * (1 / port.m_as("ohm")).real
    assert power <= 1 / (4 * source.m_as("ohm").real) * (1 + 1e-9)


@often
@given(st.floats(1e-3, 89))
def test_a_better_match_is_needed_for_a_finer_phase(wanted):
    rough, fine = required_match(Q(wanted, "deg")), required_match(Q(wanted / 2, "deg"))
    assert fine.return_loss > rough.return_loss
    assert 1 < fine.swr < rough.swr


@seldom
@given(bundled_cables, st.lists(st.floats(20, 300), min_size=1, max_size=4), resistances, resistances)
def test_compensated_lengths_meet_the_delays(cable, waits, source, port):
    delays = Q([0, *waits], "ns")
    metres = wb.delay_length(delays, cable, "1.83 MHz")
    channels = delayed_channels(Channel(source, cable, "40 m", None, None, port), cable, metres)
    found = compensated_lengths(channels, delays, "1.83 MHz")
    error, _ = found.errors("1.83 MHz")
    assert np.abs(error.m_as("degree")).max() < 1e-9
