"""The drawing of the hub's inside: what it shows is what the plan's own lists count, and no word lies on another."""

import itertools
import re
import xml.etree.ElementTree as ET
from collections import Counter

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

import workbook as wb
from workbook.figures.hub import hub_drawing, hub_ports
from workbook.figures.style import for_screen
from workbook.files import shipped
from workbook.plan.marks import marks

SVG = "{http://www.w3.org/2000/svg}"
NINE_POINTS = 12.0
DEMOS = ("heron-fen-eight", "heron-fen-ring", "heron-fen-square", "heron-fen-row")


@pytest.fixture(params=list(itertools.product(DEMOS, ("joined", "ports", "ladder"))), ids="-".join, scope="module")
def plan(request):
    demo, kind = request.param
    design = wb.load_design(shipped("notebooks") / f"{demo}.toml")
    # terminations that a kind of hub does not have
    extra = {("hub", key): None for key in ("summing_impedance",)}
    return design.changed({("hub", "kind"): kind, **extra}).plan()


def parts(svg):
    """The rectangles with the words in them, and all words with the box that they cover."""
    root = ET.fromstring(svg)
    words = []
    for group in root.iter():
        turned = group.get("transform") or ""
        for each in group.findall(f"{SVG}text"):
            size, bold = float(each.get("font-size")), each.get("font-weight") == "bold"
            font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
            wide = TextPath((0, 0), each.text, size=size, prop=font).get_extents().width if each.text.strip() else 0
            x, y = float(each.get("x")), float(each.get("y"))
            shift = {"start": 0, "middle": -wide / 2, "end": -wide}[each.get("text-anchor")]
            if turned:
                x, y = map(float, re.search(r"translate\(([\d.]+) ([\d.]+)\)", turned).groups())
                box = (x - size * 0.8, y - wide, x, y)
            else:
                box = (x + shift, y - size * 0.8, x + shift + wide, y)
            words.append((each.text, size, box))
    return root, words


def apart(one, two):
    return one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]


def drawings(plan):
    return [hub_drawing(plan), *(hub_drawing(plan, one.name) for one in plan.directions)]


def test_no_word_lies_on_another_or_is_small_or_leaves_the_drawing(plan):
    for svg in drawings(plan):
        root, words = parts(svg)
        width, height = (float(root.get(side).removesuffix("px")) for side in ("width", "height"))
        for (text, size, box), (other, _, beside) in itertools.combinations(words, 2):
            assert apart(box, beside), (text, other)
            assert size >= NINE_POINTS
        for text, _, box in words:
            assert box[0] >= 0, text
            assert box[1] >= 0, text
            assert box[2] <= width, (text, box, width)
            assert box[3] <= height, text


def test_combiners_and_transformers_are_those_that_the_plan_counts(plan):
    """The plan counts them from the feeds of every direction, without ports or a drawing."""
    option = next(one for one in plan.hub_options if one.kind == plan.hub)
    _, words = parts(hub_drawing(plan))
    inputs = Counter(int(text.split()[1]) for text, _, _ in words if re.fullmatch(r"Σ \d+", text))
    assert inputs == Counter(option.combiner_inputs)
    inverting = sum(text == "−1" for text, _, _ in words)
    if plan.hub == "ports":
        assert inverting >= option.inverting_transformers
    else:
        assert inverting == option.inverting_transformers


def test_every_piece_of_line_is_drawn_once(plan):
    _, words = parts(hub_drawing(plan))
    drawn = Counter(text.rpartition("  ")[0] for text, _, _ in words if text.endswith(" ns"))
    assert drawn == {mark: 1 for line in plan.delay_lines for mark in marks(line.label, line)}


def test_a_line_that_is_straight_or_reversed_is_drawn_once():
    """Of line A one piece is cut, since no direction uses it both ways; both ports come to it."""
    one = {"name": "one", "azimuth": "0 deg", "delays": ["0 ns", "50 ns", "0 ns", "0 ns"]}
    two = {"name": "two", "azimuth": "90 deg", "delays": ["0 ns", "0 ns", "50 ns", "0 ns"], "polarity": [1, 1, -1, 1]}
    design = wb.load_design(shipped("notebooks") / "heron-fen-square.toml")
    made = design.changed(
        {
            ("phasing",): {"rule": "entered", "cut_band": "160 m", "elevation": "20 deg"},
            ("directions",): [one, two],
            ("hub", "kind"): "joined",
        }
    ).plan()
    (line,) = made.delay_lines
    assert line.count == 1
    assert {port.name for port in hub_ports(made)} == {"A", "A-", "0"}
    _, words = parts(hub_drawing(made))
    assert [text for text, _, _ in words if text.endswith(" ns")] == ["A  50.0 ns"]
    assert any("A: straight or reversed" in text for text, _, _ in words)
    test_no_word_lies_on_another_or_is_small_or_leaves_the_drawing(made)


def test_each_direction_shows_which_element_is_at_which_port(plan):
    for one in plan.directions:
        place = plan.directions.index(one)
        found = {}
        for port in hub_ports(plan):
            found |= {number: (port.line, number in port.reversed[place]) for number in port.elements[place]}
        assert found == {feed.number: (feed.line, feed.polarity < 0) for feed in one.elements if feed.polarity}
        drawn = " ".join(text for text, _, _ in parts(hub_drawing(plan, one.name))[1])
        for port in hub_ports(plan):
            assert f"{port.cells[place] or '·'} {port.name}" in drawn


def test_it_follows_the_theme(plan):
    assert "var(--jp-ui-font-color1" in for_screen(hub_drawing(plan))
    assert "var(--jp-layout-color0" in for_screen(hub_drawing(plan))


def test_an_unknown_direction_is_refused(plan):
    with pytest.raises(wb.InputError, match="there is no direction 'up'"):
        hub_drawing(plan, "up")
