"""The worksheets *element front end*, *coax for long runs* and *reels and cutting plan* with real widgets."""

import csv
import io
import re

import pytest

import workbook as wb
from workbook.formatting import LengthUnits
from workbook.panels.front_end import FrontEndPanel
from workbook.panels.long_runs import LongRunsPanel
from workbook.panels.reels import FILE, ReelsPanel, stock_tables, stock_text
from workbook.panels.units_switch import SYSTEMS
from workbook.plan.marks import reel_mark

RING = "heron-fen-ring.toml"


def text(page) -> str:
    return re.sub(r"<[^>]+>", " ", str(page.value).split("</style>")[-1])


@pytest.fixture
def front_end(folder):
    return FrontEndPanel(folder)


@pytest.fixture
def long_runs(folder):
    return LongRunsPanel(folder)


@pytest.fixture
def reels(folder):
    return ReelsPanel(folder)


# --- element front end --------------------------------------------------------------------------------------


def test_without_a_front_end_the_usual_one_is_shown_and_nothing_of_it_is_saved_until_moved(front_end, folder):
    before = (folder / RING).read_text()
    assert "has no [front_end]" in text(front_end.old)
    front_end.save.click()
    assert (folder / RING).read_text() == before
    front_end.design_controls.vertical.amounts["height"].slider.value = 6.0
    assert "has no [front_end]" not in text(front_end.old)
    front_end.save.click()
    saved = wb.load_design(folder / RING).content.front_end
    assert saved.height.m_as("m") == 6.0
    assert saved.choke_inductance.m_as("uH") == 200


def test_only_moved_keys_are_written_where_the_file_has_a_front_end(front_end, folder):
    front_end.design_controls.vertical.amounts["height"].slider.value = 6.0
    front_end.save.click()
    before = (folder / RING).read_text()
    front_end.design_controls.chokes.plain["choke_q"].value = 0.0
    front_end.save.click()
    after = (folder / RING).read_text()
    assert set(before.splitlines()) - set(after.splitlines()) == {"choke_q = 60"}
    assert set(after.splitlines()) <= set(before.splitlines())


def test_where_reception_stops_is_that_of_the_front_end(front_end):
    table = front_end.plan.design.front_end
    assert f"reception stops at  {table.front_end().cutoff().m_as('MHz'):.3g}" in text(front_end.answer)


def test_a_transmitter_beyond_what_the_buffer_survives_needs_a_sequencer(front_end):
    assert "may stay on" in text(front_end.page)
    front_end.design_controls.frequency.slider.value = 3.65
    assert "A sequencer must switch the buffers off" in text(front_end.page)
    assert "exposure rules" in text(front_end.page)


def test_a_vertical_of_a_quarter_wave_is_refused_in_place(front_end):
    shown = front_end.answer.value
    front_end.design_controls.vertical.amounts["height"].exact.value = "30 m"
    assert "quarter wave" in text(front_end.status)
    assert front_end.answer.value == shown


# --- coax for long runs -------------------------------------------------------------------------------------


def test_the_cheapest_cable_that_is_good_enough_is_named_once_it_has_a_price(long_runs):
    made = long_runs.design_controls
    assert "none with a price" in text(long_runs.answer)
    for name, price in (("series-6-copper", "95"), ("series-11-copper", "240"), ("rg-58-solid-pe", "70")):
        made.cable.value = name
        made.prices.price.value, made.prices.per.value = price, "305 m"
    assert "cheapest good enough  rg-58-solid-pe" in text(long_runs.answer)
    assert "Runner-up is series-6-copper" in text(long_runs.page)
    assert "per unit of money" in text(long_runs.page)


def test_prices_stay_with_their_cable(long_runs):
    made = long_runs.design_controls
    made.cable.value = "series-6-copper"
    made.prices.price.value = "0.4"
    made.cable.value = "series-7-copper"
    assert made.prices.price.value == ""
    made.cable.value = "series-6-copper"
    assert made.prices.price.value == "0.4"
    long_runs.save.click()
    assert wb.load_design(long_runs.shown.path).content.prices["series-6-copper"].per_metre == 0.4


def test_an_amplifier_at_the_hub_brings_back_margin_and_a_smaller_end_fire_row_costs_it(long_runs):
    long_runs.file.value = "heron-fen-row.toml"

    def margin():
        return float(re.search(r"margin of the design\s+([-+][\d.]+)", text(long_runs.answer))[1])

    first = margin()
    long_runs.design_controls.size.sliders["spacing"].value = 6.0
    small = margin()
    assert small < first - 3
    long_runs.design_controls.chain.amounts["amplifier_gain"].slider.value = 20.0
    assert margin() > small


def test_a_feed_that_is_not_met_says_what_supply_or_wire_would_do(long_runs):
    long_runs.design_controls.feed.amounts["current"].slider.value = 150.0
    assert "a supply of" in text(long_runs.page)
    assert "AWG" in text(long_runs.page)


def test_a_supply_below_what_is_needed_is_refused(long_runs):
    long_runs.design_controls.feed.amounts["supply"].slider.value = 8.0
    assert "no wire brings" in text(long_runs.status)


def test_moving_the_feed_writes_no_front_end(long_runs, folder):
    long_runs.design_controls.feed.amounts["supply"].slider.value = 15.0
    long_runs.save.click()
    saved = wb.load_design(folder / RING).content
    assert saved.feed.supply.m_as("V") == 15
    assert saved.front_end is None


def test_filters_that_leave_no_cable_are_refused(long_runs):
    long_runs.design_controls.impedance.value = "50 ohm"
    long_runs.design_controls.buried.value = True
    assert "no cable passes" in text(long_runs.status)


# --- reels --------------------------------------------------------------------------------------------------


def test_stock_is_read_as_it_is_written(folder):
    typed = "R1, 305 m\nnew, 500 ft, 0.832"
    tables = stock_tables(typed, "series-6-copper", LengthUnits.METRIC)
    path = folder / RING
    design = wb.load_design(path).changed({("stock",): tables})
    written = [stock_text(design.content.stock, "series-6-copper", units) for units in SYSTEMS]
    # 1 ft = 0.3048 m exactly
    assert written == ["R1, 305 m\nnew, 152.4 m, 0.832", "R1, 1000 ft 7 7/8 in\nnew, 500 ft, 0.832"]
    assert stock_text(design.content.stock, "series-11-clad", LengthUnits.METRIC) == ""


def test_reels_of_one_cable_leave_those_of_others(reels, folder):
    made = reels.design_controls
    made.reels.value = "A, 400 m"
    made.cable.value = "series-11-clad"
    made.reels.value = "B, 305 m"
    reels.save.click()
    saved = wb.load_design(folder / RING).content.stock
    assert {(reel.label, reel.cable) for reel in saved} == {("A", "series-6-copper"), ("B", "series-11-clad")}
    reels.design_controls.reels.value = ""
    reels.save.click()
    assert [reel.label for reel in wb.load_design(folder / RING).content.stock] == ["A"]


def test_every_cut_is_listed_and_written_by_the_button_alone(reels, folder):
    assert reels.write.disabled
    reels.design_controls.reels.value = "A, 400 m"
    assert not (folder / FILE).exists()
    reels.write.click()
    rows = list(csv.reader(io.StringIO((folder / FILE).read_text(encoding="utf-8"))))[1:]
    cuts = [cut for plan in reels.plan.reels for reel in plan.reels for cut in reel.cuts]
    assert [row[3] for row in rows] == [reel_mark(cut.piece) for cut in cuts]
    assert "cannot exist" in text(reels.answer)


def test_a_reel_that_is_too_short_is_answered_with_what_is_needed(reels):
    reels.design_controls.reels.value = "A, 5 m"
    assert "no reel holds it" in text(reels.page)
    assert reels.write.disabled


def test_a_broken_line_is_refused_and_what_was_shown_stays(reels):
    reels.design_controls.reels.value = "A, 400 m"
    shown = reels.answer.value
    reels.design_controls.reels.value = "A, 400 m, fast"
    assert "write it like 0.832" in text(reels.status)
    assert reels.answer.value == shown
