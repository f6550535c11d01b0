"""The public comparison: which matches there are, in which order and why."""

import numpy as np
import pytest

import workbook as wb
from workbook.matching.direct import direct_connection
from workbook.matching.transformer import Core

Q = wb.Quantity
BANDS = ("160 m", "80 m")
WAYS = {"no matching", "wideband transformer", "quarter-wave line", "twelfth-wave pair", "series section"}
WAYS |= {f"minimum-loss pad, {kind}" for kind in ("exact", "E24 resistors", "E96 resistors")}


def worst(match, bands):
    """Worst SWR at either end and worst loss, on a finer grid than the comparison looks at."""
    edges = [(wb.band(name).low, wb.band(name).high) for name in bands]
    hertz = np.concatenate([np.linspace(low.m_as("Hz"), high.m_as("Hz"), 200) for low, high in edges])
    swr_in, swr_out, loss, _ = match.response(Q(hertz, "Hz"))
    return max(swr_in.max(), swr_out.max()), loss.m_as("dB").max()


@pytest.mark.parametrize("ends", [("75 ohm", "50 ohm"), ("50 ohm", "75 ohm")])
@pytest.mark.parametrize("bands", [BANDS, ("40 m",), wb.bands()])
def test_every_method_is_ranked_by_limits_then_loss(ends, bands):
    found = wb.compare_matches(*ends, bands)
    assert {match.name for match in found} <= WAYS
    assert WAYS - {match.name for match in found} <= {"series section"}
    assert len({match.name for match in found}) == len(found)
    did = [worst(match, bands) for match in found]
    good = [swr <= 1.2 and loss <= 1 for swr, loss in did]
    assert good == sorted(good, reverse=True), "ways within the limits come first"
    losses = [loss for (_, loss), is_good in zip(did, good, strict=True) if is_good]
    assert losses == pytest.approx(sorted(losses), abs=0.002)
    rest = [max((swr - 1) / 0.2, loss) for (swr, loss), is_good in zip(did, good, strict=True) if not is_good]
    assert rest == pytest.approx(sorted(rest), abs=0.01)


def test_reasons_say_why():
    found = wb.compare_matches("75 ohm", "50 ohm", BANDS)
    assert found[0].name == "wideband transformer"
    assert "only match within SWR 1.2 and 1 dB" in found[0].reason
    reasons = {match.name: match.reason for match in found}
    assert reasons["no matching"] == "SWR of 1.50 on 160 m is above 1.2"
    assert reasons["minimum-loss pad, exact"] == "loss of 5.72 dB on 160 m is above 1 dB"
    wide = wb.compare_matches("75 ohm", "50 ohm", BANDS, most_swr=1.6)
    assert "the least loss of the" in wide[0].reason
    assert all("more than the first" in match.reason for match in wide if match.name == "no matching")
    none = wb.compare_matches("75 ohm", "50 ohm", BANDS, most_swr=1.01, most_loss="0.01 dB")
    assert "no match keeps within SWR 1.01 and 0.01 dB" in none[0].reason


def test_equal_ends_rank_the_direct_connection_first():
    found = wb.compare_matches("50 ohm", "50 ohm", BANDS)
    assert [match.name for match in found] == ["no matching", "wideband transformer"]
    assert found[0].insertion_loss("1.9 MHz").m_as("dB") == 0


def test_complex_ends():
    ends = Q(60 + 20j, "ohm"), Q(40 - 10j, "ohm")
    found = wb.compare_matches(*ends, ("40 m",))
    assert found[0].swr_in("7.15 MHz") < 1.2
    assert direct_connection(*ends).swr_in("7.15 MHz") > 1.4
    assert {match.source.m_as("ohm") for match in found} == {60 + 20j}


def test_bands_by_frequency_and_by_name_are_the_same():
    one = wb.compare_matches("75 ohm", "50 ohm", [("1.8 MHz", "2 MHz"), Q([3.5, 4.0], "MHz")])
    other = wb.compare_matches("75 ohm", "50 ohm", ["160 m", "80 m"])
    assert [match.parts for match in one] == [match.parts for match in other]
    assert "1.8 to 2 MHz" in next(match.reason for match in one if match.name == "no matching")


def test_a_band_of_one_frequency():
    found = wb.compare_matches("75 ohm", "50 ohm", [("1.83 MHz", "1.83 MHz")])
    assert found[0].swr_in("1.83 MHz") <= 1.2
    pair = next(match for match in found if match.name == "twelfth-wave pair")
    assert pair.hertz == pytest.approx(1.83e6, rel=1e-12)
    assert pair.swr_in("1.83 MHz") < 1.05


def test_cables_to_choose_from_are_kept_to():
    chosen = ("series-6-copper", "rg-58-solid-pe")
    found = wb.compare_matches("75 ohm", "50 ohm", BANDS, chosen)
    assert {line.cable.name for match in found for line in match.sections} == set(chosen)
    pair = next(match for match in found if match.name == "twelfth-wave pair")
    assert [line.cable.name for line in pair.sections] == ["rg-58-solid-pe", "series-6-copper"]


def test_the_design_frequency_has_the_least_worst_swr():
    """A quarter wave is the same to either side of its frequency, so that is the middle of all that is wanted."""
    found = wb.compare_matches("75 ohm", "50 ohm", [("1.8 MHz", "2 MHz"), ("3.5 MHz", "4 MHz")])
    line = next(match for match in found if match.name == "quarter-wave line")
    assert line.hertz == pytest.approx(2.9e6, rel=0.015)


def test_a_transformer_below_its_low_edge_is_not_first():
    poor = Core("1 nH", 0.998, 5, 50)
    found = wb.compare_matches("75 ohm", "50 ohm", ("160 m",), core=poor)
    assert found[0].name != "wideband transformer"


def test_comparison_rejects_wrong_bands_ends_limits_and_cables(refused):
    for bad in (
        "160 m",
        5,
        None,
        (),
        ("161 m",),
        [("2 MHz", "1.8 MHz")],
        [("1.8 MHz",)],
        [("0 MHz", "2 MHz")],
        [5],
        [b"ab"],
    ):
        refused(lambda bad=bad: wb.compare_matches("75 ohm", "50 ohm", bad), "band")
    for bad in ("0 ohm", "-5 ohm", 50, Q(-5 + 1j, "ohm"), "1e-13 ohm", "1e300 ohm"):
        refused(lambda bad=bad: wb.compare_matches(bad, "50 ohm", BANDS), "source")
        refused(lambda bad=bad: wb.compare_matches("50 ohm", bad, BANDS), "load")
    for bad in (1, 0.5, "1.2", None, float("nan"), float("inf"), True):
        refused(lambda bad=bad: wb.compare_matches("75 ohm", "50 ohm", BANDS, most_swr=bad), "most_swr")
    for bad in ("0 dB", "-1 dB", 1, "1 m", "1e-320 dB"):
        refused(lambda bad=bad: wb.compare_matches("75 ohm", "50 ohm", BANDS, most_loss=bad), "most_loss")
    refused(lambda: wb.compare_matches("75 ohm", "50 ohm", BANDS, region=4), "region")
    assert refused(lambda: wb.compare_matches("75 ohm", "50 ohm", ("161 m",))).startswith("bands: ")
    for bad in ("rh-58", 5, ["rg-58-solid-pe"]):
        said = refused(lambda bad=bad: wb.compare_matches("75 ohm", "50 ohm", BANDS, ("rg-58-solid-pe", bad)))
        assert said.startswith("cables: ")
        assert "catalogue" in said


def test_the_widest_ends_that_can_be_built_have_numbers():
    for ends in (("0.001 ohm", "1 Mohm"), ("1 Mohm", "0.001 ohm"), ("0.001 ohm", "0.0011 ohm")):
        for match in wb.compare_matches(*ends, ("160 m",)):
            assert all(np.isfinite(getattr(figure, "magnitude", figure)) for figure in match.response("1.9 MHz")), match
            assert match.reason


def test_ends_equal_but_for_rounding_rank_the_direct_connection_first():
    for load in ("75.00000001 ohm", Q(75 + 1e-8j, "ohm")):
        assert [match.name for match in wb.compare_matches("75 ohm", load, BANDS)] == [
            "no matching",
            "wideband transformer",
        ]


def test_a_reason_just_above_a_limit_has_no_equal_numbers():
    """SWR 1.5 is above 1.4999999992, though both are written 1.5."""
    found = wb.compare_matches("75 ohm", "50 ohm", BANDS, most_swr=1.4999999992)
    reasons = {match.name: match.reason for match in found}
    assert reasons["no matching"] == "SWR on 160 m is a little above 1.5"
    assert all(reasons.values())


def test_reactance_that_one_order_of_two_cables_matches():
    """Both orders of a section and a line are tried, so the ends may be exchanged."""
    there, back = (
        wb.compare_matches(Q(source, "ohm"), Q(load, "ohm"), ("160 m",))[0]
        for source, load in ((50 + 30j, 50), (50, 50 + 30j))
    )
    assert there.name == back.name == "series section"
    assert [line.cable for line in there.sections] == [line.cable for line in back.sections][::-1]
    assert worst(there, ("160 m",)) == pytest.approx(worst(back, ("160 m",)), rel=1e-9)
    assert worst(there, ("160 m",))[0] < 1.2
