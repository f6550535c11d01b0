"""What the chain refuses: ends that are open or without resistance, lines without length, counts that differ."""

import dataclasses
import math

import numpy as np
import pytest

import workbook as wb
from workbook.chain.channel_errors import channel_errors, error_corners, perturbed_weights
from workbook.chain.channels import Channel, delayed_channels
from workbook.chain.compensation import compensated_lengths
from workbook.chain.levelling import level_channels
from workbook.chain.mismatch import line_transfer, mismatch_phase, required_match

Q = wb.Quantity
CLAD = wb.cable("series-6-clad")
BARE = Channel("50 ohm", CLAD, "30 m", None, None, "75 ohm")
DELAYED = Channel("50 ohm", CLAD, "30 m", CLAD, "12 m", "75 ohm")
PAIR = [BARE, DELAYED]
DELAYS = Q([0, 48.0], "ns")
OPEN = Q(math.inf, "ohm")
POOR = ("0 ohm", "-5 ohm", Q(75j, "ohm"), Q(-1 + 5j, "ohm"), Q([50, 0], "ohm"))
NO_IMPEDANCE = (75, "75", "75 m", Q(math.nan, "ohm"), [75], Q(75, ""), True)


@pytest.mark.parametrize("value", [*POOR, *NO_IMPEDANCE, Q(-math.inf, "ohm")])
@pytest.mark.parametrize("end", ["source", "load"])
def test_a_line_needs_ends_with_resistance(refused, end, value):
    given = {"source": "75 ohm", "load": "75 ohm"} | {end: value}
    refused(lambda: line_transfer(CLAD, "10 m", "1.83 MHz", **given), end)


def test_an_open_load_is_the_lines_own_affair():
    """A lossless open line of 60 degrees behind its own impedance: 1/(cos 60 + j sin 60)."""
    cable = wb.ideal_cable("75 ohm", 0.66)
    length = wb.physical_length("60 deg", "1.83 MHz", 0.66)
    got = line_transfer(cable, length, "1.83 MHz", "75 ohm", OPEN)
    assert got == pytest.approx(complex(0.5, -math.sqrt(0.75)), rel=1e-12)


def test_rejects_an_open_source(refused):
    refused(lambda: line_transfer(CLAD, "10 m", "1.83 MHz", OPEN, "75 ohm"), "source", "open")


@pytest.mark.parametrize("end", ["source", "port", "summing"])
def test_a_channel_has_ends(refused, end):
    for value in (*POOR, *NO_IMPEDANCE):
        refused(lambda value=value: dataclasses.replace(DELAYED, **{end: value}), end)
    for value in (
        OPEN,
        *(() if end == "summing" else (None,)),
        Q([50, math.inf], "ohm"),
        Q(complex(0, math.inf), "ohm"),
    ):
        refused(lambda value=value: dataclasses.replace(DELAYED, **{end: value}), end, "open", "'75 ohm'")


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"run_length": "-1 m"}, ("run_length", "negative")),
        ({"run_length": None}, ("run_length",)),
        ({"line_length": "-1 m"}, ("line_length", "negative")),
        ({"line_length": None}, ("line_length", "without its length")),
        ({"line_length": 12}, ("line_length", "'m'")),
        ({"line": None}, ("line", "without a cable")),
        ({"line": "series-6-clad"}, ("line", "Cable")),
        ({"run": "series-6-clad"}, ("run", "Cable")),
        ({"run": None}, ("run", "Cable")),
        ({"connector_delay": "-1 ns"}, ("connector_delay", "negative")),
        ({"run_connector_delay": "-1 ns"}, ("run_connector_delay", "negative")),
        ({"pieces": 0}, ("pieces",)),
        ({"pieces": 1.5}, ("pieces",)),
        ({"pieces": True}, ("pieces",)),
        ({"source": Q([50, 60], "ohm"), "port": Q([50, 60, 70], "ohm")}, ("shapes",)),
    ],
)
def test_a_channel_rejects_wrong_arguments(refused, changed, words):
    refused(lambda: dataclasses.replace(DELAYED, **changed), *words)


ALL = [channel_errors, error_corners, compensated_lengths]


@pytest.mark.parametrize("call", ALL)
@pytest.mark.parametrize(
    ("channels", "delays", "frequency", "words"),
    [
        (PAIR, Q([0, 10, 48.0], "ns"), "1.83 MHz", ("delays", "3 came for 2")),
        (PAIR, "0 ns", "1.83 MHz", ("delays", "1 came for 2")),
        (PAIR, ["0 ns"], "1.83 MHz", ("delays", "1 came for 2")),
        (PAIR, Q([[0, 48.0]], "ns"), "1.83 MHz", ("delays",)),
        (PAIR, Q([0, -48.0], "ns"), "1.83 MHz", ("delays", "negative")),
        (PAIR, Q([0, 48.0], "m"), "1.83 MHz", ("delays",)),
        (PAIR, [0, 48], "1.83 MHz", ("delays",)),
        (PAIR, Q([10, 48.0], "ns"), "1.83 MHz", ("delays", "delay 0")),
        (PAIR, DELAYS, "0 MHz", ("frequency",)),
        (PAIR, DELAYS, "48 ns", ("frequency",)),
        ([], DELAYS, "1.83 MHz", ("channels", "empty")),
        ([BARE, "75 ohm"], DELAYS, "1.83 MHz", ("channels", "a list of channels")),
        (None, DELAYS, "1.83 MHz", ("channels", "a list of channels")),
        ([BARE, dataclasses.replace(DELAYED, summing="75 ohm")], DELAYS, "1.83 MHz", ("summing",)),
        ([BARE, dataclasses.replace(DELAYED, line_length="1e9 m")], DELAYS, "1.83 MHz", ("line_length", "nothing")),
    ],
)
def test_channels_and_delays_fit(refused, call, channels, delays, frequency, words):
    refused(lambda: call(channels, delays, frequency), *words)


@pytest.mark.parametrize("call", ALL)
def test_directions_fit(refused, call):
    refused(lambda: call(PAIR, DELAYS, "1.83 MHz", directions=["north"]), "directions", "1 came for 2")
    refused(lambda: call(PAIR, DELAYS, "1.83 MHz", directions="north"), "directions", "1 came for 2")
    refused(lambda: call(PAIR, DELAYS, "1.83 MHz", directions=["north", "south"]), "delays", "'south'")
    refused(lambda: call(PAIR, DELAYS, "1.83 MHz", directions=["north", []]), "directions", "a name")


def test_frequencies_that_do_not_fit_arrays_of_ends(refused):
    many = dataclasses.replace(DELAYED, port=Q([50.0, 60, 70], "ohm"))
    refused(lambda: channel_errors([BARE, many], DELAYS, Q([1.83, 3.65], "MHz")), "shapes")


@pytest.mark.parametrize("value", [-0.1, 1, 5, "5 %", None, True, Q(0.05, ""), [0.05, 0.1], math.nan])
@pytest.mark.parametrize("name", ["source_tolerance", "port_tolerance"])
def test_a_tolerance_is_a_share(refused, name, value):
    refused(lambda: error_corners(PAIR, DELAYS, "1.83 MHz", **{name: value}), name)


def test_compensation_rejects_lines_that_cannot_be_solved(refused):
    three, delays = [*PAIR, dataclasses.replace(DELAYED, line_length="20 m")], Q([0, 48, 80.0], "ns")
    refused(lambda: compensated_lengths([BARE, BARE], DELAYS, "1.83 MHz"), "channels", "number 2", "48 ns")
    refused(lambda: compensated_lengths(PAIR, DELAYS, "1.83 MHz", ["A"]), "lines", "1 came for 2")
    refused(lambda: compensated_lengths(three, delays, "1.83 MHz", ["-", "A", "A"]), "lines", "'A'", "different")
    refused(lambda: compensated_lengths(PAIR, DELAYS, Q([1.83, 3.65], "MHz")), "frequency", "one cut band")
    thick = [BARE, dataclasses.replace(DELAYED, connector_delay="30 ns")]
    refused(lambda: compensated_lengths(thick, DELAYS, "1.83 MHz", ["-", "A"]), "lines", "'A'")


@pytest.mark.parametrize("value", ["0 deg", "-1 deg", "90 deg", "120 deg", 1, Q(0.01, ""), "1 dB"])
def test_a_phase_accuracy_is_an_angle_below_a_quarter_turn(refused, value):
    refused(lambda: required_match(value), "phase_error")


def test_mismatch_refuses(refused):
    refused(lambda: mismatch_phase(CLAD, "1.83 MHz", OPEN, "75 ohm"), "source", "open")
    refused(lambda: mismatch_phase(CLAD, "1.83 MHz", "75 ohm", "0 ohm"), "port")
    refused(lambda: mismatch_phase("series-6-clad", "1.83 MHz", "75 ohm", "75 ohm"), "cable")
    refused(lambda: mismatch_phase(CLAD, "0.1 MHz", Q(1e-3 + 75j, "ohm"), Q(1e-3 + 75j, "ohm")), "reactive")


def test_a_pad_needs_a_resistive_port(refused):
    refused(lambda: level_channels([dataclasses.replace(BARE, port=Q(75 + 5j, "ohm"))], "1.83 MHz"), "port", "pad")


def test_delayed_channels_reject_lines_that_do_not_fit(refused):
    lengths = Q([0.0, 12], "m")
    refused(lambda: delayed_channels("channel", CLAD, lengths), "direct", "Channel")
    refused(lambda: delayed_channels(BARE, "series-6-clad", lengths), "line", "Cable")
    refused(lambda: delayed_channels(BARE, CLAD, -lengths), "line_lengths", "negative")
    refused(lambda: delayed_channels(BARE, CLAD, Q([[0.0, 12]], "m")), "line_lengths")
    for bad in ([1], 0, 1.5, None, "2", [1, 0], [1, True]):
        refused(lambda bad=bad: delayed_channels(BARE, CLAD, lengths, bad), "pieces")


def test_weights_are_one_for_each_channel(refused):
    errors = channel_errors(PAIR, DELAYS, "1.83 MHz")
    refused(lambda: perturbed_weights([1, 1, 1], *errors), "weights", "3 came for 2")
    refused(lambda: perturbed_weights(["one", "two"], *errors), "weights")
    refused(lambda: perturbed_weights(Q([1, 1], ""), *errors), "weights")
    refused(lambda: perturbed_weights([Q(1, ""), 1], *errors), "weights")
    refused(lambda: perturbed_weights([1, float("nan")], *errors), "weights")
    refused(lambda: perturbed_weights([1, 1], errors[0], "1e300 dB"), "level")
    refused(lambda: perturbed_weights([1, 1], errors[0], errors[0]), "level")
    refused(lambda: perturbed_weights([1, 1], Q(np.zeros((2, 3)), "deg"), Q(np.zeros((2, 2)), "dB")), "shapes")
