"""The matching methods: which match two ends, which do not and why, and their comparison."""

import re

import pytest

import workbook as wb
from workbook.matching.arguments import band_edges, chosen_cables, sampled
from workbook.matching.candidates import (
    DIRECT,
    E24_PAD,
    E96_PAD,
    EXACT_PAD,
    FAMILIES,
    METHODS,
    QUARTER_WAVE,
    SERIES_SECTION,
    TRANSFORMER,
    TWELFTH_WAVE,
    Candidate,
    Rejected,
    Requirements,
    candidates,
    compare,
    method_named,
)
from workbook.matching.sections import twelfth_wave_match

Q = wb.Quantity
CABLES = ("series-6-copper", "rg-6-solid-pe", "rg-58-solid-pe", "rg-213-solid-pe")
EDGES = band_edges(("160 m", "80 m"))
PADS = (EXACT_PAD, E24_PAD, E96_PAD)


def wanted(source=75.0, load=50.0, cables=CABLES, edges=EDGES, limits=(1.2, 1.0), **more):
    return Requirements(source, load, edges, limits, chosen_cables(cables), **more)


def matches(requirements):
    return {each.method: each.match for each in candidates(requirements) if isinstance(each, Candidate)}


def refusals(requirements):
    return {each.method: str(each.refusal) for each in candidates(requirements) if isinstance(each, Rejected)}


# --- the registry -----------------------------------------------------------------------------------------


def test_keys_and_names_are_unique_and_names_find_their_method():
    assert len({method.key for method in METHODS}) == len({method.name for method in METHODS}) == len(METHODS) == 8
    for method in METHODS:
        assert method_named(method.name) is method
    assert FAMILIES[0] == DIRECT.family
    assert {pad.family for pad in PADS} == {"minimum-loss pad"}
    assert len(FAMILIES) == len(METHODS) - 2


@pytest.mark.parametrize(
    ("source", "load"), [(75.0, 50.0), (50.0, 50.0), (50.0, 3200.0), (50.0, 75.0)], ids=lambda ohms: f"{ohms:g}"
)
def test_between_resistances_a_match_has_its_methods_name(source, load):
    for method, match in matches(wanted(source, load)).items():
        assert match.name == method.name


# --- which methods match ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("source", "load"), [(75.0, 50.0), (50.0, 50.0), (50.0, 3200.0), (60 + 20j, 40 - 10j)])
def test_every_method_has_a_match_or_one_sentence_why_not(source, load):
    found = candidates(wanted(source, load))
    assert tuple(each.method for each in found) == METHODS
    for each in found:
        if isinstance(each, Rejected):
            sentence = str(each.refusal)
            assert "\n" not in sentence
            assert len(sentence) < 300


def test_equal_ends_are_matched_directly():
    reasons = refusals(wanted(50.0, 50.0))
    assert set(reasons) == {QUARTER_WAVE, TWELFTH_WAVE, SERIES_SECTION, *PADS}
    assert all("join them directly" in why for why in reasons.values())


def test_impedances_in_a_refusal_are_the_edges_of_what_matches(refused):
    """The allowed range in the sentence is checked by building the pair at its edge, and a little inside the gap."""
    asked = wanted(75.0, 450.0)
    why = refusals(asked)[TWELFTH_WAVE]
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


def test_one_cable_alone_makes_a_series_section_of_two_in_parallel():
    one = wanted(cables=CABLES[:1])
    assert "another impedance" in refusals(one)[TWELFTH_WAVE]
    match = matches(one)[SERIES_SECTION]
    assert [section.count for section in match.sections] == [2, 1]
    assert match.swr_in(Q(match.hertz, "Hz")) < 1.05


def test_most_turns_limit_both_windings():
    for most in (2, 5, 12, 40):
        windings = matches(wanted(most_turns=most))[TRANSFORMER].parts[0]
        assert max(windings.source_turns, windings.load_turns) <= most
    few = refusals(wanted(75.0, 1200.0, most_turns=3, limits=(1.01, 0.01)))[TRANSFORMER]
    assert "allow 4 turns or more" in few


@pytest.mark.parametrize("bands", [("160 m", "80 m"), ("20 m",)])
def test_a_limit_of_turns_that_is_too_small_says_the_least_that_keeps_the_limits(bands):
    edges = band_edges(bands)
    least = int(re.search(r"allow (\d+) turns", refusals(wanted(edges=edges, most_turns=1))[TRANSFORMER])[1])

    def transformer(most):
        ranked = compare(wanted(edges=edges, most_turns=most)).ranked
        return next(each.match for each in ranked if each.method is TRANSFORMER)

    assert transformer(least).excess(sampled(edges), (1.2, 1.0)).max() <= 1
    for most in range(2, least):
        match = transformer(most)
        assert match.excess(sampled(edges), (1.2, 1.0)).max() > 1
        assert f"allow {least} turns per winding, not {most}" in match.reason


def test_candidates_reject_what_is_not_a_core(refused):
    refused(lambda: candidates(wanted(core=5)))


# --- compared ---------------------------------------------------------------------------------------------


def test_ranked_candidates_are_those_of_the_public_comparison():
    found = compare(wanted())
    same = wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"), CABLES)
    assert [match.parts for match in found.matches] == [match.parts for match in same]
    assert [match.reason for match in found.matches] == [match.reason for match in same]


def test_a_family_has_one_place_when_one_of_its_methods_is_compared():
    found = compare(wanted(), [method for method in METHODS if method not in (EXACT_PAD, E24_PAD)])
    assert {each.method.family for each in found.ranked} == set(FAMILIES)
    assert [found.place(each.method.family) for each in found.ranked] == list(range(len(FAMILIES)))
    pad = found.ranked[found.place("minimum-loss pad")]
    assert (pad.match.name, pad.short_name) == ("minimum-loss pad, E96 resistors", "minimum-loss pad")
    assert compare(wanted(load=75.0)).place(SERIES_SECTION.family) is None


def test_responses_of_a_comparison_reach_beyond_its_bands():
    found = compare(wanted())
    assert found.hertz[0] < 1.8e6 < 4e6 < found.hertz[-1]
    for match, response in zip(found.matches, found.responses, strict=True):
        assert response.swr_in == pytest.approx(match.swr_in(Q(found.hertz, "Hz")))
