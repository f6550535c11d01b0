"""The three kinds of hub by hand: pieces, ladders, combiners, inverters, and the tables on the box lid."""

import itertools

import numpy as np
import pytest
from test_delays import entered

import workbook as wb
from workbook.tables import fewer_lines, wiring

C = 299_792_458.0
Q = wb.Quantity
RADIUS = 23.0
EIGHT = {
    ("array",): {"kind": "ring", "count": 8, "diameter": "46 m", "first_azimuth": "0 deg"},
    ("phasing", "elevation"): "22 deg",
    ("directions",): [{"name": str(n), "azimuth": f"{45 * n} deg"} for n in range(8)],
}


def option(made, kind):
    return next(one for one in made.hub_options if one.kind == kind)


# --- the ring of eight ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("hub", "counts"), [("joined", [1] * 4), ("ports", [2, 2, 2, 1]), ("ladder", [1] * 4)])
def test_a_ring_of_eight_fired_through_its_elements(plan, hub, counts):
    """Delays {0, R(1 - cos 45), R, R(1 + cos 45), 2R} cos(elevation)/c; 7 lines in hub `ports` (issue 5)."""
    made = plan("square", {**EIGHT, ("hub", "kind"): hub})
    step = np.cos(np.pi / 4)
    wanted = np.array([1 - step, 1, 1 + step, 2]) * RADIUS * np.cos(np.radians(22)) / C
    assert [line.count for line in made.delay_lines] == counts
    assert [delay for _, delay in wiring.tap_delays(made)] == pytest.approx(wanted)
    assert sum(counts) == option(made, hub).pieces
    if hub == "ladder":
        assert [line.delay_s for line in made.delay_lines] == pytest.approx(np.diff(wanted, prepend=0))
    for n, one in enumerate(made.directions):
        # the element fired over waits longest
        lines = [feed.line for feed in one.elements]
        assert np.roll(np.array(lines, dtype=object), -n).tolist() == ["D", "C", "B", "A", None, "A", "B", "C"]


def test_what_the_ring_of_eight_takes_in_every_hub(plan):
    """By hand, no connectors: joined R(1 - s + 1 + 1 + s + 2) = 5R, ports 2 x 3R + 2R = 8R, a ladder 2R of air delay.

    Joined: pairs at A, B, C, one combiner of the five groups. Ports: all eight at once. A ladder: the same pairs, and
    at every tap but the last the chain comes in: 2 inputs at none, A, B and C.
    """
    made = plan("square", EIGHT)
    v = float(wb.cable("series-6-copper").velocity_factor("1.83 MHz"))
    metres = RADIUS * np.cos(np.radians(22)) * v
    found = [(o.kind, o.pieces, o.combiner_inputs, o.inverting_transformers) for o in made.hub_options]
    assert found == [
        ("ladder", 4, (2,) * 7, 0),
        ("joined", 4, (5, 2, 2, 2), 0),
        ("ports", 7, (8,), 0),
    ]
    assert [o.cable_m for o in made.hub_options] == pytest.approx([2 * metres, 5 * metres, 8 * metres])


def test_the_options_do_not_hang_on_the_hub_that_is_chosen(plan):
    found = [plan("square", {**EIGHT, ("hub", "kind"): hub}).hub_options for hub in ("joined", "ports", "ladder")]
    assert found[0] == found[1] == found[2]


def test_connectors_and_strips_count_for_every_piece(plan):
    """Each piece is shorter by two connectors and longer by two strips."""
    bare = plan("square", EIGHT)
    fitted = plan("square", {**EIGHT, ("ends", "delay_line"): {"delay": "0.2 ns", "strip": "15 mm"}})
    v = float(wb.cable("series-6-copper").velocity_factor("1.83 MHz"))
    for kind in ("joined", "ports", "ladder"):
        one, other = option(bare, kind), option(fitted, kind)
        assert other.cable_m - one.cable_m == pytest.approx(one.pieces * (0.03 - 0.4e-9 * v * C))


def test_a_hub_that_would_need_a_piece_shorter_than_its_connectors(plan):
    """As lines 20 and 24 ns are cut, as a ladder the second piece is one of 4 ns."""
    change = {("directions", 0, "delays"): ["0 ns", "24 ns", "20 ns"], ("ends", "delay_line"): {"delay": "2.5 ns"}}
    made = plan("entered", change)
    assert option(made, "ladder").cable_m is None
    assert option(made, "joined").cable_m > 0
    assert [one.kind for one in made.hub_options] == ["joined", "ports", "ladder"]
    assert "shorter than its connectors" in wiring.hub_table(made).html()


def test_a_ladder_whose_piece_is_shorter_than_its_connectors_is_refused(plan, refused):
    change = {("directions", 0, "delays"): ["0 ns", "24 ns", "20 ns"], ("ends", "delay_line"): {"delay": "2.5 ns"}}
    refused(lambda: plan("entered", {**change, ("hub", "kind"): "ladder"}), "ends.delay_line.delay", "line B", "4 ns")


# --- ladders ----------------------------------------------------------------------------------------------


def test_the_pieces_of_a_ladder_add_up_to_its_taps(plan):
    change = {("directions", 0, "delays"): ["10 ns", "58 ns", "35 ns"], ("hub", "kind"): "ladder"}
    made = plan("entered", change)
    assert [(x.label, x.from_, x.to, x.count) for x in made.delay_lines] == [("A", "A", None, 1), ("B", "B", "A", 1)]
    assert [x.delay_s * 1e9 for x in made.delay_lines] == pytest.approx([25, 23])
    assert wiring.tap_delays(made) == [("A", pytest.approx(25e-9)), ("B", pytest.approx(48e-9))]
    assert [feed.line for feed in made.directions[0].elements] == [None, "B", "A"]
    data = made.to_dict()["delay_lines"]
    assert [(x["from"], x["to"]) for x in data] == [("A", None), ("B", "A")]
    whole = plan("entered", {**change, ("hub", "kind"): "joined"})
    lengths = np.cumsum([x.length_m for x in made.delay_lines])
    assert lengths == pytest.approx([x.length_m for x in whole.delay_lines])
    assert [(x.from_, x.to) for x in whole.delay_lines] == [(None, None)] * 2


# --- combiners and inverting transformers -----------------------------------------------------------------

FOUR = {("phasing",): {"rule": "entered", "cut_band": "160 m", "elevation": "20 deg"}}


def test_combiners_and_inverters_by_hand(plan):
    """Two directions of four elements: in a the first three on 30 ns, the second of them reversed; in b one is off.

    a: 30 ns straight x2, 30 ns reversed x1, none straight x1: three groups. b: 30 ns straight x1, none reversed x2.
    Joined: pairs for 30 ns straight and for none reversed, then 3 groups together. Reversed are 30 ns in a and none in
    b: two transformers stand in the box, each at the port that is named with a minus.
    Ports: four at once, two reversed elements at most. Ladder: the pairs; at the undelayed tap the chain and one group;
    at the last tap the two groups of a.
    """
    given = entered(
        a={"delays": ["30 ns", "30 ns", "30 ns", "0 ns"], "polarity": [1, -1, 1, 1]},
        b={"delays": ["0 ns", "30 ns", "off", "0 ns"], "polarity": [-1, 1, 1, -1]},
    )
    made = plan("square", {**FOUR, ("directions",): given})
    found = {o.kind: (o.pieces, o.combiner_inputs, o.inverting_transformers) for o in made.hub_options}
    assert found == {"joined": (2, (3, 2, 2), 2), "ports": (3, (4,), 2), "ladder": (1, (2, 2, 2, 2), 2)}


def test_one_element_alone_needs_no_combiner(plan):
    made = plan("square", {**FOUR, ("directions",): entered(a={"delays": ["off", "off", "5 ns", "off"]})})
    assert all(one.combiner_inputs == () and one.pieces == 0 and one.cable_m == 0 for one in made.hub_options)
    assert "none" in wiring.hub_table(made).html()


def test_both_polarities_on_one_delay_are_two_pieces_joined_and_one_in_a_ladder(plan):
    given = entered(a={"delays": ["30 ns", "30 ns", "0 ns", "0 ns"], "polarity": [1, -1, 1, 1]})
    made = plan("square", {**FOUR, ("directions",): given})
    assert [(o.kind, o.pieces) for o in made.hub_options] == [("ladder", 1), ("joined", 2), ("ports", 2)]


# --- tables -----------------------------------------------------------------------------------------------


@pytest.fixture
def three(plan):
    """Lines of 20, 21 and 50 ns on two bands, one element reversed, one off."""
    return plan(
        "square",
        {
            **FOUR,
            ("bands",): {"160 m": "1.83 MHz", "80 m": "3.65 MHz"},
            ("directions",): entered(
                a={"delays": ["20 ns", "21 ns", "50 ns", "0 ns"], "polarity": [1, -1, 1, 1]},
                b={"delays": ["off", "0 ns", "0 ns", "20 ns"]},
            ),
            ("hub", "kind"): "ports",
        },
    )


def test_fewer_lines_take_the_difference_of_their_delays_as_tolerance(three):
    """20 and 21 ns are 1.31 deg apart at 3.65 MHz; within 30 deg of nothing 20 and 21 ns need no line at all."""
    rows = fewer_lines.merge_table(three).rows
    assert [row[:3] for row in rows] == [("1.5 deg", "2", "3"), ("30 deg", "1", "1")]
    alone, together = three.merges
    assert alone.cost.rdf_lost_db < together.cost.rdf_lost_db


def test_lines_on_every_band(three):
    """A delay is the same on all bands: 50 ns are 32.94 deg at 1.83 MHz and 65.7 deg at 3.65 MHz."""
    rows = wiring.tap_table(three).rows
    assert rows == (
        ("C", "50.000", "32.9", "65.7"),
        ("B", "21.000", "13.8", "27.6"),
        ("A", "20.000", "13.2", "26.3"),
    )


def test_the_switch_table_says_what_every_element_goes_through(three):
    found = [(row.direction, row.element, row.line, row.polarity) for row in three.switch_table]
    assert found == [
        ("a", 1, "A", 1),
        ("a", 2, "B", -1),
        ("a", 3, "C", 1),
        ("a", 4, None, 1),
        ("b", 1, None, 0),
        ("b", 2, None, 1),
        ("b", 3, None, 1),
        ("b", 4, "A", 1),
    ]


def test_the_lid_and_the_positions(three):
    assert wiring.lid_table(three).rows == (
        ("a", "0", "A", "B-", "C", "0"),
        ("b", "0", "off", "0", "0", "A"),
    )
    a, b = wiring.switch_tables(three)
    assert [row[2:] for row in a.rows] == [
        ("A", "A", "20.000", "straight"),
        ("B", "B", "21.000", "reversed"),
        ("C", "C", "50.000", "straight"),
        ("01", "direct", "0.000", "straight"),
    ]
    assert [row[2] for row in b.rows] == ["none", "01", "02", "A"]


def test_amplitudes_stand_as_attenuators(plan):
    """Of a weight of 0.5 the attenuator is 6.02 dB."""
    made = plan("greatest", {("directions", 0, "azimuth"): "30 deg"})
    (table,) = wiring.switch_tables(made)
    assert table.headings[-1] == "attenuator dB"
    for feed, row in zip(made.directions[0].elements, table.rows, strict=True):
        assert float(row[-1]) == pytest.approx(-20 * np.log10(feed.amplitude), abs=0.051)
    assert len(wiring.switch_tables(plan())[0].headings) == 6


def test_port_names_are_never_given_twice_where_each_element_has_its_own(plan):
    """In hub `ports` every element of a position has a port of its own, also where one is reversed."""
    given = entered(a={"delays": ["30 ns", "30 ns", "0 ns", "0 ns"], "polarity": [1, -1, 1, -1]})
    made = plan("square", {**FOUR, ("directions",): given, ("hub", "kind"): "ports"})
    ports = [row[2] for row in wiring.switch_tables(made)[0].rows]
    assert len(set(ports)) == 4
    # joined, elements of one line and polarity come to one port, others do not
    made = plan("square", {**FOUR, ("directions",): given})
    ports = [row[2] for row in wiring.switch_tables(made)[0].rows]
    assert ports == ["A1", "A2-", "0", "0-"]


def test_every_label_of_the_switch_table_is_cut(plan):
    for base, hub in itertools.product(("full", "greatest", "endfire", "fewest"), ("joined", "ports", "ladder")):
        made = plan(base, {("hub",): {"kind": hub}})
        used = {row.line for row in made.switch_table} - {None}
        assert used == {line.label for line in made.delay_lines}
        assert {(row.direction, row.element) for row in made.switch_table} == {
            (one.name, feed.number) for one in made.directions for feed in one.elements
        }
