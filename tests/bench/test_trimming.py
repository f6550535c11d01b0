"""Trimming by the check frequency."""

import pytest

import workbook as wb


def test_quarter_wave_of_fifty_feet():
    """50 ft open at the far end, quarter wave at 3.6 MHz: velocity factor 0.7320 (web article on measuring velocity
    factor, 2013; references of the project, second pass 3). The delay of that piece is a quarter of the period.
    """
    advice = wb.trim_advice(wb.ideal_cable("75 ohm", 0.732), "3.6 MHz", wb.Quantity(1 / 4 / 3.6, "us"), "3.6 MHz")
    assert advice.delay.m_as("us") == pytest.approx(1 / 4 / 3.6)
    assert advice.verdict == "keep"


@pytest.mark.parametrize("name", ["series-6-clad", "series-6-copper", "rg-213-solid-pe"])
@pytest.mark.parametrize("connector", ["0 ns", "0.3 ns"])
def test_cutting_off_what_is_advised_gives_the_wanted_delay(name, connector):
    """The advice is fed back: a piece shortened by it has the wanted delay, by the check frequency it then shows."""
    cable = wb.cable(name)
    wanted, band = wb.Quantity(120, "ns"), wb.Quantity(1.84, "MHz")
    too_long = wb.delay_length(wanted, cable, band) * 1.03
    seen = wb.check_frequency(cable, too_long, connector_delay=connector)
    advice = wb.trim_advice(cable, seen, wanted, band, connector_delay=connector)
    assert advice.verdict == "trim"
    assert advice.first_cut_off < advice.cut_off
    after = wb.check_frequency(cable, too_long - advice.cut_off, connector_delay=connector)
    done = wb.trim_advice(cable, after, wanted, band, connector_delay=connector)
    assert done.verdict == "keep"
    assert done.error.m_as("degree") == pytest.approx(0, abs=1e-9)


def test_a_wrong_velocity_factor_in_the_record_hardly_matters():
    """Delay comes from the measured frequency, so a record 2 % off moves the answer only through its dispersion."""
    cable = wb.cable("series-6-copper")
    off = cable.with_velocity_factor(cable.velocity_factor("1.84 MHz") * 0.98, "1.84 MHz")
    wanted = wb.Quantity(120, "ns")
    seen = wb.check_frequency(cable, wb.delay_length(wanted, cable, "1.84 MHz"))
    error = wb.trim_advice(off, seen, wanted, "1.84 MHz").error.m_as("degree")
    assert abs(error) < 0.02


def test_trim_advice_says_too_short():
    cable = wb.ideal_cable("75 ohm", 0.66)
    advice = wb.trim_advice(cable, "2.6 MHz", "100 ns", "1.83 MHz")
    assert advice.verdict == "too short"
    assert advice.cut_off.m_as("m") == 0


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("measured_check_frequency", 2.45),
        ("measured_check_frequency", "2.45 m"),
        ("wanted_delay", "-1 ns"),
        ("band_frequency", "0 Hz"),
        ("accept", "0 deg"),
        ("connector_delay", "-1 ns"),
        ("far_end", "loose"),
    ],
)
def test_trim_advice_names_the_wrong_argument(key, value):
    good = {"measured_check_frequency": "2.45 MHz", "wanted_delay": "100 ns", "band_frequency": "1.83 MHz"}
    with pytest.raises(wb.InputError, match=key):
        wb.trim_advice(wb.ideal_cable("75 ohm", 0.66), **(good | {key: value}))
