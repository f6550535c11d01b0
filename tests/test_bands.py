"""The amateur bands from 160 m to 10 m in the three regions."""

import numpy as np
import pytest

import workbook as wb

NAMES = ("160 m", "80 m", "60 m", "40 m", "30 m", "20 m", "17 m", "15 m", "12 m", "10 m")


@pytest.mark.parametrize("region", [1, 2, 3])
def test_all_bands_are_there_longest_first(region):
    assert wb.bands(region) == NAMES


def test_region_2_is_the_usual_one():
    assert wb.bands() == wb.bands(2)
    assert wb.band("40 m") == wb.band("40 m", region=2)


@pytest.mark.parametrize("region", [1, 2, 3])
@pytest.mark.parametrize("name", NAMES)
def test_edges_centre_and_name_of_a_band_agree(name, region):
    found = wb.band(name, region)
    assert found.name == name
    low, high, centre = (edge.m_as("MHz") for edge in (found.low, found.high, found.centre))
    assert low < centre < high
    assert centre == pytest.approx((low + high) / 2, rel=1e-15)
    # the name is the wavelength, more or less
    assert 299.792458 / centre == pytest.approx(float(name.split()[0]), rel=0.08)


@pytest.mark.parametrize("region", [1, 2, 3])
def test_bands_do_not_overlap(region):
    edges = [edge for name in NAMES for edge in (wb.band(name, region).low, wb.band(name, region).high)]
    assert edges == sorted(edges)


@pytest.mark.parametrize(
    ("name", "region", "low", "high"),
    [
        ("160 m", 2, 1.8, 2.0),
        ("80 m", 1, 3.5, 3.8),
        ("80 m", 2, 3.5, 4.0),
        ("80 m", 3, 3.5, 3.9),
        ("40 m", 1, 7.0, 7.2),
        ("40 m", 2, 7.0, 7.3),
        ("20 m", 3, 14.0, 14.35),
    ],
)
def test_edges(name, region, low, high):
    """ITU Radio Regulations, Article 5, from memory."""
    found = wb.band(name, region)
    assert (found.low.m_as("MHz"), found.high.m_as("MHz")) == (low, high)


def test_a_band_cannot_be_changed():
    found = wb.band("160 m")
    with pytest.raises(AttributeError):
        found.low = found.high


@pytest.mark.parametrize(
    ("name", "offered"),
    [("160m", "160 m"), ("160", "160 m"), ("80 M", "80 m"), ("6 m", "60 m"), ("", "160 m"), (160, "160 m")],
)
def test_the_nearest_band_is_offered(name, offered):
    with pytest.raises(wb.InputError) as caught:
        wb.band(name)
    assert offered in str(caught.value)
    assert str(caught.value).startswith("band: ")
    assert str(caught.value)[-1] in ".?"


@pytest.mark.parametrize("name", [None, ["160 m"], np.array(["160 m"]), wb.Quantity(160, "m")])
def test_band_rejects_what_is_not_a_name(name):
    with pytest.raises(wb.InputError, match="band"):
        wb.band(name)


@pytest.mark.parametrize("region", [0, 4, -1, "2", None, 1.5, True, [2], np.array([1, 2])])
def test_region_rejects_all_but_1_2_3(region):
    for call in (lambda: wb.bands(region), lambda: wb.band("160 m", region)):
        with pytest.raises(wb.InputError, match="region"):
            call()
