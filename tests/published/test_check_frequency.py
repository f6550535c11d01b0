"""The frequency at which a cut line is checked, against scikit-rf's line with its far end open or shorted."""

import pytest

import workbook as wb

Q = wb.Quantity


@pytest.mark.parametrize(
    ("feet", "megahertz", "printed", "source"),
    [
        (50.0, 3.6, "0.732", "web article on measuring velocity factor, RG-6 quad"),
        (10.0, 15.1, "0.61", "web article on measuring velocity factor, RG-58"),
        (27.0, 7.3, "0.80", "web article on quarter-wave coax"),
    ],
)
def test_velocity_factor_from_a_quarter_wave(assert_printed, feet, megahertz, printed, source):
    """Articles print length and resonance; with a lossless line the velocity factor is one division."""
    in_air = wb.length_from_check_frequency(wb.ideal_cable("75 ohm", 1.0), Q(megahertz, "MHz"))
    velocity = (Q(feet, "ft") / in_air).m_as("")
    assert_printed(velocity, printed, source=source)
    assert wb.check_frequency(wb.ideal_cable("75 ohm", velocity), Q(feet, "ft")).m_as("MHz") == pytest.approx(megahertz)


def test_analyser_manual_quarter_wave(assert_printed):
    """Open solid-PE cable, first minimum at 4100 kHz, velocity factor 0.66; the length was worked out for this list."""
    length = wb.length_from_check_frequency(wb.ideal_cable("50 ohm", 0.66), "4100 kHz")
    assert_printed(length, "12.065 m", source="inputs of an analyser's manual; length worked out independently")
