"""Pictures of ground and entry by their data."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
from chart_data import curves
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

import workbook as wb
from workbook.figures.ground import HIGH, SOIL, WIDE, Entry, entry_drawing, strap_picture

SVG = "{http://www.w3.org/2000/svg}"


def entry(shape, count):
    return Entry(
        shape,
        count,
        f"{count} rods of 2.44 m, 3.05 m apart",
        "strap 0.60 m, 50 mm wide",
        "0.44 µH, 5.1 ohm on 160 m",
        "11.2 ohm to far earth at 200 ohm m",
    )


def test_curves_are_the_surge_voltage_of_each_conductor():
    wave = wb.SURGE_WAVES["8/20"]
    drawn = curves(strap_picture(wave, 0.5, 2.0))
    assert list(drawn) == ["wire 4.1 mm", "strap 25 mm", "strap 50 mm", "strap 100 mm"]
    curve = drawn["strap 50 mm"]
    length = wb.Quantity(curve.x[17], "m")
    inductance = wb.strap_inductance(length, "50 mm", "0.5 mm")
    wanted = wb.surge_voltage(inductance, "0 ohm", "2.5 kA", "8 us").m_as("kV")
    assert curve.y[17] == pytest.approx(wanted)
    ends = [each.y[-1] for each in drawn.values()]
    assert np.all(np.diff(ends) < 0)  # the wider the less


@pytest.mark.parametrize(("shape", "count"), [("line", 1), ("line", 7), ("ring", 5), ("square", 8), ("square", 64)])
def test_drawing_shows_every_rod_from_above(shape, count):
    root = ET.fromstring(entry_drawing(entry(shape, count)))
    spots = [(float(each.get("cx")), float(each.get("cy"))) for each in root.iter(f"{SVG}circle")]
    assert len(spots) == count
    assert all(SOIL < y < HIGH and WIDE - 110 < x < WIDE for x, y in spots)
    words = [each.text for each in root.iter(f"{SVG}text")]
    assert f"{count} rods of 2.44 m, 3.05 m apart" in words


@pytest.mark.parametrize("count", [1, 4, 12])
def test_words_lie_on_the_drawing_and_can_be_read(count):
    root = ET.fromstring(entry_drawing(entry("line", count)))
    for each in root.iter(f"{SVG}text"):
        size = float(each.get("font-size"))
        assert size >= 9
        width = TextPath((0, 0), each.text, size=size, prop=FontProperties(family="DejaVu Sans")).get_extents().width
        x, y = float(each.get("x")), float(each.get("y"))
        left = {"start": x, "middle": x - width / 2, "end": x - width}[each.get("text-anchor")]
        assert left >= 0
        assert left + width <= WIDE
        assert 0 < y < HIGH
