"""Tables and sentences of the receiving chain."""

import csv
import io
import math

import pytest
import tomlkit
from designs import BASES, changed

import workbook as wb
from workbook.formatting import LengthUnits
from workbook.plan.marks import reel_mark
from workbook.tables import long_runs, receive, reels

FRONT_END = wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
ONE = wb.Firing(wb.row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
ELEMENT, RECEIVER = wb.Stage("element", "-20 dB", "25 dB"), wb.Stage("receiver", "0 dB", "10 dB")
NAMES = ["series-6-clad", "series-11-copper", "rg-8x-foam"]
RUNS = wb.CableRuns("30 m", 4, "300 m")


@pytest.fixture
def receiving(tmp_path):
    """Plan the design with everything that is received by, with some keys changed."""

    def plan(**changes):
        keys = {tuple(key.split("__")): value for key, value in changes.items()}
        path = tmp_path / "design.toml"
        path.write_text(tomlkit.dumps(changed(BASES["receive"], keys)), encoding="utf-8")
        return wb.load_design(path).plan()

    return plan


def comparison(wanted="3 dB", prices=None, supply=None, external="46 dB"):
    band = wb.ReceiveBand("160 m", ONE, external, ELEMENT, after=(RECEIVER,))
    return wb.cable_comparison(NAMES, RUNS, [band], wanted, prices, supply)


def test_response_table_lists_every_band():
    table = receive.response_table(FRONT_END, {"160 m": "1.83 MHz", "80 m": "3.65 MHz"})
    assert [row[:2] for row in table.rows] == [("160 m", "1.83"), ("80 m", "3.65")]


def test_front_end_sentence_says_peak_damping_and_cutoff():
    said = receive.front_end_sentence(FRONT_END)
    assert f"{FRONT_END.cutoff().m_as('MHz'):.4g} MHz" in said
    assert "the chokes' loss" in said


def test_transmitter_table_says_what_to_do(receiving):
    own = [
        {"name": f"{f}", "power": "400 W", "distance": "100 m", "frequency": f"{f} MHz"} for f in (1.83, 7.1, 14.1)
    ]  # fmt: skip
    found = receiving(transmitters=own).reception.transmitters
    verdicts = [row[-1] for row in receive.transmitter_table(found).rows]
    assert verdicts[0].startswith("switch off while")
    assert "chokes" in verdicts[1]
    assert "quarter wave" in verdicts[2]
    first, *cautions = receive.transmitter_sentences(found)
    assert "1.83, 14.1" in first
    assert any("exposure rules" in text for text in cautions)
    assert any("sequencer" in text for text in cautions)
    assert receive.transmitter_sentences(()) == ()


def test_reception_tables_agree_with_the_plan(receiving):
    found = receiving().reception
    for row, band in zip(receive.reception_table(found).rows, found.bands, strict=True):
        assert row[3] == f"{band.margin_db:+.1f}"
        shares = receive.contribution_table(band).rows
        assert sum(float(share) for *_, share in shares) == pytest.approx(100, abs=3)
        assert row[5] == shares[0][0] == band.limit
    levels = receive.signal_table(found).rows
    assert levels[0][2] == f"{found.bands[0].receiver_dbm:.1f}"


def test_margin_sentence_says_whether_band_noise_rules_and_what_to_do(receiving):
    assert "does not matter" in receive.margin_sentence(receiving().reception)
    receiver = {"noise_figure": "35 dB", "hub_loss": "0.5 dB"}
    environment = {"noise": "quiet rural", "margin": "12 dB"}
    said = receive.margin_sentence(receiving(receiver=receiver, environment=environment).reception)
    assert "12 dB are wanted: internal noise raises" in said
    assert said.endswith("take an amplifier at the hub.")


@pytest.mark.parametrize(
    ("tolerance", "words"),
    [(0.001, "does not matter"), (0.07, "no sorting is needed"), (0.3, "sort them into matched sets")],
)
def test_choke_sentence_says_what_the_tolerance_costs_and_what_to_do(receiving, tolerance, words):
    found = receiving(front_end__choke_tolerance=tolerance).reception
    assert words in receive.choke_sentence(found)
    assert [row[0] for row in receive.choke_table(found).rows] == ["160 m", "80 m"]


def test_cable_table_and_choice_name_the_same_cable():
    prices = {"series-6-clad": 0.3, "series-11-copper": 1.2}
    found = comparison(prices=prices)
    table, said = long_runs.cable_table(found), long_runs.recommendation_sentences(found)
    assert {row[0] for row in table.rows} == set(NAMES)
    assert "no price" in table.rows[-1]
    assert said[0].startswith(f"Take {found.recommendation.best.cable.name}")
    assert "rg-8x-foam" in said[-1]
    assert any("burial" in text for text in long_runs.burial_sentences(found))


def test_a_better_cable_does_not_matter_where_the_noise_floor_falls_by_less_than_a_twentieth_of_a_decibel():
    """The floor is external and internal noise power together: 10 log (1 + 10^(-margin / 10)) above external alone."""
    for external, matters in (("46 dB", True), ("70 dB", False)):
        found = comparison("0 dB", {"series-6-clad": 0.3, "series-11-copper": 1.2}, external=external)
        choice = found.recommendation
        powers = [10 ** (-float(row.least_margin.margin.m_as("dB")) / 10) for row in (choice.best, choice.next_better)]
        falls = 10 * math.log10((1 + powers[0]) / (1 + powers[1]))
        said = next(text for text in long_runs.recommendation_sentences(found) if text.startswith("The next better"))
        assert (falls >= 0.05) == matters
        assert (f"by {falls:.2f} dB" if matters else "does not matter") in said


def test_cables_of_which_the_same_is_said_of_burial_share_one_sentence():
    texts = [text.partition(": ")[2] for text in long_runs.burial_sentences(comparison()) if "flooded" in text]
    assert len(set(texts)) == len(texts)


@pytest.mark.parametrize("prices", [None, {"series-6-clad": 0.3}])
def test_choice_says_what_is_missing(prices):
    said = " ".join(long_runs.recommendation_sentences(comparison("90 dB", prices)))
    assert "No cable meets 90.0 dB" in said
    assert "enter prices" in said or "Without a price" in said


def test_feed_sentence_says_what_supply_or_wire_would_do():
    row = comparison(supply=wb.DcSupply("12 V", "10 V", "50 mA")).rows[-1]
    said = receive.feed_sentence(row.feed)
    assert f"AWG {row.feed.gauge_needed}" in said
    assert "a supply of" in said
    enough = wb.dc_feed("24 V", "10 V", "50 mA", [wb.FeedRun("run", "10 m", "0.1 ohm/m")])
    assert receive.feed_sentence(enough).endswith("10 V are needed.")


def test_feed_table_adds_up(receiving):
    feed = receiving().feed
    table = receive.feed_table(feed)
    assert "AWG 20" in table.title
    assert 13.8 - sum(float(row[-1]) for row in table.rows) == pytest.approx(feed.voltage_v, abs=0.01)


def test_cutting_table_is_a_list_to_cut_by(receiving):
    plans = receiving().reels
    rows = list(csv.reader(io.StringIO(reels.cutting_table(plans).csv())))[1:]
    cuts = [cut for reel in plans[0].reels for cut in reel.cuts]
    assert [row[3] for row in rows] == [reel_mark(cut.piece) for cut in cuts]
    assert [float(row[5].split(" m ")[0]) for row in rows] == pytest.approx([cut.end_m for cut in cuts], abs=5e-4)


def test_reel_table_names_pieces_and_what_is_left(receiving):
    plans = receiving().reels
    table = reels.reel_table(plans)
    assert "run 1 to 4" in " ".join(row[4] for row in table.rows)
    for row, reel in zip(table.rows, plans[0].reels, strict=True):
        assert row[5].startswith(f"{reel.left_m:.3f} m")
    (said,) = reels.cutting_sentences(plans)
    assert "no plan opens less" in said


def test_cutting_sentence_says_why_there_is_no_plan(receiving):
    plans = receiving(stock=[{"label": "R1", "cable": "series-11-clad", "length": "100 m"}]).reels
    (said,) = reels.cutting_sentences(plans)
    assert "no cutting plan, the piece 'receiver run' needs 150.000 m" in said
    assert reels.reel_table(plans).rows == ()


def test_a_feed_whose_runs_would_drop_more_than_the_supply_is_said_not_to_work(receiving):
    """By Ohm's law amperes through a run of tens of ohms drop more than 13.8 V; no voltage is written below zero."""
    plan = receiving(feed__supply="13.8 V", feed__least_voltage="10 V", feed__current="3 A")
    drops = sum(drop.current_a * drop.loop_resistance_ohm for drop in plan.feed.drops)
    assert drops > 13.8
    assert receive.feed_sentence(plan.feed).startswith("The feed does not work: ")
    found = comparison(supply=wb.DcSupply("13.8 V", "10 V", "3 A"))
    table = long_runs.cable_table(found)
    place = table.headings.index("feed V")
    assert "does not work" in [row[place] for row in table.rows]
    assert not any(row[place].startswith("-") for row in table.rows)


def test_the_line_of_worksheet_11_names_band_beam_and_cause_and_says_whether_the_margin_is_kept(receiving):
    plan = receiving(environment__margin="60 dB")
    least = plan.reception.least
    line = long_runs.long_runs_answer(comparison(), "rg-8x-foam", plan.reception, plan.feed).text()
    assert f"least margin on {least.name}, beam {least.direction}, limited by {least.limit}" in line
    assert "misses the 60 dB wanted" in line
    plan = receiving(environment__margin="0.5 dB")
    line = long_runs.long_runs_answer(comparison(), "rg-8x-foam", plan.reception, plan.feed).text()
    assert ("keeps" if plan.reception.least.margin_db >= 0.5 else "misses") in line


def test_masses_are_in_pounds_where_lengths_are_in_feet():
    """1 lb = 0.45359237 kg by definition."""
    band = wb.ReceiveBand("160 m", ONE, "46 dB", ELEMENT, after=(RECEIVER,))
    found = wb.cable_comparison(["rg-213-solid-pe", "rg-58-solid-pe"], RUNS, [band], "3 dB")
    tables = [long_runs.cable_table(found, units) for units in (LengthUnits.METRIC, LengthUnits.FEET)]
    masses = [
        [float(row[table.headings.index(heading)]) for row in table.rows if row[table.headings.index(heading)] != "-"]
        for table, heading in zip(tables, ("mass kg", "mass lb"), strict=True)
    ]
    assert masses[0]
    for kilograms, pounds in zip(*masses, strict=True):
        assert pounds == pytest.approx(kilograms / 0.45359237, abs=0.2)
