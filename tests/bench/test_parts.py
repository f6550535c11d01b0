"""Pasted columns: what a builder writes is read, and what is wrong is named by its line."""

import pytest

import workbook as wb
from workbook.bench.parts import values_in

Q = wb.Quantity


@pytest.mark.parametrize(
    ("text", "units", "wanted"),
    [
        ("C1 101.2 uH\nC2  99 uH", (), {"C1": Q(101.2, "uH"), "C2": Q(99.0, "uH")}),
        ("C1,101.2\nC2,99", ("uH",), {"C1": Q(101.2, "uH"), "C2": Q(99.0, "uH")}),
        ("C1\t101.2 uH", (), {"C1": Q(101.2, "uH")}),
        ("# note\n\n101.2 uH\n99 uH", (), {"3": Q(101.2, "uH"), "4": Q(99.0, "uH")}),
        ("1 101.2 uH", (), {"1": Q(101.2, "uH")}),
        ("120.4\n121.0", ("ns",), {"1": Q(120.4, "ns"), "2": Q(121.0, "ns")}),
        ("B1; 0.1 dB; 2 deg", (), {"B1": (Q(0.1, "dB"), Q(2.0, "deg"))}),
        ("B1, 0.1, 2", ("dB", "deg"), {"B1": (Q(0.1, "dB"), Q(2.0, "deg"))}),
    ],
)
def test_lines_of_every_kind_are_read(text, units, wanted):
    assert values_in(text, units) == wanted


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing to sort"),
        ("C1 5 uH\nC1 6 uH", "line 2"),
        ("C1 5", "without a unit"),
        ("101,2 uH", "comma"),
        ("C1,,5 uH", "empty cell"),
        ("C1 nonsense", "line 1"),
    ],
)
def test_lines_that_cannot_be_read_are_named(text, words, refused):
    refused(lambda: values_in(text), words)
