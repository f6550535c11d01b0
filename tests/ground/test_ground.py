"""Rods, conductors and shields: what must hold for any figures, and what is refused."""

import numpy as np
import pytest

import workbook as wb
from workbook.ground.entry import Entry, Rods, Strap

Q = wb.Quantity
ROD = ("100 ohm*m", "3 m", "16 mm")


def test_arrays_broadcast_and_scalars_stay_scalars():
    soil = Q([[50.0], [100.0]], "ohm*m")
    found = wb.rods_resistance(soil, Q([2.0, 3.0, 4.0], "m"), "16 mm", "5 m", 4, "ring").m_as("ohm")
    assert found.shape == (2, 3)
    assert found[1] == pytest.approx(2 * found[0])
    one = wb.rods_resistance("100 ohm*m", "3 m", "16 mm", "5 m", 4, "ring").m_as("ohm")
    assert isinstance(one, float)
    assert one == pytest.approx(found[1, 1])


def test_one_rod_and_two_are_the_same_in_every_shape():
    for shape in ("line", "ring"):
        assert wb.rods_resistance(*ROD, "5 m", 1, shape) == wb.rod_resistance(*ROD)
        assert wb.rods_resistance(*ROD, "5 m", 2, shape) == wb.rods_resistance(*ROD, "5 m", 2)


def test_joined_rods_lie_between_one_and_its_share():
    one = wb.rod_resistance(*ROD).m_as("ohm")
    far, near = (wb.rods_resistance(*ROD, apart, 8, "square").m_as("ohm") for apart in ("10 km", "20 mm"))
    assert far == pytest.approx(one / 8, rel=1e-2)
    assert one / 8 < wb.rods_resistance(*ROD, "3 m", 8, "square").m_as("ohm") < near < one


def test_rods_of_a_square_stand_on_its_sides():
    """Four rods in a square are four in a ring whose neighbours are as far apart."""
    square, ring = (wb.rods_resistance(*ROD, "3 m", 4, shape).m_as("ohm") for shape in ("square", "ring"))
    assert square == pytest.approx(ring)


def test_length_counts_more_than_width():
    width = Q([25.0, 50.0, 100.0], "mm")
    straps = wb.strap_inductance("2 m", width, "0.5 mm").m_as("uH")
    assert -np.diff(straps) == pytest.approx(0.2 * 2 * np.log(2), rel=0.06)
    assert wb.strap_inductance("1 m", "25 mm", "0.5 mm").m_as("uH") < straps[0] / 2


def test_surge_voltage_is_inductive_plus_resistive():
    assert wb.surge_voltage("1 uH", "0 ohm", "5 kA", "8 us").m_as("V") == pytest.approx(625)
    assert wb.surge_voltage("0 H", "30 ohm", "5 kA", "8 us").m_as("kV") == pytest.approx(150)
    both = wb.surge_voltage("1 uH", "30 ohm", Q([1.0, 5.0], "kA"), "8 us").m_as("V")
    assert both == pytest.approx([30_125, 150_625])


def test_earths_that_are_far_apart_differ_by_the_whole_rise():
    near, far = (wb.potential_between_earths("1 kA", "33 ohm", "100 ohm*m", d).m_as("kV") for d in ("3 m", "100 km"))
    assert near < far == pytest.approx(33, rel=1e-3)


def test_series_ground_against_the_network_library():
    """The same circuit as two-ports of scikit-rf: a series resistance between source and load."""
    skrf = pytest.importorskip("skrf")
    media = skrf.media.DefinedGammaZ0(skrf.Frequency(1.83, 1.83, 1, "MHz"), z0_port=50)
    source, load = 0.7 - 1100j, 33 - 5700j
    found = wb.series_ground(Q(source, "ohm"), Q(load, "ohm"), "300 ohm")
    ratios = []
    for ohms in (1e-9, 300.0):
        a = media.resistor(ohms).a[0]
        # open-circuit source to voltage at the load: 1/(A + B/Zl + Zs (C + D/Zl))
        ratios.append(1 / (a[0, 0] + a[0, 1] / load + source * (a[1, 0] + a[1, 1] / load)))
    change = ratios[1] / ratios[0]
    assert found.loss.m_as("dB") == pytest.approx(-20 * np.log10(abs(change)), abs=1e-9)
    assert found.phase.m_as("degree") == pytest.approx(-np.degrees(np.angle(change)), abs=1e-6)
    assert found.phase.m_as("degree") > 0


def test_series_ground_of_nothing_does_nothing():
    found = wb.series_ground(Q(0.7 - 1100j, "ohm"), Q(33 - 5700j, "ohm"), "0 ohm")
    assert (found.loss.m_as("dB"), found.phase.m_as("degree")) == (0.0, 0.0)


def test_choke_that_is_wanted_gives_the_rejection_whatever_the_reactance():
    wanted = wb.choke_wanted("50 ohm", "30 dB")
    assert wb.common_mode_rejection(wanted, "50 ohm").m_as("dB") == pytest.approx(30)
    with_reactance = wanted + Q(1j * np.array([-4000.0, 0.0, 4000.0]), "ohm")
    assert np.all(wb.common_mode_rejection(with_reactance, "50 ohm").m_as("dB") >= 30 - 1e-9)


def test_turns_are_the_fewest_that_do():
    each = Q(25 + 20j, "ohm")
    choke = wb.shield_choke(each, "50 ohm", "30 dB", 2)
    assert choke.impedance == choke.turns**2 * 2 * each
    assert choke.impedance.m_as("ohm").real >= choke.wanted.m_as("ohm")
    assert ((choke.turns - 1) ** 2 * 2 * each).m_as("ohm").real < choke.wanted.m_as("ohm")
    assert choke.rejection.m_as("dB") >= 30


def test_metals_that_are_alike_do_not_corrode():
    pair = wb.metal_pair("brass", "brass")
    assert (pair.difference.m_as("V"), pair.corrodes, pair.outdoors, pair.sheltered) == (0.0, None, True, True)


def test_an_entry_has_the_figures_of_its_parts():
    rods, strap = Rods(*ROD, "5 m", 4, "ring"), Strap("1 m", "50 mm", "0.5 mm")
    entry = Entry(rods, strap, "8/20", 0.2, "20 m")
    ohms = wb.rods_resistance(*ROD, "5 m", 4, "ring")
    assert rods.resistance == ohms
    assert entry.current.m_as("kA") == pytest.approx(1.0)
    assert entry.along == wb.surge_voltage(strap.inductance, "0 ohm", "1 kA", "8 us")
    assert entry.rise.m_as("kV") == pytest.approx(ohms.m_as("ohm"))
    assert entry.between.m_as("kV") == pytest.approx(
        wb.potential_between_earths("1 kA", ohms, "100 ohm*m", "20 m").m_as("kV")
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wb.rod_resistance("100 ohm", "3 m", "16 mm"), ("resistivity",)),
        (lambda: wb.rod_resistance("0 ohm*m", "3 m", "16 mm"), ("resistivity", "above zero")),
        (lambda: wb.rod_resistance("100 ohm*m", "16 mm", "16 mm"), ("length", "longer than its diameter")),
        (lambda: wb.two_rods_resistance(*ROD, "2.9 m"), ("spacing", "at least", "rods_resistance")),
        (lambda: wb.rods_resistance(*ROD, "10 mm", 4), ("spacing", "touch")),
        (lambda: wb.rods_resistance(*ROD, "3 m", 0), ("count",)),
        (lambda: wb.rods_resistance(*ROD, "3 m", 65), ("count", "64")),
        (lambda: wb.rods_resistance(*ROD, "3 m", 6, "square"), ("count", "multiple of 4")),
        (lambda: wb.rods_resistance(*ROD, "3 m", 6, "circle"), ("shape", "line")),
        (lambda: wb.ground_resistivity("0 S/m"), ("conductivity",)),
        (lambda: wb.potential_between_earths("1 kA", "33 ohm", "100 ohm*m", "0.3 m"), ("distance", "potential")),
        (lambda: wb.strap_inductance("1 m", "0 mm", "1 mm"), ("width",)),
        (lambda: wb.wire_inductance("1 mm", "1 mm"), ("length", "longer than its diameter")),
        (lambda: wb.surge_voltage("1 uH", "0 ohm", "5 kA", "0 us"), ("rise_time",)),
        (lambda: wb.surge_voltage("1 H", "0 ohm", "5", "8 us"), ("peak_current",)),
        (lambda: wb.series_ground(Q(-100j, "ohm"), Q(100j, "ohm"), "10 ohm"), ("load", "cancel")),
        (lambda: wb.series_ground(Q(-1 + 0j, "ohm"), Q(100j, "ohm"), "10 ohm"), ("source",)),
        (lambda: wb.choke_wanted("50 ohm", "-3 dB"), ("rejection",)),
        (lambda: wb.shield_choke(Q(20j, "ohm"), "50 ohm", "30 dB"), ("turn_impedance", "damps nothing")),
        (lambda: wb.shield_choke("1 mohm", "50 ohm", "60 dB"), ("turns",)),
        (lambda: Entry(1, Strap("1 m", "1 mm", "1 mm"), "8/20", 1.0, "9 m"), ("rods",)),
        (lambda: Entry(Rods(*ROD, "5 m", 4, "ring"), Strap("1 m", "1 mm", "1 mm"), "8", 1.0, "9 m"), ("wave", "8/20")),
        (lambda: wb.metal_pair("copper", "alumnium"), ("other", "aluminium")),
    ],
)  # fmt: skip
def test_refuses_bad_input(refused, call, words):
    refused(call, *words)
