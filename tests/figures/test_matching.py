"""The pictures of ways to match, by the data drawn: every way, the limits, the bands, the strong one, the run."""

import numpy as np
import pytest
from chart_data import curves, items, words

import workbook as wb
from workbook.figures.chart import Rule, Span
from workbook.figures.matching import one_way, overlay, run_picture
from workbook.matching.arguments import band_edges, chosen_cables
from workbook.matching.candidates import E24_PAD, E96_PAD, METHODS, Requirements, compare
from workbook.matching.direct import length_sweep

CABLES = ("series-6-copper", "rg-6-solid-pe", "rg-58-solid-pe", "rg-213-solid-pe")


def made(source=75.0, load=50.0, bands=("160 m", "80 m"), limits=(1.2, 1.0), metres=0.0):
    run = (wb.cable("rg-58-solid-pe"), metres)
    wanted = Requirements(source, load, band_edges(bands), limits, chosen_cables(CABLES), run=run)
    return compare(wanted, [method for method in METHODS if method not in (E24_PAD, E96_PAD)])


@pytest.fixture(scope="module")
def view():
    return made()


def limit(chart, plot):
    return items(chart, Rule, plot)["limit"].at


def test_the_overlay_draws_every_match_as_it_is(view):
    chart = overlay(view, 0)
    upper, lower = curves(chart), curves(chart, 1)
    assert len(upper) == len(lower) == len(view.ranked) == 6
    assert [item.label[0] for item in chart.legend] == list("123456")
    for number, match in enumerate(view.matches):
        label = f"{number + 1} {match.name.split(',')[0]}"
        swr, loss = upper[label], lower[label]
        hertz = 1e6 * swr.x
        response = match.response(wb.Quantity(hertz, "Hz"))
        assert swr.y == pytest.approx(np.minimum(response.swr_in, 100), rel=1e-9)
        assert loss.y == pytest.approx(np.maximum(response.insertion_loss.m_as("dB"), 0.01), rel=1e-9)
        assert hertz[0] < 1.8e6 < 4e6 < hertz[-1]
    assert (limit(chart, 0), limit(chart, 1)) == pytest.approx((1.2, 1.0))


def test_matches_differ_by_marker_and_colour_whatever_their_rank(view):
    drawn = curves(overlay(view, 0))
    assert len({line.marker for line in drawn.values()}) == len({line.colour for line in drawn.values()}) == 6
    look = {label[2:]: (line.marker, line.colour) for label, line in drawn.items()}
    strict = made(limits=(1.05, 10.0))
    assert strict.ranked[0].method != view.ranked[0].method
    other = curves(overlay(strict, 0))
    assert {label[2:]: (line.marker, line.colour) for label, line in other.items()} == look


@pytest.mark.parametrize("shown", range(6))
def test_the_one_in_detail_is_drawn_strong(view, shown):
    figure = overlay(view, shown)
    for plot in (0, 1):
        widths = [line.width for _, line in sorted(curves(figure, plot).items())]
        assert np.argmax(widths) == shown
        assert sorted(widths)[-1] > 2 * sorted(widths)[-2]
    assert f"strong: {view.matches[shown].name.split(',')[0]}" in figure.state


def test_bands_are_shaded_from_edge_to_edge_and_named(view):
    for figure in (overlay(view, 0), one_way(view, 0)):
        for plot in (0, 1):
            span = items(figure, Span, plot)["80 m"]
            assert (span.low, span.high) == pytest.approx((3.5, 4))
        assert words(figure) == {"160 m", "80 m"}


@pytest.mark.parametrize("shown", range(6))
def test_one_way_shows_both_ends_and_the_phase(view, shown):
    figure = one_way(view, shown)
    match, drawn = view.matches[shown], curves(figure)
    response = match.response(wb.Quantity(view.hertz, "Hz"))
    assert drawn["at the source"].y == pytest.approx(np.minimum(response.swr_in, 100), rel=1e-9)
    assert drawn["at the load"].y == pytest.approx(np.minimum(response.swr_out, 100), rel=1e-9)
    assert curves(figure, 1)["phase shift"].y == pytest.approx(response.phase_shift.m_as("degree"), abs=1e-9)
    degrees = figure.plots[1].y
    assert degrees.high - degrees.low >= 10
    assert f"place {shown + 1} of 6" in figure.state


def test_the_limits_and_the_best_way_stay_in_sight_whatever_the_ends():
    for source, load, bands in ((50.0, 10000.0, ("10 m",)), (60 + 20j, 40 - 10j, ("40 m",)), (75.0, 75.0, ("160 m",))):
        for limits in ((1.05, 0.1), (5.0, 10.0)):
            one = made(source, load, bands, limits)
            figure = overlay(one, 0)
            for number, plot in enumerate(figure.plots):
                assert plot.y.low < limit(figure, number) < plot.y.high
                assert np.all(np.isfinite([line.y for line in curves(figure, number).values()]))
            swr = figure.plots[0].y
            assert swr.high <= 10**1.2 + 1e-9
            assert 3 <= len([place for place, _ in swr.ticks if place <= swr.high]) <= 6


def test_a_band_narrower_than_the_steps_of_the_curve_is_drawn():
    one = made(bands=[("7.1 MHz", "7.1 MHz")])
    for figure in (overlay(one, 0), one_way(one, 0)):
        assert "7.1 to 7.1 MHz" in figure.svg()


def test_the_run_is_drawn_by_its_length():
    one = made(150.0, 450.0, metres=12.5)
    sweep = length_sweep(*one.wanted.ends, one.wanted.run, one.wanted.edges)
    figure = run_picture(one.wanted.description, sweep)
    drawn = curves(figure)
    assert set(drawn) == {"160 m", "80 m"}
    assert drawn["80 m"].x == pytest.approx(sweep.metres)
    assert drawn["80 m"].y == pytest.approx(sweep.loss[1])
    assert items(figure, Rule)["now"].at == 12.5
    assert "now 12.5 m" in words(figure)
    # neither end matches the 50-ohm run, so the loss goes down too
    assert np.any(np.diff(drawn["160 m"].y) < 0) or np.any(np.diff(drawn["80 m"].y) < 0)


def test_titles_and_labels_are_text(view):
    svg = overlay(view, 0).svg()
    for text in (
        "75 to 50 ohm: 6 matches",
        "SWR at the source",
        "loss (dB)",
        "frequency (MHz)",
        "1 wideband transformer",
    ):
        assert text in svg
