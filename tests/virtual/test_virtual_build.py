"""Arrays that are built virtually, from plan to correction, in a world that shares no code with the workbook."""

from dataclasses import replace

import numpy as np
import pytest
from build import NONE, build, fault_of, groups, lost, picture, planned, report
from builder import CABLE, PLAN
from truth import SWEEP, Reel, figures, per_metre

import workbook as wb

SEEDS = range(20)
"""A tenth of what `python tests/virtual/build.py 200` builds."""


def test_the_sum_over_the_sky_agrees_with_the_plan():
    """RDF and front-to-back by a plain sum over 5,400 places of the sky, with exact delays."""
    places = np.array([(one.east_m, one.north_m) for one in PLAN.elements])
    azimuths = [one.azimuth_deg for one in PLAN.directions]
    for number, band in enumerate(PLAN.bands):
        delays, polarity = (
            np.array([[getattr(feed, key) for feed in one.elements] for one in PLAN.directions])
            for key in ("delay_s", "polarity")
        )
        weights = polarity * np.exp(-2j * np.pi * band.frequency_hz * delays)
        assert figures(places, weights, band.frequency_hz, azimuths) == pytest.approx(planned()[number], abs=2e-3)


def test_flat_layers_of_metal_are_near_the_record():
    """Two models of one cable: flat layers and a formula for the foil, and the record with Bessel functions."""
    resistance, henry, g, farads = per_metre(Reel(0.85, 15e-6, 0.0), 0.0, SWEEP)
    gamma = np.sqrt((resistance + 2j * np.pi * SWEEP * henry) * (g + 2j * np.pi * SWEEP * farads))
    record = wb.cable(CABLE).with_cladding("15 um").propagation_constant(wb.Quantity(SWEEP, "Hz")).m_as("1/m")
    from_1_mhz = SWEEP > 1e6
    assert (gamma.imag / record.imag)[from_1_mhz] == pytest.approx(1, abs=0.01)
    assert (gamma.real / record.real)[from_1_mhz] == pytest.approx(1, abs=0.25)


def test_builds_reach_their_plan_and_faults_are_named_first():
    """One test, since what twenty builds come to is worked out once."""
    outcomes = [build(seed, fault_of(seed)) for seed in SEEDS]
    _check_names(outcomes)
    _check_figures(outcomes)
    _check_comparisons(outcomes)
    _check_report(outcomes)
    again = build(3, fault_of(3))
    assert again.after == pytest.approx(outcomes[3].after, abs=1e-12)
    assert again.named == outcomes[3].named


def _check_names(outcomes):
    """Nine of ten faults come first, kind and place, and none is named where there is none."""
    planted = [one for one in outcomes if one.fault]
    assert sum(one.right for one in planted) >= 0.9 * len(planted)
    assert [one.named for one in groups(outcomes)[NONE]] == [None] * len(groups(outcomes)[NONE])


def _check_figures(outcomes):
    """A build comes within 0.5 dB of RDF and 3.5 dB of front-to-back in the worst direction on the worst band."""
    rdf, back = np.array([lost(one.after) for one in outcomes if one.right]).T
    assert rdf.max() < 0.5
    assert back.max() < 3.5
    severe = [one for one in outcomes if one.fault in ("reversed channel", "dead channel") and one.right]
    assert len(severe) >= 3
    assert min(lost(one.before)[0] for one in severe) > 1.5


def _check_comparisons(outcomes):
    """Sorting the parts gains more than trimming, and few pieces are spoiled."""
    trimmed, printed, unsorted = (
        np.median([lost(getattr(one, name))[0] for one in outcomes if one.right])
        for name in ("after", "printed", "unsorted")
    )
    assert trimmed <= printed + 0.02
    assert unsorted > printed + 0.2
    assert np.mean([one.spoiled for one in outcomes]) < 2
    assert np.median([one.wasted for one in outcomes]) < 40


def _check_report(outcomes):
    """Report and picture follow what was built."""
    text, worse = "\n".join(report(outcomes)), [replace(one, after=one.after - 10) for one in outcomes]
    right = sum(one.right for one in outcomes if one.fault)
    assert f"faults named first: {right} of {sum(one.fault is not None for one in outcomes)}" in text
    assert text != "\n".join(report(worse))
    assert picture(outcomes).svg() != picture(worse).svg()
