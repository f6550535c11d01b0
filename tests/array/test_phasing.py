"""Delays that bring a wave from one direction into step."""

import numpy as np
import pytest

import workbook as wb
from workbook.array.phasing import aligned_delays

C = 299_792_458.0


def test_two_elements_in_line_with_the_wave():
    """The front one meets the wave first and waits for the other: 30 m/c = 100.069 ns, along the ground."""
    row = wb.row(2, "30 m", "0 deg").metres
    assert aligned_delays(row, 0.0, 0.0) * 1e9 == pytest.approx([100.069, 0], abs=5e-4)
    assert aligned_delays(row, np.pi, 0.0) * 1e9 == pytest.approx([0, 100.069], abs=5e-4)
    assert aligned_delays(row, np.pi / 2, 0.0) == pytest.approx([0, 0], abs=1e-20)


def test_a_high_wave_needs_less():
    row = wb.row(2, "30 m", "0 deg").metres
    assert aligned_delays(row, 0.0, np.pi / 3) * 1e9 == pytest.approx([50.0346, 0], abs=5e-5)
    assert aligned_delays(row, 0.0, np.pi / 2) == pytest.approx([0, 0], abs=1e-20)


HALF_WAVE = wb.Quantity(C / 1.83e6 / 2, "m")


@pytest.mark.parametrize("inversion", [False, True])
@pytest.mark.parametrize(
    ("layout", "null"),
    [
        (wb.row(2, HALF_WAVE, "0 deg"), "0 deg"),
        (wb.row(2, 2 * HALF_WAVE, "0 deg"), "0 deg"),
        (wb.row(2, 2 * HALF_WAVE, "0 deg"), "60 deg"),
        (wb.row(4, HALF_WAVE / 3, "0 deg"), "0 deg"),
        (wb.row(2, "20 m", "0 deg"), "90 deg"),
    ],
)
def test_a_pair_that_cancels_its_own_front_is_refused(refused, layout, null, inversion):
    """Front and rear differ by 2 k d cos(null) when the wave from behind cancels; whole turns cancel the front too."""
    words = "null_elevation", "spacing", "inversion", "frequency"
    refused(lambda: wb.endfire_weights(layout, "1.83 MHz", "0 deg", null, inversion), *words)
    # a little elsewhere it has a front, though a weak one
    weights = wb.endfire_weights(layout, "1.8 MHz", "0 deg", "85 deg" if null == "90 deg" else null, inversion)
    assert np.all(np.abs(weights) == pytest.approx(1))


def test_directions_come_first():
    ring = wb.ring(8, "42 m", "0 deg").metres
    azimuths = np.radians([0, 45, 90])
    together = aligned_delays(ring, azimuths, 0.3)
    assert together.shape == (3, 8)
    for azimuth, delays in zip(azimuths, together, strict=True):
        assert delays == pytest.approx(aligned_delays(ring, azimuth, 0.3))


def test_the_contract_s_example():
    ring = wb.ring(8, "42 m", "0 deg").metres
    delays = aligned_delays(ring, np.radians(22.5), np.radians(20)) * 1e9
    assert delays == pytest.approx([121.627, 121.627, 86.003, 35.624, 0, 0, 35.624, 86.003], abs=5e-4)


def test_after_waiting_all_arrive_together():
    """A plane wave front, followed by hand: arrival at each element plus its delay is one time."""
    ring = wb.ring(5, "31 m", "11 deg").metres
    azimuth, elevation = np.radians(200), np.radians(15)
    toward = np.array([np.sin(azimuth), np.cos(azimuth)]) * np.cos(elevation)
    arrival = -(ring @ toward) / C
    total = arrival + aligned_delays(ring, azimuth, elevation)
    assert np.ptp(total) < 1e-18
