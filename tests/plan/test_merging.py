"""Delays that share a line by choice, pieces of a ladder by name, and warnings of near lines and wide arrays."""

import numpy as np
import pytest

import workbook as wb
from workbook.files import shipped
from workbook.plan.results import MergeOption
from workbook.report.sheets import build_sheet, uses
from workbook.tables.cuts import cut_list, expectations
from workbook.tables.fewer_lines import farthest_stake, lines_sentence, worth_taking


@pytest.fixture(scope="module")
def measured():
    """The demo ring with every stake measured a few centimetres off."""
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    off = np.random.default_rng(3).uniform(-0.04, 0.04, (8, 2))
    places = wb.ring(8, "46 m", "0 deg").positions.m_as("m") + off
    rows = [[f"{east:.3f} m", f"{north:.3f} m"] for east, north in places]
    gone = dict.fromkeys((("array", "count"), ("array", "diameter"), ("array", "first_azimuth")))
    return ring.changed({**gone, ("array", "kind"): "custom", ("array", "positions"): rows})


def test_a_warning_names_the_merge_that_leaves_fewest_lines_at_no_cost_that_matters(measured):
    plan = measured.plan()
    assert len(plan.delay_lines) > 10
    best = [one for one in plan.merges if not one.cost.matters][-1]
    assert best.lines <= 4
    assert any(
        f"merge within {best.tolerance_deg:g} deg (worksheet 03) leaves {best.lines} of {len(plan.delay_lines)} "
        in text
        for text in plan.warnings
    )


def test_every_merge_of_the_ranking_gives_what_it_says(measured):
    """The plan with the tolerance written has that many lines, and loses as much RDF and front-to-back at most."""
    exact = measured.plan()
    assert [one.lines for one in exact.merges] == sorted({one.lines for one in exact.merges}, reverse=True)
    for one in exact.merges:
        merged = measured.changed({("hub", "merge"): f"{one.tolerance_deg} deg"}).plan()
        assert (len(merged.delay_lines), sum(line.count for line in merged.delay_lines)) == (one.lines, one.pieces)
        pairs = [
            (before, after)
            for wanted, given in zip(exact.directions, merged.directions, strict=True)
            for before, after in zip(wanted.bands, given.bands, strict=True)
        ]
        assert max(a.rdf_db - b.rdf_db for a, b in pairs) == pytest.approx(one.rdf_lost_db, abs=1e-9)
        lost = max(a.front_to_back_db - b.front_to_back_db for a, b in pairs)
        assert lost == pytest.approx(one.front_to_back_lost_db, abs=1e-9)
        # what is merged already does not change what is offered
        assert merged.merges == exact.merges


def test_the_stake_that_alone_makes_all_runs_longer_is_named(measured):
    places = [[f"{east} m", f"{north} m"] for east, north in ((0, 20), (20, 0), (0, -20), (-20.6, 0))]
    text = farthest_stake(measured.changed({("array", "positions"): places}).stages())
    assert "Element 4 " in text
    assert "0.600 m (1 ft 11 5/8 in) longer" in text
    places[3][0] = "-20.04 m"
    assert farthest_stake(measured.changed({("array", "positions"): places}).stages()) == ""


def test_merged_delays_share_a_line_within_half_of_what_was_allowed(measured):
    merged = measured.changed({("hub", "merge"): "1 deg"}).plan()
    assert len(merged.delay_lines) == 4
    assert not any("Fewer lines" in text for text in merged.warnings)
    alone = measured.plan()
    of = {line.label: line for line in merged.delay_lines}
    furthest = dict.fromkeys(of, 0.0)
    for direction, asked in zip(merged.directions, alone.directions, strict=True):
        for feed, wanted in zip(direction.elements, asked.elements, strict=True):
            # what is stated, and what the figures are worked out from, is what the line gives
            assert feed.delay_s == (of[feed.line].delay_s if feed.line else 0.0)
            off = 360 * abs(feed.delay_s - wanted.delay_s)
            # midway between the shortest and the longest; what needs no line is below the limit
            assert off * 3.6e6 < (0.5 if feed.line else 1) + 1e-9
            if feed.line:
                furthest[feed.line] = max(furthest[feed.line], off * 1.84e6)
    for line in merged.delay_lines:
        # what needs no 0.05 degree is one line anyway, so an element may be off by as much as that less
        assert line.sharing_error_deg == pytest.approx(furthest[line.label], abs=0.03)
    lost = [
        (one.bands[1].phase_from_rule_deg, one.bands[1].rdf_db, one.bands[1].rule_rdf_db) for one in merged.directions
    ]
    assert all(0 < off < 1 and rdf != rule for off, rdf, rule in lost)
    assert "largest error by sharing deg" in expectations(merged).headings


def test_a_shared_line_between_real_ends_is_compensated_to_the_least_worst_error():
    """Independent of the plan's own solver: the length is moved until the earliest and the latest are equally off."""
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    waits = [["0 ns", "38 ns", "39 ns", "51 ns"], ["0 ns", "40 ns", "38 ns", "120 ns"]]
    names = [{"name": f"d{n}", "azimuth": f"{n} deg", "delays": row} for n, row in enumerate(waits)]
    gone = dict.fromkeys((("array", "diameter"), ("array", "first_azimuth")))
    plan = ring.changed(
        gone
        | {("array", "kind"): "row", ("array", "count"): 4, ("array", "spacing"): "15 m", ("array", "azimuth"): "0 deg"}
        | {("phasing",): {"rule": "entered", "cut_band": "160 m"}, ("directions",): names}
        | {("hub", "merge"): "20 deg", ("hub", "source_impedance"): "50 ohm", ("hub", "port_impedance"): "60 ohm"}
    ).plan()
    made_of, runs = wb.cable("series-6-copper"), plan.element_runs
    on, per_delay = wb.Quantity(1.84e6, "Hz"), 299_792_458 * made_of.velocity_factor("1.84 MHz")
    gamma = complex(made_of.propagation_constant(on).m_as("1/m"))
    impedance = complex(made_of.characteristic_impedance(on).m_as("ohm"))
    into, out = ((ohm - impedance) / (ohm + impedance) for ohm in (50, 60))

    def arrives(metres):
        return np.exp(-gamma * metres) / (1 - into * out * np.exp(-2 * gamma * metres))

    run = runs.length_m + 2 * 0.11e-9 * per_delay

    def worst(metres, delays):
        ratio = arrives(run + metres + 2 * 0.11e-9 * per_delay) / arrives(run)
        return max(abs(np.angle(ratio * np.exp(2j * np.pi * 1.84e6 * wait), deg=True)) for wait in delays)

    served = {"A": (38e-9, 39e-9, 40e-9, 51e-9), "B": (120e-9,)}
    assert [line.label for line in plan.delay_lines] == ["A", "B"]
    for line in plan.delay_lines:
        best = worst(line.compensated_length_m, served[line.label])
        assert best == pytest.approx(line.sharing_error_deg, abs=1e-6)
        assert all(worst(line.compensated_length_m + off, served[line.label]) > best for off in (-0.02, 0.02))


@pytest.mark.parametrize("text", ["0 deg", "-1 deg", "31 deg", "1", "1 m"])
def test_a_limit_that_is_none_is_refused(measured, refused, text):
    refused(lambda: measured.changed({("hub", "merge"): text}), "hub")


def test_pieces_of_a_ladder_are_named_from_tap_to_tap_and_serve_all_behind_them():
    plan = wb.load_design(shipped("notebooks") / "heron-fen-row.toml").plan()
    names = [row[0] for row in cut_list(plan).rows]
    assert names == ["run 1 to 4", "A to end", "B to A", "C to B"]
    # element 4 enters at tap C when fired over element 1, so its signal passes through every piece
    first = plan.directions[0]
    assert first.elements[3].line == "C"
    assert all("4 reversed" in uses(plan, label)[0] for label in "ABC")
    assert "3 reversed" not in uses(plan, "C")[0]
    assert "passes through all pieces" in build_sheet(plan)


def test_an_array_wider_than_half_a_wavelength_between_neighbours_is_warned_of():
    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")
    assert not any("other lobes" in text for text in ring.plan().warnings)
    # half a wavelength at 3.6 MHz is 41.64 m; neighbours of a ring of eight stand 0.38268 diameters apart
    wide = ring.changed({("array", "diameter"): "109 m"}).plan()
    assert any("other lobes" in text for text in wide.warnings)
    assert not any("other lobes" in text for text in ring.changed({("array", "diameter"): "108 m"}).plan().warnings)


def test_elements_that_a_rule_leaves_out_are_named():
    row = wb.load_design(shipped("notebooks") / "heron-fen-row.toml").changed({("array", "count"): 5})
    stated = "Some elements are off; beam east-north-east: 3; west-south-west: 3."
    assert stated in row.plan().warnings


def test_a_merge_that_matters_is_left_out_where_fewer_lines_do_not_matter():
    rows = ((1.5, 5, 0.0), (6.0, 4, 5.0), (8.0, 3, 0.1), (12.0, 2, 6.0))
    merges = tuple(MergeOption(degrees, lines, lines, 0.0, back) for degrees, lines, back in rows)
    assert [one.lines for one in worth_taking(merges)] == [5, 3, 2]


def test_fewer_lines_are_offered_to_a_design_that_merges_less(measured):
    exact = measured.plan()
    free = [one for one in exact.merges if not one.cost.matters]
    said = f"merge within {free[-1].tolerance_deg:g} deg (worksheet 03) leaves {free[-1].lines} of "
    less, most = (
        measured.changed({("hub", "merge"): f"{one.tolerance_deg} deg"}).plan() for one in (free[0], free[-1])
    )
    assert any(f"{said}{len(less.delay_lines)} delay lines" in text for text in less.warnings)
    assert not any("Fewer lines" in text for text in most.warnings)
    stands = (
        f"the beams take {len(exact.delay_lines)} different delay lines; merge within {free[-1].tolerance_deg:g} deg"
    )
    assert stands in lines_sentence(measured.stages())
    assert lines_sentence(measured.changed({("hub", "merge"): f"{free[-1].tolerance_deg} deg"}).stages()) == ""
