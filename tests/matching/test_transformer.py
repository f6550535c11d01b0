"""The wideband transformer: its inductances, losses and band edges."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.transformer import Core, Turns, transformer_match

Q = wb.Quantity
# hardly any loss or leakage: only the magnetising inductance limits
LOW_END = Core("1 uH", 1, 1e9, 1e9)


def dissipation(match, frequency):
    """Power into a match over power in the load [dB]: its loss without what comes back."""
    swr, loss = match.swr_in(frequency), match.insertion_loss(frequency).m_as("dB")
    return loss + 10 * np.log10(1 - ((swr - 1) / (swr + 1)) ** 2)


def test_inductances():
    match = transformer_match("75 ohm", "50 ohm", Core("1 uH", 0.99), Turns(5, 4, 1 / 24))
    found = {component.what: component.value for component in match.components}
    assert found["turns at the source"] == 5
    assert found["turns at the load"] == 4
    assert found["magnetising inductance"].m_as("uH") == pytest.approx(0.99 * 25)
    assert found["leakage inductance"].m_as("uH") == pytest.approx(2 * 0.01 * 25)


def test_a_perfect_transformer_changes_only_the_impedance():
    match = transformer_match("75 ohm", "50 ohm", Core("1 H", 1, 1e12, 1e12), Turns(5, 4, 1 / 24))
    # 50 ohm by (5/4)^2 is 78.125 ohm
    assert match.swr_in("7 MHz") == pytest.approx(78.125 / 75, rel=1e-6)
    assert match.phase_shift("7 MHz").m_as("degree") == pytest.approx(0, abs=1e-4)


def test_the_low_edge_is_where_the_magnetising_inductance_says():
    """1 to 1 between equal R, L across: |Gamma| = 1/sqrt(1 + (2 X/R)^2), so SWR s needs X = R sqrt(s)/(s - 1).

    Derived: Gamma = -(R/2)/(R/2 + jX); (s - 1)/(s + 1) = |Gamma| gives (2X/R)^2 = 4 s/(s - 1)^2.
    """
    match = transformer_match("50 ohm", "50 ohm", LOW_END, Turns(5, 5, 0))
    low, high = match.usable_band(1.2, "3 dB")
    reactance = 50 * np.sqrt(1.2) / 0.2
    assert low.m_as("Hz") == pytest.approx(reactance / (2 * np.pi * 25e-6), rel=1e-6)
    assert high.m_as("GHz") == 1


def test_the_high_edge_is_where_the_leakage_inductance_says():
    """L in series between equal R: Gamma = jX/(2R + jX), so SWR s needs X = R (s - 1)/sqrt(s)."""
    match = transformer_match("50 ohm", "50 ohm", Core("1 H", 1 - 1e-7, 1e9, 1e9), Turns(5, 5, 0))
    _, high = match.usable_band(1.2, "3 dB")
    reactance, leakage = 50 * 0.2 / np.sqrt(1.2), 2 * 1e-7 * 25
    assert high.m_as("Hz") == pytest.approx(reactance / (2 * np.pi * leakage), rel=1e-5)


def test_core_and_winding_losses():
    """Core: R/2 beside Q X across loses 10 log(1 + R/(Q X)) of dissipation into R; winding: X/Q in series."""
    core = transformer_match("50 ohm", "50 ohm", Core("1 uH", 1, 10, 1e9), Turns(5, 5, 0))
    reactance = 2 * np.pi * 7e6 * 25e-6
    assert dissipation(core, "7 MHz") == pytest.approx(10 * np.log10(1 + 50 / (10 * reactance)), rel=1e-6)
    winding = transformer_match("50 ohm", "50 ohm", Core("1 mH", 0.9999, 1e9, 10), Turns(5, 5, 0))
    series = 2 * np.pi * 7e6 * 2e-4 * 25e-3 / 10
    assert dissipation(winding, "7 MHz") == pytest.approx(10 * np.log10(1 + series / 50), rel=1e-3)


def test_bands_below_the_low_edge_are_refused(refused):
    core = Core("400 nH", 0.999, 10, 50)
    said = refused(
        lambda: transformer_match("75 ohm", "50 ohm", core, Turns(5, 4, 1 / 24), bands=("20 m", "160 m")),
        "bands",
        "160 m",
        "1.8 MHz",
        "low edge",
        "more turns",
    )
    edge = float(said.partition("low edge of ")[2].partition(" MHz")[0])
    match = transformer_match("75 ohm", "50 ohm", core, Turns(5, 4, 1 / 24), bands=[(Q(edge * 1.001, "MHz"), "14 MHz")])
    assert match.excess(edge * 1e6, (1.2, 1.0)) == pytest.approx(1, abs=1e-3)
    hopeless = Core("100 nH", 0.5, 10, 50)
    refused(lambda: transformer_match("75 ohm", "50 ohm", hopeless, bands=("20 m",)), "core", "at no frequency")


@pytest.mark.parametrize(
    ("core", "word"),
    [
        ({"inductance_factor": "0 nH"}, "inductance_factor"),
        ({"inductance_factor": "-1 nH"}, "inductance_factor"),
        ({"inductance_factor": 400}, "inductance_factor"),
        ({"inductance_factor": "400 nF"}, "inductance_factor"),
        ({"coupling": 1.1}, "coupling"),
        ({"coupling": 0}, "coupling"),
        ({"core_q": 0}, "core_q"),
        ({"core_q": "5"}, "core_q"),
        ({"winding_q": -1}, "winding_q"),
        ({"winding_q": float("nan")}, "winding_q"),
    ],
)
def test_core_rejects_figures_out_of_range(refused, core, word):
    refused(lambda: Core(**core), word)


def test_matches_reject_what_is_not_a_core(refused):
    refused(lambda: transformer_match("75 ohm", "50 ohm", "ferrite"), "Core")
    refused(lambda: wb.compare_matches("75 ohm", "50 ohm", ("160 m",), core="ferrite"), "Core")


@pytest.mark.parametrize("turns", [(5, 4), Turns(0, 4, 0), Turns(5.5, 4, 0), Turns(np.array([5, 6]), 4, 0)])
def test_turns_that_are_refused(refused, turns):
    refused(lambda: transformer_match("75 ohm", "50 ohm", Core(), turns), "turns")
