"""The round trip: from the wiring table and the cut list alone back to the weights that the rule asks for.

Lines are rebuilt from their lengths, the connectors' delay of the design and the velocity factor that the cable really
has; a ladder's pieces add up from the tap down. The weights come from the rule: by the contract's words, written here
again, or through the public door.
"""

import itertools

import numpy as np
import pytest
from designs import ABSENT

import workbook as wb
from workbook.files import shipped

Q = wb.Quantity
C = 299_792_458.0
CONNECTOR = 0.11e-9

ENDS = {("ends", "delay_line"): {"delay": "0.11 ns", "strip": "14 mm"}}
TWO_BANDS = {("bands",): {"160 m": "1.83 MHz", "80 m": "3.65 MHz"}}
RING = {("array",): {"kind": "ring", "count": 8, "diameter": "46 m", "first_azimuth": "0 deg"}}
ROW = {("array",): {"kind": "row", "count": 4, "spacing": "19 m", "azimuth": "60 deg"}}
PAIR = {("array",): {"kind": "two-row", "count": 3, "spacing": "17 m", "width": "23 m", "azimuth": "-20 deg"}}
COPSE = {
    ("array",): {"kind": "custom", "positions": [["-14 m", "3 m"], ["5 m", "16 m"], ["13 m", "-9 m"], ["0 m", "-4 m"]]}
}
CLAD = {
    ("cables", "delay_line"): "series-6-clad",
    ("velocity_factor",): {"series-6-clad": {"value": 0.835, "frequency": "3.65 MHz"}},
}


def fired(*azimuths):
    return {("directions",): [{"name": f"{azimuth}", "azimuth": f"{azimuth} deg"} for azimuth in azimuths]}


def phasing(rule, **keys):
    return {("phasing",): {"rule": rule, "elevation": "25 deg", "cut_band": "80 m", **keys}}


ENTERED = {
    ("directions",): [
        {"name": "phases", "azimuth": "60 deg", "phases": ["150 deg", "40 deg", "off", "0 deg"]},
        {
            "name": "delays",
            "azimuth": "240 deg",
            "delays": ["9 ns", "53 ns", "9 ns", "71 ns"],
            "polarity": [1, -1, -1, 1],
        },
    ]
}
DESIGNS = {
    "aligned ring": {**phasing("aligned"), **RING, **fired(*range(0, 360, 45))},
    "aligned copse": {**phasing("aligned"), **COPSE, **CLAD, **fired(20, 100, 250)},
    "entered row": {**phasing("entered"), **ROW, **ENTERED},
    "end-fire row": {**phasing("endfire", null_elevation="35 deg"), **ROW, **fired(60, 240)},
    "end-fire, null on the horizon": {**phasing("endfire", null_elevation="0 deg"), **ROW, **fired(60, 240)},
    "end-fire pair reversed": {**phasing("endfire", polarity_inversion=True), **PAIR, **CLAD, **fired(-20, 70, 160)},
    "greatest ring": {**phasing("greatest-rdf", least_white_noise_gain="-3 dB"), **RING, **fired(0, 45, 180)},
    "greatest copse reversed": {
        **phasing("greatest-rdf", least_white_noise_gain="-10 dB", polarity_inversion=True),
        **COPSE,
        **CLAD,
        **fired(20, 100, 250),
    },
    "fewest ring": {**phasing("fewest-delays", lines=2), **RING, **fired(0, 90)},
    "fewest row, straight": {**phasing("fewest-delays", lines=2, polarity_inversion=False), **ROW, **fired(60, 240)},
}


def unit(azimuth, elevation):
    return np.array([np.sin(azimuth), np.cos(azimuth)]) * np.cos(elevation)


def by_aligned(design, layout, one, hertz):
    """e^{-jwt}, t = (u.r - least)/c."""
    ahead = layout.positions.m_as("m") @ unit(one.azimuth.m_as("radian"), design.phasing.elevation.m_as("radian"))
    return np.exp(-2j * np.pi * hertz * (ahead - ahead.min()) / C)


def by_entered(design, layout, one, hertz):
    given = one.delays or one.phases
    cut = design.bands[design.phasing.cut_band].m_as("Hz")
    scale = {"delays": ("s", 1.0), "phases": ("turn", 1 / cut)}["delays" if one.delays else "phases"]
    waits = [0.0 if entry == "off" else entry.m_as(scale[0]) * scale[1] for entry in given]
    signs = np.array([0 if entry == "off" else 1 for entry in given]) * (one.polarity or 1)
    return signs * np.exp(-2j * np.pi * hertz * np.array(waits))


def by_endfire(design, layout, one, hertz):
    asked = design.phasing.null_elevation
    null = design.phasing.elevation if asked is None else asked
    return wb.endfire_weights(layout, Q(hertz, "Hz"), one.azimuth, null, bool(design.phasing.polarity_inversion))


def by_greatest(design, layout, one, hertz):
    return wb.greatest_rdf_weights(
        layout, Q(hertz, "Hz"), one.azimuth, design.phasing.elevation, wb.Ground(13, "5 mS/m"),
        design.phasing.least_white_noise_gain,
    )  # fmt: skip


def by_fewest(design, layout, one, hertz):
    """Return what the search finds: a choice and its mirror image are equally good, and either may be taken."""
    phasing = design.phasing
    bands = Q([frequency.m_as("Hz") for frequency in design.bands.values()], "Hz")
    best = wb.fewest_delays(
        layout,
        bands,
        one.azimuth,
        phasing.elevation,
        wb.Ground(13, "5 mS/m"),
        phasing.lines,
        phasing.polarity_inversion is not False,
        phasing.least_white_noise_gain,
    )
    found = []
    for choice in (best, *best.runners_up):
        same = abs(choice.least_rdf - best.least_rdf).m_as("dB") < 0.001
        if same and abs(choice.delays[-1] - best.delays[-1]).m_as("ns") < 0.01:
            delays, signs = choice.element_delays()
            found.append(signs * np.exp(-2j * np.pi * hertz * delays))
    return found


RULES = {
    "aligned": by_aligned,
    "entered": by_entered,
    "endfire": by_endfire,
    "greatest-rdf": by_greatest,
    "fewest-delays": by_fewest,
}


def line_lags(data, design, hertz):
    """The lag [rad] of every label, from lengths of cable alone: of a ladder the pieces from the tap down."""
    name = design.cables.delay_line
    cable = wb.cable(name)
    if measured := design.velocity_factor.get(name):
        cable = cable.with_velocity_factor(measured.value, measured.frequency)
    speed = float(cable.velocity_factor(Q(hertz, "Hz"))) * C
    lags = {}
    for line in data["delay_lines"]:
        assert line["cable"] == name
        lag = 2 * np.pi * hertz * (line["length_m"] / speed + 2 * CONNECTOR)
        if data["hub"] == "ladder":
            assert line["from"] == line["label"]
            lag += lags[line["to"]] if line["to"] else 0.0
        lags[line["label"]] = lag
    return lags


def rebuilt(data, design, name, hertz):
    """A direction's weights from the wiring table and the cut list, amplitudes from the table of elements."""
    lags = line_lags(data, design, hertz)
    rows = [row for row in data["switch_table"] if row["direction"] == name]
    assert [row["element"] for row in rows] == [element["number"] for element in data["elements"]]
    (one,) = (one for one in data["directions"] if one["name"] == name)
    sizes = np.array([feed["amplitude"] for feed in one["elements"]])
    signs = np.array([row["polarity"] for row in rows])
    return sizes * signs * np.exp(-1j * np.array([lags[row["line"]] if row["line"] else 0.0 for row in rows]))


@pytest.mark.parametrize("hub", ["joined", "ports", "ladder"])
@pytest.mark.parametrize("what", DESIGNS)
def test_the_wiring_table_and_the_cut_list_rebuild_the_weights(write, what, hub):
    """Within 0.1 degree and a thousandth in size, for every element of every direction; no common phase counts."""
    ends = {**ENDS, ("hub", "kind"): hub}
    made = wb.load_design(write("square", {**TWO_BANDS, **DESIGNS[what], **ends}))
    design, data = made.content, made.plan().to_dict()
    layout, hertz = design.array.layout(), design.bands["80 m"].m_as("Hz")
    for one in design.directions:
        wanted = RULES[design.phasing.rule](design, layout, one, hertz)
        got = rebuilt(data, design, one.name, hertz)
        if isinstance(wanted, list):
            wanted = max(wanted, key=lambda weights: np.abs(np.vdot(weights, got)))
        on = np.abs(wanted) > 0
        assert np.array_equal(np.abs(got) > 0, on)
        assert np.abs(got) == pytest.approx(np.abs(wanted) / np.abs(wanted).max(), abs=1e-3)
        first = int(np.argmax(np.abs(wanted)))
        turned = (got / got[first])[on] / (wanted / wanted[first])[on]
        assert np.abs(np.angle(turned, deg=True)).max() < 0.1, one.name


@pytest.mark.parametrize("what", DESIGNS)
def test_all_three_hubs_do_the_same(write, what):
    """The hub shares lines out; it changes no weight."""
    found = []
    for hub in ("joined", "ports", "ladder"):
        made = wb.load_design(write("square", {**TWO_BANDS, **DESIGNS[what], **ENDS, ("hub", "kind"): hub}))
        data = made.plan().to_dict()
        found.append([rebuilt(data, made.content, one.name, 3.65e6) for one in made.content.directions])
    for one, other in itertools.pairwise(found):
        # in a ladder each piece has connectors of its own, which its cable is shortened by
        assert np.abs(np.array(one) - np.array(other)).max() < 1e-9


def test_a_line_cut_by_its_nominal_velocity_factor_would_not_come_back(write):
    """The check can fail: 2 % of 140 ns at 3.65 MHz is far more than a tenth of a degree."""
    made = wb.load_design(write("square", {**TWO_BANDS, **DESIGNS["aligned ring"], **ENDS}))
    data = made.plan().to_dict()
    for line in data["delay_lines"]:
        line["length_m"] += line["nominal_length_error_m"]
    one = made.content.directions[0]
    got = rebuilt(data, made.content, one.name, 3.65e6)
    wanted = by_aligned(made.content, made.content.array.layout(), one, 3.65e6)
    assert np.abs(np.angle(got / wanted, deg=True)).max() > 1


def test_the_bases_have_no_ends_of_their_own(write):
    """Else the connectors that the rebuilding counts with would not be the design's."""
    made = wb.load_design(write("square", {**ENDS, ("lengths", "slack"): ABSENT})).content
    assert made.ends.delay_line.delay.m_as("s") == pytest.approx(CONNECTOR)


@pytest.mark.parametrize("demo", sorted(path.name for path in shipped("notebooks").glob("*.toml")))
def test_the_demos_come_back_too(demo):
    made = wb.load_design(shipped("notebooks") / demo)
    design, data = made.content, made.plan().to_dict()
    assert design.ends.delay_line.delay.m_as("s") == pytest.approx(CONNECTOR)
    hertz = design.bands[design.phasing.cut_band].m_as("Hz")
    for one in design.directions:
        wanted = RULES[design.phasing.rule](design, design.array.layout(), one, hertz)
        got = rebuilt(data, design, one.name, hertz)
        if isinstance(wanted, list):
            wanted = max(wanted, key=lambda weights: np.abs(np.vdot(weights, got)))
        turned = got / wanted
        assert np.abs(np.angle(turned / turned[0], deg=True)).max() < 0.1
