"""RDF against printed directivities: one element, rows in end-fire, supergain; and prints that are not exact.

FREE_SPACE is isotropic: its closed forms hold as printed. Over PERFECT_GROUND stands a short vertical; a level array of
short dipoles in free space sends half its power below the horizon and the same field above, so over perfect ground its
directivity is exactly twice that in free space, and prints for short dipoles are compared with half of it.
"""

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
C = 299_792_458
WAVE = 160.0
"""Wavelength [m] of FREQUENCY."""
FREQUENCY = Q(C / WAVE, "Hz")
NORTH = Q(0.0, "deg")
KRAUS = "Kraus, Antennas, 5-6.4 and 2-10.1, through a companion"
BALANIS = "Balanis, Antenna Theory, examples 6.3 to 6.5, p. 317-318, through a companion"
BAKSHI = "Bakshi, examples 4.9 to 4.12, through a companion"


def line(count, spacing, toward=NORTH):
    """Row along a direction, spacing in wavelengths; element 1 is the front."""
    return wb.row(count, Q(spacing * WAVE, "m"), toward)


def stepped(count, lag):
    """Equal amplitudes, each `lag` degrees behind the next one to the rear."""
    return np.exp(-1j * np.radians(lag) * np.arange(count)[::-1])


def rdf(layout, weights, ground, azimuth=NORTH):
    return wb.rdf(wb.Firing(layout, weights, FREQUENCY, azimuth, "0 deg", ground))


def ratio(*args):
    return 10 ** (rdf(*args).m_as("dB") / 10)


def test_short_dipole_has_the_printed_directivity(assert_printed):
    """One of two elements: the other has weight zero."""
    pair = line(2, 0.2)
    assert_printed(ratio(pair, [0, 1], wb.PERFECT_GROUND) / 2, "1.5", source=KRAUS)
    assert_printed(10 * np.log10(ratio(pair, [1, 0], wb.PERFECT_GROUND) / 2), "1.761", source=KRAUS)


@pytest.mark.parametrize(
    ("count", "printed", "source"), [(10, "10.0 dB", BALANIS), (8, "9.0309 dB", BAKSHI), (10, "10.0 dB", BAKSHI)]
)
def test_ordinary_endfire_row_has_the_printed_directivity(assert_printed, count, printed, source):
    """A quarter wave apart, aligned or stepped by 90 degrees, which is the same."""
    row = line(count, 0.25)
    in_phase = wb.aligned_weights(row, FREQUENCY, NORTH, "0 deg")
    assert_printed(rdf(row, in_phase, wb.FREE_SPACE), printed, source=source)
    assert_printed(rdf(row, stepped(count, 90), wb.FREE_SPACE), printed, source=source)


@pytest.mark.parametrize(
    ("count", "lag", "azimuth", "printed", "exact", "source"),
    [
        (10, 0.0, "90 deg", "6.8124 dB", 7.132, f"{BALANIS}: 2Nd/wave with 50/4 cut off to 12"),
        (8, 0.0, "90 deg", "6.0206 dB", 6.194, f"{BAKSHI}: 2Nd/wave, which is only near"),
        (16, 90.0, "0 deg", "11.761 dB", 12.041, f"{BAKSHI}: 4(N - 1)d/wave, which is only near"),
        (10, 90.0 + np.degrees(0.294), "0 deg", "12.565 dB", 12.542, f"{BALANIS}: 1.805 times 4Nd/wave"),
        (10, 90.0 + 18.0, "0 deg", "12.5261 dB", 12.502, f"{BAKSHI}: 1.789 times 4Nd/wave"),
    ],
)
def test_approximate_directivity_in_print_is_not_reproduced(
    assert_printed, count, lag, azimuth, printed, exact, source
):
    """The sum over all pairs, worked out independently, is `exact`; the books print their formula's value."""
    found = rdf(line(count, 0.25), stepped(count, lag), wb.FREE_SPACE, azimuth)
    assert found.m_as("dB") == pytest.approx(exact, abs=0.0006)
    with pytest.raises(AssertionError, match="is not the printed"):
        assert_printed(found, printed, source=source)


@pytest.mark.parametrize("spacing", [0.1, 0.2, 0.25])
def test_best_extra_lag_of_a_long_row_is_that_of_the_increased_directivity_condition(spacing):
    """2.94 rad over the whole length (Hansen and Woodyard, 1938, from memory)."""
    count = 60
    along = spacing * WAVE * np.arange(count)[::-1]
    row = wb.layout_from(Q(np.stack((0 * along, along), axis=-1), "m"))
    extra = np.linspace(2.4, 3.5, 56)
    lag = 360 * spacing + np.degrees(extra[:, None] / count)
    weights = np.exp(-1j * np.radians(lag) * np.arange(count)[::-1])
    best = extra[np.argmax(rdf(row, weights, wb.FREE_SPACE).m_as("dB"))]
    assert best == pytest.approx(2.94, abs=0.06)


def greatest(layout, ground):
    """The greatest RDF at the horizon with no limit to speak of."""
    weights = wb.greatest_rdf_weights(layout, FREQUENCY, NORTH, "0 deg", ground, "-150 dB")
    return ratio(layout, weights, ground)


def test_two_close_isotropic_elements_reach_the_square_of_their_number(assert_printed):
    """The directivity nears N^2 as the spacing goes to zero, for two elements 4 or 6 dB; here 0.02 wave apart."""
    source = "abstract of Altshuler et al. on superdirective monopoles, seen"
    assert_printed(10 * np.log10(greatest(line(2, 0.02), wb.FREE_SPACE)), "6", source=source)


def test_two_close_short_dipoles_reach_the_printed_optimum(assert_printed):
    """Twice that over perfect ground: 10.2 dB for two short verticals, however near."""
    assert_printed(greatest(line(2, 0.01), wb.PERFECT_GROUND) / 2, "5.25", source="Uzkov; Altshuler; from memory")
