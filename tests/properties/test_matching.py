"""What physics demands of every way to match, for any ends: passive, reciprocal, lossless where it should be."""

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

import workbook as wb
from workbook.formulas import twoports
from workbook.matching.arguments import band_edges, chosen_cables, sampled
from workbook.matching.candidates import Candidate, Requirements, candidates
from workbook.matching.direct import direct_connection, mismatch_loss
from workbook.matching.match import Match
from workbook.matching.pad import pad_match
from workbook.matching.ranking import worst_on
from workbook.matching.sections import pair, pair_match, quarter_wave, quarter_wave_match
from workbook.matching.transformer import Core, Turns, transformer_match

Q = wb.Quantity
often = settings(max_examples=60, deadline=None, derandomize=True, database=None)
HERTZ = np.geomspace(0.2e6, 100e6, 25)
FREQUENCY = Q(HERTZ, "Hz")
CABLES = [wb.cable(name) for name in wb.cables()]

resistances = st.floats(5, 1000)
ends = st.builds(lambda r, q: complex(r, r * q), resistances, st.floats(-3, 3))
design = st.floats(1.8e6, 30e6)
cables = st.sampled_from(CABLES)
cores = st.builds(
    Core, st.floats(20, 5000).map(lambda n: Q(n, "nH")), st.floats(0.5, 1), st.floats(0.5, 500), st.floats(1, 500)
)
turns = st.builds(Turns, st.integers(1, 30), st.integers(1, 30), st.just(0.0))


@st.composite
def matches(draw: st.DrawFn) -> Match:
    """Any way, whether or not it matches these ends."""
    source, load, hertz = draw(ends), draw(ends), draw(design)
    two = Q(source, "ohm"), Q(load, "ohm")
    kind = draw(st.integers(0, 5))
    if kind == 0:
        return direct_connection(*two)
    if kind == 1:
        return transformer_match(*two, draw(cores), draw(turns))
    if kind == 2:
        assume(abs(abs(source) - abs(load)) > 1e-6 * abs(load))
        return pad_match(*two, draw(st.sampled_from([None, 24, 96])))
    made_of = draw(cables), draw(cables | resistances)
    lag, counts = draw(st.floats(0.01, 3)), (draw(st.integers(1, 2)), draw(st.integers(1, 2)))
    one = quarter_wave(source, load, hertz, made_of[0], lag, counts[0])
    if kind == 3:
        return one
    other = quarter_wave(source, load, hertz, made_of[1], lag / 2, counts[1])
    exact = pair(source, made_of, load, hertz, counts) if kind == 4 else None
    return pair_match("pair", source, exact or (one.sections[0], other.sections[0]), load, hertz)


@often
@given(matches())
def test_no_way_gives_back_more_than_it_gets(match):
    assert np.linalg.svd(match.network(FREQUENCY).s, compute_uv=False).max() <= 1 + 1e-12
    assert np.all(match.insertion_loss(FREQUENCY).m_as("dB") >= 0)
    assert np.all(match.swr_in(FREQUENCY) >= 1)
    assert np.all(match.swr_out(FREQUENCY) >= 1)


@often
@given(matches())
def test_every_way_is_reciprocal(match):
    """The determinant of the chain matrix of each part is 1, however the S parameters are worked out."""
    for part in match.parts:
        a, b, c, d = part.chain(HERTZ)
        assert a * d - b * c == pytest.approx(1, abs=1e-11 * max(1.0, np.abs(a * d).max()))
    s = match.network(FREQUENCY).s
    assert np.array_equal(s[:, 0, 1], s[:, 1, 0])


@settings(often, max_examples=40)
@given(ends, ends, st.sets(st.sampled_from(wb.cables()), min_size=1, max_size=5), st.sampled_from(wb.bands()))
def test_exchanged_ends_have_the_mirrored_ways(source, load, names, band):
    """The same ways, and each does the same, whichever end is called the source."""
    edges = band_edges((band, "80 m"))
    there, back = (
        {
            each.method.key: tuple(float(figure) for figure in worst_on(each.match, sampled(edges).ravel()))
            for each in candidates(Requirements(*two, edges, (1.2, 1.0), chosen_cables(sorted(names))))
            if isinstance(each, Candidate)
        }
        for two in ((source, load), (load, source))
    )
    assert there.keys() == back.keys()
    for key, figures in there.items():
        assert back[key] == pytest.approx(figures, rel=1e-6, abs=1e-9), key


@often
@given(matches())
def test_turned_round_it_is_the_same_seen_from_the_other_end(match):
    """Parts in the other order between exchanged ends; windings are not symmetric and stay out."""
    if any(not hasattr(part, "ohms") for part in match.parts):
        return
    back = Match("back", "", match.load_ohms, match.source_ohms, match.parts[::-1], match.hertz)
    assert np.abs(back.network(FREQUENCY).s[:, ::-1, ::-1] - match.network(FREQUENCY).s).max() < 1e-10


@often
@given(matches())
def test_insertion_loss_is_power_in_the_load_over_power_that_can_be_had(match):
    """By voltages and currents of the circuit, without any wave."""
    a, b, c, d = (np.broadcast_to(x, HERTZ.shape) for x in twoports.cascade(p.chain(HERTZ) for p in match.parts))
    source, load = match.source_ohms, match.load_ohms
    current = 1 / ((a * load + b) + source * (c * load + d))
    ratio = np.abs(current) ** 2 * np.real(load) / (1 / (4 * np.real(source)))
    assert match.insertion_loss(FREQUENCY).m_as("dB") == pytest.approx(-10 * np.log10(ratio), abs=1e-9)


@often
@given(ends, ends, design, st.tuples(resistances, resistances))
def test_lossless_lines_lose_only_what_comes_back(source, load, hertz, impedances):
    lags = (0.4, 1.1)
    lines = [quarter_wave(source, load, hertz, z, lag).sections[0] for z, lag in zip(impedances, lags, strict=True)]
    s = pair_match("pair", source, tuple(lines), load, hertz).network(FREQUENCY).s
    assert np.abs(s.conj().transpose(0, 2, 1) @ s - np.eye(2)).max() < 1e-10


@often
@example(source=612 + 612j, load=612 + 0j, hertz=1.8e6, first=5.0, second=25.625)
@given(ends, ends, design, resistances, resistances)
def test_lines_that_are_said_to_match_do(source, load, hertz, first, second):
    two = Q(source, "ohm"), Q(load, "ohm")
    parts = pair(source, (first, second), load, hertz)
    low, high, beyond = twoports.first_line_edges(source, second, load)
    if parts is not None:
        match = pair_match("pair", source, parts, load, hertz)
        assert abs(match.network(Q(hertz, "Hz")).s[0, 0, 0]) < 1e-6
        assert abs(match.network(Q(hertz, "Hz")).s[0, 1, 1]) < 1e-6
    else:
        assert first == second or ((low < first < high) if beyond else not low <= first <= high)
    try:
        match = quarter_wave_match(*two, Q(hertz, "Hz"))
    except wb.InputError:
        return
    assert abs(match.network(Q(hertz, "Hz")).s[0, 0, 0]) < 1e-6


@often
@given(ends, ends)
def test_mismatch_loss_is_the_same_both_ways_and_nothing_between_conjugates(source, load):
    there, back = mismatch_loss(Q(source, "ohm"), Q(load, "ohm")), mismatch_loss(Q(load, "ohm"), Q(source, "ohm"))
    assert there.m_as("dB") == pytest.approx(back.m_as("dB"), abs=1e-12)
    assert mismatch_loss(Q(source, "ohm"), Q(np.conj(source), "ohm")).m_as("dB") == pytest.approx(0, abs=1e-12)


@often
@given(resistances, resistances)
def test_a_pad_matches_both_ends(one, other):
    if abs(one - other) < 1e-3:
        return
    match = pad_match(Q(one, "ohm"), Q(other, "ohm"))
    assert match.swr_in("1 MHz") == pytest.approx(1, abs=1e-9)
    assert match.swr_out("1 MHz") == pytest.approx(1, abs=1e-9)
