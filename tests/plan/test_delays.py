"""From directions to distinct lines, on small cases that can be reckoned by hand."""

import math

import pytest

import workbook as wb
from workbook.plan.delays import label

C = 299_792_458.0
SAME = 0.05 / 360 / 1.83e6
"""0.05 degree on the only band of these designs, as a time."""

AZIMUTHS = {"north": "0 deg", "east": "90 deg", "south": "180 deg", "west": "270 deg"}


def directions(*names):
    return [{"name": name, "azimuth": AZIMUTHS[name]} for name in names]


def entered(**of_each):
    return [{"name": name, "azimuth": "0 deg", **given} for name, given in of_each.items()]


def delays_ns(made, direction=0):
    waits = [feed.delay_s for feed in made.directions[direction].elements]
    return [None if wait is None else wait * 1e9 for wait in waits]


def used(made, direction=0):
    return [feed.line for feed in made.directions[direction].elements]


def lines_ns(made):
    return [(line.label, round(line.delay_s * 1e9, 4), line.count) for line in made.delay_lines]


# --- aligned ----------------------------------------------------------------------------------------------

SIDE = 20 / C * 1e9  # 66.7128 ns
DIAGONAL = 20 * math.sqrt(2) / C * 1e9  # 94.3462 ns


def test_a_square_over_its_side(plan):
    """Corners 1 and 4 lie 20 m nearer to the north and wait 66.713 ns; joined they share one line."""
    made = plan()
    assert delays_ns(made) == pytest.approx([66.7128, 0, 0, 66.7128], abs=5e-5)
    assert used(made) == ["A", None, None, "A"]
    assert lines_ns(made) == [("A", 66.7128, 1)]


def test_with_ports_every_delayed_element_has_its_own_line(plan):
    made = plan("square", {("hub", "kind"): "ports"})
    assert used(made) == ["A", None, None, "A"]
    assert lines_ns(made) == [("A", 66.7128, 2)]


@pytest.mark.parametrize(("kind", "pieces"), [("joined", [1, 1]), ("ports", [2, 1])])
def test_a_square_over_its_corner(plan, kind, pieces):
    """Fired north-east: corner 1 waits a diagonal, corners 2 and 4 half of it."""
    made = plan(
        "square",
        {("hub", "kind"): kind, ("directions",): [{"name": "north-east", "azimuth": "45 deg"}]},
    )
    assert delays_ns(made) == pytest.approx([DIAGONAL, DIAGONAL / 2, 0, DIAGONAL / 2])
    assert used(made) == ["B", "A", None, "A"]
    assert [(line.label, line.count) for line in made.delay_lines] == list(zip("AB", pieces, strict=True))
    assert [line.delay_s * 1e9 for line in made.delay_lines] == pytest.approx([DIAGONAL / 2, DIAGONAL])


def test_all_directions_of_a_square_share_the_same_lines(plan):
    made = plan("square", {("directions",): directions(*AZIMUTHS), ("hub", "kind"): "ports"})
    assert [(line.label, line.count) for line in made.delay_lines] == [("A", 2)]
    for number in range(4):
        assert sorted(used(made, number), key=str) == ["A", "A", None, None]


def test_the_set_of_lines_is_the_union_over_all_directions(plan):
    both = [*directions("north"), {"name": "north-east", "azimuth": "45 deg"}]
    made = plan("square", {("directions",): both, ("hub", "kind"): "ports"})
    assert [line.delay_s * 1e9 for line in made.delay_lines] == pytest.approx([DIAGONAL / 2, SIDE, DIAGONAL])
    assert [line.count for line in made.delay_lines] == [2, 2, 1]
    assert used(made, 0) == ["B", None, None, "B"]
    assert used(made, 1) == ["C", "A", None, "A"]


def test_a_row(plan):
    """Four elements 10 m apart, fired along the row at 60 degrees: steps of 10 m/c cos 60 = 16.678 ns."""
    row = {"kind": "row", "count": 4, "spacing": "10 m", "azimuth": "90 deg"}
    made = plan(
        "square",
        {("array",): row, ("phasing", "elevation"): "60 deg", ("directions",): directions("east")},
    )
    assert delays_ns(made) == pytest.approx([50.0346, 33.3564, 16.6782, 0], abs=5e-5)
    assert lines_ns(made) == [("A", 16.6782, 1), ("B", 33.3564, 1), ("C", 50.0346, 1)]
    assert used(made) == ["C", "B", "A", None]
    across = plan("square", {("array",): row, ("directions",): directions("north")})
    assert across.delay_lines == ()
    assert used(across) == [None] * 4


def test_the_contract_s_ring(plan):
    made = plan("full", {("phasing", "cut_band"): "160 m", ("directions",): [{"name": "a", "azimuth": "22.5 deg"}]})
    waits = [121.627, 121.627, 86.003, 35.624, 0, 0, 35.624, 86.003]
    assert delays_ns(made) == pytest.approx(waits, abs=5e-4)
    assert used(made) == ["C", "C", "B", "A", None, None, "A", "B"]
    assert [line.count for line in made.delay_lines] == [2, 2, 2]


def test_a_wave_from_the_zenith_needs_no_line(plan):
    made = plan("square", {("phasing", "elevation"): "90 deg", ("directions",): directions(*AZIMUTHS)})
    assert made.delay_lines == ()
    assert made.cut_order == ()
    assert any("No direction needs a delay line" in sentence for sentence in made.warnings)


def test_azimuths_beyond_a_turn_are_the_same(plan):
    once = plan()
    again = plan("square", {("directions", 0, "azimuth"): "-360 deg"})
    assert [line.delay_s for line in again.delay_lines] == pytest.approx([line.delay_s for line in once.delay_lines])


# --- entered ----------------------------------------------------------------------------------------------


def test_entered_delays_are_taken_as_they_are(plan):
    made = plan("entered")
    assert delays_ns(made) == pytest.approx([0, 38, 20])
    assert lines_ns(made) == [("A", 20, 1), ("B", 38, 1)]
    assert used(made) == [None, "B", "A"]
    assert [feed.polarity for feed in made.directions[0].elements] == [1, 1, 1]
    assert [feed.amplitude for feed in made.directions[0].elements] == [1, 1, 1]


def test_the_common_least_of_a_direction_is_taken_off(plan):
    made = plan("entered", {("directions",): entered(a={"delays": ["12 ns", "50 ns", "32 ns"]})})
    assert delays_ns(made) == pytest.approx([0, 38, 20])
    assert lines_ns(made) == [("A", 20, 1), ("B", 38, 1)]


def test_each_direction_has_its_own_least(plan):
    made = plan(
        "entered",
        {
            ("directions",): entered(
                a={"delays": ["5 ns", "43 ns", "25 ns"]},
                b={"delays": ["40 ns", "2 ns", "22 ns"]},
            )
        },
    )
    assert delays_ns(made, 0) == pytest.approx([0, 38, 20])
    assert delays_ns(made, 1) == pytest.approx([38, 0, 20])
    assert lines_ns(made) == [("A", 20, 1), ("B", 38, 1)]


def test_phases_are_lags_on_the_cut_band(plan):
    """71 degrees at 1.83 MHz are 71/360/1.83e6 s = 107.772 ns; at 3.65 MHz 54.0335 ns."""
    change = {("directions",): entered(a={"phases": ["0 deg", "71 deg", "-0.25 turn"]})}
    made = plan("entered", change)
    quarter = 0.25 / 1.83e6 * 1e9
    assert delays_ns(made) == pytest.approx([quarter, quarter + 107.7717, 0], abs=1e-4)
    on_80 = {("bands",): {"160 m": "1.83 MHz", "80 m": "3.65 MHz"}, ("phasing", "cut_band"): "80 m"}
    assert delays_ns(plan("entered", {**change, **on_80}))[1] == pytest.approx(71 / 360 / 3.65e6 * 1e9 + 0.25e3 / 3.65)


def test_phases_are_not_wrapped(plan):
    made = plan("entered", {("directions",): entered(a={"phases": ["0 deg", "720 deg", "360 deg"]})})
    assert delays_ns(made) == pytest.approx([0, 2e3 / 1.83, 1e3 / 1.83])


def test_an_element_that_is_off_takes_no_part(plan):
    made = plan("entered", {("directions",): entered(a={"delays": ["off", "50 ns", "32 ns"], "polarity": [1, -1, 1]})})
    assert delays_ns(made) == [None, pytest.approx(18), pytest.approx(0)]
    off, reversed_, plain = made.directions[0].elements
    assert (off.polarity, off.amplitude, off.line) == (0, 0, None)
    assert (reversed_.polarity, reversed_.amplitude, reversed_.line) == (-1, 1, "A")
    assert (plain.polarity, plain.amplitude, plain.line) == (1, 1, None)
    assert lines_ns(made) == [("A", 18, 1)]


def test_the_runs_of_elements_that_are_off_are_cut_too(plan):
    made = plan("entered", {("directions",): entered(a={"delays": ["off", "5 ns", "off"]})})
    assert made.delay_lines == ()
    assert made.element_runs.count == 3


@pytest.mark.parametrize(
    ("polarity", "joined", "ports"),
    [
        ([1, 1, 1, 1], 1, 2),
        ([-1, 1, 1, -1], 1, 2),
        ([-1, 1, 1, 1], 2, 2),  # equal delay, opposite polarity: a line each
        ([1, -1, -1, 1], 1, 2),  # the ones without delay do not count
    ],
)
def test_opposite_polarities_do_not_share_a_line(plan, polarity, joined, ports):
    given = entered(a={"delays": ["30 ns", "0 ns", "0 ns", "30 ns"], "polarity": polarity})
    change = {("phasing",): {"rule": "entered", "cut_band": "160 m"}, ("directions",): given}
    assert [line.count for line in plan("square", change).delay_lines] == [joined]
    assert [line.count for line in plan("square", {**change, ("hub", "kind"): "ports"}).delay_lines] == [ports]


def test_the_count_is_the_most_that_one_direction_needs(plan):
    """Reversed in one direction and not in the other is still one joined line, used one way at a time."""
    given = entered(
        a={"delays": ["30 ns", "0 ns", "0 ns", "0 ns"], "polarity": [1, 1, 1, 1]},
        b={"delays": ["30 ns", "30 ns", "0 ns", "30 ns"], "polarity": [-1, -1, 1, -1]},
    )
    change = {("phasing",): {"rule": "entered", "cut_band": "160 m"}, ("directions",): given}
    assert [line.count for line in plan("square", change).delay_lines] == [1]
    assert [line.count for line in plan("square", {**change, ("hub", "kind"): "ports"}).delay_lines] == [3]


# --- which delays are one line ----------------------------------------------------------------------------


def in_ns(*shares):
    """Delays as text: 20 ns and so many times 0.05 degree."""
    return [f"{20 + share * SAME * 1e9:.9f} ns" for share in shares]


def one_direction(*delays):
    """A custom row of elements with entered delays, the last without any."""
    positions = [[f"{10 * n} m", "0 m"] for n in range(len(delays) + 1)]
    return {
        ("array", "positions"): positions,
        ("directions",): entered(a={"delays": [*delays, "0 ns"]}),
    }


@pytest.mark.parametrize(
    ("shares", "groups"),
    [
        ((0, 0.98), [(0, 0.98)]),
        ((0, 1.02), [(0,), (1.02,)]),
        ((0, 0.9, 1.8, 2.7), [(0, 0.9, 1.8, 2.7)]),  # chained
        ((0, 0.9, 2, 2.9), [(0, 0.9), (2, 2.9)]),
        ((2.9, 0, 2, 0.9), [(0, 0.9), (2, 2.9)]),  # in any order
        ((0, 5, 10), [(0,), (5,), (10,)]),
    ],
)
def test_delays_nearer_than_a_twentieth_of_a_degree_are_one_line_with_their_mean(plan, shares, groups):
    made = plan("entered", one_direction(*in_ns(*shares)))
    means = [20e-9 + SAME * sum(group) / len(group) for group in groups]
    assert [line.delay_s for line in made.delay_lines] == pytest.approx(means, rel=1e-9)
    assert [line.count for line in made.delay_lines] == [1] * len(groups)


def test_the_highest_band_decides(plan):
    """0.9 of a twentieth on 160 m is more than one on 80 m."""
    change = one_direction(*in_ns(0, 0.9))
    assert len(plan("entered", change).delay_lines) == 1
    two_bands = {("bands",): {"160 m": "1.83 MHz", "80 m": "3.65 MHz"}}
    assert len(plan("entered", {**change, **two_bands}).delay_lines) == 2


@pytest.mark.parametrize(("share", "count"), [(0.98, 0), (1.02, 1)])
def test_nearer_than_that_to_nought_needs_no_line(plan, share, count):
    wait = f"{share * SAME * 1e9:.9f} ns"
    made = plan("entered", one_direction(wait))
    assert len(made.delay_lines) == count
    assert used(made) == (["A", None] if count else [None, None])


def test_equal_delays_weigh_once_however_they_were_rounded(plan):
    """13 ns less 3 ns is not quite 10 ns to a computer; the mean with 10.06 ns must not notice."""
    near = {"delays": ["0 ns", "10 ns", "10.06 ns"]}
    found = set()
    for shift in (0, 1, 2, 3, 5, 11, 31, 57.3):
        again = {"delays": [f"{shift} ns", f"{shift + 10} ns", f"{shift + 10} ns"]}
        made = plan("entered", {("directions",): entered(a=near, b=again)})
        assert len(made.delay_lines) == 1
        found.add(round(made.delay_lines[0].delay_s * 1e9, 6))
    assert len(found) == 1


# --- labels -----------------------------------------------------------------------------------------------


def test_labels_go_from_the_shortest_on(plan):
    made = plan("entered", one_direction(*(f"{10 * n} ns" for n in (30, 1, 2, 29, *range(3, 29)))))
    labels = [line.label for line in made.delay_lines]
    assert labels[:3] == ["A", "B", "C"]
    assert labels[25:] == ["Z", "AA", "AB", "AC", "AD"]
    delays = [line.delay_s for line in made.delay_lines]
    assert delays == sorted(delays)
    assert used(made)[:3] == ["AD", "A", "B"]
    assert [line.label for line in made.cut_order] == labels[::-1]


@pytest.mark.parametrize(("number", "text"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (702, "AAA")])
def test_label(number, text):
    assert label(number) == text


def test_a_line_is_found_by_its_label(plan, refused):
    made = plan("entered")
    assert made.line("B").delay_s == pytest.approx(38e-9)
    refused(lambda: made.line("Z"), "Z", "A, B")


def test_the_demo_s_ring_and_square_fire_all_ways_with_few_lines():
    from workbook.files import shipped

    ring = wb.load_design(shipped("notebooks") / "heron-fen-ring.toml").plan()
    square = wb.load_design(shipped("notebooks") / "heron-fen-square.toml").plan()
    assert [line.count for line in ring.delay_lines] == [1] * 4
    assert len(square.delay_lines) == 2
