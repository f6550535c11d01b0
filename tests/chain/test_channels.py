"""Channels of a hub: what is relative to what, summing stages, connectors, levels, corners and weights."""

import dataclasses
import math

import numpy as np
import pytest

import workbook as wb
from workbook.chain.channel_errors import channel_errors, error_corners, perturbed_weights
from workbook.chain.channels import Channel, channel_arrays, delayed_channels
from workbook.chain.levelling import level_channels

Q = wb.Quantity
COPPER, CLAD, RG58 = (wb.cable(name) for name in ("series-6-copper", "series-6-clad", "rg-58-solid-pe"))
DELAYS = Q(np.array([0.0, 35.624, 86.003, 121.627]), "ns")
LENGTHS = wb.delay_length(DELAYS, CLAD, "1.83 MHz")
BANDS = Q(np.array([1.83, 3.65, 7.1]), "MHz")


def _bare(source, port, cable=COPPER, length="30 m", **more):
    return Channel(source, cable, length, None, None, port, **more)


CHANNELS = delayed_channels(_bare("50 ohm", "75 ohm"), CLAD, LENGTHS)


def transfers(channels, frequency):
    """Voltage on each port over its element's open voltage."""
    return channel_arrays(channels, Q(frequency).m_as("Hz")).response()


def test_errors_agree_with_the_transfers():
    error, level = channel_errors(CHANNELS, DELAYS, BANDS)
    assert error.shape == level.shape == (4, 3)
    ratio = transfers(CHANNELS, BANDS) / transfers(CHANNELS[:1], BANDS)
    said = 10 ** (level.m_as("dB") / 20) * np.exp(1j * error.m_as("radian"))
    ideal = np.exp(-2j * np.pi * BANDS.m_as("Hz") * DELAYS.m_as("s")[:, None])
    assert said * ideal == pytest.approx(ratio, rel=1e-12)
    assert not np.any(error[0].magnitude)
    assert not np.any(level[0].magnitude)


def test_signs():
    """A line that is too short arrives early, which is positive; one that loses more is weaker, which is negative."""
    own = CLAD.characteristic_impedance("1.83 MHz")
    short = LENGTHS - Q([0, 0, 0, 1], "m")
    pair = [_bare(own, own, CLAD, "0 m"), Channel(own, CLAD, "0 m", CLAD, short[3], own)]
    error, level = channel_errors(pair, DELAYS[[0, 3]], "1.83 MHz")
    assert error[1].m_as("degree") == pytest.approx(wb.electrical_length("1 m", "1.83 MHz", CLAD).m_as("degree"))
    assert level[1].m_as("dB") == pytest.approx(-(CLAD.attenuation("1.83 MHz") * short[3]).m_as("dB"))


def test_a_cascade_of_one_cable_is_one_line():
    whole = wb.line_transfer(CLAD, "57 m", BANDS, "50 ohm", Q(90 - 20j, "ohm"))
    parts = transfers([Channel("50 ohm", CLAD, "30 m", CLAD, "27 m", Q(90 - 20j, "ohm"))], BANDS)
    assert parts[0] == pytest.approx(whole, rel=1e-12)
    alone = transfers([_bare("50 ohm", Q(90 - 20j, "ohm"), CLAD, "57 m")], BANDS)
    assert alone[0] == pytest.approx(whole, rel=1e-12)


def test_the_first_of_several_zero_delay_channels_is_the_reference():
    two = [_bare("60 ohm", "75 ohm"), _bare("50 ohm", "75 ohm"), CHANNELS[1]]
    error, level = channel_errors(two, Q([0, 0, 35.624], "ns"), "1.83 MHz")
    assert (error[0].magnitude, level[0].magnitude) == (0, 0)
    assert abs(level[1].m_as("dB")) > 0.1
    swapped, _ = channel_errors([two[2], two[1], two[0]], [Q(35.624, "ns"), "0 ns", "0 ns"], "1.83 MHz")
    assert swapped[1].magnitude == 0
    assert swapped[2].m_as("degree") == pytest.approx(-error[1].m_as("degree"))


def test_each_direction_has_its_own_reference():
    first = [_bare("50 ohm", "75 ohm"), CHANNELS[2]]
    second = [_bare("90 ohm", "75 ohm"), dataclasses.replace(CHANNELS[3], source="90 ohm")]
    one, two = (channel_errors(c, d, BANDS) for c, d in ((first, DELAYS[[0, 2]]), (second, DELAYS[[0, 3]])))
    names = ["north", "north", "south", "south"]
    error, level = channel_errors([*first, *second], DELAYS[[0, 2, 0, 3]], BANDS, names)
    assert error.magnitude == pytest.approx(np.concatenate((one[0].magnitude, two[0].magnitude)))
    assert level.magnitude == pytest.approx(np.concatenate((one[1].magnitude, two[1].magnitude)))


def test_impedances_and_lengths_may_be_arrays():
    sources = Q(np.array([50, 60, 70]), "ohm")
    got = transfers([_bare(sources, "75 ohm"), CHANNELS[1]], BANDS)
    for index in range(3):
        alone = transfers([_bare(sources[index], "75 ohm"), CHANNELS[1]], BANDS[index])
        assert got[:, index] == pytest.approx(alone, rel=1e-13)


def test_a_connector_counts_as_cable_of_its_delay():
    """Between matched ends two connectors make up exactly for the cable that was left out."""
    own, delay = CLAD.characteristic_impedance("1.83 MHz"), DELAYS[2]
    cable_alone = wb.delay_length(delay - 2 * Q(0.11, "ns"), CLAD, "1.83 MHz")
    pair = [
        _bare(own, own, CLAD, "10 m"),
        Channel(own, CLAD, "10 m", CLAD, cable_alone, own, connector_delay="0.11 ns"),
    ]
    error, _ = channel_errors(pair, [Q(0, "ns"), delay], "1.83 MHz")
    assert abs(error[1].m_as("degree")) < 1e-9
    three = dataclasses.replace(pair[1], pieces=3)
    error, _ = channel_errors([pair[0], three], [Q(0, "ns"), delay + Q(0.44, "ns")], "1.83 MHz")
    assert abs(error[1].m_as("degree")) < 1e-9


def test_a_connector_on_the_run_counts_as_cable_of_its_delay():
    own_line = Channel("50 ohm", CLAD, "10 m", COPPER, "12 m", "60 ohm", run_connector_delay="2 ns")
    more = wb.delay_length("4 ns", CLAD, "1.83 MHz")
    longer = Channel("50 ohm", CLAD, Q(10, "m") + more, COPPER, "12 m", "60 ohm")
    got, wanted = (complex(transfers([one], "1.83 MHz")[0]) for one in (own_line, longer))
    assert got == pytest.approx(wanted, rel=1e-12)
    assert got != pytest.approx(complex(transfers([_bare("50 ohm", "60 ohm")], "1.83 MHz")[0]), rel=1e-3)


def test_equal_joined_runs_shift_all_alike():
    """Behind a summing stage the runs drop out, and what is left is the line between the stage and its port."""
    joined = delayed_channels(_bare("30 ohm", "50 ohm", summing="60 ohm"), CLAD, LENGTHS)
    error, level = channel_errors(joined, DELAYS, BANDS)
    alone = np.array([wb.line_transfer(CLAD, length, BANDS, "60 ohm", "50 ohm") for length in LENGTHS])
    ratio = alone / alone[0]
    assert level.m_as("dB") == pytest.approx(20 * np.log10(np.abs(ratio)), abs=1e-9)
    wanted = np.angle(ratio * np.exp(2j * np.pi * BANDS.m_as("Hz") * DELAYS.m_as("s")[:, None]))
    assert error.m_as("radian") == pytest.approx(wanted, abs=1e-12)


def test_a_summing_stage_keeps_run_and_line_apart():
    plain = _bare("30 ohm", "50 ohm")
    staged = dataclasses.replace(plain, summing="30 ohm")
    one, other = (transfers(delayed_channels(each, CLAD, LENGTHS), BANDS) for each in (plain, staged))
    assert not np.allclose(one, other)


def test_delayed_channels_differ_in_their_line_only():
    ladder = delayed_channels(_bare("50 ohm", "75 ohm", connector_delay="0.1 ns"), CLAD, Q([0, 5, 11], "m"), [1, 1, 2])
    assert [channel.pieces for channel in ladder] == [1, 1, 2]
    assert [channel.line for channel in ladder] == [None, CLAD, CLAD]
    assert [channel.plain.line_length for channel in ladder] == [0, 5, 11]
    assert [channel.plain.connectors for channel in ladder] == pytest.approx([2e-10, 2e-10, 4e-10])
    assert {(channel.source, channel.port) for channel in ladder} == {("50 ohm", "75 ohm")}
    assert all(channel.run is COPPER for channel in ladder)


# --- levels -----------------------------------------------------------------------------------------------


def test_a_pad_brings_every_channel_to_the_weakest():
    """Each pad is worked through as a ladder of resistors, and must be matched to the port and lose what it says."""
    found = level_channels(CHANNELS, "1.83 MHz")
    _, level = channel_errors(CHANNELS, DELAYS, "1.83 MHz")
    after = level.m_as("dB") - found.loss.m_as("dB")
    assert after == pytest.approx(np.full(4, level.m_as("dB").min()))
    assert found.loss.m_as("dB").min() == 0
    for index in np.flatnonzero(found.loss.magnitude):
        pi_series, pi_shunt = (found.pi_series[index].m_as("ohm"), found.pi_shunt[index].m_as("ohm"))
        end = 75 * pi_shunt / (75 + pi_shunt)
        assert pi_shunt * (pi_series + end) / (pi_shunt + pi_series + end) == pytest.approx(75)
        assert -20 * math.log10(end / (end + pi_series)) == pytest.approx(found.loss[index].m_as("dB"))
    weakest = int(np.argmin(found.loss.magnitude))
    assert found.pi_series[weakest].magnitude == 0
    assert math.isinf(found.pi_shunt[weakest].magnitude)


def test_a_longer_run_levels_too():
    own = COPPER.characteristic_impedance("1.83 MHz")
    channels = delayed_channels(_bare(own, "75 ohm"), COPPER, LENGTHS)
    found = level_channels(channels, "1.83 MHz")
    longer = [
        dataclasses.replace(channel, run_length=Q(30, "m") + extra)
        for channel, extra in zip(channels, found.extra_run, strict=True)
    ]
    _, level = channel_errors(longer, DELAYS, "1.83 MHz")
    assert level.m_as("dB") == pytest.approx(np.zeros(4), abs=1e-9)


def test_no_length_of_a_lossless_run_levels():
    lossless = wb.ideal_cable("75 ohm", 0.85)
    channels = delayed_channels(_bare("75 ohm", "75 ohm", lossless), CLAD, LENGTHS)
    found = level_channels(channels, "1.83 MHz")
    assert np.isinf(found.extra_run.magnitude).tolist() == [True, True, True, False]
    assert found.extra_run[3].magnitude == 0


# --- corners ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("summing", [None, "80 ohm"])
def test_random_ends_stay_within_the_corners(summing):
    """Ends drawn at random, those of the zero-delay channel too, stay within; the worst come close."""
    channels = delayed_channels(_bare("60 ohm", "90 ohm", length="10 m", summing=summing), CLAD, LENGTHS)
    least, greatest, weakest, strongest = error_corners(channels, DELAYS, BANDS, 0.1, 0.05)
    nominal = channel_errors(channels, DELAYS, BANDS)
    chance = np.random.default_rng(1)
    drawn = []
    for _ in range(400):
        off = [_off(channel, chance) for channel in channels]
        drawn.append(channel_errors(off, DELAYS, BANDS))
    pairs = ((least, greatest, "degree"), (weakest, strongest, "dB"))
    for (first, last, unit), middle, found in zip(pairs, nominal, zip(*drawn, strict=True), strict=True):
        values = [one.m_as(unit) for one in found]
        low, high = np.min(values, axis=0), np.max(values, axis=0)
        assert np.all(low >= first.m_as(unit) - 1e-9)
        assert np.all(high <= last.m_as(unit) + 1e-9)
        assert np.all((high - low)[1:] > 0.7 * (last - first).m_as(unit)[1:])
        assert np.all((first <= middle) & (middle <= last))
        assert not np.any(first[0].magnitude)
        assert not np.any(last[0].magnitude)


def _off(channel, chance):
    by = chance.choice([0.9, 1.1, chance.uniform(0.9, 1.1)])
    at_port = chance.choice([0.95, 1.05, chance.uniform(0.95, 1.05)])
    stage = None if channel.summing is None else Q(channel.summing).to("ohm") * chance.choice([0.9, 1.1])
    source, port = Q(channel.source) * by, Q(channel.port) * at_port
    return dataclasses.replace(channel, source=source, port=port, summing=stage)


def test_without_tolerance_there_is_no_spread():
    phase, level = channel_errors(CHANNELS, DELAYS, BANDS)
    least, greatest, weakest, strongest = error_corners(CHANNELS, DELAYS, BANDS)
    for end in (least, greatest):
        assert end.m_as("degree") == pytest.approx(phase.m_as("degree"), abs=1e-12)
    for end in (weakest, strongest):
        assert end.m_as("dB") == pytest.approx(level.m_as("dB"), abs=1e-12)


# --- weights ----------------------------------------------------------------------------------------------


def test_perturbed_weights_are_the_transfers():
    ideal = np.exp(-2j * np.pi * BANDS.m_as("Hz")[:, None] * DELAYS.m_as("s"))
    got = perturbed_weights(ideal, *channel_errors(CHANNELS, DELAYS, BANDS))
    response = transfers(CHANNELS, BANDS)
    assert got == pytest.approx((response / response[0]).T, rel=1e-12)


def test_perturbed_weights_change_the_pattern():
    """Between matched ends without loss nothing changes; between others front-to-back does; off stays off."""
    layout = wb.square("20 m", "0 deg")
    ideal = wb.aligned_weights(layout, "1.83 MHz", "45 deg", "20 deg") * np.array([1, 1, 1, 0])
    seconds = -np.angle(np.where(ideal == 0, 1, ideal)) / (2 * np.pi * 1.83e6)
    lossless = wb.ideal_cable("75 ohm", 0.85)
    lengths = wb.delay_length(Q(seconds.clip(0), "s"), 0.85)

    def figure(source, port):
        channels = delayed_channels(_bare(source, port, lossless, "25 m"), lossless, lengths)
        weights = perturbed_weights(ideal, *channel_errors(channels, Q(seconds.clip(0), "s"), "1.83 MHz"))
        assert weights[3] == 0
        return wb.front_to_back(wb.Firing(layout, weights, "1.83 MHz", "45 deg", "20 deg", wb.PERFECT_GROUND))

    wanted = wb.front_to_back(wb.Firing(layout, ideal, "1.83 MHz", "45 deg", "20 deg", wb.PERFECT_GROUND))
    assert figure("75 ohm", "75 ohm").m_as("dB") == pytest.approx(wanted.m_as("dB"), abs=1e-9)
    assert abs((figure("30 ohm", "200 ohm") - wanted).m_as("dB")) > 0.05
