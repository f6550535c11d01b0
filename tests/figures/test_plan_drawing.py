"""The array from above, with every element's line: names keep clear of the frame and of the north arrow."""

import xml.etree.ElementTree as ET

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

import workbook as wb
from workbook.figures.ground_plan import LEFT, SIDE, TOP
from workbook.figures.plan_drawing import plan_drawing
from workbook.files import shipped

SVG = "{http://www.w3.org/2000/svg}"
DEMOS = ("heron-fen-eight", "heron-fen-ring", "heron-fen-square", "heron-fen-row")


def box(text):
    """Return left, top, right and bottom of words [px], measured on the letters themselves."""
    size, weight = float(text.get("font-size")), text.get("font-weight")
    path = TextPath((0, 0), text.text, size=size, prop=FontProperties(family="DejaVu Sans", weight=weight))
    low, high = path.get_extents().get_points()
    x, y = float(text.get("x")), float(text.get("y"))
    left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor")] * high[0]
    return left, y - high[1], left + high[0], y - low[1]


@pytest.fixture(scope="module", params=DEMOS)
def plan(request):
    return wb.load_design(shipped("notebooks") / f"{request.param}.toml").plan()


def test_names_of_elements_stay_within_the_frame_and_off_the_north_arrow(plan):
    for direction in plan.directions:
        root = ET.fromstring(plan_drawing(plan, direction.name))
        names = [box(each) for each in root.iter(f"{SVG}text") if each.get("font-weight") == "bold"]
        assert len(names) == len(plan.elements)
        letter = next(box(each) for each in root.iter(f"{SVG}text") if each.text == "N")
        heads = [each.get("points").split() for each in root.iter(f"{SVG}polygon")]
        corners = [tuple(map(float, corner.split(","))) for corner in heads[-1]]
        arrow = [min(x for x, _ in corners), letter[1], max(x for x, _ in corners), TOP + 37]
        for left, top, right, bottom in names:
            assert left > LEFT
            assert right < LEFT + SIDE
            assert top > TOP
            assert bottom < TOP + SIDE
            assert right < arrow[0] or left > arrow[2] or top > arrow[3] or bottom < arrow[1]
