"""Noise margins: array and chain together."""

import numpy as np
import pytest

import workbook as wb

ELEMENT = wb.Stage("element", "-22 dB", "28 dB")
STAGES = [
    wb.passive_stage("hub", "4 dB"),
    wb.Stage("amplifier", "15 dB", "3 dB"),
    wb.passive_stage("receiver run", "6 dB"),
    wb.Stage("receiver", "0 dB", "12 dB"),
]


def fired(layout, weights, frequency="1.83 MHz"):
    return wb.Firing(layout, weights, frequency, "0 deg", "20 deg", wb.PERFECT_GROUND)


ONE = fired(wb.row(2, "20 m", "0 deg"), [1, 0])


def test_margin_of_one_element_is_that_of_a_plain_cascade():
    """Fa over what the whole cascade adds at its input: the array code plays no part."""
    found = wb.noise_margin(ONE, "46.1 dB", ELEMENT, STAGES)
    figure = wb.cascade([ELEMENT, *STAGES])[1].m_as("dB")
    assert found.margin.m_as("dB") == pytest.approx(46.1 - 10 * np.log10(10 ** (figure / 10) - 1), abs=1e-9)


def test_levels_of_one_element_at_the_receiver_s_input():
    found = wb.noise_margin(ONE, "46.1 dB", ELEMENT, STAGES)
    before = -22 - 4 + 15 - 6
    assert found.external.m_as("dB") == pytest.approx(46.1 + before)
    assert found.front_end.m_as("dB") == pytest.approx(10 * np.log10(10**2.8 - 1) + before)
    parts = {part.name: part.level.m_as("dB") for part in found.contributions}
    assert parts["receiver"] == pytest.approx(10 * np.log10(10**1.2 - 1))
    assert parts["hub"] == pytest.approx(10 * np.log10(10**0.4 - 1) - 4 + 15 - 6)
    total = wb.combined_noise([found.contributions[n].level for n in range(1, 5)])
    assert found.chain.m_as("dB") == pytest.approx(total.m_as("dB"))
    assert found.limit == "receiver"


@pytest.mark.parametrize("count", [2, 4, 8])
def test_elements_in_phase_on_a_tiny_ring(count):
    """External noise by 20 log N, noise of the elements by 10 log N, noise of the chain not at all."""
    ring = fired(wb.ring(count, "10 cm", "0 deg"), np.ones(count))
    many, one = (wb.noise_margin(each, "46.1 dB", ELEMENT, STAGES) for each in (ring, ONE))
    assert (many.external - one.external).m_as("dB") == pytest.approx(20 * np.log10(count), abs=1e-3)
    assert (many.front_end - one.front_end).m_as("dB") == pytest.approx(10 * np.log10(count), abs=1e-9)
    assert (many.chain - one.chain).m_as("dB") == pytest.approx(0, abs=1e-9)


def test_a_small_array_loses_margin():
    """A pair an eighth of a wave apart and fired endfire receives less noise from the sky, its own noise stays."""
    layout = wb.row(2, "20 m", "0 deg")
    pair = fired(layout, wb.endfire_weights(layout, "1.83 MHz", "0 deg", "20 deg", True))
    found, one = (wb.noise_margin(each, "46.1 dB", ELEMENT, STAGES) for each in (pair, ONE))
    assert (found.front_end - one.front_end).m_as("dB") == pytest.approx(10 * np.log10(2))
    assert (found.external - one.external).m_as("dB") == pytest.approx(wb.noise_gain(pair).m_as("dB"))
    assert found.margin < one.margin - wb.Quantity(2, "dB")


def test_leading_axes_of_the_weights_are_those_of_the_margins():
    layout = wb.row(2, "20 m", "0 deg")
    found = wb.noise_margin(fired(layout, np.ones((3, 2))), "46 dB", ELEMENT, STAGES)
    assert found.margin.shape == found.chain.shape == found.front_end.shape == (3,)
    assert all(part.level.shape == (3,) for part in found.contributions)


def test_a_loss_after_the_amplifier_costs_little_and_before_it_all():
    run, amplifier, receiver = STAGES[2], STAGES[1], STAGES[3]
    quiet = wb.Stage("element", "-40 dB", "40.1 dB")
    before = wb.noise_margin(ONE, "46 dB", quiet, [run, amplifier, receiver]).margin
    behind = wb.noise_margin(ONE, "46 dB", quiet, [amplifier, run, receiver]).margin
    assert behind > before


def test_least_margin_names_case_and_limit():
    weak = wb.noise_margin(ONE, "20 dB", ELEMENT, [*STAGES[:3], wb.Stage("receiver", "0 dB", "40 dB")])
    found = wb.least_margin({"160 m": wb.noise_margin(ONE, "46 dB", ELEMENT, STAGES), "10 m": weak})
    assert found.case == "10 m"
    assert found.limit == "receiver"
    assert found.margin == weak.margin


def test_signal_levels_follow_the_gains():
    levels = wb.signal_levels(ONE, "1 mV/m", ELEMENT, STAGES)
    assert [each.stage for each in levels] == [stage.name for stage in STAGES]
    # (1 mV/m)^2/(160 ohm k^2)
    offered = 10 * np.log10(1e-6 / 160 / (2 * np.pi * 1.83e6 / 299_792_458) ** 2 * 1e3)
    assert levels[0].level.m_as("dBm") == pytest.approx(offered - 22)
    assert levels[3].level.m_as("dBm") == pytest.approx(offered - 22 - 4 + 15 - 6)


def test_noise_as_a_signal_has_the_level_of_the_noise():
    """The field of the external noise in 1 Hz, taken as a signal, is as strong as kT0 Fa at every stage."""
    field = wb.noise_field("46.1 dB", "1.83 MHz", "1 Hz")
    level = wb.signal_levels(ONE, field, ELEMENT, STAGES)[-1].level.m_as("dBm")
    floor = 10 * np.log10(1.380649e-23 * 290 * 1e3)
    assert level - floor == pytest.approx(wb.noise_margin(ONE, "46.1 dB", ELEMENT, STAGES).external.m_as("dB"))


# --- chokes of an array -------------------------------------------------------------------------------------

FRONT_END = wb.FrontEnd(wb.short_vertical("7 m", "25 mm"), "1 Mohm", "15 pF", "200 uH", 60, "2 pF")


def pair_on(frequency):
    layout = wb.row(2, "20 m", "0 deg")
    return fired(layout, wb.endfire_weights(layout, frequency, "0 deg", "20 deg", True), frequency)


def test_choke_mismatch_is_the_mean_of_many_arrays():
    """Against 200,000 random arrays, whose powers are averaged."""
    frequency, tolerance = "3.3 MHz", 0.1
    pair, rng = pair_on(frequency), np.random.default_rng(3)
    henry = 200e-6 * (1 + tolerance * rng.uniform(-1, 1, (200_000, 2)))
    moved = wb.FrontEnd(FRONT_END.vertical, "1 Mohm", "15 pF", wb.Quantity(henry, "H"), 60, "2 pF")
    drawn = fired(pair.layout, pair.weights * moved.transfer(frequency), frequency)
    means = {
        name: np.mean(10 ** (figure(drawn).m_as("dB") / 10))
        for name, figure in (("front", wb.signal_gain), ("noise", wb.noise_gain))
    }
    behind = np.mean(10 ** ((wb.signal_gain(drawn) - wb.front_to_back(drawn)).m_as("dB") / 10))
    perfect = 10 ** ((wb.signal_gain(pair) - wb.noise_gain(pair)).m_as("dB") / 10)
    found = wb.choke_mismatch(pair, FRONT_END, tolerance)
    assert found.rdf_loss.m_as("dB") == pytest.approx(
        10 * np.log10(perfect * means["noise"] / means["front"]), abs=0.02
    )
    assert found.front_to_back.m_as("dB") == pytest.approx(10 * np.log10(means["front"] / behind), abs=0.05)


def test_equal_chokes_cost_nothing():
    found = wb.choke_mismatch(pair_on("1.83 MHz"), FRONT_END, 0)
    assert found.rdf_loss.m_as("dB") == pytest.approx(0, abs=1e-9)
    assert found.front_to_back.m_as("dB") == pytest.approx(wb.front_to_back(pair_on("1.83 MHz")).m_as("dB"))


def test_mismatch_costs_most_next_to_the_resonance():
    low, high = (wb.choke_mismatch(pair_on(f), FRONT_END, 0.05).rdf_loss.m_as("dB") for f in ("1.83 MHz", "3 MHz"))
    assert 0 < low < 0.01
    assert high > 0.3


def test_choke_tolerance_costs_just_the_limit():
    pair = pair_on("3.65 MHz")
    tolerance = wb.choke_tolerance(pair, FRONT_END, "0.3 dB")
    assert wb.choke_mismatch(pair, FRONT_END, tolerance).rdf_loss.m_as("dB") == pytest.approx(0.3, abs=1e-6)
    assert tolerance < wb.choke_tolerance(pair_on("1.83 MHz"), FRONT_END, "0.3 dB")


def test_choke_tolerance_keeps_just_the_front_to_back():
    pair = pair_on("3.65 MHz")
    tolerance = wb.choke_tolerance(pair, FRONT_END, "3 dB", "20 dB")
    assert wb.choke_mismatch(pair, FRONT_END, tolerance).front_to_back.m_as("dB") == pytest.approx(20, abs=1e-6)
    assert wb.choke_tolerance(ONE, FRONT_END, "3 dB", "1 dB") == 0.0  # one element has no front-to-back


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.noise_margin("x", "46 dB", ELEMENT, STAGES), ("firing",)),
        (lambda: wb.noise_margin(ONE, 46, ELEMENT, STAGES), ("external",)),
        (lambda: wb.noise_margin(ONE, "46 dB", "x", STAGES), ("element", "Stage")),
        (lambda: wb.noise_margin(ONE, "46 dB", ELEMENT, ELEMENT), ("stages",)),
        (lambda: wb.noise_margin(ONE, "46 dB", ELEMENT, [3]), ("stages", "Stage")),
        (lambda: wb.least_margin({}), ("margins",)),
        (lambda: wb.signal_levels(ONE, "-1 V/m", ELEMENT, STAGES), ("field",)),
        (lambda: wb.choke_mismatch(ONE, "x", 0.1), ("front_end",)),
        (lambda: wb.choke_mismatch(ONE, FRONT_END, 10), ("inductance_tolerance",)),
        (lambda: wb.choke_tolerance(ONE, FRONT_END, "0 dB"), ("rdf_loss",)),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
