"""What the plan says of its ends: against wb.channel_errors, and against closed forms of lines written here.

Derivation. A line of length l between Zs and ZL gives V_L/V_open = Zc/(Zc + Zs) (1 + rho_L) e^{-gamma l} /
(1 - rho_s rho_L e^{-2 gamma l}), so beside no line between the same ends it is
e^{-gamma l} (1 - q)/(1 - q e^{-2 gamma l}) with q = rho_s rho_L. Cascades are multiplied as chain matrices: from V and
I at the far end, A V + B I and C V + D I at the near end, A = D = cosh gamma l, B = Zc sinh gamma l,
C = sinh gamma l / Zc, and V_open = (A + B/ZL + Zs (C + D/ZL)) V_L.
"""

import itertools
import math
from typing import Any

import numpy as np
import pytest

import workbook as wb
from workbook.plan.terminations import line_alone
from workbook.tables import terminations

Q = wb.Quantity
RING = {
    ("array",): {"kind": "ring", "count": 8, "diameter": "42 m", "first_azimuth": "0 deg"},
    ("bands",): {"160 m": "1.83 MHz", "80 m": "3.65 MHz"},
    ("phasing", "elevation"): "20 deg",
    ("directions",): [{"name": "north", "azimuth": "0 deg"}, {"name": "half-way", "azimuth": "22.5 deg"}],
    ("ends",): {"delay_line": {"delay": "0.11 ns", "strip": "14 mm"}},
    ("cables", "delay_line"): "series-6-clad",
}
KINDS = ("joined", "ports", "ladder")


def ends(source, port, off=(0.0, 0.0)):
    return {
        ("hub", "source_impedance"): f"{source} ohm",
        ("hub", "port_impedance"): f"{port} ohm",
        ("hub", "source_tolerance"): off[0],
        ("hub", "port_tolerance"): off[1],
    }


@pytest.fixture
def ring(plan):
    """Plan the ring with one kind of hub between two ends."""

    def ring(kind, source, port, more=None, off=(0.0, 0.0)):
        return plan("square", {**RING, ("hub", "kind"): kind, **ends(source, port, off), **(more or {})})

    return ring


def constants(name, hertz):
    cable, on = wb.cable(name), Q(hertz, "Hz")
    return cable.propagation_constant(on).m_as("1/m"), cable.characteristic_impedance(on).m_as("ohm")


def beside_no_line(gamma, own, metres, source, port):
    q = (source - own) / (source + own) * (port - own) / (port + own)
    return np.exp(-gamma * metres) * (1 - q) / (1 - q * np.exp(-2 * gamma * metres))


def cascade(sections, source, port):
    chain = np.eye(2, dtype=complex)
    for gamma, own, metres in sections:
        cosh, sinh = np.cosh(gamma * metres), np.sinh(gamma * metres)
        chain = chain @ np.array([[cosh, own * sinh], [sinh / own, cosh]])
    (a, b), (c, d) = chain
    return 1 / (a + b / port + source * (c + d / port))


def whole_lengths(made, hertz, compensated=False):
    """Metres of each channel's line with its connectors, which count as cable of their delay."""
    gamma, _ = constants(made.delay_lines[0].cable, hertz)
    ladder = made.hub == "ladder"
    pieces = [line.compensated_length_m if compensated else line.length_m for line in made.delay_lines]
    extra = 2 * made.connector_delay_s * 2 * math.pi * hertz / gamma.imag
    metres = np.array(pieces) + extra
    return np.cumsum(metres) if ladder else metres


def delays_of(made):
    delays = np.array([line.delay_s for line in made.delay_lines])
    return np.cumsum(delays) if made.hub == "ladder" else delays


def by_hand(made, hertz, source, port, compensated=False, stage=None):
    """Phase errors [degree] and levels [dB] of all channels but the direct one; behind a stage the runs drop out."""
    gamma, own = constants(made.delay_lines[0].cable, hertz)
    metres = whole_lengths(made, hertz, compensated)
    if stage is None:
        run = (*constants(made.element_runs.cable, hertz), made.element_runs.length_m)
        direct = cascade([run], source, port)
        ratio = np.array([cascade([run, (gamma, own, length)], source, port) / direct for length in metres])
    else:
        ratio = beside_no_line(gamma, own, metres, stage, port)
    early = np.degrees(np.angle(ratio * np.exp(2j * np.pi * hertz * delays_of(made))))
    return early, 20 * np.log10(np.abs(ratio))


# --- the channels -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("source", "port"), [(50, 50), (60, 90), (75, 50), (150, 20)])
def test_every_channel_is_what_a_line_between_its_ends_does(ring, kind, source, port):
    made = ring(kind, source, port)
    for number, band in enumerate(made.bands):
        rows = [channel.bands[number] for channel in made.terminations.channels]
        for compensated in (False, True):
            early, level = by_hand(made, band.frequency_hz, source, port, compensated)
            phases = [row.compensated_phase_error_deg if compensated else row.phase_error_deg for row in rows]
            levels = [row.compensated_level_db if compensated else row.level_db for row in rows]
            assert phases == pytest.approx([0, *early], abs=1e-9)
            assert levels == pytest.approx([0, *level], abs=1e-9)


def test_through_the_public_door(plan):
    """`ports` is a cascade, as the contract's Channel; measured velocity factors and connectors as in the file."""
    made = plan("full", {("hub", "kind"): "ports", **ends(75, 80)})
    run = wb.cable("series-6-copper").with_velocity_factor(0.829, "1.83 MHz")
    line = wb.cable("series-6-clad").with_velocity_factor(0.835, "1.83 MHz")
    length = Q(made.element_runs.length_m, "m")
    on_run: Any = {"run_connector_delay": "0.2 ns"}
    for compensated in (False, True):
        channels = [wb.Channel("75 ohm", run, length, None, None, "80 ohm", **on_run)]
        for one in made.delay_lines:
            metres = one.compensated_length_m if compensated else one.length_m
            channels.append(wb.Channel("75 ohm", run, length, line, Q(metres, "m"), "80 ohm", "0.11 ns", **on_run))
        delays = Q([0.0, *(one.delay_s for one in made.delay_lines)], "s")
        for number, band in enumerate(made.bands):
            error, level = wb.channel_errors(channels, delays, Q(band.frequency_hz, "Hz"))
            rows = [channel.bands[number] for channel in made.terminations.channels]
            phases = [row.compensated_phase_error_deg if compensated else row.phase_error_deg for row in rows]
            levels = [row.compensated_level_db if compensated else row.level_db for row in rows]
            assert phases == pytest.approx(error.m_as("degree"), abs=1e-9)
            assert levels == pytest.approx(level.m_as("dB"), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_both_ends_count_in_every_hub(ring, kind):
    first = ring(kind, 50, 60).terminations
    for other in (ring(kind, 55, 60), ring(kind, 50, 66)):
        changes = [
            abs(a.bands[0].phase_error_deg - b.bands[0].phase_error_deg)
            for a, b in zip(first.channels[1:], other.terminations.channels[1:], strict=True)
        ]
        assert min(changes) > 1e-3


@pytest.mark.parametrize("kind", ["joined", "ladder"])
def test_behind_a_summing_stage_only_stage_and_port_count(ring, kind):
    stage = {("hub", "summing_impedance"): "60 ohm"}
    made, other = ring(kind, 40, 90, stage), ring(kind, 140, 90, stage)
    assert made.terminations.summing_ohm == 60
    for number, band in enumerate(made.bands):
        early, level = by_hand(made, band.frequency_hz, 40, 90, stage=60)
        rows = [channel.bands[number] for channel in made.terminations.channels]
        assert [row.phase_error_deg for row in rows] == pytest.approx([0, *early], abs=1e-9)
        assert [row.level_db for row in rows] == pytest.approx([0, *level], abs=1e-9)
        beside = [channel.bands[number] for channel in other.terminations.channels]
        assert [row.phase_error_deg for row in rows] == pytest.approx([row.phase_error_deg for row in beside], abs=1e-9)


def test_a_summing_stage_has_no_place_in_a_hub_of_ports(ring, refused):
    refused(lambda: ring("ports", 40, 90, {("hub", "summing_impedance"): "60 ohm"}), "hub", "summing_impedance")


def test_a_line_that_is_matched_is_right_on_the_cut_band(plan):
    """75 ohm on a 75-ohm cable is nearly so: a tenth of a degree, and the sheet says that it is not worth doing."""
    made = plan("square", {**RING, **ends(75, 75)})
    assert all(abs(channel.bands[0].phase_error_deg) < 0.1 for channel in made.terminations.channels)
    assert not made.terminations.worth_doing
    assert "not worth doing" in terminations.verdict(made.terminations, made.accept_deg)
    bad = plan("square", {**RING, **ends(50, 50)}).terminations
    assert bad.worth_doing
    assert "not worth doing" not in terminations.verdict(bad, 1.0)


# --- compensated lengths ------------------------------------------------------------------------------------


@pytest.mark.parametrize("cut_band", ["160 m", "80 m"])
@pytest.mark.parametrize("kind", KINDS)
def test_lines_cut_to_compensated_lengths_are_right_on_the_cut_band(ring, kind, cut_band):
    made = ring(kind, 45, 110, {("phasing", "cut_band"): cut_band})
    hertz = made.band(made.cut_band).frequency_hz
    early, _ = by_hand(made, hertz, 45, 110)
    after, _ = by_hand(made, hertz, 45, 110, compensated=True)
    assert np.abs(early).max() > 1
    assert np.abs(after).max() < 1e-8
    rows = [next(row for row in one.bands if row.name == cut_band) for one in made.terminations.channels]
    assert max(abs(row.compensated_phase_error_deg) for row in rows) < 1e-8


def test_the_pieces_of_a_ladder_add_up_to_its_taps(ring):
    made = ring("ladder", 50, 60)
    pieces = np.array([line.compensated_length_m for line in made.delay_lines])
    taps = [channel.compensated_length_m for channel in made.terminations.channels[1:]]
    assert np.cumsum(pieces) == pytest.approx(taps, rel=1e-12)
    gamma, _ = constants("series-6-clad", 1.83e6)
    change = np.cumsum(pieces - [line.length_m for line in made.delay_lines])
    stated = [channel.compensated_change_deg for channel in made.terminations.channels[1:]]
    assert np.degrees(change * gamma.imag) == pytest.approx(stated, abs=1e-9)


def test_without_ends_or_without_lines_there_is_nothing(plan):
    bare = plan("square", RING)
    assert bare.terminations is None
    assert all(line.compensated_length_m is None for line in bare.delay_lines)
    # straight up all elements of a square hear alike
    assert plan("square", {("phasing", "elevation"): "90 deg", **ends(50, 75)}).terminations is None


# --- tolerances, levels, pattern ----------------------------------------------------------------------------


def test_tolerances_reach_from_the_worst_corner_to_the_other(ring):
    """Each channel is off by itself: its own corners against those of the direct one, all tried here."""
    made = ring("ports", 60, 90, off=(0.1, 0.2))
    corners = list(itertools.product((0.9, 1.0, 1.1), (0.8, 1.0, 1.2)))
    for number, band in enumerate(made.bands):
        hertz = band.frequency_hz
        run = (*constants(made.element_runs.cable, hertz), made.element_runs.length_m)
        line = constants("series-6-clad", hertz)
        direct = [cascade([run], 60 * s, 90 * p) for s, p in corners]
        for channel, metres, delay in zip(
            made.terminations.channels[1:], whole_lengths(made, hertz), delays_of(made), strict=True
        ):
            through = [cascade([run, (*line, metres)], 60 * s, 90 * p) for s, p in corners]
            wanted = np.exp(2j * np.pi * hertz * delay)
            found = [np.degrees(np.angle(a / b * wanted)) for a in through for b in direct]
            row = channel.bands[number]
            assert row.least_phase_error_deg == pytest.approx(min(found), abs=1e-9)
            assert row.greatest_phase_error_deg == pytest.approx(max(found), abs=1e-9)
            levels = [20 * math.log10(abs(a / b)) for a in through for b in direct]
            assert row.weakest_level_db == pytest.approx(min(levels), abs=1e-9)
            assert row.strongest_level_db == pytest.approx(max(levels), abs=1e-9)
    itself = made.terminations.channels[0].bands[0]
    assert (itself.least_phase_error_deg, itself.greatest_phase_error_deg) == (0, 0)


@pytest.mark.parametrize("kind", KINDS)
def test_the_pad_brings_every_channel_down_to_the_weakest(ring, kind):
    made = ring(kind, 60, 90)
    channels = made.terminations.channels
    levelled = [channel.bands[0].level_db - channel.pad_db for channel in channels]
    assert levelled == pytest.approx([min(channel.bands[0].level_db for channel in channels)] * len(channels))
    strong = max(channels, key=lambda channel: channel.pad_db)
    # a pi of one series and two shunt arms: seen from a 90-ohm port through it, 90 ohm again
    series, shunt = strong.pad_series_ohm, strong.pad_shunt_ohm
    ended = 1 / (1 / shunt + 1 / 90)
    assert 1 / (1 / shunt + 1 / (series + ended)) == pytest.approx(90, rel=1e-9)
    assert 20 * math.log10((series + ended) / ended) == pytest.approx(strong.pad_db, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("compensated", [False, True])
def test_the_real_pattern_is_that_of_weights_with_the_errors(ring, kind, compensated):
    made = ring(kind, 150, 20)
    layout = wb.layout_from(Q([[one.east_m, one.north_m] for one in made.elements], "m"))
    for stated in made.terminations.directions:
        band = made.band(stated.name)
        errors = {}
        for channel in made.terminations.channels:
            row = next(one for one in channel.bands if one.name == stated.name)
            phase = row.compensated_phase_error_deg if compensated else row.phase_error_deg
            level = row.compensated_level_db if compensated else row.level_db
            errors[channel.line] = 10 ** (level / 20) * np.exp(1j * math.radians(phase))
        feeds = made.direction(stated.direction).elements
        weights = [
            np.exp(-2j * np.pi * band.frequency_hz * feed.delay_s) * errors[feed.line or "direct"] for feed in feeds
        ]
        azimuth = Q(made.direction(stated.direction).azimuth_deg, "degree")
        ground = wb.Ground(13, "5 mS/m")
        fired = wb.Firing(layout, weights, Q(band.frequency_hz, "Hz"), azimuth, "20 deg", ground)
        rdf = stated.compensated_rdf_db if compensated else stated.rdf_db
        back = stated.compensated_front_to_back_db if compensated else stated.front_to_back_db
        assert rdf == pytest.approx(wb.rdf(fired).m_as("dB"), abs=1e-9)
        assert back == pytest.approx(wb.front_to_back(fired).m_as("dB"), abs=1e-9)


# --- one line by itself -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("source", "port", "printed"), [(50, 50, -2.291), (60, 90, 0.579)])
def test_one_lossless_line_of_45_degrees(source, port, printed):
    """The load lags by atan((Zc/ZL + Zs/Zc)/(1 + Zs/ZL) tan t): 47.291 and 44.421 degrees."""
    line = line_alone(wb.ideal_cable("75 ohm", 0.66), 45.0, 1.83e6, source, port)
    assert line.phase_error_deg == pytest.approx(printed, abs=0.0005)
    assert line.matched_deg == pytest.approx(0, abs=1e-12)
    assert line.length_m == pytest.approx(0.66 * 299792458 / 1.83e6 / 8)


@pytest.mark.parametrize("name", ["series-6-copper", "series-6-clad", "rg-213-solid-pe"])
@pytest.mark.parametrize(("source", "port"), [(50, 50), (75, 75), (60, 90), (10, 300)])
def test_no_length_is_beyond_the_bound_and_one_comes_to_the_exact(name, source, port):
    degrees = np.linspace(0, 720, 7201)
    line = line_alone(wb.cable(name), degrees, 1.83e6, source, port)
    gamma, own = constants(name, 1.83e6)
    ratio = beside_no_line(gamma, own, line.length_m, source, port)
    assert line.phase_error_deg == pytest.approx(
        np.degrees(np.angle(ratio * np.exp(1j * np.radians(degrees)))), abs=1e-9
    )
    assert line.level_db == pytest.approx(20 * np.log10(np.abs(ratio)), abs=1e-9)
    off = np.abs(line.phase_error_deg - line.matched_deg)
    assert off.max() <= line.greatest_deg + 1e-9 <= line.bound_deg + 1e-9
    assert off.max() == pytest.approx(line.greatest_deg, rel=1e-4)
    q = (source - own) / (source + own) * (port - own) / (port + own)
    assert line.bound_deg == pytest.approx(math.degrees(math.asin(abs(q))), rel=1e-12)


# --- tables -------------------------------------------------------------------------------------------------


def test_tables_say_the_plans_numbers_and_no_minus_nothing(ring):
    made = ring("ladder", 50, 50, off=(0.1, 0.1))
    stated = made.terminations
    lists = (
        terminations.channel_table(made, stated),
        terminations.compensation_table(made, stated),
        terminations.levelling_table(made, stated),
        terminations.side_by_side_table(made, stated),
    )
    for table in lists:
        assert not [cell for row in table.rows for cell in row if cell.lstrip().startswith("-0.00") and "m" not in cell]
    channels, lengths, levels, patterns = lists
    rows = {(row[0], row[1]): row for row in channels.rows}
    assert set(rows) == {(one.line, band.name) for one in stated.channels[1:] for band in one.bands}
    last = stated.channels[-1]
    # the plan's errors are positive where a channel is early, those of tables where it is late
    assert float(rows[last.line, "80 m"][2]) == pytest.approx(-last.bands[1].phase_error_deg, abs=0.0051)
    assert [row[0] for row in lengths.rows] == [f"{line.from_} to {line.to or 'end'}" for line in made.cut_order]
    for row, line in zip(lengths.rows, made.cut_order, strict=True):
        assert row[2].startswith(f"{line.compensated_length_m:.3f} m")
    assert levels.rows[-1][1:] == ("0.00", *["not needed"] * 4)
    assert len(patterns.rows) == len(made.directions) * len(made.bands)


def test_pads_are_of_resistors_that_can_be_bought_and_say_what_they_lose(ring):
    """The loss by Kirchhoff's laws: the port in parallel with a shunt, behind the series arm, divides the voltage."""
    made = ring("ports", 75, 75)
    ends = made.terminations
    pads = [row for row in terminations.levelling_table(made, ends).rows if row[2] != "not needed"]
    e24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]
    assert len(pads) == sum(channel.pad_db >= 0.1 for channel in ends.channels) > 0
    for _, stronger, series, shunt, loses, _ in pads:
        series, shunt = float(series), float(shunt)
        for ohms in (series, shunt):
            assert min(abs(ohms / value - 10 ** round(math.log10(ohms / value))) for value in e24) < 1e-9 * ohms + 1e-9
        behind = 1 / (1 / 75 + 1 / shunt)
        # the source of 2 V behind 75 ohm gives 1 V to a matched port
        seen = 1 / (1 / shunt + 1 / (series + behind))
        volts = 2 * seen / (75 + seen) * behind / (series + behind)
        assert float(loses) == pytest.approx(-20 * math.log10(volts), abs=0.0051)
        assert float(loses) == pytest.approx(float(stronger), rel=0.1)


def test_ends_as_good_as_the_plan_asks_keep_channels_within_what_is_accepted(ring):
    """Two cascades of one lossless cable between ends of just that SWR, of every pair of lengths."""
    stated = ring("ports", 60, 90, {("cutting", "accept"): "1 deg"}).terminations
    assert stated.needed_return_loss_db == pytest.approx(-10 * math.log10(math.sin(math.radians(0.5))))
    rho = 10 ** (-stated.needed_return_loss_db / 20)
    assert stated.needed_swr == pytest.approx((1 + rho) / (1 - rho))
    lag = np.radians(np.arange(0, 180.0, 1))
    off = -np.degrees(np.angle(1 - rho**2 * np.exp(-2j * lag)))
    # one is at most early, one late by half: some pair of lengths uses all that is accepted, none more
    assert 0.999 < np.ptp(off) <= 1 + 1e-9


def test_what_compensated_lengths_do_to_the_pattern_is_told(ring):
    stated = ring("ports", 50, 60).terminations
    gains = [one.compensated_rdf_db - one.rdf_db for one in stated.directions]
    said = terminations.verdict(stated, 1.0)
    assert f"change RDF by {min(gains):+.2f} to {max(gains):+.2f} dB" in said
    assert ("planned lengths do as well" in said) == (max(gains) < 0.05)
    matched = ring("ports", 75, 75).terminations
    assert ("change RDF" in terminations.verdict(matched, 1.0)) == matched.worth_doing


def test_how_well_ends_must_be_matched():
    """Closed: sin of the error is rho squared. For 1 degree: rho = 0.13211, 17.58 dB, SWR 1.304 (arithmetic)."""
    table = terminations.needed_table(wb.cable("series-6-copper"), "160 m", 1.83e6, (0.5, 1.0, 2.0, 5.0))
    for row, wanted in zip(table.rows, (0.5, 1.0, 2.0, 5.0), strict=True):
        rho = math.sqrt(math.sin(math.radians(wanted)))
        assert float(row[0]) == wanted
        assert float(row[1]) == pytest.approx(-20 * math.log10(rho), abs=0.051)
        assert float(row[2]) == pytest.approx((1 + rho) / (1 - rho), abs=0.00051)
        low, high = map(float, row[3].split(" to "))
        assert (low, high) == pytest.approx((75 * (1 - rho) / (1 + rho), 75 * (1 + rho) / (1 - rho)), abs=0.051)
        # without loss some length comes to the closed answer; with loss none quite does
        assert float(row[4]) == pytest.approx(wanted, abs=0.0005)
        assert 0.9 * wanted < float(row[5]) < wanted
    assert table.rows[1][1:3] == ("17.6", "1.304")
