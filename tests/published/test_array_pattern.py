"""Nulls and phase steps of rows against printed examples."""

import numpy as np
import pytest
from scipy.optimize import brentq

import workbook as wb

Q = wb.Quantity
C = 299_792_458
WAVE = 160.0
"""Wavelength [m] of FREQUENCY."""

FREQUENCY = Q(C / WAVE, "Hz")
BALANIS = "Balanis, Antenna Theory, example 6.6, p. 319, through a companion"
BAKSHI = "Bakshi, example 4.5, through a companion"


def fired(layout, weights, ground=wb.FREE_SPACE, azimuth="0 deg", elevation="20 deg", frequency=FREQUENCY):
    return wb.Firing(layout, weights, frequency, azimuth, elevation, ground)


def response(firing, azimuth, elevation):
    return wb.array_response(firing, Q(azimuth, "deg"), Q(elevation, "deg"))


# --- rows -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("printed", ["1.31812", "1.0472", "0.722734"])
def test_nulls_of_a_broadside_row_of_eight(assert_printed, printed):
    """Half a wave apart; angles in radians from the line of the row."""
    firing = fired(wb.row(8, Q(WAVE / 2, "m"), "0 deg"), np.ones(8))
    near = np.degrees(float(printed))
    null = brentq(lambda azimuth: response(firing, azimuth, 0.0).real, near - 3, near + 3, xtol=1e-10)
    assert_printed(np.radians(null), printed, source=BAKSHI)


def test_phase_step_of_a_scanned_row(assert_printed):
    """A quarter wave apart, 30 deg from end-fire: each element lags the one behind it by so much."""
    row = wb.row(10, Q(WAVE / 4, "m"), "0 deg")
    weights = wb.aligned_weights(row, FREQUENCY, "30 deg", "0 deg")
    steps = np.angle(weights[:-1] / weights[1:])
    assert steps == pytest.approx(steps[0], abs=1e-12)
    assert_printed(steps[0], "-1.36035", source=BALANIS)
