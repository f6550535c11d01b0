"""A planted fault comes first by its levels alone; healthy arrays are called healthy."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.single_faults import (
    SingleFault,
    level_changes,
    likeliest_fault,
    single_faults,
    source,
    toward_and_away,
)
from workbook.tables.single_faults import fault_sentence, levels_table

Q = wb.Quantity


@pytest.fixture(scope="module")
def plan():
    return wb.load_design(shipped("notebooks") / "heron-fen-eight.toml").stages()


def measured(plan, signal, fault, rng, error=0.5):
    return {
        name: list(Q(level_changes(plan, signal, name, fault) + rng.normal(0, error, len(plan.elements)), "dB"))
        for name in toward_and_away(plan, signal)
    }


@pytest.mark.parametrize("kind", ["healthy", "dead", "reversed", "swapped"])
@pytest.mark.parametrize("band", ["160 m", "80 m"])
def test_a_planted_fault_comes_first_in_nine_of_ten(plan, kind, band):
    """0.5 dB of measuring error on every level, two switch positions, a ground wave from the north-east."""
    rng, signal = np.random.default_rng(2), source(band, "45 deg")
    candidates = [fault for fault in single_faults(len(plan.elements)) if fault.kind == kind]
    first = 0
    for _ in range(60):
        planted = candidates[rng.integers(len(candidates))]
        found = likeliest_fault(plan, signal, measured(plan, signal, planted, rng))
        # a mirror image of the array gives the same levels, and is named beside it
        same = (
            [found.fault, *found.not_distinguishable] if _alike(plan, signal, planted, found.fault) else [found.fault]
        )
        first += planted in same
        assert found.explained
    assert first >= 54


def _alike(plan, signal, one, other):
    both = [
        [level_changes(plan, signal, name, fault) for name in toward_and_away(plan, signal)] for fault in (one, other)
    ]
    return np.allclose(*both, atol=1e-6)


@pytest.mark.parametrize("exact", [None, "1.26 MHz"])
def test_level_changes_are_those_of_a_sum_of_waves(plan, exact):
    """By hand: every element contributes w e^(jku.r), summed with one left out, with NumPy alone."""
    signal = source("160 m", "45 deg", "10 deg", exact)
    position = np.array([[one.east_m, one.north_m] for one in plan.elements])
    hertz = plan.band("160 m").frequency_hz if exact is None else 1.26e6
    feeds = plan.direction("east").elements
    along = position @ [np.sin(np.pi / 4), np.cos(np.pi / 4)] * np.cos(np.radians(10)) * 2 * np.pi * hertz / 299792458
    each = np.array([feed.polarity * feed.amplitude for feed in feeds], complex)
    each *= np.exp(1j * along - 2j * np.pi * hertz * np.array([feed.delay_s or 0 for feed in feeds]))
    wanted = [20 * np.log10(abs(each.sum() - one) / abs(each.sum())) for one in each]
    assert level_changes(plan, signal, "east", SingleFault("healthy")) == pytest.approx(wanted)


def test_in_step_a_dead_element_changes_nothing_and_a_reversed_one_makes_more():
    """One of eight in step takes 20 log(7/8) = -1.160 dB; of a reversed one the sum goes from 6 to 7, +1.339 dB."""
    plan = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").stages()
    signal = source("160 m", "0 deg", "22 deg")
    levels = {kind: level_changes(plan, signal, "north", SingleFault(kind, (3,))) for kind in ("dead", "reversed")}
    healthy = level_changes(plan, signal, "north", SingleFault("healthy"))
    assert healthy == pytest.approx(np.full(8, -1.160), abs=5e-4)
    assert levels["dead"][2] == pytest.approx(0, abs=1e-9)
    assert levels["reversed"][2] == pytest.approx(1.339, abs=5e-4)


def test_swapped_elements_of_equal_channels_cannot_be_distinguished_from_healthy():
    """Toward the pair's axis of symmetry both elements of a pair have one delay and one wave."""
    plan = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").stages()
    signal = source("160 m", "0 deg", "22 deg")
    rows = {
        name: list(Q(level_changes(plan, signal, name, SingleFault("healthy")), "dB")) for name in ("north", "south")
    }
    found = likeliest_fault(plan, signal, rows)
    assert found.fault == SingleFault("healthy")
    assert SingleFault("swapped", (2, 8)) in found.not_distinguishable
    assert "not distinguishable from" in fault_sentence(found)


def test_levels_that_fit_no_single_fault_are_said_to(plan):
    signal = source("160 m", "45 deg")
    odd = {name: [Q(9.0 * (-1) ** n, "dB") for n in range(8)] for name in toward_and_away(plan, signal)}
    found = likeliest_fault(plan, signal, odd)
    assert not found.explained
    assert "No single fault" in fault_sentence(found)


def test_the_table_can_be_ticked_off(plan):
    signal = source("160 m", "45 deg")
    table = levels_table(plan, signal)
    assert len(table.rows) == 2 * len(plan.elements)
    assert {"healthy", "dead", "reversed"} <= set(" ".join(table.headings).replace(",", "").split())


@pytest.mark.parametrize(
    ("levels", "words"),
    [
        ({}, "nothing was entered"),
        ({"north": [None] * 8}, "nothing was entered"),
        ({"north": ["1 dB"] * 7}, "8, one an element"),
        ({"nowhere": ["1 dB"] * 8}, "nowhere"),
        ({"north": ["1 m"] * 8}, "dB"),
    ],
)
def test_levels_that_cannot_be_are_refused(plan, levels, words, refused):
    refused(lambda: likeliest_fault(plan, source("160 m", "45 deg"), levels), words)
