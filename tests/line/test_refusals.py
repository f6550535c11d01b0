"""Every function of the room refuses what it cannot use, in one sentence that names the argument."""

import functools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest

import workbook as wb

Q = wb.Quantity
CLAD = wb.cable("series-6-clad")
ANOTHER = pint.UnitRegistry().Quantity

# what a call takes when all is well
CALLS: dict[str, tuple[Callable[..., Any], dict[str, Any]]] = {
    "attenuation": (CLAD.attenuation, {"frequency": "1.83 MHz"}),
    "velocity_factor": (CLAD.velocity_factor, {"frequency": "1.83 MHz"}),
    "group_velocity_factor": (CLAD.group_velocity_factor, {"frequency": "1.83 MHz"}),
    "characteristic_impedance": (CLAD.characteristic_impedance, {"frequency": "1.83 MHz"}),
    "propagation_constant": (CLAD.propagation_constant, {"frequency": "1.83 MHz"}),
    "span": (CLAD.span, {"quantity": "attenuation", "frequency": "1.83 MHz"}),
    "network": (CLAD.network, {"frequency": "1.83 MHz", "length": "10 m", "port_impedance": "75 ohm"}),
    "with_cladding": (CLAD.with_cladding, {"thickness": "10 um"}),
    "with_velocity_factor": (CLAD.with_velocity_factor, {"value": 0.83, "frequency": "1.83 MHz"}),
    "conductor_impedance": (
        wb.conductor_impedance,
        {"frequency": "1.83 MHz", "radius": "0.5 mm", "inner_radius": "0.2 mm"},
    ),
    "shield_impedance": (
        wb.shield_impedance,
        {"frequency": "1.83 MHz", "radius": "2 mm", "thickness": "9 um", "conductivity": "35 MS/m"}
        | {"relative_permeability": 1},
    ),
    "electrical_length": (
        wb.electrical_length,
        {"length": "10 m", "frequency": "1.83 MHz", "velocity_factor": 0.66},
    ),
    "physical_length": (
        wb.physical_length,
        {"electrical_length": "71 deg", "frequency": "1.83 MHz", "velocity_factor": 0.66},
    ),
    "delay_length": (wb.delay_length, {"delay": "38 ns", "velocity_factor": 0.66, "frequency": "1.83 MHz"}),
    "phase_of_delay": (wb.phase_of_delay, {"delay": "38 ns", "frequency": "1.83 MHz"}),
    "total_loss": (
        wb.total_loss,
        {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz", "load": "50 ohm"},
    ),
    "input_impedance": (
        wb.input_impedance,
        {"cable": CLAD, "length": "10 m", "frequency": "1.83 MHz", "load": "50 ohm"},
    ),
    "check_frequency": (wb.check_frequency, {"cable": CLAD, "length": "10 m", "far_end": "open"}),
    "length_from_check_frequency": (
        wb.length_from_check_frequency,
        {"cable": CLAD, "frequency": "5 MHz", "far_end": "open"},
    ),
    "constant_cable": (
        wb.constant_cable,
        {"resistance": "0.1 ohm/m", "inductance": "0.25 uH/m", "conductance": "1 uS/m"} | {"capacitance": "67 pF/m"},
    ),
    "ideal_cable": (wb.ideal_cable, {"impedance": "75 ohm", "velocity_factor": 0.66}),
}

NO_QUANTITY = (5, 5.0, np.float64(5), np.array([5.0]), [5.0], "5", "", "m", "10,5 m", b"5 m", True)
NOT_FINITE = (math.nan, math.inf, -math.inf, [1.0, math.nan], [1.0, math.inf])
MASKED = np.ma.masked_array([0.5, 0.7], [False, True])
FACTORS = (0, 0.0, -0.5, 1.0001, 1.5, 66, 82.0, 1000, math.nan, math.inf, None, True, 0.5j, "0.66", "66 %")
FACTORS += (Q(0.66, ""), [0.66, 66], {}, object(), ["0.66"], b"0.66", MASKED)


def number(unit: str, wrong: tuple[str, ...], least: float | None, above: bool = False) -> tuple[Any, ...]:
    """What is refused where a real number in a unit is wanted, at or above a least value."""
    bad = (*NO_QUANTITY, *wrong, *(Q(value, unit) for value in NOT_FINITE), Q(1j, unit), ANOTHER(5, unit))
    bad = (*bad, Q(5, ""), Q(5, "degC"), Q(MASKED, unit))
    if least is not None:
        bad = (*bad, Q(-1, unit), Q([1.0, -1.0], unit), Q(np.array(-1e-12), unit))
    return (*bad, Q(0, unit), Q([1, 0], unit)) if above else bad


HERTZ = number("Hz", ("5 m", "5 s", "5 deg"), 0, above=True)
LENGTH = number("m", ("5 MHz", "5 ns", "5 m^2", "5 dB"), 0)
SIZE = number("m", ("5 MHz", "5 ns", "5 m^2", "5 dB"), 0, above=True)
SECONDS = number("s", ("5 m", "5 MHz", "5 deg"), 0)
LOAD = (*NO_QUANTITY, "5 m", "5 S", "-1 ohm", Q(math.nan, "ohm"), Q(-1 + 5j, "ohm"), Q([50, -50], "ohm"), Q(50, ""))
LOAD += (Q(MASKED, "ohm"),)
CABLES = ("series-6-clad", 0.66, Q(75, "ohm"), None)
WORDS = ("Open", "loose", "", None, 1, ["open"])

BAD: dict[str, tuple[Any, ...]] = {
    "frequency": (*HERTZ, None),
    "length": (*LENGTH, None),
    "radius": (*SIZE, None),
    "inner_radius": SIZE,
    "thickness": (*SIZE, None),
    "conductivity": (*number("S/m", ("5 S", "5 ohm/m"), 0, above=True), None),
    "relative_permeability": (0, -1, math.nan, math.inf, "1", None, True, 1j, Q(1, ""), np.array([1.0, 0.0])),
    "velocity_factor": FACTORS,
    "value": FACTORS,
    "electrical_length": (
        *number("degree", ("5 m", "5 MHz", "5 %", "5 rad/s"), 0),
        Q(1.2, ""),
        None,
    ),
    "delay": (*SECONDS, None),
    "load": (*LOAD, None),
    "cable": CABLES,
    "far_end": WORDS,
    "quantity": ("loss", "Attenuation", "", None, 5, ["attenuation"]),
    "port_impedance": (*number("ohm", ("5 m", "5 S"), 0, above=True), None),
    "impedance": (*number("ohm", ("5 m", "5 S"), 0, above=True), None),
    "resistance": (*number("ohm/m", ("5 ohm", "5 dB/m"), 0), None),
    "inductance": (*number("H/m", ("5 H", "5 F/m"), 0, above=True), None),
    "conductance": (*number("S/m", ("5 S", "5 ohm/m"), 0), None),
    "capacitance": (*number("F/m", ("5 F", "5 H/m"), 0, above=True), None),
}
# these answer with less or more than the others
OWN = {
    ("check_frequency", "length"): (*SIZE, None),
    ("phase_of_delay", "delay"): (*number("s", ("5 m", "5 MHz", "5 deg"), None), None),
    ("delay_length", "frequency"): HERTZ,
}


@pytest.mark.parametrize(("function", "argument"), [(f, a) for f, (_, given) in CALLS.items() for a in given])
def test_every_argument_is_checked(refused, function, argument):
    call, given = CALLS[function]
    call(**given)
    wrong = []
    for value in OWN.get((function, argument), BAD[argument]):
        changed = {**given, argument: value}
        try:
            refused(functools.partial(call, **changed), argument)
        except (Exception, pytest.fail.Exception) as error:
            wrong.append(f"{value!r:.60}: {type(error).__name__}: {error!s:.120}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("value", [66, 82.0])
def test_per_cent_is_recognised(refused, value):
    for call in (
        lambda: wb.electrical_length("10 m", "1.83 MHz", value),
        lambda: wb.ideal_cable("75 ohm", value),
        lambda: CLAD.with_velocity_factor(value, "1.83 MHz"),
    ):
        refused(call, f"{value:g}", "per cent", f"write {value / 100:g}")


def test_a_bare_number_is_refused_with_how_to_write_it(refused):
    refused(lambda: wb.electrical_length(10, "1.83 MHz", 0.66), "length", "10", "wb.Quantity(value, 'm')")
    refused(lambda: CLAD.attenuation(1.83e6), "frequency", "1830000.0", "wb.Quantity(value, 'Hz')")


@pytest.mark.parametrize("unit", ["rad/s", "turn/s", "degree/s", "revolutions_per_minute"])
def test_frequency_rejects_an_angular_frequency(refused, unit):
    """It differs by two pi, so it is refused and not silently taken for hertz."""
    refused(lambda: CLAD.velocity_factor(Q(1e7, unit)), "frequency")


@pytest.mark.parametrize(
    "call",
    [
        lambda two, three: wb.electrical_length(Q(two, "m"), Q(three, "MHz"), 0.66),
        lambda two, three: wb.electrical_length(Q(two, "m"), "1 MHz", [0.5, 0.6, 0.7]),
        lambda two, three: wb.physical_length(Q(two, "deg"), Q(three, "MHz"), 0.66),
        lambda two, three: wb.delay_length(Q(two, "ns"), CLAD, Q(three, "MHz")),
        lambda two, three: wb.phase_of_delay(Q(two, "ns"), Q(three, "MHz")),
        lambda two, three: wb.total_loss(CLAD, Q(two, "m"), Q(three, "MHz"), "50 ohm"),
        lambda two, three: wb.input_impedance(CLAD, Q(two, "m"), "1 MHz", Q(three, "ohm")),
        lambda two, three: wb.conductor_impedance(Q(two, "MHz"), Q(three, "mm")),
        lambda two, three: wb.shield_impedance(Q(two, "MHz"), "2 mm", Q(three, "um"), "35 MS/m"),
        lambda two, three: wb.ideal_cable(Q(two, "ohm"), [0.5, 0.6, 0.7]),
        lambda two, three: wb.constant_cable(Q(two, "ohm/m"), Q(three, "uH/m"), "0 S/m", "67 pF/m"),
    ],
)
def test_arrays_that_do_not_broadcast_are_refused(refused, call):
    refused(lambda: call([1.0, 2.0], [1.0, 2.0, 3.0]))


# --- each by itself ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("load", ["0 ohm", Q(math.inf, "ohm"), Q(50j, "ohm"), Q(-75j, "ohm"), Q([50, 0], "ohm")])
def test_total_loss_rejects_a_load_that_takes_no_power(refused, load):
    refused(lambda: wb.total_loss(CLAD, "10 m", "1.83 MHz", load), "load", "no power")


def test_a_cable_needs_the_frequency_for_a_length(refused):
    refused(lambda: wb.delay_length("38 ns", CLAD), "frequency", "1.83 MHz")


@pytest.mark.parametrize("far_end", ["open", "short"])
def test_a_line_too_lossy_for_a_check_is_refused(refused, far_end):
    refused(lambda: wb.check_frequency(CLAD, "100 km", far_end), "length", "lossy", "shorter")
    refused(lambda: wb.check_frequency(CLAD, Q([1, 1e5], "m"), far_end), "length", "lossy")


def test_far_end_rejects_another_word(refused):
    refused(lambda: wb.check_frequency(CLAD, "10 m", "opened"), "far_end", "open")


@pytest.mark.parametrize(
    ("name", "word"),
    [("series-6-copper", "series-6-copper"), ("rg-213-solid-pe", "rg-213-solid-pe")],
)
def test_with_cladding_rejects_a_cable_that_is_not_clad(refused, name, word):
    refused(lambda: wb.cable(name).with_cladding("10 um"), "thickness", word)
    refused(lambda: wb.ideal_cable("75 ohm", 0.66).with_cladding("10 um"), "thickness")


@pytest.mark.parametrize("thickness", ["0.6 mm", Q([10, 20], "um"), Q([10.0], "um")])
def test_with_cladding_rejects_several_and_thicker_than_the_radius(refused, thickness):
    refused(lambda: CLAD.with_cladding(thickness), "thickness", "radius")


@pytest.mark.parametrize(
    ("value", "frequency"),
    [([0.8, 0.82], "1.83 MHz"), (np.array([0.8]), "1.83 MHz"), (0.8, Q([1, 2], "MHz"))],
)
def test_with_velocity_factor_rejects_arrays(refused, value, frequency):
    refused(lambda: CLAD.with_velocity_factor(value, frequency))


@pytest.mark.parametrize(
    "layers",
    [
        (),
        [],
        5,
        "abc",
        [5],
        [None],
        [("0.5 mm", "58 MS/m")],
        [("0.5 mm",)],
        ("0.5 mm", "58 MS/m", 1),
        {"copper": 1},
        [("0.4 mm", "58 MS/m", 1)],
        [("0.6 mm", "58 MS/m", 1)],
        [("0.5 mm", "58 MS/m", 1), ("0.4 mm", "58 MS/m", 1)],
        [("0.5 mm", "5.8 MS/m", 200), ("0.5 mm", "58 MS/m", 1)],
        [("0.5 mm", 58e6, 1)],
        [("0.5 mm", "0 S/m", 1)],
        [("0.5 mm", "58 MS/m", "1")],
        [("0.5 mm", "58 MS/m", 0)],
        [("0.5 mm", "58 MS/m", -200)],
        [("0.5 mm", "58 MS/m", math.nan)],
        [(0.5, "58 MS/m", 1)],
    ],
)
def test_layers_rejects_what_does_not_build_a_conductor(refused, layers):
    refused(lambda: wb.conductor_impedance("1.83 MHz", "0.5 mm", layers), "layers")


@pytest.mark.parametrize("inner", ["0.5 mm", "0.6 mm", Q([0.1, 0.5], "mm")])
def test_inner_radius_rejects_one_as_wide_as_the_conductor(refused, inner):
    refused(lambda: wb.conductor_impedance("1.83 MHz", "0.5 mm", inner_radius=inner), "inner_radius")


def test_constant_cable_rejects_a_line_faster_than_light(refused):
    refused(lambda: wb.constant_cable("0 ohm/m", "0.1 uH/m", "0 S/m", "1 pF/m"), "light")


@pytest.mark.parametrize(
    ("frequency", "length"),
    [
        (Q([2, 1], "MHz"), "10 m"),
        (Q([1, 1], "MHz"), "10 m"),
        (Q([[1, 2]], "MHz"), "10 m"),
        (Q([], "MHz"), "10 m"),
    ],
)
def test_network_rejects_frequencies_that_do_not_rise(refused, frequency, length):
    refused(lambda: CLAD.network(frequency, length), "frequenc")


def test_network_rejects_several_lengths_or_port_impedances(refused):
    refused(lambda: CLAD.network("1 MHz", Q([1, 2], "m")), "length", "one value")
    refused(lambda: CLAD.network(Q([1, 2, 3], "MHz"), "10 m", Q([50, 75], "ohm")), "port_impedance")


@pytest.mark.parametrize(
    ("name", "offered"),
    [
        ("series-6-coper", "series-6-copper"),
        ("Series-6-Copper", "series-6-copper"),
        ("rg213", "rg-213-solid-pe"),
    ],
)
def test_the_nearest_cables_are_offered(refused, name, offered):
    refused(lambda: wb.cable(name), f"{name!r}", "did you mean", offered)


@pytest.mark.parametrize("name", ["", "zzz", None, 5, ["series-6-copper"], {}, ("a",), "../cable_data/series-6-clad"])
def test_cable_rejects_what_is_not_a_name(refused, name):
    refused(lambda: wb.cable(name), "cable")


# beyond these nothing is built, and the formulas of conductors leave the range of a float
@pytest.mark.parametrize("frequency", ["1e15 MHz", "2 THz", "1e-30 Hz", Q(1e21, "Hz"), Q([1.83e6, 1e21], "Hz")])
def test_frequencies_beyond_those_of_cables_are_refused(refused, frequency):
    for call in (
        lambda: CLAD.velocity_factor(frequency),
        lambda: CLAD.attenuation(frequency),
        lambda: CLAD.characteristic_impedance(frequency),
        lambda: CLAD.span("velocity_factor", frequency),
        lambda: wb.total_loss(CLAD, "20 m", frequency, "50 ohm"),
        lambda: wb.input_impedance(CLAD, "20 m", frequency, "50 ohm"),
    ):
        refused(call, "frequency", "1 uHz to 1 THz")


@pytest.mark.parametrize("length", ["1e50 m", "1e10 km", Q([20.0, 1e15], "m")])
def test_lengths_beyond_those_of_cables_are_refused(refused, length):
    for call in (
        lambda: wb.check_frequency(CLAD, length),
        lambda: wb.total_loss(CLAD, length, "1.83 MHz", "50 ohm"),
        lambda: wb.electrical_length(length, "1.83 MHz", 0.8),
        lambda: wb.line_transfer(CLAD, length, "1.83 MHz", "50 ohm", "75 ohm"),
    ):
        refused(call, "length", "1 nm to a million km")


@pytest.mark.parametrize(("value", "frequency", "megahertz"), [(0.95, "137 kHz", "5.6"), (0.999, "1.83 MHz", "2.2")])
def test_no_measured_velocity_makes_a_cable_faster_than_light_on_another_band(refused, value, frequency, megahertz):
    cable = wb.cable("series-6-copper")
    refused(lambda: cable.with_velocity_factor(value, frequency), "value", f"from about {megahertz} MHz", "light")
    assert np.all(cable.with_velocity_factor(0.97, "1.83 MHz").velocity_factor(Q(np.geomspace(1, 1e6, 50), "kHz")) <= 1)
