"""Tables and sentences of the receiving chain."""

import csv
import io

import pytest

import workbook as wb
from workbook.tables import receive

FRONT_END = wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
ONE = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
ELEMENT, RECEIVER = wb.Stage("element", "-20 dB", "25 dB"), wb.Stage("receiver", "0 dB", "10 dB")
BAND = wb.ReceiveBand("160 m", ONE, "46 dB", ELEMENT, after=(RECEIVER,))
NAMES = ["series-6-clad", "series-11-copper", "rg-8x-foam"]
RUNS = wb.CableRuns("30 m", 4, "300 m")


def comparison(wanted="3 dB", prices=None, supply=None):
    return wb.cable_comparison(NAMES, RUNS, [BAND], wanted, prices, supply)


def test_response_table_lists_every_band():
    table = receive.response_table(FRONT_END, {"160 m": "1.83 MHz", "80 m": "3.65 MHz"})
    assert [row[:2] for row in table.rows] == [("160 m", "1.83"), ("80 m", "3.65")]


def test_front_end_sentence_says_peak_damping_and_cutoff():
    said = receive.front_end_sentence(FRONT_END)
    assert f"{FRONT_END.cutoff().m_as('MHz'):.4g} MHz" in said
    assert "the chokes' loss" in said


def test_transmitter_table_says_what_to_do():
    own = [wb.Transmitter(f"{f}", "400 W", "100 m", wb.Quantity(f, "MHz")) for f in (1.83, 7.1, 14.1)]
    verdicts = [row[-1] for row in receive.transmitter_table(wb.transmitter_levels(FRONT_END, own, "5 V")).rows]
    assert verdicts[0].startswith("switch off while")
    assert "chokes" in verdicts[1]
    assert "quarter wave" in verdicts[2]
    assert any("exposure rules" in text for text in receive.CAUTIONS)
    assert any("sequencer" in text for text in receive.CAUTIONS)


def test_margin_tables_agree_with_the_margin():
    margin = wb.noise_margin(ONE, "46 dB", ELEMENT, [RECEIVER])
    (row,) = receive.margin_table({"160 m": margin}).rows
    assert row[4] == f"{margin.margin.m_as('dB'):+.1f}"
    shares = receive.contribution_table(margin).rows
    assert sum(float(share) for *_, share in shares) == pytest.approx(100, abs=1)
    assert row[5] == shares[0][0] == "receiver"
    assert "160 m" in receive.margin_sentence({"160 m": margin})
    assert receive.signal_table(wb.signal_levels(ONE, "1 mV/m", ELEMENT, [RECEIVER])).rows[0][0] == "receiver"


def test_choke_table_has_a_row_per_band():
    (row,) = receive.choke_table({"160 m": wb.choke_mismatch(ONE, FRONT_END, 0.2)}).rows
    assert row[:2] == ("160 m", "20.0")


def test_cable_table_and_choice_name_the_same_cable():
    prices = {"series-6-clad": 0.3, "series-11-copper": 1.2}
    found = comparison(prices=prices)
    table, said = receive.cable_table(found), receive.recommendation_sentences(found)
    assert {row[0] for row in table.rows} == set(NAMES)
    assert "no price" in table.rows[-1]
    assert said[0].startswith(f"Take {found.recommendation.best.cable.name}")
    assert "rg-8x-foam" in said[-1]
    assert any("burial" in text for text in receive.burial_sentences(found))


@pytest.mark.parametrize("prices", [None, {"series-6-clad": 0.3}])
def test_choice_says_what_is_missing(prices):
    said = " ".join(receive.recommendation_sentences(comparison("90 dB", prices)))
    assert "No cable meets 90.0 dB" in said
    assert "prices per metre" in said or "Without a price" in said


def test_feed_sentence_says_what_supply_or_wire_would_do():
    row = comparison(supply=wb.DcSupply("12 V", "10 V", "50 mA")).rows[-1]
    said = receive.feed_sentence(row.feed)
    assert f"AWG {row.feed.gauge_needed}" in said
    assert "a supply of" in said
    enough = wb.dc_feed("24 V", "10 V", "50 mA", [wb.FeedRun("run", "10 m", "0.1 ohm/m")])
    assert receive.feed_sentence(enough).endswith("10 V are needed.")


PLAN = wb.cut_plan(
    [("A1", "26.911 m", "A"), ("A2", "26.911 m", "A"), ("B", "13 m", None)],
    [("R1", "60 m", 0.833), ("R2", "30 m"), ("R3", "90 m")], "5 mm", ("A",)
)  # fmt: skip


def test_cutting_table_is_a_list_to_cut_by():
    table = receive.cutting_table(PLAN)
    rows = list(csv.reader(io.StringIO(table.csv())))
    assert len(rows) == 4
    cells = {row[2]: row for row in rows[1:]}
    assert cells["A1"][0] == cells["A2"][0] == "R1"
    assert cells["A2"][5].startswith("53.827 m")


def test_reel_table_adds_up():
    for row in receive.reel_table(PLAN).rows:
        reel = next(reel for reel in PLAN.reels if reel.label == row[0])
        parts = [float(cell.split(" m ")[0]) for cell in row[2:]]
        assert sum(parts) == pytest.approx(reel.length.m_as("m"), abs=0.002)
    assert any("0.833" in row[1] for row in receive.reel_table(PLAN).rows)
    assert "no plan opens less" in receive.cutting_sentence(PLAN)
