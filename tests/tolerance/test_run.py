"""Runs of trials: what an error does, reproducibility, workers, progress, refusals."""

import pickle
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context

import distributed
import numpy as np
import pytest

import workbook as wb
from workbook.tolerance.figures import Block, noise_power
from workbook.tolerance.lobes import steering
from workbook.tolerance.model import BLOCK
from workbook.tolerance.run import checked_model, run_trials

FIGURES = ("rdf", "front_to_back", "front_to_rear", "null_depth", "pointing")
OMEGA = 2 * np.pi * 1.83e6


def built(case, *tolerances, same_line=(), block=0):
    model = checked_model(case.firing, tolerances, case.delays, case.velocity_factor, same_line)
    return model, model.built(1, block)


def lags(case, *tolerances, **more):
    """Return how much later each channel is than it should be [rad] (N, T)."""
    _, arrays = built(case, *tolerances, **more)
    return -np.angle(arrays.weights / case.firing.weights[:, None])


# --- what an error does -----------------------------------------------------------------------------------


def test_reel_velocity_factor_is_one_draw_for_all_lines(ring):
    late = lags(ring, wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.01, shared="reel"))
    delays = ring.delays.m_as("s")
    assert np.all(late[delays == 0] == 0)
    e = 1 / (1 + late[delays > 0] / (OMEGA * delays[delays > 0, None])) - 1
    np.testing.assert_allclose(e, np.broadcast_to(e[0], e.shape), atol=1e-12)
    assert e[0].std() == pytest.approx(0.01, rel=0.05)


def test_each_line_has_its_own_velocity_factor(ring):
    late = lags(ring, wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.01))
    assert np.max(np.abs(np.corrcoef(late[ring.delays.m_as("s") > 0]) - np.eye(6))) < 0.1


def test_one_error_reproduces_phase_error(ring):
    """What the engine adds to a channel is what `wb.phase_error` says of its line."""
    late = lags(ring, wb.Tolerance("velocity factor", "uniform", half_width=0.02, shared="all"))
    delay = ring.delays[0]
    length = wb.delay_length(delay, 0.83)
    for trial in range(0, BLOCK, 97):
        true = 0.83 / (1 + late[0, trial] / (OMEGA * delay.m_as("s")))
        error = wb.phase_error(length, "1.83 MHz", 0.83, true).m_as("radian")
        assert error == pytest.approx(late[0, trial], abs=1e-12)


def test_cut_length_and_connectors_add_to_the_lag_of_lines_alone(ring):
    length = lags(ring, wb.Tolerance("cut length", "uniform", half_width="10 cm"))
    assert np.all(length[4:6] == 0)
    most = OMEGA * 0.1 / (0.83 * 299_792_458)
    assert 0.99 * most < np.abs(length).max() <= most
    delay = lags(ring, wb.Tolerance("connector delay", "normal", standard_uncertainty="1 ns"))
    assert np.all(delay[4:6] == 0)
    assert delay[0].std() == pytest.approx(OMEGA * 1e-9, rel=0.05)


def test_elements_on_one_line_share_its_error(ring):
    late = lags(ring, wb.Tolerance("cut length", "uniform", half_width="1 cm"), same_line=((0, 1), (2, 7)))
    np.testing.assert_array_equal(late[0], late[1])
    np.testing.assert_allclose(late[2], late[7], atol=1e-15)
    assert np.abs(np.corrcoef(late[0], late[2])[0, 1]) < 0.1


def test_same_kind_twice_draws_apart_and_adds_its_variance(ring):
    one = wb.Tolerance("phase", "normal", standard_uncertainty="3 deg")
    two = lags(ring, one, wb.Tolerance("phase", "normal", standard_uncertainty="4 deg"))
    assert np.degrees(two.std()) == pytest.approx(5, rel=0.03)
    once = lags(ring, one)
    assert np.corrcoef(once[0], (two - once)[0])[0, 1] == pytest.approx(0, abs=0.08)


def test_positions_err_east_and_north_apart(ring):
    _, arrays = built(ring, wb.Tolerance("position", "uniform", half_width="30 cm"))
    east, north = arrays.moved
    assert np.abs(arrays.moved).max() <= 0.3
    assert east.std() == pytest.approx(0.3 / 3**0.5, rel=0.02)
    assert abs(np.corrcoef(east.ravel(), north.ravel())[0, 1]) < 0.03


def test_shared_position_error_moves_the_whole_array_and_changes_no_figure(ring):
    shift = wb.Tolerance("position", "normal", standard_uncertainty="50 cm", shared="all")
    result = wb.run_tolerance(ring.firing, [shift], 500, 1, figures=FIGURES[:4])
    for figure in FIGURES[:4]:
        np.testing.assert_allclose(result.trials(figure), result.nominal(figure), atol=2e-5)


def test_amplitude_error_multiplies_the_weight(ring):
    _, arrays = built(ring, wb.Tolerance("amplitude", "triangular", half_width=0.1))
    ratio = arrays.weights / ring.firing.weights[:, None]
    assert np.abs(ratio.imag).max() < 1e-12
    assert 0.9 < ratio.real.min() < 0.92
    assert 1.08 < ratio.real.max() < 1.1


def test_element_that_is_off_stays_off(ring):
    weights = ring.firing.weights.copy()
    weights[3] = 0
    firing = wb.Firing(ring.firing.layout, weights, "1.83 MHz", "22.5 deg", "20 deg", ring.firing.ground)
    model = checked_model(firing, [wb.Tolerance("amplitude", "normal", standard_uncertainty=0.1)], None, None, ())
    assert np.all(model.built(1, 0).weights[3] == 0)


# --- figures ----------------------------------------------------------------------------------------------


def test_figures_of_a_trial_are_those_of_that_array(ring, every_kind):
    model, arrays = built(ring, *every_kind)
    result = wb.run_tolerance(ring.firing, every_kind, 40, 1, **ring.lines, figures=FIGURES)
    for trial in range(40):
        layout = wb.layout_from(wb.Quantity(model.metres + arrays.moved[:, :, trial].T, "m"))
        weights = arrays.weights[:, trial]
        firing = wb.Firing(layout, weights, "1.83 MHz", "22.5 deg", "20 deg", ring.firing.ground)
        assert result.trials("rdf")[trial] == pytest.approx(wb.rdf(firing).m_as("dB"), abs=2e-6)
        assert result.trials("front_to_back")[trial] == pytest.approx(wb.front_to_back(firing).m_as("dB"), abs=2e-6)
        turns = np.arange(0, 360, 0.5)
        cut = np.abs(wb.array_response(firing, wb.Quantity(22.5 + turns, "deg"), "20 deg")) ** 2
        near = np.where((turns <= 90) | (turns >= 270), cut, 0)
        peak = (turns[near.argmax()] + 180) % 360 - 180
        assert result.trials("pointing")[trial] == pytest.approx(peak, abs=0.26)
        azimuth = wb.Quantity(np.arange(112.5, 293, 1.0), "deg")
        sky = wb.array_response(firing, azimuth, wb.Quantity(np.arange(0, 91, 1.0), "deg")[:, None])
        worst = 10 * np.log10(np.abs(wb.array_response(firing, "22.5 deg", "20 deg")) ** 2 / np.abs(sky).max() ** 2)
        assert result.trials("front_to_rear")[trial] == pytest.approx(worst, abs=2e-3)
        assert result.trials("front_to_rear")[trial] < worst + 1e-4


def test_rdf_is_that_of_brute_force_on_the_same_trials(ring, every_kind):
    """Gauss-Legendre 64 x 256 directions a trial, against the form with a series for each pair: to a millionth."""
    model, arrays = built(ring, *every_kind)
    node, share = np.polynomial.legendre.leggauss(64)
    elevation, share = np.pi / 4 * (node + 1), np.pi / 4 * share
    azimuth = np.arange(256) * 2 * np.pi / 256
    element = np.abs(ring.firing.ground.element(1.83e6, elevation)) ** 2
    ours = noise_power(model, arrays)
    for trial in range(0, BLOCK, 128):
        x, y = model.metres.T + arrays.moved[:, :, trial]
        across = model.wave_number * np.cos(elevation)[:, None, None]
        turned = np.sin(azimuth)[:, None] * x + np.cos(azimuth)[:, None] * y
        power = np.abs(np.exp(1j * across * turned) @ arrays.weights[:, trial]) ** 2
        brute = float((share * element * np.cos(elevation)) @ power.mean(axis=1)) / 2
        assert ours[trial] == pytest.approx(brute, rel=1e-6)


def test_series_for_pairs_states_an_error_that_holds(ring, every_kind):
    result = wb.run_tolerance(ring.firing, every_kind, 10, 1, **ring.lines)
    assert 0 < result.rdf_error < 1e-6
    wide = [wb.Tolerance("position", "normal", standard_uncertainty="8 m")]
    model, arrays = built(ring, *wide)
    assert model.series.error < 1e-8
    own = noise_power(model, arrays)
    for trial in range(0, 400, 40):
        moved = wb.Quantity(model.metres + arrays.moved[:, :, trial].T, "m")
        firing = wb.Firing(
            wb.layout_from(moved), arrays.weights[:, trial], "1.83 MHz", "0 deg", "20 deg", wb.Ground(13, "5 mS/m")
        )
        exact = np.real(arrays.weights[:, trial].conj() @ firing.arrival.noise_matrix @ arrays.weights[:, trial])
        assert own[trial] == pytest.approx(exact, rel=1e-6)


def test_series_covers_equal_and_very_large_distances():
    layout = wb.row(3, "900 m", "0 deg")
    firing = wb.Firing(layout, [1, 1, 1], "1.83 MHz", "0 deg", "20 deg", wb.FREE_SPACE)
    result = wb.run_tolerance(firing, [wb.Tolerance("position", "uniform", half_width="5 m")], 100, 1)
    assert result.rdf_error < 1e-6
    assert np.ptp(result.trials("rdf")) > 0


def test_sum_toward_the_front_uses_moved_positions(ring):
    model, arrays = built(ring, wb.Tolerance("position", "normal", standard_uncertainty="1 m"))
    phases = np.angle(steering(model, arrays, *model.across) / Block(model, model.perfect()).toward)
    expected = np.tensordot(model.across, arrays.moved, axes=1)
    np.testing.assert_allclose(phases, expected, atol=1e-12)


def test_one_tolerance_alone_reproduces_the_closed_form(cardioid):
    """A quarter-wave pair with phase errors apart: front-to-back is cot^2 of half their difference."""
    phase = wb.Tolerance("phase", "uniform", half_width="5 deg")
    late = lags(cardioid, phase)
    result = wb.run_tolerance(cardioid.firing, [phase], BLOCK, 1)
    expected = -20 * np.log10(np.abs(np.tan((late[0] - late[1]) / 2)))
    np.testing.assert_allclose(result.trials("front_to_back"), expected, atol=1e-4)


def test_figures_go_with_the_array_in_wavelengths_and_not_with_its_size():
    """Positions and spread halved at twice the frequency, weights tripled: the same figures."""
    near, far = (
        wb.run_tolerance(
            wb.Firing(
                wb.ring(5, wb.Quantity(40 / factor, "m"), "10 deg"),
                (2 * factor - 1) * np.exp(-1j * np.arange(5)),
                wb.Quantity(1.83 * factor, "MHz"),
                "30 deg",
                "25 deg",
                wb.PERFECT_GROUND,
            ),
            [wb.Tolerance("position", "uniform", half_width=wb.Quantity(1 / factor, "m"))],
            500,
            1,
            figures=FIGURES,
        )
        for factor in (1, 2)
    )
    np.testing.assert_allclose(near.values, far.values, rtol=2e-5, atol=2e-4)


def test_single_element_points_everywhere_alike():
    firing = wb.Firing(wb.layout_from(wb.Quantity([[3.0, 4.0]], "m")), [1], "7 MHz", "30 deg", "20 deg", wb.FREE_SPACE)
    kinds = [
        wb.Tolerance("position", "normal", standard_uncertainty="1 m"),
        wb.Tolerance("phase", "normal", standard_uncertainty="5 deg"),
        wb.Tolerance("amplitude", "normal", standard_uncertainty=0.1),
    ]
    result = wb.run_tolerance(firing, kinds, 300, 1, figures=FIGURES)
    np.testing.assert_allclose(result.values, 0, atol=1e-6)


def test_figures_turn_with_the_array():
    weights = np.exp(-1j * np.arange(4))
    kinds = [wb.Tolerance("phase", "normal", standard_uncertainty="3 deg")]
    north, east = (
        wb.run_tolerance(
            wb.Firing(wb.ring(4, "30 m", turn), weights, "1.83 MHz", turn, "20 deg", wb.Ground(13, "5 mS/m")),
            kinds,
            500,
            1,
            figures=FIGURES,
        )
        for turn in ("0 deg", "70 deg")
    )
    np.testing.assert_allclose(north.values, east.values, rtol=2e-5, atol=2e-4)


# --- the same answer however it is run --------------------------------------------------------------------


def test_same_seed_gives_the_same_answer_and_another_one_not(ring, every_kind):
    one, again, other = (wb.run_tolerance(ring.firing, every_kind, 3000, seed, **ring.lines) for seed in (7, 7, 8))
    np.testing.assert_array_equal(one.values, again.values)
    assert not np.any(one.values == other.values)


def test_first_trials_of_a_longer_run_are_a_shorter_run(ring, every_kind):
    long = wb.run_tolerance(ring.firing, every_kind, 5000, 1, **ring.lines, figures=FIGURES)
    for count in (1, 777, BLOCK, BLOCK + 1):
        short = wb.run_tolerance(ring.firing, every_kind, count, 1, **ring.lines, figures=FIGURES)
        np.testing.assert_array_equal(short.values, long.values[:, :count])


def test_figures_do_not_change_each_other(ring, every_kind):
    both = wb.run_tolerance(ring.firing, every_kind, 500, 1, **ring.lines, figures=("rdf", "null_depth"))
    alone = wb.run_tolerance(ring.firing, every_kind, 500, 1, **ring.lines, figures="null_depth")
    np.testing.assert_array_equal(both.trials("null_depth"), alone.trials("null_depth"))


@pytest.mark.parametrize("task", [1, 2, 3, 50])
def test_size_of_tasks_does_not_matter(ring, every_kind, task):
    model = checked_model(ring.firing, every_kind, ring.delays, 0.83, ())
    one, other = (run_trials(model, ("rdf",), 5 * BLOCK, 1, task=size) for size in (8, task))
    np.testing.assert_array_equal(one, other)


def test_threads_and_processes_give_the_same_answer(ring, every_kind):
    here = wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines)
    with ThreadPoolExecutor(2) as threads:
        there = wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines, executor=threads)
    np.testing.assert_array_equal(here.values, there.values)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as processes:
        elsewhere = wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines, executor=processes)
    np.testing.assert_array_equal(here.values, elsewhere.values)


def test_cluster_of_another_library_gives_the_same_answer(ring, every_kind):
    here = wb.run_tolerance(ring.firing, every_kind, 20_000, 1, **ring.lines)
    with (
        distributed.LocalCluster(n_workers=1, processes=True, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        there = wb.run_tolerance(ring.firing, every_kind, 20_000, 1, **ring.lines, executor=client.get_executor())
    np.testing.assert_array_equal(here.values, there.values)


def test_what_a_worker_receives_is_small_and_survives_pickling(ring, every_kind):
    model = checked_model(ring.firing, every_kind, ring.delays, 0.83, ())
    packed = pickle.dumps(model)
    assert len(packed) < 20_000
    np.testing.assert_array_equal(pickle.loads(packed).built(1, 3).weights, model.built(1, 3).weights)


def test_firing_and_tolerance_survive_pickling(ring, every_kind):
    firing, kinds = pickle.loads(pickle.dumps((ring.firing, every_kind)))
    assert not firing.weights.flags.writeable
    assert not firing.layout.metres.flags.writeable
    assert wb.rdf(firing) == wb.rdf(ring.firing)
    assert firing.frequency + wb.Quantity(1, "Hz") == ring.firing.frequency + wb.Quantity(1, "Hz")
    assert kinds == every_kind
    one, other = (wb.run_tolerance(f, k, 100, 1, **ring.lines) for f, k in ((firing, kinds), (ring.firing, every_kind)))
    np.testing.assert_array_equal(one.values, other.values)


# --- progress and stopping --------------------------------------------------------------------------------


def test_progress_counts_up_with_the_time_that_remains(ring, every_kind):
    seen = []
    wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines, progress=seen.append)
    assert [each.done for each in seen] == [16_384, 32_768, 40_000]
    assert all(each.total == 40_000 for each in seen)
    assert seen[-1].remaining == 0
    assert seen[0].remaining == pytest.approx(seen[0].elapsed * (40_000 - 16_384) / 16_384)
    assert str(seen[-1]) == "40,000 of 40,000 trials, about 0 s left"


def test_stopped_run_keeps_the_trials_that_are_done(ring, every_kind):
    whole = wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines)
    stopped = wb.run_tolerance(ring.firing, every_kind, 40_000, 1, **ring.lines, progress=lambda now: now.done < 20_000)
    assert stopped.stopped
    assert not whole.stopped
    assert stopped.count == 32_768
    np.testing.assert_array_equal(stopped.values, whole.values[:, :32_768])
    assert "32,768 trials of 40,000, stopped early" in repr(stopped)


class Recording(Executor):
    """Runs what is submitted when its result is asked for, so that what was cancelled can be counted."""

    def __init__(self):
        self.futures = []

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        if len(self.futures) < 1:
            future.set_result(fn(*args))
        self.futures.append(future)
        return future


def test_stopping_cancels_what_still_waits(ring, every_kind):
    executor = Recording()
    result = wb.run_tolerance(
        ring.firing, every_kind, 100_000, 1, **ring.lines, executor=executor, progress=lambda _: False
    )
    assert result.count == 16_384
    assert [future.cancelled() for future in executor.futures] == [False] + [True] * 6


def test_failing_worker_is_reported(ring, every_kind):
    class Broken(Executor):
        def submit(self, fn, /, *args, **kwargs):
            future = Future()
            future.set_exception(OSError("worker lost"))
            return future

    with pytest.raises(OSError, match="worker lost"):
        wb.run_tolerance(ring.firing, every_kind, 100, 1, **ring.lines, executor=Broken())


# --- refusals ---------------------------------------------------------------------------------------------

WIDE = wb.Tolerance("velocity factor", "uniform", half_width=0.3)
LENGTH = wb.Tolerance("cut length", "uniform", half_width="1 cm")
TAPE = wb.Tolerance("position", "uniform", half_width="1 cm")
REFUSED = {
    "no tolerance": ({"tolerances": []}, "tolerances", "at least one"),
    "other thing": ({"tolerances": ["1 cm"]}, "tolerances", "wb.Tolerance"),
    "velocity factor over 1": ({"tolerances": [WIDE]}, "velocity factor", "0.581 to 1.08", "narrower"),
    "velocity factor without lines": ({"tolerances": [WIDE], "delays": None}, "velocity factor", "delays"),
    "no line at all": ({"delays": wb.Quantity(np.zeros(8), "ns")}, "cut length", "no element has a delay line"),
    "length without velocity": ({"velocity_factor": None}, "cut length", "velocity_factor"),
    "delays of another count": ({"delays": wb.Quantity([1, 2], "ns")}, "delays", "2 came for 8"),
    "negative delay": ({"delays": wb.Quantity([-1] * 8, "ns")}, "delays", "negative"),
    "bare delays": ({"delays": [1.0] * 8}, "delays", "bare"),
    "velocity in per cent": ({"velocity_factor": 83}, "velocity_factor", "0.83"),
    "no trials": ({"trials": 0}, "trials", "whole number"),
    "half a trial": ({"trials": 1.5}, "trials", "whole number"),
    "negative seed": ({"seed": -1}, "seed", "whole number"),
    "unknown figure": ({"figures": ("rdf", "gain")}, "figures", "known are"),
    "no figure": ({"figures": ()}, "figures", "rdf"),
    "line named twice": ({"same_line": ((0, 1), (1, 2))}, "same_line", "twice"),
    "line of no element": ({"same_line": ((0, 8),)}, "same_line", "0 to 7"),
    "line of two delays": ({"same_line": ((0, 3),)}, "same_line", "different delays"),
    "one flat group": ({"same_line": (0, 1)}, "same_line", "tuples of indices"),
    "position spread of wavelengths": (
        {"tolerances": [wb.Tolerance("position", "normal", standard_uncertainty="40 m")]},
        "tolerances",
        "position spread",
    ),
    "progress that cannot be called": ({"progress": True}, "progress", "function"),
    "executor that cannot work": ({"executor": 4}, "executor", "concurrent.futures"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refuses_in_a_sentence(refused, ring, name):
    changed, *words = REFUSED[name]
    arguments = {"firing": ring.firing, "tolerances": [LENGTH, TAPE], "trials": 10, "seed": 1, **ring.lines} | changed
    refused(lambda: wb.run_tolerance(**arguments), *words)


def test_refuses_several_sets_of_weights(refused, ring):
    weights = np.stack([ring.firing.weights] * 2)
    firing = wb.Firing(ring.firing.layout, weights, "1.83 MHz", "0 deg", "20 deg", ring.firing.ground)
    refused(lambda: wb.run_tolerance(firing, [TAPE], 10, 1), "firing", "one set of weights")


def test_cable_gives_its_velocity_factor_at_the_frequency(ring):
    cable = wb.cable("series-6-copper")
    one, other = (
        wb.run_tolerance(ring.firing, [LENGTH], 100, 1, ring.delays, v)
        for v in (cable, cable.velocity_factor("1.83 MHz"))
    )
    np.testing.assert_array_equal(one.values, other.values)


def test_delays_may_be_texts_and_none_where_there_is_no_line(ring):
    texts = ["121.627 ns", "121.627 ns", "86.003 ns", "35.624 ns", None, None, "35.624 ns", "86.003 ns"]
    one, other = (wb.run_tolerance(ring.firing, [LENGTH], 100, 1, d, 0.83) for d in (texts, ring.delays))
    np.testing.assert_allclose(one.values, other.values, atol=1e-5)
