"""Element front end: response, cutoff, phase spread, transmitters."""

from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest

import workbook as wb

VERTICAL = wb.short_vertical("7 m", "25 mm")
CHOKED = wb.FrontEnd(VERTICAL, "1 Mohm", "15 pF", "200 uH", 60, "2 pF")
BARE = wb.FrontEnd(VERTICAL, "1 Mohm", "15 pF")


def by_hand(hertz, henry=200e-6, q=60.0, farads=2e-12):
    """The circuit again, from resistances and reactances."""
    k = 2 * np.pi * hertz / 299_792_458
    capacitance = 55.6325e-12 * 7 / np.log(1.15 * 7 / 0.025)
    antenna = 10 * (k * 7) ** 2 - 1j * 7 / (299_792_458 * capacitance) / np.tan(7 * k)
    reactance = 2 * np.pi * hertz * henry
    coil = reactance / q + 1j * reactance
    stray = 1 / (2j * np.pi * hertz * farads)
    choke = coil * stray / (coil + stray)
    load = 1 / (1e-6 + 2j * np.pi * hertz * 15e-12)
    return load / (antenna + choke + load)


@pytest.mark.parametrize("megahertz", [0.5, 1.83, 3.65, 7.1])
def test_transfer_is_that_of_the_circuit(megahertz):
    got = CHOKED.transfer(wb.Quantity(megahertz, "MHz"))
    assert got == pytest.approx(by_hand(megahertz * 1e6), rel=1e-5)
    assert isinstance(got, complex)


def test_without_chokes_the_buffer_divides_by_capacitance():
    share = VERTICAL.capacitance / (VERTICAL.capacitance + wb.Quantity(15, "pF"))
    assert abs(BARE.transfer("1 MHz")) == pytest.approx(share.m_as(""), rel=0.005)


def test_two_chokes_of_100_microhenry_end_reception_near_4_megahertz():
    """Common practice, no published source: they keep own transmitters on 7 MHz and up out of the buffer."""
    assert 3.5 < CHOKED.cutoff().m_as("MHz") < 5
    assert abs(CHOKED.transfer("7.1 MHz")) < 0.25 * abs(BARE.transfer("7.1 MHz"))


def test_cutoff_is_3_db_below_the_response_at_1_megahertz_and_the_lowest_above_the_peak():
    cutoff = CHOKED.cutoff()
    fall = 20 * np.log10(abs(CHOKED.transfer("1 MHz") / CHOKED.transfer(cutoff)))
    assert fall == pytest.approx(3, abs=1e-9)
    peak = CHOKED.resonance().frequency
    between = wb.Quantity(np.linspace(peak.m_as("Hz"), cutoff.m_as("Hz") * 0.999, 500), "Hz")
    assert np.all(abs(CHOKED.transfer(between)) > abs(CHOKED.transfer(cutoff)))
    assert peak < cutoff


def test_cutoff_of_several_front_ends_is_that_of_each():
    henries = wb.Quantity(np.array([[150.0, 200.0, 300.0]]), "uH")
    got = replace(CHOKED, choke_inductance=henries).cutoff()
    assert got.shape == (1, 3)
    for one, henry in zip(got[0], henries[0], strict=True):
        assert one.m_as("Hz") == pytest.approx(replace(CHOKED, choke_inductance=henry).cutoff().m_as("Hz"), rel=1e-12)
    assert np.all(np.diff(got.m_as("Hz")) < 0)


@pytest.mark.parametrize("q", [None, 5, 500])
def test_cutoff_is_found_whatever_the_q(q):
    sharp = replace(CHOKED, choke_q=q)
    assert 3.5 < sharp.cutoff().m_as("MHz") < 5.5


def test_resonance_is_damped_by_the_chokes_or_by_the_input():
    assert CHOKED.resonance().choke_share > 0.5
    heavy = replace(CHOKED, input_resistance="5 kohm").resonance()
    assert heavy.input_share > 0.5
    for peak in (CHOKED.resonance(), heavy):
        assert peak.input_share + peak.choke_share + peak.radiation_share == pytest.approx(1)
    assert heavy.gain < CHOKED.resonance().gain


def test_voltage_is_field_times_effective_height_times_transfer():
    frequency = wb.Quantity(np.array([1.83, 3.65]), "MHz")
    wanted = 2.0 * VERTICAL.effective_height(frequency).m_as("m") * abs(CHOKED.transfer(frequency))
    assert CHOKED.voltage(frequency, "2 V/m").m_as("V") == pytest.approx(wanted)
    assert CHOKED.voltage("1.83 MHz", "0 V/m").m_as("V") == 0


def test_a_front_end_is_frozen():
    with pytest.raises(FrozenInstanceError):
        CHOKED.choke_q = 3


# --- phase spread -----------------------------------------------------------------------------------------


def brute_force_spread(front_end, megahertz, tolerance):
    henry = front_end.choke_inductance.m_as("H") * np.linspace(1 - tolerance, 1 + tolerance, 200_001)
    moved = replace(front_end, choke_inductance=wb.Quantity(henry, "H"))
    return np.ptp(np.degrees(np.unwrap(np.angle(moved.transfer(wb.Quantity(megahertz, "MHz"))))))


@pytest.mark.parametrize("megahertz", [0.5, 1.83, 3.3, 3.65, 4.2, 5.5, 7.1, 10.1])
@pytest.mark.parametrize("tolerance", [0.02, 0.2, 0.8])
@pytest.mark.parametrize("q", [3, 60])
@pytest.mark.parametrize("stray", ["0 pF", "1 pF", "6 pF"])
def test_phase_spread_is_that_of_all_inductances(megahertz, tolerance, q, stray):
    front_end = replace(CHOKED, choke_q=q, choke_capacitance=stray)
    got = wb.phase_spread(front_end, wb.Quantity(megahertz, "MHz"), tolerance).m_as("degree")
    assert got == pytest.approx(brute_force_spread(front_end, megahertz, tolerance), abs=2e-3)


def test_phase_spread_has_its_extreme_inside_the_range():
    """Through the self-resonance of the chokes the phase turns back: the ends alone would give less."""
    front_end = replace(CHOKED, choke_q=3, choke_capacitance="6 pF")
    at_ends = [
        np.degrees(np.angle(replace(front_end, choke_inductance=wb.Quantity(h, "uH")).transfer("5.5 MHz")))
        for h in (40, 360)
    ]
    assert wb.phase_spread(front_end, "5.5 MHz", 0.8).m_as("degree") > abs(at_ends[0] - at_ends[1]) + 5


def test_phase_spread_next_to_the_resonance_is_tens_of_degrees():
    peak = CHOKED.resonance().frequency
    assert wb.phase_spread(CHOKED, peak, 0.2).m_as("degree") > 30
    assert wb.phase_spread(CHOKED, "1.83 MHz", 0.2).m_as("degree") < 1


def test_phase_spread_is_zero_without_chokes_or_tolerance():
    assert wb.phase_spread(BARE, "1.83 MHz", 0.2).m_as("degree") == 0
    assert wb.phase_spread(CHOKED, "1.83 MHz", 0).m_as("degree") == 0


def test_phase_spread_of_lossless_chokes_is_finite():
    lossless = replace(CHOKED, choke_q=None, choke_capacitance="6 pF")
    assert 100 < wb.phase_spread(lossless, "5 MHz", 0.8).m_as("degree") <= 180


# --- transmitters -------------------------------------------------------------------------------------------


def test_field_rises_steeper_near_the_antenna():
    far, near = (wb.transmitter_field("100 W", distance, "1.83 MHz").m_as("V/m") for distance in ("10 km", "10 m"))
    assert far == pytest.approx(np.sqrt(9000) / 10_000, rel=1e-4)
    assert near > 5 * np.sqrt(9000) / 10


def test_levels_say_when_the_buffers_must_be_switched_off():
    own = [wb.Transmitter(f"{f} MHz", "400 W", "100 m", wb.Quantity(f, "MHz")) for f in (1.83, 7.1, 14.1)]
    low, seven, high = wb.transmitter_levels(CHOKED, own, "5 V")
    assert low.switch_off
    assert not low.chokes_protect
    assert not seven.switch_off
    assert seven.chokes_protect
    assert seven.voltage < seven.limit < seven.without_chokes
    # the vertical is longer than a quarter wave: the model says nothing, and caution rules
    assert high.voltage is None
    assert high.switch_off


# --- buffer as a stage --------------------------------------------------------------------------------------


def test_a_noiseless_buffer_on_a_lossless_vertical_has_the_noise_of_its_input_resistance():
    """F - 1 = thermal noise of the input resistance over that of the radiation, both seen at the input."""
    stage = replace(BARE, input_resistance="100 kohm").stage("1.83 MHz", "0 dB", "75 ohm", "0 V")
    k, hertz = 2 * np.pi * 1.83e6 / 299_792_458, 1.83e6
    radiation, antenna = 10 * (7 * k) ** 2, VERTICAL.impedance("1.83 MHz").m_as("ohm")
    # current of the resistor's noise 4kT/R against voltage 4kTR of the radiation, both into the same node
    share = abs(antenna) ** 2 / 100e3 / radiation
    assert 10 ** (stage.noise_figure.m_as("dB") / 10) - 1 == pytest.approx(share, rel=1e-9)
    assert hertz > 0


def test_gain_of_the_stage_is_what_the_buffer_offers_over_what_the_vertical_offers():
    stage = BARE.stage("1.83 MHz", "6.0206 dB", "75 ohm", "5 nV")
    field, height = 1e-3, VERTICAL.effective_height("1.83 MHz").m_as("m")
    offered = (field * height) ** 2 / (4 * VERTICAL.impedance("1.83 MHz").m_as("ohm").real)
    out = (2 * BARE.voltage("1.83 MHz", "1 mV/m").m_as("V")) ** 2 / (4 * 75)
    assert stage.gain.m_as("dB") == pytest.approx(10 * np.log10(out / offered), abs=1e-4)


def test_a_noisier_buffer_has_a_greater_noise_figure():
    quiet, loud = (BARE.stage("1.83 MHz", "0 dB", "75 ohm", volts) for volts in ("2 nV", "20 nV"))
    assert loud.noise_figure.m_as("dB") > quiet.noise_figure.m_as("dB") + 10


# --- refusals -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.short_vertical("2 cm", "10 mm"), ("height", "two diameters")),
        (lambda: wb.short_vertical(7, "10 mm"), ("height", "m")),
        (lambda: VERTICAL.effective_height("10.8 MHz"), ("frequency", "quarter wave", "10.71 MHz")),
        (lambda: CHOKED.transfer("28 MHz"), ("quarter wave",)),
        (lambda: BARE.cutoff(), ("never falls 3 dB", "choke_inductance")),
        (lambda: wb.FrontEnd("7 m", "1 Mohm", "15 pF"), ("vertical", "ShortVertical")),
        (lambda: wb.FrontEnd(VERTICAL, "0 ohm", "10 pF"), ("input_resistance", "above")),
        (lambda: wb.FrontEnd(VERTICAL, "1 Mohm", "-1 pF"), ("input_capacitance", "negative")),
        (lambda: replace(CHOKED, choke_q=0), ("choke_q",)),
        (lambda: wb.phase_spread(CHOKED, "1.83 MHz", 20), ("inductance_tolerance", "0.2")),
        (lambda: wb.phase_spread("x", "1.83 MHz", 0.2), ("front_end",)),
        (lambda: wb.transmitter_field("-1 W", "10 m", "7 MHz"), ("power",)),
        (lambda: wb.transmitter_levels(CHOKED, [3], "5 V"), ("transmitters",)),
        (lambda: wb.transmitter_levels(CHOKED, [], "0 V"), ("limit",)),
        (lambda: replace(
            CHOKED, choke_inductance=wb.Quantity([1.0, 2, 3], "uH")
        ).transfer(wb.Quantity([1.0, 2.0], "MHz")), ("broadcast",)),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
