"""Lines between real ends: the printed bound of the phase error, and pads that even out levels."""

import math

import pytest

import workbook as wb
from workbook.chain.channels import Channel
from workbook.chain.levelling import level_channels
from workbook.chain.mismatch import mismatch_phase, required_match

Q = wb.Quantity


TABLE = "paper of a Korean engineering society, vol. 29 no. 11, table 2: phase error asin|Gamma| by return loss"


def _end_with(return_loss_db, impedance=75):
    """A resistance above the line's with half of that return loss, so that both ends together have the whole."""
    rho = 10 ** (-return_loss_db / 2 / 20)
    return Q(impedance * (1 + rho) / (1 - rho), "ohm")


def _mismatched(return_loss_db):
    end = _end_with(return_loss_db)
    return mismatch_phase(wb.ideal_cable("75 ohm", 0.85), "1.83 MHz", end, end)


def test_greatest_phase_error_at_7_db_is_the_printed_one(assert_printed):
    found = _mismatched(7)
    assert_printed(found.bound, "26.5 degree", source=TABLE)
    assert_printed(found.exact, "26.5 degree", source=TABLE)


def test_greatest_phase_error_at_10_db_is_not_the_printed_one(assert_printed):
    """The table prints 18.5, rounded up to the safe side: asin 10^(-10/20) is 18.43 degrees."""
    found = _mismatched(10)
    assert_printed(found.bound, "18.43 degree", source="asin 10^(-10/20), worked out independently")
    with pytest.raises(AssertionError, match="is not the printed"):
        assert_printed(found.bound, "18.5 degree", source=f"{TABLE}, rounded up")


def test_return_loss_needed_for_the_phase_error_of_10_db_is_10_db(assert_printed):
    assert_printed(
        2 * required_match("18.43495 deg").return_loss, "10.0000 dB", source="the inverse of the table's rule"
    )


def test_channel_3_db_stronger_needs_the_printed_pad(assert_printed):
    """Two channels that differ by 3 dB; the stronger needs the pad that every attenuator table prints."""
    source = "tables of 50-ohm attenuators, 3 dB, from memory"
    cable = wb.constant_cable("50 ohm/m", "0.2 uH/m", "0.02 S/m", "80 pF/m")  # R/G = L/C: 50 ohm, 1 Np/m
    three = Q(3 * math.log(10) / 20, "m")
    channels = [Channel("50 ohm", cable, "0 m", cable, length, "50 ohm") for length in (three, Q(0, "m"))]
    found = level_channels(channels, "1.83 MHz")
    assert found.loss.m_as("dB") == pytest.approx([0, 3], abs=1e-9)
    for arm, printed in (("pi_series", "17.61"), ("pi_shunt", "292.4")):
        assert_printed(getattr(found, arm)[1], f"{printed} ohm", source=source)
