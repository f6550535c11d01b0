"""Text to length and back, for any length."""

import math
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import workbook as wb
from workbook.formatting import LengthUnits

sys.path.insert(0, str(Path(__file__).parent))
from strategies import Q, often

HALF_A_SIXTEENTH = 1 / 32 + 1e-9
sixteenths = st.integers(0, 16 * 12 * 1000)
plain_numbers = st.decimals("0.0001", "99999", places=4, allow_nan=False, allow_infinity=False)


@often
@given(st.floats(0, 1e5))
def test_a_tape_is_right_to_half_a_sixteenth(inches):
    text = wb.feet_inches(Q(inches, "inch"))
    assert abs(wb.quantity(text).m_as("inch") - inches) <= HALF_A_SIXTEENTH
    feet, rest = text.split(" ft ")
    assert int(feet) * 12 <= inches + HALF_A_SIXTEENTH
    # never 12 in, never 16/16, always reduced
    whole, _, fraction = rest.removesuffix(" in").partition(" ")
    assert 0 <= int(whole) < 12
    if fraction:
        top, bottom = map(int, fraction.split("/"))
        assert bottom in (2, 4, 8, 16)
        assert 0 < top < bottom
        assert top % 2 == 1


@often
@given(sixteenths)
def test_whole_sixteenths_come_back_as_they_are(number):
    length = Q(number / 16, "inch")
    text = wb.feet_inches(length)
    assert wb.quantity(text).m_as("inch") == number / 16
    assert wb.feet_inches(wb.quantity(text)) == text
    assert wb.feet_inches(text) == text


@often
@given(sixteenths)
def test_halves_go_away_from_nought(number):
    assert wb.feet_inches(Q((number + 0.5) / 16, "inch")) == wb.feet_inches(Q((number + 1) / 16, "inch"))


@often
@given(
    st.integers(0, 999),
    st.integers(0, 11),
    st.sampled_from([Fraction(n, 16) for n in range(1, 16)]),
    st.sampled_from(["{f}' {i} {p}\"", "{f}'{i}-{p}\"", "{f}' {i}-{p}\"", "{f}'-{i} {p}\"", "{f} ft {i} {p} in"]),
    st.booleans(),
)
def test_every_way_of_writing_feet_and_inches_says_the_same(feet, inches, part, form, minus):
    text = form.format(f=feet, i=inches, p=part)
    found = wb.quantity(f"-{text}" if minus else text)
    assert found.m_as("inch") == (-1 if minus else 1) * float(12 * feet + inches + part)
    primes = text.replace("'", "′").replace('"', "″")
    assert wb.quantity(primes).m_as("inch") == float(12 * feet + inches + part)


@often
@given(plain_numbers, st.sampled_from(["m", "cm", "mm", "km", "ft", "MHz", "kHz", "ns", "us", "ohm", "deg", "dB/m"]))
def test_a_number_and_its_unit_come_back(number, unit):
    for text in (f"{number} {unit}", f"{number}{unit}", f" {number}  {unit} "):
        assert wb.quantity(text).m_as(unit) == pytest.approx(float(number), rel=1e-14)
    assert wb.quantity(f"-{number} {unit}").m_as(unit) == pytest.approx(-float(number), rel=1e-14)


@often
@given(
    st.floats(1e-3, 1e4) | st.floats(-1e4, -1e-3),
    st.sampled_from("m mm ft inch MHz Hz ns s ohm degree dB dB/m Np F/m pF/m S/m ohm/m K".split()),
)
def test_what_a_quantity_prints_can_be_read(value, unit):
    printed = f"{Q(value, unit)}"
    assert wb.quantity(printed).m_as(unit) == pytest.approx(value, rel=1e-14)


@often
@given(st.floats(0, 1e4))
def test_both_ways_of_printing_agree(metres):
    metric, tape = LengthUnits.BOTH.text(metres).rstrip(")").split(" (")
    assert wb.quantity(metric).m_as("m") == pytest.approx(metres, abs=5.1e-4)
    assert wb.quantity(tape).m_as("inch") == pytest.approx(metres / 0.0254, abs=HALF_A_SIXTEENTH)


def read_or_refusal(text):
    try:
        return wb.quantity(text)
    except wb.InputError as error:
        return str(error)


@often
@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text):
    """Nothing else happens, whatever is typed."""
    answer = read_or_refusal(text)
    if isinstance(answer, str):
        assert answer[-1] in ".?"
        assert "\n" not in answer
    else:
        assert math.isfinite(answer.magnitude)


PIECES = ["18", "3", "1/2", "½", " ", "-", "'", '"', "ft", "in", "m", ",", ".", "′", "″", "5", "e", "MHz", "/", "100"]


@often
@given(st.lists(st.sampled_from(PIECES), max_size=9).map("".join))
def test_any_shuffled_tape_is_read_or_refused(text):
    answer = read_or_refusal(text)
    assert isinstance(answer, str) or math.isfinite(answer.magnitude)
