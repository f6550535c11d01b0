"""The picture that a chart writes: places by the scale of its axes, gaps, markers, ticks, legend, names as they are."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from workbook.figures.chart import (
    LEFT,
    LETTERS,
    RIGHT,
    TOP,
    Axis,
    Chart,
    Curve,
    Note,
    Plot,
    Rule,
    Span,
    around,
    axis_at,
    linear_axis,
)
from workbook.figures.style import look
from workbook.figures.svg import marker, polyline, wrapped

WIDTH, HEIGHT = 300.0, 200.0
X, Y = linear_axis("x (m)", 0, 10), linear_axis("y (dB)", -5, 5)


def root(*items, x=X, y=Y, **more) -> ET.Element:
    chart = Chart("title", "state", (Plot(x, y, items, HEIGHT),), WIDTH, **more)
    return ET.fromstring(chart.svg().replace(' xmlns="http://www.w3.org/2000/svg"', ""))


def texts(svg: ET.Element) -> list[str]:
    return [each.text for each in svg.iter("text")]


def corners(d: str) -> list[tuple[float, float]]:
    return [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+),(-?[\d.]+)", d)]


def test_points_are_placed_by_the_scales_of_the_axes():
    (path,) = root(Curve("line", np.array([0.0, 10.0, 5.0]), np.array([-5.0, 5.0, 0.0]), legend=False)).iter("path")
    right, bottom = WIDTH - RIGHT, TOP + HEIGHT
    middle = ((LEFT + right) / 2, TOP + HEIGHT / 2)
    assert corners(path.get("d")) == [(LEFT, bottom), (right, TOP), pytest.approx(middle)]


def test_a_logarithmic_axis_has_equal_steps_for_equal_ratios():
    axis = axis_at("frequency (MHz)", 1.0, 100.0, (0.5, 1, 10, 100, 200), log=True)
    assert axis.share([1.0, 10.0, 100.0]) == pytest.approx([0, 0.5, 1])
    assert [words for _, words in axis.ticks] == ["1", "10", "100"]


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (0, 10, ["0", "2", "4", "6", "8", "10"]),
        (-0.31, 0.29, ["−0.3", "−0.2", "−0.1", "0.0", "0.1", "0.2"]),
        (0.778, 0.852, ["0.78", "0.80", "0.82", "0.84"]),
        (1e3, 4e3, ["1000", "1500", "2000", "2500", "3000", "3500", "4000"]),
    ],
)
def test_ticks_are_round_and_zero_has_no_sign(low, high, wanted):
    assert [words for _, words in linear_axis("", low, high).ticks] == wanted


def test_a_curve_is_interrupted_where_a_value_is_unknown():
    x = np.arange(5.0)
    assert polyline(x, np.array([0, 1, np.nan, 3, np.inf])) == "M0.0,0.0L1.0,1.0M3.0,3.0"
    assert polyline(x, np.full(5, np.nan)) == ""


@pytest.mark.parametrize("kind", sorted({look(number).marker for number in range(8)} | {"v", "P", "x"}))
def test_a_marker_lies_around_its_place_and_within_its_size(kind):
    x = y = 0.0
    reached = []
    for command, words in re.findall(r"([mlaz])([^mlaz]*)", marker(kind, 10)):
        numbers = list(map(float, re.findall(r"-?[\d.]+", words)))
        pairs = [numbers[-2:]] if command == "a" else list(zip(numbers[::2], numbers[1::2], strict=True))
        for dx, dy in pairs:
            x, y = x + dx, y + dy
            reached.append((x, y))
    low, high = np.min(reached, axis=0), np.max(reached, axis=0)
    assert np.all(np.abs([low, high]) <= 6.6)
    assert np.all(high - low >= 0 if kind == "o" else high - low >= 7)


def test_limits_hold_all_finite_values_and_are_never_one_place():
    low, high = around([[1.0, np.nan], [3.0, np.inf]])
    assert (low, high) == pytest.approx((0.9, 3.1))
    assert around([[2.0]], least=10) == pytest.approx((-3, 7))
    for values in ([], [[np.nan]], [[7.0]], [[0.0]]):
        low, high = around(values)
        assert low < high


def test_the_legend_names_what_is_to_be_named_also_where_a_name_begins_with_an_underscore():
    hidden = Curve("hidden", X.share([0]), X.share([0]), legend=False)
    svg = root(
        Curve("_ne", np.zeros(2), np.zeros(2)),
        hidden,
        Span("band", 1, 2, "#000000", 0.5),
        Rule("limit", 0, legend=True),
    )
    (legend,) = (group for group in svg.iter("g") if group.get("class") == "legend")
    assert texts(legend) == ["_ne", "limit"]


def test_the_legend_has_fewer_columns_where_its_letters_would_be_too_small():
    names = ("80 m, at printed velocity factor", "160 m, at printed velocity factor")
    long, short = (
        root(*(Curve(name, np.zeros(2), np.zeros(2)) for name in chosen), columns=2) for chosen in (names, ("a", "b"))
    )
    for svg, rows in ((long, 2), (short, 1)):
        (legend,) = (group for group in svg.iter("g") if group.get("class") == "legend")
        assert all(float(each.get("font-size")) >= 9 for each in legend.iter("text"))
        assert len({each.get("y") for each in legend.iter("text")}) == rows


def test_a_long_title_is_broken_after_commas_where_that_is_enough():
    assert wrapped("east-north-east, 22 deg elevation, ground 15,\u00a01 mS/m", 45) == [
        "east-north-east, 22 deg elevation,",
        "ground 15, 1 mS/m",
    ]
    said = "Heron Fen ring, fewest-delays: phase of every line"
    assert wrapped(said, 49) == ["Heron Fen ring,", "fewest-delays: phase of every line"]
    assert wrapped("one long part", 8) == ["one long", "part"]
    assert wrapped("", 8) == [""]


def test_names_are_escaped_and_long_ones_come_in_smaller_letters():
    short, long = (root(Curve(name, np.zeros(2), np.zeros(2))) for name in ("<b> & $x$", "a" * 70))
    assert "<b> & $x$" in texts(short)
    sizes = [
        float(next(each for each in svg.iter("text") if each.text in ("<b> & $x$", "a" * 70)).get("font-size"))
        for svg in (short, long)
    ]
    assert 70 * 0.6 * sizes[1] < WIDTH
    assert sizes[0] > 1.5 * sizes[1]


def test_a_long_title_is_broken_after_a_comma_and_not_at_a_hyphen():
    title = "Heron Fen ring, fewest-delays: phase of every line"
    assert wrapped(title, 49) == ["Heron Fen ring,", "fewest-delays: phase of every line"]


def test_a_long_state_goes_on_in_the_next_line_in_letters_of_full_size_and_moves_the_plot_down():
    state = "north on 160 m, 22 deg elevation, ground 13, 5 mS/m, runs of 24.5 m"
    svg = Chart("title", state, (Plot(X, Y, (), HEIGHT),), WIDTH).svg()
    drawn = ET.fromstring(svg.replace(' xmlns="http://www.w3.org/2000/svg"', ""))
    title, below = list(drawn.iter("text"))[:2]
    assert ["".join(each.itertext()) for each in (title, below)] == ["title", state]
    assert all(float(each.get("font-size")) >= LETTERS for each in (title, below))
    tops = [float(each.get("y")) for each in (title, *below)]
    assert len(tops) == 3
    (inner,) = drawn.findall(".//svg")
    assert tops == sorted(tops)
    assert tops[-1] < float(inner.get("y"))
    assert float(inner.get("y")) > TOP


def test_what_runs_beyond_the_axes_is_cut_off_and_notes_are_not():
    svg = root(Curve("far", np.array([-50.0, 50.0]), np.zeros(2), legend=False), Note("beside", 10.0, 0.0, (4, 0)))
    (inner,) = svg.findall("svg")
    assert [float(inner.get(key)) for key in ("x", "y", "width", "height")] == [LEFT, TOP, WIDTH - LEFT - RIGHT, HEIGHT]
    assert len(inner.findall("path")) == 1
    assert "beside" not in texts(inner)
    assert "beside" in texts(svg)


def test_several_plots_stand_below_each_other_and_share_the_names_of_x():
    x = Axis("x (m)", 0, 1, ((0.5, "half"),))
    plots = (Plot(x, Y, (), 100), Plot(x, Y, (), 100))
    svg = ET.fromstring(Chart("title", "state", plots, WIDTH).svg().replace(' xmlns="http://www.w3.org/2000/svg"', ""))
    first, second = (float(each.get("y")) for each in svg.findall("svg"))
    assert second > first + 100
    assert texts(svg).count("half") == texts(svg).count("x (m)") == 1
    assert texts(svg).count("y (dB)") == 2
