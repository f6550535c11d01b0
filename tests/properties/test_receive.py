"""What physics demands of the receiving chain, whatever the figures."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import workbook as wb

few = settings(max_examples=40, deadline=None)


def sizes(least, most):
    """Numbers of six digits behind the point: checks refuse a size below 1e-60."""
    return st.floats(least, most).map(lambda value: round(value, 6))


gains, figures = sizes(-40, 40), sizes(0, 40)
stages = st.lists(
    st.builds(lambda g, f: wb.Stage("s", wb.Quantity(g, "dB"), wb.Quantity(f, "dB")), gains, figures),
    min_size=2,
    max_size=5,
)


@few
@given(row=stages)
def test_cascades_may_be_joined_in_any_place(row):
    """The cascade of two cascades is that of all stages."""
    gain, figure = (part.m_as("dB") for part in wb.cascade(row))
    for cut in range(1, len(row)):
        halves = [wb.Stage("half", *wb.cascade(part)) for part in (row[:cut], row[cut:])]
        assert wb.cascade(halves)[0].m_as("dB") == pytest.approx(gain, abs=1e-9)
        assert wb.cascade(halves)[1].m_as("dB") == pytest.approx(figure, abs=1e-6)


@few
@given(row=stages)
def test_no_cascade_is_quieter_than_its_first_stage(row):
    assert wb.cascade(row)[1].m_as("dB") >= row[0].noise_figure.m_as("dB") - 1e-9


@few
@given(loss=sizes(0, 40), parts=st.integers(1, 5))
def test_a_line_in_pieces_makes_as_much_noise_as_whole(loss, parts):
    pieces = [wb.passive_stage("piece", wb.Quantity(loss / parts, "dB"))] * parts
    assert wb.cascade(pieces)[1].m_as("dB") == pytest.approx(loss, abs=1e-6)


@few
@given(
    height=st.floats(1, 12), diameter=st.floats(0.002, 0.1), megahertz=st.floats(0.2, 5), henry=sizes(0, 1e-3),
    q=st.floats(1, 500), ohms=st.floats(1e3, 1e7), farads=st.floats(1e-13, 1e-10),
)  # fmt: skip
def test_no_more_power_arrives_than_the_vertical_offers(height, diameter, megahertz, henry, q, ohms, farads):
    """The power in the buffer's input resistance is at most the available power |V|^2/(4 R_r)."""
    vertical = wb.short_vertical(wb.Quantity(height, "m"), wb.Quantity(diameter, "m"))
    front_end = wb.FrontEnd(
        vertical, wb.Quantity(ohms, "ohm"), wb.Quantity(farads, "F"), wb.Quantity(henry, "H"), q, "1 pF"
    )
    frequency = wb.Quantity(megahertz, "MHz")
    radiation = vertical.impedance(frequency).m_as("ohm").real
    assert abs(front_end.transfer(frequency)) ** 2 / ohms <= (1 + 1e-9) / (4 * radiation)


@few
@given(
    weights=st.lists(st.complex_numbers(min_magnitude=0.1, max_magnitude=2), min_size=4, max_size=4),
    external=sizes(0, 80), row=stages,
)  # fmt: skip
def test_margin_is_external_noise_over_the_sum_of_all_parts(weights, external, row):
    """And it rises with the external noise, decibel for decibel."""
    layout = wb.square("24 m", "0 deg")
    firing = wb.Firing(layout, weights, "1.83 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
    element, level = wb.Stage("element", "-20 dB", "25 dB"), wb.Quantity(external, "dB")
    found = wb.noise_margin(firing, level, element, row)
    parts = 10 ** (np.array([part.level.m_as("dB") for part in found.contributions]) / 10)
    assert found.margin.m_as("dB") == pytest.approx(found.external.m_as("dB") - 10 * np.log10(parts.sum()), abs=1e-6)
    stronger = wb.noise_margin(firing, level + wb.Quantity(3.0, "dB"), element, row)
    assert (stronger.margin - found.margin).m_as("dB") == pytest.approx(3, abs=1e-9)
