"""The shape of a pattern against brute force at a hundredth of a degree, from small arrays to many wavelengths."""

import functools

import numpy as np
import pytest

import workbook as wb
from workbook.array.pattern_metrics import pattern_metrics

Q = wb.Quantity
C = 299_792_458.0
VACUUM = 8.8541878128e-12
LAND = wb.Ground(13, "5 mS/m")


# --- another way to the same figures ----------------------------------------------------------------------


def element(ground, hertz, height):
    """What one element receives; written again from the textbook."""
    if ground is wb.FREE_SPACE:
        return np.ones_like(height)
    if ground is wb.PERFECT_GROUND:
        return np.cos(height) ** 2
    eps = 13 - 5e-3j / (2 * np.pi * hertz * VACUUM)
    root = np.sqrt(eps - np.cos(height) ** 2)
    reflected = (eps * np.sin(height) - root) / (eps * np.sin(height) + root)
    return np.cos(height) ** 2 * np.abs(1 + reflected) ** 2 / 4


def power(firing, azimuth, height):
    """Power toward azimuths and heights (degree, to broadcast)."""
    hertz, metres = firing.frequency.m_as("Hz"), firing.layout.positions.m_as("m")
    azimuth, height = np.radians(azimuth), np.radians(height)
    k = 2 * np.pi * hertz / C
    total = 0
    for (east, north), weight in zip(metres, firing.weights, strict=True):
        ahead = east * np.sin(azimuth) + north * np.cos(azimuth)
        total = total + weight * np.exp(1j * k * ahead * np.cos(height))
    return np.abs(total) ** 2 * element(firing.ground, hertz, height)


def behind(firing):
    """Greatest power of the rear half, edges in, and the mean over its solid angle.

    A grid of a fifth of a degree; and wherever it comes within 0.1 dB of its greatest, one of a hundredth around. No
    lobe here is narrower than 2 degrees, so the first grid misses no summit by more than 0.05 dB.
    """
    aim = firing.azimuth.m_as("degree")
    turns, heights = np.linspace(90, 270, 901) + aim, np.linspace(0, 90, 451)
    found = power(firing, turns, heights[:, None])
    rows, columns = np.nonzero(found >= found.max() * 10**-0.01)
    near = np.linspace(-0.2, 0.2, 41)
    greatest = 0.0
    # points next to one another share their surroundings
    for height, turn in {(h // 2 * 2, t // 2 * 2) for h, t in zip(rows, columns, strict=True)}:
        around = np.clip(turns[turn] + near * 2, turns[0], turns[-1])
        up = np.clip(heights[height] + near * 2, 0, 90)
        greatest = max(greatest, power(firing, around, up[:, None]).max())
        if greatest >= found.max() * 10**0.01:
            break
    share = np.ones(901)
    share[[0, -1]] = 0.5
    solid = np.cos(np.radians(heights)) * np.append(np.append(0.5, np.ones(449)), 0.5)
    return greatest, found @ share / 900 @ solid / solid.sum()


def half_power(cut, start, closed):
    """Degrees between half power about the summit uphill from an entry of a cut in hundredths of a degree."""
    if closed:
        # three rounds, so that no summit or side of it lies beyond an end
        cut, start = np.tile(cut, 3), start + len(cut)
    while 0 < start < len(cut) - 1 and cut[start] < max(cut[start - 1], cut[start + 1]):
        start += 1 if cut[start + 1] > cut[start - 1] else -1
    below = [np.flatnonzero(side < cut[start] / 2) for side in (cut[start:], cut[start::-1])]
    if closed and not all(map(len, below)):
        return np.nan
    whole = (len(cut) - 1 - start, start)
    return sum((side[0] if len(side) else end) for side, end in zip(below, whole, strict=True)) / 100


# --- cases ------------------------------------------------------------------------------------------------


def fired(layout, megahertz, azimuth, rule="in phase", ground=LAND, elevation=20.0):
    frequency, toward, height = Q(megahertz, "MHz"), Q(azimuth, "deg"), Q(elevation, "deg")
    weights = {
        "in phase": lambda: np.ones(layout.count),
        "aligned": lambda: wb.aligned_weights(layout, frequency, toward, height),
        "end-fire": lambda: wb.endfire_weights(layout, frequency, toward, height),
        "greatest": lambda: wb.greatest_rdf_weights(layout, frequency, toward, height, ground, "-20 dB"),
    }[rule]()
    return wb.Firing(layout, weights, frequency, toward, height, ground)


def anywhere(seed, megahertz, spread):
    random = np.random.default_rng(seed)
    layout = wb.layout_from(Q(random.uniform(-spread, spread, (random.integers(3, 16), 2)), "m"))
    weights = random.normal(size=layout.count) + 1j * random.normal(size=layout.count)
    azimuth, elevation = Q(random.uniform(0, 360), "deg"), Q(random.uniform(5, 60), "deg")
    return wb.Firing(layout, weights, Q(megahertz, "MHz"), azimuth, elevation, LAND)


CASES = {
    "24 broadside": lambda: fired(wb.row(24, "20 m", "90 deg"), 14.1, 0),
    "8 broadside": lambda: fired(wb.row(8, "20 m", "90 deg"), 14.1, 0),
    "24 end-fire": lambda: fired(wb.row(24, "20 m", "0 deg"), 14.1, 0, "aligned"),
    "24 aslant": lambda: fired(wb.row(24, "20 m", "37 deg"), 14.1, 0, "aligned", wb.PERFECT_GROUND, 35.0),
    "two rows of 12": lambda: fired(wb.two_rows(12, "20 m", "40 m", "0 deg"), 14.1, 10, "aligned"),
    "ring of 24": lambda: fired(wb.ring(24, "150 m", "0 deg"), 14.1, 10, "aligned"),
    "end-fire pair": lambda: fired(wb.row(2, "20 m", "0 deg"), 1.83, 0, "end-fire"),
    "ring of 8, 160 m": lambda: fired(wb.ring(8, "42 m", "0 deg"), 1.83, 22.5, "greatest"),
    "ring of 8, 20 m": lambda: fired(wb.ring(8, "42 m", "0 deg"), 14.1, 0, "aligned", wb.PERFECT_GROUND),
    "square": lambda: fired(wb.square("24 m", "45 deg"), 3.65, 45, "aligned", wb.FREE_SPACE, 25.0),
    "anywhere, small": lambda: anywhere(1, 1.83, 25),
    "anywhere, middling": lambda: anywhere(2, 7.1, 60),
    "anywhere, large": lambda: anywhere(3, 14.1, 100),
}


@functools.cache
def case(name):
    firing = CASES[name]()
    return firing, pattern_metrics(firing)


@pytest.mark.parametrize("name", CASES)
def test_front_to_rear_by_brute_force(name):
    firing, found = case(name)
    greatest, mean = behind(firing)
    front = power(firing, firing.azimuth.m_as("degree"), firing.elevation.m_as("degree"))
    assert found.front_to_rear_worst.m_as("dB") == pytest.approx(10 * np.log10(front / greatest), abs=0.005)
    assert found.front_to_rear_mean.m_as("dB") == pytest.approx(10 * np.log10(front / mean), abs=0.005)


@pytest.mark.parametrize("name", CASES)
def test_widths_and_peak_by_brute_force(name):
    """Either half-power point is told by brute force up to a hundredth of a degree too far."""
    firing, found = case(name)
    azimuth, elevation = firing.azimuth.m_as("degree"), firing.elevation.m_as("degree")
    around = power(firing, azimuth + np.arange(36000) / 100, elevation)
    up = power(firing, azimuth, np.arange(9001) / 100)
    assert found.azimuth_beamwidth.m_as("degree") == pytest.approx(half_power(around, 0, True), abs=0.021, nan_ok=True)
    assert found.elevation_beamwidth.m_as("degree") == pytest.approx(half_power(up, up.argmax(), False), abs=0.021)
    peak = found.peak_elevation.m_as("degree")
    assert power(firing, azimuth, peak) >= up.max() * (1 - 1e-9)
    assert peak == pytest.approx(up.argmax() / 100, abs=0.011)


@pytest.mark.parametrize("name", CASES)
def test_nulls_by_brute_force(name):
    """Every dip of more than 15 dB is there and no other, deepest first; depths beyond 60 dB are only told so.

    Two dips within 0.6 degree may be told as one, where what lies between them is 30 dB down as well.
    """
    firing, found = case(name)
    angles = np.arange(0, 360, 0.01)
    cut = power(firing, angles, firing.elevation.m_as("degree"))
    low = (cut < np.roll(cut, 1)) & (cut <= np.roll(cut, -1)) & (cut < cut.max() * 10**-1.5)
    told = np.array([(where.m_as("degree"), depth.m_as("dB")) for where, depth in found.nulls]).reshape(-1, 2)
    assert np.all(np.diff(np.maximum(told[:, 1], -100)) >= -1e-3)

    def apart(one, other):
        return np.abs((np.subtract.outer(one, other) + 180) % 360 - 180)

    for angle, depth in zip(angles[low], 10 * np.log10(cut[low] / cut.max()), strict=True):
        near = apart(told[:, 0], angle)
        if near.min() > 0.02:
            assert near.min() < 0.6
            between = power(firing, np.linspace(angle, told[near.argmin(), 0], 101), firing.elevation.m_as("degree"))
            assert between.max() < cut.max() * 1e-3
        assert told[near.argmin(), 1] <= max(depth, -100) + 1e-3
    for angle, depth in told:
        assert apart(angles[low], angle).min() < 0.011
        exact = 10 * np.log10(power(firing, angle, firing.elevation.m_as("degree")) / cut.max())
        assert max(exact, -60) == pytest.approx(max(depth, -60), abs=0.01)


@pytest.mark.parametrize("count", [2, 8, 24])
def test_a_broadside_row_hears_as_much_behind(count):
    """Exactly behind all add up as in front, at the height where one element hears most: the count plays no part."""
    heights = np.linspace(0, 90, 900_001)
    hears = element(LAND, 14.1e6, np.radians(heights))
    wanted = 10 * np.log10(element(LAND, 14.1e6, np.radians(20.0)) / hears.max())
    assert wanted == pytest.approx(-0.54, abs=0.005)
    found = pattern_metrics(fired(wb.row(count, "20 m", "90 deg"), 14.1, 0))
    assert found.front_to_rear_worst.m_as("dB") == pytest.approx(wanted, abs=0.001)


def test_an_edge_of_the_rear_half_counts():
    """A row fired along itself in phase hears most 90 degrees off, on the edge: there all add up."""
    row = wb.row(8, "12 m", "0 deg")
    found = pattern_metrics(fired(row, 14.1, 0, ground=wb.PERFECT_GROUND, elevation=0.0))
    k = 2 * np.pi * 14.1e6 / C
    front = abs(np.exp(1j * k * 12 * np.arange(8)).sum()) ** 2 / 64
    assert found.front_to_rear_worst.m_as("dB") == pytest.approx(10 * np.log10(front), abs=1e-6)


def test_several_sets_of_weights_are_refused(refused):
    several = wb.Firing(wb.row(2, "20 m", "0 deg"), np.ones((3, 2)), "1.83 MHz", "0 deg", "20 deg", LAND)
    for call in (wb.pattern_metrics, wb.azimuth_cut, wb.elevation_cut):
        refused(lambda call=call: call(several), "firing", "one set of weights")
        refused(lambda call=call: call(None), "firing", "wb.Firing")


def test_one_element_falls_by_3_db_at_45_degrees():
    """The field of a short vertical over perfect ground is a cosine of the elevation (C. A. Balanis, Antenna Theory,
    section 4.7; from memory), and 45 degrees is a point of the grid, where its rounding must not decide.
    """
    one = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "0 deg", wb.PERFECT_GROUND)
    found = pattern_metrics(one)
    assert found.elevation_beamwidth.m_as("degree") == pytest.approx(45, abs=1e-6)
    assert found.peak_elevation.m_as("degree") == pytest.approx(0, abs=1e-6)
