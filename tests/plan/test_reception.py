"""What a plan says from the verticals to the receiver: margins, levels, chokes, own transmitters, feed and reels."""

import numpy as np
import pytest
from designs import ABSENT

import workbook as wb

Q = wb.Quantity


def test_without_the_tables_the_plan_says_nothing_of_them(plan):
    made = plan("full")
    assert (made.reception, made.feed, made.reels) == (None, None, ())
    assert {one.cost for one in made.totals} == {None}


def test_one_element_has_the_margin_of_a_plain_cascade(plan):
    """Friis's formula by hand: one element, so that the array code has no part in it."""
    made = plan(
        "receive",
        {
            ("array",): {"kind": "custom", "positions": [["0 m", "0 m"]]},
            ("environment",): {"noise": "quiet rural"},
            ("receiver",): {"noise_figure": "10 dB", "hub_loss": "2 dB"},
        },
    )
    band = made.reception.bands[0]
    run, far = made.element_runs.bands[0].loss_db, made.receiver_run.bands[0].loss_db
    assert band.external_db == pytest.approx(53.6 - 28.6 * np.log10(1.83))  # Recommendation ITU-R P.372
    lost = 10 ** ((run + 2 + far + 10) / 10)
    internal = 10 ** (band.element_noise_figure_db / 10) - 1 + (lost - 1) / 10 ** (band.element_gain_db / 10)
    assert band.margin_db == pytest.approx(band.external_db - 10 * np.log10(internal), abs=1e-9)


def test_entered_noise_replaces_the_class_and_galactic_noise_adds_to_it(plan):
    made = plan("receive", {("environment", "critical_frequency"): "3 MHz"})
    low, high = made.reception.bands
    assert (low.external_db, low.external_source) == (65.0, "measured at night")
    f = np.log10(3.65)
    assert high.external_db == pytest.approx(
        10 * np.log10(10 ** ((67.2 - 27.7 * f) / 10) + 10 ** ((52 - 23 * f) / 10)), abs=1e-9
    )
    assert "rural" in high.external_source


def test_a_longer_receiver_run_costs_margin_and_an_amplifier_at_the_hub_brings_it_back(plan):
    def least(run, receiver):
        changes = {("receiver",): receiver, ("lengths", "receiver_run"): run}
        return plan("receive", changes).reception.least

    bare = {"noise_figure": "20 dB"}
    long, short = least("600 m", bare), least("100 m", bare)
    amplified = least("600 m", {**bare, "amplifier_gain": "20 dB", "amplifier_noise_figure": "3 dB"})
    assert long.margin_db < short.margin_db - 3
    assert long.limit == "receiver"
    assert amplified.margin_db > long.margin_db + 5
    assert amplified.limit == "front ends"


def test_equal_chokes_cost_nothing_and_unequal_ones_more_near_the_resonance(plan):
    equal = plan("receive", {("front_end", "choke_tolerance"): 0.0}).reception.bands
    assert [band.choke_rdf_lost_db for band in equal] == pytest.approx([0, 0], abs=1e-9)
    low, high = plan("receive").reception.bands
    assert low.choke_phase_spread_deg < high.choke_phase_spread_deg
    assert low.choke_tolerance_needed > high.choke_tolerance_needed > 0.02


def test_needed_tolerance_of_chokes_keeps_the_pattern_and_a_little_more_does_not(plan):
    base = {("bands",): {"80 m": "3.65 MHz"}, ("phasing", "cut_band"): "80 m", ("environment",): {}}

    def band(tolerance):
        return plan("receive", {**base, ("front_end", "choke_tolerance"): tolerance}).reception.bands[0]

    needed = band(0.1).choke_tolerance_needed
    kept, lost = band(needed * 0.999), band(needed * 1.01)
    assert kept.choke_rdf_lost_db <= 0.1
    assert lost.choke_rdf_lost_db > 0.1 or lost.choke_front_to_back_lost_db > 1


def test_chokes_keep_a_transmitter_off_the_buffers_above_the_bands_received_alone(plan):
    own = [{"name": f"{f} MHz", "power": "400 W", "distance": "100 m", "frequency": f"{f} MHz"} for f in (1.83, 7.1)]
    on_band, above = plan("receive", {("transmitters",): own}).reception.transmitters
    assert on_band.switch_off
    assert not above.switch_off
    assert above.without_chokes_v > above.limit_v > above.voltage_v


def test_a_vertical_that_reaches_a_quarter_wave_on_a_band_is_refused(write, refused):
    file = write("receive", {("front_end", "height"): "25 m"})
    refused(lambda: wb.load_design(file).plan(), "front_end.height", "80 m", "quarter wave", "shorter")


def test_a_band_outside_the_recommendation_is_refused(write, refused):
    change = {("bands",): {"160 m": "0.2 MHz"}, ("environment",): {"noise": "rural"}, ("front_end", "height"): "3 m"}
    file = write("receive", change)
    refused(lambda: wb.load_design(file).plan(), "bands.160 m", "0.3", "250")


# --- feed, prices, reels ------------------------------------------------------------------------------------


def test_feed_drops_by_ohms_law_in_coax_and_pair(plan):
    made = plan("receive", {("feed", "pair_gauge"): ABSENT})
    by_coax, by_pair = made.feed, plan("receive").feed
    currents = [drop.current_a for drop in by_coax.drops]
    assert currents == pytest.approx([4 * 0.03, 0.03])
    lost = 0.12 * made.receiver_run.loop_resistance_ohm + 0.03 * made.element_runs.loop_resistance_ohm
    assert by_coax.voltage_v == pytest.approx(13.8 - lost)
    # 33.31 ohm/km of AWG 20, solid annealed copper (ASTM B258 sizes; handbook wire table)
    metres = 0.12 * 150 + 0.03 * made.element_runs.length_m
    assert by_pair.voltage_v == pytest.approx(13.8 - 2 * 33.31e-3 * metres, abs=2e-3)


def test_without_a_receiver_run_only_the_element_runs_drop(plan):
    made = plan("receive", {("lengths", "receiver_run"): ABSENT})
    assert [drop.run for drop in made.feed.drops] == ["element run"]


def test_cost_is_price_per_metre_times_length(plan):
    costs = {one.cable: one.cost for one in plan("receive").totals}
    assert costs["series-11-clad"] == pytest.approx(150 * 140 / 305)
    assert costs["series-6-copper"] is None


def test_reels_hold_every_piece_once_and_what_must_match_on_one(plan):
    (one,) = plan("receive").reels
    made = plan("receive")
    cuts = [cut for reel in one.reels for cut in reel.cuts]
    # totals count the runs by their length to cut; from the reel comes what is trimmed off them too
    trimmed = made.element_runs.count * 0.1
    assert sum(cut.length_m for cut in cuts) == pytest.approx(
        next(total.length_m for total in made.totals if total.cable == one.cable) + trimmed
    )
    assert len({cut.piece for cut in cuts}) == len(cuts)
    holding = [{cut.piece.partition(",")[0] for cut in reel.cuts} for reel in one.reels]
    assert sum("element run" in pieces for pieces in holding) == 1
    for reel in one.reels:
        ends = np.array([cut.end_m for cut in reel.cuts])
        starts = ends - [cut.length_m for cut in reel.cuts]
        assert starts[1:] - ends[:-1] == pytest.approx(0.006)
        assert reel.left_m == pytest.approx(reel.length_m - ends[-1] - 0.006)


def test_what_cannot_come_from_one_reel_comes_from_several(plan):
    stock = [{"label": f"R{n}", "cable": "series-6-copper", "length": "35 m"} for n in range(1, 5)]
    (one,) = plan("receive", {("stock",): stock}).reels
    assert one.problem is None
    assert "element runs" not in one.together


@pytest.mark.parametrize(("key", "together"), [("runs and lines", True), ("lines", False), ("nothing", False)])
def test_the_design_says_what_comes_from_one_reel(plan, key, together):
    (one,) = plan("receive", {("cutting", "one_reel"): key}).reels
    assert ("element runs" in one.together) == together
    assert one.proven


def test_a_piece_longer_than_any_reel_leaves_the_plan_and_a_sentence(plan):
    stock = [{"label": "thick", "cable": "series-11-clad", "length": "100 m"}]
    made = plan("receive", {("stock",): stock})
    (one,) = made.reels
    assert "'receiver run' needs 150.000 m" in one.problem
    assert "100.000 m" in one.problem
    assert one.reels == ()
    assert made.delay_lines


def test_lines_that_are_there_already_are_not_cut_again(plan):
    made = plan("receive", {("hub", "lines"): ["12 m", "20 m"]})
    assert not any(cut.piece.startswith("line") for one in made.reels for reel in one.reels for cut in reel.cuts)
