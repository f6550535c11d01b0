"""What any design's delays and lines must obey."""

import functools
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import workbook as wb
from workbook.array.phasing import aligned_delays
from workbook.design.directions import Feeds
from workbook.design.hubs import HUBS, Ladder
from workbook.design.schema import DesignFile
from workbook.design.searches import SearchMemory
from workbook.plan.delays import distinct_lines
from workbook.plan.stages import stages
from workbook.schema import checked

sys.path.insert(0, str(Path(__file__).parent))
from strategies import often, seldom

C = 299_792_458.0
HERTZ = 3.65e6
DEGREE = 1 / 360 / HERTZ
"""One degree on the highest band of these designs, as a time."""


def plan_of(kind, array, phasing, directions):
    design = {
        "format": 1,
        "name": "Otter Mead",
        "bands": {"160 m": "1.83 MHz", "80 m": "3.65 MHz"},
        "array": array,
        "phasing": {**phasing, "cut_band": "160 m"},
        "directions": [{"name": str(n), "azimuth": "0 deg", **one} for n, one in enumerate(directions)],
        "hub": {"kind": kind},
        "cables": {"element_run": "series-6-copper", "delay_line": "series-6-copper"},
        "lengths": {"slack": "1 m"},
        "cutting": {"trim": "10 cm"},
    }
    return stages(checked(DesignFile, design, "design"), "0", "0", SearchMemory()).plan()


entered_plan = functools.partial(plan_of, phasing={"rule": "entered"})
hubs = st.sampled_from(["joined", "ports", "ladder"])
coordinates = st.integers(-400, 400)
places = st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=8, unique=True)
azimuths = st.lists(st.floats(0, 360), min_size=1, max_size=6)


def custom(positions):
    return {"kind": "custom", "positions": [[f"{x / 4} m", f"{y / 4} m"] for x, y in positions]}


# --- aligned ----------------------------------------------------------------------------------------------


@often
@given(places, azimuths, st.floats(0, 90))
def test_the_least_delay_of_a_direction_is_nought(positions, azimuths, elevation):
    metres = np.array(positions) / 4
    waits = aligned_delays(metres, np.radians(azimuths), math.radians(elevation))
    assert waits.shape == (len(azimuths), len(positions))
    assert np.all(waits.min(axis=1) == 0)
    across = np.linalg.norm(metres[:, None] - metres, axis=-1).max()
    assert waits.max() <= across / C * math.cos(math.radians(elevation)) + 1e-18


@often
@given(places, st.floats(0, 360), st.floats(0, 90), st.tuples(coordinates, coordinates))
def test_moving_the_whole_array_changes_no_delay(positions, azimuth, elevation, shift):
    metres = np.array(positions) / 4
    here, there = (
        aligned_delays(where, math.radians(azimuth), math.radians(elevation))
        for where in (metres, metres + np.array(shift))
    )
    assert there == pytest.approx(here, abs=1e-18)


@often
@given(places, st.floats(0, 360), st.floats(0, 90))
def test_fired_the_other_way_the_delays_are_turned_round(positions, azimuth, elevation):
    metres = np.array(positions) / 4
    front, back = (aligned_delays(metres, math.radians(a), math.radians(elevation)) for a in (azimuth, azimuth + 180))
    assert front + back == pytest.approx(np.full(len(positions), front.max()), abs=1e-18)


@seldom
@given(places, azimuths, st.floats(0, 80), hubs, st.randoms(use_true_random=False))
def test_renumbering_does_not_change_the_lines(positions, azimuths, elevation, hub, random):
    shuffled = positions[:]
    random.shuffle(shuffled)
    phasing = {"rule": "aligned", "elevation": f"{elevation} deg"}
    directions = [{"azimuth": f"{azimuth} deg"} for azimuth in azimuths]
    one, other = (plan_of(hub, custom(where), phasing, directions) for where in (positions, shuffled))
    assert [line.count for line in one.delay_lines] == [line.count for line in other.delay_lines]
    assert [line.delay_s for line in other.delay_lines] == pytest.approx(
        [line.delay_s for line in one.delay_lines], rel=1e-9
    )
    for mine, theirs in zip(one.directions, other.directions, strict=True):
        by_place = dict(zip(shuffled, theirs.elements, strict=True))
        assert [feed.line for feed in mine.elements] == [by_place[place].line for place in positions]


@seldom
@given(st.integers(2, 12), st.floats(0, 360), st.floats(0, 80), hubs)
def test_a_ring_fired_at_its_elements_needs_the_same_lines_each_way(count, first, elevation, hub):
    array = {"kind": "ring", "count": count, "diameter": "42 m", "first_azimuth": f"{first} deg"}
    phasing = {"rule": "aligned", "elevation": f"{elevation} deg"}
    ways = [{"azimuth": f"{first + 360 * n / count} deg"} for n in range(count)]
    alone, together = plan_of(hub, array, phasing, ways[:1]), plan_of(hub, array, phasing, ways)
    assert [line.count for line in together.delay_lines] == [line.count for line in alone.delay_lines]
    assert [line.delay_s for line in together.delay_lines] == pytest.approx(
        [line.delay_s for line in alone.delay_lines], rel=1e-9
    )


# --- entered ----------------------------------------------------------------------------------------------

# delays in steps of a fiftieth of a degree, so that none lies on the border of a twentieth
steps = st.integers(0, 60) | st.integers(0, 5000)
rows = st.integers(2, 6).flatmap(
    lambda count: st.lists(
        st.tuples(
            st.lists(steps | st.none(), min_size=count, max_size=count).filter(lambda row: set(row) != {None}),
            st.lists(st.sampled_from([1, -1]), min_size=count, max_size=count),
        ),
        min_size=1,
        max_size=5,
    )
)


def as_wanted(rows, shift=0.0):
    delays = np.array([[np.nan if s is None else s * 0.02 * DEGREE for s in row] for row, _ in rows]) + shift
    delays = delays - np.nanmin(delays, axis=1, keepdims=True)
    polarity = np.where(np.isnan(delays), 0, [signs for _, signs in rows])
    return Feeds(delays, polarity, np.abs(polarity).astype(float))


def by_hand(rows, hub):
    """The contract's rule in whole steps: (step numbers of a line, count), shortest first."""
    reduced = [[None if s is None else s - min(x for x in row if x is not None) for s in row] for row, _ in rows]
    rising = sorted({s for row in reduced for s in row if s is not None and s * 0.02 >= 0.05})
    groups: list[list[int]] = []
    for step in rising:
        if groups and (step - groups[-1][-1]) * 0.02 < 0.05:
            groups[-1].append(step)
        else:
            groups.append([step])
    counts = []
    for group in groups:
        users = [
            [sign for step, sign in zip(row, signs, strict=True) if step in group]
            for row, (_, signs) in zip(reduced, rows, strict=True)
        ]
        most = {"joined": max(len(set(signs)) for signs in users), "ports": max(map(len, users)), "ladder": 1}
        counts.append(most[hub])
    return groups, counts


@often
@given(rows, hubs)
def test_distinct_lines_by_the_contract_s_rule(rows, hub):
    found = distinct_lines(as_wanted(rows), HERTZ, HUBS[hub])
    groups, counts = by_hand(rows, hub)
    assert found.counts.tolist() == counts
    means = [sum(group) / len(group) * 0.02 * DEGREE for group in groups]
    assert found.delays == pytest.approx(np.array(means), abs=1e-6 * DEGREE)
    # from the last tap down, every piece adds up to its tap
    assert np.all(Ladder.pieces(found.delays) > 0)
    assert np.cumsum(Ladder.pieces(found.delays)) == pytest.approx(found.delays)


@often
@given(rows, hubs, st.floats(0, 1e-6))
def test_moving_all_entered_delays_changes_nothing(rows, hub, shift):
    here, there = (distinct_lines(as_wanted(rows, by), HERTZ, HUBS[hub]) for by in (0.0, shift))
    assert here.counts.tolist() == there.counts.tolist()
    assert here.used.tolist() == there.used.tolist()
    assert there.delays == pytest.approx(here.delays, abs=1e-6 * DEGREE)


@seldom
@given(rows, hubs, st.integers(0, 300))
def test_the_same_through_a_whole_plan(rows, hub, shift):
    array = {"kind": "row", "count": len(rows[0][0]), "spacing": "9 m", "azimuth": "0 deg"}

    def made(by):
        return entered_plan(
            hub,
            array,
            directions=[
                {
                    "delays": ["off" if s is None else f"{(s / 50 + by) * DEGREE * 1e9:.9f} ns" for s in row],
                    "polarity": signs,
                }
                for row, signs in rows
            ],
        )

    here, there = made(0), made(shift)
    assert [line.count for line in here.delay_lines] == by_hand(rows, hub)[1]
    assert [line.count for line in there.delay_lines] == [line.count for line in here.delay_lines]
    assert [[feed.line for feed in one.elements] for one in there.directions] == [
        [feed.line for feed in one.elements] for one in here.directions
    ]
    for one in here.directions:
        waits = [feed.delay_s for feed in one.elements if feed.delay_s is not None]
        assert min(waits) == 0
        assert all((feed.delay_s is None) == (feed.polarity == 0) for feed in one.elements)


@often
@given(rows, hubs)
def test_every_delay_is_near_its_line(rows, hub):
    """An element's delay lies within its chain; one without a line waits less than a twentieth of a degree."""
    wanted = as_wanted(rows)
    found = distinct_lines(wanted, HERTZ, HUBS[hub])
    assert np.all(np.diff(found.delays) > 0)
    for delays, used in zip(wanted.delays, found.used, strict=True):
        for delay, line in zip(delays, used, strict=True):
            if line < 0:
                assert math.isnan(delay) or delay < 0.05 * DEGREE
            else:
                nearest = np.abs(found.delays - delay).min()
                assert abs(found.delays[line] - delay) == pytest.approx(nearest, abs=5 * DEGREE)
    assert set(found.used[found.used >= 0].tolist()) == set(range(len(found.delays)))


@often
@given(rows)
def test_ports_need_at_least_as_many_pieces_as_joined_groups(rows):
    joined, ports = (distinct_lines(as_wanted(rows), HERTZ, HUBS[hub]) for hub in ("joined", "ports"))
    assert np.all(ports.counts >= joined.counts)
    assert np.all(joined.counts <= 2)
    assert np.all(joined.counts >= 1)


# --- lines ------------------------------------------------------------------------------------------------


@seldom
@given(st.lists(st.integers(40, 4000), min_size=1, max_size=5, unique=True), st.sampled_from(wb.cables()))
def test_lines_are_exact_on_their_band_and_longer_delays_are_longer(tenths, name):
    """Delays 1/10 ns apart or more: each line has its delay on the cut band, and lengths rise with delays."""
    array = {"kind": "row", "count": len(tenths) + 1, "spacing": "9 m", "azimuth": "0 deg"}
    design = {
        "format": 1,
        "name": "Otter Mead",
        "bands": {"80 m": "3.65 MHz"},
        "array": array,
        "phasing": {"rule": "entered", "cut_band": "80 m"},
        "directions": [
            {"name": "a", "azimuth": "0 deg", "delays": ["0 ns", *(f"{tenth / 10} ns" for tenth in tenths)]}
        ],
        "hub": {"kind": "ports"},
        "cables": {"element_run": name, "delay_line": name},
        "cutting": {"trim": "10 cm"},
    }
    made = stages(checked(DesignFile, design, "design"), "0", "0", SearchMemory()).plan()
    lengths = [line.length_m for line in made.delay_lines]
    assert lengths == sorted(lengths)
    for line in made.delay_lines:
        assert line.bands[0].phase_error_deg == pytest.approx(0, abs=1e-9)
        assert line.bands[0].electrical_length_deg == pytest.approx(360 * HERTZ * line.delay_s, rel=1e-12)
        assert line.least_length_m <= line.length_m <= line.greatest_length_m
        assert line.first_cut_m >= line.length_to_cut_m
        assert line.check.first_cut_frequency_hz <= line.check.frequency_hz
        assert line.check.hz_per_m < 0
        assert line.nominal_length_error_m > 0
