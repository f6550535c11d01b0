"""What is answered to names of cables that are not in the catalogue."""

import pytest

import workbook as wb
from workbook.line.trade_names import unknown_cable


@pytest.mark.parametrize("size", ["6", "59", "11"])
@pytest.mark.parametrize(
    "form", ["RG-{}", "RG{}/U", "rg{}", "F{}", "series {}", "RG-{}A/U", "rg {}", "quad shield RG-{}"]
)
def test_a_drop_cable_by_its_trade_name_is_answered_by_the_foam_ones_first(refused, form, size):
    error = refused(lambda: wb.cable(form.format(size)), "0.83 to 0.85", "0.66")
    foam, solid = f"series-{size}-copper", f"rg-{size}-solid-pe"
    assert 0 <= str(error).index(foam) < str(error).index(solid)


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("RG-213/U", "rg-213-solid-pe"),
        ("rg58", "rg-58-solid-pe"),
        ("RG58C/U", "rg-58-solid-pe"),
        ("RG-8X", "rg-8x-foam"),
        ("series-6-coper", "series-6-copper"),
        ("seris-6-clad", "series-6-clad"),
        ("trunk", "trunk-500"),
    ],
)
def test_a_single_type_or_a_slip_is_offered_by_its_name(word, name):
    assert unknown_cable(word, wb.cables()).remedy == f"did you mean {name}?"


@pytest.mark.parametrize("word", ["RG-8", "RG-400", "H155", "ladder line", "x", "", "6x", "series-8", None, 6, ["rg6"]])
def test_a_type_that_is_not_there_is_not_guessed(refused, word):
    error = refused(lambda: wb.cable(word), "not in the catalogue", "feedline-workbook cables")
    assert "did you mean" not in str(error)
