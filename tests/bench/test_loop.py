"""Loop resistance: the resistance of round conductors by hand, and what cannot be."""

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity


def test_resistance_per_length_comes_back_with_its_uncertainty():
    """2.4 ohm over 50 m; 0.05 ohm and 5 mm: 48.0 and 1.00 ohm/km by the root of the sum of squares."""
    found = wb.measure_loop_resistance(wb.cable("series-6-copper"), "2.4 ohm", "50 m").measured
    assert found.value.m_as("ohm/km") == pytest.approx(48.0)
    assert found.uncertainty.m_as("ohm/km") == pytest.approx(48 * np.hypot(0.05 / 2.4, 0.005 / 50))


@pytest.mark.parametrize("name", ["series-6-clad", "series-6-copper", "rg-213-solid-pe", "rg-8x-foam"])
def test_a_piece_of_the_record_fits_it(name):
    cable = wb.cable(name)
    found = wb.measure_loop_resistance(cable, cable.loop_resistance * Q(100, "m"), "100 m")
    assert found.fits
    assert not wb.measure_loop_resistance(cable, 5 * cable.loop_resistance * Q(100, "m"), "100 m").fits


def test_a_resistance_below_that_of_copper_is_refused(refused):
    """A copper-clad centre of 1.024 mm: all of copper it would have 1/(58 MS/m pi (0.512 mm)^2) = 20.9 ohm/km alone."""
    assert 1 / (58e6 * np.pi * 0.512e-3**2) == pytest.approx(0.0209, rel=5e-3)
    refused(lambda: wb.measure_loop_resistance(wb.cable("series-6-clad"), "1.5 ohm", "100 m"), "of copper")
    refused(lambda: wb.measure_loop_resistance(wb.cable("series-6-copper"), "2 mohm", "50 m"), "of copper")


@pytest.mark.parametrize("wrong", [{"resistance": 3}, {"resistance": "3 m"}, {"length": "0 m"}, {"cable": "x"}])
def test_wrong_arguments_are_named(wrong, refused):
    good = {"cable": wb.cable("series-6-copper"), "resistance": "3 ohm", "length": "50 m"}
    refused(lambda: wb.measure_loop_resistance(**(good | wrong)), *wrong)
