"""What each phasing rule asks of the elements, against the contract's words, and where it cannot be followed."""

import itertools

import numpy as np
import pytest
from designs import ABSENT

import workbook as wb
from workbook.array.phasing import least_lags

C = 299_792_458.0
HERTZ = 1.83e6
Q = wb.Quantity
ROW = {"kind": "row", "count": 4, "spacing": "20 m", "azimuth": "0 deg"}
ACROSS = {("array",): {**ROW, "count": 3}, ("directions",): [{"name": "east", "azimuth": "90 deg"}]}


def feeds(made, direction=0):
    elements = made.directions[direction].elements
    return [None if feed.delay_s is None else feed.delay_s * 1e9 for feed in elements], [f.polarity for f in elements]


def weights(made, hertz, direction=0):
    return np.array(
        [
            0 if feed.delay_s is None else feed.polarity * feed.amplitude * np.exp(-2j * np.pi * hertz * feed.delay_s)
            for feed in made.directions[direction].elements
        ]
    )


def ahead(metres, elevation):
    """How much earlier a wave comes for being so much nearer [ns]."""
    return metres * np.cos(np.radians(elevation)) / C * 1e9


# --- end-fire ---------------------------------------------------------------------------------------------


def test_an_end_fire_pair_by_pure_delay(plan):
    """Front waits 1/(2f) - d cos(null)/c: 273.224 - 20 cos 30/c = 273.224 - 57.775 ns."""
    made = plan("endfire", {("array",): {**ROW, "count": 2}})
    delays, signs = feeds(made)
    assert delays == pytest.approx([0.5e9 / HERTZ - ahead(20, 30), 0])
    assert delays[0] == pytest.approx(215.449, abs=1e-3)
    assert signs == [1, 1]


def test_an_end_fire_pair_with_inversion(plan):
    """The rear waits d cos(null)/c and is reversed."""
    made = plan("endfire", {("array",): {**ROW, "count": 2}, ("phasing", "polarity_inversion"): True})
    delays, signs = feeds(made)
    assert delays == pytest.approx([0, 57.775], abs=1e-3)
    assert signs == [1, -1]


def test_the_null_stands_where_the_wave_is_expected_if_nothing_else_is_said(plan):
    change = {("array",): {**ROW, "count": 2}, ("phasing", "null_elevation"): ABSENT}
    assert feeds(plan("endfire", change))[0][0] == pytest.approx(0.5e9 / HERTZ - ahead(20, 20))


def test_without_a_word_nothing_is_reversed_but_by_the_search(plan):
    unsaid = {("phasing", "polarity_inversion"): ABSENT}
    assert feeds(plan("endfire", unsaid))[1] == [1, 1, 1, 1]
    assert feeds(plan("greatest", unsaid))[1] == [1, 1, 1, 1]
    assert -1 in feeds(plan("fewest", unsaid))[1]


def test_a_square_over_its_side_is_two_rows(plan):
    delays, signs = feeds(plan("endfire"))
    front = 0.5e9 / HERTZ - ahead(20, 30)
    assert delays == pytest.approx([front, 0, 0, front])
    assert signs == [1] * 4


def test_an_odd_middle_row_stays_out(plan):
    """Over its corner a square has three rows; corners 2 and 4 make the middle one."""
    made = plan("endfire", {("directions", 0, "azimuth"): "45 deg"})
    delays, signs = feeds(made)
    assert delays == pytest.approx([0.5e9 / HERTZ - ahead(20 * np.sqrt(2), 30), None, 0, None])
    assert signs == [1, 0, 1, 0]
    assert [feed.amplitude for feed in made.directions[0].elements] == [1, 0, 1, 0]


@pytest.mark.parametrize("inversion", [False, True])
@pytest.mark.parametrize("azimuth", [0, 180])
def test_pairs_null_the_back_and_add_toward_the_front(plan, inversion, azimuth):
    """Each pair of a row hears nothing from behind at the null's elevation, and both are in phase ahead."""
    change = {("array",): ROW, ("phasing", "polarity_inversion"): inversion}
    made = plan("endfire", {**change, ("directions", 0, "azimuth"): f"{azimuth} deg"})
    w = weights(made, HERTZ)
    north = np.array([element.north_m for element in made.elements])
    phase = 2 * np.pi * HERTZ / C * np.cos(np.radians(30)) * north * np.cos(np.radians(azimuth))
    for pair in ([0, 3], [1, 2]):
        assert abs(np.sum(w[pair] * np.exp(-1j * phase[pair]))) < 1e-9
    outer, inner = (np.sum(w[pair] * np.exp(1j * phase[pair])) for pair in ([0, 3], [1, 2]))
    assert np.angle(outer / inner) == pytest.approx(0, abs=1e-9)
    assert min(feed.delay_s for feed in made.directions[0].elements) == 0


def test_end_fire_across_a_row_says_which_direction_and_what_could_be_done(plan, refused):
    sentence = refused(lambda: plan("endfire", ACROSS), "directions[1] (east)", "one row", "along the row", "aligned")
    assert "design.toml" in sentence


# --- greatest RDF -----------------------------------------------------------------------------------------


def rdf_of(made, number, band):
    """RDF of a direction of a plan, through the public door."""
    layout = wb.layout_from(Q([[element.east_m, element.north_m] for element in made.elements], "m"))
    hertz = next(one.frequency_hz for one in made.bands if one.name == band)
    one = made.directions[number]
    firing = wb.Firing(
        layout,
        weights(made, hertz, number),
        Q(hertz, "Hz"),
        Q(one.azimuth_deg, "degree"),
        Q(made.elevation_deg, "degree"),
        wb.Ground(made.ground.relative_permittivity, Q(made.ground.conductivity_s_per_m, "S/m")),
    )
    return wb.rdf(firing).m_as("dB"), wb.white_noise_gain(firing).m_as("dB")


@pytest.mark.parametrize("inversion", [False, True])
def test_greatest_rdf_is_that_of_its_weights_and_keeps_its_limit(plan, inversion):
    made = plan("greatest", {("phasing", "polarity_inversion"): inversion, ("directions", 0, "azimuth"): "20 deg"})
    layout, ground = wb.square("20 m", "45 deg"), wb.Ground(13, "5 mS/m")
    wanted = wb.greatest_rdf_weights(layout, Q(HERTZ, "Hz"), "20 deg", "20 deg", ground, Q(-8, "dB"))
    got = weights(made, HERTZ)
    assert got / got[0] == pytest.approx(wanted / wanted[0], abs=1e-9)
    on = made.directions[0].bands[0]
    assert rdf_of(made, 0, "160 m") == pytest.approx((on.rdf_db, on.white_noise_gain_db))
    assert on.white_noise_gain_db == pytest.approx(-8, abs=1e-6)
    assert max(feed.amplitude for feed in made.directions[0].elements) == pytest.approx(1, rel=1e-12)


def test_with_inversion_no_delay_is_longer_than_half_a_period(plan):
    straight = plan("greatest", {("phasing", "polarity_inversion"): False})
    turned = plan("greatest")
    assert max(feeds(turned)[0]) < 0.5e9 / HERTZ <= 2 * max(feeds(straight)[0])
    assert set(feeds(turned)[1]) == {1, -1}
    assert set(feeds(straight)[1]) == {1}


def test_a_limit_that_no_weights_reach(plan, refused):
    limit = ("phasing", "least_white_noise_gain")
    refused(lambda: plan("greatest", {limit: "7 dB"}), "directions[1] (north)", "least_white_noise_gain", "6.02 dB")


@pytest.mark.parametrize("limit", ["0 dB", "-8 dB", "-14 dB"])
def test_equal_elements_are_fed_alike_whatever_the_rounding(plan, limit):
    """A ring fired over each of its elements is one array turned: delays, polarities and lines turn with it."""
    ring = {("array",): {"kind": "ring", "count": 6, "diameter": "40 m", "first_azimuth": "0 deg"}}
    ways = [{"name": str(n), "azimuth": f"{60 * n} deg"} for n in range(6)]
    made = plan("greatest", {**ring, ("directions",): ways, ("phasing", "least_white_noise_gain"): limit})
    (delays, signs), *others = (feeds(made, n) for n in range(6))
    for n, (other_delays, other_signs) in enumerate(others, 1):
        assert np.roll(other_delays, -n) == pytest.approx(delays, abs=1e-4)
        assert np.roll(other_signs, -n).tolist() == signs


def test_two_equally_strong_elements_do_not_leave_polarity_to_rounding(plan):
    """Of two elements both have the greatest amplitude; which of them counts as straight must not be chance."""
    found = set()
    for azimuth in (0, 17, 58, 77, 110, 180, 231, 300):
        pair = {("array",): {**ROW, "count": 2, "azimuth": f"{azimuth} deg"}}
        made = plan("greatest", {**pair, ("directions",): [{"name": "a", "azimuth": f"{azimuth} deg"}]})
        delays, signs = feeds(made)
        found.add((tuple(signs), *(round(delay, 3) for delay in delays)))
    assert len(found) == 1, found


def test_which_pair_of_a_square_is_reversed_does_not_hang_on_its_size(plan):
    """Both pairs are equally strong; smaller squares only wait less."""
    found = {tuple(feeds(plan("greatest", {("array", "side"): f"{side} m"}))[1]) for side in (20, 17, 12, 9, 7, 6, 5)}
    assert len(found) == 1, found


# --- fewest delays ----------------------------------------------------------------------------------------

RING = {("array",): {"kind": "ring", "count": 8, "diameter": "46 m", "first_azimuth": "0 deg"}}
TWO = {("phasing", "lines"): 2, ("phasing", "least_white_noise_gain"): ABSENT}


def test_rows_share_a_line_and_a_polarity_and_there_are_no_more_lines_than_asked(plan):
    made = plan("fewest", {**RING, ("directions", 0, "azimuth"): "0 deg", ("phasing", "lines"): 2})
    delays, signs = feeds(made)
    for one, other in ((1, 7), (2, 6), (3, 5)):
        assert (delays[one], signs[one]) == (delays[other], signs[other])
    assert len({round(delay, 6) for delay in delays} - {0}) <= 2
    assert {feed.amplitude for feed in made.directions[0].elements} == {1}
    assert len(made.delay_lines) <= 2


@pytest.mark.parametrize("change", [{}, {("phasing", "polarity_inversion"): False}, {("phasing", "lines"): 2}])
def test_fewest_delays_are_those_of_the_search(plan, change):
    change = {("directions", 0, "azimuth"): "45 deg", **change}
    made = plan("fewest", change)
    found = wb.fewest_delays(
        wb.square("20 m", "45 deg"),
        Q([1.83, 3.65], "MHz"),
        "45 deg",
        "20 deg",
        wb.Ground(13, "5 mS/m"),
        change.get(("phasing", "lines"), 1),
        change.get(("phasing", "polarity_inversion"), True),
        Q(-12, "dB"),
    )
    got = [rdf_of(made, 0, band)[0] for band in ("160 m", "80 m")]
    assert min(got) == pytest.approx(found.least_rdf.m_as("dB"), abs=1e-6)
    assert [one.rdf_db for one in made.directions[0].bands] == pytest.approx(got)
    assert all(rdf_of(made, 0, band)[1] > -12.0001 for band in ("160 m", "80 m"))
    assert all(one.phase_from_rule_deg == 0 for one in made.directions[0].bands)
    slacks = [slack.slack_s for slack in made.slacks]
    assert sorted(slacks) == pytest.approx(sorted(found.slack.m_as("s")), rel=1e-3)


def test_a_line_moved_by_its_slack_costs_three_tenths_of_a_decibel(plan):
    made = plan("fewest", {("directions", 0, "azimuth"): "45 deg"})
    (slack,) = made.slacks
    assert slack.direction == "north"
    worst = min(rdf_of(made, 0, band)[0] for band in ("160 m", "80 m"))
    layout, ground = wb.square("20 m", "45 deg"), wb.Ground(13, "5 mS/m")
    fallen = []
    for move in (-slack.slack_s, slack.slack_s):
        delays, signs = feeds(made)
        waits = [
            delay * 1e-9 + (move if feed.line else 0)
            for delay, feed in zip(delays, made.directions[0].elements, strict=True)
        ]
        least = []
        for hertz in (1.83e6, 3.65e6):
            w = np.array(signs) * np.exp(-2j * np.pi * hertz * np.array(waits))
            firing = wb.Firing(layout, w, Q(hertz, "Hz"), "45 deg", "20 deg", ground)
            least.append(wb.rdf(firing).m_as("dB"))
        fallen.append(worst - min(least))
    assert max(fallen) == pytest.approx(0.3, abs=1e-3)
    assert min(fallen) < 0.3001


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (ACROSS, ["directions[1] (east)", "one row", "along the row", "aligned"]),
        ({("phasing", "lines"): 3}, ["directions[1] (north)", "lines", "2 rows", "at most 2"]),
        ({("phasing", "lines"): 4, ("directions", 0, "azimuth"): "45 deg"}, ["lines", "3 rows", "at most 3"]),
        (
            {("phasing", "least_white_noise_gain"): "5.99 dB", ("directions", 0, "azimuth"): "45 deg"},
            ["directions[1] (north)", "least_white_noise_gain", "lower"],
        ),
        (
            {("array",): {**ROW, "count": 14, "spacing": "4 m"}, ("phasing", "lines"): 4},
            ["directions[1] (north)", "lines", "too many", "fewer lines"],
        ),
    ],
)
def test_what_the_search_cannot_do_says_where_and_what_could_be_done(plan, refused, change, words):
    refused(lambda: plan("fewest", change), "design.toml", *words)


def test_the_second_of_two_directions_is_named(plan, refused):
    """A row that can be fired along cannot be fired across."""
    both = [{"name": "along", "azimuth": "0 deg"}, {"name": "sideways", "azimuth": "90 deg"}]
    for base in ("endfire", "fewest"):
        change = {("array",): {**ROW, "count": 3}, ("directions",): both}
        refused(lambda: plan(base, change), "directions[2] (sideways)", "one row", "along")  # noqa: B023


def test_a_direction_s_lines_do_not_hang_on_what_was_searched_before(plan):
    """A ring fired over its elements is one array turned: the same lines, whichever direction came first."""
    found = []
    for azimuth in (0, 45, 90, 135, 180):
        made = plan("fewest", {**RING, **TWO, ("directions", 0, "azimuth"): f"{azimuth} deg"})
        found.append([line.delay_s * 1e9 for line in made.delay_lines])
    for one, other in itertools.pairwise(found):
        assert one == pytest.approx(other, abs=0.01)


# --- lags of weights --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("phases", "wanted"),
    [
        ([0, -90, -180], [0, 90, 180]),
        ([10, -10], [0, 20]),
        ([170, -170], [20, 0]),
        ([0, 0, 0], [0, 0, 0]),
        ([-1, 1], [2, 0]),
        ([-1, -359], [2, 0]),
        ([0, 120, 240], [0, 240, 120]),
        ([5, -40, -20], [0, 45, 25]),
        ([5, 320, 700], [0, 45, 25]),
    ],
)
def test_lags_take_whole_turns_out(phases, wanted):
    """Lags are as short as can be; by symmetry several may do for three phases evenly round."""
    got = np.degrees(least_lags(np.exp(1j * np.radians(phases))))
    assert got.min() == pytest.approx(0, abs=1e-9)
    assert got.max() == pytest.approx(max(wanted), abs=1e-9)
    turned = np.exp(-1j * np.radians(got)) / np.exp(1j * np.radians(phases))
    assert turned == pytest.approx(np.full(len(phases), turned[0]))


# --- off the band that the rule was solved on -------------------------------------------------------------


def bands(made, number=0):
    return {one.name: one for one in made.directions[number].bands}


def test_on_its_own_band_a_rule_is_followed_exactly(plan):
    for base in ("square", "full", "entered", "endfire", "greatest", "fewest"):
        made = plan(base, {("phasing", "elevation"): "20 deg"})
        for one in made.directions:
            on = {band.name: band for band in one.bands}[made.cut_band]
            assert on.phase_from_rule_deg == 0
            assert on.rule_rdf_db == on.rdf_db


def test_on_another_band_the_rule_would_ask_for_other_delays(plan):
    """A pair by pure delay: the front waits 1/(2f) less d cos/c, so solved for 80 m it waits 136.238 ns less.

    At 3.65 MHz that is 180 (3.65/1.83 - 1) = 179.016 degrees between the two: each is half of it off a common phase.
    """
    pair = {("array",): {**ROW, "count": 2}}
    made = bands(plan("endfire", pair))["80 m"]
    assert made.phase_from_rule_deg == pytest.approx(90 * (3.65 / 1.83 - 1), abs=1e-6)
    alone = bands(plan("endfire", {**pair, ("phasing", "cut_band"): "80 m"}))["80 m"]
    assert made.rule_rdf_db == pytest.approx(alone.rdf_db)
    assert made.rdf_db < alone.rdf_db


def test_how_far_from_the_rule_does_not_hang_on_rounding(plan):
    """Two pairs half a turn apart cancel in a sum of phases; the figure must still be the same in every orientation."""
    found = []
    for azimuth in (0, 17, 58, 77, 110, 180, 231, 300):
        row = {("array",): {**ROW, "count": 5, "spacing": "15.5 m", "azimuth": f"{azimuth} deg"}}
        change = {**row, ("directions", 0, "azimuth"): f"{azimuth} deg"}
        found.append(bands(plan("endfire", change))["80 m"].phase_from_rule_deg)
    assert found == pytest.approx([found[0]] * len(found), abs=1e-3)


def test_aligned_and_entered_delays_suit_every_band(plan):
    made = plan("full")
    for one in made.directions:
        assert [band.phase_from_rule_deg for band in one.bands] == [0] * 3
        assert [band.rule_rdf_db for band in one.bands] == [band.rdf_db for band in one.bands]
