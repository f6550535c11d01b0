"""Pictures of ground and entry by their data."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from chart_data import curves
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

import workbook as wb
from workbook.figures.ground import ACROSS, HIGH, SIZE, SOIL, entry_drawing, strap_picture
from workbook.formatting import LengthUnits
from workbook.ground.entry import Entry, Rods, Strap

SVG = "{http://www.w3.org/2000/svg}"


BANDS = {"160 m": "1.84 MHz"}


def entry(shape, count, strap="0.6 m"):
    rods = Rods("200 ohm*m", "2.44 m", "16 mm", "3.05 m", count, shape)
    return Entry(rods, Strap(strap, "50 mm", "0.5 mm"), "8/20", 0.5, "20 m")


def test_curves_are_the_surge_voltage_of_each_conductor():
    drawn = curves(strap_picture(entry("line", 2, "2 m")))
    assert list(drawn) == ["wire 4.1 mm", "strap 25 mm", "strap 50 mm", "strap 100 mm", "this strap"]
    curve = drawn["strap 50 mm"]
    length = wb.Quantity(curve.x[17], "m")
    inductance = wb.strap_inductance(length, "50 mm", "0.5 mm")
    wanted = wb.surge_voltage(inductance, "0 ohm", "2.5 kA", "8 us").m_as("kV")
    assert curve.y[17] == pytest.approx(wanted)
    ends = [each.y[-1] for each in list(drawn.values())[:4]]
    assert np.all(np.diff(ends) < 0)  # the wider the less
    own = drawn["this strap"]
    assert (own.x[0], own.y[0]) == pytest.approx((2.0, np.interp(2.0, curve.x, curve.y)), rel=1e-3)


@pytest.mark.parametrize(("shape", "count"), [("line", 1), ("line", 7), ("ring", 5), ("square", 8), ("square", 64)])
def test_drawing_shows_every_rod_from_above(shape, count):
    root = ET.fromstring(entry_drawing(entry(shape, count), BANDS))
    spots = [(float(each.get("cx")), float(each.get("cy"))) for each in root.iter(f"{SVG}circle")]
    assert len(spots) == count
    assert all(SOIL < y < HIGH and ACROSS - 110 < x < ACROSS for x, y in spots)
    words = " ".join(each.text for each in root.iter(f"{SVG}text"))
    assert f"{count} rod{'s' * (count > 1)}, 2.440 m long" in words
    assert ("3.050 m apart" in words) == (count > 1)
    ohms = wb.rods_resistance("200 ohm*m", "2.44 m", "16 mm", "3.05 m", count, shape).m_as("ohm")
    assert f"{ohms:.3g} ohm in 200 ohm m" in words


@pytest.mark.parametrize("units", list(LengthUnits))
@pytest.mark.parametrize("count", [1, 4, 12])
def test_words_lie_on_the_drawing_and_can_be_read(count, units):
    root = ET.fromstring(entry_drawing(entry("line", count), BANDS, units))
    for each in root.iter(f"{SVG}text"):
        size = float(each.get("font-size"))
        assert size >= SIZE
        width = TextPath((0, 0), each.text, size=size, prop=FontProperties(family="DejaVu Sans")).get_extents().width
        x, y = float(each.get("x")), float(each.get("y"))
        left = {"start": x, "middle": x - width / 2, "end": x - width}[each.get("text-anchor")]
        assert left >= 0
        assert left + width <= ACROSS
        assert 0 < y < HIGH
