"""The pictures of ways to match, by the data drawn: every way, the limits, the bands, the strong one, the run."""

import numpy as np
import pytest

import workbook as wb
from workbook.figures.matching import one_way, overlay, run_picture
from workbook.figures.style import to_svg
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


def curves(axes):
    """What was drawn against frequency, by label."""
    return {line.get_label().lstrip("_"): line for line in axes.lines if "limit" not in line.get_label()}


def limit(axes):
    return next(10 ** line.get_ydata()[0] for line in axes.lines if line.get_label() == "_limit")


def test_the_overlay_draws_every_way_as_it_is(view):
    upper, lower = overlay(view, 0).axes
    assert len(curves(upper)) == len(curves(lower)) == len(view.ranked) == 6
    for number, match in enumerate(view.matches):
        label = f"{number + 1} {match.name.split(',')[0]}"
        swr, loss = curves(upper)[label], curves(lower)[label]
        hertz = 1e6 * 10 ** swr.get_xdata()
        response = match.response(wb.Quantity(hertz, "Hz"))
        assert 10 ** swr.get_ydata() == pytest.approx(np.minimum(response.swr_in, 100), rel=1e-9)
        assert 10 ** loss.get_ydata() == pytest.approx(np.maximum(response.insertion_loss.m_as("dB"), 0.01), rel=1e-9)
        assert hertz[0] < 1.8e6 < 4e6 < hertz[-1]
    assert limit(upper) == pytest.approx(1.2)
    assert limit(lower) == pytest.approx(1.0)


def test_ways_are_told_apart_by_marker_and_label_and_keep_their_look(view):
    upper, _ = overlay(view, 0).axes
    drawn = curves(upper)
    assert (
        len({line.get_marker() for line in drawn.values()}) == len({line.get_color() for line in drawn.values()}) == 6
    )
    look = {label[2:]: (line.get_marker(), line.get_color()) for label, line in drawn.items()}
    strict = made(limits=(1.05, 10.0))
    assert strict.ranked[0].method != view.ranked[0].method
    other = curves(overlay(strict, 0).axes[0])
    assert {label[2:]: (line.get_marker(), line.get_color()) for label, line in other.items()} == look


@pytest.mark.parametrize("shown", range(6))
def test_the_one_in_detail_is_drawn_strong(view, shown):
    figure = overlay(view, shown)
    for axes in figure.axes:
        widths = [line.get_linewidth() for line in curves(axes).values()]
        assert np.argmax(widths) == shown
        assert sorted(widths)[-1] > 2 * sorted(widths)[-2]
    assert f"strong: {view.matches[shown].name.split(',')[0]}" in figure.axes[0].get_title()


def test_bands_are_shaded_from_edge_to_edge_and_named(view):
    for figure in (overlay(view, 0), one_way(view, 0)):
        for axes in figure.axes:
            spans = {patch.get_label().lstrip("_"): patch for patch in axes.patches}
            edges = [1e6 * 10**x for x in (spans["80 m"].get_x(), spans["80 m"].get_x() + spans["80 m"].get_width())]
            assert edges == pytest.approx([3.5e6, 4e6])
        assert {text.get_text() for text in figure.axes[0].texts} == {"160 m", "80 m"}


@pytest.mark.parametrize("shown", range(6))
def test_one_way_shows_both_ends_and_the_phase(view, shown):
    figure = one_way(view, shown)
    upper, lower = figure.axes
    match, drawn = view.matches[shown], curves(upper)
    response = match.response(wb.Quantity(view.hertz, "Hz"))
    assert 10 ** drawn["at the source"].get_ydata() == pytest.approx(np.minimum(response.swr_in, 100), rel=1e-9)
    assert 10 ** drawn["at the load"].get_ydata() == pytest.approx(np.minimum(response.swr_out, 100), rel=1e-9)
    assert curves(lower)["phase shift"].get_ydata() == pytest.approx(response.phase_shift.m_as("degree"), abs=1e-9)
    low, high = lower.get_ylim()
    assert high - low >= 10
    assert f"place {shown + 1} of 6" in upper.get_title()


def test_the_limits_and_the_best_way_stay_in_sight_whatever_the_ends():
    for source, load, bands in ((50.0, 10000.0, ("10 m",)), (60 + 20j, 40 - 10j, ("40 m",)), (75.0, 75.0, ("160 m",))):
        for limits in ((1.05, 0.1), (5.0, 10.0)):
            one = made(source, load, bands, limits)
            upper, lower = overlay(one, 0).axes
            for axes in (upper, lower):
                low, high = axes.get_ylim()
                assert low < np.log10(limit(axes)) < high
                assert np.all(np.isfinite([line.get_ydata() for line in curves(axes).values()]))
            assert 10 ** upper.get_ylim()[1] <= 10**1.2 + 1e-9
            assert 3 <= len(upper.get_yticks()) <= 6


def test_a_band_narrower_than_the_steps_of_the_curve_is_no_trouble():
    one = made(bands=[("7.1 MHz", "7.1 MHz")])
    for figure in (overlay(one, 0), one_way(one, 0)):
        assert "7.1 to 7.1 MHz" in to_svg(figure)


def test_the_run_is_drawn_by_its_length():
    one = made(150.0, 450.0, metres=12.5)
    sweep = length_sweep(*one.wanted.ends, one.wanted.run, one.wanted.edges)
    axes = run_picture(one.wanted.description, sweep).axes[0]
    drawn = {line.get_label(): line for line in axes.lines}
    assert set(drawn) == {"160 m", "80 m", "_now"}
    assert drawn["80 m"].get_xdata() == pytest.approx(sweep.metres)
    assert drawn["80 m"].get_ydata() == pytest.approx(sweep.loss[1])
    assert drawn["_now"].get_xdata()[0] == 12.5
    assert "now 12.5 m" in {text.get_text() for text in axes.texts}
    # neither end matches the 50-ohm run, so the loss goes down too
    assert np.any(np.diff(drawn["160 m"].get_ydata()) < 0) or np.any(np.diff(drawn["80 m"].get_ydata()) < 0)


def test_what_is_drawn_is_text_that_can_be_read(view):
    svg = to_svg(overlay(view, 0))
    for text in ("75 to 50 ohm: 6 ways", "SWR at the source", "loss (dB)", "frequency (MHz)", "1 wideband transformer"):
        assert text in svg
