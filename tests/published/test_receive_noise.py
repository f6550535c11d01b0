"""External noise and cascades against Recommendation ITU-R P.372 and textbooks."""

import numpy as np
import pytest

import workbook as wb

P372 = (
    "coefficients of ITU-R P.372 as in two independent programs, one of the ITU-R study group 3; worked out from them"
)

# dB at 1.8, 3.5, 7, 10, 14, 21 and 28 MHz
FAM = {
    "city": "69.73 61.73 53.39 49.10 45.05 40.17 36.71",
    "residential": "65.43 57.43 49.09 44.80 40.75 35.87 32.41",
    "rural": "60.13 52.13 43.79 39.50 35.45 30.57 27.11",
    "quiet rural": "46.30 38.04 29.43 25.00 20.82 15.78 12.21",
}
MEGAHERTZ = (1.8, 3.5, 7, 10, 14, 21, 28)


@pytest.mark.parametrize("environment", FAM)
def test_man_made_noise_has_the_levels_of_the_recommendation(assert_printed, environment):
    levels = wb.external_noise(wb.Quantity(np.array(MEGAHERTZ), "MHz"), environment).m_as("dB")
    for level, printed in zip(levels, FAM[environment].split(), strict=True):
        assert_printed(level, printed, source=P372)


@pytest.mark.parametrize(
    ("environment", "c"), [("city", "76.8"), ("residential", "72.5"), ("rural", "67.2"), ("quiet rural", "53.6")]
)
def test_man_made_noise_has_the_coefficients_of_the_recommendation(assert_printed, environment, c):
    assert_printed(wb.external_noise("1 MHz", environment), f"{c} dB", source="ITU-R P.372, coefficients c")
    slope = wb.external_noise("1 MHz", environment) - wb.external_noise("10 MHz", environment)
    assert_printed(
        slope, "28.6 dB" if environment == "quiet rural" else "27.7 dB", source="ITU-R P.372, coefficients d"
    )


def test_galactic_noise_has_the_levels_of_the_recommendation(assert_printed):
    levels = wb.galactic_noise(wb.Quantity(np.array(MEGAHERTZ), "MHz"), "1 MHz").m_as("dB")
    for level, printed in zip(levels, "46.13 39.49 32.56 29.00 25.64 21.59 18.72".split(), strict=True):
        assert_printed(level, printed, source="52 - 23 log f, a note that quotes ITU-R P.372-16, equation 13")


@pytest.mark.parametrize(
    ("fa", "frequency", "bandwidth"), [("46.3 dB", "1.8 MHz", "500 Hz"), ("20 dB", "14 MHz", "2.7 kHz")]
)
def test_field_strength_of_noise_follows_the_recommendation_s_relation(fa, frequency, bandwidth):
    """E_n = F_a + 20 log f + B - 95.5 dB(uV/m) for a short vertical on perfect ground (ITU-R P.372, from memory)."""
    field = wb.noise_field(fa, frequency, bandwidth).m_as("uV/m")
    megahertz, hertz = wb.quantity(frequency).m_as("MHz"), wb.quantity(bandwidth).m_as("Hz")
    relation = wb.quantity(fa).m_as("dB") + 20 * np.log10(megahertz) + 10 * np.log10(hertz) - 95.5
    assert 20 * np.log10(field) == pytest.approx(relation, abs=0.05)  # half of the last digit of 95.5


def test_mishra_2_12_two_amplifiers_after_each_other(assert_printed):
    source = "Mishra, example 2.12, p. 43"
    first, second = wb.Stage("first", "20 dB", "3 dB"), wb.Stage("second", "20 dB", "5 dB")
    factor = 10 ** (wb.cascade([first, second])[1].m_as("dB") / 10)
    assert_printed(factor, "2.016885", source=source)
    assert_printed(wb.cascade([first, second])[1], "3.047 dB", source=source)
    assert_printed(wb.cascade([second, first])[1], "5.0136 dB", source=source)
    assert_printed(wb.cascade([first, second])[0], "40 dB", source=source)


def test_balanis_2_18_line_at_its_own_temperature(assert_printed):
    """An antenna of 150 K and efficiency 0.99 through 10 m of 0.0149 Np/m, both at 300 K."""
    line = wb.passive_stage("line", wb.Quantity(0.149, "Np"), "300 K")
    gain, figure = (part.m_as("dB") for part in wb.cascade([line]))
    antenna = 150 + 300 * (1 / 0.99 - 1)
    received = (antenna + 290 * (10 ** (figure / 10) - 1)) * 10 ** (gain / 10)
    assert_printed(received, "190.904", source="Balanis, example 2.18, p. 108")


def test_receiver_hardly_counts_below_strong_external_noise(assert_printed):
    """Ghasemi, example 5.9, p. 202, is wrong in print: S/N falls from
     11.0 to 6.0 dB by a receiver of 5 dB under external
    noise of 50 dB. By ITU-R P.372 the factors add as fa + fr - 1: 50.0001 dB.
    """
    one = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "7 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
    lossless, receiver = wb.Stage("element", "0 dB", "0 dB"), wb.Stage("receiver", "0 dB", "5 dB")
    margin = wb.noise_margin(one, "50 dB", lossless, [receiver])
    total = wb.combined_noise([margin.external, margin.chain]).m_as("dB")
    assert_printed(total, "50.0001", source="fa + fr - 1, worked out independently")
    assert total - 50 < 0.01 < 5.0


def test_a_low_loss_cable_before_or_behind_an_amplifier():
    """Any textbook on noise: a cable before an amplifier adds its whole loss to the noise figure (exact at 290 K)."""
    cable, amplifier = wb.passive_stage("cable", "6 dB"), wb.Stage("amplifier", "20 dB", "4 dB")
    assert wb.cascade([cable, amplifier])[1].m_as("dB") == pytest.approx(10, abs=1e-9)
    behind = 10 * np.log10(10**0.4 + (10**0.6 - 1) / 100)
    assert wb.cascade([amplifier, cable])[1].m_as("dB") == pytest.approx(behind, abs=1e-9)
