"""Distance to a fault: scikit-rf's lines with open ends, joints and water at known places."""

import numpy as np
import pytest
import skrf
from simulated import as_sweep, media

import workbook as wb

Q = wb.Quantity
HERTZ = np.linspace(0.1e6, 60e6, 600)


def seen(*parts, end="open", noise=1e-3, hertz=HERTZ):
    """Return the sweep of lengths [m], series resistances ("joint", ohm) and shunt capacitors ("water", pF)."""
    medium = media(hertz)
    network = medium.thru()
    for part in parts:
        if isinstance(part, tuple):
            kind, value = part
            one = medium.resistor(value) if kind == "joint" else medium.shunt_capacitor(value * 1e-12)
        else:
            one = medium.line(part, "m")
        network = network**one
    network = network ** (medium.open() if end == "open" else medium.short())
    return as_sweep(network, np.random.default_rng(0), noise)


def found(*parts, **how):
    """Return the response by the medium's group velocity in the middle of the sweep."""
    middle = 30e6 + np.array([-1e4, 1e4])
    velocity = 2 * np.pi * 2e4 / np.diff(media(middle).gamma.imag)[0] / 299792458
    return wb.distance_response(seen(*parts, **how), float(velocity), "75 ohm")


@pytest.mark.parametrize("end", ["open", "short"])
@pytest.mark.parametrize("metres", [8.0, 27.0, 90.0])
def test_the_far_end_is_where_it_is(end, metres):
    """Loss rounds the pulse; it is found within a quarter of the resolution."""
    response = found(metres, end=end)
    (last,) = response.reflectors
    assert last.kind == end
    assert abs(last.distance - Q(metres, "m")) < response.resolution / 4


@pytest.mark.parametrize("at", [5.0, 14.0, 33.0])
def test_a_poor_joint_is_found_before_the_far_end(at):
    """A series resistance R in a line of Z reflects R/(R + 2 Z): 30 ohm in 75 ohm 0.1667, less the loss to and fro."""
    response = found(at, ("joint", 30.0), 45.0 - at)
    joint, last = response.reflectors
    assert joint.kind == "higher"
    assert abs(joint.distance - Q(at, "m")) < response.resolution / 4
    loss = np.exp(-2 * at * media(np.array([30e6, 31e6])).gamma.real[0])
    assert joint.reflection == pytest.approx(30 / 180 * loss, rel=0.1)
    assert last.kind == "open"


def test_water_is_found_as_lower_impedance():
    """100 pF of more capacitance at one place."""
    response = found(12.0, ("water", 100.0), 20.0)
    first = response.reflectors[0]
    assert first.kind == "lower"
    assert abs(first.distance - Q(12.0, "m")) < response.resolution / 2


def test_a_time_of_reflection_of_a_textbook():
    """Blake, example 14.18: 1.4 us to and fro at a velocity factor of 0.8 is 168 m (with exact c 167.88 m).

    The sweep is a pure delay of 1.4 us, made by scikit-rf's ideal line.
    """
    hertz = np.linspace(0.1e6, 30e6, 900)
    ideal = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(hertz, unit="Hz"), z0=50, gamma=2j * np.pi * hertz * 0.7e-6)
    sweep = as_sweep(ideal.line(1, "m") ** ideal.open(), np.random.default_rng(0))
    (last,) = wb.distance_response(sweep, 0.8).reflectors
    assert last.distance.m_as("m") == pytest.approx(168, abs=0.5)


def test_a_cable_of_the_catalogue_brings_velocity_and_impedance():
    cable = wb.cable("series-6-copper")
    network = cable.network(Q(HERTZ, "Hz"), "30 m")
    end = skrf.media.DefinedGammaZ0(network.frequency, z0=50).open()
    response = wb.distance_response(as_sweep(network**end, np.random.default_rng(0)), cable)
    (last,) = response.reflectors
    assert abs(last.distance - Q(30, "m")) < response.resolution / 4


def test_the_size_of_a_pulse_is_that_of_scikit_rf():
    """scikit-rf's own inverse transform of the same windowed sweep, on its frequency grid from zero."""
    hertz = np.linspace(0, 60e6, 601)
    medium = media(np.maximum(hertz, 1.0))
    network = medium.line(20, "m") ** medium.resistor(40) ** medium.line(25, "m") ** medium.open()
    network.frequency = skrf.Frequency.from_f(hertz, unit="Hz")
    times, pulse = network.impulse_response(window=("kaiser", 6.0), n=601 * 16 + 1, pad=0, squeeze=True)
    sweep = wb.Sweep(Q(hertz[1:], "Hz"), network.s[1:], Q(50.0, "ohm"))
    response = wb.distance_response(sweep, 0.83)
    theirs = np.interp(response.distance.m_as("m") * 2 / 0.83 / 299792458, times, pulse / pulse.max())
    ours = response.reflection / response.reflection.max()
    assert ours == pytest.approx(theirs, abs=0.01)


def test_a_sweep_too_coarse_for_a_length_names_the_step(refused):
    sweep = seen(90.0, hertz=np.linspace(0.5e6, 60e6, 120))
    text = refused(lambda: wb.distance_response(sweep, 0.83, "75 ohm", "200 m"), "step of at most")
    step = float(text.partition("at most ")[2].split()[0]) * 1e3
    fine = seen(200.0, hertz=np.arange(step, 60e6, step))
    # 0.83 is the velocity without loss: what lags by it makes 200 m look up to 1 % longer
    last = wb.distance_response(fine, 0.83, "75 ohm", "200 m").reflectors[-1]
    assert last.distance.m_as("m") == pytest.approx(200, rel=0.01)


@pytest.mark.parametrize(
    ("hertz", "words"),
    [(np.linspace(0.1e6, 60e6, 20), "32 or more"), (np.linspace(10e6, 60e6, 500), "begins at 10 MHz")],
)
def test_a_sweep_that_shows_no_distance_is_refused(hertz, words, refused):
    refused(lambda: wb.distance_response(seen(20.0, hertz=hertz), 0.83), words)
