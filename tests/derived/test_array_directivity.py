"""RDF against closed forms and sums worked out by other methods: pairs, rows, end-fire, supergain.

Two kinds of element. FREE_SPACE is isotropic. Over PERFECT_GROUND stands a short vertical; a level array of short
dipoles in free space sends half its power below the horizon and the same field above, so over perfect ground its
directivity is exactly twice that in free space. Figures with digits were worked out outside this project.
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
NORTH = Q(0.0, "deg")
SUM = "exact value of the sum over all pairs, worked out independently"
CLOSE = "d^H B^-1 d of isotropic elements 0.02 wave apart, derived"


def line(count, spacing, toward=NORTH):
    """Row along a direction, spacing in wavelengths; element 1 is the front."""
    return wb.row(count, Q(spacing * WAVE, "m"), toward)


def stepped(count, lag):
    """Equal amplitudes, each `lag` degrees behind the next one to the rear."""
    return np.exp(-1j * np.radians(lag) * np.arange(count)[::-1])


def rdf(layout, weights, ground, azimuth=NORTH, elevation="0 deg"):
    return wb.rdf(wb.Firing(layout, weights, FREQUENCY, azimuth, elevation, ground))


def ratio(*args, **more):
    return 10 ** (rdf(*args, **more).m_as("dB") / 10)


# --- pairs ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("spacing", [0.25, 0.3, 0.5, 0.8, 1.7])
def test_isotropic_pair_fed_a_quarter_turn_apart(spacing):
    """Exactly 2 where both add up, whatever the spacing: cos 90 deg strikes out the mutual term 2 sin(kd)/kd cos b.

    They add up at the angle from the line where kd cos = 90 deg, so from a quarter wave on.
    """
    angle = np.degrees(np.arccos(0.25 / spacing))
    found = ratio(line(2, spacing), stepped(2, 90), wb.FREE_SPACE, Q(angle, "deg"))
    assert found == pytest.approx(2, rel=1e-12)


@pytest.mark.parametrize(
    ("spacing", "lag", "printed"),
    [
        (1 / 4, 90, "7.782 dB"),
        (1 / 4, 100, "8.199 dB"),
        (1 / 4, 110, "8.586 dB"),
        (1 / 4, 120, "8.931 dB"),
        (1 / 4, 130, "9.214 dB"),
        (1 / 4, 140, "9.407 dB"),
        (1 / 4, 150, "9.472 dB"),
        (1 / 8, 135, "9.004 dB"),
        (1 / 8, 150, "9.717 dB"),
        (1 / 16, 157.5, "9.252 dB"),
    ],
)
def test_short_verticals_over_perfect_ground(assert_printed, spacing, lag, printed):
    found = rdf(line(2, spacing), stepped(2, lag), wb.PERFECT_GROUND)
    assert_printed(found, printed, source="two short verticals over perfect ground, derived")


def test_short_dipoles(assert_printed):
    """Rows for short vertical dipoles in free space: half of what stands on perfect ground."""
    quarter = ratio(line(2, 0.25), stepped(2, 90), wb.PERFECT_GROUND)
    assert quarter / 2 == pytest.approx(3, rel=1e-10)
    eighth = ratio(line(2, 0.125), stepped(2, 135), wb.PERFECT_GROUND)
    assert_printed(eighth / 2, "3.9757", source="vertical pair, eighth wave, -135 deg, derived")


def test_four_square(assert_printed):
    """Corner 1 leads the wave; 0, -90, -90, -180 deg with the front last, side a quarter wave."""
    corners = wb.square(Q(WAVE / 4, "m"), NORTH)
    weights = np.exp(-1j * np.radians([180, 90, 0, 90]))
    found = rdf(corners, weights, wb.PERFECT_GROUND)
    assert_printed(found, "10.33 dB", source="four-square over perfect ground, derived")
    assert_printed(10 ** (found.m_as("dB") / 10) / 2, "5.392", source="four-square of short dipoles, derived")


@pytest.mark.parametrize("seed", range(5))
def test_short_verticals_by_their_mutual_resistance(seed):
    """Closed form: r(x) = 3/2 (sin x/x + cos x/x^2 - sin x/x^3) is the mutual over the self resistance of parallel
    short dipoles side by side (textbook; its value at 0 is 1), so D = 3 |sum w e^{jku.r}|^2 / sum w_m* w_n r(k d_mn).
    """
    random = np.random.default_rng(seed)
    metres = random.uniform(-WAVE, WAVE, (6, 2))
    weights = random.normal(size=6) + 1j * random.normal(size=6)
    azimuth = random.uniform(0, 360)
    k = 2 * mpmath.pi / WAVE

    def mutual(d):
        x = k * mpmath.mpf(d)
        return 1 if d == 0 else 1.5 * (mpmath.sin(x) / x + mpmath.cos(x) / x**2 - mpmath.sin(x) / x**3)

    apart = np.linalg.norm(metres[:, None] - metres[None], axis=-1)
    whole = np.array([[float(mutual(d)) for d in line] for line in apart])
    ahead = metres @ [np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))]
    front = abs(weights @ np.exp(2j * np.pi / WAVE * ahead)) ** 2
    wanted = 10 * np.log10(3 * front / (weights.conj() @ whole @ weights).real)
    found = rdf(wb.layout_from(Q(metres, "m")), weights, wb.PERFECT_GROUND, Q(azimuth, "deg"))
    assert found.m_as("dB") == pytest.approx(wanted, abs=1e-8)


# --- rows of isotropic elements ---------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "printed"), [(10, "7.132 dB"), (8, "6.194 dB")])
def test_broadside_row(assert_printed, count, printed):
    """A quarter wave apart; the usual 2Nd/wave is only near."""
    assert_printed(rdf(line(count, 0.25), np.ones(count), wb.FREE_SPACE, "90 deg"), printed, source=SUM)


def test_broadside_row_of_ten_as_a_number(assert_printed):
    assert_printed(ratio(line(10, 0.25), np.ones(10), wb.FREE_SPACE, "-90 deg"), "5.166", source=SUM)


@pytest.mark.parametrize("count", range(2, 13))
@pytest.mark.parametrize("quarters", [1, 2, 3, 4, 6])
def test_directivity_is_the_number_of_elements(count, quarters):
    """In end-fire at every quarter wave, broadside at every half wave: the mutual terms sin(kmd) cos(kmd) vanish."""
    row = line(count, quarters / 4)
    assert ratio(row, stepped(count, 90 * quarters), wb.FREE_SPACE) == pytest.approx(count, rel=1e-9)
    if quarters % 2 == 0:
        assert ratio(row, np.ones(count), wb.FREE_SPACE, "90 deg") == pytest.approx(count, rel=1e-9)


@pytest.mark.parametrize(("extra", "printed"), [(2.94, "12.542 dB"), (np.pi, "12.502 dB")])
def test_increased_directivity_endfire(assert_printed, extra, printed):
    """Hansen and Woodyard: extra lag 2.94/N (about pi/N) per element, ten elements a quarter wave apart."""
    weights = stepped(10, 90 + np.degrees(extra / 10))
    assert_printed(rdf(line(10, 0.25), weights, wb.FREE_SPACE), printed, source=SUM)


# --- supergain --------------------------------------------------------------------------------------------


def greatest(layout, ground):
    """The greatest RDF at the horizon with no limit to speak of."""
    weights = wb.greatest_rdf_weights(layout, FREQUENCY, NORTH, "0 deg", ground, "-150 dB")
    return ratio(layout, weights, ground)


@pytest.mark.parametrize(("count", "printed"), [(2, "3.9958"), (3, "8.989"), (4, "15.98")])
def test_supergain(assert_printed, count, printed):
    assert_printed(greatest(line(count, 0.02), wb.FREE_SPACE), printed, source=CLOSE)


@pytest.mark.parametrize("count", [2, 3])
def test_supergain_nears_the_square(count):
    """From below, and the lack falls with the square of the spacing."""
    lacks = [count**2 - greatest(line(count, spacing), wb.FREE_SPACE) for spacing in (0.08, 0.04, 0.02)]
    assert lacks[0] > lacks[1] > lacks[2] > 0
    assert lacks[0] / lacks[1] == pytest.approx(4, rel=0.05)
    assert lacks[1] / lacks[2] == pytest.approx(4, rel=0.05)


@pytest.mark.parametrize("count", range(2, 9))
@pytest.mark.parametrize("spacing", [0.003, 0.01, 0.02, 0.04, 0.08])
def test_supergain_is_right_or_refused(refused, count, spacing):
    """d^H B^-1 d in fifty digits, B_mn = sin(kd_mn)/kd_mn: nothing is given that rounding has spoiled by 1e-4 dB."""
    with mpmath.workdps(50):
        kd = 2 * mpmath.pi * mpmath.mpf(spacing)
        mutual = mpmath.matrix(count, count)
        for one in range(count):
            for other in range(count):
                mutual[one, other] = mpmath.sinc(kd * (one - other))
        d = mpmath.matrix([mpmath.expj(kd * n) for n in range(count)])
        wanted = float(mpmath.re((d.H * mpmath.lu_solve(mutual, d))[0]))
        strength = mpmath.eigsy(mutual, eigvals_only=True)
    assert count**2 * (1 - count**2 * spacing**2 * 2) < wanted < count**2
    try:
        found = greatest(line(count, spacing), wb.FREE_SPACE)
    except wb.InputError:
        # only where B is so nearly singular that four digits of its inverse are left
        assert strength[0] / strength[count - 1] < 1e-11
        refused(lambda: greatest(line(count, spacing), wb.FREE_SPACE), "least_white_noise_gain", "dB or more")
    else:
        assert 10 * np.log10(found / wanted) == pytest.approx(0, abs=1e-4)


def test_supergain_of_a_pair_by_its_closed_form():
    """Two isotropic elements: D = 2 (1 - s cos kd)/(1 - s^2), s = sin(kd)/kd (2x2 inverse by hand)."""
    for spacing in (0.05, 0.125, 0.3, 0.6):
        kd = 2 * np.pi * spacing
        s = np.sin(kd) / kd
        wanted = 2 * (1 - s * np.cos(kd)) / (1 - s**2)
        assert greatest(line(2, spacing), wb.FREE_SPACE) == pytest.approx(wanted, rel=1e-9)


# --- one element ------------------------------------------------------------------------------------------


def test_one_short_vertical_over_perfect_ground_has_three_times_the_average(assert_printed):
    """Twice the short dipole's 1.5, and cos^2 of the elevation."""
    pair = line(2, 0.2)
    assert_printed(rdf(pair, [1, 0], wb.PERFECT_GROUND), "4.771 dB", source="10 log 3")
    assert ratio(pair, [1, 0], wb.PERFECT_GROUND, elevation="60 deg") == pytest.approx(0.75, rel=1e-12)


@pytest.mark.parametrize(("azimuth", "elevation"), [("0 deg", "0 deg"), ("77 deg", "90 deg")])
def test_one_isotropic_element_has_no_directivity(azimuth, elevation):
    isotropic = rdf(line(2, 0.2), [0, 1j], wb.FREE_SPACE, azimuth, elevation)
    assert isotropic.m_as("dB") == pytest.approx(0, abs=1e-12)


def test_endfire_row_of_sixteen(assert_printed):
    row = line(16, 0.25)
    in_phase = wb.aligned_weights(row, FREQUENCY, NORTH, "0 deg")
    assert_printed(rdf(row, in_phase, wb.FREE_SPACE), "12.041 dB", source=SUM)


def test_two_short_dipoles_at_a_hundredth_of_a_wave(assert_printed):
    assert_printed(greatest(line(2, 0.01), wb.PERFECT_GROUND) / 2, "5.2487", source="2x2 inverse, derived")
