"""Tables of matches: they say what the matches do, to the last digit written."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.arguments import band_edges, chosen_cables
from workbook.matching.candidates import (
    DIRECT,
    E24_PAD,
    FAMILIES,
    METHODS,
    SERIES_SECTION,
    Requirements,
    compare,
)
from workbook.tables import matching as tables

Q = wb.Quantity
BANDS = ("160 m", "80 m")
CABLES = ("series-6-copper", "rg-6-solid-pe", "rg-58-solid-pe", "rg-213-solid-pe")
EDGES = band_edges(BANDS)


def comparison(source=75.0, load=50.0, edges=EDGES, cables=CABLES, run=None, methods=METHODS):
    return compare(Requirements(source, load, edges, (1.2, 1.0), chosen_cables(cables), run=run), methods)


def cells(table):
    return {row[0]: dict(zip(table.headings, row, strict=True)) for row in table.rows}


def worst(match, bands):
    """Worst SWR at either end and worst loss, on a finer grid than the comparison samples."""
    edges = [(wb.band(name).low, wb.band(name).high) for name in bands]
    hertz = np.concatenate([np.linspace(low.m_as("Hz"), high.m_as("Hz"), 200) for low, high in edges])
    swr_in, swr_out, loss, _ = match.response(Q(hertz, "Hz"))
    return max(swr_in.max(), swr_out.max()), loss.m_as("dB").max()


# --- ranked -----------------------------------------------------------------------------------------------


def test_the_ranking_has_a_row_for_each_match_with_its_figures():
    found = wb.compare_matches("75 ohm", "50 ohm", BANDS)
    table = wb.ranking(found, BANDS)
    assert table.title == "75 to 50 ohm on 160 m, 80 m"
    assert [row[1] for row in table.rows] == [match.name for match in found]
    for row, match in zip(table.rows, found, strict=True):
        named = dict(zip(table.headings, row, strict=True))
        swr, loss = worst(match, BANDS)
        assert float(named["worst SWR"]) == pytest.approx(swr, abs=0.012)
        assert float(named["worst loss dB"]) == pytest.approx(loss, abs=0.007)
        assert named["why"] == match.reason
        assert named["parts from the source on"] == match.description
        checks = [f"{line.check_frequency.m_as('MHz'):.4f}" for line in match.sections]
        assert named["check MHz, far end open"] == ("; ".join(checks) or "-")
        for line in match.sections:
            assert wb.feet_inches(line.length) in row[2]
    usable = {row[1]: row[7] for row in table.rows}
    assert usable[DIRECT.name] == "none"
    assert usable["wideband transformer"].count(" to ") == 1
    wide = wb.ranking(found, BANDS, 1.6, "6 dB").rows
    assert {row[7] for row in wide if "pad" in row[1] or row[1] == DIRECT.name} == {"all"}


@pytest.mark.parametrize("bad", [[3], 3, None, "match", ["75 ohm"], b"ab", {"a": 1}, [None], Q(5, "ohm")])
def test_the_ranking_rejects_what_is_not_a_match(refused, bad):
    refused(lambda: wb.ranking(bad, BANDS), "matches", "wb.Match")


@pytest.mark.parametrize("bad", [None, 5, "160 m", [], ["161 m"], [b"ab"], Q(1.8, "MHz")])
def test_the_ranking_rejects_what_is_not_a_band(refused, bad):
    refused(lambda: wb.ranking(wb.compare_matches("75 ohm", "50 ohm", BANDS), bad), "band")


def test_the_worksheets_ranking_leaves_out_what_tables_of_one_match_show():
    found = comparison()
    table = tables.rank_table(found)
    whole = wb.ranking(found.matches, BANDS)
    assert table.title == whole.title
    kept = [whole.headings.index(heading) for heading in table.headings]
    assert [tuple(row[n] for n in kept) for row in whole.rows] == list(table.rows)
    assert set(whole.headings) - set(table.headings) == {"check MHz, far end open", "phase shift deg"}


def test_rejected_methods_are_listed_with_their_reason():
    equal = comparison(load=75.0)
    rows = tables.rejected_table(equal).rows
    assert [row[0] for row in rows] == [each.method.family for each in equal.rejected]
    assert SERIES_SECTION.family in {row[0] for row in rows}
    assert all("join them directly" in row[1] for row in rows)


# --- one match --------------------------------------------------------------------------------------------


def test_parts_bands_and_limits_say_what_the_match_says():
    found = comparison()
    pair = found.matches[found.place("twelfth-wave pair")]
    parts = tables.parts_table(pair)
    assert f"{pair.hertz / 1e6:.4g} MHz" in parts.headings[2]
    for row, section in zip(parts.rows, pair.sections, strict=True):
        assert row[0] == section.cable.name
        assert wb.feet_inches(section.length) in row[1]
        assert float(row[2]) == pytest.approx(section.electrical_length.m_as("degree"), abs=0.06)
        assert float(row[3]) == pytest.approx(section.check_frequency.m_as("MHz"), abs=6e-5)
    top = cells(tables.band_table(pair, EDGES))["80 m"]
    at = Q(np.linspace(3.5e6, 4e6, 21), "Hz")
    swr_in, swr_out, loss, phase = pair.response(at)
    assert float(top["worst SWR at source"]) == pytest.approx(swr_in.max(), abs=0.006)
    assert float(top["worst SWR at load"]) == pytest.approx(swr_out.max(), abs=0.006)
    assert float(top["least loss dB"]) == pytest.approx(loss.m_as("dB").min(), abs=0.006)
    assert float(top["phase deg, high edge"]) == pytest.approx(phase.m_as("degree")[-1], abs=0.06)
    usable = cells(tables.limit_table(pair, (1.2, 1.0)))
    low, high = pair.usable_band(1.2, "1000000 dB")
    assert usable["SWR 1.2 at both ends"]["usable MHz"] == f"{low.m_as('MHz'):.4g} to {high.m_as('MHz'):.4g}"
    assert usable["loss 1 dB"] != usable["SWR 1.2 at both ends"]


def test_parts_without_lines_are_listed_with_their_values():
    found = comparison(methods=[method for method in METHODS if method.family != E24_PAD.family or method is E24_PAD])
    rows = {family: tables.parts_table(found.matches[found.place(family)]).rows for family in FAMILIES}
    assert rows["minimum-loss pad"] == (("resistor in series", "43 ohm"), ("resistor across", "91 ohm"))
    assert rows[DIRECT.family] == (("source and load are joined", "-"),)
    turns, _, magnetising, leakage = rows["wideband transformer"]
    # k times the inductance factor times the turns squared; both leakages seen at the source
    assert magnetising[1] == f"{0.998 * 400e-3 * int(turns[1]) ** 2:.5g} uH"
    assert leakage[1] == f"{2 * 0.002 * 400 * int(turns[1]) ** 2:.5g} nH"


def test_a_line_without_a_check_frequency_is_listed_with_a_dash():
    """Five kilometres of thin cable: no reactance ever vanishes at its end."""
    found = comparison(edges=band_edges([("10 kHz", "11 kHz")]), cables=("rg-58-solid-pe",))
    line = found.matches[found.place("quarter-wave line")]
    assert line.sections[0].check_frequency is None
    assert tables.parts_table(line).rows[0][-1] == "-"


def test_the_nearest_cables_of_a_quarter_wave_are_listed_with_the_swr_they_leave():
    found = comparison()
    table = tables.nearest_cables_table(found)
    assert "61.24 ohm" in table.title
    assert len(table.rows) == 4
    hertz = Q(found.matches[found.place("quarter-wave line")].hertz, "Hz")
    for name, ohms, swr in table.rows:
        if not name.startswith("two"):
            made = wb.quarter_wave_match("75 ohm", "50 ohm", hertz, wb.cable(name))
            assert swr == f"{made.swr_in(hertz):.2f}"
            assert ohms == f"{made.sections[0].impedance.m_as('ohm').real:.2f}"
    assert tables.nearest_cables_table(comparison(load=75.0)) is None


# --- a run of cable ---------------------------------------------------------------------------------------


def test_the_note_on_ripple_has_the_closed_answer():
    cable = wb.cable("series-6-copper")
    assert "nothing varies" in tables.ripple_note(comparison(run=(cable, 0.0)))
    # 75 ohm between 50-ohm ends: both reflections are a fifth, so 20 log(1.04/0.96) dB and arcsin 0.04
    note = tables.ripple_note(comparison(source=50.0, run=(cable, 0.0)))
    assert "0.70 dB" in note
    assert "2.29 degrees" in note
    assert tables.ripple_note(comparison()) == ""


def test_ends_joined_as_they_are_are_said_not_to_matter_to_a_receiver():
    """75 to 50 ohm lose 10 log10(125^2/(4 x 75 x 50)) = 0.177 dB, as Pozar's mismatch loss; 75 to 5 ohm lose 6.3 dB."""
    for load, matters in ((50.0, False), (5.0, True)):
        found = compare(
            Requirements(75.0, load, band_edges(("160 m",), 2), (1.2, 1.0), chosen_cables(["series-6-copper"])),
            (DIRECT,),
        )
        line = tables.match_answer(found, 0).text()
        assert ("does not matter to a receiver" in line) != matters
