"""The drawing of the stakes, by its data: to scale and north up, numbers apart, tapes from where to where, arrows."""

import itertools
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

import workbook as wb
from workbook.figures.ground_plan import LEFT, SIDE, TOP, WIDTH
from workbook.figures.stake_drawing import TAPES, stake_drawing

SVG = "{http://www.w3.org/2000/svg}"
LAYOUTS = {
    "ring of 8": wb.ring(8, "42 m", "17 deg"),
    "ring of 24": wb.ring(24, "42 m", "0 deg"),
    "square": wb.square("24 m", "45 deg"),
    "row of 3": wb.row(3, "20 m", "45 deg"),
    "row of 24": wb.row(24, "5 m", "60 deg"),
    "two rows": wb.two_rows(12, "10 m", "30 m", "20 deg"),
    "far off": wb.layout_from(wb.Quantity([[900, 900], [930, 905], [910, 940]], "m")),
}


class Drawn:
    """What a drawing shows, read back."""

    def __init__(self, layout, chosen, hub=(0.0, 0.0), declination=None, name="Fen", note=""):
        self.out = wb.stake_out(layout, declination)
        self.root = ET.fromstring(stake_drawing((name, "some stakes"), self.out, hub, chosen, note))
        circles = list(self.root.iter(f"{SVG}circle"))
        filled = [each for each in circles if "fill: none" not in each.get("style")]
        # the last of each is the key's
        self.spots = np.array([(float(each.get("cx")), float(each.get("cy"))) for each in filled[:-1]])
        rings = [each for each in circles if "fill: none" in each.get("style")]
        self.fixed = [(float(each.get("cx")), float(each.get("cy"))) for each in rings[:-1]]
        self.words = [each.text for each in self.root.iter(f"{SVG}text")]
        dashed = [each for each in self.root.iter(f"{SVG}line") if "dasharray" in each.get("style")]
        tapes = [each for each in dashed if float(each.get("y1")) < TOP + SIDE]
        self.tapes = [[float(each.get(key)) for key in ("x1", "y1", "x2", "y2")] for each in tapes]
        self.dashes = [re.search(r"dasharray: ([\d ]+)", each.get("style"))[1] for each in tapes]


@pytest.mark.parametrize("name", LAYOUTS)
def test_it_is_to_scale_and_north_is_up(name):
    layout = LAYOUTS[name]
    drawn = Drawn(layout, 1)
    metres = layout.positions.m_as("m")
    scale = np.ptp(drawn.spots, axis=0).max() / np.ptp(metres, axis=0).max()
    moved = (metres - metres[0]) * scale * (1, -1)
    assert drawn.spots - drawn.spots[0] == pytest.approx(moved, abs=0.2)  # pixels are written to a tenth
    assert (drawn.spots > (LEFT, TOP)).all()
    assert (drawn.spots < (LEFT + SIDE, TOP + SIDE)).all()


@pytest.mark.parametrize("name", LAYOUTS)
def test_numbers_stand_by_their_stakes_and_apart_from_each_other(name):
    drawn = Drawn(LAYOUTS[name], 2)
    numbers = [each for each in drawn.root.iter(f"{SVG}text") if each.get("font-weight") == "bold"]
    assert [each.text for each in numbers] == [str(n + 1) for n in range(len(drawn.spots))]
    size = float(numbers[0].get("font-size"))
    middles = np.array([(float(each.get("x")), float(each.get("y")) - size / 3) for each in numbers])
    assert np.linalg.norm(middles - drawn.spots, axis=1).max() < 22
    for one, other in itertools.combinations(middles, 2):
        # a digit is 0.7 of the size high, two are 1.3 of it wide
        assert abs(one[1] - other[1]) > 0.7 * size or abs(one[0] - other[0]) > 1.3 * size


@pytest.mark.parametrize("name", LAYOUTS)
def test_every_stake_has_its_tapes_with_their_lengths(name):
    for chosen in range(1, LAYOUTS[name].count + 1):
        drawn = Drawn(LAYOUTS[name], chosen)
        fix = drawn.out.fixes[chosen - 1]
        assert len(drawn.tapes) == len(fix.tapes)
        assert len(set(drawn.dashes)) == len(fix.tapes)  # so that colour alone says nothing
        centre, first = drawn.fixed
        assert first == pytest.approx(drawn.spots[drawn.out.first - 1], abs=0.11)
        for number, (line, tape) in enumerate(zip(drawn.tapes, fix.tapes, strict=True)):
            start = centre if tape.start == "centre" else drawn.spots[int(tape.start) - 1]
            assert line == pytest.approx([*start, *drawn.spots[chosen - 1]], abs=0.11)
            letter = TAPES[number][0]
            assert drawn.words.count(letter) == 1
            stated = " ".join(drawn.words).partition(f"{letter}: from")[2]
            assert wb.feet_inches(wb.Quantity(tape.length_m, "m")) in stated.partition(": from")[0]


def test_a_stake_at_the_centre_needs_no_tape():
    drawn = Drawn(LAYOUTS["row of 3"], 2)
    assert not drawn.tapes
    assert "stake 2 stands at the centre: no tape is needed" in drawn.words


def test_the_runs_reach_from_the_hub_to_every_element():
    drawn = Drawn(LAYOUTS["ring of 8"], 1, hub=(6.0, -4.0))
    hub = next(each for each in drawn.root.iter(f"{SVG}rect") if each.get("width") == "12")
    middle = [float(hub.get(key)) + 6 for key in ("x", "y")]
    lines = [[float(each.get(key)) for key in ("x1", "y1", "x2", "y2")] for each in drawn.root.iter(f"{SVG}line")]
    ends = [line[2:] for line in lines if math.dist(line[:2], middle) < 0.2]
    assert sorted(ends) == pytest.approx(np.array(sorted(drawn.spots.tolist())), abs=0.11)


@pytest.mark.parametrize("degrees", [-170.0, -20.0, 0.0, 12.5, 90.0])
def test_the_magnetic_arrow_points_where_a_compass_does(degrees):
    drawn = Drawn(LAYOUTS["ring of 8"], 1, declination=wb.Quantity(degrees, "deg"))
    assert "M" in drawn.words
    heads = [each.get("points").split() for each in drawn.root.iter(f"{SVG}polygon")]
    tips = [tuple(map(float, head[0].split(","))) for head in heads]
    lines = [[float(each.get(key)) for key in ("x1", "y1", "x2", "y2")] for each in drawn.root.iter(f"{SVG}line")]
    bearings = {}
    for tip in tips:
        x, y, _, _ = next(line for line in lines if tuple(line[2:]) == tip)
        bearings[tip] = math.degrees(math.atan2(tip[0] - x, y - tip[1]))
    true, magnetic = (bearings[tip] for tip in sorted(tips, key=lambda tip: -tip[0]))
    assert true == 0
    assert (magnetic - degrees + 180) % 360 - 180 == pytest.approx(0, abs=0.5)
    way = "west" if degrees < 0 else "east"
    assert f"M: magnetic north, {abs(degrees):.1f} deg {way} of true north" in drawn.words


def test_without_a_declination_there_is_only_true_north():
    words = Drawn(LAYOUTS["ring of 8"], 1).words
    assert "N" in words
    assert "M" not in words


@pytest.mark.parametrize("name", LAYOUTS)
def test_all_words_lie_on_the_drawing(name):
    """By the widths of the very letters: Matplotlib brings the font that is asked for."""
    note = "hold each stake within 0.116 m (0 ft 4 9/16 in): 0.5 deg on the lower end of the 80 m band"
    drawn = Drawn(LAYOUTS[name], LAYOUTS[name].count, declination="3 deg", name="A rather long name " * 4, note=note)
    for each in drawn.root.iter(f"{SVG}text"):
        font = FontProperties(family="DejaVu Sans", weight=each.get("font-weight"))
        width = TextPath((0, 0), each.text, size=float(each.get("font-size")), prop=font).get_extents().width
        x, y = float(each.get("x")), float(each.get("y"))
        if x == 0:
            continue  # along a line, turned
        left = {"start": x, "middle": x - width / 2, "end": x - width}[each.get("text-anchor")]
        assert left >= 0
        assert left + width <= WIDTH
        assert y < float(drawn.root.get("height").removesuffix("px"))
        assert float(each.get("font-size")) >= 12 or each.text.startswith("A rather long name")


def test_a_name_is_written_as_it_is():
    assert "<b>&Fen: tapes to stake 1" in Drawn(LAYOUTS["square"], 1, name="<b>&Fen").words
