"""Every number of a line or run, reckoned again as the contract defines it from the public functions."""

import math

import numpy as np
import pytest

import workbook as wb

Q = wb.Quantity
C = 299_792_458.0
OPEN = Q(math.inf, "ohm")

CABLES = ["series-6-copper", "series-6-clad", "series-11-clad", "rg-213-solid-pe"]
CASES = {
    "everything": ("full", {}),
    "no measurement": ("full", {("velocity_factor",): {}}),
    "no connectors": ("full", {("ends",): {}}),
    "joined": ("full", {("hub", "kind"): "joined"}),
    "cut on the lowest": ("full", {("phasing", "cut_band"): "160 m"}),
    "cut on the highest": ("full", {("phasing", "cut_band"): "40 m"}),
    "no trim": ("full", {("cutting",): {"trim": "0 m"}}),
    **{name: ("full", {("cables", "delay_line"): name, ("cables", "element_run"): name}) for name in CABLES},
    "by hand": ("entered", {}),
}


@pytest.fixture(params=CASES)
def made(request, write):
    """(design, plan) of a case."""
    design = wb.load_design(write(*CASES[request.param]))
    return design.content, design.plan()


def cable_of(design, name):
    measured = design.velocity_factor.get(name)
    found = wb.cable(name)
    return found.with_velocity_factor(measured.value, measured.frequency) if measured else found


def check_by_hand(cable, length, first_length, connector, degree_at, accept):
    """Check frequencies, slope and resistance of a piece, from the public functions alone."""
    frequency = wb.check_frequency(cable, length, connector_delay=connector)
    step = Q(1, "mm")
    longer = wb.check_frequency(cable, length + step, connector_delay=connector)
    shorter = wb.check_frequency(cable, length - step, connector_delay=connector)
    slope = ((longer - shorter) / (2 * step)).m_as("Hz/m")
    whole = length + wb.delay_length(2 * connector, cable, frequency)
    return {
        "far_end": "open",
        "frequency_hz": pytest.approx(frequency.m_as("Hz"), rel=1e-10),
        "first_cut_frequency_hz": pytest.approx(
            wb.check_frequency(cable, first_length, connector_delay=connector).m_as("Hz"), rel=1e-10
        ),
        "hz_per_m": pytest.approx(slope, rel=1e-5),
        "resistance_ohm": pytest.approx(wb.input_impedance(cable, whole, frequency, OPEN).m_as("ohm").real, rel=1e-6),
        "accept_hz": pytest.approx(-slope * wb.physical_length(accept, degree_at, cable).m_as("m"), rel=1e-5),
        **good_by_hand(cable, length, connector, wb.physical_length(accept, degree_at, cable)),
    }


def good_by_hand(cable, length, connector, off):
    """The span of check frequencies of pieces that are off by no more than what is accepted, from pieces cut so."""
    longest, shortest = (
        wb.check_frequency(cable, metres, connector_delay=connector).m_as("Hz") if metres.magnitude > 0 else None
        for metres in (length + off, length - off)
    )
    return {
        "least_good_hz": pytest.approx(longest, rel=1e-10),
        "greatest_good_hz": None if shortest is None else pytest.approx(shortest, rel=1e-10),
    }


def close(number):
    return pytest.approx(number, rel=1e-11, abs=1e-10)


def test_delay_lines(made):
    design, plan = made
    connector, strip = design.ends.delay_line.delay, design.ends.delay_line.strip
    cable = cable_of(design, design.cables.delay_line)
    cut = design.bands[design.phasing.cut_band]
    assert plan.delay_lines
    for line in plan.delay_lines:
        delay = Q(line.delay_s, "s")
        in_cable = delay - 2 * connector
        length = wb.delay_length(in_cable, cable, cut)
        slowest, _, fastest = cable.span("velocity_factor", cut)
        least, greatest = (wb.delay_length(in_cable, v) for v in (slowest, fastest))
        nominal = wb.delay_length(in_cable, cable.nominal_velocity_factor)
        first = greatest + 2 * strip + design.cutting.trim
        got = plan.to_dict()["delay_lines"][plan.delay_lines.index(line)]
        assert got["cable"] == design.cables.delay_line
        assert got["cut_frequency_hz"] == close(cut.m_as("Hz"))
        assert got["velocity_factor"] == close(cable.velocity_factor(cut))
        assert got["nominal_velocity_factor"] == wb.cable(cable.name).nominal_velocity_factor
        assert got["length_m"] == close(length.m_as("m"))
        assert got["least_length_m"] == close(least.m_as("m"))
        assert got["greatest_length_m"] == close(greatest.m_as("m"))
        assert got["length_to_cut_m"] == close((length + 2 * strip).m_as("m"))
        assert got["first_cut_m"] == close(first.m_as("m"))
        assert got["nominal_length_error_m"] == close((nominal - length).m_as("m"))
        assert got["loop_resistance_ohm"] == close((cable.loop_resistance * length).m_as("ohm"))
        by_hand = check_by_hand(
            cable, length, first - 2 * strip, connector, cut, wb.Quantity(plan.accept_deg, "degree")
        )
        assert got["check"] == by_hand
        assert got["check"]["hz_per_m"] < 0
        assert got["check"]["first_cut_frequency_hz"] <= got["check"]["frequency_hz"]
        assert [band["name"] for band in got["bands"]] == list(design.bands)
        for band, frequency in zip(got["bands"], design.bands.values(), strict=True):
            ends, wanted = wb.phase_of_delay(2 * connector, frequency), wb.phase_of_delay(delay, frequency)
            electrical = wb.electrical_length(length, frequency, cable) + ends
            by_nominal = wb.electrical_length(nominal, frequency, cable) + ends
            assert band["electrical_length_deg"] == close(electrical.m_as("degree"))
            assert band["phase_error_deg"] == close((electrical - wanted).m_as("degree"))
            assert band["nominal_phase_error_deg"] == close((by_nominal - wanted).m_as("degree"))
            assert band["loss_db"] == close((cable.attenuation(frequency) * length).m_as("dB"))


def test_a_line_is_exact_on_its_cut_band_and_only_there(made):
    design, plan = made
    for line in plan.delay_lines:
        errors = {band.name: band.phase_error_deg for band in line.bands}
        # a cable is slower on a lower band, so the line is longer there: as a time, the error falls
        late = [error / design.bands[name].m_as("Hz") for name, error in errors.items()]
        assert late == sorted(late, reverse=True)
        assert errors.pop(design.phasing.cut_band) == pytest.approx(0, abs=1e-9)
        assert all(1e-6 < abs(error) < 5 for error in errors.values())


def test_element_runs(made):
    design, plan = made
    connector, strip, trim = design.ends.element_run.delay, design.ends.element_run.strip, design.cutting.trim
    cable = cable_of(design, design.cables.element_run)
    hub = np.array([place.m_as("m") for place in design.hub.position])
    places = np.array([[element.east_m, element.north_m] for element in plan.elements])
    length = Q(np.hypot(*(places - hub).T).max(), "m") + design.lengths.slack
    got = plan.to_dict()["element_runs"]
    assert got["cable"] == design.cables.element_run
    assert got["count"] == len(places)
    assert got["length_m"] == close(length.m_as("m"))
    assert got["length_to_cut_m"] == close((length + 2 * strip).m_as("m"))
    assert got["loop_resistance_ohm"] == close((cable.loop_resistance * length).m_as("ohm"))
    cut = design.bands[design.phasing.cut_band]
    assert got["check"] == check_by_hand(
        cable, length, length + trim, connector, cut, wb.Quantity(plan.accept_deg, "degree")
    )
    for band, (name, frequency) in zip(got["bands"], design.bands.items(), strict=True):
        electrical = wb.electrical_length(length, frequency, cable) + wb.phase_of_delay(2 * connector, frequency)
        assert band["name"] == name
        assert band["electrical_length_deg"] == close(electrical.m_as("degree"))
        assert band["loss_db"] == close((cable.attenuation(frequency) * length).m_as("dB"))


def test_receiver_run(made):
    design, plan = made
    got = plan.to_dict()["receiver_run"]
    if design.lengths.receiver_run is None:
        assert got is None
        return
    cable, length = cable_of(design, design.cables.receiver_run), design.lengths.receiver_run
    assert (got["cable"], got["length_m"]) == (cable.name, close(length.m_as("m")))
    assert got["loop_resistance_ohm"] == close((cable.loop_resistance * length).m_as("ohm"))
    for band, (name, frequency) in zip(got["bands"], design.bands.items(), strict=True):
        assert band == {"name": name, "loss_db": close((cable.attenuation(frequency) * length).m_as("dB"))}


def test_totals(made):
    _, plan = made
    wanted: dict[str, list[float]] = {}
    parts = [(line.cable, line.first_cut_m * line.count, line.count) for line in plan.delay_lines]
    runs, receiver = plan.element_runs, plan.receiver_run
    parts.append((runs.cable, runs.length_to_cut_m * runs.count, runs.count))
    if receiver:
        parts.append((receiver.cable, receiver.length_m, 1))
    for name, length, pieces in parts:
        total = wanted.setdefault(name, [0.0, 0])
        total[0] += length
        total[1] += pieces
    got = {total.cable: [total.length_m, total.pieces] for total in plan.totals}
    assert len(got) == len(plan.totals)
    assert got.keys() == wanted.keys()
    for name, (length, pieces) in wanted.items():
        assert got[name] == [close(length), pieces]


# --- by hand ----------------------------------------------------------------------------------------------


def test_lengths_of_two_lines_by_hand(plan):
    """20 and 38 ns in series-6-copper, whose velocity factor at 1.83 MHz is 0.8329 (design card): 4.994 and 9.488 m."""
    short, long = plan("entered").delay_lines
    assert short.length_m == pytest.approx(20e-9 * 0.8329 * C, rel=1e-4)
    assert long.length_m == pytest.approx(38e-9 * 0.8329 * C, rel=1e-4)
    assert short.length_to_cut_m == short.length_m
    assert short.first_cut_m == pytest.approx(short.length_m + 0.1, rel=1e-12)
    assert short.least_length_m == short.greatest_length_m == short.length_m
    # cut with the nominal 0.85 it would be 2 % too long
    assert short.nominal_length_error_m == pytest.approx(20e-9 * (0.85 - 0.8329) * C, rel=1e-2)
    assert short.bands[0].nominal_phase_error_deg == pytest.approx(360 * 1.83e6 * 20e-9 * (0.85 / 0.8329 - 1), rel=1e-2)


def test_connectors_shorten_the_cable_and_strips_lengthen_the_cut(plan):
    bare = plan("entered").delay_lines[0]
    ends = {("ends", "delay_line"): {"delay": "0.5 ns", "strip": "14 mm"}}
    fitted = plan("entered", ends).delay_lines[0]
    assert fitted.length_m == pytest.approx(bare.length_m * 19 / 20, rel=1e-12)
    assert fitted.length_to_cut_m == pytest.approx(fitted.length_m + 0.028, rel=1e-12)
    assert fitted.first_cut_m == pytest.approx(fitted.length_m + 0.128, rel=1e-12)
    assert fitted.bands[0].electrical_length_deg == pytest.approx(bare.bands[0].electrical_length_deg, rel=1e-12)
    # with connectors the same delay is checked at nearly the same frequency
    assert fitted.check.frequency_hz == pytest.approx(bare.check.frequency_hz, rel=1e-3)


def test_without_ends_of_their_own_the_runs_have_no_connectors(plan):
    change = {("ends",): {"delay_line": {"delay": "0.5 ns", "strip": "14 mm"}}}
    runs = plan("square", change).element_runs
    assert runs.length_to_cut_m == runs.length_m
    with_ends = plan("square", {("ends",): {"element_run": {"delay": "0.5 ns", "strip": "14 mm"}}}).element_runs
    assert with_ends.length_to_cut_m == pytest.approx(runs.length_m + 0.028)
    assert with_ends.length_m == runs.length_m
    more = with_ends.bands[0].electrical_length_deg - runs.bands[0].electrical_length_deg
    assert more == pytest.approx(360 * 1.83e6 * 1e-9, rel=1e-9)


def test_runs_reach_the_farthest_element_from_a_hub_off_centre(plan):
    """Corners at 10 m east and north; from a hub 4 m east and 3 m south the farthest is 14 m and 13 m away."""
    runs = plan("square", {("hub", "position"): ["4 m", "-3 m"], ("lengths", "slack"): "0 m"}).element_runs
    assert runs.length_m == pytest.approx(math.hypot(14, 13))
    centred = plan("square", {("lengths",): {"slack": "0 m"}}).element_runs
    assert centred.length_m == pytest.approx(10 * math.sqrt(2))


def test_a_hub_off_centre_leaves_the_delays_alone(plan):
    here, there = plan(), plan("square", {("hub", "position"): ["40 m", "-30 m"]})
    assert [line.delay_s for line in here.delay_lines] == [line.delay_s for line in there.delay_lines]
    assert (there.hub_east_m, there.hub_north_m) == (40, -30)


def test_a_measured_velocity_factor_scales_the_lengths_and_their_range(plan):
    change = {("cables", "delay_line"): "series-6-clad"}
    model = plan("square", change).delay_lines[0]
    value = model.velocity_factor * 0.97
    measured = {**change, ("velocity_factor", "series-6-clad"): {"value": value, "frequency": "1.83 MHz"}}
    scaled = plan("square", measured).delay_lines[0]
    for name in ("velocity_factor", "length_m", "least_length_m", "greatest_length_m", "loop_resistance_ohm"):
        assert getattr(scaled, name) == pytest.approx(0.97 * getattr(model, name), rel=1e-12), name
    assert scaled.nominal_velocity_factor == model.nominal_velocity_factor
    assert scaled.bands[0].loss_db == pytest.approx(0.97 * model.bands[0].loss_db, rel=1e-12)
    assert scaled.bands[0].electrical_length_deg == pytest.approx(model.bands[0].electrical_length_deg, rel=1e-12)
    assert scaled.delay_s == model.delay_s


def test_a_measurement_of_another_cable_changes_nothing(plan):
    change = {("velocity_factor", "rg-6-solid-pe"): {"value": 0.65, "frequency": "1.83 MHz"}}
    assert plan("square", change).delay_lines == plan().delay_lines


def test_a_line_as_long_as_its_connectors_allow(plan, refused):
    ends = ("ends", "delay_line", "delay")
    line = plan("entered", {ends: "9.99 ns"}).delay_lines[0]
    assert line.length_m == pytest.approx(0.02e-9 * 0.8329 * C, rel=1e-3)
    for delay in ("10 ns", "10.1 ns", "1 us"):
        refused(lambda: plan("entered", {ends: delay}), "design.toml", "ends.delay_line.delay", "line A", "20")  # noqa: B023


def test_the_design_itself_is_told_where_a_length_is_no_line(plan, refused):
    """What cannot be checked by its quarter wave is blamed on the key that asks for it."""
    refused(lambda: plan("square", {("lengths", "slack"): "100 km"}), "design.toml", "lengths.slack")
    refused(lambda: plan("square", {("cutting", "trim"): "100 km"}), "design.toml", "cutting.trim")


def test_a_hub_may_stand_on_an_element(plan):
    assert plan("entered", {("lengths",): {"slack": "0 m"}}).element_runs.length_m == pytest.approx(20)
