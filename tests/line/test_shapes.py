"""A scalar in gives a scalar out, arrays broadcast, whole numbers are as good as any."""

import math
from typing import Any

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
CLAD, COPPER = wb.cable("series-6-clad"), wb.cable("series-6-copper")
IDEAL, CONSTANT = wb.ideal_cable("75 ohm", 0.66), wb.constant_cable("0.1 ohm/m", "0.25 uH/m", "1 uS/m", "67 pF/m")

# name -> the call, and for each of its arguments a magnitude and unit (None = a plain number)
CALLS: dict[str, tuple[Any, tuple[tuple[Any, str | None], ...]]] = {
    **{
        f"{name} {what}": (getattr(cable, what), ((2, "MHz"),))
        for name, cable in {"clad": CLAD, "copper": COPPER, "ideal": IDEAL, "constant": CONSTANT}.items()
        for what in "attenuation velocity_factor group_velocity_factor characteristic_impedance "
        "propagation_constant".split()
    },
    "measured": (CLAD.with_velocity_factor(0.8, "2 MHz").velocity_factor, ((2, "MHz"),)),
    "least": (lambda f: CLAD.span("attenuation", f)[0], ((2, "MHz"),)),
    "fastest": (lambda f: CLAD.span("velocity_factor", f)[2], ((2, "MHz"),)),
    "lowest": (lambda f: CLAD.span("characteristic_impedance", f)[0], ((2, "MHz"),)),
    "no span": (lambda f: COPPER.span("velocity_factor", f)[2], ((2, "MHz"),)),
    "solid": (wb.conductor_impedance, ((2, "MHz"), (1, "mm"))),
    "tube": (
        lambda f, r, i: wb.conductor_impedance(f, r, inner_radius=i),
        ((2, "MHz"), (3, "mm"), (1, "mm")),
    ),
    "clad rod": (
        lambda f, r, s: wb.conductor_impedance(f, "5 mm", [(r, s, 200), ("5 mm", "58 MS/m", 1)]),
        ((2, "MHz"), (3, "mm"), (6, "MS/m")),
    ),
    "shield": (wb.shield_impedance, ((2, "MHz"), (2, "mm"), (9, "um"), (35, "MS/m"))),
    "electrical_length": (wb.electrical_length, ((10, "m"), (2, "MHz"), (0.66, None))),
    "electrical_length of a cable": (lambda x, f: wb.electrical_length(x, f, CLAD), ((10, "m"), (2, "MHz"))),
    "physical_length": (wb.physical_length, ((71, "deg"), (2, "MHz"), (0.66, None))),
    "delay_length": (wb.delay_length, ((38, "ns"), (0.66, None))),
    "delay_length of a cable": (lambda t, f: wb.delay_length(t, CLAD, f), ((38, "ns"), (2, "MHz"))),
    "phase_of_delay": (wb.phase_of_delay, ((38, "ns"), (2, "MHz"))),
    "total_loss": (lambda x, f, z: wb.total_loss(CLAD, x, f, z), ((10, "m"), (2, "MHz"), (50, "ohm"))),
    "input_impedance": (lambda x, f, z: wb.input_impedance(CLAD, x, f, z), ((10, "m"), (2, "MHz"), (50, "ohm"))),
    "complex load": (lambda z: wb.input_impedance(CLAD, "9 m", "2 MHz", z), ((50 - 20j, "ohm"),)),
    "open": (lambda x: wb.input_impedance(CLAD, x, "2 MHz", Q(math.inf, "ohm")), ((10, "m"),)),
    "short": (lambda x: wb.input_impedance(CLAD, x, "2 MHz", "0 ohm"), ((10, "m"),)),
    "check_frequency": (lambda x: wb.check_frequency(CLAD, x), ((10, "m"),)),
    "check_frequency, short": (lambda x: wb.check_frequency(CLAD, x, "short"), ((10, "m"),)),
    "check_frequency with connectors": (
        lambda x, t: wb.check_frequency(CLAD, x, connector_delay=t),
        ((10, "m"), (1, "ns")),
    ),
    "length_from_check_frequency": (lambda f: wb.length_from_check_frequency(CLAD, f), ((5, "MHz"),)),
    "length with connectors": (
        lambda f, t: wb.length_from_check_frequency(CLAD, f, connector_delay=t),
        ((5, "MHz"), (1, "ns")),
    ),
    "ideal_cable": (
        lambda z, v: wb.ideal_cable(z, v).characteristic_impedance("1 MHz"),
        ((75, "ohm"), (0.66, None)),
    ),
    "constant_cable": (
        lambda r, c: wb.constant_cable(r, "0.25 uH/m", "0 S/m", c).attenuation("1 MHz"),
        ((1, "ohm/m"), (67, "pF/m")),
    ),
}


def given(magnitude: Any, unit: str | None) -> Any:
    return magnitude if unit is None else Q(magnitude, unit)


def plain(answer: Any) -> Any:
    return getattr(answer, "magnitude", answer)


@pytest.mark.parametrize("name", CALLS)
def test_a_scalar_gives_a_scalar(name):
    call, arguments = CALLS[name]
    answer = plain(call(*(given(*one) for one in arguments)))
    assert type(answer) in (float, complex)
    of_arrays = plain(call(*(given(np.array(value), unit) for value, unit in arguments)))
    assert type(of_arrays) in (float, complex)
    assert of_arrays == answer
    of_numpy = plain(call(*(given(np.float64(value) if value.imag == 0 else value, unit) for value, unit in arguments)))
    assert of_numpy == answer
    of_reals = plain(call(*(given(value * 1.0, unit) for value, unit in arguments)))
    assert of_reals == answer


@pytest.mark.parametrize("name", CALLS)
def test_an_array_gives_what_its_entries_give(name):
    call, arguments = CALLS[name]
    scales = [0.8, 0.9, 1.0]
    for varied in range(len(arguments)):

        def answer(scale: Any, varied: int = varied) -> Any:
            return plain(call(*(given(v * scale if n == varied else v, u) for n, (v, u) in enumerate(arguments))))

        together = answer(np.array(scales))
        assert together.shape == (3,)
        assert together == pytest.approx(np.array([answer(scale) for scale in scales]), rel=1e-9)
        flat = answer(np.array([scales, scales])).reshape(-1)
        assert flat == pytest.approx(np.concatenate((together, together)), rel=1e-12)
        if arguments[varied][1] is not None:
            assert answer(np.zeros(0)).shape == (0,)


@pytest.mark.parametrize("name", [name for name, (_, arguments) in CALLS.items() if len(arguments) > 1])
def test_arrays_broadcast(name):
    call, arguments = CALLS[name]
    (one, unit), (two, other), *rest = arguments
    rows, columns = one * np.array([[0.9], [1.0]]), two * np.array([0.8, 0.9, 1.0])
    more = [given(*argument) for argument in rest]
    together = plain(call(given(rows, unit), given(columns, other), *more))
    assert together.shape == (2, 3)
    for i, j in np.ndindex(2, 3):
        by_itself = plain(call(given(rows[i, 0], unit), given(columns[j], other), *more))
        assert together[i, j] == pytest.approx(by_itself, rel=1e-9)


def test_arguments_are_not_changed():
    lengths = Q(np.array([1.0, 2.0]), "ft")
    wb.check_frequency(CLAD, lengths)
    wb.electrical_length(lengths, "2 MHz", CLAD)
    assert lengths.units == Q(1, "ft").units
    assert lengths.magnitude.tolist() == [1, 2]


def test_a_result_array_is_writeable():
    """It is the caller's own: no memory of an earlier answer shows through."""
    frequency = Q([1.0, 2.0], "MHz")
    first = CLAD.characteristic_impedance(frequency)
    kept = first.magnitude.copy()
    first += Q(1, "ohm")
    assert CLAD.characteristic_impedance(frequency).magnitude.tolist() == kept.tolist()


def test_open_ends_among_other_loads():
    loads = [math.inf, 50 + 10j, 0]
    together = wb.input_impedance(CLAD, "10 m", "2 MHz", Q(np.array(loads), "ohm")).m_as("ohm")
    alone = [wb.input_impedance(CLAD, "10 m", "2 MHz", Q(load, "ohm")).m_as("ohm") for load in loads]
    assert together == pytest.approx(np.array(alone), rel=1e-12)


def test_an_open_end_may_be_complex():
    real, complex_ = (wb.input_impedance(CLAD, "10 m", "2 MHz", Q(z, "ohm")) for z in (math.inf, complex(math.inf, 0)))
    assert complex_ == real


def test_a_line_of_zero_length_has_its_open_end_as_input():
    seen = wb.input_impedance(CLAD, "0 m", "2 MHz", Q(math.inf, "ohm"))
    through = wb.input_impedance(CLAD, "10 m", "2 MHz", seen)
    direct = wb.input_impedance(CLAD, "10 m", "2 MHz", Q(math.inf, "ohm"))
    assert through.m_as("ohm") == pytest.approx(direct.m_as("ohm"))


def test_units_of_the_answers():
    for quantity, unit in {
        CLAD.attenuation("2 MHz"): "dB/m",
        CLAD.propagation_constant("2 MHz"): "1/m",
        CLAD.characteristic_impedance("2 MHz"): "ohm",
        CLAD.loop_resistance: "ohm/m",
        CLAD.nominal_impedance: "ohm",
        wb.conductor_impedance("2 MHz", "1 mm"): "ohm/m",
        wb.shield_impedance("2 MHz", "1 mm", "9 um", "35 MS/m"): "ohm/m",
        wb.electrical_length("1 m", "2 MHz", CLAD): "degree",
        wb.phase_of_delay("1 ns", "2 MHz"): "degree",
        wb.physical_length("1 deg", "2 MHz", CLAD): "m",
        wb.delay_length("1 ns", 0.66): "m",
        wb.total_loss(CLAD, "1 m", "2 MHz", "50 ohm"): "dB",
        wb.check_frequency(CLAD, "1 m"): "Hz",
        wb.length_from_check_frequency(CLAD, "2 MHz"): "m",
        wb.input_impedance(CLAD, "1 m", "2 MHz", "50 ohm"): "ohm",
    }.items():
        assert quantity.units == Q(1, unit).units
    for plain_number in (CLAD.velocity_factor("2 MHz"), CLAD.group_velocity_factor("2 MHz")):
        assert isinstance(plain_number, float)
    assert isinstance(CLAD.nominal_velocity_factor, float)
