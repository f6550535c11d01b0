"""Ground rods and straps against handbooks; the numbers without a print beside them are worked out by hand."""

import math

import numpy as np
import pytest

import workbook as wb

HANDBOOK = "MIL-HDBK-419A"
TEN_FEET = ("100 ohm*m", "10 ft")
FEET = 0.3048


@pytest.mark.parametrize(
    ("length", "diameter", "printed", "source"),
    [
        ("10 ft", "3/4 in", "32 ohm", f"{HANDBOOK}, volume II, nomogram: 10 000 ohm cm"),
        ("10 ft", "5/8 in", "33.09 ohm", "Dwight's formula, worked out"),
        ("8 ft", "5/8 in", "39.90 ohm", "Dwight's formula, worked out"),
    ],
)
def test_one_rod(assert_printed, length, diameter, printed, source):
    assert_printed(wb.rod_resistance("100 ohm*m", length, diameter), printed, source=source)


def test_the_nomograph_of_an_earth_tester_is_not_followed(assert_printed):
    """Its manual (page 26) reads 20 ohm for 20 ft of 5/8 in rod in 10 000 ohm cm; the usual formula gives 8 % less."""
    rod = wb.rod_resistance("100 ohm*m", "20 ft", "5/8 in")
    assert_printed(rod, "18.35 ohm", source="Dwight's formula, worked out")
    with pytest.raises(AssertionError):
        assert_printed(rod, "20 ohm", source="manual of an earth tester, page 26")


@pytest.mark.parametrize(("length", "diameter", "printed"), [("10 ft", "1 in", "0.15"), ("100 ft", "1 in", "0.11")])
def test_share_of_the_resistance_beyond_a_rod_length(assert_printed, length, diameter, printed):
    """85 and 89 % lie within a radius of one length: the potential there is that of the soil at the surface."""
    rod = wb.rod_resistance("100 ohm*m", length, diameter).m_as("ohm")
    metres = wb.Quantity(length).m_as("m")
    beyond = 100 / (2 * math.pi * metres) * math.asinh(1)
    assert_printed(beyond / rod, printed, source=f"{HANDBOOK}, volume I, p. 2-20: 85 and 89 %")


# voltage over a pace of 3 ft beside a rod of 1 in, over that of the rod, by its length in feet
STEPS = {5: 0.75, 10: 0.68, 20: 0.61, 50: 0.53, 100: 0.48}


@pytest.mark.parametrize("feet", STEPS)
def test_step_voltage_beside_a_rod(feet):
    """MIL-HDBK-419A, table 2-7, from the surface of the rod; its own rounding is up to 0.008."""
    length, radius = feet * FEET, 0.0127
    rod = wb.rod_resistance("100 ohm*m", f"{feet} ft", "1 in").m_as("ohm")
    far = 100 / (2 * math.pi * length) * math.asinh(length / (radius + 3 * FEET))
    assert (rod - far) / rod == pytest.approx(STEPS[feet], abs=0.0081)


def test_twenty_six_rods_in_a_line():
    """MIL-HDBK-419A, volume II: 26 rods of 10 ft and 3/4 in, 20 ft apart, have 0.055 of the 32 ohm of one, 1.76 ohm."""
    one = wb.rod_resistance(*TEN_FEET, "3/4 in")
    line = wb.rods_resistance(*TEN_FEET, "3/4 in", "20 ft", 26)
    assert (line / one).m_as("") == pytest.approx(0.055, rel=0.02)
    assert line.m_as("ohm") == pytest.approx(1.76, rel=0.02)


# IEEE Std 142, multiplying factors for rods a length apart in a line, hollow triangle, circle or square, from memory
FACTORS = {2: 1.16, 3: 1.29, 4: 1.36, 8: 1.68, 12: 1.80, 16: 1.92, 20: 2.00, 24: 2.16}


@pytest.mark.parametrize("count", FACTORS)
def test_multiplying_factors_of_joined_rods(count):
    """The factors count a rod's influence as that of a point, which at one length is 18 % too much: they lie above."""
    one = wb.rod_resistance(*TEN_FEET, "5/8 in")
    shapes = ("line", "ring", *(("square",) if count % 4 == 0 else ()))
    factors = [
        (count * wb.rods_resistance(*TEN_FEET, "5/8 in", "10 ft", count, shape) / one).m_as("") for shape in shapes
    ]
    assert 0.93 * FACTORS[count] < max(factors) < 1.01 * FACTORS[count]
    assert factors == sorted(factors)


# BS 7430, factors lambda for electrodes in a line by their number and in a hollow square by the number along a side,
# R_n = R (1 + lambda a)/n with a = rho/(2 pi R s), from memory
IN_LINE = {2: 1.00, 3: 1.66, 4: 2.15, 5: 2.54, 6: 2.87, 7: 3.15, 8: 3.39, 9: 3.61, 10: 3.81}
IN_SQUARE = {2: 2.71, 3: 4.51, 4: 5.46, 5: 6.14, 6: 6.63, 7: 7.03, 8: 7.30, 9: 7.65, 10: 7.90, 12: 8.22, 14: 8.67}


@pytest.mark.parametrize(
    ("shape", "count", "factor"),
    [
        *(("line", number, factor) for number, factor in IN_LINE.items()),
        *(("square", 4 * (side - 1), factor) for side, factor in IN_SQUARE.items()),
    ],
)
def test_factors_for_electrodes_in_line_and_square(shape, count, factor):
    """The table counts each rod as a point: a stub of a rod, ten of its lengths apart, comes near that."""
    one = wb.rod_resistance("100 ohm*m", "1 m", "0.99 m").m_as("ohm")
    together = wb.rods_resistance("100 ohm*m", "1 m", "0.99 m", "10 m", count, shape).m_as("ohm")
    a = 100 / (2 * math.pi * one * 10)
    assert (count * together / one - 1) / a == pytest.approx(factor, rel=0.013)


def test_strap_and_wire_of_a_metre(assert_printed):
    source = "Terman's and Grover's formulas, worked out"
    strap = wb.strap_inductance("1 m", "2.5 cm", "0.5 mm")
    assert_printed(strap, "0.974 uH", source=source)
    assert_printed(wb.inductive_reactance(strap, "7 MHz"), "42.8 ohm", source=source)
    assert_printed(wb.wire_inductance("1 m", "2 mm"), "1.320 uH", source=source)


# IEC 62305-1, lightning protection level III-IV: mean steepness of the front in kA/us, from memory
STEEPNESS = {"10/350": "10", "1/200": "50", "0.25/100": "100"}


@pytest.mark.parametrize("name", STEEPNESS)
def test_steepness_of_the_standard_waves(assert_printed, name):
    wave = wb.SURGE_WAVES[name]
    assert name == f"{wave.rise_time.m_as('us'):g}/{wave.half_time.m_as('us'):g}"
    microhenry = wb.surge_voltage("1 uH", "0 ohm", wave.peak, wave.rise_time)
    assert_printed(microhenry.m_as("kV"), STEEPNESS[name], source="IEC 62305-1, from memory")


def test_soil_resistivities_span_the_classes_of_the_substation_guide():
    """IEEE Std 80, from memory: wet organic soil 10, moist 100, dry 1000, bedrock 10 000 ohm m."""
    least = min(soil.least.m_as("ohm*m") for soil in wb.SOILS.values())
    greatest = max(soil.greatest.m_as("ohm*m") for soil in wb.SOILS.values())
    assert least <= 10 < 1000 <= greatest <= 10_000
    for soil in wb.SOILS.values():
        assert soil.least <= soil.greatest


def test_copper_on_zinc_is_worse_than_tin_between_them():
    """MIL-STD-889 and MIL-F-14072, from memory: copper 0.35 V, tin 0.60 V, zinc 1.25 V; 0.15 V outdoors."""
    assert wb.metal_pair("copper", "zinc").difference.m_as("V") == pytest.approx(0.90)
    assert wb.metal_pair("copper", "tin plate").corrodes == "tin plate"
    assert wb.metal_pair("copper", "brass").outdoors
    assert not wb.metal_pair("copper", "aluminium").sheltered
    assert np.all(np.diff(list(wb.METALS.values())) > 0)
