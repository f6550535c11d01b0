"""The pictures of real ends, by the data that is drawn."""

import dataclasses
import itertools
import math
import re

import numpy as np
import pytest
from chart_data import curves, drawn, items

import workbook as wb
from workbook.figures.chart import Note, Rule, Span, Strokes
from workbook.figures.real_ports import (
    LinesAlone,
    channel_picture,
    channel_weights,
    ends_of,
    length_picture,
    side_by_side_picture,
)
from workbook.figures.style import INK, for_screen
from workbook.files import shipped
from workbook.plan.terminations import line_alone

BANDS = ("160 m", "80 m")


@pytest.fixture(scope="module")
def plan():
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    return ring.changed(
        {
            ("hub", "source_impedance"): "50 ohm",
            ("hub", "port_impedance"): "60 ohm",
            ("hub", "source_tolerance"): 0.1,
            ("hub", "port_tolerance"): 0.05,
            ("cutting", "accept"): "0.5 deg",
        }
    ).plan()


@pytest.fixture(scope="module")
def ends(plan):
    return plan.terminations


@pytest.fixture(scope="module")
def lines(plan):
    def alone(degrees, band):
        return line_alone(wb.cable("series-6-copper"), degrees, plan.band(band).frequency_hz, 50, 60)

    own = {name: np.array([360 * plan.band(name).frequency_hz * x.delay_s for x in plan.delay_lines]) for name in BANDS}
    return LinesAlone(
        curves={name: alone(np.linspace(0, 360, 181), name) for name in BANDS},
        own={name: alone(own[name], name) for name in BANDS},
        looked_at=alone(120.0, "160 m"),
        band="160 m",
    )


def test_channels_are_drawn_with_what_tolerances_do(plan, ends):
    figure = channel_picture(plan, ends)
    points = drawn(figure)
    strokes = items(figure, Strokes)
    for number, name in enumerate(BANDS):
        rows = [channel.bands[number] for channel in ends.channels[1:]]
        planned, after = points[f"{name}, as planned"], points[f"{name}, compensated"]
        # contract: the plan's errors are positive where a channel is early; pictures are positive where it is late
        assert planned[1] == pytest.approx([-row.phase_error_deg for row in rows])
        assert after[1] == pytest.approx([-row.compensated_phase_error_deg for row in rows])
        bars = strokes[f"{name}, tolerance"]
        assert bars.low == pytest.approx([-row.greatest_phase_error_deg for row in rows])
        assert bars.high == pytest.approx([-row.least_phase_error_deg for row in rows])
        assert bars.x == pytest.approx(planned[0])
        filled, hollow = (curves(figure)[f"{name}, {kind}"] for kind in ("as planned", "compensated"))
        assert (filled.hollow, hollow.hollow) == (False, True)
    assert np.abs(points["160 m, compensated"][1]).max() < 1e-6
    shaded = items(figure, Span)["within ±0.5 deg"]
    assert (shaded.low, shaded.high, shaded.level) == (-0.5, 0.5, True)
    ticks = [words for _, words in figure.plots[0].x.ticks]
    assert [text.split("\n")[0] for text in ticks] == [channel.line for channel in ends.channels[1:]]
    assert [float(text.split("\n")[1].removesuffix(" ns")) for text in ticks] == pytest.approx(
        [line.delay_s * 1e9 for line in plan.delay_lines], abs=0.051
    )


def test_many_channels_are_named_by_their_letters():
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    more = ring.changed(
        {
            ("hub", "source_impedance"): "50 ohm",
            ("hub", "port_impedance"): "60 ohm",
            ("array", "count"): 24,
            ("array", "first_azimuth"): "3 deg",
        }
    ).plan()
    assert len(more.delay_lines) > 8
    ticks = channel_picture(more, more.terminations).plots[0].x.ticks
    assert not any("ns" in words for _, words in ticks)


def test_a_line_of_any_length_with_its_bound(plan, lines):
    figure = length_picture(plan, lines, "50 to 60 ohm")
    points, rules = drawn(figure), items(figure, Rule)
    for name in BANDS:
        x, y = points[name]
        assert y[0] == pytest.approx(0, abs=1e-12)
        at, errors = points[f"cut lines, {name}"]
        assert at == pytest.approx([360 * plan.band(name).frequency_hz * line.delay_s for line in plan.delay_lines])
        assert np.interp(at, x, y) == pytest.approx(errors, abs=0.01)
    # behind a stage that keeps the run apart a channel's error on the cut band is that of its line alone
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    keys = ("source_impedance", "50 ohm"), ("summing_impedance", "50 ohm"), ("port_impedance", "60 ohm")
    staged = ring.changed({("hub", key): value for key, value in keys}).plan()
    wanted = [-channel.bands[0].phase_error_deg for channel in staged.terminations.channels[1:]]
    assert points["cut lines, 160 m"][1] == pytest.approx(wanted, abs=1e-6)
    own = wb.cable("series-6-copper").characteristic_impedance("1.84 MHz").m_as("ohm")
    q = (50 - own) / (50 + own) * (60 - own) / (60 + own)
    bound, matched = (math.degrees(angle) for angle in (math.asin(abs(q)), np.angle(1 - q)))
    upper = next(label for label in rules if label.startswith("160 m: "))
    assert rules[upper].at == pytest.approx(bound - matched)
    assert rules["160 m, bound"].at == pytest.approx(-bound - matched)


def test_the_bounds_of_the_legend_hold_for_every_curve_that_is_drawn(plan, lines):
    figure = length_picture(plan, lines, "50 to 60 ohm")
    points, rules = drawn(figure), items(figure, Rule)
    for name in BANDS:
        label = next(label for label in rules if label.startswith(f"{name}: "))
        low, high = (float(part) for part in re.search(r"(-?[\d.]+), (-?[\d.]+)", label).groups())
        for curve in (name, f"cut lines, {name}"):
            assert low <= points[curve][1].min()
            assert points[curve][1].max() <= high
        assert label in [item.label for item in figure.legend]


def test_the_length_looked_at_is_marked(plan, lines):
    figure = length_picture(plan, lines, "50 to 60 ohm")
    assert items(figure, Rule)["looked at"].at == 120.0
    assert drawn(figure)["a line of 120 deg"][:, 0] == pytest.approx((120.0, -float(lines.looked_at.phase_error_deg)))
    notes = [note for note in figure.plots[0].items if isinstance(note, Note)]
    assert [note.words for note in notes] == [line.label for line in plan.delay_lines]
    assert [note.x for note in notes] == pytest.approx(drawn(figure)["cut lines, 160 m"][0])
    # letters of 10 pt stand above every curve and limit
    axis, height = figure.plots[0].y, figure.plots[0].height
    highest = max(axis.share(part[1]).max() for part in drawn(figure).values())
    highest = max(highest, *(axis.share(rule.at) for rule in items(figure, Rule).values() if rule.level))
    assert all(note.share and note.y * height > highest * height + 1 for note in notes)


def test_from_above_ideal_real_and_compensated(plan, ends):
    figure = side_by_side_picture(plan, ends, "east", "80 m")
    points = drawn(figure)
    row = next(one for one in ends.directions if (one.direction, one.name) == ("east", "80 m"))
    stated = plan.direction("east").bands[1]
    wanted = {
        f"ideal, RDF {stated.rdf_db:.2f} dB": stated.front_to_back_db,
        f"real terminations, RDF {row.rdf_db:.2f} dB": row.front_to_back_db,
        f"compensated, RDF {row.compensated_rdf_db:.2f} dB": row.compensated_front_to_back_db,
    }
    assert [item.label for item in figure.legend] == list(wanted)
    assert len({round(value, 2) for value in wanted.values()}) == 3
    for label, front_to_back in wanted.items():
        x, y = points[label]
        bearing, level = np.degrees(np.arctan2(x, y)) % 360, 40 * (np.hypot(x, y) - 1)
        front, back = (level[np.argmin(np.abs(bearing - angle))] for angle in (90.0, 270.0))
        assert front - back == pytest.approx(front_to_back, abs=0.02)
    x, y = points["aim"][:, 1]
    assert math.degrees(math.atan2(x, y)) == pytest.approx(90)
    looks = figure.legend
    assert all(a.colour != b.colour for a, b in itertools.combinations(looks, 2))
    # under others the thickest still shows
    assert all(a.width > b.width for a, b in itertools.pairwise(looks))


def test_weights_take_the_errors_of_their_channel(plan, ends):
    real, after = channel_weights(plan, ends, "north", "160 m")
    for feed, one, two in zip(plan.direction("north").elements, real, after, strict=True):
        row = next(channel for channel in ends.channels if channel.line == (feed.line or "direct")).bands[0]
        ideal = np.exp(-2j * np.pi * 1.84e6 * feed.delay_s)
        assert one / ideal == pytest.approx(10 ** (row.level_db / 20) * np.exp(1j * math.radians(row.phase_error_deg)))
        level = 10 ** (row.compensated_level_db / 20)
        assert two / ideal == pytest.approx(level * np.exp(1j * math.radians(row.compensated_phase_error_deg)))


def test_an_element_that_is_off_stays_off(ends):
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    delays = ["0 ns", "40 ns", "off", "off", "80 ns", "off", "off", "40 ns"]
    made = ring.changed(
        {
            ("phasing", "rule"): "entered",
            ("directions",): [{"name": "north", "azimuth": "0 deg", "delays": delays}],
            ("hub", "source_impedance"): "50 ohm",
            ("hub", "port_impedance"): "60 ohm",
        }
    ).plan()
    real, after = channel_weights(made, made.terminations, "north", "80 m")
    assert list(np.abs(real) > 0) == [delay != "off" for delay in delays] == list(np.abs(after) > 0)


def test_pictures_say_the_state_stay_small_and_follow_the_theme(plan, ends, lines):
    said = ends_of(plan, ends)
    assert said == "50 to 60 ohm ±10, ±5 %; joined, runs 24.500 m"
    for figure, words in (
        (channel_picture(plan, ends), said),
        (length_picture(plan, lines, said), said),
        (side_by_side_picture(plan, ends, "north", "80 m"), "between 50 and 60 ohm"),
    ):
        svg = figure.svg()
        assert words in re.sub("<[^>]+>", "", svg)
        assert "Heron Fen ring" in svg
        assert len(svg) < 90e3
        assert for_screen(svg).count("var(--jp-ui-font-color1") == svg.count(INK) > 0


def test_a_pattern_refuses_an_unknown_direction(plan, refused):
    refused(lambda: side_by_side_picture(plan, plan.terminations, "nowhere", "80 m"), "nowhere")


def test_a_pattern_refuses_an_elevation_at_which_nothing_arrives(plan, refused):
    flat = dataclasses.replace(plan, elevation_deg=0.0)
    refused(lambda: side_by_side_picture(flat, flat.terminations, "north", "80 m"), "elevation")
