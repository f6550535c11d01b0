"""Complex permittivity of ground, found from what one short vertical receives: R = 2f/cos el - 1."""

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
AT_ORIGIN = wb.layout_from(Q([[0, 0], [0, 10]], "m"))
KRAUS = "Kraus, Antennas, example 15-4.1, p. 529, through a companion"


def received(ground, frequency, elevation, azimuth=0.0):
    """Response of one element at the origin; angles in degrees."""
    one = wb.Firing(AT_ORIGIN, [1, 0], frequency, "0 deg", "20 deg", ground)
    return wb.array_response(one, Q(azimuth, "deg"), Q(elevation, "deg"))


def reflection(ground, frequency, elevation):
    return 2 * received(ground, frequency, elevation) / np.cos(np.radians(elevation)) - 1


def permittivity_found(ground, frequency, elevation):
    """Permittivity from reflection: (1-R)/(1+R) = sqrt(eps - cos^2)/(eps sin), a quadratic in eps."""
    r, s = reflection(ground, frequency, elevation), np.sin(np.radians(elevation))
    t = ((1 - r) / (1 + r) * s) ** 2
    roots = np.roots([t, -1, 1 - s**2])
    return max(roots, key=abs)


@pytest.mark.parametrize(
    ("frequency", "imaginary", "exact"), [("1 MHz", "180", "179.75"), ("100 MHz", "1.8", "1.7975")]
)
def test_loss_part_of_the_permittivity_is_the_printed_one(assert_printed, frequency, imaginary, exact):
    """Of 16 and 10 mS/m: the print, and the exact 17975 sigma/f in MHz (mu0 c^2/(2 pi), where Kraus rounds eps_0)."""
    found = permittivity_found(wb.Ground(16, "10 mS/m"), frequency, 30.0)
    assert found.real == pytest.approx(16, rel=1e-9)
    # a lossy ground under e^{+jwt} has a negative imaginary part
    assert_printed(-found.imag, imaginary, source=KRAUS)
    assert_printed(-found.imag, exact, source="17975 sigma/f, references section 6")
