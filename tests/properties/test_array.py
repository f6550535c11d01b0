"""What physics demands of any array: RDF against quadrature of its own response, symmetries, bounds, and refusals."""

import functools
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import workbook as wb

sys.path.insert(0, str(Path(__file__).parent))
from strategies import Q, often

C = 299_792_458.0
LAND = wb.Ground(13, "5 mS/m")
SEA = wb.Ground(70, "5 S/m")
GROUNDS = {"perfect": wb.PERFECT_GROUND, "land": LAND, "free": wb.FREE_SPACE}


def level(quantity):
    return quantity.m_as("dB")


def ratio(quantity):
    return 10 ** (level(quantity) / 10)


# --- RDF is what quadrature of the response says ----------------------------------------------------------


def sky(panels):
    """Elevations, azimuths (quantities, to broadcast) and the share of the sphere of each point above the horizon.

    Gauss-Legendre in elevation, 64 points in each panel (edges in degrees), times 256 equal steps of azimuth.
    """
    node, weight = np.polynomial.legendre.leggauss(64)
    edges = np.radians(panels)
    halves = np.diff(edges)[:, None] / 2
    elevation = (edges[:-1, None] + halves * (node + 1)).ravel()
    share = (halves * weight).ravel() * np.cos(elevation) / 2 / 256
    return Q(elevation[:, None], "radian"), Q(np.arange(256) * 2 * np.pi / 256, "radian"), share[:, None]


WHOLE = sky([0, 90])
# a wave over sea water turns within a tenth of a degree of the horizon; points crowd there
CROWDED = sky([0, 0.05, 0.3, 1, 5, 20, 90])
EXTREME = sky([0, 0.0002, 0.002, 0.01, 0.05, 0.3, 1, 5, 20, 90])


def by_quadrature(firing, points=WHOLE):
    """Power toward the direction over the average of the sphere; in free space the lower half equals the upper, since
    all elements stand on one level.
    """
    elevation, azimuth, share = points
    mean = (np.abs(wb.array_response(firing, azimuth, elevation)) ** 2 * share).sum(axis=(-2, -1))
    mean *= 2 if firing.ground is wb.FREE_SPACE else 1
    return np.abs(wb.array_response(firing, firing.azimuth, firing.elevation)) ** 2 / mean


def random_firing(seed, ground, spread=1.0, megahertz=None):
    """Elements anywhere within `spread` wavelengths, any weights, any direction."""
    random = np.random.default_rng(seed)
    megahertz = megahertz or random.uniform(1.8, 30)
    count = int(random.integers(2, 13))
    metres = random.uniform(-0.5, 0.5, (count, 2)) * spread * C / megahertz / 1e6
    weights = random.normal(size=count) + 1j * random.normal(size=count)
    azimuth, elevation = Q(random.uniform(0, 360), "deg"), Q(random.uniform(2, 60), "deg")
    return wb.Firing(wb.layout_from(Q(metres, "m")), weights, Q(megahertz, "MHz"), azimuth, elevation, ground)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("ground", GROUNDS)
def test_rdf_by_quadrature(seed, ground):
    firing = random_firing(seed, GROUNDS[ground], spread=(0.1, 0.5, 1.0, 2.0)[seed % 4])
    assert ratio(wb.rdf(firing)) == pytest.approx(by_quadrature(firing), rel=1e-9)


@pytest.mark.parametrize(
    "permittivity_and_conductivity", [(3, "0.1 mS/m"), (15, "1 mS/m"), (30, "10 mS/m"), (80, "3 mS/m")]
)
@pytest.mark.parametrize("seed", range(4))
def test_rdf_by_quadrature_over_other_land(permittivity_and_conductivity, seed):
    firing = random_firing(100 + seed, wb.Ground(*permittivity_and_conductivity))
    assert ratio(wb.rdf(firing)) == pytest.approx(by_quadrature(firing), rel=1e-9)


@pytest.mark.parametrize("megahertz", [1.83, 7.1, 28.5])
@pytest.mark.parametrize("seed", range(3))
def test_rdf_by_quadrature_over_sea(seed, megahertz):
    """Eighty points crowded by el = (pi/2) s^2 are good to rounding here.

    The reflection has its pole where sin el = -1/sqrt(eps) (nearly), |eps| = 17975 x 5/1.83 at the lowest: el =
    0.0045 rad at 45 deg beyond the horizon, so s = 0.021 + 0.050j and t = 2s - 1 = -0.96 + 0.10j. Gauss-Legendre of n
    points falls with rho^(-2n), rho = |t + sqrt(t^2 - 1)| = 1.30: 6e-19 at n = 80.
    """
    firing = random_firing(200 + seed, SEA, megahertz=megahertz)
    assert ratio(wb.rdf(firing)) == pytest.approx(by_quadrature(firing, CROWDED), rel=1e-9)


@pytest.mark.parametrize(
    "permittivity_and_conductivity",
    [(10, "100 S/m"), (81, "100 S/m"), (1, "1 nS/m"), (1, "100 nS/m"), (1.000001, "0 S/m"), (1.001, "0 S/m")],
)
@pytest.mark.parametrize("seed", range(3))
def test_rdf_by_quadrature_over_metal_and_nearly_vacuum(permittivity_and_conductivity, seed):
    """To 1e-6 dB, though the response turns within a hundredth of a degree, or within a fifth of one."""
    firing = random_firing(300 + seed, wb.Ground(*permittivity_and_conductivity), megahertz=(0.5, 1.83, 7.1)[seed])
    assert level(wb.rdf(firing)) == pytest.approx(10 * np.log10(by_quadrature(firing, EXTREME)), abs=1e-6)


def test_the_quadrature_itself():
    """Of cos^3 over the upper half: a third of the sphere; the crowded one agrees over land."""
    for elevation, _, share in (WHOLE, CROWDED):
        cubed = np.broadcast_to(np.cos(elevation.m_as("radian")) ** 2 * share, (len(share), 256)).sum()
        assert cubed == pytest.approx(1 / 3, rel=1e-12)
    firing = random_firing(3, LAND)
    assert by_quadrature(firing) == pytest.approx(by_quadrature(firing, CROWDED), rel=1e-10)


# --- any array --------------------------------------------------------------------------------------------

coordinates = st.floats(-100, 100)
parts = st.floats(-1, 1)
azimuths, heights = st.floats(0, 360), st.floats(1, 80)
grounds = st.sampled_from([wb.PERFECT_GROUND, LAND, SEA, wb.FREE_SPACE])
megahertz = st.floats(1.8, 29.7)


@st.composite
def arrays(draw):
    """Positions [m], weights, frequency [MHz], azimuth, elevation [degree] and ground, far from degenerate."""
    metres = np.array(draw(st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=7)))
    apart = np.linalg.norm(metres[:, None] - metres[None], axis=-1) + 1e3 * np.eye(len(metres))
    assume(apart.min() > 1)
    count = len(metres)
    pairs = draw(st.lists(st.tuples(parts, parts), min_size=count, max_size=count))
    weights = np.array([complex(*pair) for pair in pairs])
    case = metres, weights, draw(megahertz), draw(azimuths), draw(heights), draw(grounds)
    assume(np.abs(weights).max() > 0.1)
    # neither a null toward the direction nor a supergain that rounding eats
    found = fire(*case)
    assume(abs(level(wb.white_noise_gain(found))) < 40)
    assume(level(wb.noise_gain(found)) > -40)
    return case


def fire(metres, weights, megahertz, azimuth, elevation, ground):
    layout = wb.layout_from(Q(np.asarray(metres), "m"))
    return wb.Firing(layout, weights, Q(megahertz, "MHz"), Q(azimuth, "deg"), Q(elevation, "deg"), ground)


FIGURES = (wb.rdf, wb.signal_gain, wb.noise_gain, wb.white_noise_gain, wb.front_to_back)


def same(one, other, figures=FIGURES):
    for figure in figures:
        before, after = level(figure(one)), level(figure(other))
        # a deep back is rounding at last: only what is above it must agree
        if figure is wb.front_to_back and abs(before) > 60:
            continue
        assert after == pytest.approx(before, abs=1e-6), figure.__name__


@often
@given(arrays(), st.floats(-360, 360))
def test_turning_array_and_direction_together_changes_nothing(case, turn):
    metres, weights, f, azimuth, elevation, ground = case
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    # clockwise from above: north goes east
    turned = metres @ np.array([[c, -s], [s, c]])
    one, other = fire(*case), fire(turned, weights, f, azimuth + turn, elevation, ground)
    same(one, other)
    here = wb.array_response(one, Q(11.0, "deg"), Q(33.0, "deg"))
    assert wb.array_response(other, Q(11.0 + turn, "deg"), Q(33.0, "deg")) == pytest.approx(here, abs=1e-8)


@often
@given(arrays(), coordinates, coordinates)
def test_moving_the_whole_array_changes_nothing(case, east, north):
    metres, *rest = case
    same(fire(*case), fire(metres + np.array([east, north]), *rest))


@often
@given(arrays())
def test_the_mirror_image_hears_the_mirror_image(case):
    metres, weights, f, azimuth, elevation, ground = case
    one, other = fire(*case), fire(metres * np.array([-1, 1]), weights, f, -azimuth, elevation, ground)
    same(one, other)
    here = wb.array_response(one, Q(57.0, "deg"), Q(33.0, "deg"))
    assert wb.array_response(other, Q(-57.0, "deg"), Q(33.0, "deg")) == pytest.approx(here, abs=1e-8)


@often
@given(arrays())
def test_opposite_phases_and_opposite_places_are_the_same(case):
    """Time run backward: conjugate weights at r -> -r give the conjugate array factor everywhere."""
    metres, weights, *rest = case
    same(fire(*case), fire(-metres, weights.conj(), *rest))


@often
@given(arrays(), st.floats(-60, 60), st.floats(-180, 180))
def test_only_ratios_of_weights_count(case, decibels, degrees):
    metres, weights, *rest = case
    factor = 10 ** (decibels / 20) * np.exp(1j * np.radians(degrees))
    one, other = fire(*case), fire(metres, factor * weights, *rest)
    same(one, other, (wb.rdf, wb.white_noise_gain, wb.front_to_back))
    for figure in (wb.signal_gain, wb.noise_gain):
        assert level(figure(other)) - level(figure(one)) == pytest.approx(decibels, abs=1e-6)


@often
@given(arrays(), st.randoms(use_true_random=False))
def test_elements_have_no_order(case, random):
    metres, weights, *rest = case
    order = list(range(len(weights)))
    random.shuffle(order)
    same(fire(*case), fire(metres[order], weights[order], *rest))


@often
@given(arrays(), st.floats(0.5, 2))
def test_only_wavelengths_count(case, scale):
    """Where the ground is the same at all frequencies."""
    metres, weights, f, azimuth, elevation, ground = case
    assume(ground in (wb.PERFECT_GROUND, wb.FREE_SPACE))
    same(fire(*case), fire(metres * scale, weights, f / scale, azimuth, elevation, ground))


@often
@given(arrays())
def test_front_to_back_turns_over(case):
    metres, weights, f, azimuth, elevation, ground = case
    front, back = (
        level(wb.front_to_back(fire(metres, weights, f, a, elevation, ground))) for a in (azimuth, azimuth + 180)
    )
    assume(abs(front) < 60)
    assert front == pytest.approx(-back, abs=1e-6)
    toward, away = (
        abs(wb.array_response(fire(*case), Q(a, "deg"), Q(elevation, "deg"))) for a in (azimuth, azimuth + 180)
    )
    assert front == pytest.approx(20 * np.log10(toward / away), abs=1e-6)


@often
@given(arrays())
def test_bounds(case):
    """No white-noise gain above N (Cauchy and Schwarz); noise between nothing and (sum |w|)^2, since no two elements
    share more than all; signal no more than that either.
    """
    weights, firing = case[1], fire(*case)
    most = 20 * np.log10(np.abs(weights).sum())
    assert level(wb.white_noise_gain(firing)) <= 10 * np.log10(len(weights)) + 1e-9
    assert level(wb.signal_gain(firing)) <= most + 1e-9
    assert ratio(wb.noise_gain(firing)) > 0
    assert level(wb.noise_gain(firing)) <= most + 1e-9


@often
@given(arrays())
def test_rdf_is_signal_over_noise_beside_one_element(case):
    """RDF less one element's RDF is the signal's gain less the noise's; one element is the array with the rest off."""
    metres, weights, *rest = case
    alone = fire(metres, np.eye(len(weights))[0], *rest)
    firing = fire(*case)
    gained = level(wb.signal_gain(firing) - wb.noise_gain(firing))
    assert level(wb.rdf(firing) - wb.rdf(alone)) == pytest.approx(gained, abs=1e-9)
    for figure in (wb.signal_gain, wb.noise_gain, wb.white_noise_gain, wb.front_to_back):
        assert level(figure(alone)) == pytest.approx(0, abs=1e-9)


@often
@given(arrays())
def test_response_adds_up(case):
    """Of an array: the sum over its elements, each at its place, alone."""
    metres, weights, *rest = case
    each = [
        wb.array_response(fire(metres, row, *rest), Q(200, "deg"), Q(15, "deg"))
        for row in np.diag(weights)
        # a weight alone that is next to nothing is refused, and adds next to nothing
        if np.abs(row).max() > 1e-90
    ]
    assert wb.array_response(fire(*case), Q(200, "deg"), Q(15, "deg")) == pytest.approx(sum(each), abs=1e-9)


@often
@given(arrays())
def test_figures_have_the_leading_axes_of_the_weights(case):
    metres, weights, *rest = case
    turned = weights * np.exp(1j * np.arange(len(weights)))
    many = np.array([[weights, turned, weights[::-1]], [turned[::-1], 2 * weights, 1j * turned]])
    whole = fire(metres, many, *rest)
    for figure in FIGURES:
        found = figure(whole)
        assert found.shape == (2, 3)
        assert np.ndim(figure(fire(*case)).magnitude) == 0
        for i, j in np.ndindex(2, 3):
            alone = level(figure(fire(metres, many[i, j], *rest)))
            if abs(alone) < 100:
                assert level(found[i, j]) == pytest.approx(alone, abs=1e-6)
    around = wb.array_response(whole, Q([10.0, 20.0, 30.0, 40.0], "deg"), Q(20, "deg"))
    assert around.shape == (2, 3, 4)
    one = wb.array_response(fire(metres, many[1, 0], *rest), Q(30.0, "deg"), Q(20, "deg"))
    assert isinstance(one, complex)
    assert around[1, 0, 2] == pytest.approx(one, abs=1e-9)


@often
@given(arrays())
def test_aligned_weights_have_the_greatest_white_noise_gain(case):
    """N, and phase 0 for the element that waits for none; all in phase toward the direction."""
    metres, _, f, azimuth, elevation, ground = case
    layout = wb.layout_from(Q(metres, "m"))
    weights = wb.aligned_weights(layout, Q(f, "MHz"), Q(azimuth, "deg"), Q(elevation, "deg"))
    firing = fire(metres, weights, f, azimuth, elevation, ground)
    assert level(wb.white_noise_gain(firing)) == pytest.approx(10 * np.log10(len(metres)), abs=1e-9)
    assert level(wb.signal_gain(firing)) == pytest.approx(20 * np.log10(len(metres)), abs=1e-9)
    assert np.abs(weights - 1).min() < 1e-9


# --- greatest RDF under a limit ---------------------------------------------------------------------------

LAYOUTS = {
    "ring of eight": wb.ring(8, "42 m", "0 deg"),
    "square": wb.square("24 m", "20 deg"),
    "row of three": wb.row(3, "20 m", "0 deg"),
    "anywhere": wb.layout_from(Q([[0, 0], [31, 4], [-12, 25], [8, -40], [-30, -22]], "m")),
}
AIM = {"frequency": "1.83 MHz", "azimuth": "22.5 deg", "elevation": "20 deg"}


def greatest(layout, limit, ground=LAND):
    weights = wb.greatest_rdf_weights(layout, ground=ground, least_white_noise_gain=Q(limit, "dB"), **AIM)
    return weights, wb.Firing(layout, weights, ground=ground, **AIM)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("limit", [-20.0, -8.0, 0.0, 3.0])
@pytest.mark.parametrize("ground", GROUNDS)
def test_no_other_weights_do_better_within_the_limit(name, limit, ground):
    """A thousand that keep the limit: any at all, aligned ones with errors, and near neighbours of the best."""
    layout, ground = LAYOUTS[name], GROUNDS[ground]
    best, firing = greatest(layout, limit, ground)
    random = np.random.default_rng(7)
    any_weights = random.normal(size=(9000, layout.count)) + 1j * random.normal(size=(9000, layout.count))
    any_weights /= np.linalg.norm(any_weights, axis=-1, keepdims=True)
    centre = np.stack((best, wb.aligned_weights(layout, **AIM), 0 * best))[:, None]
    size = np.array([0.0, 0.0, 1.0])[:, None, None] + 10 ** random.uniform(-5, 0, (3, 3000, 1)) * [[[1]], [[1]], [[0]]]
    tried = (centre + size * any_weights.reshape(3, 3000, -1)).reshape(9000, -1)
    rivals = wb.Firing(layout, tried, ground=ground, **AIM)
    within = level(wb.white_noise_gain(rivals)) >= limit
    assert within.sum() >= 1000
    assert within[:3000].sum() >= 300
    assert level(wb.rdf(rivals))[within].max() <= level(wb.rdf(firing)) + 1e-9


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("ground", GROUNDS)
def test_moving_the_limit_moves_both_in_order(name, ground):
    """A higher limit: no more RDF, no less white-noise gain; kept to 1e-6 dB; at its top all elements are aligned."""
    layout, ground = LAYOUTS[name], GROUNDS[ground]
    limits = np.append(np.linspace(-60, 10 * np.log10(layout.count), 80), 10 * np.log10(layout.count))
    found = [greatest(layout, limit, ground) for limit in limits]
    rdfs = np.array([level(wb.rdf(firing)) for _, firing in found])
    gains = np.array([level(wb.white_noise_gain(firing)) for _, firing in found])
    assert np.all(np.diff(rdfs) <= 1e-9)
    assert np.all(np.diff(gains) >= -1e-9)
    assert np.all(gains >= limits - 1e-6)
    free = gains[0]
    # the limit binds or it does not matter: no more is given up than it asks
    assert gains == pytest.approx(np.maximum(limits, free), abs=1e-6)
    aligned = wb.Firing(layout, wb.aligned_weights(layout, **AIM), ground=ground, **AIM)
    # at its very top white-noise gain is flat, so 1e-6 dB of it are 5e-4 of the weights
    assert rdfs[-1] == pytest.approx(level(wb.rdf(aligned)), abs=1e-3)


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("ground", GROUNDS)
def test_a_slack_limit_changes_nothing(name, ground):
    """Then lambda is 0: B w = conj(d) up to a factor, with B from quadrature of products of the elements' responses."""
    layout, ground = LAYOUTS[name], GROUNDS[ground]
    loose, firing = greatest(layout, -60.0, ground)
    own = level(wb.white_noise_gain(firing))
    assert own > -60
    for limit in (own - 0.01, -45.0 if own > -45 else -58.0):
        assert greatest(layout, limit, ground)[0] == pytest.approx(loose, abs=1e-12)
    elevation, azimuth, share = WHOLE
    each = wb.array_response(wb.Firing(layout, np.eye(layout.count), ground=ground, **AIM), azimuth, elevation)
    whole = np.einsum("aij,bij,ij->ab", each.conj(), each, np.broadcast_to(share, each.shape[1:]), optimize=True).real
    lhs = whole @ loose
    toward = layout.positions.m_as("m") @ [np.sin(np.radians(22.5)), np.cos(np.radians(22.5))]
    d = np.exp(2j * np.pi * 1.83e6 / C * toward * np.cos(np.radians(20)))
    along = lhs * d
    # relative to the weights: B is nearly singular, so its product is small beside its terms
    assert along == pytest.approx(along.mean(), abs=1e-9 * np.abs(whole).max())


@pytest.mark.parametrize("limit", [-100.0, -8.0, 2.0])
@pytest.mark.parametrize("name", LAYOUTS)
def test_scaling_of_the_weights(name, limit):
    """The largest is 1, and phase 0 toward the direction."""
    layout = LAYOUTS[name]
    weights, _ = greatest(layout, limit, wb.FREE_SPACE)
    assert weights.shape == (layout.count,)
    assert np.abs(weights).max() == pytest.approx(1, abs=1e-12)
    toward = wb.array_response(wb.Firing(layout, weights, ground=wb.FREE_SPACE, **AIM), Q(22.5, "deg"), Q(20.0, "deg"))
    assert np.angle(toward) == pytest.approx(0, abs=1e-6)


# --- refusals ---------------------------------------------------------------------------------------------

RING = LAYOUTS["ring of eight"]
GOOD = {"layout": RING, "weights": np.ones(8), "ground": LAND, **AIM}
LIMITED = {"layout": RING, "ground": LAND, "least_white_noise_gain": "-8 dB", **AIM}
FEWEST = {
    "layout": LAYOUTS["square"],
    "frequencies": Q([1.83, 3.65], "MHz"),
    "azimuth": "65 deg",
    "elevation": "20 deg",
    "ground": LAND,
    "lines": 1,
}
AIMED = {"layout": RING, **AIM}
PAIRED = {"layout": RING, "frequency": "1.83 MHz", "azimuth": "0 deg", "null_elevation": "20 deg"}
FIRED = wb.Firing(**GOOD)
ASKED = {"firing": FIRED, "azimuth": "10 deg", "elevation": "20 deg"}

NO_HEIGHT = ("-1 deg", "90.1 deg", "180 deg", 20, 0.3, "20", "20 m", Q(math.nan, "deg"), Q(20, ""), None, Q(1j, "deg"))
NO_ANGLE = (45, "45", "45 m", Q(math.inf, "deg"), Q(1.0, ""), None)
NO_FREQUENCY = (1.83, 1.83e6, "1.83", "0 Hz", "-1.83 MHz", "1.83 m", Q(math.nan, "MHz"), None, Q(1e7, "rad/s"))
MANY = Q([20.0, 30.0], "deg")
NO_GROUND = (13, "average", None, (13, "5 mS/m"))

WRONG = [
    (wb.Firing, GOOD, "elevation", (*NO_HEIGHT, MANY)),
    (wb.Firing, GOOD, "azimuth", (*NO_ANGLE, MANY)),
    (wb.Firing, GOOD, "frequency", (*NO_FREQUENCY, Q([1.83, 3.65], "MHz"))),
    (wb.Firing, GOOD, "ground", NO_GROUND),
    (wb.Firing, GOOD, "layout", (np.zeros((8, 2)), None, "ring")),
    (
        wb.Firing,
        GOOD,
        "weights",
        (
            *(np.ones(7), np.ones((8, 3)), 1.0, [], None, "ones", ["a"] * 8, Q(np.ones(8), "V"), np.zeros(8)),
            *(np.full(8, np.nan), np.full(8, np.inf), np.array([1] * 7 + [complex(0, math.nan)])),
        ),
    ),
    (wb.array_response, ASKED, "elevation", NO_HEIGHT),
    (wb.array_response, ASKED, "azimuth", NO_ANGLE),
    (wb.aligned_weights, AIMED, "elevation", NO_HEIGHT),
    (wb.aligned_weights, AIMED, "azimuth", NO_ANGLE),
    (wb.aligned_weights, AIMED, "frequency", NO_FREQUENCY),
    (wb.endfire_weights, PAIRED, "null_elevation", (*NO_HEIGHT, MANY)),
    (wb.endfire_weights, PAIRED, "azimuth", (*NO_ANGLE, MANY)),
    (wb.endfire_weights, PAIRED, "frequency", (*NO_FREQUENCY, Q([1.83, 3.65], "MHz"))),
    (wb.greatest_rdf_weights, LIMITED, "elevation", (*NO_HEIGHT, MANY)),
    (wb.greatest_rdf_weights, LIMITED, "azimuth", (*NO_ANGLE, MANY)),
    (wb.greatest_rdf_weights, LIMITED, "frequency", (*NO_FREQUENCY, Q([1.83, 3.65], "MHz"))),
    (wb.greatest_rdf_weights, LIMITED, "ground", NO_GROUND),
    (
        wb.greatest_rdf_weights,
        LIMITED,
        "least_white_noise_gain",
        (
            -8,
            "-8",
            "9.04 dB",
            "40 dB",
            Q(math.nan, "dB"),
            Q(math.inf, "dB"),
            "-8 m",
            Q(0.1, ""),
            None,
            Q([-8, 0], "dB"),
        ),
    ),
    (wb.fewest_delays, FEWEST, "lines", (0, 5, -1, 1.5, True, None, "1", math.nan)),
    (wb.fewest_delays, FEWEST, "frequencies", (*NO_FREQUENCY, Q([], "MHz"), Q([1.83, math.nan], "MHz"))),
    (wb.fewest_delays, FEWEST, "elevation", (*NO_HEIGHT, MANY)),
    (wb.fewest_delays, FEWEST, "azimuth", (*NO_ANGLE, MANY)),
    (wb.fewest_delays, FEWEST, "ground", NO_GROUND),
    (
        wb.fewest_delays,
        FEWEST,
        "least_white_noise_gain",
        (-8, "-8", "6.1 dB", Q(math.nan, "dB"), "-8 m", Q([-8.0, 0.0], "dB")),
    ),
]


@pytest.mark.parametrize(
    ("call", "good", "argument", "values"), WRONG, ids=[f"{call.__name__}-{name}" for call, _, name, _ in WRONG]
)
def test_what_is_refused(refused, call, good, argument, values):
    call(**good)
    let_through = []
    for value in values:
        try:
            refused(functools.partial(call, **{**good, argument: value}), argument.removesuffix("ies"))
        except (Exception, pytest.fail.Exception) as error:
            let_through.append(f"{value!r:.60}: {type(error).__name__}: {error!s:.120}")
    assert not let_through, "\n".join(let_through)


@pytest.mark.parametrize(
    ("ground", "elevation"),
    [(LAND, "0 deg"), (SEA, "0 deg"), (LAND, "90 deg"), (SEA, "90 deg"), (wb.PERFECT_GROUND, "90 deg")],
)
def test_a_direction_in_which_nothing_arrives(refused, ground, elevation):
    """It says what to try."""
    for call, good in ((wb.Firing, GOOD), (wb.greatest_rdf_weights, LIMITED), (wb.fewest_delays, FEWEST)):
        sentence = refused(functools.partial(call, **{**good, "ground": ground, "elevation": elevation}), "elevation")
        assert "nothing" in sentence
        assert "try" in sentence


@pytest.mark.parametrize(
    ("ground", "elevation"), [(wb.PERFECT_GROUND, "0 deg"), (wb.FREE_SPACE, "0 deg"), (wb.FREE_SPACE, "90 deg")]
)
def test_directions_in_which_something_arrives(ground, elevation):
    assert np.isfinite(level(wb.rdf(wb.Firing(**{**GOOD, "ground": ground, "elevation": elevation}))))


def test_a_ground_that_is_none(refused):
    for permittivity in (0.5, 0, -13, math.nan, math.inf, "13", None, True, Q(13, ""), 13j, [13, 14]):
        refused(functools.partial(wb.Ground, permittivity, "5 mS/m"), "relative_permittivity")
    for conductivity in (
        0.005,
        "0.005",
        "5 mS",
        "-5 mS/m",
        Q(math.nan, "S/m"),
        Q(math.inf, "S/m"),
        None,
        Q([1, 2], "S/m"),
    ):
        refused(functools.partial(wb.Ground, 13, conductivity), "conductivity")


def test_rows_where_there_are_none(refused):
    """A row fired broadside has no front and no rear; what could be done is said."""
    row = wb.row(4, "20 m", "0 deg")
    for inversion in (False, True):
        refused(lambda turn=inversion: wb.endfire_weights(row, "1.83 MHz", "90 deg", "20 deg", turn), "azimuth", "row")
    with pytest.raises(wb.InputError):
        wb.fewest_delays(row, Q([1.83], "MHz"), "90 deg", "20 deg", LAND, 1)


@pytest.mark.parametrize(("azimuth", "rows"), [("65 deg", 2), ("20 deg", 3)])
def test_more_lines_than_rows(refused, azimuth, rows):
    """Square turned by 20 deg: fired along a side it has two rows, over a corner three."""
    good = {**FEWEST, "azimuth": azimuth}
    refused(functools.partial(wb.fewest_delays, **{**good, "lines": rows + 1}), "lines", str(rows))
    wb.fewest_delays(**{**good, "lines": rows - 1})


def test_what_is_frozen():
    with pytest.raises(AttributeError):
        FIRED.elevation = Q(30, "deg")
    with pytest.raises(ValueError, match="read-only"):
        FIRED.weights[0] = 2
    mine = np.ones(8, dtype=complex)
    firing = wb.Firing(**{**GOOD, "weights": mine})
    mine[0] = 5
    assert firing.weights[0] == 1
