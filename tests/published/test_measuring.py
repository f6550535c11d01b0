"""Measuring against published examples: open and short method, velocity factors, uncertainty of R and X, polar values.

JCGM 100:2008 (GUM), H.2: the readings are cited from memory; their means, correlations and the results were seen in the
documentation of an uncertainty library of a national laboratory. JCGM 102:2011, tables 6 and 7: quoted by the tests of
an uncertainty calculator of a national laboratory.
"""

import numpy as np
import pytest

import workbook as wb
from workbook.bench.vectors import impedance_of_readings, polar

Q = wb.Quantity
GUM = "JCGM 100:2008, H.2"
VOLTS = Q([5.007, 4.994, 5.005, 4.990, 4.999], "V")
MILLIAMPS = Q([19.663, 19.639, 19.640, 19.685, 19.678], "mA")
RADIANS = Q([1.0456, 1.0438, 1.0468, 1.0428, 1.0433], "rad")


def test_resistance_and_reactance_of_voltage_current_and_phase(assert_printed):
    found = impedance_of_readings(VOLTS, MILLIAMPS, RADIANS)
    assert_printed(found.resistance.value, "127.732 ohm", source=GUM)
    assert_printed(found.resistance.uncertainty, "0.071 ohm", source=GUM)
    assert_printed(found.reactance.value, "219.847 ohm", source=GUM)
    # printed 0.295: full precision gives 0.29558, which the GUM truncated (references of the project, W15)
    assert found.reactance.uncertainty.m_as("ohm") == pytest.approx(0.295, abs=0.001)
    assert_printed(found.modulus.value, "254.260 ohm", source=GUM)
    assert_printed(found.modulus.uncertainty, "0.236 ohm", source=GUM)
    for value, printed in zip(found.correlations, ("-0.588", "-0.485", "0.993"), strict=True):
        assert_printed(value, printed, source=GUM)


@pytest.mark.parametrize(
    ("real", "correlation", "modulus", "modulus_error", "phase", "phase_error"),
    [
        (0.001, 0.0, "0.013", "0.007", "0.000", "1.744"),
        (0.001, 0.9, "0.012", "0.008", "-0.556", "1.599"),
        (0.010, 0.9, "0.015", "0.008", "-0.343", "0.903"),
    ],
)
def test_polar_values_near_a_null(assert_printed, real, correlation, modulus, modulus_error, phase, phase_error):
    """U = 0.01 of both parts; the first row is of table 6, the others of table 7. One unit of the last digit, since the
    prints come from a Monte Carlo run.
    """
    found = polar(real, 0.01, correlation)
    for value, printed in (
        (found.modulus.value, modulus),
        (found.modulus.uncertainty, modulus_error),
        (found.phase.value, phase),
        (found.phase.uncertainty, phase_error),
    ):
        assert value == pytest.approx(float(printed), abs=1e-3)


def test_far_from_zero_polar_values_are_those_of_the_usual_propagation():
    found = polar(3 + 4j, 0.01)
    assert found.modulus.value == pytest.approx(5.0, abs=1e-4)
    assert found.modulus.uncertainty == pytest.approx(0.01, rel=1e-3)
    assert found.phase.value == pytest.approx(np.arctan2(4, 3), abs=1e-6)
    assert found.phase.uncertainty == pytest.approx(0.01 / 5, rel=1e-3)


@pytest.mark.parametrize(
    ("frequency", "length", "printed"), [("3.6 MHz", "50 ft", "0.732"), ("15.1 MHz", "10 ft", "0.614")]
)
def test_velocity_factor_of_a_quarter_wave(assert_printed, frequency, length, printed):
    """Web article on measuring velocity factor (2013-01): RG-6, 50 ft, 3.6 MHz, 0.732; RG-58, 10 ft, 15.1 MHz, printed
    0.61, of which the third digit is computed (references of the project, second pass 3).
    """
    line = wb.measure_resonance(wb.ideal_cable("75 ohm", 0.66), frequency, length=length)
    assert_printed(line.velocity_factor(frequency).value, printed, source="web article on measuring velocity factor")


def test_a_quarter_wave_stub_of_a_manual():
    """Analyser manual: open RG-58, first minimum at 4100 kHz, velocity factor 0.66. The piece is then 12.065 m."""
    line = wb.measure_resonance(wb.ideal_cable("50 ohm", 0.66), "4.1 MHz", length="12.065 m")
    assert line.velocity_factor("4.1 MHz").value == pytest.approx(0.66, abs=5e-5)
    assert line.delay("4.1 MHz").value.m_as("ns") == pytest.approx(1e3 / 4 / 4.1)


def test_the_open_and_short_method(assert_printed):
    """Mishra, example 3.9: Zsc = j53.1, Zoc = -j48.3 gives Z0 = 50.6432 ohm.

    Both are the impedances of one lossless line at one frequency; sweeps of that line are measured.
    """
    electrical = np.arctan(np.sqrt(53.1 / 48.3))
    hertz = np.linspace(1e6, 20e6, 96)
    lag = electrical * hertz / 10e6
    ends = {"open": -50.6432j / np.tan(lag), "short": 50.6432j * np.tan(lag)}
    at = int(np.argmin(np.abs(hertz - 10e6)))
    assert ends["open"][at] == pytest.approx(-48.3j, abs=0.05)
    assert ends["short"][at] == pytest.approx(53.1j, abs=0.05)
    line = wb.measure_line(**{name: wb.impedance_sweep(Q(hertz, "Hz"), Q(z, "ohm")) for name, z in ends.items()})
    found = line.characteristic_impedance("10 MHz").value
    assert found.m_as("ohm").real == pytest.approx(50.6432, abs=5e-4)
