"""Terminations in words: one sign for every phase error, and an answer line that says what ends cost and what to do."""

import pytest

import workbook as wb
from workbook.files import shipped
from workbook.tables.terminations import channel_table, terminations_answer


def plan(source, port, **kept):
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    changes = {("ends",): {}, ("hub", "source_impedance"): f"{source} ohm", ("hub", "port_impedance"): f"{port} ohm"}
    return ring.changed(changes | {("hub", key): value for key, value in kept.items()}).plan()


def figures(made):
    return {figure.label: figure for figure in terminations_answer(made, made.terminations).figures}


@pytest.mark.parametrize(("source", "port"), [(50, 60), (40, 40), (150, 60)])
def test_a_channel_that_comes_late_is_positive(source, port):
    made = plan(source, port)
    # by the contract's own function, in which positive is early; connectors left out on both sides
    cable = wb.cable("series-6-copper")
    line = made.delay_lines[-1]
    run = wb.Quantity(made.element_runs.length_m, "m")
    ends = [(None, None), (cable, wb.Quantity(line.length_m, "m"))]
    channels = [wb.Channel(f"{source} ohm", cable, run, *one, f"{port} ohm") for one in ends]
    early, _ = wb.channel_errors(channels, wb.Quantity([0, line.delay_s], "s"), "1.84 MHz")
    row = next(row for row in channel_table(made, made.terminations).rows if row[:2] == (line.label, "160 m"))
    assert float(row[2]) == pytest.approx(-early[1].m_as("degree"), abs=0.005)
    low, high = (float(text) for text in row[4].split(" to "))
    assert low <= float(row[2]) <= high


def test_tolerances_stay_in_order_when_the_sign_is_turned():
    made = plan(50, 60, source_tolerance=0.2)
    for row in channel_table(made, made.terminations).rows:
        low, high = (float(text) for text in row[4].split(" to "))
        assert low < float(row[2]) < high


@pytest.mark.parametrize(("source", "port"), [(75, 75), (40, 40), (300, 20)])
def test_the_answer_is_the_worst_of_all_channels_directions_and_bands(source, port):
    made = plan(source, port)
    found = figures(made)
    ends = made.terminations
    late = [-on.phase_error_deg for channel in ends.channels for on in channel.bands]
    assert abs(float(found["greatest phase error"].value)) == pytest.approx(max(map(abs, late)), abs=0.005)
    assert float(found["greatest phase error"].value) == pytest.approx(max(late, key=abs), abs=0.005)
    ideal = {(one.name, band.name): band for one in made.directions for band in one.bands}
    lost = max(ideal[real.direction, real.name].rdf_db - real.rdf_db for real in ends.directions)
    assert float(found["RDF lost"].value) == pytest.approx(max(lost, 0), abs=0.005)
    back = max(ideal[real.direction, real.name].front_to_back_db - real.front_to_back_db for real in ends.directions)
    assert float(found["front-to-back lost"].value) == pytest.approx(max(back, 0), abs=0.05)
    # what matters is 0.05 dB of RDF or 0.5 dB of front-to-back
    assert (found["what to do"].value == "nothing") == (lost < 0.05 and back < 0.5)
