"""What the builder is warned of, in plain words."""

import math
import re

import pytest
from designs import BASES


def warned(made, *words):
    """Return the warnings that hold all words."""
    return [sentence for sentence in made.warnings if all(word in sentence for word in words)]


CLAD = {("cables", "delay_line"): "series-6-clad"}


# the small designs reckon with waves along the ground, of which real ground swallows all
HEARD = {("phasing", "elevation"): "20 deg"}


def test_a_quiet_design_has_no_warnings(plan):
    assert plan("square", HEARD).warnings == ()
    assert plan("entered", HEARD).warnings == ()


@pytest.mark.parametrize("base", BASES)
def test_warnings_are_sentences(plan, base):
    changes = {**CLAD, ("bands", "2 m"): "145 MHz", ("ends", "delay_line", "delay"): "3 ns"}
    if base == "receive":
        # a vertical of 7 m is a quarter wave long far below 145 MHz, and refused there
        changes["front_end", "height"] = "30 cm"
    made = plan(base, changes)
    assert len(made.warnings) > 2
    for sentence in made.warnings:
        assert re.match(r"[A-Za-z0-9'].*[.]$", sentence)
        assert "\n" not in sentence
        assert "  " not in sentence


def moved(line, hertz):
    """How far the claddings move a line [degree]."""
    return 360 * hertz * line.delay_s * (line.greatest_length_m / line.least_length_m - 1)


def test_a_clad_cable_that_moves_a_line_by_more_than_a_degree(plan):
    made = plan("square", {**CLAD, ("array", "side"): "60 m"})
    (line,) = made.delay_lines
    assert moved(line, 1.83e6) > 1.0
    assert len(warned(made, "series-6-clad", "line A", "degree")) == 1
    quiet = plan("square", {**CLAD, ("array", "side"): "2 m"})
    assert moved(quiet.delay_lines[0], 1.83e6) < 0.9
    assert not warned(quiet, "series-6-clad")


def test_the_highest_band_decides_about_a_clad_cable(plan):
    change = {**CLAD, ("array", "side"): "10 m"}
    assert not warned(plan("square", change), "clad")
    assert warned(plan("square", {**change, ("bands", "80 m"): "30 MHz"}), "clad")


def test_every_line_that_moves_is_named(plan):
    change = {**CLAD, ("array", "side"): "120 m", ("directions", 0, "azimuth"): "45 deg"}
    assert warned(plan("square", change), "lines A, B")


def test_solid_copper_moves_nothing(plan):
    assert not warned(plan("square", {("array", "side"): "200 m"}), "copper")


def test_who_has_measured_is_not_told_to_measure(plan):
    change = {**CLAD, ("array", "side"): "60 m"}
    measured = {("velocity_factor", "series-6-clad"): {"value": 0.8406, "frequency": "1.83 MHz"}}
    assert warned(plan("square", change), "enter a measured velocity factor")
    assert not warned(plan("square", {**change, **measured}), "enter a measured velocity factor")


def test_connectors_rule_a_line_that_is_too_short(plan):
    """Two connectors of 1.01 ns are more than a tenth of 20 ns, and less than a tenth of 38 ns."""
    made = plan("entered", {("ends", "delay_line", "delay"): "1.01 ns"})
    assert len(warned(made, "line A", "connectors", "tenth")) == 1
    assert not warned(made, "lines A")
    assert not warned(plan("entered", {("ends", "delay_line", "delay"): "0.99 ns"}), "connectors")
    assert warned(plan("entered", {("ends", "delay_line", "delay"): "2 ns"}), "lines A, B", "connectors")


@pytest.mark.parametrize(
    ("bands", "words"),
    [
        ({"160 m": "1.79 MHz"}, ["1.79", "160 m", "outside"]),
        ({"160 m": "3.65 MHz"}, ["3.65", "160 m", "outside"]),
        ({"160 m": "1.83 MHz", "80 m": "4.1 MHz"}, ["4.1", "80 m", "outside"]),
        ({"160 m": "1.83 MHz", "2 m": "145 MHz"}, ["'2 m'"]),
        ({"160 m": "1.83 MHz", "my band": "3.1 MHz"}, ["'my band'"]),
    ],
)
def test_a_frequency_outside_its_band(plan, bands, words):
    assert len(warned(plan("square", {("bands",): bands}), *words)) == 1


@pytest.mark.parametrize("frequency", ["1.8 MHz", "2.0 MHz", "1.95 MHz"])
def test_any_region_s_band_is_good(plan, frequency):
    assert plan("square", {**HEARD, ("bands", "160 m"): frequency}).warnings == ()


@pytest.mark.parametrize(
    ("bands", "missing"),
    [
        ({"160 m": "1.83 MHz", "40 m": "7.1 MHz"}, ["80 m", "60 m"]),
        ({"160 m": "1.83 MHz", "60 m": "5.36 MHz"}, ["80 m"]),
        ({"160 m": "1.83 MHz", "80 m": "3.65 MHz"}, []),
    ],
)
def test_a_band_missing_in_between(plan, bands, missing):
    found = warned(plan("square", {("bands",): bands}), "not under [bands]")
    assert len(found) == bool(missing)
    assert all(name in found[0] for name in missing)


def test_a_measurement_that_nothing_uses(plan):
    change = {("velocity_factor", "rg-6-solid-pe"): {"value": 0.65, "frequency": "1.83 MHz"}}
    assert warned(plan("square", change), "rg-6-solid-pe", "not used")


@pytest.mark.parametrize(("value", "count"), [(0.8, 1), (0.83, 0), (0.66, 1)])
def test_a_measurement_far_from_the_record(plan, value, count):
    change = {("velocity_factor", "series-6-copper"): {"value": value, "frequency": "1.83 MHz"}}
    assert len(warned(plan("square", change), "series-6-copper", f"{value:g}")) == count


# --- the pattern ------------------------------------------------------------------------------------------


def test_what_small_errors_would_ruin(plan):
    """A close row with hardly any white-noise gain loses more than a decibel to 0.1 dB and 1 degree."""
    row = {"kind": "row", "count": 4, "spacing": "6 m", "azimuth": "0 deg"}
    close = {("array",): row, ("phasing", "least_white_noise_gain"): "-40 dB"}
    made = plan("greatest", close)
    worst = max(band.rdf_lost_to_errors_db for one in made.directions for band in one.bands)
    assert worst > 1
    (stated,) = warned(made, "0.1 dB and 1 degree", "ruin", "north", f"{worst:.1f} dB")
    assert "wider" in stated
    held = plan("greatest", {**close, ("phasing", "least_white_noise_gain"): "0 dB"})
    assert not warned(held, "ruin")


def test_elements_of_different_strength(plan):
    made = plan("greatest", {("directions", 0, "azimuth"): "30 deg"})
    weakest = min(feed.amplitude for feed in made.directions[0].elements)
    assert warned(made, "not equally strong", f"{-20 * math.log10(weakest):.1f} dB")
    assert not warned(plan("endfire"), "equally strong")
    # elements that are off are no attenuators
    assert not warned(plan("endfire", {("directions", 0, "azimuth"): "45 deg"}), "equally strong")


def test_a_band_on_which_the_lines_are_far_from_the_rule(plan):
    made = plan("endfire")
    (on,) = (band for band in made.directions[0].bands if band.name == "80 m")
    (stated,) = warned(made, "On 80 m", f"{on.phase_from_rule_deg:.0f} deg", f"{on.rdf_db:.1f} dB")
    assert f"instead of {on.rule_rdf_db:.1f}" in stated
    assert not warned(made, "On 160 m")
    # with inversion the lines suit every band, since the delay is the same
    assert not warned(plan("endfire", {("phasing", "polarity_inversion"): True}), "On 80 m")


def test_a_place_where_no_compass_helps(plan):
    north = {("site",): {"latitude": "86 deg", "longitude": "160 deg", "date": "2026-05-01"}}
    assert warned(plan("square", {**HEARD, **north}), "compass")
    south = {("site",): {"latitude": "52 deg", "longitude": "1 deg", "date": "2026-05-01"}}
    assert plan("square", {**HEARD, **south}).warnings == ()
    assert plan("square", {**HEARD, ("site",): {"declination": "-3 deg"}}).warnings == ()


def test_the_most_urgent_comes_first(plan):
    made = plan("full", {("phasing", "elevation"): "0 deg", ("bands", "40 m"): "7.5 MHz"})
    assert "Nothing arrives" in made.warnings[0]
    assert warned(made, "7.5")


def test_an_array_that_hears_another_azimuth_better_is_warned_of(plan):
    """A half-wave pair in line, cabled for broadside: in step from the side, opposed from ahead."""
    pair = {
        ("array",): {"kind": "row", "count": 2, "spacing": "40 m", "azimuth": "0 deg"},
        ("bands",): {"80 m": "3.65 MHz"},
        ("phasing",): {"rule": "entered", "cut_band": "80 m", "elevation": "0.1 deg"},
        ("directions",): [{"name": "ahead", "azimuth": "0 deg", "delays": ["0 ns", "30 ns"]}],
    }
    made = plan("entered", pair)
    beta, lag = 2 * math.pi * 3.65e6 / 299_792_458, 2 * math.pi * 3.65e6 * 30e-9
    # two equal signals apart by kd cos(az) on the way, and by the line
    heard = [abs(math.cos((beta * 40 * math.cos(math.radians(2 * n)) + lag) / 2)) for n in range(180)]
    over = 20 * math.log10(max(heard) / heard[0])
    assert made.directions[0].bands[0].elsewhere_over_aim_db == pytest.approx(over, abs=1e-3)
    assert warned(made, "ahead", "80 m", f"{over:.1f} dB better than its own")
    assert not warned(plan("square", HEARD), "better than its own")


def test_more_lines_than_were_asked_for_in_each_direction_are_told(plan):
    two = {("directions",): [{"name": "n", "azimuth": "0 deg"}, {"name": "nne", "azimuth": "22.5 deg"}]}
    made = plan("fewest", {**two, ("phasing", "lines"): 2})
    assert len(made.delay_lines) > 2
    assert warned(made, "uses 2 lines in each direction", f"need {len(made.delay_lines)} different ones")
    alone = plan("fewest", {("directions",): two["directions",][:1], ("phasing", "lines"): 2})
    assert len(alone.delay_lines) <= 2
    assert not warned(alone, "in each direction")


def test_a_rule_without_an_answer_on_another_band_leaves_the_plan_as_it_is(plan):
    """A pair a quarter wave apart at 1.8 MHz is half a wave apart at 3.6, where front and rear cancel ahead too."""
    quarter = 299_792_458 / 1.8e6 / 4
    made = plan(
        "endfire",
        {
            ("array",): {"kind": "row", "count": 2, "spacing": f"{quarter!r} m", "azimuth": "0 deg"},
            ("bands",): {"160 m": "1.8 MHz", "80 m": "3.6 MHz"},
            ("phasing",): {"rule": "endfire", "cut_band": "160 m", "elevation": "20 deg", "null_elevation": "0 deg"},
            ("directions",): [{"name": "ahead", "azimuth": "0 deg"}],
        },
    )
    first, second = made.directions[0].bands
    assert first.rule_rdf_db == first.rdf_db
    assert second.rdf_db is not None
    assert (second.rule_rdf_db, second.phase_from_rule_deg) == (None, None)
