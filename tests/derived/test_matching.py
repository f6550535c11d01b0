"""Matching sections and pads against identities worked out by hand."""

import math

import pytest

import workbook as wb
from workbook.matching.pad import nearest_value


def test_600_to_400_ohm_loses_what_75_to_50_loses():
    """The same ratio; the table's print of one is a print of the other."""
    one, other = wb.minimum_loss_pad("600 ohm", "400 ohm"), wb.minimum_loss_pad("75 ohm", "50 ohm")
    assert one.loss.m_as("dB") == pytest.approx(other.loss.m_as("dB"), rel=1e-14)


def test_the_order_of_the_twelfth_wave_pair():
    """From the source: the section of the load's impedance, then of the source's; the other order does not match.

    Derived: two lines of tangent t between R1 and R2, from the load R2 by Z = Za (Z + jZa t)/(Za + jZ t).
    """
    match = wb.twelfth_wave_match("75 ohm", "50 ohm", "1.83 MHz")
    assert [section.impedance.m_as("ohm") for section in match.sections] == [50, 75]
    assert match.swr_in("1.83 MHz") == pytest.approx(1, abs=1e-12)
    t = math.tan(math.radians(29.334))

    def seen(first, second):
        z = 50.0
        for line in (second, first):
            z = line * (z + 1j * line * t) / (line + 1j * z * t)
        return abs((z - 75) / (z + 75))

    assert seen(50, 75) < 1e-4
    # each line then ends in its own impedance: nothing is transformed, the mismatch of 1.5 stays
    wrong = seen(75, 50)
    assert (1 + wrong) / (1 - wrong) == pytest.approx(1.5, abs=1e-12)


def test_75_to_50_ohm_pad_of_resistors_that_can_be_bought():
    """Nearest to 43.30 and 86.60 in the lists above: 43 and 91, 43.2 and 86.6 ohm."""
    assert [nearest_value(ohms, 24).m_as("ohm") for ohms in ("43.30 ohm", "86.60 ohm")] == pytest.approx([43, 91])
    assert [nearest_value(ohms).m_as("ohm") for ohms in ("43.30 ohm", "86.60 ohm")] == pytest.approx([43.2, 86.6])
