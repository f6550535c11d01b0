"""The plan as plain data: the contract's keys, numbers JSON can hold, nothing that changes."""

import dataclasses
import hashlib
import json
import math
from typing import Any

import pytest
from designs import BASES

import workbook as wb
from workbook.tables.cuts import total_table

CHECK = {"far_end", "frequency_hz", "first_cut_frequency_hz", "hz_per_m", "resistance_ohm"}
# the contract's keys; more may join
KEYS: dict[str, set[str]] = {
    "": {
        *"format name workbook_version design_sha256 bands elements directions delay_lines element_runs".split(),
        *"receiver_run totals stakes tapes switch_table hub_options slacks warnings".split(),
        *"rule ground declination_deg terminations match".split(),
    },
    "ground": {"kind", "relative_permittivity", "conductivity_s_per_m"},
    "bands": {"name", "frequency_hz"},
    "elements": {"number", "east_m", "north_m"},
    "directions": {"name", "azimuth_deg", "elements", "bands"},
    "directions.bands": {
        *"name rdf_db front_to_back_db signal_gain_db noise_gain_db white_noise_gain_db".split(),
        *"rdf_lost_to_errors_db rule_rdf_db phase_from_rule_deg".split(),
    },
    "directions.elements": {"number", "delay_s", "polarity", "amplitude", "line"},
    "shapes": {
        *"direction band front_to_rear_worst_db front_to_rear_mean_db azimuth_beamwidth_deg".split(),
        *"elevation_beamwidth_deg peak_elevation_deg nulls".split(),
    },
    "shapes.nulls": {"bearing_deg", "below_greatest_db"},
    "delay_lines": {
        *"label from to count delay_s compensated_length_m cable cut_frequency_hz velocity_factor".split(),
        *"nominal_velocity_factor length_m".split(),
        *"least_length_m greatest_length_m length_to_cut_m first_cut_m nominal_length_error_m".split(),
        *"loop_resistance_ohm check bands".split(),
    },
    "delay_lines.check": CHECK,
    "delay_lines.bands": set("name electrical_length_deg phase_error_deg nominal_phase_error_deg loss_db".split()),
    "element_runs": set("cable count length_m length_to_cut_m loop_resistance_ohm check bands".split()),
    "element_runs.check": CHECK,
    "element_runs.bands": {"name", "electrical_length_deg", "loss_db"},
    "receiver_run": {"cable", "length_m", "loop_resistance_ohm", "bands"},
    "receiver_run.bands": {"name", "loss_db"},
    "totals": {"cable", "length_m", "pieces"},
    "stakes": {"element", "east_m", "north_m", "distance_m", "azimuth_deg", "magnetic_deg"},
    "tapes": {"from", "to", "length_m"},
    "switch_table": {"direction", "element", "line", "polarity"},
    "merges": {"tolerance_deg", "lines", "pieces", "rdf_lost_db", "front_to_back_lost_db"},
    "hub_options": {"kind", "pieces", "cable_m", "combiner_inputs", "inverting_transformers"},
}
# where only some designs have them
SOME = {
    "receiver_run",
    "receiver_run.bands",
    "slacks",
    "terminations",
    "terminations.channels",
    "terminations.channels.bands",
    "terminations.directions",
    "match",
    "match.components",
    "match.sections",
    "match.sections.check",
    "match.bands",
}
RECEPTION = {
    "reception": set("wanted_margin_db cutoff_hz choke_tolerance bands transmitters".split()),
    "reception.bands": {
        *"name direction external_db external_source received_db margin_db limit parts receiver_dbm".split(),
        *"amplifier_dbm element_gain_db element_noise_figure_db choke_phase_spread_deg choke_rdf_lost_db".split(),
        *"choke_front_to_back_lost_db choke_tolerance_needed".split(),
    },
    "reception.bands.parts": {"name", "level_db"},
    "reception.transmitters": set(
        "name frequency_hz field_v_per_m voltage_v without_chokes_v limit_v switch_off".split()
    ),
    "feed": set("supply_v least_voltage_v voltage_v drops pair_gauge gauge_needed supply_needed_v".split()),
    "feed.drops": set("run length_m current_a loop_resistance_ohm drop_v".split()),
    "reels": set("cable opened_m waste_m proven gap problem together reels".split()),
    "reels.reels": set("reel length_m velocity_factor cuts left_m".split()),
    "reels.reels.cuts": {"piece", "length_m", "end_m"},
}
SOME |= set(RECEPTION)
KEYS |= RECEPTION
KEYS |= {
    "slacks": {"direction", "line", "slack_s"},
    "terminations": {"source_ohm", "port_ohm", "channels", "directions"},
    "terminations.channels": {"line", "compensated_length_m", "bands"},
    "terminations.channels.bands": {"name", "phase_error_deg", "level_db"},
    "terminations.directions": {"direction", "name", "rdf_db", "compensated_rdf_db"},
    "match": {"way", "components", "sections", "bands"},
    "match.components": {"name", "value", "unit"},
    "match.sections": {"cable", "count", "length_m", "length_to_cut_m", "first_cut_m", "check"},
    "match.sections.check": CHECK,
    "match.bands": {"name"},
}
HAS = {
    "full": {"receiver_run", "receiver_run.bands"},
    "ends": SOME - {"slacks", *RECEPTION},
    "receive": {"receiver_run", "receiver_run.bands", *RECEPTION},
    "fewest": {"slacks"},
}


def tables(data: Any, path: str = "") -> Any:
    """Yield every table of the plan with its place."""
    if isinstance(data, dict):
        yield path, data
        for key, value in data.items():
            yield from tables(value, f"{path}.{key}".lstrip("."))
    elif isinstance(data, list):
        for value in data:
            yield from tables(value, path)


@pytest.mark.parametrize("base", BASES)
def test_the_contract_s_keys_are_there(plan, base):
    seen = set()
    for path, table in tables(plan(base).to_dict()):
        assert KEYS[path] <= table.keys(), path
        seen.add(path)
    # a way has lines or components, a pattern is known or not and has some nulls or none
    lines = {"merges", "match.components", "match.sections", "match.sections.check", "shapes", "shapes.nulls"}
    assert seen - lines == (set(KEYS) - SOME | HAS.get(base, set())) - lines


def plain(data: Any) -> bool:
    if isinstance(data, dict):
        return all(type(key) is str and plain(value) for key, value in data.items())
    if isinstance(data, list):
        return all(map(plain, data))
    return data is None or type(data) in (str, int, bool) or (type(data) is float and math.isfinite(data))


@pytest.mark.parametrize("base", BASES)
def test_json_says_the_same(plan, base):
    """Only what JSON has: no NumPy numbers, no tuples, no infinities."""
    data = plan(base).to_dict()
    assert plain(data)
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_what_the_file_says_is_repeated(write):
    path = write("full")
    data = wb.load_design(path).plan().to_dict()
    assert (data["format"], data["name"], data["workbook_version"]) == (1, "Otter Mead", wb.__version__)
    assert data["design_sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert data["bands"] == [
        {"name": "160 m", "frequency_hz": 1.83e6},
        {"name": "80 m", "frequency_hz": 3.65e6},
        {"name": "40 m", "frequency_hz": 7.1e6},
    ]
    assert [(one["name"], one["azimuth_deg"]) for one in data["directions"]] == [
        ("north-east", pytest.approx(45)),
        ("half-way", pytest.approx(22.5)),
    ]
    assert [element["number"] for element in data["elements"]] == list(range(1, 9))
    assert data["elements"][0] == {"number": 1, "east_m": pytest.approx(0), "north_m": pytest.approx(21)}
    assert data["elements"][2] == {"number": 3, "east_m": pytest.approx(21), "north_m": pytest.approx(0, abs=1e-12)}


def test_a_plan_without_a_receiver_run_says_null(plan):
    assert plan().to_dict()["receiver_run"] is None
    assert [total.pieces for total in plan().totals] == [1 + 4]


def test_an_element_that_is_off_says_null(plan):
    change = {("directions", 0, "delays"): ["0 ns", "off", "20 ns"]}
    off = plan("entered", change).to_dict()["directions"][0]["elements"][1]
    assert off == {"number": 2, "delay_s": None, "polarity": 0, "amplitude": 0.0, "line": None}


def test_every_line_that_is_used_is_cut_and_the_other_way_round(plan):
    for base in BASES:
        data = plan(base).to_dict()
        used = {feed["line"] for one in data["directions"] for feed in one["elements"]} - {None}
        assert used == {line["label"] for line in data["delay_lines"]}


def test_lines_are_told_shortest_first_and_cut_longest_first(plan):
    made = plan("full")
    lengths = [line.length_m for line in made.delay_lines]
    assert lengths == sorted(lengths)
    assert [line.label for line in made.delay_lines] == [chr(ord("A") + n) for n in range(len(lengths))]
    assert made.cut_order == made.delay_lines[::-1]


def test_a_plan_cannot_be_changed(plan):
    made = plan()
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.name = "other"
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.delay_lines[0].length_m = 1.0
    made.to_dict()["delay_lines"].clear()
    assert made.delay_lines


def test_the_same_design_gives_the_same_plan(write):
    path = write("full")
    assert wb.load_design(path).plan() == wb.load_design(path).plan()


def test_repr_of_a_plan_is_one_line(plan):
    text = repr(plan("full"))
    assert "\n" not in text
    assert len(text) < 200
    for part in ("Otter Mead", "elements 8", "directions 2", "hub ports"):
        assert part in text


def test_a_notebook_shows_a_plan_as_a_card_with_names_escaped(plan):
    html = plan("full", {("name",): "<b>Otter"})._repr_html_()
    assert "<table" not in html
    assert "&lt;b&gt;Otter" in html
    assert "<dt>hub</dt><dd>ports</dd>" in html


def test_totals_count_lines_of_the_receiver_match_in_plan_and_sheet(plan):
    """Delay lines and matching lines by first cut, element runs by length to cut, the receiver run as it is."""
    made = plan("full", {("match",): {"way": "quarter-wave line", "source": "75 ohm", "load": "50 ohm", "most_swr": 9}})
    assert made.match.sections
    lengths, pieces = {}, {}
    for part in (*made.delay_lines, *made.match.sections):
        lengths[part.cable] = lengths.get(part.cable, 0) + part.first_cut_m * part.count
        pieces[part.cable] = pieces.get(part.cable, 0) + part.count
    runs, receiver = made.element_runs, made.receiver_run
    for name, metres, count in ((runs.cable, runs.length_to_cut_m, runs.count), (receiver.cable, receiver.length_m, 1)):
        lengths[name] = lengths.get(name, 0) + metres * count
        pieces[name] = pieces.get(name, 0) + count
    assert {one.cable: one.length_m for one in made.totals} == pytest.approx(lengths)
    assert {one.cable: one.pieces for one in made.totals} == pieces
    for (name, count, text), total in zip(total_table(made).rows, made.totals, strict=True):
        assert (name, int(count)) == (total.cable, total.pieces)
        assert text.startswith(f"{total.length_m:.3f} m")


def test_stages_compute_only_what_is_read(write):
    """Pattern and feeds need no cable: no cut, total, hub option or match is computed for them."""
    stages = wb.load_design(write("ends")).stages()
    assert stages.directions[0].bands[0].rdf_db > 0
    assert not {"cut_lines", "element_runs", "totals", "hub_options", "match", "terminations"} & set(vars(stages))
    assert stages.plan() == wb.load_design(write("ends")).plan()
    assert stages.directions is stages.directions
