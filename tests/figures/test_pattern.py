"""The pictures of pattern, spacing, frequency and delays, by the data that is drawn; an array turned round must show.

Geometry: north is up and azimuths run clockwise, so that a bearing is atan2(x, y); 0 dB lies on the outer circle and
-40 dB in the middle.
"""

import itertools
import math

import numpy as np
import pytest
from chart_data import curves, drawn, items, words

import workbook as wb
from workbook.figures.chart import Areas, Rule
from workbook.figures.delay_errors import delay_errors
from workbook.figures.delay_map import FALLS, delay_map_picture
from workbook.figures.frequency import DEEPEST, frequency_picture, phase_picture
from workbook.figures.pattern import SKY_LEVELS, azimuth_picture, elevation_picture, pictures, sky_picture, state_of
from workbook.figures.spacing import spacing_picture
from workbook.figures.style import FAINT, INK, for_screen, look
from workbook.files import shipped
from workbook.plan.delay_map import delay_map
from workbook.plan.sweeps import frequency_sweep, spacing_sweep
from workbook.tables.choices import choice_table
from workbook.tables.wiring import slack_table

NAMES = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"]
# a wave is heard best from where the array is aimed when it is fired end-fire and spaced well under half a wave
ENDFIRE = {("phasing", "rule"): "endfire", ("phasing", "polarity_inversion"): True}
FEWEST = {
    ("phasing", "rule"): "fewest-delays",
    ("phasing", "lines"): 2,
    ("phasing", "least_white_noise_gain"): "-8 dB",
}


@pytest.fixture(scope="module")
def ring():
    return wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")


@pytest.fixture(scope="module")
def plan(ring):
    return ring.plan()


@pytest.fixture(scope="module")
def endfire(ring):
    return ring.changed(ENDFIRE).plan()


@pytest.fixture(scope="module")
def fewest(ring):
    design = ring.changed(FEWEST)
    return design, design.plan()


def bearing_and_level(points) -> tuple:
    x, y = points
    return np.degrees(np.arctan2(x, y)) % 360, 40 * (np.hypot(x, y) - 1)


def level_at(points, bearing: float) -> float:
    bearings, levels = bearing_and_level(points)
    off = np.abs((bearings - bearing + 180) % 360 - 180)
    return float(levels[np.argmin(off)])


@pytest.mark.parametrize("number", range(8))
def test_from_above_the_greatest_lies_where_it_is_fired_and_not_behind(endfire, number):
    lines = drawn(azimuth_picture(endfire, NAMES[number], "160 m"))
    bearings, levels = bearing_and_level(lines[f"{NAMES[number]} on 160 m"])
    peak = float(bearings[np.argmax(levels)])
    assert abs((peak - 45 * number + 180) % 360 - 180) < 3
    assert levels.max() == pytest.approx(0, abs=0.01)
    x, y = lines["aim"][:, 1]
    assert math.degrees(math.atan2(x, y)) % 360 == pytest.approx(45 * number)


@pytest.mark.parametrize("band", [0, 1])
def test_front_over_back_can_be_read_off_from_above_and_from_the_side(plan, band):
    """The plan's front-to-back comes from one direction alone, not from a cut."""
    name = plan.bands[band].name
    wanted = plan.direction("east").bands[band].front_to_back_db
    around = drawn(azimuth_picture(plan, "east", name))[f"east on {name}"]
    assert level_at(around, 90.0) - level_at(around, 270.0) == pytest.approx(wanted, abs=0.02)
    x, y = drawn(elevation_picture(plan, "east", name))[f"east on {name}"]
    height, level = np.degrees(np.arctan2(y, x)), 40 * (np.hypot(x, y) - 1)
    front, back = (np.interp(angle, height, level) for angle in (22.0, 158.0))
    assert front - back == pytest.approx(wanted, abs=0.1)


def test_a_null_is_drawn_in_the_middle_and_nothing_below_it(endfire):
    levels = bearing_and_level(drawn(azimuth_picture(endfire, "north", "160 m"))["north on 160 m"])[1]
    assert levels.min() == pytest.approx(-40, abs=1e-6)


def test_the_other_directions_are_there_faintly_on_the_chosen_band(plan):
    figure = azimuth_picture(plan, "north", "80 m")
    lines = curves(figure)
    assert set(lines) == {"grid", "rim", "aim", "north on 160 m", "north on 80 m", "other directions", *NAMES[1:]}
    assert [item.label for item in figure.legend] == ["north on 160 m", "other directions", "north on 80 m"]
    faint, chosen = lines["south"], lines["north on 80 m"]
    assert faint.opacity < 0.6
    assert faint.colour == chosen.colour
    assert chosen.width > 2 * faint.width


def test_bands_differ_by_more_than_colour():
    looks = [look(number) for number in range(12)]
    assert len({(one.dashes, one.marker) for one in looks}) == 12
    assert all(a.dashes != b.dashes for a, b in itertools.pairwise(looks))
    assert all(a.marker != b.marker for a, b in itertools.pairwise(looks))


@pytest.mark.parametrize("number", [0, 1, 2, 5])
def test_the_sky_is_brightest_where_it_is_fired(endfire, number):
    picture = sky_picture(endfire, NAMES[number], "160 m")
    # one area lies below the least level, and one above the greatest
    _, outlines = items(picture, Areas)["level"].outlines[SKY_LEVELS.index(-3.0) + 1]
    x, y = drawn(picture)["beam; lines: dB below the maximum"][:, 0]
    assert math.degrees(math.atan2(x, y)) % 360 == pytest.approx(45 * number)
    assert math.hypot(x, y) == pytest.approx((90 - 22) / 90)
    aside = (x + 0.02 * y, y - 0.02 * x)  # north is where the sheet of sky is joined
    assert inside(outlines, *aside)
    assert not inside(outlines, -aside[0], -aside[1])


def inside(outlines, x: float, y: float) -> bool:
    """Whether a ray from the place to the right crosses the outlines an odd number of times."""
    crossed = 0
    for xs, ys in outlines:
        above, (x1, x2), (y1, y2) = ys > y, (xs, np.roll(xs, -1)), (ys, np.roll(ys, -1))
        cut = above != np.roll(above, -1)
        crossed += np.count_nonzero(x1[cut] + (y - y1[cut]) / (y2 - y1)[cut] * (x2 - x1)[cut] > x)
    return crossed % 2 == 1


def test_pictures_stay_small_and_follow_the_theme(plan, ring):
    sizes = {"above": 80e3, "side": 40e3, "sky": 130e3}
    made = {
        "above": azimuth_picture(plan, "north", "160 m"),
        "side": elevation_picture(plan, "north", "160 m"),
        "sky": sky_picture(plan, "north", "160 m"),
    }
    for name, figure in made.items():
        svg = figure.svg()
        assert len(svg) < sizes[name]
        assert "Heron Fen ring" in svg
        screen = for_screen(svg)
        assert screen.count("var(--jp-ui-font-color1") == svg.count(INK) > 0
        assert screen.count("var(--jp-border-color1") == svg.count(FAINT)


def test_the_state_says_direction_elevation_and_ground(plan, ring):
    assert state_of(plan, "east", "80 m") == "east on 80 m, 22 deg elevation, ground 13,\u00a05 mS/m"
    perfect = ring.changed({("ground", "kind"): "perfect"}).plan()
    assert state_of(perfect, "east") == "east, 22 deg elevation, perfect ground"


def test_names_are_taken_as_they_are(ring):
    odd = ring.changed({("name",): "$\\frac$ <b>", ("bands",): {"$x_$": "1.84 MHz"}, ("phasing", "cut_band"): "$x_$"})
    svg = azimuth_picture(odd.plan(), "north", "$x_$").svg()
    assert "north on $x_$" in svg
    assert "$\\frac$ &lt;b&gt;" in svg


def test_names_that_begin_with_an_underscore_are_drawn_and_named(ring):
    names = {("bands",): {"_x": "1.84 MHz"}, ("phasing", "cut_band"): "_x"}
    odd = ring.changed({**names, ("directions",): [{"name": "_ne", "azimuth": "45 deg"}]}).plan()
    assert [item.label for item in azimuth_picture(odd, "_ne", "_x").legend] == ["_ne on _x"]
    assert [item.label for item in delay_errors(odd).legend] == ["_x, as planned", "_x, at printed velocity factor"]
    assert len(pictures(odd)) == 2


# --- spacing and frequency ----------------------------------------------------------------------------------


def test_against_spacing_goes_through_the_plan_at_the_present_spacing(ring, plan):
    sweep = spacing_sweep(ring.stages(), "east", 21)
    figure = spacing_picture(sweep, "title", "state")
    lines = drawn(figure)
    now = items(figure, Rule)["now"].at
    assert now == pytest.approx(46 * math.sin(math.pi / 8))  # the side of an octagon, an identity
    for band in plan.direction("east").bands:
        x, y = lines[f"RDF on {band.name}"]
        assert np.interp(now, x, y) == pytest.approx(band.rdf_db, abs=0.05)
        # eight in phase toward the wave, equally strong: 10 log 8 whatever the spacing
        assert lines[f"white-noise gain on {band.name}"][1] == pytest.approx(10 * math.log10(8))
    assert f"now {now:.3g} m" in words(figure)


def test_why_not_closer_answers_itself(ring):
    """End-fire by reversal takes differences: far under a wave the signal goes with the spacing, 20 dB a decade, and
    the shape of the pattern, so RDF, settles.
    """
    sweep = spacing_sweep(ring.changed(ENDFIRE | {("array", "diameter"): "20 m"}).stages(), "north", 15)
    lines = drawn(spacing_picture(sweep, "title", "state"))
    (x, rdf), (_, white) = lines["RDF on 160 m"], lines["white-noise gain on 160 m"]
    assert white[4] - white[0] == pytest.approx(20 * math.log10(x[4] / x[0]), rel=0.05)
    assert abs(rdf[4] - rdf[0]) < 0.3
    assert np.all(np.diff(white) > 0)


def test_against_frequency_goes_through_the_plan_on_its_bands(ring, plan):
    sweep = frequency_sweep(ring.stages(), "south", 31)
    figure = frequency_picture(sweep, plan, "title", "state")
    lines, marks = drawn(figure), items(figure, Rule)
    for band, figures in zip(plan.bands, plan.direction("south").bands, strict=True):
        assert marks[band.name].at == pytest.approx(band.frequency_hz / 1e6)
        for name, wanted in (("RDF", figures.rdf_db), ("front-to-back", figures.front_to_back_db)):
            x, y = lines[name]
            assert y[np.argmin(np.abs(x - band.frequency_hz / 1e6))] == pytest.approx(wanted)
    assert lines["front-to-back"][1].max() <= DEEPEST


def test_the_phase_of_a_line_is_its_delay_times_frequency(tmp_path):
    """The contract's ring by hand: fired toward 22.5 deg its lines wait 35.624, 86.003 and 121.627 ns."""
    text = (shipped("notebooks") / "heron-fen-ring.toml").read_text()
    for old, new in (
        ('"46 m"', '"42 m"'),
        ('"22 deg"', '"20 deg"'),
        ("1.84 MHz", "1.83 MHz"),
        ('"0 deg"', '"22.5 deg"'),
    ):
        text = text.replace(old, new, 1)
    text = text.replace('first_azimuth = "22.5 deg"', 'first_azimuth = "0 deg"')
    head, *_ = text.partition("[[directions]]")
    tail = text[text.index("[hub]") :]
    path = tmp_path / "hand.toml"
    path.write_text(f'{head}[[directions]]\nname = "only"\nazimuth = "22.5 deg"\n\n{tail}')
    plan = wb.load_design(path).plan()
    figure = phase_picture(plan, "title", "state")
    lines = drawn(figure)
    for label, nanoseconds in (("A", 35.624), ("B", 86.003), ("C", 121.627)):
        x, y = lines[f"line {label}"]
        assert np.interp(1.83, x, y) == pytest.approx(360 * 1.83e-3 * nanoseconds, abs=0.01)
        assert np.interp(3.6, x, y) == pytest.approx(360 * 3.6e-3 * nanoseconds, abs=0.01)
    assert {"A", "B", "C"} <= words(figure)


# --- fewest delays ------------------------------------------------------------------------------------------


def test_the_map_has_its_summit_at_the_choice_and_falls_as_the_slack_says(fewest):
    design, plan = fewest
    best = design.stages().choices("north")
    found = delay_map(best)
    least = min(band.rdf_db for band in plan.direction("north").bands)
    assert found.chosen_rdf_db == pytest.approx(least, abs=1e-6)
    assert found.least_rdf_db.max() <= least + 1e-3
    for axis, (delay, slack) in enumerate(zip(best.delays.m_as("s"), best.slack.m_as("s"), strict=True)):
        falls = []
        for side in (-1, 1):
            moved = best.delays.m_as("s").copy()
            moved[axis] = delay + side * slack
            falls.append(least - float(best.least_rdf_at(wb.Quantity(moved, "s")).m_as("dB")))
        # the smaller of both ways falls by 0.3 dB, the other by less
        assert max(falls) == pytest.approx(0.3, abs=1e-3)


def test_the_map_is_drawn_the_right_way_round(fewest):
    """Delays of the shorter line run along x: the map there must be what the direction gives with it changed."""
    design, _ = fewest
    best = design.stages().choices("north")
    found = delay_map(best, 9)
    moved = wb.Quantity([found.first_s[2], found.second_s[6]], "s")
    assert found.least_rdf_db[6, 2] == pytest.approx(float(best.least_rdf_at(moved).m_as("dB")))
    assert found.least_rdf_db[2, 6] != pytest.approx(found.least_rdf_db[6, 2], abs=1e-3)
    figure = delay_map_picture(found, "title", "state")
    ((label, points),) = ((key, value) for key, value in drawn(figure).items() if key.startswith("chosen"))
    assert points[:, 0] == pytest.approx(best.delays.m_as("ns"))
    assert f"{points[0, 0]:.1f} and {points[1, 0]:.1f} ns" in label
    contour = drawn(figure)["-0.3 dB"]
    assert contour[0].min() < points[0, 0] < contour[0].max()
    assert contour[1].min() < points[1, 0] < contour[1].max()
    assert -0.3 in FALLS


def test_the_choices_are_told_best_first_with_what_they_take(fewest):
    design, plan = fewest
    best = design.stages().choices("north")
    table = choice_table(design.content, best, "north")
    assert table.rows[0][0] == "best"
    assert [row[0] for row in table.rows[1:3]] == ["next 1", "next 2"]
    least = [min(map(float, row[3:5])) for row in table.rows]
    assert all(a >= b - 0.011 for a, b in itertools.pairwise(least))
    for band, cell in zip(plan.direction("north").bands, table.rows[0][3:5], strict=True):
        assert float(cell) == pytest.approx(band.rdf_db, abs=0.006)
    # a row of the table and the plan's own feeds must name the same elements on the same line
    reversed_by_plan = {feed.number for feed in plan.direction("north").elements if feed.polarity < 0}
    reversed_by_table = {
        int(number)
        for part in table.rows[0][1].split("; ")
        if part.endswith("reversed")
        for number in part.split(" ")[0].split("+")
    }
    assert reversed_by_table == reversed_by_plan
    longest = max(line.length_m for line in plan.delay_lines)
    assert table.rows[0][-1].startswith(f"{longest:.3f} m")
    slack = slack_table(plan, "north")
    assert [row[0] for row in slack.rows] == ["A", "B"]
    # degrees and nanoseconds of one row are the same move on the highest band
    for row in slack.rows:
        assert float(row[3]) == pytest.approx(360 * 3.6e-3 * float(row[2]), abs=0.06)


def test_a_map_of_one_delay_is_refused(ring, refused):
    one = ring.changed({**FEWEST, ("phasing", "lines"): 1})
    best = one.stages().choices("north")
    refused(lambda: delay_map(best), "lines", "this choice has 1")
