"""The greatest phase error over all lengths, the match it takes, and lengths that make up for the ends."""

import dataclasses
import math

import numpy as np
import pytest
from mpmath import mp

import workbook as wb
from workbook.chain.channel_errors import channel_errors
from workbook.chain.channels import Channel, delayed_channels
from workbook.chain.compensation import compensated_lengths
from workbook.chain.mismatch import mismatch_phase, required_match

Q = wb.Quantity
CLAD, COPPER = wb.cable("series-6-clad"), wb.cable("series-6-copper")
LOSSY = wb.constant_cable("2 ohm/m", "0.3 uH/m", "50 uS/m", "60 pF/m")
IDEAL = wb.ideal_cable("75 ohm", 0.85)
DELAYS = Q(np.array([0.0, 35.624, 86.003, 121.627]), "ns")
LENGTHS = wb.delay_length(DELAYS, CLAD, "1.83 MHz")


def bare(source, port, run=COPPER, length="30 m", **more):
    return Channel(source, run, length, None, None, port, **more)


# --- all lengths ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cable", [IDEAL, LOSSY, CLAD], ids=lambda cable: cable.name)
@pytest.mark.parametrize(
    ("source", "port"), [(50, 50), (60, 90), (20, 300), (5 + 40j, 30 - 60j), (30 - 100j, 50), (75, 50), (400j + 9, 700)]
)
def test_the_extremes_are_those_of_many_lengths(cable, source, port):
    """Transfers of 40,000 lengths over the first two turns, against a line of the same ends with echoes taken away."""
    found = mismatch_phase(cable, "1.83 MHz", Q(source, "ohm"), Q(port, "ohm"))
    turn = wb.physical_length("360 deg", "1.83 MHz", cable).m_as("m")
    metres = Q(np.linspace(0, 2 * turn, 40_001), "m")
    own = cable.characteristic_impedance("1.83 MHz")
    real, single = (
        wb.line_transfer(cable, metres, "1.83 MHz", feed, Q(port, "ohm")) for feed in (Q(source, "ohm"), own)
    )
    # behind a matched source nothing comes back; the constant divider at the source drops out at great loss
    zc, zs = own.magnitude, complex(source)
    phases = np.degrees(np.angle(real / single * (zs + zc) / (2 * zc)))
    assert found.earliest.m_as("degree") == pytest.approx(phases.max(), abs=2e-5)
    assert found.latest.m_as("degree") == pytest.approx(phases.min(), abs=2e-5)
    assert found.earliest.m_as("degree") >= phases.max() - 1e-10
    assert found.latest.m_as("degree") <= phases.min() + 1e-10
    assert found.exact.m_as("degree") <= found.bound.m_as("degree") + 1e-12


def test_the_closed_answer_is_the_exact_one_without_loss():
    ends = Q(np.array([[30.0], [60], [140]]), "ohm"), Q(np.array([20.0, 90, 100, 500]), "ohm")
    found = mismatch_phase(IDEAL, "1.83 MHz", *ends)
    assert found.exact.m_as("degree") == pytest.approx(found.bound.m_as("degree"), rel=1e-12)
    assert found.bound.shape == (3, 4)


@pytest.mark.parametrize("wanted", [0.01, 0.5, 1, 5, 30])
def test_ends_with_the_required_match_have_the_wanted_error(wanted):
    """The SWR asked for, made by a resistance at each end, above or below the line's."""
    needed = required_match(Q(wanted, "deg"))
    for source, port in ((75 * needed.swr,) * 2, (75 / needed.swr, 75 * needed.swr)):
        got = mismatch_phase(IDEAL, "1.83 MHz", Q(source, "ohm"), Q(port, "ohm"))
        assert got.exact.m_as("degree") == pytest.approx(wanted, rel=1e-9)
    assert needed.exact.m_as("degree") == pytest.approx(wanted, rel=1e-9)
    rho = (needed.swr - 1) / (needed.swr + 1)
    assert needed.return_loss.m_as("dB") == pytest.approx(-20 * math.log10(rho))


def test_needed_match_takes_arrays():
    needed = required_match(Q([1.0, 2.0], "deg"))
    assert needed.swr.shape == needed.exact.shape == (2,)
    assert needed.exact.m_as("degree") == pytest.approx([1, 2])


# --- compensated lengths ----------------------------------------------------------------------------------


def test_a_compensated_line_of_45_degrees():
    """Lossless 75 ohm between 50 and 50 ohm lags by atan((1.5 + 2/3)/2 tan t) (derived in tests/derived), which
    is 45 degrees where tan t = 12/13: t = 42.7094 degrees, so the line is 2.2906 degrees shorter.
    """
    delay = Q(45 / 360 / 1.83, "us")
    length = wb.delay_length(delay, 0.85)
    channels = delayed_channels(bare("50 ohm", "50 ohm", IDEAL, "0 m"), IDEAL, Q([0, length.m_as("m")], "m"))
    found = compensated_lengths(channels, ["0 ns", delay], "1.83 MHz")
    (line,) = found.lines
    t = math.degrees(math.atan(12 / 13))
    assert line.degrees.m_as("degree") == pytest.approx(t - 45, abs=1e-9)
    assert line.length.m_as("m") == pytest.approx(wb.physical_length(Q(t, "deg"), "1.83 MHz", 0.85).m_as("m"))
    assert line.change.m_as("m") == pytest.approx((line.length - length).m_as("m"))
    assert found.worth_doing
    assert "-2.29 degree" in found.note


def test_compensated_channels_meet_their_delays_on_the_cut_band():
    channels = delayed_channels(bare("50 ohm", "90 ohm", connector_delay="0.11 ns"), CLAD, LENGTHS)
    before, _ = channel_errors(channels, DELAYS, "1.83 MHz")
    found = compensated_lengths(channels, DELAYS, "1.83 MHz", ["-", "A", "B", "C"])
    after, _ = found.errors("1.83 MHz")
    assert np.abs(before.m_as("degree")).max() > 1
    assert np.abs(after.m_as("degree")).max() < 1e-9
    assert [line.line for line in found.lines] == ["A", "B", "C"]
    other, _ = found.errors("3.65 MHz")
    assert np.abs(other.m_as("degree")).max() > 0.1
    assert found.channels[0].line is None


@pytest.mark.parametrize("source", [50, 120 - 40j])
def test_a_compensated_length_agrees_with_an_independent_solution(source):
    """A root by mpmath of the closed form of a terminated line (design.md), with run and line of one cable."""
    hertz, port, delay = 1.83e6, 40.0, 60e-9
    gamma = mp.mpc(CLAD.propagation_constant(Q(hertz, "Hz")).magnitude)
    zc = mp.mpc(CLAD.characteristic_impedance(Q(hertz, "Hz")).magnitude)
    product = (source - zc) / (source + zc) * (port - zc) / (port + zc)

    def phase(length):
        return -gamma.imag * length - mp.arg(1 - product * mp.exp(-2 * gamma * length))

    wanted = -2 * mp.pi * hertz * delay
    root = mp.findroot(lambda length: phase(20 + length) - phase(20) - wanted, 15)
    start = wb.delay_length(Q(delay, "s"), CLAD, "1.83 MHz").m_as("m")
    ends = Q(source, "ohm"), Q(port, "ohm")
    channels = delayed_channels(bare(*ends, CLAD, "20 m"), CLAD, Q([0, start], "m"))
    (line,) = compensated_lengths(channels, Q([0, delay], "s"), "1.83 MHz").lines
    assert line.length.m_as("m") == pytest.approx(float(root), rel=1e-9)


def test_the_length_before_does_not_matter():
    channels = delayed_channels(bare("50 ohm", "90 ohm"), CLAD, LENGTHS)
    moved = delayed_channels(bare("50 ohm", "90 ohm"), CLAD, LENGTHS * 1.7)
    one, two = (compensated_lengths(some, DELAYS, "1.83 MHz") for some in (channels, moved))
    for a, b in zip(one.lines, two.lines, strict=True):
        assert a.length.m_as("m") == pytest.approx(b.length.m_as("m"), rel=1e-12)


def test_between_matched_ends_it_is_not_worth_doing():
    own = CLAD.characteristic_impedance("1.83 MHz")
    channels = delayed_channels(bare(own, "50 ohm", CLAD), CLAD, LENGTHS)
    found = compensated_lengths(channels, DELAYS, "1.83 MHz")
    assert not found.worth_doing
    assert "not worth doing" in found.note
    assert max(abs(line.degrees.m_as("degree")) for line in found.lines) < 1e-9


def test_a_line_of_two_directions_has_the_least_worst_error():
    """Two sources want two lengths; the one between leaves both equally far off, and any other is worse for one."""
    length = LENGTHS[2]
    sources = ("40 ohm", "40 ohm", "150 ohm", "150 ohm")
    channels = [
        Channel(source, COPPER, "30 m", CLAD if n % 2 else None, length if n % 2 else None, "110 ohm")
        for n, source in enumerate(sources)
    ]
    delays = Q([0, 86.003, 0, 86.003], "ns")
    directions = ("east", "east", "west", "west")
    found = compensated_lengths(channels, delays, "1.83 MHz", ["", "B", "", "B"], directions)
    (line,) = found.lines
    left = found.errors("1.83 MHz")[0].m_as("degree")
    assert left[1] == pytest.approx(-left[3], abs=1e-9)
    assert abs(left[1]) > 0.1
    ends = line.least_error.m_as("degree"), line.greatest_error.m_as("degree")
    assert ends == pytest.approx(sorted(left[[1, 3]]))
    for off in (-0.05, 0.05):
        worse = [
            one if one.line is None else dataclasses.replace(one, line_length=line.length + Q(off, "m"))
            for one in channels
        ]
        errors = channel_errors(worse, delays, "1.83 MHz", directions)[0].m_as("degree")
        assert np.abs(errors).max() > abs(left[1])


def test_joined_lines_are_compensated_too():
    channels = delayed_channels(bare("50 ohm", "90 ohm", summing="60 ohm"), CLAD, LENGTHS)
    after, _ = compensated_lengths(channels, DELAYS, "1.83 MHz").errors("1.83 MHz")
    assert np.abs(after.m_as("degree")).max() < 1e-9
