"""Pictures of the receiving chain by the data that is drawn: front end, cables for long runs, reels."""

import numpy as np
import pytest
from chart_data import curves, items

import workbook as wb
from workbook.chain.cable_comparison import cable_comparison
from workbook.figures.chart import Fill, Rule, Strokes
from workbook.figures.front_end import front_end_picture
from workbook.figures.long_runs import long_runs_picture
from workbook.figures.reels import reels_picture
from workbook.plan.reels import ReelCut, ReelCuts, ReelPlan

FRONT_END = wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
BANDS = {"160 m": 1.83e6, "80 m": 3.65e6}


def test_response_is_0_db_at_1_megahertz_and_meets_the_limit_at_the_cutoff():
    chart = front_end_picture(FRONT_END, 0.1, BANDS)
    curve = curves(chart)["nominal chokes"]
    assert np.interp(1.0, curve.x, curve.y) == pytest.approx(0, abs=0.01)
    assert np.interp(FRONT_END.cutoff().m_as("MHz"), curve.x, curve.y) == pytest.approx(-3, abs=0.05)
    assert {rule.at for rule in items(chart, Rule).values() if not rule.level} == {1.83, 3.65}


def test_shaded_area_holds_the_response_of_chokes_within_the_tolerance():
    chart = front_end_picture(FRONT_END, 0.1, BANDS)
    (shade,) = items(chart, Fill).values()
    moved = wb.FrontEnd(FRONT_END.vertical, "1 Mohm", "15 pF", "190 uH", 60, "2 pF")
    size = np.abs(moved.transfer(wb.Quantity(shade.x, "MHz"))) / abs(moved.transfer("1 MHz"))
    level = 20 * np.log10(size)
    assert np.all(level <= shade.high + 0.5)
    assert np.all(level >= shade.low - 0.5)


def test_phase_between_elements_is_that_of_the_tolerance():
    (curve,) = curves(front_end_picture(FRONT_END, 0.1, BANDS), plot=1).values()
    for x, y in zip(curve.x[::40], curve.y[::40], strict=True):
        assert y == pytest.approx(wb.phase_spread(FRONT_END, wb.Quantity(x, "MHz"), 0.1).m_as("degree"))


def comparison(prices):
    one = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
    element, receiver = wb.Stage("element", "-20 dB", "25 dB"), wb.Stage("receiver", "0 dB", "10 dB")
    band = wb.ReceiveBand("160 m", one, "46 dB", element, after=(receiver,))
    names = ["series-6-clad", "series-11-copper", "rg-8x-foam"]
    return cable_comparison(names, wb.CableRuns(receiver_run="300 m"), [band], "3 dB", prices)


def test_margins_drawn_are_those_of_the_comparison_with_the_one_wanted():
    found = comparison({"series-11-copper": 1.0, "rg-8x-foam": 2.0})
    chart = long_runs_picture(found, "series-6-clad")
    named = {label.partition(":")[0]: curve for label, curve in curves(chart, plot=1).items() if label}
    assert set(named) == {"series-6-clad", "series-11-copper", "rg-8x-foam"}
    for row in found.rows:
        assert named[row.cable.name].y == pytest.approx([float(row.least_margin.margin.m_as("dB"))])
    (wanted,) = items(chart, Rule, 1).values()
    assert wanted.at == 3
    assert [item.label for item in chart.legend][:1] == ["series-11-copper: cheapest"]


def test_cables_that_are_not_named_are_drawn_faint_and_explained():
    chart = long_runs_picture(comparison({"series-11-copper": 1.0}), "series-11-copper")
    assert any(label.startswith("series-11-copper: design, cheapest") for label in curves(chart, plot=1))
    assert chart.legend[-1].label == "other cables"


def reel(name, *lengths):
    ends = np.cumsum(lengths)
    cuts = tuple(
        ReelCut(f"element run, {n}" if n % 2 else f"line {n}", length, float(end))
        for n, (length, end) in enumerate(zip(lengths, ends, strict=True), 1)
    )
    return ReelCuts(name, 100.0, None, cuts, float(100 - ends[-1]))


def test_every_piece_is_a_bar_on_its_reel():
    plan = ReelPlan("series-6-copper", None, (reel("A", 30.0, 20.0), reel("B", 60.0)), 200.0, 90.0, True, 0.0, ())
    chart = reels_picture((plan,), "Fen")
    strokes = [item for item in chart.plots[0].items if isinstance(item, Strokes) and item.label != "left"]
    drawn = sorted((float(x), float(low)) for one in strokes for x, low in zip(one.x, one.low, strict=True))
    assert drawn == [(0.0, 0.0), (0.0, 30.0), (1.0, 0.0)]
    assert [word for _, word in chart.plots[0].x.ticks] == ["A", "B"]
    assert {item.label for item in chart.legend} == {"delay lines", "element runs", "left on the reel"}


def test_without_a_plan_the_picture_says_so():
    assert reels_picture((), "Fen").state == "no plan"
