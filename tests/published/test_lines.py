"""Worked examples of textbooks on lines with one end terminated, and printed slips that must not come back."""

import numpy as np
import pytest

import workbook as wb
from workbook.formulas.lines import reflection

Q = wb.Quantity
C = 299_792_458.0

# many companions take c for 3e8 m/s; their frequencies are scaled by this, so that no tolerance has to be widened
BOOK_C = 3e8
BY_COMPANION = "(values by way of a textbook companion)"
SADIKU = f"Sadiku, example {{}} {BY_COMPANION}"
MISHRA = f"Mishra, example {{}} {BY_COMPANION}"
STANLEY = f"Stanley, example {{}} {BY_COMPANION}"
BLAKE = f"Blake, example {{}} {BY_COMPANION}"
POZAR = f"Pozar, example {{}} {BY_COMPANION}"


def _line(impedance, gamma, hertz):
    """A line that has this impedance and propagation constant at this frequency."""
    series, shunt, omega = gamma * impedance, gamma / impedance, 2 * np.pi * hertz
    return wb.constant_cable(
        Q(np.real(series), "ohm/m"),
        Q(np.imag(series) / omega, "H/m"),
        Q(np.real(shunt), "S/m"),
        Q(np.imag(shunt) / omega, "F/m"),
    )


def _seen(cable, length, hertz, load):
    return wb.input_impedance(cable, Q(length, "m"), Q(hertz, "Hz"), Q(load, "ohm")).m_as("ohm")


def _circuit(cable, hertz):
    """R, L, G, C per metre, read back from what the cable answers."""
    gamma = cable.propagation_constant(Q(hertz, "Hz")).m_as("1/m")
    impedance = cable.characteristic_impedance(Q(hertz, "Hz")).m_as("ohm")
    series, shunt, omega = gamma * impedance, gamma / impedance, 2 * np.pi * hertz
    return series.real, series.imag / omega, shunt.real, shunt.imag / omega


# --- impedance, velocity, the four constants --------------------------------------------------------------


def test_mishra_3_1_impedance_of_a_lossy_line(assert_printed):
    # printed as 20.106 ohm and 1.2064e-4 S, which are 2 pi times 3.2 and 19.2e-6 rounded
    line = wb.constant_cable("0.015 ohm/m", "3.2 uH/m", "1e-4 S/m", "19.2 pF/m")
    impedance = line.characteristic_impedance("1 MHz").m_as("ohm")
    assert_printed(impedance.real, "337.018", source=MISHRA.format("3.1, page 60"))
    assert_printed(impedance.imag, "121.379", source=MISHRA.format("3.1, page 60"))


def test_stanley_14_4_to_14_6_lossless_line(assert_printed):
    line = wb.constant_cable("0 ohm/m", "320 nH/m", "0 S/m", "90 pF/m")
    source = STANLEY.format("14.4 to 14.6, pages 474 to 476")
    assert_printed(line.nominal_impedance, "59.63 ohm", source=source)
    assert_printed(line.characteristic_impedance("10 MHz").m_as("ohm").real, "59.63", source=source)
    assert_printed(line.velocity_factor("10 MHz") * C, "1.863e8", source=source)
    assert_printed(line.nominal_velocity_factor**-2, "2.59", source=source)


def test_blake_14_1_inductance(assert_printed):
    velocity = 1 / (50 * 90e-12 * C)
    _, inductance, _, _ = _circuit(wb.ideal_cable("50 ohm", velocity), 1e6)
    assert_printed(inductance * 1e9, "225", source=BLAKE.format("14.1"))


def test_blake_14_3_velocity_factor(assert_printed):
    air = 1 / (50 * C)
    line = wb.constant_cable("0 ohm/m", Q(50 / C, "H/m"), "0 S/m", Q(2.1 * air, "F/m"))
    assert_printed(line.velocity_factor("1 MHz"), "0.69", source=BLAKE.format("14.3"))


def test_sadiku_11_1_inductance_and_capacitance(assert_printed):
    velocity = 2 * np.pi * 100e6 / 3 / C
    _, inductance, _, capacitance = _circuit(wb.ideal_cable("70 ohm", velocity), 100e6)
    assert_printed(inductance * 1e9, "334.2", source=SADIKU.format("11.1, page 482"))
    assert_printed(capacitance * 1e12, "68.2", source=SADIKU.format("11.1, page 482"))


def test_sadiku_11_2_distortionless_line(assert_printed):
    """The printed constants, to the third digit that they have, give the inputs of the example."""
    source = SADIKU.format("11.2, page 483, backwards")
    line = wb.constant_cable("1.2 ohm/m", "333 nH/m", "333 uS/m", "92.59 pF/m")
    assert_printed(line.propagation_constant("100 MHz").m_as("1/m").real, "0.020", source=source)
    assert_printed(line.characteristic_impedance("100 MHz").m_as("ohm").real, "60", source=source)
    assert_printed(line.velocity_factor("100 MHz") * C / 100e6, "1.80", source=source)


def test_mishra_3_8_distortionless_line(assert_printed):
    source = MISHRA.format("3.8, page 75")
    line = wb.constant_cable("0.0575 ohm/m", "0.25 uH/m", "23 uS/m", "100 pF/m")
    gamma = line.propagation_constant("7 MHz").m_as("1/m")
    assert_printed(gamma.real, "1.15e-3", source=source)
    assert_printed(line.attenuation("7 MHz").m_as("Np/m"), "1.15e-3", source=source)
    assert_printed(line.characteristic_impedance("7 MHz").m_as("ohm").real, "50", source=source)
    assert_printed(line.velocity_factor("7 MHz") * C, "2.00e8", source=source)
    # distortionless: no change with frequency, and a short signal travels no faster than a phase
    assert line.attenuation("70 MHz").m_as("dB/m") == pytest.approx(line.attenuation("7 MHz").m_as("dB/m"))
    assert line.group_velocity_factor("7 MHz") == pytest.approx(line.velocity_factor("7 MHz"), rel=1e-9)


def test_sadiku_10_6_coaxial_line_at_direct_current(assert_printed):
    copper, hertz = wb.quantity("5.8e7 S/m"), wb.quantity("0.01 Hz")
    centre = wb.conductor_impedance(hertz, "2 mm", [(wb.quantity("2 mm"), copper, 1.0)])
    outer = wb.shield_impedance(hertz, "6 mm", "1 mm", copper)
    total = (centre + outer).m_as("ohm/m").real * 2
    assert_printed(total * 1e3, "3.588", source=SADIKU.format("10.6, page 434"))


def test_sadiku_10_6_misprint_at_100_mhz(assert_printed):
    """The companion prints 0.5384 ohm since an intermediate value was rounded to one digit; plane metal: 0.5536."""
    copper, hertz = wb.quantity("5.8e7 S/m"), wb.quantity("100 MHz")
    centre = wb.conductor_impedance(hertz, "2 mm", [(wb.quantity("2 mm"), copper, 1.0)])
    outer = wb.shield_impedance(hertz, "6 mm", "1 mm", copper)
    total = (centre + outer).m_as("ohm/m").real * 2
    assert total == pytest.approx(0.5536, rel=0.002)  # curvature: half a skin depth of 6.6 um over 2 mm
    with pytest.raises(AssertionError):
        assert_printed(total, "0.5384", source=SADIKU.format("10.6, page 434, misprint"))


# --- input impedance --------------------------------------------------------------------------------------


def test_sadiku_11_3_complex_impedance(assert_printed):
    source = SADIKU.format("11.3, page 490")
    # the book turns 8 dB/m into nepers by 8.686
    line = _line(60 + 40j, 8 / 8.686 + 1j, 1e6 / (2 * np.pi))
    seen = _seen(line, 2.0, 1e6 / (2 * np.pi), 20 + 50j)
    current = 10 / (40 + seen)
    assert_printed(seen.real, "60.25", source=source)
    assert_printed(seen.imag, "38.79", source=source)
    assert_printed(abs(current) * 1e3, "93.03", source=source)
    assert_printed(np.degrees(np.angle(current)), "-21.15", source=source)


def _standing_wave(impedance, load):
    """Standing-wave ratio and angle of the reflection, found along half a wave of lossless line.

    Where the impedance is greatest it is the line's times the ratio, half the angle before the load.
    """
    lags = np.linspace(0, 180, 200_001)
    cable = wb.ideal_cable(Q(impedance, "ohm"), 0.66)
    lengths = wb.physical_length(Q(lags, "degree"), "10 MHz", 0.66)
    seen = np.abs(wb.input_impedance(cable, lengths, "10 MHz", Q(load, "ohm")).m_as("ohm"))
    angle = 2 * lags[np.argmax(seen)]
    return seen.max() / impedance, angle - 360 * (angle > 180)


@pytest.mark.parametrize(
    ("load", "impedance", "ratio", "magnitude", "angle", "source"),
    [
        (60 + 40j, 50.0, "2.088", "0.3523", "56", SADIKU.format("11.4, page 499")),
        (73 + 42.5j, 75.0, "1.7636", None, None, SADIKU.format("13.2, page 603")),
        (80 - 40j, 50.0, "2.163", "0.3676", None, POZAR.format("2.3, page 77")),
        (50 + 100j, 50.0, "5.8284", "0.7071", "45", MISHRA.format("3.15, page 87")),
        (50 + 100j, 50.0, "5.828", "0.7071", "45", STANLEY.format("14.9, page 484")),
    ],
)
def test_standing_waves(assert_printed, load, impedance, ratio, magnitude, angle, source):
    swr, degrees = _standing_wave(impedance, load)
    assert_printed(swr, ratio, source=source)
    if magnitude:
        assert_printed((swr - 1) / (swr + 1), magnitude, source=source)
    if angle:
        assert_printed(degrees, angle, source=source)


def test_pozar_2_3_return_loss(assert_printed):
    swr, _ = _standing_wave(50.0, 80 - 40j)
    assert_printed(-20 * np.log10((swr - 1) / (swr + 1)), "8.69", source=POZAR.format("2.3, page 77"))


def test_mishra_3_13_reflection_on_an_almost_real_line(assert_printed):
    # the companion adds j0.01 ohm to the line's 50; the exact line has 0.37134 at -42.517 degrees
    rho = complex(reflection(73 - 42.5j, 50 + 0.01j))
    source = MISHRA.format("3.13, page 84")
    assert_printed(abs(rho), "0.3714", source=source)
    assert_printed(np.degrees(np.angle(rho)), "-42.53", source=source)
    assert_printed((1 + abs(rho)) / (1 - abs(rho)), "2.1818", source=source)


def test_sadiku_11_4_input_impedance(assert_printed):
    source = SADIKU.format("11.4, page 499")
    hertz = 2e6 * C / BOOK_C
    line = wb.ideal_cable("50 ohm", 0.6)
    assert_printed(wb.electrical_length("30 m", Q(hertz, "Hz"), line), "120 degree", source=source)
    seen = _seen(line, 30.0, hertz, 60 + 40j)
    assert_printed(seen.real, "23.97", source=source)
    assert_printed(seen.imag, "1.35", source=source)


def test_mishra_3_9_open_and_short(assert_printed):
    source = MISHRA.format("3.9, page 76")
    impedance = np.sqrt(53.1 * 48.3)
    line = wb.ideal_cable(Q(impedance, "ohm"), 0.66)
    lag = np.arctan(53.1 / impedance)
    length, rest = (wb.physical_length(Q(part, "radian"), "20 MHz", 0.66).m_as("m") for part in (lag, np.pi - lag))
    shorted, opened = _seen(line, length, 20e6, 0.0), _seen(line, length, 20e6, np.inf)
    assert_printed(shorted.imag, "53.1", source=source)
    assert_printed(opened.imag, "-48.3", source=source)
    assert_printed(np.sqrt(shorted * opened).real, "50.6432", source=source)
    # the rest of half a wave, put before the line, shows the load itself
    load = _seen(line, rest, 20e6, 30 + 60j)
    assert_printed(load.real, "11.6343", source=source)
    assert_printed(load.imag, "6.3001", source=source)


def test_mishra_3_10_misprint(assert_printed):
    """Short j103, open -j54.6, 1.5 m: printed beta 0.7238 rad/m left out a root; 0.6276 gives both readings."""
    hertz, impedance = 20e6, np.sqrt(103 * 54.6)
    assert_printed(impedance, "75", source=MISHRA.format("3.10, page 76"))
    right, printed = (wb.ideal_cable(Q(impedance, "ohm"), 2 * np.pi * hertz / (b * C)) for b in (0.6276, 0.7238))
    # beta has four digits: half a unit in the last moves the short's reactance by 0.02 ohm
    assert _seen(right, 1.5, hertz, 0.0).imag == pytest.approx(103, abs=0.02)
    assert _seen(right, 1.5, hertz, np.inf).imag == pytest.approx(-54.6, abs=0.02)
    assert abs(_seen(printed, 1.5, hertz, 0.0).imag - 103) > 30


def test_mishra_3_11_at_26_mhz(assert_printed):
    source = MISHRA.format("3.11, page 77")
    line = wb.ideal_cable("50 ohm", 200e6 / C)
    assert_printed(line.propagation_constant("26 MHz").m_as("1/m").imag, "0.8168", source=source)
    seen = _seen(line, 10.0, 26e6, 100 + 50j)
    assert_printed(seen.real, "19.209", source=source)
    assert_printed(seen.imag, "3.521", source=source)
    rho = (seen - 50) / (seen + 50)
    assert_printed(rho.imag, "0.0733", source=source)
    # the real part, -0.44116, is printed as -0.4411: cut off, not rounded
    assert int(rho.real * 1e4) == -4411


@pytest.mark.parametrize("source", [MISHRA.format("3.15, page 87"), STANLEY.format("14.9, page 484")])
def test_a_quarter_wave_inverts(assert_printed, source):
    quarter = wb.physical_length("90 degree", "7 MHz", 0.66).m_as("m")
    seen = _seen(wb.ideal_cable("50 ohm", 0.66), quarter, 7e6, 50 + 100j)
    assert_printed(seen.real, "10.00", source=source)
    assert_printed(seen.imag, "-20.00", source=source)


def test_pozar_2_4_slotted_line(assert_printed):
    """Standing-wave ratio 1.5, wavelength 4 cm, first minimum 1.48 cm before the load."""
    source = POZAR.format("2.4, page 80")
    line = wb.ideal_cable("50 ohm", 1.0)
    # from the minimum on to the end of the half wave lies the load
    load = _seen(line, 0.02 - 0.0148, C / 0.04, 50 / 1.5)
    rho = (load - 50) / (load + 50)
    assert_printed(abs(rho), "0.2", source=source)
    assert_printed(np.angle(rho) / np.pi + 2, "2.48", source=source)


def test_blake_14_9_eighth_wave(assert_printed):
    seen = _seen(wb.ideal_cable("50 ohm", 0.8), 1.0, 30e6 * C / BOOK_C, 100.0)
    assert_printed(seen.real, "40.00", source=BLAKE.format("14.9, page 480"))
    assert_printed(seen.imag, "-30.00", source=BLAKE.format("14.9, page 480"))


def test_blake_14_13_read_from_a_chart():
    """Blake, example 14.13, page 490, by way of a companion: 19.36 + j5.44 read from a chart, so half an ohm."""
    seen = _seen(wb.ideal_cable("50 ohm", 0.7), 6.0, 100e6 * C / BOOK_C, 50 + 50j)
    assert seen.real == pytest.approx(19.36, abs=0.5)
    assert seen.imag == pytest.approx(5.44, abs=0.5)


def test_shorted_line_of_the_scikit_rf_tests(assert_printed):
    """Found there from 40 - j280 ohm on 1.5 m of 100 ohm: gamma 0.02971 + j1.272; back again to the printed ohms."""
    source = "scikit-rf, test_tlineFunctions, commit bae3832"
    seen = _seen(_line(100.0, 0.02971 + 1.272j, 20e6), 1.5, 20e6, 0.0)
    assert_printed(seen.real, "40", source=source)
    assert_printed(seen.imag, "-280", source=source)


# --- loss -------------------------------------------------------------------------------------------------


def test_decibel_in_nepers(assert_printed):
    """The unit itself: loss is a dimension of its own in the workbook's registry."""
    assert_printed(Q(1.0, "dB"), "0.1151293 Np", source="SI Brochure, table of logarithmic units, from memory")
    assert_printed(Q(1.0, "Np"), "8.686 dB", source=SADIKU.format("11.3, page 490"))


def test_blake_14_11_power_into_a_cable(assert_printed):
    line = _line(50.0, 4 / 100 * np.log(10) / 20 + 0.5j, 10e6)
    loss = wb.total_loss(line, "45 m", "10 MHz", "50 ohm").m_as("dB")
    assert_printed(100 * 10 ** (loss / 10), "151.356", source=BLAKE.format("14.11, page 481"))


def test_stanley_14_8_power_out_of_a_cable(assert_printed):
    source = STANLEY.format("14.8, page 481")
    loss = wb.total_loss(_line(50.0, 0.01 * np.log(10) / 20 + 0.5j, 10e6), "50 m", "10 MHz", "50 ohm").m_as("dB")
    assert_printed(10 ** (loss / 10), "1.122018", source=source)
    assert_printed(800 / 10 ** (loss / 10), "713.0", source=source)


# --- delay and length -------------------------------------------------------------------------------------


def test_blake_14_5_length_of_45_degrees(assert_printed):
    length = wb.physical_length("45 degree", Q(200e6 * C / BOOK_C, "Hz"), 0.66)
    assert_printed(length, "0.12375 m", source=BLAKE.format("14.5, page 472"))


def test_blake_14_18_time_domain(assert_printed):
    # the echo travels both ways, so half of 1.4 us is the delay of the line
    assert_printed(wb.delay_length("0.7 us", 0.8), "168 m", source=BLAKE.format("14.18, page 501"))


def test_analyser_manual_length_of_a_second(assert_printed):
    source = "manual of an antenna analyser, velocity factor 0.66"
    assert_printed(wb.delay_length("1 s", 0.66), "197863022 m", source=source)
    assert_printed(wb.delay_length("1 s", 0.66), "649156897 ft", source=source)


def test_half_wave_of_an_article(assert_printed):
    # the article takes c for 3e8 m/s
    length = wb.physical_length("180 degree", Q(14.2e6 * C / BOOK_C, "Hz"), 0.66)
    assert_printed(length, "6.972 m", source="web article on lines, half wave at 14.2 MHz")


def test_length_of_a_fifth_of_a_wave(assert_printed):
    source = "public mailing list on phasing, wave of 133 ft, velocity factor 0.88"
    hertz = Q(C / (133 * 0.3048), "Hz")
    assert_printed(wb.physical_length("72 degree", hertz, 0.88), "23.4 ft", source=source)
    # the same posting prints 26.1 ft for 80 degrees, 0.3 % too much
    assert_printed(wb.physical_length("80 degree", hertz, 0.88), "26.01 ft", source=f"{source}, put right")


def test_quarter_wave_in_feet(assert_printed):
    source = "handbook formula 246/f feet for a quarter wave, from memory"
    assert_printed(wb.physical_length("90 degree", "1 MHz", 1.0), "246 ft", source=source)
    source = "web article on quarter-wave coax, 7.3 MHz"
    assert_printed(wb.physical_length("90 degree", "7.3 MHz", 1.0), "33.7 ft", source=source)


@pytest.mark.parametrize(
    ("feet", "megahertz", "right", "printed", "what"),
    [
        (114.84, 1.82, "114.84", 109.29, "mailing list, velocity factor 0.85: 234/f holds an antenna's end effect"),
        (34.391, 7.15, "34.391", 34.5, "web article, free space: a misprint, its products are right"),
    ],
)
def test_misprinted_quarter_waves_are_not_reproduced(assert_printed, feet, megahertz, right, printed, what):
    velocity = 0.85 if "0.85" in what else 1.0
    length = wb.physical_length("90 degree", Q(megahertz, "MHz"), velocity).m_as("ft")
    assert_printed(length, right, source=f"{what}; worked out independently")
    assert abs(length - printed) > 0.1


@pytest.mark.parametrize(
    ("velocity", "right", "printed"), [(0.659, "1.543", 1.52), (0.845, "1.203", 1.18), (0.86, "1.182", 1.16)]
)
def test_delay_of_a_foot_is_more_than_one_over_the_velocity_factor(assert_printed, velocity, right, printed):
    """A readme prints 1/v ns per foot, leaving out 1.0167: light needs that many nanoseconds for a foot."""
    degrees = wb.electrical_length("1 ft", "1 MHz", velocity).m_as("degree")
    nanoseconds = degrees / 360 * 1e3
    assert_printed(nanoseconds, right, source="readme of a delay calculator, put right")
    assert nanoseconds - printed > 0.02
    assert wb.delay_length(Q(nanoseconds, "ns"), velocity).m_as("ft") == pytest.approx(1.0, rel=1e-12)


OPEN_CABLE = "web article on cable measurement, 20 m of 50-ohm solid-PE cable open at 7.026 MHz, seen"


def test_reflection_of_the_printed_impedance_is_the_printed_one(assert_printed):
    """1.3378 - j14.7340 ohm; the article's own transmission loss, 0.61 dB, is not what its reflection means."""
    size = abs(complex(reflection(1.3378 - 14.7340j, 50.0)))
    assert_printed(size, "0.95195", source=OPEN_CABLE)
    assert_printed((1 + size) / (1 - size), "40.62", source=f"{OPEN_CABLE}: 40.624 with one digit more than its ohms")
    # a wave goes through the cable and back
    one_way = -10 * np.log10(size)
    assert_printed(one_way, "0.214", source="worked out independently")
    with pytest.raises(AssertionError, match="is not the printed"):
        assert_printed(one_way, "0.61", source=OPEN_CABLE)


def test_mishra_2_2_reflection_of_73_on_50_ohm(assert_printed):
    source = f"{MISHRA.format('2.2, page 22')}, and Balanis, example 2.10, page 68"
    assert_printed(float(reflection(73.0, 50.0).real), "0.186992", source=source)


def test_hundred_nanoseconds_of_solid_polyethylene_are_20_m(assert_printed):
    source = "university physics experiment note, RG-58, seen; velocity factor 0.66"
    assert_printed(wb.delay_length("100 ns", 0.66), "20 m", source=source)
