"""What the worksheet shows of the ways: which cannot match and why, their tables, a run left as it is."""

import re

import numpy as np
import pytest

import workbook as wb
from workbook.matching import overview as seen
from workbook.matching.frequencies import named_edges, sampled
from workbook.matching.leave import leave_over
from workbook.matching.nearest import chosen_cables
from workbook.matching.sections import twelfth_wave_match
from workbook.matching.transformer import Core
from workbook.matching.ways import KINDS, Wanted, every_way

Q = wb.Quantity
CABLES = ("series-6-copper", "rg-6-solid-pe", "rg-58-solid-pe", "rg-213-solid-pe")
EDGES = named_edges(("160 m", "80 m"))


def wanted(source=75.0, load=50.0, cables=CABLES, edges=EDGES, **more):
    return Wanted(source, load, sampled(edges), (1.2, 1.0), chosen_cables(cables), None)._replace(**more)


def view(edges=EDGES, **more):
    return seen.overview(wanted(edges=edges, **more), edges)


def cells(table):
    return {row[0]: dict(zip(table.headings, row, strict=True)) for row in table.rows}


# --- which ways there are ---------------------------------------------------------------------------------


def test_every_kind_is_told_once_and_in_order():
    for source, load in ((75.0, 50.0), (50.0, 50.0), (50.0, 3200.0), (60 + 20j, 40 - 10j)):
        ways = every_way(wanted(source, load, pads=(24,)))
        assert tuple(way.kind for way in ways) == KINDS
        for way in ways:
            assert (way.match is None) == bool(way.why_not)
            assert "\n" not in way.why_not
            assert len(way.why_not) < 300


def test_equal_ends_need_nothing():
    reasons = {way.kind: way.why_not for way in every_way(wanted(50.0, 50.0)) if way.match is None}
    assert set(reasons) == {"quarter-wave line", "twelfth-wave pair", "series section", "minimum-loss pad"}
    assert all("join them directly" in why for why in reasons.values())


def test_what_is_said_to_match_does_and_a_little_less_does_not(refused):
    """The allowed range in the sentence is checked by building the pair at its edge, and a hair inside the gap."""
    asked = wanted(75.0, 450.0)
    why = {way.kind: way.why_not for way in every_way(asked)}["twelfth-wave pair"]
    second = wb.cable("rg-6-solid-pe").characteristic_impedance(Q(asked.middle, "Hz")).m_as("ohm").real
    assert f"before {second:.4g} ohm" in why
    low, high = (
        float(ohms) for ohms in re.search(r"; ([\d.]+) ohm or less would, or ([\d.]+) ohm or more", why).groups()
    )
    assert f"the nearest being {low:.2f} ohm" in why
    for ohms in (low, high):
        pair = (wb.ideal_cable(f"{ohms} ohm", 0.8), wb.ideal_cable(f"{second} ohm", 0.8))
        match = twelfth_wave_match("75 ohm", "450 ohm", "2 MHz", pair)
        assert match.swr_in("2 MHz") == pytest.approx(1, abs=1e-6)
    for ohms in (low + 0.3, high - 0.3):
        pair = (wb.ideal_cable(f"{ohms} ohm", 0.8), wb.ideal_cable(f"{second} ohm", 0.8))
        refused(lambda pair=pair: twelfth_wave_match("75 ohm", "450 ohm", "2 MHz", pair), "the nearest being")


def test_one_cable_alone_makes_a_section_of_two_in_parallel():
    ways = {way.kind: way for way in every_way(wanted(cables=CABLES[:1]))}
    assert "another impedance" in ways["twelfth-wave pair"].why_not
    assert [section.count for section in ways["series section"].match.sections] == [2, 1]
    assert ways["series section"].match.swr_in(Q(ways["series section"].match.hertz, "Hz")) < 1.05


def test_most_turns_limit_both_windings_and_too_few_are_told():
    for most in (2, 5, 12, 40):
        windings = every_way(wanted(most_turns=most))[1].match.parts[0]
        assert max(windings.source_turns, windings.load_turns) <= most
    few = every_way(wanted(75.0, 1200.0, most_turns=3, limits=(1.01, 0.01)))[1]
    assert "allow 4 turns or more" in few.why_not


@pytest.mark.parametrize("bands", [("160 m", "80 m"), ("20 m",)])
def test_a_limit_of_turns_that_is_too_small_says_the_least_that_works(bands):
    edges = named_edges(bands)

    def way(most):
        one = view(edges=edges, most_turns=most)
        return next(each for each in (*one.ways, *one.left_out) if each.kind == "wideband transformer")

    least = int(re.search(r"allow (\d+) turns", way(1).why_not)[1])
    assert way(least).match.excess(sampled(edges), 1.2, 1.0).max() <= 1
    for most in range(2, least):
        found = way(most).match
        assert found.excess(sampled(edges), 1.2, 1.0).max() > 1
        assert f"allow {least} turns per winding, not {most}" in found.reason


def test_a_core_that_cannot_be_is_refused_for_all_ways(refused):
    for core in (Core("0 nH"), Core(coupling=1.1), Core(core_q=-1), Core(winding_q="50"), 5):
        refused(lambda core=core: every_way(wanted(core=core)))


def test_a_line_without_a_check_frequency_is_compared_all_the_same():
    """Five kilometres of thin cable: no reactance ever vanishes at its end."""
    edges = named_edges([("10 kHz", "11 kHz")])
    ways = every_way(wanted(edges=edges, cables=("rg-58-solid-pe",)))
    line = next(way.match for way in ways if way.kind == "quarter-wave line")
    assert line.sections[0].check_frequency is None
    assert seen.parts_table(line).rows[0][-1] == "-"


# --- tables -----------------------------------------------------------------------------------------------


def test_ranks_and_places():
    one = view(pads=(96,))
    assert [row[1] for row in seen.rank_table(one).rows] == [match.name for match in one.matches]
    assert {way.kind for way in one.ways} == set(KINDS)
    assert [one.place(way.kind) for way in one.ways] == list(range(len(KINDS)))
    assert one.matches[one.place("minimum-loss pad")].name == "minimum-loss pad, E96 resistors"
    same = wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"), CABLES)
    assert [match.parts for match in one.matches] == [
        match.parts for match in same if match.name in {known.name for known in one.matches}
    ]
    equal = view(load=75.0)
    assert equal.place("series section") is None
    assert {row[0] for row in seen.left_out_table(equal).rows} == {way.kind for way in equal.left_out}


def test_parts_bands_and_limits_say_what_the_match_says():
    one = view()
    pair = one.matches[one.place("twelfth-wave pair")]
    parts = seen.parts_table(pair)
    assert f"{pair.hertz / 1e6:.4g} MHz" in parts.headings[2]
    for row, section in zip(parts.rows, pair.sections, strict=True):
        assert row[0] == section.cable.name
        assert wb.feet_inches(section.length) in row[1]
        assert float(row[2]) == pytest.approx(section.electrical_length.m_as("degree"), abs=0.06)
        assert float(row[3]) == pytest.approx(section.check_frequency.m_as("MHz"), abs=6e-5)
    top = cells(seen.band_table(pair, EDGES))["80 m"]
    at = Q(np.linspace(3.5e6, 4e6, 21), "Hz")
    swr_in, swr_out, loss, phase = pair.response(at)
    assert float(top["worst SWR at source"]) == pytest.approx(swr_in.max(), abs=0.006)
    assert float(top["worst SWR at load"]) == pytest.approx(swr_out.max(), abs=0.006)
    assert float(top["least loss dB"]) == pytest.approx(loss.m_as("dB").min(), abs=0.006)
    assert float(top["phase deg, high edge"]) == pytest.approx(phase.m_as("degree")[-1], abs=0.06)
    usable = cells(seen.limit_table(pair, (1.2, 1.0)))
    low, high = pair.usable_band(1.2, "1000000 dB")
    assert usable["SWR 1.2 at both ends"]["usable MHz"] == f"{low.m_as('MHz'):.4g} to {high.m_as('MHz'):.4g}"
    assert usable["loss 1 dB"] != usable["SWR 1.2 at both ends"]


def test_parts_of_what_is_no_line():
    one = view(pads=(24,))
    rows = {kind: seen.parts_table(one.matches[one.place(kind)]).rows for kind in KINDS}
    assert rows["minimum-loss pad"] == (("resistor in series", "43 ohm"), ("resistor across", "91 ohm"))
    assert rows["leave it"] == (("source and load are joined", "-"),)
    turns, _, magnetising, leakage = rows["wideband transformer"]
    # k times the inductance factor times the turns squared; both leakages seen at the source
    assert magnetising[1] == f"{0.998 * 400e-3 * int(turns[1]) ** 2:.5g} uH"
    assert leakage[1] == f"{2 * 0.002 * 400 * int(turns[1]) ** 2:.5g} nH"


def test_the_nearest_cables_of_a_quarter_wave():
    table = seen.nearest_cables_table(view())
    assert "61.24 ohm" in table.title
    assert len(table.rows) == 4
    assert seen.nearest_cables_table(view(load=75.0)) is None


# --- left as it is over a run of cable --------------------------------------------------------------------


def test_a_run_between_equal_ends_has_the_swr_of_textbooks():
    """A lossless quarter wave of 75 ohm between 50-ohm ends: 75^2/50 = 112.5 ohm at the source, SWR 2.25; a half
    wave repeats the load, SWR 1.
    """
    cable = wb.ideal_cable("75 ohm", 0.8)
    quarter = Q(299_792_458 * 0.8 / 4 / 5e6, "m")
    match = leave_over("50 ohm", "50 ohm", cable, quarter, "5 MHz")
    assert match.swr_in("5 MHz") == pytest.approx(2.25, abs=1e-9)
    assert match.swr_in("10 MHz") == pytest.approx(1, abs=1e-9)
    assert match.sections[0].electrical_length.m_as("degree") == pytest.approx(90)


@pytest.mark.parametrize("bad", ["0 m", "-1 m", "5 MHz", 5])
def test_a_run_needs_a_length(refused, bad):
    refused(lambda: leave_over("50 ohm", "50 ohm", wb.cable("rg-58-solid-pe"), bad, "5 MHz"), "length")


def test_the_sweep_of_lengths_holds_what_the_match_over_that_run_loses():
    cable = wb.cable("rg-58-solid-pe")
    one = view(source=50.0, load=450.0, run=(cable, 20.0))
    sweep = seen.length_sweep(one)
    at = int(np.argmin(abs(sweep.metres - 20.0)))
    assert sweep.metres[at] == 20
    assert sweep.bands == ("160 m", "80 m")
    match = one.matches[one.place("leave it")]
    assert sweep.loss[:, at] == pytest.approx(match.insertion_loss(Q([1.9, 3.75], "MHz")).m_as("dB"), abs=1e-12)
    assert seen.length_sweep(view()) is None
    assert len(seen.length_sweep(view(edges=named_edges(wb.bands()), run=(cable, 0.0))).bands) == 4


def test_the_note_on_ripple():
    cable = wb.cable("series-6-copper")
    assert "nothing wanders" in seen.ripple_note(view(run=(cable, 0.0)))
    # 75 ohm between 50-ohm ends: both reflections are a fifth, so 20 log(1.04/0.96) dB and arcsin 0.04
    note = seen.ripple_note(view(source=50.0, run=(cable, 0.0)))
    assert "0.70 dB" in note
    assert "2.29 degrees" in note
    assert seen.ripple_note(view()) == ""
