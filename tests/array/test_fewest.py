"""The fewest delays against a search of its own: every assignment, reversal and delay of a grid, with its own sky."""

import dataclasses
import functools
import itertools

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import j0

import workbook as wb
from workbook.array.candidates import all_candidates, least_rdf_table, line_sums, pair_waves, problem_of
from workbook.array.layout import rows_toward

Q = wb.Quantity
C = 299_792_458.0
VACUUM = 8.8541878128e-12
LAND = wb.Ground(13, "5 mS/m")
NODES, SHARES = np.polynomial.legendre.leggauss(64)
HEIGHTS, SHARES = np.pi / 4 * (NODES + 1), np.pi / 4 * SHARES


# --- another way to the same figures ----------------------------------------------------------------------


def element_power(ground, hertz, height):
    """What one element receives; written again from the textbook."""
    if ground is wb.FREE_SPACE:
        return np.ones_like(height)
    if ground is wb.PERFECT_GROUND:
        return np.cos(height) ** 2
    eps = 13 - 5e-3j / (2 * np.pi * hertz * VACUUM)
    root = np.sqrt(eps - np.cos(height) ** 2)
    reflected = (eps * np.sin(height) - root) / (eps * np.sin(height) + root)
    return np.cos(height) ** 2 * np.abs(1 + reflected) ** 2 / 4


class Sky:
    """Signal and noise of rows, per frequency, and the least RDF of waits."""

    def __init__(self, layout, frequencies, azimuth, elevation, ground):
        metres = layout.positions.m_as("m")
        self.hertz = np.atleast_1d(frequencies.m_as("Hz"))
        ahead = metres @ [np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))]
        apart = np.linalg.norm(metres[:, None] - metres[None], axis=-1)
        # rows a centimetre wide, front first; no layout here has rows nearer than metres
        places = np.unique(np.round(ahead, 2) + 0.0)[::-1]
        member = np.abs(places[:, None] - ahead) < 0.02
        self.row_of = np.argmax(member, axis=0)
        self.rows, self.count = len(places), len(metres)
        self.signals, self.noise = [], []
        for hertz in self.hertz:
            k, height = 2 * np.pi * hertz / C, np.radians(elevation)
            power = element_power(ground, hertz, HEIGHTS) * np.cos(HEIGHTS) * SHARES / 2
            # the lower half of the sphere is as the upper one in free space
            power = power * (2 if ground is wb.FREE_SPACE else 1)
            mutual = np.einsum("i,iab->ab", power, j0(k * apart * np.cos(HEIGHTS)[:, None, None]))
            self.noise.append(member @ mutual @ member.T / element_power(ground, hertz, height))
            self.signals.append(member @ np.exp(1j * k * np.cos(height) * ahead))

    def figures(self, waits, signs):
        """RDF and white-noise gain [dB], (..., F), of rows' waits [s] and signs (..., rows)."""
        found = []
        for hertz, signal, noise in zip(self.hertz, self.signals, self.noise, strict=True):
            w = signs * np.exp(-2j * np.pi * hertz * waits)
            front = np.abs(w @ signal) ** 2
            whole = np.sum((w.conj() @ noise) * w, axis=-1).real
            found.append((front / whole, front / self.count))
        with np.errstate(divide="ignore"):
            return 10 * np.log10(np.moveaxis(np.array(found), 0, -1))

    def least(self, waits, signs, limit=None):
        rdf, own = self.figures(waits, signs)
        least = rdf.min(axis=-1)
        return least if limit is None else np.where(own.min(axis=-1) >= limit, least, -np.inf)


def by_brute_force(sky, lines, inversion, limit, steps):
    """Best least RDF [dB] of every assignment with its delays, after a climb by a search without slopes."""
    period = 1 / sky.hertz.min()
    grid = np.array(list(itertools.combinations_with_replacement(np.linspace(0, period, steps, endpoint=False), lines)))
    found = []
    for signs in itertools.product((1, -1) if inversion else (1,), repeat=sky.rows - 1):
        signs = np.array((1, *signs))
        for assigned in itertools.product(range(lines + 1), repeat=sky.rows):
            if 0 not in assigned or len(set(assigned)) == 1:
                continue
            waits = np.pad(grid, ((0, 0), (1, 0)))[:, assigned]
            least = sky.least(waits, signs, limit)
            top = np.argmax(least)
            found.append((least[top], assigned, signs, grid[top]))
    found.sort(key=lambda one: -one[0])
    return [climbed(sky, *one, limit, period) for one in found[:12]]


def climbed(sky, least, assigned, signs, delays, limit, period):
    """Least RDF and the longest line at the nearest summit; no line is longer than a period of the lowest frequency."""

    def waits(x):
        rows = np.append(0, x * period)[list(assigned)]
        return rows - rows.min()

    def short(x):
        worth = float(sky.least(waits(x), signs, limit))
        return 1e3 if waits(x).max() > period or np.isneginf(worth) else -worth

    best = minimize(short, delays / period, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-9})
    return max(-best.fun, least), waits(best.x).max()


# --- cases ------------------------------------------------------------------------------------------------

TOP, LOW, THREE = Q([1.83, 3.65], "MHz"), Q([1.83], "MHz"), Q([1.83, 3.65, 7.1], "MHz")
SQUARE, RING, ROW = wb.square("24 m", "0 deg"), wb.ring(8, "42 m", "0 deg"), wb.row(3, "20 m", "0 deg")
CASES = {
    # layout, frequencies, azimuth, ground, lines, inversion, least white-noise gain, steps of the grid
    "square, one line": (SQUARE, TOP, 0.0, LAND, 1, True, None, 1500),
    "square, one line, no inversion": (SQUARE, TOP, 0.0, LAND, 1, False, None, 1500),
    "square sideways, one line": (SQUARE, TOP, 45.0, LAND, 1, True, None, 1500),
    "square, two lines": (SQUARE, TOP, 0.0, LAND, 2, True, None, 150),
    "square, two lines, limited": (SQUARE, TOP, 0.0, LAND, 2, True, -3.0, 150),
    "row, one line": (ROW, LOW, 0.0, wb.PERFECT_GROUND, 1, True, None, 1500),
    "row, two lines": (ROW, LOW, 0.0, wb.PERFECT_GROUND, 2, True, -12.0, 150),
    "row, two lines, no inversion": (ROW, TOP, 0.0, wb.FREE_SPACE, 2, False, None, 150),
    "ring between, one line": (RING, THREE, 22.5, LAND, 1, True, None, 600),
    "ring between, two lines": (RING, TOP, 22.5, LAND, 2, True, -8.0, 60),
    "ring between, two lines, three bands": (RING, THREE, 22.5, LAND, 2, False, None, 90),
    "square, two lines, limited lower": (SQUARE, TOP, 0.0, LAND, 2, True, -6.0, 150),
    "square, two lines, no inversion, limited": (SQUARE, TOP, 0.0, wb.PERFECT_GROUND, 2, False, 1.4, 150),
    "square sideways, one line, limited": (SQUARE, THREE, 45.0, wb.PERFECT_GROUND, 1, True, 1.0, 1500),
    "ring between, one line, limited": (RING, THREE, 22.5, wb.PERFECT_GROUND, 1, True, 4.4, 600),
    "ring on, one line": (RING, TOP, 0.0, LAND, 1, True, -3.0, 300),
    "ring on, two lines, no inversion": (RING, TOP, 0.0, LAND, 2, False, None, 60),
}


def asked(name, **changed):
    layout, frequencies, azimuth, ground, lines, inversion, limit, _ = CASES[name]
    given = {
        "layout": layout,
        "frequencies": frequencies,
        "azimuth": Q(azimuth, "deg"),
        "elevation": "20 deg",
        "ground": ground,
        "lines": lines,
        "polarity_inversion": inversion,
        "least_white_noise_gain": None if limit is None else Q(limit, "dB"),
    }
    return wb.fewest_delays(**{**given, **changed})


@functools.cache
def answer_to(name):
    return asked(name)


def sky_of(name):
    layout, frequencies, azimuth, ground, *_ = CASES[name]
    return Sky(layout, frequencies, azimuth, 20.0, ground)


def decoded(answer, count):
    """Wait [s] and sign of every element, from the weights at a frequency so low that no phase turns over."""
    weights = answer.weights("1 kHz")
    assert weights.shape == (count,)
    signs = np.sign(weights.real)
    return -np.angle(weights * signs) / (2 * np.pi * 1e3), signs


def rows_decoded(name, answer):
    sky = sky_of(name)
    waits, signs = decoded(answer, sky.count)
    first = [int(np.flatnonzero(sky.row_of == row)[0]) for row in range(sky.rows)]
    return sky, waits[first], signs[first]


@pytest.mark.parametrize("name", CASES)
def test_nothing_on_a_fine_grid_does_better(name):
    """Nor does any climb from the grid's best, by 0.001 dB; and among its equals the longest line is the shortest."""
    *_, lines, inversion, limit, steps = CASES[name]
    answer, sky = answer_to(name), sky_of(name)
    found = by_brute_force(sky, lines, inversion, limit, steps)
    least, longest = answer.rdf.m_as("dB").min(), answer.delays.m_as("s").max()
    best = max(one for one, _ in found)
    assert best <= least + 0.001
    # the other way: the answer is one that this search finds too, so it looks closely enough
    assert least <= best + 0.001
    assert longest <= min((long for one, long in found if one >= least - 1e-5), default=np.inf) + 1e-10


@pytest.mark.parametrize("name", CASES)
def test_what_an_answer_is(name):
    """Rows of equal projection, equal amplitudes, every row on, each on a line or on none; delays rise."""
    layout, frequencies, *_, lines, inversion, limit, _ = CASES[name]
    answer = answer_to(name)
    delays = answer.delays.m_as("s")
    assert delays.shape == (lines,)
    assert np.all(delays > 0)
    assert np.all(np.diff(delays) >= 0)
    assert answer.slack.m_as("s").shape == (lines,)
    assert np.all(answer.slack.m_as("s") > 0)
    sky, waits, signs = rows_decoded(name, answer)
    every, polarity = decoded(answer, layout.count)
    assert every == pytest.approx(waits[sky.row_of], abs=1e-15)
    assert np.all(polarity == signs[sky.row_of])
    assert np.abs(answer.weights(frequencies)) == pytest.approx(1, abs=1e-12)
    allowed = np.append(0, delays)
    assert np.abs(every[:, None] - allowed).min(axis=1) == pytest.approx(0, abs=1e-15)
    # each line is used, and so is none at all
    assert np.abs(every - allowed[:, None]).min(axis=1) == pytest.approx(0, abs=1e-15)
    assert inversion or np.all(signs == 1)
    rdf, own = sky.figures(waits, signs)
    assert answer.rdf.m_as("dB") == pytest.approx(rdf, abs=1e-6)
    assert limit is None or own.min() >= limit - 1e-6


@pytest.mark.parametrize("name", CASES)
def test_rdf_is_that_of_its_weights(name):
    layout, frequencies, azimuth, ground, *_ = CASES[name]
    answer = answer_to(name)
    weights = answer.weights(frequencies)
    assert weights.shape == (len(frequencies), layout.count)
    for frequency, row, rdf in zip(frequencies, weights, answer.rdf, strict=True):
        firing = wb.Firing(layout, row, frequency, Q(azimuth, "deg"), "20 deg", ground)
        assert wb.rdf(firing).m_as("dB") == pytest.approx(rdf.m_as("dB"), abs=1e-9)
        assert answer.weights(frequency) == pytest.approx(row, abs=1e-12)


@pytest.mark.parametrize("name", CASES)
def test_slack_by_stepping_each_delay(name):
    """Anywhere nearer, either way, the least RDF has fallen by less than 0.3 dB; a hair farther, one way, by more."""
    answer = answer_to(name)
    sky, waits, signs = rows_decoded(name, answer)
    best = float(sky.least(waits, signs))
    for delay, slack in zip(answer.delays.m_as("s"), answer.slack.m_as("s"), strict=True):
        on_it = np.abs(waits - delay) < 1e-15

        def fallen(move, on_it=on_it):
            return best - sky.least(waits + np.multiply.outer(move, on_it), signs)

        if np.isinf(slack):
            assert np.all(fallen(np.linspace(-1, 1, 4001) / sky.hertz.min()) < 0.3)
            continue
        assert np.all(fallen(slack * np.linspace(-0.9999, 0.9999, 801)) < 0.3)
        assert np.max(fallen(slack * np.array([-1.0001, 1.0001]))) > 0.3


@pytest.mark.parametrize("limit", [None, 1.5])
def test_table_of_all_candidates_is_that_of_one_after_the_other(limit):
    """Against the sums over rows written out here; a floor leaves out just those that stay below it."""
    rng = np.random.default_rng(8)
    metres, hertz, azimuth, height = rng.uniform(-20, 20, (5, 2)), np.array([1.83e6, 3.65e6]), 0.7, np.radians(20)
    problem = problem_of(metres, rows_toward(metres, azimuth), hertz, azimuth, height, LAND)
    candidates, delays = all_candidates(problem.rows, 2, True), rng.uniform(0, 4e-7, (40, 2))
    sums, waves = line_sums(problem, candidates, 2), pair_waves(problem, delays)
    kept, table = least_rdf_table(sums, problem, waves, limit)
    assert np.array_equal(kept, np.arange(len(candidates)))
    for k, p in itertools.product(range(0, len(candidates), 7), range(len(delays))):
        waits, ratio, gain = np.append(0.0, delays[p])[candidates.line[k]], [], []
        for f, one in enumerate(hertz):
            w = candidates.polarity[k] * np.exp(-2j * np.pi * one * waits)
            signal = abs(w @ problem.signals[f]) ** 2
            ratio.append(signal / (w.conj() @ problem.noise[f] @ w).real)
            gain.append(signal / len(metres))
        expected = min(ratio) * (1.0 if limit is None else min(1.0, min(gain) / limit) ** 8)
        assert np.isclose(table[k, p], expected, rtol=1e-9, atol=0)
    best = table.max(axis=1)
    some, part = least_rdf_table(sums, problem, waves, limit, float(np.median(best)))
    assert np.array_equal(some, np.flatnonzero(best >= np.median(best)))
    assert np.allclose(part, table[some], rtol=1e-12, atol=0)


@pytest.mark.parametrize("name", CASES)
def test_runners_up_come_after(name):
    """None is better than the answer, they fall in order, and each is another way of doing it."""
    answer = answer_to(name)
    leasts = [choice.least_rdf.m_as("dB") for choice in answer.runners_up]
    assert max(leasts, default=-99) <= answer.least_rdf.m_as("dB") + 0.001
    assert np.all(np.diff(leasts) <= 0.001)
    ways = {(choice.line, choice.polarity) for choice in (answer, *answer.runners_up)}
    assert len(ways) == 1 + len(answer.runners_up)


# --- what must follow -------------------------------------------------------------------------------------


def least_of(answer):
    return answer.rdf.m_as("dB").min()


def test_more_lines_do_no_worse():
    """Nor does inversion, nor a lower limit; another frequency does no better."""
    # five rows: one, two and three lines
    one, two, three = (least_of(asked("ring on, one line", lines=lines)) for lines in (1, 2, 3))
    assert one <= two + 0.001
    assert two <= three + 0.001
    plain = least_of(asked("ring between, two lines", polarity_inversion=False))
    assert plain <= least_of(asked("ring between, two lines")) + 0.001
    limits = [least_of(asked("ring between, two lines", least_white_noise_gain=Q(x, "dB"))) for x in (-20, -8, 0, 6)]
    assert np.all(np.diff(limits) <= 0.001)
    fewer = least_of(asked("ring between, two lines", frequencies=LOW))
    assert fewer >= least_of(asked("ring between, two lines")) - 0.001


def test_a_limit_that_moves():
    """RDF falls as the limit rises, and little at a time: below the free answer's own gain the limit is slack, and
    just above it the price is small, since delays may move a little.
    """
    free = asked("square, two lines")
    own = free.white_noise_gain.m_as("dB").min()
    limits = own + np.array([-1.0, -0.01, 0.01, 0.2, 0.5, 1.0, 2.0, 4.0])
    leasts = [least_of(asked("square, two lines", least_white_noise_gain=Q(limit, "dB"))) for limit in limits]
    assert leasts[:2] == pytest.approx([least_of(free)] * 2, abs=0.001)
    assert np.all(np.diff(leasts) <= 0.001)
    assert least_of(free) - leasts[2] < 0.02
    # no more than half a decibel of RDF for each of the limit; a search on a grid finds a quarter at most here
    assert np.all(-np.diff(leasts) <= 0.5 * np.diff(limits) + 0.001)


def test_as_many_lines_as_rows_need_give_the_end_fire_pair():
    """Two rows, one line: the best of all pairs, by a fine sweep of the lag (perfect ground, closed form).

    D = 3 cos^2 |1 + e^{j(k d cos - lag)}|^2/(2 (1 + r cos lag)), r = 3/2 (sin x/x + cos x/x^2 - sin x/x^3) at x = kd.
    """
    pair, hertz = wb.row(2, "20 m", "0 deg"), 1.83e6
    answer = wb.fewest_delays(pair, Q(hertz, "Hz"), "0 deg", "20 deg", wb.PERFECT_GROUND, 1)
    x = 2 * np.pi * hertz / C * 20
    r = 1.5 * (np.sin(x) / x + np.cos(x) / x**2 - np.sin(x) / x**3)
    lag, up = np.linspace(0, 2 * np.pi, 200_001), np.cos(np.radians(20))
    gain = 3 * up**2 * np.abs(1 + np.exp(1j * (x * up - lag))) ** 2 / (2 * (1 + r * np.cos(lag)))
    assert np.ravel(answer.rdf.m_as("dB")) == pytest.approx(10 * np.log10(gain.max()), abs=1e-6)
    best = lag[np.argmax(gain)]
    # lag of the front; with the rear reversed it is the rear that waits, half a turn less, and its line is shorter
    waits, signs = decoded(answer, 2)
    assert signs[0] != signs[1]
    assert waits[1] * 2 * np.pi * hertz == pytest.approx(np.pi - best, abs=1e-3)


def test_frequencies_keep_their_order():
    forward, backward = (asked("square, one line", frequencies=Q(f, "MHz")) for f in ([1.83, 3.65], [3.65, 1.83]))
    assert backward.rdf.m_as("dB") == pytest.approx(forward.rdf.m_as("dB")[::-1], abs=1e-9)
    assert backward.delays.m_as("ns") == pytest.approx(forward.delays.m_as("ns"), abs=1e-6)


def test_turning_the_whole_changes_nothing():
    still = asked("ring between, two lines")
    turned = asked("ring between, two lines", layout=wb.ring(8, "42 m", "31 deg"), azimuth="53.5 deg")
    assert turned.rdf.m_as("dB") == pytest.approx(still.rdf.m_as("dB"), abs=2e-3)
    assert turned.delays.m_as("ns") == pytest.approx(still.delays.m_as("ns"), abs=0.05)


def test_a_delay_at_the_end_of_the_search_says_so():
    """Within 1 % of a period of the lowest frequency."""
    for name, lowest in (("square, one line", 1.83e6), ("ring between, two lines", 1.83e6)):
        answer = answer_to(name)
        assert answer.at_cap is False
        for share, ends in ((0.989, False), (0.991, True), (1.0, True)):
            delays = answer.delays.m_as("s").copy()
            delays[-1] = share / lowest
            assert dataclasses.replace(answer, delays=Q(delays, "s")).at_cap is ends


def test_a_limit_that_none_keeps_is_refused(refused):
    """All in phase needs more than one delay here."""
    refused(lambda: asked("ring on, one line", least_white_noise_gain="9 dB"), "least_white_noise_gain")


@pytest.mark.parametrize("elevation", [20, 25, 30])
@pytest.mark.parametrize("megahertz", [[1.83], [1.9], [1.83, 1.9]])
def test_more_freedom_and_no_limit_do_no_worse(elevation, megahertz):
    """On one band an inversion equals half a period, so copies of one sharp ridge must not crowd out the rest."""
    ring, ground = wb.ring(8, "42 m", "0 deg"), wb.Ground(13, "5 mS/m")
    given = ring, wb.Quantity(megahertz, "MHz"), "0 deg", wb.Quantity(elevation, "deg"), ground, 2
    free = wb.fewest_delays(*given).least_rdf.m_as("dB")
    straight = wb.fewest_delays(*given, False)
    assert free >= straight.least_rdf.m_as("dB") - 0.001
    # what the straight choice keeps is a limit that the free one can keep at least as well
    least = straight.white_noise_gain.min() - wb.Quantity(0.01, "dB")
    limited = wb.fewest_delays(*given, True, least).least_rdf.m_as("dB")
    assert straight.least_rdf.m_as("dB") - 0.001 <= limited <= free + 0.001
