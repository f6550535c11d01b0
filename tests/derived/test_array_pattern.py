"""The response of an array against patterns written out here: cardioid, rows, rings by their Bessel series, delays.

Angles in degrees; the part of the ground is the own cos el of the element (free space 1, perfect ground) or is
divided out.
"""

import mpmath
import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
C = 299_792_458
WAVE = 160.0
"""Wavelength [m] of FREQUENCY."""

FREQUENCY = Q(C / WAVE, "Hz")
AROUND = np.arange(0.0, 360.0, 10.0)
BALANIS = "Balanis, Antenna Theory, example 6.6, p. 319, through a companion"
NULLS = "null depth of a pair: error of one channel, derived"


def fired(layout, weights, ground=wb.FREE_SPACE, azimuth="0 deg", elevation="20 deg", frequency=FREQUENCY):
    return wb.Firing(layout, weights, frequency, azimuth, elevation, ground)


def response(firing, azimuth, elevation):
    return wb.array_response(firing, Q(azimuth, "deg"), Q(elevation, "deg"))


def cosine(azimuth, elevation, toward=0.0):
    """Cosine of the angle between a direction and a level one."""
    return np.cos(np.radians(elevation)) * np.cos(np.radians(np.asarray(azimuth) - toward))


# --- two elements a quarter wave apart, fed 90 degrees apart ----------------------------------------------


CARDIOID = wb.row(2, Q(WAVE / 4, "m"), "30 deg")
LAGGING = [-1j, 1]


@pytest.mark.parametrize("elevation", [0.0, 20.0, 55.0, 90.0])
def test_cardioid(elevation):
    """2 cos(pi/4 (1 - cos psi)), psi from the line of the two (any textbook); over perfect ground times cos el."""
    wanted = 2 * np.cos(np.pi / 4 * (1 - cosine(AROUND, elevation, 30)))
    free = response(fired(CARDIOID, LAGGING), AROUND, elevation)
    assert np.abs(free) == pytest.approx(wanted, abs=1e-12)
    # seen from the middle, its phase is half the lag everywhere
    assert free * np.exp(0.25j * np.pi) == pytest.approx(wanted, abs=1e-12)
    ground = np.abs(response(fired(CARDIOID, LAGGING, wb.PERFECT_GROUND), AROUND, elevation))
    assert ground == pytest.approx(wanted * np.cos(np.radians(elevation)), abs=1e-12)


def test_cardioid_turned_round():
    """Lead instead of lag: it fires the other way."""
    there, back = (response(fired(CARDIOID, [step, 1]), AROUND, 25.0) for step in (-1j, 1j))
    assert np.abs(back) == pytest.approx(np.abs(np.roll(there, len(AROUND) // 2)), abs=1e-12)


@pytest.mark.parametrize("ground", [wb.FREE_SPACE, wb.PERFECT_GROUND, wb.Ground(13, "5 mS/m")])
@pytest.mark.parametrize("elevation", [10.0, 20.0, 45.0])
def test_front_to_back_of_the_cardioid(ground, elevation):
    """The element is the same both ways, so the ground falls out."""
    c = np.cos(np.radians(elevation))
    wanted = 20 * np.log10(np.cos(np.pi / 4 * (1 - c)) / np.cos(np.pi / 4 * (1 + c)))
    firing = fired(CARDIOID, LAGGING, ground, "30 deg", Q(elevation, "deg"))
    assert wb.front_to_back(firing).m_as("dB") == pytest.approx(wanted, abs=1e-9)
    away = fired(CARDIOID, LAGGING, ground, "210 deg", Q(elevation, "deg"))
    assert wb.front_to_back(away).m_as("dB") == pytest.approx(-wanted, abs=1e-9)


def test_front_to_back_without_a_back():
    assert np.isposinf(wb.front_to_back(fired(CARDIOID, LAGGING, azimuth="30 deg", elevation="0 deg")).m_as("dB"))


@pytest.mark.parametrize(
    ("decibels", "degrees", "of_one", "of_sum"),
    [
        (0.1, 1, "-33.5 dB", "-39.6"),
        (0, 1, "-35.16 dB", "-41.18"),
        (0.5, 3, "-21.9 dB", "-28.2"),
        (1, 5, "-16.3 dB", "-22.8"),
    ],
)
def test_depth_of_a_null(assert_printed, decibels, degrees, of_one, of_sum):
    """What is left of two equal signals in opposition when one is off: relative to one, and to both in phase."""
    off = 10 ** (decibels / 20) * np.exp(1j * np.radians(degrees))
    left = wb.signal_gain(fired(CARDIOID, [1, -off], azimuth="120 deg"))
    both = wb.signal_gain(fired(CARDIOID, [1, abs(off)], azimuth="120 deg"))
    assert_printed(left, of_one, source=NULLS)
    assert_printed((left - both).m_as("dB"), of_sum, source=NULLS)


# --- rows -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [2, 3, 8, 11])
@pytest.mark.parametrize(("spacing", "lag"), [(0.5, 0.0), (0.25, 90.0), (0.37, -41.0)])
def test_row_of_equal_amplitudes(count, spacing, lag):
    """sin(N psi/2)/sin(psi/2), psi = kd cos - lag: real from the middle of the row."""
    row = wb.row(count, Q(spacing * WAVE, "m"), "70 deg")
    weights = np.exp(1j * np.radians(lag) * (np.arange(count) - (count - 1) / 2))
    psi = 2 * np.pi * spacing * cosine(AROUND, 20.0, 70.0) - np.radians(lag) + 1e-13
    wanted = np.sin(count * psi / 2) / np.sin(psi / 2)
    assert response(fired(row, weights), AROUND, 20.0) == pytest.approx(wanted, abs=1e-10)


# --- rings ------------------------------------------------------------------------------------------------


def ring_series(count, first, reach, angle):
    """N sum_m j^(mN) J_mN(reach) e^{jmN(angle - first)}: the textbook's residuals (Balanis 6.12; Jacobi and Anger)."""
    most = 3 + int((reach + 60) / count)
    terms = (
        mpmath.j ** (m * count)
        * mpmath.besselj(m * count, reach)
        * mpmath.expj(m * count * mpmath.radians(angle - first))
        for m in range(-most, most + 1)
    )
    return complex(count * mpmath.fsum(terms))


@pytest.mark.parametrize(("count", "waves"), [(2, 0.4), (3, 0.7), (5, 0.25), (8, 0.26), (8, 1.9), (24, 3.0)])
def test_ring_in_phase_by_its_bessel_series(count, waves):
    """`waves` = diameter in wavelengths; a response is the series at k R cos el."""
    first = 12.0
    ring = wb.ring(count, Q(waves * WAVE, "m"), Q(first, "deg"))
    firing = fired(ring, np.ones(count))
    for azimuth, elevation in ((0.0, 0.0), (12.0, 20.0), (101.0, 35.0), (277.0, 70.0)):
        reach = np.pi * waves * np.cos(np.radians(elevation))
        wanted = ring_series(count, first, reach, azimuth)
        assert response(firing, azimuth, elevation) == pytest.approx(wanted, abs=1e-10)


@pytest.mark.parametrize(("count", "waves"), [(3, 0.7), (5, 0.25), (8, 0.26), (8, 1.9)])
@pytest.mark.parametrize("toward", [0.0, 45.0, 161.0])
def test_aligned_ring_by_its_bessel_series(count, waves, toward):
    """Aligned toward a direction, the series runs on what separates the two level wave vectors, length and angle."""
    first, aimed = -20.0, 25.0
    ring = wb.ring(count, Q(waves * WAVE, "m"), Q(first, "deg"))
    weights = wb.aligned_weights(ring, FREQUENCY, Q(toward, "deg"), Q(aimed, "deg"))
    firing = fired(ring, weights)
    # the least wait is 0, which turns all elements alike
    turn = response(firing, toward, aimed) / count
    assert abs(turn) == pytest.approx(1, abs=1e-12)
    for azimuth, elevation in ((0.0, 0.0), (toward + 180, 25.0), (101.0, 35.0), (277.0, 70.0)):
        apart = np.cos(np.radians(elevation)) * np.exp(1j * np.radians(azimuth))
        apart -= np.cos(np.radians(aimed)) * np.exp(1j * np.radians(toward))
        wanted = ring_series(count, first, np.pi * waves * abs(apart), np.degrees(np.angle(apart)))
        assert response(firing, azimuth, elevation) / turn == pytest.approx(wanted, abs=1e-10)


def test_large_ring_in_phase_is_a_bessel_function():
    """With many elements only the first term is left: N J0(k R cos el), its first null at 2.404826."""
    ring = wb.ring(24, Q(WAVE, "m"), "0 deg")
    null = np.degrees(np.arccos(float(mpmath.besseljzero(0, 1)) / np.pi))
    assert np.abs(response(fired(ring, np.ones(24)), AROUND, null)) == pytest.approx(0, abs=1e-9)


# --- delays of an aligned ring ----------------------------------------------------------------------------


@pytest.mark.parametrize("elevation", [0.0, 20.0, 60.0])
@pytest.mark.parametrize("position", range(8))
def test_ring_of_eight_waits(elevation, position):
    """Toward an element: R(1 + cos) of the angle between, over c, times cos el; the nearest to the source longest."""
    radius = 21.0
    ring = wb.ring(8, Q(2 * radius, "m"), "0 deg")
    weights = wb.aligned_weights(ring, "1.83 MHz", Q(45 * position, "deg"), Q(elevation, "deg"))
    waits = -np.angle(weights) / (2 * np.pi * 1.83e6)
    assert np.abs(weights) == pytest.approx(1, abs=1e-12)
    # all are below half a period, 273 ns, so no turn is lost
    half = np.sqrt(0.5)
    away = radius / C * np.array([2, 1 + half, 1, 1 - half, 0, 1 - half, 1, 1 + half]) * np.cos(np.radians(elevation))
    assert np.roll(waits, -position) * 1e9 == pytest.approx(away * 1e9, abs=1e-6)


def test_contract_s_waits(assert_printed):
    """The example to check by hand: fired toward 22.5 deg at 20 deg."""
    weights = wb.aligned_weights(wb.ring(8, "42 m", "0 deg"), "1.83 MHz", "22.5 deg", "20 deg")
    waits = -np.angle(weights) / (2 * np.pi * 1.83e-3)
    for wait, printed in zip(
        waits, ("121.627", "121.627", "86.003", "35.624", "0.000", "0.000", "35.624", "86.003"), strict=True
    ):
        assert_printed(wait, printed, source="contract, example to check by hand")


def test_aligned_weights_keep_the_axes_of_their_arguments():
    """Arrays broadcast; elements come last."""
    ring = wb.ring(5, "40 m", "0 deg")
    frequencies, azimuths = Q([[1.83], [3.65]], "MHz"), Q([0.0, 90.0, 200.0], "deg")
    weights = wb.aligned_weights(ring, frequencies, azimuths, "20 deg")
    assert weights.shape == (2, 3, 5)
    for i, frequency in enumerate(frequencies[:, 0]):
        for j, azimuth in enumerate(azimuths):
            assert weights[i, j] == pytest.approx(wb.aligned_weights(ring, frequency, azimuth, "20 deg"), abs=1e-15)


# --- end-fire pairs ---------------------------------------------------------------------------------------


PAIRS = {
    "two": (wb.row(2, "20 m", "40 deg"), 40.0, [(0, 1)]),
    "three, the middle out": (wb.row(3, "20 m", "40 deg"), 40.0, [(0, 2)]),
    "four": (wb.row(4, "20 m", "-75 deg"), -75.0, [(0, 3), (1, 2)]),
    "five": (wb.row(5, "31 m", "0 deg"), 0.0, [(0, 4), (1, 3)]),
    "eight, two of a kind": (wb.ring(8, "42 m", "0 deg"), 22.5, [(0, 4), (0, 5), (1, 4), (1, 5), (7, 3), (2, 6)]),
    "eight, the middle out": (wb.ring(8, "42 m", "0 deg"), 90.0, [(2, 6), (1, 7), (3, 5)]),
    "square, sideways": (wb.square("24 m", "45 deg"), 0.0, [(0, 1), (3, 2)]),
    "square, corner first": (wb.square("24 m", "45 deg"), 45.0, [(0, 2)]),
    "far apart": (wb.row(4, "75 m", "10 deg"), 10.0, [(0, 3), (1, 2)]),
}
"""Layout, azimuth, and pairs of front and rear (indices) as a drawing shows them."""

MODES = [False, True]


def endfire(name, inversion, null=20.0, frequency="1.83 MHz"):
    layout, azimuth, pairs = PAIRS[name]
    return (
        layout,
        azimuth,
        pairs,
        wb.endfire_weights(layout, frequency, Q(azimuth, "deg"), Q(null, "deg"), inversion),
    )


@pytest.mark.parametrize("inversion", MODES)
@pytest.mark.parametrize("name", PAIRS)
@pytest.mark.parametrize("null", [0.0, 20.0, 47.0])
@pytest.mark.parametrize("ground", [wb.FREE_SPACE, wb.PERFECT_GROUND])
def test_endfire_hears_nothing_from_behind(name, null, inversion, ground):
    layout, azimuth, _, weights = endfire(name, inversion, null)
    firing = fired(layout, weights, ground, Q(azimuth, "deg"), frequency="1.83 MHz")
    back, front = (abs(response(firing, azimuth + turn, null)) for turn in (180, 0))
    assert back < 1e-12 * front


@pytest.mark.parametrize("inversion", MODES)
@pytest.mark.parametrize("name", PAIRS)
def test_endfire_waits(name, inversion):
    """In a pair d apart: front behind rear by 1/(2f) - d cos/c, or rear behind front by d cos/c and reversed."""
    layout, azimuth, pairs, weights = endfire(name, inversion)
    hertz, unit = 1.83e6, np.array([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))])
    ahead = layout.positions.m_as("m") @ unit
    used = sorted({i for pair in pairs for i in pair})
    assert np.abs(weights[used]) == pytest.approx(1, abs=1e-12)
    assert np.abs(np.delete(weights, used)) == pytest.approx(0, abs=0)
    for front, rear in pairs:
        travel = (ahead[front] - ahead[rear]) * np.cos(np.radians(20)) / C
        assert travel > 0
        if inversion:
            wanted = -1 * np.exp(-2j * np.pi * hertz * travel)
            assert weights[rear] / weights[front] == pytest.approx(wanted, abs=1e-9)
        else:
            wanted = np.exp(-2j * np.pi * hertz * (0.5 / hertz - travel))
            assert weights[front] / weights[rear] == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("inversion", MODES)
@pytest.mark.parametrize("name", PAIRS)
def test_endfire_pairs_add_up(name, inversion):
    """Pairs of rows are in phase toward the direction at the null elevation."""
    layout, azimuth, pairs, weights = endfire(name, inversion)
    sums = []
    for front, rear in pairs:
        of_pair = np.zeros(layout.count, dtype=complex)
        of_pair[[front, rear]] = weights[[front, rear]]
        sums.append(response(fired(layout, of_pair, frequency="1.83 MHz"), azimuth, 20.0))
    assert np.angle(np.array(sums) / sums[0]) == pytest.approx(0, abs=1e-9)
    # what one pair gives, 2 sin(k d cos), by hand
    front, rear = pairs[0]
    apart = np.linalg.norm(np.diff(layout.positions.m_as("m")[[front, rear]], axis=0))
    if name != "eight, two of a kind":
        assert abs(sums[0]) == pytest.approx(
            abs(2 * np.sin(2 * np.pi * 1.83e6 / C * apart * np.cos(np.radians(20)))), abs=1e-9
        )


@pytest.mark.parametrize("inversion", MODES)
def test_endfire_over_a_symmetrical_pair_is_alike_in_both_modes(inversion):
    """A quarter wave apart with the null on the horizon, both are the cardioid."""
    weights = wb.endfire_weights(CARDIOID, FREQUENCY, "30 deg", "0 deg", inversion)
    wanted = 2 * np.cos(np.pi / 4 * (1 - cosine(AROUND, 15.0, 30)))
    assert np.abs(response(fired(CARDIOID, weights), AROUND, 15.0)) == pytest.approx(wanted, abs=1e-12)
