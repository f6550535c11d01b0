"""What a measured line contradicts in its record is said in one sentence each, and nothing of a line that fits."""

import re

import numpy as np
import pytest

import workbook as wb
from workbook.tables.measuring import contradictions, line_table

Q = wb.Quantity
HERTZ = Q(np.linspace(0.4e6, 15e6, 293), "Hz")
AT = Q(1.83, "MHz")


def seen(name="series-6-copper", metres="25 m", port=50.0):
    """Return the open sweep of a cable of the catalogue, with another reference impedance written into it."""
    ohms = wb.input_impedance(wb.cable(name), metres, HERTZ, Q(np.inf, "ohm"))
    right = wb.impedance_sweep(HERTZ, ohms)
    return wb.Sweep(right.frequency, right.s, Q(port, "ohm"))


def said(sweep, cable="series-6-copper", length=None):
    return contradictions(wb.measure_line(open=sweep, cable=wb.cable(cable), length=length), AT)


def ohms_in(sentence):
    """Return the impedance that a sentence begins with [ohm]."""
    return float(re.search(r"(\d+) ohm", sentence)[1])


def impedance(name):
    """Return the size of a cable's impedance at the end of the sweep [ohm]."""
    return abs(wb.cable(name).characteristic_impedance(HERTZ[-1]).m_as("ohm"))


def test_a_line_that_is_what_its_record_says_has_nothing_to_say():
    assert said(seen(), length="25 m") == ()


def test_a_wrong_reference_impedance_is_named():
    """A file that says 75 ohm for what was measured in 50 makes every impedance half as much again."""
    (sentence,) = said(seen(port=75.0))
    assert ohms_in(sentence) == pytest.approx(1.5 * impedance("series-6-copper"), abs=1)
    assert "reference impedance" in sentence


def test_another_cable_is_named():
    sentences = said(seen("rg-213-solid-pe"), length="25 m")
    assert ohms_in(sentences[0]) == pytest.approx(impedance("rg-213-solid-pe"), abs=1)
    assert "velocity factor" in sentences[1]


def test_a_wrong_length_is_named():
    (sentence,) = said(seen(), length="23 m")
    assert "check the length" in sentence


@pytest.mark.parametrize("length", [None, "25 m"])
def test_what_was_not_measured_has_no_column(length):
    table = line_table(wb.measure_line(open=seen(), length=length), {"160 m": AT})
    assert ("velocity factor" in table.headings) == (length is not None)
    assert "characteristic impedance ohm" not in table.headings
