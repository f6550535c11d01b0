"""Tolerances against published uncertainty examples, random-error theory of arrays, and another library.

JCGM 101:2008, "Propagation of distributions using a Monte Carlo method": the examples' figures for the additive model
with normal and rectangular inputs of equal spread as quoted by the tests of an uncertainty calculator of a national
laboratory; the other figures are cited from memory.
"""

import numpy as np
import pytest
import uncertainties

import workbook as wb
from workbook.formulas import chance
from workbook.tolerance.figures import noise_power, power
from workbook.tolerance.lobes import steering
from workbook.tolerance.run import checked_model

JCGM = "JCGM 101:2008"
TRIALS = 2_000_000


def ends(values, coverage=0.95):
    return chance.order_statistics(values, chance.coverage_ranks(len(values), coverage))


def inputs(draw, count):
    return [draw(chance.stream(20, source, 0), (TRIALS,)) for source in range(count)]


# --- JCGM 101 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("draw", "end", "clause"),
    [(chance.normal, "3.92", "9.2.2, table 2"), (chance.uniform, "3.88", "9.2.3, table 3")],
    ids=["normal", "rectangular"],
)
def test_sum_of_four_equal_inputs(assert_printed, draw, end, clause):
    total = sum(inputs(draw, 4))
    source = f"{JCGM}, {clause}"
    assert_printed(total.mean(), "0.0", source=source)
    assert_printed(total.std(), "2.0", source=source)
    low, high = ends(total)
    # both ends estimate the same figure, of the opposite sign
    assert_printed((high - low) / 2, end, source=source)


def test_sum_with_one_rectangular_input_ten_times_wider(assert_printed):
    one, *others = inputs(chance.uniform, 4)
    total = 10 * one + sum(others)
    source = f"{JCGM}, 9.2.4, from memory"
    assert_printed(total.std(), "10.1", source=source)
    low, high = ends(total)
    assert_printed((high - low) / 2, "17.0", source=source)


def test_mass_calibration(assert_printed):
    """Digits that the guide's own numerical tolerance supports (0.005 mg)."""
    normal = [chance.normal(chance.stream(20, source, 0), (TRIALS,)) for source in range(2)]
    reference, small = 100_000 + 0.05 * normal[0], 1.234 + 0.02 * normal[1]
    flat = [chance.uniform(chance.stream(20, source, 0), (TRIALS,)) / np.sqrt(3) for source in range(2, 5)]
    air, weight, standard = 1.2 + 0.1 * flat[0], 8000 + 1000 * flat[1], 8000 + 50 * flat[2]
    mass = (reference + small) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000
    source = f"{JCGM}, 9.3, from memory"
    assert_printed(mass.mean(), "1.23", source=source)
    assert_printed(mass.std(), "0.075", source=source)
    # sensitivities are left out in the first-order answer, 0.054: most of the spread comes from products of errors
    assert mass.std() > 1.3 * 0.0539


@pytest.mark.parametrize(("x", "mean", "deviation"), [(0.0, "50", "50"), (0.010, "150", "112")])
def test_comparison_loss(assert_printed, x, mean, deviation):
    """Near zero the first-order answer is a deviation of nothing; trials give the right one."""
    one, other = inputs(chance.normal, 2)
    loss = ((x + 0.005 * one) ** 2 + (0.005 * other) ** 2) * 1e6
    source = f"{JCGM}, 9.4, in 1e-6, from memory"
    assert_printed(loss.mean(), mean, source=source)
    assert_printed(loss.std(), deviation, source=source)


# --- another library on the same linear problem -----------------------------------------------------------


def test_phase_of_a_channel_agrees_with_another_uncertainty_library():
    """Velocity factor, cut length and connectors of one line, propagated by the library's derivatives."""
    c, hertz, tau, v = 299_792_458.0, 1.83e6, 121.627e-9, 0.83
    true = uncertainties.ufloat(v, 0.004 * v)
    length = uncertainties.ufloat(tau * v * c, 0.01)
    connectors = uncertainties.ufloat(0, 0.2e-9)
    lag = 360 * hertz * (length / (true * c) + connectors)
    firing = wb.Firing(wb.row(2, "42 m", "0 deg"), [1, 1], "1.83 MHz", "0 deg", "20 deg", wb.PERFECT_GROUND)
    kinds = [
        wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.004),
        wb.Tolerance("cut length", "uniform", standard_uncertainty="1 cm"),
        wb.Tolerance("connector delay", "triangular", standard_uncertainty="0.2 ns"),
    ]
    model = checked_model(firing, kinds, np.array([tau, 0.0]) * wb.Quantity(1, "s"), v, ())
    late = [np.degrees(-np.angle(model.built(3, block).weights[0])) for block in range(100)]
    assert np.std(late) == pytest.approx(lag.std_dev, rel=0.005)
    parts = {kind.what: [] for kind in kinds}
    for number, kind in enumerate(kinds):
        alone = checked_model(firing, [kind], np.array([tau, 0.0]) * wb.Quantity(1, "s"), v, ())
        parts[kind.what] = np.std([np.angle(alone.built(3 + number, block).weights[0]) for block in range(50)]) ** 2
    shares = chance.variance_shares(list(parts.values()))
    theirs = [component**2 for component in (lag.error_components()[x] for x in (true, length, connectors))]
    np.testing.assert_allclose(shares, np.array(theirs) / sum(theirs), atol=0.005)


# --- random errors of arrays ------------------------------------------------------------------------------
# Theory of random errors after J. Ruze and as in R. C. Hansen, "Phased Array Antennas", cited from memory.


def built(layout, blocks=20, **spreads):
    """Return a model with phases [deg] and amplitudes that err at random, and its arrays."""
    names = {"phase": "deg", "amplitude": None}
    kinds = [
        wb.Tolerance(what, "normal", standard_uncertainty=wb.Quantity(value, names[what]) if names[what] else value)
        for what, value in spreads.items()
    ]
    weights = wb.aligned_weights(layout, "1.83 MHz", "0 deg", "0 deg")
    firing = wb.Firing(layout, weights, "1.83 MHz", "0 deg", "0 deg", wb.PERFECT_GROUND)
    model = checked_model(firing, kinds, None, None, ())
    return model, [model.built(5, block) for block in range(blocks)]


def test_main_lobe_falls_by_the_phase_variance(assert_printed):
    """10 degrees rms in phase and 10 % in amplitude cost 3 % of the main lobe's power."""
    model, arrays = built(wb.row(24, "20 m", "90 deg"), phase=10.0, amplitude=0.1)
    toward = steering(model, arrays[0], *model.across)
    mean = np.mean([(each.weights * toward).sum(axis=0).mean() for each in arrays])
    lost = 1 - np.abs(mean) ** 2 / 24**2
    assert_printed(100 * lost, "3", source="NASA Langley 1976, after Ruze and Rondinelli")
    assert lost == pytest.approx(1 - np.exp(-(np.radians(10) ** 2)), rel=0.02)


def test_mean_side_lobe_level_is_the_variance_over_the_number_of_elements():
    """Toward a null all that is received is errors: sum |w|^2 (1 + sa^2 - exp(-sp^2)), about sigma^2/N of the front."""
    layout = wb.ring(8, "42 m", "0 deg")
    spreads = {"phase": 5.0, "amplitude": 10 ** (0.3 / 20) - 1}
    model, arrays = built(layout, **spreads)
    toward = steering(model, arrays[0], *model.across)
    # what adds up coherently, such as to nothing in a null, is the nominal pattern times exp(-sp^2/2)
    coherent = np.exp(-(np.radians(5.0) ** 2) / 2) * model.weights[:, None]
    off = [power((each.weights - coherent) * toward) / 64 for each in arrays]
    variance = np.radians(5.0) ** 2 + spreads["amplitude"] ** 2
    level = 10 * np.log10(np.mean(off))
    assert level == pytest.approx(10 * np.log10(variance / 8), abs=0.05)
    assert level == pytest.approx(-29.6, abs=0.05)


def test_noise_grows_by_the_errors_of_each_element_alone():
    """E[w^H B w] = exp(-sp^2) w^H B w + (1 + sa^2 - exp(-sp^2)) B(0) sum |w|^2."""
    model, arrays = built(wb.ring(8, "42 m", "0 deg"), phase=10.0, amplitude=0.1)
    kept = np.exp(-(np.radians(10.0) ** 2))
    expected = kept * noise_power(model, model.perfect())[0] + (1.01 - kept) * model.noise[0, 0] * 8
    assert np.mean([noise_power(model, each) for each in arrays]) == pytest.approx(expected, rel=0.002)


# --- null depth in closed form ----------------------------------------------------------------------------

PAIR = (
    # amplitude error, phase error, null re one element, null re the sum of both
    ("0.1 dB", "1 deg", -33.5, -39.6),
    ("0 dB", "1 deg", -35.16, -41.18),
    ("0.5 dB", "3 deg", -21.9, -28.2),
    ("1 dB", "5 deg", -16.3, -22.8),
)


@pytest.mark.parametrize(("level", "phase", "re_one", "re_sum"), PAIR, ids=[f"{row[0]}, {row[1]}" for row in PAIR])
def test_null_of_a_pair_fills_by_amplitude_and_phase_error(level, phase, re_one, re_sum):
    """A quarter-wave pair: 1 + g e^{j p} to the front, 1 - g e^{j p} to the back, whose level follows by hand."""
    metres = 299_792_458 / 1.83e6 / 4
    layout = wb.row(2, wb.Quantity(metres, "m"), "0 deg")
    firing = wb.Firing(layout, [-1j, 1], "1.83 MHz", "0 deg", "0 deg", wb.FREE_SPACE)
    report = wb.fault_report(firing, [wb.faults.ChannelError(phase, level, (0,))])
    back = np.abs(wb.array_response(report.after, "180 deg", "0 deg"))
    front = np.abs(wb.array_response(report.after, "0 deg", "0 deg"))
    # derived by hand: half a unit of the digits shown
    digits = 0.005 if level == "0 dB" else 0.05
    assert 20 * np.log10(back) == pytest.approx(re_one, abs=digits)
    assert 20 * np.log10(back / front) == pytest.approx(re_sum, abs=digits)
    g, p = 10 ** (wb.quantity(level).m_as("dB") / 20), wb.quantity(phase).m_as("radian")
    closed = np.abs(1 + g * np.exp(-1j * p)) / np.abs(1 - g * np.exp(-1j * p))
    assert report.front_to_back[1].m_as("dB") == pytest.approx(20 * np.log10(closed), abs=1e-9)


def test_mean_leak_into_a_null_is_the_sum_of_the_variances():
    """Both elements err alone: E|w0 - w1|^2 = 2 (1 + sa^2 - exp(-sp^2)) beside one element's power."""
    metres = 299_792_458 / 1.83e6 / 4
    layout = wb.row(2, wb.Quantity(metres, "m"), "0 deg")
    firing = wb.Firing(layout, [-1j, 1], "1.83 MHz", "0 deg", "0 deg", wb.FREE_SPACE)
    kinds = [
        wb.Tolerance("phase", "normal", standard_uncertainty="2 deg"),
        wb.Tolerance("amplitude", "uniform", standard_uncertainty=0.02),
    ]
    result = wb.run_tolerance(firing, kinds, 100_000, 4, figures=("null_depth",))
    leak = np.mean(10 ** (-result.trials("null_depth") / 10))
    expected = 2 * (1 + 0.02**2 - np.exp(-(np.radians(2) ** 2))) / 4
    assert leak == pytest.approx(expected, rel=0.02)
