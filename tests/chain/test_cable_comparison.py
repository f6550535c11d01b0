"""Cables for long runs, and the recommendation."""

import numpy as np
import pytest

import workbook as wb

RING = wb.ring(4, "30 m", "0 deg")
ELEMENT = wb.Stage("element", "-18 dB", "24 dB")
RECEIVER = wb.Stage("receiver", "0 dB", "12 dB")
RUNS = wb.CableRuns(element_run="25 m", elements=4, receiver_run="300 m")
PRICES = {
    "series-6-clad": 0.3,
    "series-6-copper": 0.6,
    "series-11-clad": 0.8,
    "series-11-copper": 1.4,
    "rg-213-solid-pe": 3,
}
NAMES = list(PRICES)


def band(name, frequency, after=(RECEIVER,)):
    weights = wb.aligned_weights(RING, frequency, "45 deg", "20 deg")
    firing = wb.Firing(RING, weights, frequency, "45 deg", "20 deg", wb.Ground(13, "5 mS/m"))
    return wb.ReceiveBand(
        name, firing, wb.external_noise(frequency, "quiet rural"), ELEMENT, (wb.passive_stage("hub", "3 dB"),), after
    )


BANDS = [band("160 m", "1.83 MHz"), band("40 m", "7.1 MHz")]


def compared(wanted="10 dB", prices=PRICES, supply=None, names=NAMES, runs=RUNS, bands=BANDS):
    return wb.cable_comparison(names, runs, bands, wanted, prices, supply)


def test_losses_are_those_of_the_cable_on_its_real_low_band():
    for row in compared().rows:
        for loss, frequency in zip(row.bands, ("1.83 MHz", "7.1 MHz"), strict=True):
            span = [part.m_as("dB/m") * 325 for part in row.cable.span("attenuation", frequency)]
            assert [part.m_as("dB") for part in (loss.least, loss.typical, loss.greatest)] == pytest.approx(span)


def test_margin_is_that_of_the_whole_chain_by_hand():
    (row,) = compared(names=["series-6-copper"]).rows
    cable = wb.cable("series-6-copper")
    gain, figure = wb.cascade([ELEMENT, wb.line_stage(cable, "25 m", "1.83 MHz")])
    stages = [wb.passive_stage("hub", "3 dB"), wb.line_stage(cable, "300 m", "1.83 MHz"), RECEIVER]
    wanted = wb.noise_margin(BANDS[0].firing, BANDS[0].external, wb.Stage("element", gain, figure), stages)
    assert row.bands[0].margin.margin.m_as("dB") == pytest.approx(wanted.margin.m_as("dB"), abs=1e-9)


def test_a_clad_cable_counts_by_its_greatest_loss():
    (row,) = compared(names=["series-6-clad"]).rows
    assert row.bands[0].worst_margin.margin < row.bands[0].margin.margin
    assert row.least_margin.margin == min(loss.worst_margin.margin for loss in row.bands)


def test_recommendation_is_the_cheapest_that_meets_the_margin_on_all_bands():
    rows = compared("0 dB").rows
    margins = sorted(row.least_margin.margin.m_as("dB") for row in rows)
    wanted = wb.Quantity((margins[1] + margins[2]) / 2, "dB")
    found = wb.cable_comparison(NAMES, RUNS, BANDS, wanted, PRICES)
    good = [row for row in found.rows if row.least_margin.margin >= wanted]
    assert len(good) == 3
    by_cost = sorted(good, key=lambda row: PRICES[row.cable.name])
    best = found.recommendation
    assert best.best is by_cost[0]
    assert best.runner_up is by_cost[1]
    assert best.nearest is None
    assert best.gain > wb.Quantity(0, "dB")
    extra_cost = best.next_better.cost - best.best.cost
    assert best.gain_per_cost == pytest.approx(best.gain.m_as("dB") / extra_cost)


def test_cost_is_price_times_all_runs():
    costs = {row.cable.name: row.cost for row in compared().rows}
    assert costs["series-6-clad"] == pytest.approx(0.3 * 400)
    assert list(costs.values()) == sorted(costs.values())


def test_a_cable_without_a_price_is_shown_but_not_ranked():
    found = compared("-50 dB", {"series-11-copper": 1.4})
    assert found.rows[0].cable.name == "series-11-copper"
    assert len(found.rows) == len(NAMES)
    assert found.recommendation.best.cable.name == "series-11-copper"
    assert found.recommendation.runner_up is None
    assert compared("-50 dB", None).recommendation.best is None


def test_where_none_is_enough_the_nearest_is_named():
    found = compared("90 dB").recommendation
    assert found.best is None
    assert found.nearest.least_margin.margin == max(row.least_margin.margin for row in compared().rows)


def test_a_cable_that_cannot_feed_the_front_ends_is_not_recommended():
    supply = wb.DcSupply("12 V", "10 V", "50 mA")
    found = compared("-50 dB", supply=supply)
    fed = {row.cable.name: row.feed.is_enough for row in found.rows}
    assert not fed["series-6-clad"]
    assert fed["series-11-copper"]
    assert fed[found.recommendation.best.cable.name]
    over_pair = compared("-50 dB", supply=wb.DcSupply("12 V", "10 V", "50 mA", 2 * wb.wire_resistance(14)))
    assert all(row.feed.is_enough for row in over_pair.rows)
    assert over_pair.recommendation.best.cable.name == "series-6-clad"


def test_longer_runs_have_less_margin():
    short, long = (
        compared(runs=wb.CableRuns(receiver_run=length), names=["series-11-clad"]).rows[0].least_margin.margin
        for length in ("100 m", "500 m")
    )
    assert long < short


def test_mass_and_diameter_are_those_of_the_record():
    row = next(row for row in compared().rows if row.cable.name == "rg-213-solid-pe")
    assert row.mass.m_as("kg") == pytest.approx(0.159 * 400)
    assert row.diameter.m_as("mm") == pytest.approx(10.287)
    assert any("burial" in text for text in compared(names=["series-6-clad"]).rows[0].burial)


def test_balanced_pairs_join_only_by_name():
    everything = compared(names=None).rows
    assert not any(row.cable.is_balanced for row in everything)
    assert len(compared(names=["category-5-pair"]).rows) == 1


def test_filters_leave_out_what_does_not_suit():
    assert all(wb.cable(name).nominal_impedance.m_as("ohm") == 50 for name in wb.suitable_cables("50 ohm"))
    assert "series-6-clad" in wb.suitable_cables("75 ohm", buried=True)
    assert "rg-213-solid-pe" not in wb.suitable_cables(greatest_diameter="7 mm")
    assert np.all([not wb.cable(name).is_balanced for name in wb.suitable_cables()])


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: compared(names=["series-66"]), ("names", "series-6")),
        (lambda: compared(names="series-6-clad"), ("names",)),
        (lambda: compared(names=[]), ("names", "empty")),
        (lambda: compared(bands=[]), ("bands", "empty")),
        (lambda: compared(bands=[BANDS[0], BANDS[0]]), ("bands", "twice")),
        (lambda: compared(runs="300 m"), ("runs", "CableRuns")),
        (lambda: compared(prices={"series-6-clad": "0.3"}), ("prices", "0.55")),
        (lambda: compared(prices=[0.3]), ("prices",)),
        (lambda: compared(supply="12 V"), ("supply",)),
        (lambda: compared(wanted=10), ("wanted_margin",)),
        (lambda: compared(supply=wb.DcSupply("9 V", "10 V", "50 mA")), ("supply", "no wire")),
        (lambda: wb.CableRuns(), ("no length",)),
        (lambda: band("160 m", "1.83 MHz", ()), ("after", "receiver")),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
