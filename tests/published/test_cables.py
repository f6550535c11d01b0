"""Every bundled cable against what is published about it; where they part, the record must say so itself."""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

import workbook as wb

C = 299_792_458.0
FOLDER = Path(__file__).parents[2] / "cable_data"

RECORDS = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.toml"))}
BUILT = {name: record for name, record in RECORDS.items() if "centre" in record}

every_cable = pytest.mark.parametrize("name", RECORDS)

every_built_cable = pytest.mark.parametrize("name", BUILT)

NAMES = {
    "series-6-clad",
    "series-6-copper",
    "series-11-clad",
    "series-11-copper",
    "rg-6-solid-pe",
    "rg-11-solid-pe",
    "rg-59-solid-pe",
    "rg-213-solid-pe",
    "series-59-clad",
    "series-59-copper",
    "series-7-clad",
    "series-7-copper",
    "rg-58-solid-pe",
    "rg-8x-foam",
    "trunk-500",
    "category-5-pair",
}


def test_the_catalogue_is_the_folder():
    assert set(RECORDS) >= NAMES
    assert wb.cables() == tuple(sorted(RECORDS))


# --- published attenuation --------------------------------------------------------------------------------


POINTS = [(name, point) for name, record in RECORDS.items() for point in record["attenuation"]]
MEASURED = [(name, point) for name, point in POINTS if point["status"] == "measured"]
TABULATED = [pair for pair in POINTS if pair not in MEASURED]


def _each(points):
    names = [f"{name} {point['frequency']} {point['status']} {point['source']}" for name, point in points]
    return pytest.mark.parametrize(("name", "point"), points, ids=names)


def _over_print(name, point):
    """Modelled over published loss, for the typical cladding."""
    loss = wb.cable(name).attenuation(point["frequency"]) / wb.quantity(point["loss"])
    return loss.m_as("")


def _followed(name, point):
    """The rule of the project: within 5 % of a typical point, not above a maximum by more than 2 %."""
    ratio = _over_print(name, point)
    return ratio <= 1.02 if point["status"] == "standard maximum" else abs(ratio - 1) <= 0.05


@_each(TABULATED)
def test_a_published_point_is_followed_or_named_as_disputed(name, point):
    assert _followed(name, point) == ("disputed" not in point), f"model over print: {_over_print(name, point):.3f}"


@_each(MEASURED)
def test_a_measured_point_lies_in_the_range_of_claddings(name, point):
    """A measured piece may have any cladding of the range; 5 % beside it, as for typical points."""
    least, _, greatest = wb.cable(name).span("attenuation", point["frequency"])
    printed = wb.quantity(point["loss"])
    assert least * 0.95 <= printed <= greatest * 1.05


@every_cable
def test_disputed_points_are_listed_among_what_is_unknown(name):
    stated = wb.cable(name).unknown
    for point in RECORDS[name]["attenuation"]:
        if "disputed" in point:
            hertz = f"{wb.quantity(point['frequency']).m_as('MHz'):g}"
            assert any(point["disputed"] in line and hertz in line and point["status"] in line for line in stated)
    assert set(RECORDS[name]["unknown"]) <= set(stated)


def test_the_maximum_of_the_50_ohm_cable_lies_below_its_typical_points():
    """MIL-C-17 quoted in a mailing list: 1.2 dB/100 ft at 50 MHz; typical points at 100 and 145 MHz say 1.4 to 1.6,
    and a training guide (appendix H, p. 65) prints 1.50 at 50 MHz itself.
    """
    point = {"frequency": "50 MHz", "loss": "1.2 dB/100 ft"}
    assert 1.08 < _over_print("rg-213-solid-pe", point) < 1.25
    assert any("50" in line and "1.2" in line for line in wb.cable("rg-213-solid-pe").unknown)


def test_loss_of_the_thin_50_ohm_cable_is_below_its_maximum():
    """MIL-C-17/28 quoted in a mailing list: 4 dB/100 ft at 50 MHz."""
    assert _over_print("rg-58-solid-pe", {"frequency": "50 MHz", "loss": "4 dB/100 ft"}) < 1.02


def test_misprinted_loss_of_the_thick_75_ohm_cable_is_not_reproduced():
    """A guide specification prints 0.7 dB/100 ft at 1 MHz, which a compiled data sheet prints at 10 MHz (UFGS-16794A).

    Its dimensions give some 0.2 at 1 MHz.
    """
    assert _over_print("rg-11-solid-pe", {"frequency": "1 MHz", "loss": "0.7 dB/100 ft"}) < 0.4


# --- published impedance, capacitance, velocity and dimensions --------------------------------------------


WITH_CAPACITANCE = [name for name, record in RECORDS.items() if "capacitance" in record]


@pytest.mark.parametrize("name", WITH_CAPACITANCE)
def test_impedance_capacitance_and_velocity_agree(name):
    """Any two give the third; within 2 %, or the record names the odd one out."""
    record = RECORDS[name]
    velocity, apart = _velocity_of_the_other_two(record)
    named = any("pF" in line for line in record["unknown"])
    assert abs(apart) <= 0.02 or named, f"velocity factor {velocity:.3f} from the other two"


def _velocity_of_the_other_two(record):
    impedance, capacitance = (wb.quantity(record[key]["value"]) for key in ("impedance", "capacitance"))
    velocity = 1 / (C * impedance.m_as("ohm") * capacitance.m_as("F/m"))
    return velocity, velocity / record["nominal_velocity_factor"]["value"] - 1


@pytest.mark.parametrize("name", [name for name in RECORDS if name.startswith("series-")])
def test_the_usual_set_of_drop_cable_figures_is_called_inconsistent(assert_printed, name):
    """Data sheets print 75 ohm, 85 % and 16.2 pF/ft together (from memory), which cannot all three be true."""
    velocity, apart = _velocity_of_the_other_two(RECORDS[name])
    assert_printed(velocity, "0.8368", source="75 ohm and 16.2 pF/ft; worked out independently")
    assert_printed(100 * apart, "-1.6", source="75 ohm and 16.2 pF/ft; worked out independently")
    assert any("16.2 pF/ft" in line for line in wb.cable(name).unknown)


def _effective(record):
    """Diameter [m] of the smooth rod that acts like the centre: a strand is bumpy."""
    centre = record["centre"]
    return wb.quantity(centre["diameter"]["value"]).m_as("m") * centre.get("effective_diameter", {}).get("value", 1.0)


@every_built_cable
def test_published_dimensions_give_the_published_impedance(name):
    """Handbook formula 138 log10(D/d)/sqrt(eps), from memory, with the published velocity factor.

    4 %: MIL-C-17/74 allows 50 +-2 ohm (quoted in a mailing list), and the dimensions have two to three digits.
    """
    record = RECORDS[name]
    wide = wb.quantity(record["dielectric"]["diameter"]["value"]).m_as("m") / _effective(record)
    impedance = 138 * np.log10(wide) * record["nominal_velocity_factor"]["value"]
    printed = wb.quantity(record["impedance"]["value"]).m_as("ohm")
    assert impedance == pytest.approx(printed, rel=0.04)
    # and the model has these dimensions: at 1 GHz it is at the handbook's formula
    modelled = wb.cable(name).characteristic_impedance("1 GHz").m_as("ohm").real
    assert modelled == pytest.approx(impedance, rel=0.01)


PRINTED = {
    "rg-213-solid-pe": ("50", None, "MIL-C-17/74, quoted in a public mailing list"),
    "rg-58-solid-pe": ("50", "0.66", "MIL-C-17/28, quoted in a public mailing list; velocity factor from a web table"),
    "rg-59-solid-pe": ("75", "0.66", "compiled data sheet of RG types"),
    "rg-11-solid-pe": ("75", "0.66", "compiled data sheet of RG types"),
    "series-59-clad": ("75", "0.85", "data sheets of drop cable, from memory"),
    "series-6-clad": ("75", "0.85", "data sheets of drop cable, from memory"),
    "series-11-clad": ("75", "0.85", "data sheets of drop cable, from memory"),
    "trunk-500": ("75", "0.87", "ANSI/SCTE 15, from memory"),
}


@pytest.mark.parametrize("name", PRINTED)
def test_nominal_impedance_and_velocity_factor_are_the_printed_ones(assert_printed, name):
    impedance, velocity, source = PRINTED[name]
    assert_printed(wb.cable(name).nominal_impedance, f"{impedance} ohm", source=source)
    if velocity:
        assert_printed(wb.cable(name).nominal_velocity_factor, velocity, source=source)


# --- resistance -------------------------------------------------------------------------------------------


def _by_the_wire_rule(diameter):
    """Circular-mil rule, ohm per 1000 ft of copper at 20 degC (web tables of copper wire)."""
    return 10371 / (diameter / 25.4e-6) ** 2


SOLID = [n for n, r in BUILT.items() if r["centre"]["material"] == "copper" and "strands" not in r["centre"]]


@pytest.mark.parametrize("name", SOLID)
def test_solid_copper_centres_follow_the_wire_rule(name):
    centre = RECORDS[name]["centre"]
    text = centre["diameter"]["value"]
    diameter = wb.quantity(text).m_as("m")
    stated = wb.quantity(centre["dc_resistance"]["value"]).m_as("ohm/m") * 304.8
    # the last printed digit of the diameter decides, twice, since the resistance goes with its square
    number = text.split()[0]
    last = 0.5 * 10.0 ** -len(number.partition(".")[2]) / float(number)
    assert stated == pytest.approx(_by_the_wire_rule(diameter), rel=2 * last)
    assert wb.cable(name).model.centre_resistance * 304.8 == pytest.approx(stated, rel=2 * last)


@pytest.mark.parametrize(
    ("name", "strand", "count"),
    [("rg-11-solid-pe", 0.0159, 7), ("rg-213-solid-pe", 0.0296, 7), ("rg-58-solid-pe", 0.0071, 19)],
)
def test_strands_follow_the_wire_rule(name, strand, count):
    """The records add "2 %" for the lay, which with one digit is 1.5 to 2.5 %; the model keeps that resistance."""
    stated = wb.quantity(RECORDS[name]["centre"]["dc_resistance"]["value"]).m_as("ohm/m")
    lay = stated * 304.8 / (_by_the_wire_rule(strand * 0.0254) / count) - 1
    assert 0.015 <= lay <= 0.025
    assert wb.cable(name).model.centre_resistance == pytest.approx(stated, rel=1e-9)


# --- where the numbers are from ---------------------------------------------------------------------------

PLAIN_WORDS = {"balanced", "standard_type", "unknown", "sources", "material", "layers", "versions"}


def _loose_numbers(part, where=""):
    """Yield every number that stands in a record without a source beside it."""
    if isinstance(part, dict):
        if "source" not in part:
            for key, value in part.items():
                if key not in PLAIN_WORDS:
                    yield from _loose_numbers(value, f"{where}.{key}")
    elif isinstance(part, list):
        for value in part:
            yield from _loose_numbers(value, where)
    elif not isinstance(part, str) or re.match(r"[-+.\d]", part):
        yield f"{where} = {part}"


def _cited(part):
    if isinstance(part, dict):
        yield from [part["source"]] if "source" in part else []
        for value in part.values():
            yield from _cited(value)
    elif isinstance(part, list):
        for value in part:
            yield from _cited(value)


@every_cable
def test_every_number_has_a_source(name):
    record = RECORDS[name]
    assert not list(_loose_numbers(record))
    assert set(_cited(record)) == set(record["sources"])


@every_cable
def test_sources_are_named_by_document_or_subject(name):
    for source in RECORDS[name]["sources"].values():
        assert len(source["citation"]) > 20
        assert not re.search(r"https?:|www\.|\.(com|org|net)\b", source["citation"])


# documents whose text was seen, and what is quoted from memory or from a list that was not seen
SEEN = """
10base2 b452 b566 b869 clad-wire compiled constants design-eq drop-hf encyclopedia fit g9701 licence-manual
mil-c-17 not-above reel scaled tech-tip tia-568 training-guide velocity-column vf-table wire
""".split()
NOT_SEEN = """
data-sheets handbook m17 scte-15 scte-74 steel
""".split()


@every_cable
def test_record_marks_exactly_the_sources_that_were_seen(name):
    """A new source is entered in one of the two lists above."""
    marked = {key: source["seen"] for key, source in RECORDS[name]["sources"].items()}
    known = {key: key in SEEN for key in (*SEEN, *NOT_SEEN)}
    assert marked == {key: known[key] for key in marked}


# --- conductivity classes ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["rg-59-solid-pe", "rg-6-solid-pe"])
def test_clad_centres_of_radio_cables_are_of_the_40_per_cent_class(name):
    """ASTM B452 classes of 40 and 30 % conductivity (from memory): the ends of the record's claddings."""
    cladding = RECORDS[name]["centre"]["cladding"]
    for key, conductivity in (("typical", 0.40), ("least", 0.30)):
        model = wb.cable(name).with_cladding(cladding[key]["value"]).model
        whole = 1 / (58e6 * np.pi * model.radius**2)
        # the micrometre in which the records are written is worth 2 %
        assert whole / model.centre_resistance == pytest.approx(conductivity, rel=0.02)


# --- what the square root of frequency hides ---------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in RECORDS if name.startswith("series-") and name.endswith("-clad")])
def test_clad_drop_cables_lose_far_more_than_the_root_of_frequency_says(name):
    """Measured Series 6 loses 0.73 to 1.10 dB/100 ft at 1.8 MHz where the root from 55 MHz says 0.29 (web article and
    mailing list, references 1.2): 2.5 to 3.8 times. The project asks for 1.5 times at least, at every size.
    """
    cable = wb.cable(name)
    root = cable.attenuation("55 MHz") * (1.8 / 55) ** 0.5
    assert cable.attenuation("1.8 MHz") >= 1.5 * root


@pytest.mark.parametrize("name", [name for name in RECORDS if name.endswith("-copper") or name == "trunk-500"])
def test_copper_and_trunk_cables_follow_it_down_to_5_mhz(name):
    """Hardline follows the root of frequency down to 5 MHz, unlike clad drop cable (references 1.4, an identity)."""
    cable = wb.cable(name)
    ratio = (cable.attenuation("5 MHz") / cable.attenuation("55 MHz")).m_as("") / (5 / 55) ** 0.5
    assert ratio == pytest.approx(1, abs=0.08)


def test_the_trunk_cable_has_its_loop_resistance(assert_printed):
    """1.72 ohm/1000 ft (ANSI/SCTE 15, from memory): copper-clad aluminium centre and aluminium tube, about."""
    assert wb.cable("trunk-500").loop_resistance.m_as("ohm/m") * 304.8 == pytest.approx(1.72, rel=0.01)


# --- conductors by the standards of their wire ---------------------------------------------------------------

# ASTM B869-04, table 1: diameter [in], greatest resistance at 20 degC [ohm/1000 ft], least copper [in]
B869 = {
    "series-59-clad": ("0.0320", "49.150", "0.00048"),
    "series-6-clad": ("0.0403", "31.024", "0.00060"),
    "series-7-clad": ("0.0508", "19.521", "0.00076"),
    "series-11-clad": ("0.0641", "12.249", "0.00096"),
}


@pytest.mark.parametrize("name", B869)
def test_clad_drop_centres_are_sizes_of_the_wire_standard(name):
    diameter, resistance, copper = B869[name]
    centre = RECORDS[name]["centre"]
    assert centre["diameter"] == {"value": f"{diameter} in", "source": "b869"}
    assert centre["dc_resistance"] == {"value": f"{resistance} ohm/1000 ft", "source": "b869"}
    # the record writes whole micrometres
    assert wb.quantity(centre["cladding"]["typical"]["value"]).m_as("um") == pytest.approx(
        float(copper) * 25400, abs=0.5
    )


@pytest.mark.parametrize("name", B869)
def test_greatest_cladding_means_the_greatest_resistance_of_the_standard(name):
    """The mean copper over steel of 9 % IACS of the printed resistance at the least diameter, 1 % below nominal."""
    centre = RECORDS[name]["centre"]
    radius = wb.quantity(centre["diameter"]["value"]).m_as("m") / 2 * 0.99
    conductance = 1 / wb.quantity(centre["dc_resistance"]["value"]).m_as("ohm/m")
    steel = 0.09 * 58e6
    core = np.sqrt((np.pi * radius**2 * 58e6 - conductance) / (np.pi * (58e6 - steel)))
    written = wb.quantity(centre["cladding"]["greatest"]["value"]).m_as("um")
    assert written == pytest.approx((radius - core) * 1e6, rel=0.025)


@pytest.mark.parametrize(("share", "key"), [(0.10, "typical"), (0.15, "greatest"), (0.08, "least")])
def test_trunk_centre_has_copper_by_the_classes_of_its_wire(share, key):
    """ASTM B566 (scope): classes of 10 and 15 % copper by volume; a wire maker's page: 8 to 12 % in class 10."""
    centre = RECORDS["trunk-500"]["centre"]
    radius = wb.quantity(centre["diameter"]["value"]).m_as("um") / 2
    thickness = radius * (1 - np.sqrt(1 - share))
    assert wb.quantity(centre["cladding"][key]["value"]).m_as("um") == pytest.approx(thickness, abs=0.6)


def test_trunk_loss_hardly_depends_on_the_class_of_its_centre():
    frequencies = wb.Quantity(np.array([1.8, 3.5, 7, 14, 28]), "MHz")
    least, _, greatest = wb.cable("trunk-500").span("attenuation", frequencies)
    assert np.all(greatest / least < 1.01)


def test_the_loop_of_the_thin_50_ohm_cable_is_within_the_network_standard():
    """IEEE 802.3 10BASE2 as quoted in a device's manual, p. A-10: loop resistance at most 50 mohm/m."""
    loop = wb.cable("rg-58-solid-pe").loop_resistance.m_as("ohm/m")
    assert 0.045 < loop <= 0.050


# --- twisted pair ---------------------------------------------------------------------------------------------

# TIA-568-C limits of category 5e by a textbook chapter on LAN wiring, table 15.2: MHz, dB/100 m at 20 degC
CATEGORY_5E = [
    (0.064, "0.7"),
    (0.256, "1.1"),
    (0.512, "1.5"),
    (0.772, "1.8"),
    (1, "2.0"),
    (4, "4.1"),
    (8, "5.8"),
    (10, "6.5"),
    (16, "8.2"),
    (20, "9.3"),
    (25, "10.4"),
    (31.25, "11.7"),
    (62.5, "17.0"),
    (100, "22.0"),
]


@pytest.mark.parametrize(("megahertz", "printed"), CATEGORY_5E)
def test_limits_of_the_pair_follow_the_standard_s_formula(assert_printed, megahertz, printed):
    """1.967 sqrt(f) + 0.023 f + 0.050/sqrt(f), f in MHz (formula from memory).

    The record's table follows it from 1 MHz up; the model, which counts the internal inductance, never loses more.
    """
    formula = 1.967 * megahertz**0.5 + 0.023 * megahertz + 0.050 / megahertz**0.5
    assert_printed(formula, printed, source="TIA-568-C by a textbook on LAN wiring, table 15.2")
    if megahertz >= 1:
        modelled = wb.cable("category-5-pair").attenuation(wb.Quantity(megahertz, "MHz")).m_as("dB/m") * 100
        assert (0.93 if megahertz < 8 else 0.97) * float(printed) < modelled <= float(printed)


def test_loop_of_the_pair_is_that_of_two_24_gauge_wires():
    """Web tables of copper wire: 25.67 ohm/1000 ft for AWG 24 at 20 degC; the twist adds some per cent."""
    loop = wb.cable("category-5-pair").loop_resistance.m_as("ohm/m") * 304.8
    assert 2 * 25.67 < loop < 1.15 * 2 * 25.67
