"""Usual cores, and the part of a transformer that limits it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

import workbook as wb
from workbook.matching.arguments import band_edges
from workbook.matching.candidates import TRANSFORMER, Requirements, compare
from workbook.matching.cores import CORE, COUPLING, LOSS, SEVERAL, TURNS, USUAL_CORES, limiting_part
from workbook.tables.matching import limiting_sentence

Q = wb.Quantity


@pytest.mark.parametrize("usual", USUAL_CORES, ids=lambda usual: usual.name)
def test_inductance_is_that_of_the_flux_through_the_ring(usual):
    """Ampere's law: B = mu0 mu_i I/(2 pi r), integrated over the cross section by quadrature."""
    outer, inner, height = (size / 1e3 for size in usual.millimetres)
    permeability = 4e-7 * math.pi * usual.material.permeability
    flux, _ = quad(lambda r: permeability / (2 * math.pi * r) * height, inner / 2, outer / 2)
    assert usual.henry == pytest.approx(flux, rel=1e-9)
    assert usual.core.inductance_factor.m_as("nH") == pytest.approx(flux * 1e9, abs=0.5)


def test_cores_span_what_builders_have():
    nanohenry = [usual.henry * 1e9 for usual in USUAL_CORES]
    assert min(nanohenry) == pytest.approx(140, abs=10)
    assert 4000 < max(nanohenry) < 5000
    assert {usual.material.name for usual in USUAL_CORES} == {"NiZn ferrite", "MnZn ferrite", "powder"}
    assert len({usual.name for usual in USUAL_CORES}) == len(USUAL_CORES)


def wanted(core, swr=1.2, most_turns=36, bands=("160 m", "80 m")):
    return Requirements(75.0, 50.0, band_edges(bands, 2), (swr, 1.0), (), core, most_turns)


CASES = {
    TURNS: wanted(wb.Core("400 nH", 0.998), most_turns=3),
    COUPLING: wanted(wb.Core("2000 nH", 0.98, 20.0), swr=1.05),
    CORE: wanted(wb.Core("20 nH", 1.0, 20.0)),
    LOSS: wanted(wb.Core("5000 nH", 1.0, 0.001)),
}


@pytest.mark.parametrize("part", CASES)
def test_the_part_that_limits_alone_cures_it_and_the_value_is_needed(part):
    """Judged by the comparison of all methods, which knows nothing of what limits."""
    asked = CASES[part]
    found = limiting_part(asked)
    assert found.part == part, found

    def swr(core, turns):
        match = compare(replace(asked, core=core, most_turns=turns), (TRANSFORMER,)).matches[0]
        edges = np.array([[low, high] for _, low, high in asked.edges]).ravel()
        return max(match.swr_in(Q(edges, "Hz")).max(), match.swr_out(Q(edges, "Hz")).max())

    key = {COUPLING: "coupling", CORE: "inductance_factor", LOSS: "core_q"}.get(part)
    value = Q(found.enough, "H") if part == CORE else found.enough
    cured = (asked.core, found.enough) if key is None else (replace(asked.core, **{key: value}), 36)
    assert swr(asked.core, asked.most_turns) > asked.limits[0] or part == LOSS
    assert swr(*cured) <= asked.limits[0] * (1 + 1e-9)
    assert limiting_sentence(found, asked).endswith("dB.")


def test_nothing_limits_what_keeps_the_limits():
    assert limiting_part(wanted(wb.Core())) is None
    assert limiting_sentence(None, wanted(wb.Core())) == ""


def test_what_no_part_alone_cures_is_said():
    asked = wanted(wb.Core("1 nH", 0.5), swr=1.001, bands=("160 m", "10 m"))
    assert limiting_part(asked) == (SEVERAL, None)
    assert "together" in limiting_sentence(limiting_part(asked), asked)
