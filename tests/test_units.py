"""Reading what builders write, printing for a tape, and loss as a dimension of its own."""

import math
import pickle
import re

import numpy as np
import pint
import pytest

import workbook as wb

Q = wb.Quantity


def refusal(call, *words):
    """Return the one sentence with which a call is refused."""
    with pytest.raises(wb.InputError) as caught:
        call()
    sentence = str(caught.value)
    assert "\n" not in sentence
    assert "  " not in sentence
    assert not re.search(r" [.?]$", sentence)
    assert sentence[-1] in ".?"
    assert len(sentence) < 300
    for word in words:
        assert word in sentence, sentence
    return sentence


# --- lengths for a tape -----------------------------------------------------------------------------------

TAPES = {
    "18 ft 3 1/2 in": 219.5,
    "18' 3.5\"": 219.5,
    "18'3-1/2\"": 219.5,
    "18'-3 1/2\"": 219.5,
    "18' - 3 1/2\"": 219.5,
    "18 ft 3-1/2 in": 219.5,
    "18 ft, 3 in": 219.0,
    "18ft 3in": 219.0,
    "18ft3in": 219.0,
    "18 feet 3 inches": 219.0,
    "1 foot 1 inch": 13.0,
    "18-1/2 ft 3-1/4 in": 225.25,
    "18 1/2 ft": 222.0,
    "3/4 ft": 9.0,
    "18'": 216.0,
    "3''": 3.0,
    "18'3''": 219.0,
    '3 3/8"': 3.375,
    "3/8 in": 0.375,
    ".5 in": 0.5,
    "0 ft 0 in": 0.0,
    "-18' 3\"": -219.0,
    "- 3 1/2 in": -3.5,
    "+3 in": 3.0,
    "  18 ft   3 in  ": 219.0,
    # unicode primes, quotes, fractions, minus signs and spaces
    "18′ 3½″": 219.5,
    "18’ 3½”": 219.5,
    "18' 3 ½\"": 219.5,
    "18 ft 3 1⁄2 in": 219.5,
    "18′–3½″": 219.5,
    "½ in": 0.5,
    "¼″": 0.25,
    "¾ in": 0.75,
    "⅛ in": 0.125,
    "⅜ in": 0.375,
    "⅝ in": 0.625,
    "1⅞ in": 1.875,
    "3 ⅓ in": 10 / 3,
    "−3½ in": -3.5,
    "18\u00a0ft 3\u202fin": 219.0,
}


@pytest.mark.parametrize(("text", "inches"), TAPES.items())
def test_feet_and_inches_as_builders_write_them(text, inches):
    found = wb.quantity(text)
    assert found.check("[length]")
    assert found.m_as("inch") == pytest.approx(inches, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "18 ft 12 in",  # is 19 ft
        "18' 13\"",
        "18 ft -3 in",
        "18 ft 3",  # of what
        "18'3",
        "18-3",
        "18 ft 3 in 1/2",
        "5 in 3 ft",
        "3/0 in",
        "18 ft 3 1/0 in",
        "1 2 3 in",
        "1/2/3 in",
        "3½4 in",  # a fraction runs into the next digit
        "½4 in",
        "½½ in",
        "18 ft 3,5 in",
        "9" * 400 + "' 3\"",
        "18' - 3 1/2\" long",
    ],
)
def test_a_tape_that_is_not_understood_is_refused(text):
    refusal(lambda: wb.quantity(text))


def test_twelve_inches_beside_feet_are_refused():
    refusal(lambda: wb.quantity("18 ft 12 in"), "12 inches", "feet")


# --- everything else --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("5.58 m", 5.58, "m"),
        ("5.58m", 5.58, "m"),
        ("5.58\tm", 5.58, "m"),
        ("5. m", 5.0, "m"),
        (".5 m", 0.5, "m"),
        ("1e3 mm", 1.0, "m"),
        ("-5 m", -5.0, "m"),
        ("- 5 m", -5.0, "m"),
        ("−5 m", -5.0, "m"),
        ("+5 m", 5.0, "m"),
        ("5 metres", 5.0, "m"),
        ("14 mm", 0.014, "m"),
        ("15 um", 15e-6, "m"),
        ("15 µm", 15e-6, "m"),
        ("15 μm", 15e-6, "m"),
        ("2 yd", 72.0, "inch"),
        ("1.83 MHz", 1.83e6, "Hz"),
        ("1.83MHz", 1.83e6, "Hz"),
        ("38 ns", 38e-9, "s"),
        ("71 deg", 71.0, "degree"),
        ("71°", 71.0, "degree"),
        ("0.25 turn", 90.0, "degree"),
        ("75 ohm", 75.0, "ohm"),
        ("75 Ω", 75.0, "ohm"),
        ("1.5 kΩ", 1500.0, "ohm"),
        ("16.2 pF/ft", 16.2e-12 / 0.3048, "F/m"),
        ("58 MS/m", 58e6, "S/m"),
        ("6.39 ohm/1000 ft", 6.39 / 304.8, "ohm/m"),
        ("6.6 dB/100 ft", 6.6 / 30.48, "dB/m"),
        ("6.6dB/100ft", 6.6 / 30.48, "dB/m"),
        ("6.6 dB / 100 ft", 6.6 / 30.48, "dB/m"),
        ("8.8 dB/100 m", 0.088, "dB/m"),
        ("8.8 decibel/100 m", 0.088, "dB/m"),
        ("41 kg/km", 0.041, "kg/m"),
        ("20 degC", 293.15, "K"),
        ("-40 degF", 233.15, "K"),
        ("-40 °F", 233.15, "K"),
        ("20 °C", 293.15, "K"),
        ("10 dBm", 10.0, "mW"),
    ],
)
def test_any_dimension_is_read(text, value, unit):
    assert wb.quantity(text).m_as(unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ["empty"]),
        ("   ", ["empty"]),
        ("\u00a0", ["empty"]),
        ("5", ["without", "unit"]),
        ("1.83e6", ["without", "unit"]),
        ("3 1/2", ["without", "unit"]),
        ("10,5 m", ["comma", "decimal point"]),
        ("1,000 m", ["comma"]),
        ("1,83 MHz", ["comma"]),
        ("5.58 Mhz", ["Mhz", "did you mean MHz?"]),
        ("5.58 KHz", ["did you mean kHz?"]),
        ("5 GHZ", ["did you mean GHz?"]),
        ("5 ohms2", ["5 ohms2"]),
        ("5 Feet", ["Feet"]),
        ("5 xyz", ["xyz"]),
        ("m", []),
        ("abc", []),
        ("5 m long", []),
        ("5 m;", []),
        ("5 m 3", []),
        ("5 m 5 m", []),
        ("5 m*2", []),
        ("2*5 m", []),
        ("5**2 m", []),
        ("--5 m", []),
        ("0.5.5 m", []),
        ("0x10 m", []),
        ("1_000 m", []),
        ("1 000 m", []),
        ("1'000 m", []),
        ("1/2 m", []),
        ("1e m", []),
        ("1e400 m", ["too large"]),
        ("nan m", []),
        ("inf m", []),
        ("5\nm", []),
        ("5 m\x00", []),
        ("5 \u202em", []),
        ("5 ｍ", []),
        ("⁵ m", []),
        ("5 🦉", []),
        ("6.6 dB/0 ft", ["zero"]),
        ("6.6 dB/(100 ft)", []),
        ("__import__('os')", []),
    ],
)
def test_what_is_not_understood_is_refused_in_one_sentence(text, words):
    refusal(lambda: wb.quantity(text), *words)


@pytest.mark.parametrize("text", ["x" * 5000, "1" * 5000, "5 " + "m" * 5000, "m*" * 3000])
def test_a_long_text_is_refused_briefly(text):
    refusal(lambda: wb.quantity(text))


@pytest.mark.parametrize("value", [5, 5.0, None, True, b"5 m", ["5 m"], Q(5, "m"), np.array(["5 m"])])
def test_quantity_rejects_what_is_not_text(value):
    refusal(lambda: wb.quantity(value), "text")


# --- the quantity itself ----------------------------------------------------------------------------------


def test_a_quantity_of_text_goes_through_our_own_parser():
    assert Q("3 1/2 in").m_as("inch") == 3.5
    assert Q("18' 3.5\"").m_as("inch") == 219.5
    for text in ("10,5 m", "5", "5 m 3", "6.6 dB/(100 ft)"):
        with pytest.raises(wb.InputError):
            Q(text)


@pytest.mark.parametrize("text", ["", " "])
def test_a_quantity_of_empty_text_is_refused_like_any_other(text):
    refusal(lambda: Q(text), "empty")


def test_a_unit_that_is_not_known_is_refused_with_the_nearest():
    refusal(lambda: Q(5, "Mhz"), "MHz")


def test_text_that_has_its_unit_already_is_converted_or_refused_and_never_nested():
    """`Q("1 km", "m")` must not become a text with the unit m behind it."""
    try:
        found = Q("1 km", "m")
    except wb.InputError:
        return
    assert wb.feet_inches(found) == "3280 ft 10 1/16 in"


def test_text_of_a_number_is_a_number_or_refused():
    try:
        found = Q("5", "m")
    except wb.InputError:
        return
    assert wb.feet_inches(found) == "16 ft 4 7/8 in"


# --- printing for a tape ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (Q(219.5, "inch"), "18 ft 3 1/2 in"),
        ("5.5753 m", "18 ft 3 1/2 in"),
        ("18' 3 ½\"", "18 ft 3 1/2 in"),
        (Q(0, "m"), "0 ft 0 in"),
        (Q(3, "inch"), "0 ft 3 in"),
        (Q(18, "ft"), "18 ft 0 in"),
        (Q(1 / 16, "inch"), "0 ft 0 1/16 in"),
        (Q(2 / 16, "inch"), "0 ft 0 1/8 in"),
        (Q(4 / 16, "inch"), "0 ft 0 1/4 in"),
        (Q(6 / 16, "inch"), "0 ft 0 3/8 in"),
        (Q(8 / 16, "inch"), "0 ft 0 1/2 in"),
        (Q(15 / 16, "inch"), "0 ft 0 15/16 in"),
        # never 16/16, never 12 in
        (Q(15.6 / 16, "inch"), "0 ft 1 in"),
        (Q(11 + 15.6 / 16, "inch"), "1 ft 0 in"),
        (Q(12 - 1 / 40, "inch"), "1 ft 0 in"),
        (Q(11 + 15.4 / 16, "inch"), "0 ft 11 15/16 in"),
        # halves go away from zero
        (Q(0.5 / 16, "inch"), "0 ft 0 1/16 in"),
        (Q(1.5 / 16, "inch"), "0 ft 0 1/8 in"),
        (Q(2.5 / 16, "inch"), "0 ft 0 3/16 in"),
        (Q(15.5 / 16, "inch"), "0 ft 1 in"),
        (Q(0.49999 / 16, "inch"), "0 ft 0 in"),
        (Q(2, "km"), "6561 ft 8 3/16 in"),
    ],
)
def test_feet_inches(length, text):
    assert wb.feet_inches(length) == text


def test_every_half_of_a_sixteenth_of_the_first_mile_goes_up():
    odd = np.arange(0, 5280 * 192, 997)
    texts = wb.feet_inches(Q((odd + 0.5) / 16, "inch"))
    assert [wb.quantity(text).m_as("inch") * 16 for text in texts] == pytest.approx(odd + 1, abs=1e-6)


def test_an_array_gives_texts_of_its_shape():
    assert wb.feet_inches(Q([[1, 2]], "ft")).tolist() == [["1 ft 0 in", "2 ft 0 in"]]
    assert isinstance(wb.feet_inches(Q(np.array(1.0), "ft")), str)
    assert wb.feet_inches(Q([], "ft")).shape == (0,)


@pytest.mark.parametrize(
    "length",
    [
        "-1 in",
        Q(-1e-9, "m"),
        Q([1, -1], "m"),
        Q(math.nan, "m"),
        Q(math.inf, "m"),
        Q(1e308, "m"),
        Q(1j, "m"),
        Q(5, "MHz"),
        Q(5, ""),
        5,
        None,
        "5",
        ["5 m"],
        np.arange(5000.0),
        Q([math.inf] * 500, "m"),
        pint.UnitRegistry().Quantity(5, "m"),
    ],
)
def test_feet_inches_rejects_what_is_not_a_length(length):
    refusal(lambda: wb.feet_inches(length), "length")


# --- loss -------------------------------------------------------------------------------------------------


def test_loss_per_length_times_length_is_loss():
    assert (Q(5, "dB/m") * Q(100, "m")).m_as("dB") == pytest.approx(500, rel=1e-15)
    assert (Q(6.6, "dB") / Q(100, "ft") * Q(30.48, "m")).m_as("dB") == pytest.approx(6.6, rel=1e-14)
    assert (2 * Q(3, "dB")).m_as("dB") == 6
    assert sum([Q(1, "dB"), Q(2, "dB")]).m_as("dB") == 3
    assert (Q([1.0, 2.0], "dB/m") * Q(3, "m")).m_as("dB").tolist() == [3, 6]
    assert f"{Q(0.066, 'dB/m'):.3f~P}" == "0.066 dB/m"


@pytest.mark.parametrize("name", ["dB", "decibel"])
@pytest.mark.parametrize("natural", ["Np", "neper"])
def test_a_neper_is_8_686_decibels(name, natural):
    assert Q(1, natural).m_as(name) == pytest.approx(20 / math.log(10), rel=1e-15)
    assert Q(20, name).m_as(natural) == pytest.approx(math.log(10), rel=1e-15)


LOSS = Q(3, "dB")


@pytest.mark.parametrize(
    "turn_into_a_ratio",
    [
        lambda: LOSS + 1,
        lambda: 1 - LOSS,
        lambda: np.exp(-LOSS),
        lambda: 10 ** (LOSS / 20),
        lambda: np.log10(LOSS),
        lambda: LOSS.to(""),
        lambda: float(LOSS),
        lambda: LOSS + Q(3, "m"),
        lambda: Q(3, "dB/m") + LOSS,
    ],
)
def test_a_loss_never_turns_into_a_ratio_by_itself(turn_into_a_ratio):
    with pytest.raises(pint.DimensionalityError):
        turn_into_a_ratio()


def test_a_loss_is_not_equal_to_a_number():
    assert Q(3, "dB") != 3
    assert Q(3, "dB") == Q(3 * math.log(10) / 20, "Np").to("dB")


# --- pickling ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [Q(5, "m"), Q([1.0, 2.0], "dB/m"), Q(1 + 2j, "ohm"), Q(0.5, ""), Q(20, "degC")])
def test_a_quantity_survives_pickling_with_its_registry(value):
    again = pickle.loads(pickle.dumps(value))
    assert np.all(again == value)
    assert type(again) is Q


def test_a_unit_survives_pickling_with_its_registry():
    unit = Q("5 dB").units
    assert pickle.loads(pickle.dumps(unit)) == unit
    assert (pickle.loads(pickle.dumps(unit)) * 3).m_as("Np") == pytest.approx(3 * math.log(10) / 20)


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [("1 m", "s", "1 m cannot have the unit s"), (None, "m", "None"), (True, "m", "True"), (5, 5, "unit 5")],
)
def test_a_quantity_of_wrong_kinds_is_refused(value, unit, words):
    refusal(lambda: Q(value, unit), words)


# --- under attack -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        *("1.84e6 rps", "11.5 Mrad/s", "1e6 byte/s", "1e6 bit/s", "1e6 baud", "1e6 Bq", "5 percent/s", "1e6 ppm/s"),
        *("1e6 %/s", "1e6 deg/s", "1e6 rpm", "1e6 turn/s", "1e6 count/s"),
    ],
)
def test_only_cycles_per_time_are_a_frequency(text):
    refusal(lambda: wb.ideal_cable("75 ohm", 0.66).velocity_factor(text), "frequency", "Hz")
    refusal(lambda: Q(text, "MHz"), "MHz")


@pytest.mark.parametrize("text", ["3 percent*m", "3 m*byte", "3 rad*m"])
def test_a_length_is_nothing_else_than_a_length(text):
    refusal(lambda: wb.feet_inches(text), "length", "came in")


@pytest.mark.parametrize(
    "unit",
    ["km^200*mm^-199", "m^400*cm^-399", "m^9999999999", "m**9**9**9**9", "m**(9**9**9)", "m^9*m^9", "m^(1/3)", "m^-10"],
)
def test_powers_of_units_are_bounded_before_they_are_computed(unit):
    refusal(lambda: Q(1.0, unit), "unit")
    refusal(lambda: wb.quantity(f"1 {unit}"))


def test_units_with_the_powers_of_formulas_are_read():
    assert wb.quantity("1 m^-3").m_as("1/cm**3") == pytest.approx(1e-6)
    assert wb.quantity("2 kg*m^2/s^3/A").m_as("V") == pytest.approx(2.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Q(10**400, "m"),
        lambda: Q(-(10**400), "m"),
        lambda: Q(np.array(["1 m"]), "m"),
        lambda: Q(["1 m"], "m"),
        lambda: Q([[1.0], [2.0, 3.0]], "m"),
        lambda: Q(np.array(["2026-01-01"], "datetime64[D]"), "m"),
        lambda: Q("1 m", "s"),
        lambda: wb.quantity("9" * 10_000 + " m"),
    ],
)
def test_values_that_no_formula_can_use_are_refused_at_birth(call):
    refusal(call)
