"""The way to the receiver in a plan: the same as the public comparison gives, at true velocity factors, or refused."""

import numpy as np
import pytest

import workbook as wb
from workbook.design.schema import BEST, WAYS
from workbook.files import shipped
from workbook.tables.receiver_match import match_tables

C = wb.Quantity(299_792_458, "m/s")
CABLES = ["series-6-copper", "rg-213-solid-pe"]


@pytest.fixture(scope="module")
def design():
    return wb.load_design(shipped("notebooks") / "heron-fen-ring.toml")


def matched(design, **keys):
    return design.changed({("match", key): value for key, value in keys.items()}).plan().match


def test_a_design_without_the_table_has_none(design):
    assert design.plan().match is None


def test_the_best_is_the_first_of_the_public_comparison(design):
    found = matched(design, way="best", cables=CABLES)
    first = wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"), cables=CABLES)[0]
    assert found.way == first.name
    assert found.reason == first.reason
    for band in found.bands:
        hertz = wb.Quantity({"160 m": 1.84e6, "80 m": 3.6e6}[band.name], "Hz")
        assert band.swr_in == pytest.approx(first.swr_in(hertz), rel=1e-12)
        assert band.swr_out == pytest.approx(first.swr_out(hertz), rel=1e-12)
        assert band.insertion_loss_db == pytest.approx(first.insertion_loss(hertz).m_as("dB"), rel=1e-12)
        assert band.phase_shift_deg == pytest.approx(first.phase_shift(hertz).m_as("degree"), rel=1e-12)


def test_a_way_may_be_named_and_its_lines_have_their_lengths_and_checks(design):
    found = matched(design, way="twelfth-wave pair", cables=CABLES)
    assert [part.cable for part in found.sections] == CABLES[::-1]
    for part in found.sections:
        made_of, length = wb.cable(part.cable), wb.Quantity(part.length_m, "m")
        seen = wb.Quantity(part.check.frequency_hz, "Hz")
        # a delay line's connectors count as cable in what the analyser shows
        whole = length + made_of.velocity_factor(seen) * C * 2 * design.content.ends.delay_line.delay
        assert part.check.frequency_hz == pytest.approx(wb.check_frequency(made_of, whole).m_as("Hz"), rel=1e-9)
        assert part.length_to_cut_m == pytest.approx(part.length_m + 0.028)
        assert part.first_cut_m >= part.length_to_cut_m + 0.1
    # from the textbooks, each of two ideal sections between 75 and 50 ohm is 29.3 degrees
    assert all(abs(part.electrical_length_deg - 29.3) < 3 for part in found.sections)


def test_every_way_that_the_format_knows_can_be_had_here(design):
    for way in WAYS:
        found = matched(design, way=way, cables=[*CABLES, "rg-59-solid-pe", "rg-58-solid-pe", "rg-8x-foam"])
        assert found.way == way or way == BEST


def test_a_measured_velocity_factor_counts_here_too(design):
    plain = matched(design, way="twelfth-wave pair", cables=CABLES)
    slow = design.changed({("velocity_factor", "series-6-copper"): {"value": 0.80, "frequency": "1.84 MHz"}})
    other = matched(slow, way="twelfth-wave pair", cables=CABLES)
    at = wb.cable("series-6-copper").velocity_factor("1.84 MHz")
    assert other.sections[1].length_m / plain.sections[1].length_m == pytest.approx(0.80 / at, rel=0.01)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"way": "twelfth wave"}, "did you mean twelfth-wave pair"),
        ({"source": "0 ohm"}, "not above zero"),
        ({"source": "75"}, "without a unit"),
        ({"cables": []}, "is empty"),
        ({"cables": ["series-6-coper"]}, "series-6-copper"),
        ({"most_swr": 1}, "1.2"),
        ({"most_loss": "0 dB"}, "not above 0 dB"),
        ({"way": "twelfth-wave pair", "cables": ["series-6-copper"]}, "series-6-copper is the nearest to both ends"),
        ({"way": "wideband transformer", "source": "50000 ohm", "load": "1 ohm"}, "impedance ratios up to 1296"),
        ({"way": "series section", "load": "75 ohm"}, "source: equals load"),
        ({"way": "twelfth-wave pair", "source": "50 ohm", "load": "450 ohm", "cables": CABLES}, "at no lengths"),
        ({"load": "1e-13 ohm"}, "match.load: 1e-13 ohm cannot be matched"),
        ({"source": "1e300 ohm"}, "match.source: got"),
        ({"most_loss": "1e-320 dB"}, "match.most_loss"),
        ({"source": "50+10j ohm"}, "only a resistance is understood"),
        ({"load": "50 - j10 ohm"}, "only a resistance is understood"),
        ({"load": "50 ohm", "sauce": "1 ohm"}, "unknown key"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(design, refused, keys, words):
    refused(lambda: matched(design, **keys), "match", words)


def test_why_a_way_cannot_be_had_is_told_as_the_way_tells_it(design, refused):
    """The sentence of the pair with cables that cannot be one names the nearest impedance that would do."""
    said = refused(
        lambda: matched(design, way="twelfth-wave pair", source="50 ohm", load="450 ohm", cables=CABLES), "match.way"
    )
    assert "the nearest being" in said
    assert 'take "' in said


@pytest.mark.parametrize("way", WAYS[1:])
def test_what_is_bought_or_wound_stands_in_the_plan(design, way):
    cables = [wb.cable(name) for name in wb.cables()]
    found = matched(design, way=way, cables=[cable.name for cable in cables])
    public = wb.compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"), cables=cables)
    parts = next(match.components for match in public if match.name == way)
    assert [one.name for one in found.components] == [part.what for part in parts]
    for one, part in zip(found.components, parts, strict=True):
        value = part.value if one.unit == "turns" else part.value.m_as(one.unit)
        assert one.value == pytest.approx(value, rel=1e-12)
        assert one.unit in ("turns" if "turns" in one.name else "H" if "inductance" in one.name else "ohm")
    assert bool(found.components) == ("pad" in way or "transformer" in way)


def test_a_design_frequency_outside_the_band_it_is_named_for_is_ranked_where_it_lies(design):
    """As under a name that is no band's."""
    bands = {"160 m": "28.5 MHz", "80 m": "3.6 MHz"}
    found = design.changed({("bands",): bands, ("match", "way"): "best"}).plan().match
    assert "160 m" not in found.reason
    public = wb.compare_matches(
        "75 ohm", "50 ohm", [("28.5 MHz", "28.5 MHz"), ("3.5 MHz", "4 MHz")], ["series-6-copper"]
    )
    assert found.way == public[0].name
    assert found.reason == public[0].reason
    assert max(found.bands[0].swr_in, found.bands[0].swr_out) <= 1.2 or "no match" in found.reason


def test_the_tables_hold_what_the_plan_says(design):
    found = matched(design, way="twelfth-wave pair", cables=CABLES)
    bands, lines = match_tables(found)
    assert [row[0] for row in bands.rows] == ["160 m", "80 m"]
    assert [float(row[3]) for row in bands.rows] == [round(band.insertion_loss_db, 2) for band in found.bands]
    assert [row[1] for row in lines.rows] == CABLES[::-1]
    assert len(match_tables(matched(design, way="no matching"))) == 1
    assert np.isfinite([band.phase_shift_deg for band in found.bands]).all()
