"""Lines between real ends: values derived here, and cascades of scikit-rf with random ends."""

import math

import numpy as np
import pytest
import skrf

import workbook as wb
from workbook.chain.channels import Channel, channel_arrays

Q = wb.Quantity
BUNDLED = ["series-6-copper", "series-6-clad", "series-11-clad", "rg-58-solid-pe", "trunk-500"]
LOSSY = wb.constant_cable("0.3 ohm/m", "0.3 uH/m", "5 uS/m", "60 pF/m")
CABLES = [wb.ideal_cable("75 ohm", 0.85), LOSSY, *(wb.cable(name) for name in BUNDLED)]
BANDS = Q(np.array([0.5, 1.83, 3.65, 7.1, 28.5]), "MHz")


def degrees(ratio):
    return np.degrees(np.angle(ratio))


# --- derived ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("source", "port", "printed"), [(50, 50, "-2.291"), (60, 90, "0.579")])
def test_a_lossless_line_of_45_degrees(assert_printed, source, port, printed):
    """Derivation. A lossless line of phase t between Zs and ZL has, by its chain matrix, V_s/V_L =
    cos t + j (Zc/ZL) sin t + Zs (j sin t/Zc + cos t/ZL) = (1 + Zs/ZL) cos t + j (Zc/ZL + Zs/Zc) sin t,
    so the load lags by atan((Zc/ZL + Zs/Zc)/(1 + Zs/ZL) tan t), and without line by nothing.
    At t = 45 degrees and Zc = 75 ohm: 50 and 50: atan((1.5 + 2/3)/2) = atan(1.08333) = 47.291 deg, 2.291 late.
    60 and 90: atan((75/90 + 60/75)/(1 + 60/90)) = atan(0.98) = 44.421 deg, 0.579 early.
    """
    cable, end = wb.ideal_cable("75 ohm", 0.66), (Q(source, "ohm"), Q(port, "ohm"))
    length = wb.physical_length("45 deg", "1.83 MHz", 0.66)
    bare = Channel(end[0], cable, "0 m", None, None, end[1])
    delayed = Channel(end[0], cable, "0 m", cable, length, end[1])
    delay = Q(45 / 360 / 1.83, "us")
    error, level = wb.channel_errors([bare, delayed], Q([0, delay.m_as("s")], "s"), "1.83 MHz")
    assert_printed(error[1], f"{printed} degree", source="derived above")
    assert (error[0].magnitude, level[0].magnitude) == (0, 0)
    both = [wb.line_transfer(cable, l, "1.83 MHz", *end) for l in (Q(0, "m"), length)]
    assert_printed(Q(degrees(both[1] / both[0]) + 45, "degree"), f"{printed} degree", source="derived above")
    assert both[0] == pytest.approx(port / (source + port), rel=1e-12)


@pytest.mark.parametrize("angle", [20, 30, 45, 60, 75, 100, 130, 170])
@pytest.mark.parametrize(("source", "port"), [(50, 50), (60, 90), (200, 300), (20, 75)])
def test_any_lossless_line(source, port, angle):
    """As above, over a half wave; a quarter wave, where real ends never shift the phase, is none of them."""
    t = math.radians(angle)
    wanted = 1 / complex((1 + source / port) * math.cos(t), (75 / port + source / 75) * math.sin(t))
    cable = wb.ideal_cable("75 ohm", 0.66)
    length = wb.physical_length(Q(angle, "deg"), "7.1 MHz", 0.66)
    got = wb.line_transfer(cable, length, "7.1 MHz", Q(source, "ohm"), Q(port, "ohm"))
    assert got == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("cable", CABLES, ids=lambda cable: cable.name)
@pytest.mark.parametrize("metres", [0.5, 12.0, 27.0, 63.0])
def test_ends_in_the_own_impedance_leave_the_line_as_it_is(cable, metres):
    """Half the open voltage arrives, later by beta l and weaker by alpha l, both as the cable's room gives them."""
    own, length = cable.characteristic_impedance(BANDS), Q(metres, "m")
    got = wb.line_transfer(cable, length, BANDS, own, own)
    lag = wb.electrical_length(length, BANDS, cable).m_as("degree")
    assert np.abs((degrees(got) + lag + 180) % 360 - 180).max() < 1e-9
    loss = (cable.attenuation(BANDS) * length).m_as("dB")
    assert -20 * np.log10(2 * np.abs(got)) == pytest.approx(loss, abs=1e-11)


@pytest.mark.parametrize("cable", CABLES, ids=lambda cable: cable.name)
@pytest.mark.parametrize("other", [50, 20 - 30j, 400 + 100j, 75j + 1])
def test_one_matched_end_is_enough(cable, other):
    """What depends on length is beta l alone, below 1e-9 degree, at whichever end the match is."""
    own, other = cable.characteristic_impedance("1.83 MHz"), Q(other, "ohm")
    metres = Q(np.array([0, 3.0, 10.0, 17.0, 29.0]), "m")
    lag = wb.electrical_length(metres, "1.83 MHz", cable).m_as("degree")
    for ends in ((own, other), (other, own)):
        got = wb.line_transfer(cable, metres, "1.83 MHz", *ends)
        error = degrees(got / got[0] * np.exp(1j * np.radians(lag)))
        assert np.abs(error).max() < 1e-9


# --- against scikit-rf ------------------------------------------------------------------------------------


def _voltage_ratio(s, reference, source, load):
    """V_load/V_source,open of a two-port with S parameters in a real reference impedance R.

    Derivation. With V = sqrt(R) (a + b) and I = (a - b)/sqrt(R) at each port, the load asks a2 = G b2,
    G = (ZL - R)/(ZL + R). So b2 = S21 a1/(1 - S22 G) and b1 = S11 a1 + S12 G b2. The source's open voltage is
    V1 + Zs I1 = sqrt(R) (a1 + b1) + Zs (a1 - b1)/sqrt(R), the load has sqrt(R) (1 + G) b2; a1 drops out.
    """
    back = (load - reference) / (load + reference)
    b2 = s[1, 0] / (1 - s[1, 1] * back)
    b1 = s[0, 0] + s[0, 1] * back * b2
    root = math.sqrt(reference)
    return root * (1 + back) * b2 / (root * (1 + b1) + source * (1 - b1) / root)


def _network(cable, hertz, metres, reference):
    grid = skrf.Frequency.from_f([hertz], unit="Hz")
    gamma = cable.propagation_constant(Q(hertz, "Hz")).magnitude
    impedance = cable.characteristic_impedance(Q(hertz, "Hz")).magnitude
    media = skrf.media.DefinedGammaZ0(grid, z0_port=reference, z0=np.array([impedance]), gamma=np.array([gamma]))
    return media.line(metres, "m")


def _ends(chance):
    """A complex impedance with positive resistance, from a tenth to ten times 60 ohm."""
    size = 60 * 10 ** chance.uniform(-1, 1)
    return size * np.exp(1j * chance.uniform(-1.5, 1.5))


def test_two_hundred_random_ends_against_a_cascade():
    """Run and line of different cables between complex ends, and the line alone."""
    chance = np.random.default_rng(6)
    for _ in range(200):
        run, line = (CABLES[index] for index in chance.integers(len(CABLES), size=2))
        hertz, reference = float(10 ** chance.uniform(5.7, 7.5)), float(chance.uniform(30, 120))
        lengths = chance.uniform(0.1, 120, size=2)
        source, port = _ends(chance), _ends(chance)
        first, second = (_network(c, hertz, l, reference) for c, l in zip((run, line), lengths, strict=True))
        channel = Channel(Q(source, "ohm"), run, Q(lengths[0], "m"), line, Q(lengths[1], "m"), Q(port, "ohm"))
        got = channel_arrays([channel], hertz).response()[0]
        assert got == pytest.approx(_voltage_ratio((first**second).s[0], reference, source, port), rel=1e-9)
        alone = wb.line_transfer(line, Q(lengths[1], "m"), Q(hertz, "Hz"), Q(source, "ohm"), Q(port, "ohm"))
        assert alone == pytest.approx(_voltage_ratio(second.s[0], reference, source, port), rel=1e-9)
