"""External noise levels, stages and cascades."""

import numpy as np
import pytest

import workbook as wb


def test_external_noise_broadcasts_and_a_scalar_gives_a_scalar():
    levels = wb.external_noise(wb.Quantity(np.array([[1.8], [3.5]]), "MHz"), "rural")
    assert levels.shape == (2, 1)
    assert isinstance(wb.external_noise("1.8 MHz", "rural").m_as("dB"), float)


@pytest.mark.parametrize("edge", ["0.3 MHz", "250 MHz"])
def test_external_noise_holds_up_to_the_ends_of_the_recommendation(edge):
    assert np.isfinite(wb.external_noise(edge, "city").m_as("dB"))


def test_quieter_environments_have_less_noise():
    frequency = wb.Quantity(np.geomspace(0.3, 250, 50), "MHz")
    levels = [wb.external_noise(frequency, each).m_as("dB") for each in ("city", "residential", "rural", "quiet rural")]
    assert np.all(np.diff(levels, axis=0) < 0)


def test_galactic_noise_only_comes_through_above_the_critical_frequency():
    levels = wb.galactic_noise(wb.Quantity(np.array([5.0, 10.0]), "MHz"), "8 MHz").m_as("dB")
    assert levels[0] == -np.inf
    assert levels[1] == pytest.approx(29.0)
    assert wb.combined_noise(["40 dB", wb.galactic_noise("5 MHz", "8 MHz")]).m_as("dB") == pytest.approx(40)


def test_combined_noise_adds_powers():
    assert wb.combined_noise(["40 dB", "40 dB", "43.0103 dB"]).m_as("dB") == pytest.approx(46.0206, abs=1e-4)


def test_a_matched_line_is_a_stage_of_its_loss():
    cable = wb.cable("series-11-clad")
    stage = wb.line_stage(cable, "300 m", "1.83 MHz")
    loss = cable.attenuation("1.83 MHz").m_as("dB/m") * 300
    assert stage.gain.m_as("dB") == pytest.approx(-loss)
    assert stage.noise_figure.m_as("dB") == pytest.approx(loss)


def test_a_cold_line_adds_less_noise():
    warm, cold = (wb.cascade([wb.passive_stage("line", "3 dB", t)])[1] for t in ("290 K", "145 K"))
    assert 10 ** (warm.m_as("dB") / 10) - 1 == pytest.approx(2 * (10 ** (cold.m_as("dB") / 10) - 1))


def test_cascade_of_one_stage_is_that_stage():
    gain, figure = wb.cascade([wb.Stage("amplifier", "12 dB", "4 dB")])
    assert gain.m_as("dB") == pytest.approx(12)
    assert figure.m_as("dB") == pytest.approx(4)


def test_cascade_broadcasts():
    gain, figure = wb.cascade([wb.Stage("a", wb.Quantity([0.0, 10.0], "dB"), "3 dB"), wb.Stage("b", "0 dB", "10 dB")])
    assert gain.shape == figure.shape == (2,)
    assert figure[0] > figure[1]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.external_noise("1.8 MHz", "quiet"), ("environment", "quiet rural")),
        (lambda: wb.external_noise("0.2 MHz", "city"), ("frequency", "0.3 to 250 MHz")),
        (lambda: wb.external_noise("300 MHz", "city"), ("frequency", "0.3 to 250 MHz")),
        (lambda: wb.external_noise(1.8e6, "city"), ("frequency",)),
        (lambda: wb.Stage("a", "0 dB", "-1 dB"), ("noise_figure", "negative")),
        (lambda: wb.Stage("a", "0 dB", "1 dB", "0 K"), ("temperature",)),
        (lambda: wb.Stage("a", 3, "1 dB"), ("gain",)),
        (lambda: wb.Stage(3, "0 dB", "1 dB"), ("name",)),
        (lambda: wb.cascade([]), ("stages", "empty")),
        (lambda: wb.cascade(wb.Stage("a", "0 dB", "1 dB")), ("stages",)),
        (lambda: wb.cascade(["a"]), ("stages", "Stage")),
        (lambda: wb.passive_stage("pad", "-3 dB"), ("loss",)),
        (lambda: wb.combined_noise([]), ("levels",)),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
