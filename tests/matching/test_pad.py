"""The minimum-loss pad, exact and of resistors that can be bought."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.pad import nearest_value, pad_match, real_pad

Q = wb.Quantity


def seen(high, low, series, shunt):
    """Resistance seen into both ends of an L pad, by series and parallel alone."""
    return series + shunt * low / (shunt + low), shunt * (series + high) / (shunt + series + high)


@pytest.mark.parametrize(("high", "low"), [(75, 50), (50.001, 50), (600, 50), (93, 75)])
def test_both_ends_see_their_own_resistance(high, low):
    pad = wb.minimum_loss_pad(Q(high, "ohm"), Q(low, "ohm"))
    into = seen(high, low, pad.series.m_as("ohm"), pad.shunt.m_as("ohm"))
    assert into == pytest.approx((high, low), rel=1e-9)
    # half the source's volts enter; a divider of series and shunt with the low side stands behind
    across = pad.shunt.m_as("ohm") * low / (pad.shunt.m_as("ohm") + low)
    ratio = (across / high) ** 2 * high / low
    assert pad.loss.m_as("dB") == pytest.approx(-10 * np.log10(ratio), abs=1e-9)


def test_arrays_broadcast_and_scalars_stay():
    pad = wb.minimum_loss_pad(Q([[75.0], [100.0]], "ohm"), Q([50.0, 60.0, 70.0], "ohm"))
    assert pad.series.shape == pad.shunt.shape == pad.loss.shape == (2, 3)
    assert isinstance(wb.minimum_loss_pad("75 ohm", "50 ohm").series.magnitude, float)
    real = real_pad(Q([75.0, 600.0], "ohm"), "50 ohm", 24)
    assert real.swr_high.shape == (2,)


@pytest.mark.parametrize("values", [24, 96])
def test_a_pad_of_real_resistors(values):
    pad = real_pad("75 ohm", "50 ohm", values)
    series, shunt = pad.series.m_as("ohm"), pad.shunt.m_as("ohm")
    assert (series, shunt) == {24: (43.0, 91.0), 96: (43.2, 86.6)}[values]
    high, low = seen(75, 50, series, shunt)
    assert pad.swr_high == pytest.approx(max(high / 75, 75 / high), rel=1e-12)
    assert pad.swr_low == pytest.approx(max(low / 50, 50 / low), rel=1e-12)
    # volts by plain divider, against the volts that the matched load would get from half the source's
    whole = 1 / (75 + high) * (shunt * 50 / (shunt + 50))
    assert pad.loss.m_as("dB") == pytest.approx(-10 * np.log10(4 * 75 / 50 * whole**2), abs=1e-9)


def test_nearest_value_is_nearest_by_ratio_across_decades():
    assert nearest_value("9.6 ohm", 24).m_as("ohm") == pytest.approx(10)
    assert nearest_value("9.5 ohm", 24).m_as("ohm") == pytest.approx(9.1)
    assert nearest_value("0.998 ohm").m_as("ohm") == pytest.approx(1)
    assert nearest_value("1000 ohm").m_as("ohm") == pytest.approx(1000)


def test_the_series_resistor_is_on_the_high_side():
    down, up = pad_match("75 ohm", "50 ohm"), pad_match("50 ohm", "75 ohm")
    assert [c.what for c in down.components] == ["resistor in series", "resistor across"]
    assert [c.what for c in up.components] == ["resistor across", "resistor in series"]
    for match in (down, up):
        assert match.swr_in("1 MHz") == pytest.approx(1, abs=1e-12)
        assert match.swr_out("1 MHz") == pytest.approx(1, abs=1e-12)
        assert match.insertion_loss("1 MHz").m_as("dB") == pytest.approx(5.7195, abs=5e-5)
        assert match.phase_shift("1 MHz").m_as("degree") == 0


def test_pads_that_are_refused(refused):
    refused(lambda: wb.minimum_loss_pad("50 ohm", "50 ohm"), "high", "no pad is needed")
    refused(lambda: wb.minimum_loss_pad("50 ohm", "75 ohm"), "high", "exchange")
    refused(lambda: wb.minimum_loss_pad(Q([75, 40], "ohm"), "50 ohm"), "high", "exchange")
    refused(lambda: wb.minimum_loss_pad(Q([75, 80], "ohm"), Q([50, 51, 52], "ohm")), "shapes")
    for bad in ("0 ohm", "-1 ohm", "5 m", 75, None):
        refused(lambda bad=bad: wb.minimum_loss_pad(bad, "50 ohm"), "high")
        refused(lambda bad=bad: wb.minimum_loss_pad("75 ohm", bad), "low")
    for bad in (12, "E24", 48, None, True, 24.5, np.array([24, 96]), Q([24.0, 96], "ohm")):
        refused(lambda bad=bad: real_pad("75 ohm", "50 ohm", bad), "values_per_decade", "24 or 96")
    refused(lambda: pad_match("50 ohm", "50 ohm"), "no pad is needed")
    refused(lambda: wb.minimum_loss_pad("50.00000000001 ohm", "50 ohm"), "no pad is needed")
    refused(lambda: wb.minimum_loss_pad("1e9 ohm", "1e8 ohm"), "high", "1 Mohm")


def test_a_pads_reason_has_its_swr():
    assert "matches both ends" in pad_match("75 ohm", "50 ohm").reason
    # by moduli only: the reactance stays
    match = pad_match(Q(50 + 30j, "ohm"), "50 ohm")
    swr = max(match.swr_in("1 MHz"), match.swr_out("1 MHz"))
    assert swr > 1.5
    assert f"SWR of {swr:.2f}" in match.reason
    assert "SWR of 1.03" in pad_match("75 ohm", "50 ohm", 24).reason
