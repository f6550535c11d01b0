"""Edges of the amateur bands against printed allocations."""

import pytest

import workbook as wb

OLD_RULES = "older text of 47 CFR 97.301(b), a web copy"
SINCE_2009 = "regions 1 and 3 since 29 March 2009, from memory"
WRC_15 = "World Radiocommunication Conference 2015, from memory"
ARTICLE_5 = "ITU Radio Regulations, Article 5, from memory"
# name: edges [MHz] in regions 1, 2 and 3, and the source
PRINTED = {
    "160 m": (("1.810", "1.850"), ("1.800", "2.000"), ("1.800", "2.000"), OLD_RULES),
    "80 m": (("3.50", "3.80"), ("3.50", "4.00"), ("3.50", "3.90"), f"{OLD_RULES}, its 80 m and 75 m together"),
    "60 m": (("5.3515", "5.3665"), ("5.3515", "5.3665"), ("5.3515", "5.3665"), WRC_15),
    "30 m": (("10.10", "10.15"), ("10.10", "10.15"), ("10.10", "10.15"), OLD_RULES),
    "20 m": (("14.00", "14.35"), ("14.00", "14.35"), ("14.00", "14.35"), OLD_RULES),
    "17 m": (("18.068", "18.168"), ("18.068", "18.168"), ("18.068", "18.168"), OLD_RULES),
    "15 m": (("21.00", "21.45"), ("21.00", "21.45"), ("21.00", "21.45"), OLD_RULES),
    "12 m": (("24.89", "24.99"), ("24.89", "24.99"), ("24.89", "24.99"), ARTICLE_5),
    "10 m": (("28.0", "29.7"), ("28.0", "29.7"), ("28.0", "29.7"), ARTICLE_5),
}


@pytest.mark.parametrize("region", [1, 2, 3])
@pytest.mark.parametrize("name", PRINTED)
def test_edges_are_the_printed_ones(assert_printed, name, region):
    low, high = PRINTED[name][region - 1]
    found = wb.band(name, region)
    assert_printed(found.low, f"{low} MHz", source=PRINTED[name][3])
    assert_printed(found.high, f"{high} MHz", source=PRINTED[name][3])


@pytest.mark.parametrize(
    ("region", "high", "source"), [(1, "7.2", SINCE_2009), (2, "7.3", OLD_RULES), (3, "7.2", SINCE_2009)]
)
def test_40_m_has_its_present_upper_edge(assert_printed, region, high, source):
    assert_printed(wb.band("40 m", region).high, f"{high} MHz", source=source)


@pytest.mark.parametrize("region", [1, 3])
def test_old_upper_edge_of_40_m_is_not_reproduced(assert_printed, region):
    with pytest.raises(AssertionError, match="is not the printed"):
        assert_printed(wb.band("40 m", region).high, "7.1 MHz", source=f"{OLD_RULES}, before 2009")
