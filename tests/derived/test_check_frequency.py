"""The frequency at which a cut line is checked, against a line of scikit-rf with its far end open or shorted."""

from pathlib import Path

import numpy as np
import pytest
import skrf
from scipy.optimize import brentq

import workbook as wb

Q = wb.Quantity
C = 299_792_458.0
BUNDLED = sorted(path.stem for path in (Path(__file__).parents[2] / "cable_data").glob("*.toml"))

# a short jumper, a delay line of an array, an element run, and long enough that loss tilts the crossing
LENGTHS = [0.9, 12.0, 27.0, 140.0]


def _media(cable, hertz):
    """scikit-rf's line at these frequencies; only propagation constant and impedance are handed over."""
    frequency = Q(np.atleast_1d(hertz), "Hz")
    return skrf.media.DefinedGammaZ0(
        skrf.Frequency.from_f(frequency.m_as("Hz"), unit="Hz"),
        z0_port=50,
        z0=cable.characteristic_impedance(frequency).m_as("ohm"),
        gamma=cable.propagation_constant(frequency).m_as("1/m"),
    )


def _impedance(cable, length, far_end, hertz):
    """Impedance that scikit-rf sees into a terminated line at these frequencies."""
    media = _media(cable, hertz)
    end = media.open() if far_end == "open" else media.short()
    return (media.line(length, "m") ** end).z[:, 0, 0]


def _crossing(cable, length, far_end):
    """Lowest frequency at which the reactance rises through zero, found by scanning and then closing in.

    Rising is the low-resistance crossing; the shorted line's falling one, a quarter wave, is a resonance of
    several kilohms that no analyser shows well.
    """
    whole = {"open": 0.25, "short": 0.5}[far_end] * C * cable.nominal_velocity_factor / length
    scan = np.linspace(0.02, 1.3, 400) * whole
    reactance = _impedance(cable, length, far_end, scan).imag
    first = np.flatnonzero((reactance[:-1] < 0) & (reactance[1:] >= 0))[0]
    return brentq(
        lambda hertz: _impedance(cable, length, far_end, hertz)[0].imag, scan[first], scan[first + 1], rtol=1e-12
    )


@pytest.mark.parametrize("far_end", ["open", "short"])
@pytest.mark.parametrize("name", BUNDLED)
def test_check_frequency_against_scikit_rf(name, far_end):
    cable = wb.cable(name)
    found = wb.check_frequency(cable, Q(np.array(LENGTHS), "m"), far_end).m_as("Hz")
    for length, hertz in zip(LENGTHS, found, strict=True):
        assert hertz == pytest.approx(_crossing(cable, length, far_end), rel=1e-6)


@pytest.mark.parametrize("far_end", ["open", "short"])
def test_loss_and_impedance_tilt_the_crossing(far_end):
    """Not merely the frequency of a quarter or half wave: 140 m of clad cable crosses visibly beside it."""
    cable = wb.cable("series-6-clad")
    hertz = wb.check_frequency(cable, "140 m", far_end)
    degrees = wb.electrical_length("140 m", hertz, cable).m_as("degree")
    whole = {"open": 90, "short": 180}[far_end]
    assert 0.05 < abs(degrees - whole) < 5


@pytest.mark.parametrize("far_end", ["open", "short"])
@pytest.mark.parametrize("name", BUNDLED)
def test_length_from_check_frequency_inverts_check_frequency(name, far_end):
    lengths = Q(np.array(LENGTHS), "m")
    hertz = wb.check_frequency(wb.cable(name), lengths, far_end)
    back = wb.length_from_check_frequency(wb.cable(name), hertz, far_end).m_as("m")
    assert back == pytest.approx(np.array(LENGTHS), rel=1e-10)


@pytest.mark.parametrize("far_end", ["open", "short"])
def test_reactance_is_zero_at_check_frequency(far_end):
    load = Q(np.inf if far_end == "open" else 0.0, "ohm")
    for length in LENGTHS:
        cable = wb.cable("rg-59-solid-pe")
        hertz = wb.check_frequency(cable, Q(length, "m"), far_end)
        seen = wb.input_impedance(cable, Q(length, "m"), hertz, load).m_as("ohm")
        assert abs(seen.imag) < 1e-6 * abs(cable.characteristic_impedance(hertz).m_as("ohm"))
        assert 0 < seen.real < 50


def test_connectors_count_as_cable_of_their_delay():
    """scikit-rf's line with two pieces of 0.11 ns added, at the frequency found and nowhere else."""
    cable, length, delay = wb.cable("series-6-copper"), 20.0, 0.11e-9
    hertz = wb.check_frequency(cable, Q(length, "m"), connector_delay=Q(delay, "s")).m_as("Hz")
    beta = cable.propagation_constant(Q(hertz, "Hz")).m_as("1/m").imag
    whole = length + 2 * (2 * np.pi * hertz * delay / beta)
    assert _impedance(cable, whole, "open", hertz)[0].imag == pytest.approx(0, abs=1e-5)
    back = wb.length_from_check_frequency(cable, Q(hertz, "Hz"), connector_delay=Q(delay, "s"))
    assert back.m_as("m") == pytest.approx(length, rel=1e-10)
