"""Direct current to the front ends."""

import numpy as np
import pytest

import workbook as wb

PAIR = 2 * wb.wire_resistance(24)


def test_drop_is_current_times_resistance():
    assert wb.dc_drop("80 mA", "100 m", "0.05 ohm/m").m_as("V") == pytest.approx(0.4)
    assert wb.dc_drop("80 mA", "100 m", wb.cable("series-6-clad").loop_resistance).m_as("V") > 0.5
    assert wb.dc_drop(wb.Quantity([0.0, 0.1], "A"), "10 m", "1 ohm/m").m_as("V") == pytest.approx([0, 1])


def test_steel_in_the_centre_costs_voltage():
    clad, copper = (wb.dc_drop("0.5 A", "200 m", wb.cable(f"series-6-{k}").loop_resistance) for k in ("clad", "copper"))
    assert clad > 2 * copper


def test_receiver_run_carries_the_current_of_all_front_ends():
    runs = [wb.FeedRun("receiver run", "150 m", PAIR, 4), wb.FeedRun("element run", "30 m", PAIR)]
    found = wb.dc_feed("12 V", "8 V", "10 mA", runs)
    wanted = 12 - PAIR.m_as("ohm/m") * 0.01 * (4 * 150 + 30)
    assert found.voltage.m_as("V") == pytest.approx(wanted)
    assert found.is_enough


def test_what_is_needed_is_just_enough():
    runs = [wb.FeedRun("receiver run", "150 m", PAIR, 4), wb.FeedRun("element run", "30 m", PAIR)]
    found = wb.dc_feed("12 V", "10 V", "80 mA", runs)
    assert not found.is_enough
    assert wb.dc_feed(found.supply_needed, "10 V", "80 mA", runs).is_enough
    for gauge, enough in ((found.gauge_needed, True), (found.gauge_needed + 1, False)):
        wire = 2 * wb.wire_resistance(gauge)
        thick = [wb.FeedRun("receiver run", "150 m", wire, 4), wb.FeedRun("element run", "30 m", wire)]
        assert wb.dc_feed("12 V", "10 V", "80 mA", thick).is_enough == enough


def test_six_gauges_quarter_the_section():
    ratio = wb.wire_resistance(30).m_as("ohm/m") / wb.wire_resistance(24).m_as("ohm/m")
    assert ratio == pytest.approx(92 ** (12 / 39))
    assert np.isclose(ratio, 4, rtol=0.01)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.dc_feed("9 V", "10 V", "80 mA", [wb.FeedRun("run", "1 m", PAIR)]), ("supply", "no wire")),
        (lambda: wb.dc_feed("12 V", "10 V", "80 mA", []), ("runs", "empty")),
        (lambda: wb.dc_feed("12 V", "10 V", "80 mA", [3]), ("runs",)),
        (lambda: wb.FeedRun("run", "1 m", PAIR, 0), ("front_ends",)),
        (lambda: wb.dc_drop("-1 A", "1 m", "1 ohm/m"), ("current",)),
        (lambda: wb.dc_drop("1 A", "1 m", "1 ohm"), ("loop_resistance",)),
        (lambda: wb.wire_resistance(41), ("gauge",)),
        (lambda: wb.wire_resistance("18"), ("gauge",)),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
