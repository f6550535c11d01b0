"""Known faults: phase error of each channel, the pattern before and after."""

import pickle

import numpy as np
import pytest

import workbook as wb

C = 299_792_458.0


def late(case, *faults):
    return wb.fault_report(case.firing, faults, case.delays).phase_error.m_as("degree")


# --- phase error ------------------------------------------------------------------------------------------


def test_phase_error_of_a_slow_line_is_positive():
    error = wb.phase_error("26.911 m", "1.83 MHz", 0.85, 0.8329)
    assert error.m_as("degree") == pytest.approx(360 * 1.83e6 * 26.911 / C * (1 / 0.8329 - 1 / 0.85), rel=1e-12)
    assert wb.phase_error("26.911 m", "1.83 MHz", 0.8, 0.85).m_as("degree") < 0


def test_phase_error_broadcasts_and_a_scalar_gives_a_scalar():
    lengths, bands = wb.Quantity([[1.0], [2.0]], "m"), wb.Quantity([1.83, 3.65, 7.1], "MHz")
    errors = wb.phase_error(lengths, bands, 0.85, [0.84, 0.83, 0.82])
    assert errors.shape == (2, 3)
    np.testing.assert_allclose(errors[1].m_as("degree"), 2 * errors[0].m_as("degree"))
    assert isinstance(wb.phase_error("1 m", "1 MHz", 0.8, 0.7).magnitude, float)


def test_phase_error_takes_a_cable_at_its_frequency():
    cable = wb.cable("series-6-copper")
    one = wb.phase_error("30 m", "1.83 MHz", 0.85, cable)
    assert one == wb.phase_error("30 m", "1.83 MHz", 0.85, cable.velocity_factor("1.83 MHz"))


def test_length_error_undoes_phase_error_of_a_longer_line():
    extra = wb.electrical_length("2 ft 3 in", "3.65 MHz", 0.82)
    assert wb.length_error(extra, "3.65 MHz", 0.82).m_as("inch") == pytest.approx(27)
    assert wb.length_error(-extra, "3.65 MHz", 0.82).m_as("inch") == pytest.approx(-27)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("-1 m", "1.83 MHz", 0.8, 0.8), ("length", "negative")),
        (("1 m", "1.83 MHz", 85, 0.8), ("assumed", "0.85")),
        (("1 m", "1.83 MHz", 0.8, 1.2), ("true", "outside 0 to 1")),
        (("1 m", 1.83e6, 0.8, 0.8), ("frequency", "bare")),
        (("1 m", "1.83 MHz", 0.8, "0.8"), ("true", "plain number")),
        (("1 m", "1.83 MHz", [0.8, 0.7], [0.8, 0.7, 0.6]), ("broadcast",)),
    ],
    ids=["length", "per cent", "over 1", "bare", "text", "shapes"],
)
def test_phase_error_refuses_in_a_sentence(refused, arguments, words):
    refused(lambda: wb.phase_error(*arguments), *words)


# --- what each fault does ---------------------------------------------------------------------------------


def test_wrong_velocity_factor_of_all_lines_goes_with_their_lengths(ring):
    error = late(ring, wb.faults.WrongVelocityFactor(0.85, 0.83))
    lengths = wb.Quantity(ring.delays.m_as("s") * 0.85 * C, "m")
    np.testing.assert_allclose(error, wb.phase_error(lengths, "1.83 MHz", 0.85, 0.83).m_as("degree"), atol=1e-9)
    assert np.all(error[4:6] == 0)


def test_wrong_velocity_factor_of_one_reel_concerns_its_lines_alone(ring):
    error = late(ring, wb.faults.WrongVelocityFactor(0.85, 0.83, elements=(0, 3)))
    np.testing.assert_array_equal(np.flatnonzero(error), [0, 3])


def test_runs_that_are_all_alike_wrong_do_no_harm(ring):
    report = wb.fault_report(ring.firing, [wb.faults.WrongRunVelocity("30 m", 0.85, 0.83)], ring.delays)
    error = report.phase_error.m_as("degree")
    np.testing.assert_allclose(error, wb.phase_error("30 m", "1.83 MHz", 0.85, 0.83).m_as("degree"))
    assert report.rdf_lost.m_as("dB") == pytest.approx(0, abs=1e-12)
    assert report.front_to_back_lost.m_as("dB") == pytest.approx(0, abs=1e-9)


def test_some_runs_of_another_reel_do_harm(ring):
    report = wb.fault_report(ring.firing, [wb.faults.WrongRunVelocity("100 m", 0.85, 0.66, (0, 1))], ring.delays)
    assert report.rdf_lost.m_as("dB") != pytest.approx(0, abs=0.01)


def test_wrong_length_is_late_where_it_is_too_long(ring):
    error = late(ring, wb.faults.WrongLength("10 cm", 0.83, (2,)))
    assert error[2] == pytest.approx(wb.electrical_length("10 cm", "1.83 MHz", 0.83).m_as("degree"))
    assert late(ring, wb.faults.WrongLength("-4 in", 0.83, (2,)))[2] < 0
    report = wb.fault_report(ring.firing, [wb.faults.WrongLength("-4 in", 0.83, (2,))], ring.delays)
    assert report.length_error(0.83)[2].m_as("inch") == pytest.approx(-4)


def test_moved_element_changes_the_layout_alone(ring):
    report = wb.fault_report(ring.firing, [wb.faults.MovedElement(3, "2 ft", "-1 ft")], ring.delays)
    moved = (report.after.layout.metres - ring.firing.layout.metres) / 0.3048
    np.testing.assert_allclose(moved[3], [2, -1])
    assert np.all(np.delete(moved, 3, axis=0) == 0)
    assert np.all(report.phase_error.magnitude == 0)
    assert report.rdf_lost.m_as("dB") != 0


def test_swapped_lines_exchange_their_delays(ring):
    error = late(ring, wb.faults.SwappedLines(0, 3))
    apart = 360 * 1.83e6 * (121.627 - 35.624) * 1e-9
    np.testing.assert_allclose(error[[0, 3]], [-apart, apart])
    assert np.all(np.delete(error, [0, 3]) == 0)


def test_lines_swapped_twice_are_where_they_were(ring):
    error = late(ring, wb.faults.SwappedLines(0, 3), wb.faults.SwappedLines(3, 0))
    np.testing.assert_allclose(error, 0, atol=1e-12)


def test_dead_element_has_no_level(ring):
    report = wb.fault_report(ring.firing, [wb.faults.DeadElement(0)], ring.delays)
    np.testing.assert_array_equal(report.after.weights, np.where(np.arange(8) == 0, 0, ring.firing.weights))
    assert report.level.m_as("dB")[0] == -np.inf
    assert np.all(report.level.m_as("dB")[1:] == 0)


def test_reversed_element_has_the_opposite_weight(ring):
    report = wb.fault_report(ring.firing, [wb.faults.ReversedElement(6)], ring.delays)
    np.testing.assert_allclose(report.after.weights[6], -ring.firing.weights[6])
    assert abs(report.phase_error.m_as("degree")[6]) == pytest.approx(180)
    assert report.level.m_as("dB")[6] == pytest.approx(0)


def test_warm_cable_is_later_by_its_coefficient(ring):
    error = late(ring, wb.faults.TemperatureDifference(30, 1e-4))
    np.testing.assert_allclose(error, 360 * 1.83e6 * ring.delays.m_as("s") * 30e-4)
    sunlit = late(ring, wb.faults.TemperatureDifference(30, 1e-4, delay="200 ns", elements=(4,)))
    np.testing.assert_allclose(sunlit, np.where(np.arange(8) == 4, 360 * 1.83e6 * 200e-9 * 30e-4, 0))


def test_measured_channel_error_is_taken_over(ring):
    fault = wb.faults.ChannelError(wb.Quantity([2.0, -3.0], "deg"), wb.Quantity([-0.5, 0.2], "dB"), (1, 2))
    report = wb.fault_report(ring.firing, [fault], ring.delays)
    np.testing.assert_allclose(report.phase_error.m_as("degree")[[1, 2]], [2, -3])
    np.testing.assert_allclose(report.level.m_as("dB")[[1, 2]], [-0.5, 0.2])


def test_wrong_terminations_give_the_errors_of_the_channels(ring):
    cable = wb.cable("series-6-copper")
    v = cable.velocity_factor("1.83 MHz")
    delays = ring.delays
    channels = [
        wb.Channel(
            "75 ohm", cable, "25 m", cable if d else None, wb.delay_length(delays[n], v) if d else None, "50 ohm"
        )
        for n, d in enumerate(delays.m_as("s") > 0)
    ]
    report = wb.fault_report(ring.firing, [wb.faults.WrongTerminations(channels, delays)], delays)
    early, level = wb.channel_errors(channels, delays, "1.83 MHz")
    np.testing.assert_allclose(report.phase_error.m_as("degree"), -early.m_as("degree"), atol=1e-9)
    np.testing.assert_allclose(report.level.m_as("dB"), level.m_as("dB"), atol=1e-9)


def test_faults_add_up(ring):
    one, other = wb.faults.WrongLength("10 cm", 0.83, (2,)), wb.faults.WrongVelocityFactor(0.85, 0.83)
    np.testing.assert_allclose(late(ring, one, other), late(ring, one) + late(ring, other), atol=1e-12)


# --- the pattern ------------------------------------------------------------------------------------------


def test_no_fault_costs_nothing(ring):
    report = wb.fault_report(ring.firing, [], ring.delays)
    assert report.rdf_lost.m_as("dB") == 0
    assert report.front_to_back_lost.m_as("dB") == 0
    assert report.null[0] == report.null[1]


def test_figures_are_those_of_the_firings(ring):
    report = wb.fault_report(ring.firing, [wb.faults.SwappedLines(0, 3)], ring.delays)
    assert report.rdf == (wb.rdf(report.before), wb.rdf(report.after))
    assert report.front_to_back[1] == wb.front_to_back(report.after)
    lost = wb.rdf(ring.firing).m_as("dB") - wb.rdf(report.after).m_as("dB")
    assert report.rdf_lost.m_as("dB") == pytest.approx(lost)


def test_nulls_are_the_minima_of_a_fine_cut(ring):
    report = wb.fault_report(ring.firing, [wb.faults.WrongLength("3 m", 0.83, (0,))], ring.delays)
    for firing, null in zip((report.before, report.after), report.null, strict=True):
        turns = np.arange(0, 360, 0.05)
        cut = np.abs(wb.array_response(firing, wb.Quantity(turns, "deg"), "20 deg")) ** 2
        front = np.abs(wb.array_response(firing, "22.5 deg", "20 deg")) ** 2
        assert null.depth.m_as("dB") == pytest.approx(10 * np.log10(front / cut.min()), abs=1e-3)
        assert null.azimuth.m_as("degree") == pytest.approx(turns[cut.argmin()], abs=0.06)


def test_null_behind_is_complete_and_a_late_line_moves_it_aside(cardioid):
    """A line that is too long splits the null behind into two that are complete; one too short fills it.

    Behind, at a turn t from straight behind, both cancel where 90 deg cos t equals 90 deg less the extra lag.
    """
    before = wb.deepest_null(cardioid.firing)
    assert before.azimuth.m_as("degree") == pytest.approx(180, abs=1e-3)
    assert before.depth.m_as("dB") == np.inf
    long = wb.fault_report(cardioid.firing, [wb.faults.WrongLength("5 m", 0.83, (0,))], cardioid.delays)
    assert long.null[1].depth.m_as("dB") > 80
    aside = np.degrees(np.arccos(1 - 4 * 1.83e6 * 5 / (0.83 * C)))
    assert abs(long.null[1].azimuth.m_as("degree") - 180) == pytest.approx(aside, abs=1e-3)
    short = wb.fault_report(cardioid.firing, [wb.faults.WrongLength("-5 m", 0.83, (0,))], cardioid.delays)
    assert short.null[1].azimuth.m_as("degree") == pytest.approx(180, abs=1e-3)
    lag = np.radians(360 * 1.83e6 * 5 / (0.83 * C))
    depth = -20 * np.log10(np.tan(lag / 2))
    assert short.null[1].depth.m_as("dB") == pytest.approx(depth, abs=1e-6)


REFUSED = {
    "other thing": (["swapped"], "faults", "wb.faults"),
    "element that is not there": ([wb.faults.DeadElement(8)], "element", "0 to 7"),
    "element by half": ([wb.faults.DeadElement(1.5)], "element", "whole number"),
    "line that is not there": ([wb.faults.WrongVelocityFactor(0.85, 0.83, (4,))], "element 4 has no delay line"),
    "velocity in per cent": ([wb.faults.WrongVelocityFactor(85, 0.83)], "assumed", "0.85"),
    "bare excess": ([wb.faults.WrongLength(0.1, 0.83)], "excess", "bare"),
    "temperature with its unit": ([wb.faults.TemperatureDifference("30 K", 1e-4)], "kelvin", "plain number"),
    "lags of another count": (
        [wb.faults.ChannelError(wb.Quantity([1.0, 2.0], "deg"), "0 dB", (1, 2, 3))],
        "lag",
        "2 came for 3",
    ),
    "nothing left": ([wb.faults.DeadElement(n) for n in range(8)], "every element is off"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refuses_in_a_sentence(refused, ring, name):
    faults, *words = REFUSED[name]
    refused(lambda: wb.fault_report(ring.firing, faults, ring.delays), *words)


def test_faults_survive_pickling():
    fault = wb.faults.SwappedLines(1, 2)
    assert pickle.loads(pickle.dumps(fault)) == fault
