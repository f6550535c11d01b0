"""The picture of cable loss by the data that is drawn: curves, published points, ranges, the band of interest."""

import itertools

import numpy as np
import pytest
from chart_data import curves, items

import workbook as wb
from workbook.figures.chart import Fill, Rule, Span
from workbook.figures.loss import MARKERS, loss_curves
from workbook.line.losses import compare_losses
from workbook.tables.lines import root_rule_errors

SIX = ("series-6-clad", "series-11-clad", "series-6-copper", "rg-213-solid-pe", "rg-8x-foam", "trunk-500")


def drawn(names, length="30 m", load="75 ohm", band="160 m"):
    comparison = compare_losses([wb.cable(name) for name in names], length, load, band)
    return loss_curves(comparison)


@pytest.mark.parametrize("length", ["30 m", "250 ft"])
@pytest.mark.parametrize("name", wb.cables())
def test_every_published_point_sits_where_the_record_says(name, length):
    record, metres = wb.cable(name).record, wb.quantity(length).m_as("m")
    wanted = {}
    for point in record.attenuation:
        seen = record.sources[point.source].seen
        label = f"{name}, {point.status}{'' if seen else ', from memory'}"
        place = (point.frequency.m_as("MHz"), point.loss.m_as("dB/m") * metres)
        wanted.setdefault((label, MARKERS[point.status], "full" if seen else "none"), []).append(place)
    found = {
        (line.label, line.marker, "none" if line.hollow else "full"): np.transpose([line.x, line.y])
        for line in figure_points(drawn([name], length))
    }
    assert found.keys() == wanted.keys()
    for key, places in found.items():
        assert np.array(sorted(map(tuple, places))) == pytest.approx(np.array(sorted(wanted[key])), rel=1e-12)


def figure_points(figure):
    return [line for line in curves(figure).values() if line.marker in MARKERS.values()]


def test_points_that_the_model_does_not_follow_are_crossed():
    (crossed,) = [line for line in curves(drawn(["series-6-clad"])).values() if line.marker == "x"]
    assert crossed.x == [5.0]


def test_points_not_crossed_lie_on_their_curve_or_under_their_maximum():
    """Typical points within 5 %, maxima not exceeded by more than 2 %: the catalogue's promise, as drawn."""
    for name in wb.cables():
        found = curves(drawn([name]))
        curve = found[f"{name}, matched"]
        crossed = [x for label, line in found.items() if "not followed" in label for x in line.x]
        for label, line in found.items():
            if line.marker not in ("v", "o"):
                continue
            x, y = (
                np.array([v for v, f in zip(row, line.x, strict=True) if f not in crossed]) for row in (line.x, line.y)
            )
            on_curve = np.exp(np.interp(np.log(x), np.log(curve.x), np.log(curve.y)))
            ratio = (on_curve / y)[(x >= 0.5) & (x <= 1000)]
            assert np.all(ratio < (1.02 if line.marker == "v" else 1.051)), label


def test_curves_are_the_losses_and_the_thin_one_has_the_load():
    name = "series-6-clad"
    found = curves(drawn([name], "250 ft", "300 ohm"))
    thick, thin = found[f"{name}, matched"], found[f"{name}, with the load"]
    frequency = wb.Quantity(thick.x, "MHz")
    matched = (wb.cable(name).attenuation(frequency) * wb.quantity("250 ft")).m_as("dB")
    assert thick.y == pytest.approx(matched, rel=1e-12)
    assert thin.y == pytest.approx(wb.total_loss(wb.cable(name), "250 ft", frequency, "300 ohm").m_as("dB"))
    assert thin.width < thick.width
    assert thin.colour == thick.colour
    assert (thick.x[0], thick.x[-1]) == pytest.approx((0.5, 1000))


def test_the_band_of_claddings_holds_the_curve():
    figure = drawn(["series-6-clad"])
    curve = curves(figure)["series-6-clad, matched"]
    (band,) = items(figure, Fill).values()
    for x, y in zip(curve.x[::10], curve.y[::10], strict=True):
        near = np.argsort(np.abs(np.log(band.x / x)))[:2]
        # forty points of the range against 120 of the curve: a step of a fifth in frequency
        assert band.low[near].min() / 1.03 <= y <= band.high[near].max() * 1.03
    assert not items(drawn(["series-6-copper"]), Fill)


def test_cables_differ_in_colour_and_in_dashes_and_are_named():
    figure = drawn(SIX)
    found = [curves(figure)[f"{name}, matched"] for name in SIX]
    for one, other in itertools.combinations(found, 2):
        assert one.colour != other.colour
        assert one.dashes != other.dashes
    said = [item.label for item in figure.legend]
    assert said[:6] == list(SIX)
    for word in ("standard maximum", "typical", "measured", "hollow: from memory", "shade: claddings"):
        assert word in said


def test_the_axes_say_their_units_and_hold_all_that_is_drawn():
    figure = drawn(["series-6-clad", "trunk-500"], "300 m", "5 ohm")
    (plot,) = figure.plots
    assert (plot.x.label, plot.y.label) == ("frequency (MHz)", "loss (dB)")
    assert plot.x.log
    assert plot.y.log
    for line in curves(figure).values():
        assert plot.y.low <= np.min(line.y)
        assert np.max(line.y) <= plot.y.high


def test_the_band_of_interest_is_marked_from_edge_to_edge():
    figure = drawn(["series-6-copper"], band="20 m")
    edges = [item.at for item in figure.plots[0].items if isinstance(item, Rule)]
    assert edges == pytest.approx([14.0, 14.35])
    span = items(figure, Span)["band of interest"]
    assert [span.low, span.high] == edges


def test_a_lossless_line_can_still_be_drawn():
    comparison = compare_losses([wb.ideal_cable("75 ohm", 0.66)], "30 m", "75 ohm")
    assert root_rule_errors(comparison) == ()
    assert loss_curves(comparison).svg()
