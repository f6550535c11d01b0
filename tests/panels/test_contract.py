"""What every worksheet keeps to: each control is described, and moved it changes tables and pictures, but no file.

A move names the pictures whose shapes must become others, and only those; words alone do not count.
"""

from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets
import pytest
from sheets import SHEETS, Sheet, files

from workbook.matching.cores import USUAL_CORES
from workbook.panels.delay_lines import ERRORS
from workbook.panels.matching_controls import RUN
from workbook.panels.real_ports import FROM_ABOVE


@dataclass(frozen=True)
class Move:
    """A control, its new value, the pictures that follow, and what is set before."""

    control: str
    to: Any
    pictures: frozenset[int] = frozenset()
    before: tuple[tuple[str, Any], ...] = ()
    tables: bool = True


def move(control: str, to: Any, *pictures: int, tables: bool = True, **before: Any) -> Move:
    """Underscores of what is set before stand for hyphens."""
    named = tuple((name.replace("_", "-"), value) for name, value in before.items())
    return Move(control, to, frozenset(pictures), named, tables)


PLACE = {"bearings": "from place and date", "latitude": "52.3", "longitude": "-1.2", "date": "2026-06-01"}
GAINS = "a, 0.1 dB, 1 deg\nb, 0.2 dB, 9 deg\nc, 0.9 dB, 1.5 deg\nd, 1 dB, 8 deg"
ENTERED = {"ground": "entered below"}
FEWEST = {"rule": "fewest-delays"}
OTHER = move("file", "heron-fen-square.toml", 0, 1)
MOVES: dict[str, tuple[Move, ...]] = {
    "01": (
        move("file", "heron-fen-square.toml", 0),
        move("kind", "row", 0),
        move("count", 6, 0),
        move("diameter", 40.3, 0),
        move("diameter-exact", "138 ft 3 1/2 in", 0),
        move("azimuth", 31.0, 0),
        move("hub-east", 4.0, 0),
        move("hub-north", -4.0, 0),
        move("hub-east-exact", "-3 ft 2 in", 0),
        move("hub-north-exact", "0.07", 0),
        move("stake-east", "5", 0),
        move("stake-north", "-4 ft", 0),
        # how exact the stakes must be moves none of them
        move("band", "160 m"),
        move("band-frequency", "3.8 MHz"),
        move("accept", 2.0),
        move("stake", 5, 0, tables=False),
        move("bearings", "no compass", 0, **PLACE),
        move("declination", "-3", 0, bearings="declination entered"),
        move("latitude", "-31", 0, **PLACE),
        move("longitude", "20", 0, **PLACE),
        move("date", "2012-06-01", 0, **PLACE),
    ),
    "02": (
        OTHER,
        move("band", "80 m", 0, 1),
        move("band-frequency", "1.8", 0, 1),
        move("direction-name", "N"),
        move("heading", "10", 0, 1),
        # a ring looks the same from the side in all its directions, and ground weighs all azimuths alike
        move("direction", "south-west", 0),
        move("elevation", 31.0, 0, 1),
        move("across", 51.3, 0, 1),
        move("spacing", 14.2, 0, 1),
        move("across-exact", "150 ft", 0, 1),
        move("spacing-exact", "15.01", 0, 1),
        move("rule", "endfire", 0, 1),
        move("null", 40.0, 0, 1, rule="endfire"),
        move("inversion", "yes", 0, 1, rule="endfire"),
        move("gain", 2.0, 0, 1, rule="greatest-rdf"),
        move("inversion", "yes", 0, 1, rule="greatest-rdf"),
        move("lines", 1, 0, 1, **FEWEST),
        move("limited", "no limit", 0, 1, **FEWEST),
        move("gain", 2.0, 0, 1, **FEWEST),
        move("inversion", "no", 0, 1, **FEWEST),
        move("ground", "sea water", 1),
        move("permittivity", 4.0, 1, **ENTERED),
        move("conductivity", 40.0, 1, **ENTERED),
        move("picture", "the whole sky", 1, tables=False),
    ),
    "03": (
        OTHER,
        move("band", "80 m", 1),
        move("band-frequency", "1.8 MHz", 1),
        move("cable", "series-11-copper", 1),
        move("across", 51.3, 0, 1),
        move("spacing", 14.2, 0, 1),
        move("across-exact", "150 ft", 0, 1),
        move("spacing-exact", "15.01", 0, 1),
        move("elevation", 31.0, 1),
        move("direction", "south-west", 0),
        move("hub-lines", "35.4 m, 30.2 m, 17.7 m, 5.1", 1),
        move("merge", "28", 1),
        move("picture", ERRORS, tables=False),
        move("measured-D", "1.70 MHz"),
    ),
    "04": (
        move("band", "80 m", 0),
        move("band-frequency", "1.83", 0),
        move("cable", "series-11-copper", 0),
        move("cladding", 21.0, 0, cable="series-6-clad"),
        # the curve is of the cable, not of the piece
        move("given", "degrees"),
        move("amount", 71.3),
        move("exact", "88 ft 3 1/2 in"),
        move("velocity", "nominal", 0),
        move("coefficient", "-220", 0),
        move("way", "loop resistance, far end shorted", value="9", length="60", cable="series-6-clad"),
        move("value", "9", length="60", cable="series-6-clad"),
        move("length", "60", value="9", cable="series-6-clad"),
        move("connector", "0.5", way="check frequency, far end open", value="3.1", length="20"),
    ),
    "05": (
        move("cable-trunk-500", True, 0),
        move("length", 45.5, 0),
        move("length-exact", "120 ft", 0),
        move("band-frequency", "14.1 MHz", 0),
        move("resistance", "50", 0),
        move("reactance", "-40", 0),
        move("band", "20 m", 0),
    ),
    "06": (
        move("band-40-m", True, 0, 1),
        move("cable-trunk-500", True, 0),
        move("range", "7 to 7.3", 0, 1),
        move("source", "72", 0, 1),
        move("source-reactance", "-10", 0, 1),
        move("load", "300 ohm", 0, 1),
        move("load-reactance", "25", 0, 1),
        move("swr", 1.5, 0, 1),
        move("loss", 3.0, 0),
        move("way", "series section", 0, 1),
        move("picture", RUN, 1),
        move("turns", 8, 0, 1),
        move("core", USUAL_CORES[3].name, 0, 1),
        move("inductance", "1 uH", 0, 1),
        move("coupling", 99.0, 0, 1),
        move("core-q", 20.0, 0, 1),
        move("winding-q", 150.0, 0, 1),
        move("pad", "exact", 0, 1, way="minimum-loss pad"),
        move("run-cable", "series-6-copper", 0, 1, picture=RUN, run=20.0),
        move("run", 20.0, 0),
        move("run-exact", "66 ft", 0),
    ),
    "07": (
        OTHER,
        move("source", 60.0, 0, 1, source=50.0),
        move("source-exact", "61.5 ohm", 0, 1),
        # one line has neither run nor tolerance, and lines that are summed first end in the same ports
        move("source-tolerance", 7.5, 0, source=50.0),
        move("port", 60.0, 0, 1, source=50.0),
        move("port-exact", "61.5", 0, 1, source=50.0),
        move("port-tolerance", 7.5, 0, source=50.0),
        move("hub", "ports", source=50.0),
        # a tap's delay is that of the joined line, but for connectors that no one sees on the curve
        move("hub", "ladder", 0, source=50.0),
        move("cut-band", "80 m", 0, 1, source=50.0),
        move("cut-band-frequency", "1.8", 0, 1, source=50.0),
        move("cable", "series-11-clad", 0, 1, source=50.0),
        move("slack", 9.0, 0, source=50.0),
        move("slack-exact", "21 ft", 0, source=50.0),
        move("slack", 9.0, 0, file="heron-fen-square.toml", source=50.0),
        move("band", "80 m", 1, source=50.0),
        move("band-frequency", "1.81 MHz", 0, 1, source=50.0),
        move("length", 90.0, 1, source=50.0),
        move("picture", FROM_ABOVE, 1, source=50.0),
        move("direction", "south-west", 1, source=50.0, picture=FROM_ABOVE),
    ),
    "10": (
        # the usual front end is the same for every design on these bands
        move("file", "heron-fen-row.toml"),
        move("height", 5.0, 0),
        move("height-exact", "12 ft", 0),
        move("diameter", 60.0, 0),
        move("diameter-exact", "1 in", 0),
        move("inductance", 100.0, 0),
        move("inductance-exact", "0.15 mH", 0),
        move("q", 120.0, 0),
        move("choke-capacitance", 5.0, 0),
        move("choke-capacitance-exact", "6 pF", 0),
        move("choke-tolerance", 20.0, 0),
        move("input-resistance", 100.0, 0),
        move("input-resistance-exact", "50 kohm", 0),
        move("input-capacitance", 40.0, 0),
        move("input-capacitance-exact", "30", 0),
        # what concerns a transmitter changes no response
        move("limit", 0.2),
        move("limit-exact", "0.1 V"),
        move("power", 1000.0),
        move("power-exact", "100"),
        move("distance", 30.0),
        move("distance-exact", "200 ft"),
        move("frequency", 3.65),
        move("frequency-exact", "1.84"),
    ),
    "11": (
        move("file", "heron-fen-square.toml", 0),
        move("receiver-run", 300.0, 0),
        move("receiver-run-exact", "1000 ft", 0),
        move("across", 60.0, 0),
        move("across-exact", "100 ft", 0),
        move("spacing", 14.2, 0),
        move("spacing-exact", "15.01", 0),
        move("noise", "city", 0),
        move("margin", 15.0, 0),
        move("margin-exact", "3 dB", 0),
        move("noise-figure", 25.0, 0),
        move("noise-figure-exact", "8", 0),
        move("amplifier", 15.0, 0),
        move("amplifier-exact", "20", 0),
        # the feed decides which cable is good enough, and none has a price
        # a signal does not change what cables do to noise
        move("strong", 20.0),
        move("strong-exact", "5 mV/m"),
        move("band", "160 m", 0),
        move("supply", 11.0),
        move("supply-exact", "24"),
        move("least", 13.0),
        move("least-exact", "8"),
        move("current", 100.0),
        move("current-exact", "0.2 A"),
        move("pair", 20),
        move("cable", "rg-213-solid-pe", 0),
        # the only cable with a price is the one that is drawn already
        move("price", "95"),
        move("per", "305 m", price="95"),
        move("runs", "receiver run alone", 0),
        move("runs", "element runs alone", 0),
        move("impedance", "50 ohm", 0),
        move("widest", 7.0, 0),
        move("widest-exact", "1/4 in", 0),
        move("filter-for-burial-only", True, 0),
    ),
    "12": (
        move("file", "heron-fen-row.toml"),
        move("cable", "series-11-clad", tables=False),
        move("reels", "A, 305 m, 0.83", 0),
        move("one-reel", "nothing", 0, reels="A, 230 m\nB, 230 m"),
        move("kerf", 40.0, 0, reels="A, 305 m"),
        move("kerf-exact", "1 in", 0, reels="A, 305 m"),
        move("trim", 30.0, 0, reels="A, 305 m"),
        move("trim-exact", "6 in", 0, reels="A, 305 m"),
    ),
    "13": (
        move("file", "heron-fen-square.toml", 0),
        move("piece", "A", 0, tables=False),
        move("reading", "1.95", 0),
        move("tape", "35.7", reading="1.75"),
        move("picture", "distance", 0, tables=False),
        move("direction", "south", 0, tables=False, picture="pattern as built"),
        move("band", "80 m"),
        move("band-frequency", "1.81"),
        move("azimuth", "100"),
        move("levels", "north: -1, -1, -1, -1, -1, -1, 0, -1"),
    ),
    "14": (
        move("values", "a 1 uH\nb 2 uH\nc 3 uH\nd 5 uH", 0, size=2.0),
        move("unit", "nH", 0, values="a 1\nb 2\nc 4 nH\nd 9 nH", size=2.0, unit="uH"),
        move("scales", "1 dB, 1 deg", 0, values=GAINS, size=2.0, scales="0.1 dB, 1 deg"),
        move("kind", "pairs in series with like sums", 0),
        move("size", 3.0, 0),
        move("sets", 2.0, 0),
    ),
    "15": (
        move("file", "heron-fen-row.toml"),
        move("soil", "clay"),
        move("resistivity", 300.0),
        move("resistivity-exact", "350"),
        move("shape", "ring", 0, count=6),
        move("count", 8, 0),
        move("rod-length", 3.0),
        move("rod-length-exact", "8 ft"),
        move("rod-spacing", 4.0),
        move("rod-spacing-exact", "10 ft"),
        move("rod-diameter", "5/8 in"),
        move("strap-length", 1.1, 1),
        move("strap-length-exact", "3 ft", 1),
        move("strap-width", 100.0, 1),
        move("strap-width-exact", "3 in", 1),
        move("strap-thickness", "2", 1),
        move("wave", "1/200", 1),
        move("share", 70.0, 1),
        move("distance", 40.0),
        move("distance-exact", "30 ft"),
        move("element-ground", 200.0),
        move("element-ground-exact", "150"),
        move("turn-resistance", 40.0),
        move("turn-resistance-exact", "35"),
        move("turn-reactance", 40.0),
        move("turn-reactance-exact", "35"),
        move("rejection", 20.0),
    ),
}
# what only a button or the tests of the panel use, and what is one of many alike
BY_BUTTON = {
    "01": {"path", "units", "stake-table"},
    "05": {"units"},
    "13": {"practice-practice-set", "units"},
    "15": {"units"},
    "04": {"name", "units"},
    "06": {"design", "file", "units"},
    **{name: {"path", "units"} for name in ("02", "03", "07", "10", "11")},
    # how long a search may take changes nothing that is found sooner
    "12": {"path", "units", "time-limit", "time-limit-exact"},
}
ALIKE = ("cable-", "band-", "measured-", "advice-")
WRONG = {
    "01": [("path", "barn.toml", "barn.toml"), ("diameter-exact", "50,5", "comma"), ("diameter-exact", "3 kg", "kg")],
    "02": [
        ("path", "barn.toml", "barn.toml"),
        ("across-exact", "-3 m", "above"),
        ("across-exact", "<b>1</b>", "<b>1</b>"),
    ],
    "03": [("path", "barn.toml", "barn.toml"), ("across-exact", "0", "above"), ("measured-D", "1.7O MHz", "1.7O MHz")],
    "04": [("band-frequency", "1,83", "point"), ("exact", "71 kg", "71 kg"), ("coefficient", "much", "much")],
    "05": [("length-exact", "30 kg", "kg"), ("resistance", "0", "power"), ("reactance", "j40", "reactance")],
    "06": [("source", "-75", "above"), ("range", "nonsense", "nonsense"), ("inductance", "400 m", "nH is wanted")],
    "07": [("path", "barn.toml", "barn.toml"), ("source-exact", "75 m", "impedance"), ("port-exact", "x", "impedance")],
    "10": [
        ("height-exact", "30 cm of", "height"),
        ("diameter-exact", "9 m", "diameters"),
        ("power-exact", "-4", "power"),
    ],
    "11": [("receiver-run-exact", "1,5", "comma"), ("price", "much", "number"), ("supply-exact", "5 V", "supply")],
    "12": [("reels", "A", "label, length"), ("reels", "A, 3 kg", "stock[1].length"), ("kerf-exact", "-1", "kerf")],
    "13": [("reading", "1,95", "comma"), ("azimuth", "3 m", "degree"), ("levels", "north -1", "levels")],
    "14": [("values", "C1 nonsense", "line 1"), ("scales", "kg", "scales")],
    "15": [("rod-diameter", "5 kg", "kg"), ("rod-spacing-exact", "1,5", "comma"), ("strap-thickness", "0", "above")],
}
CASES = [pytest.param(name, one, id=f"{name} {one.control} {one.to}") for name, moves in MOVES.items() for one in moves]


@pytest.fixture
def made(folder, own_cables, monkeypatch):
    """Makes a worksheet in a folder with the demos, with no cables of one's own."""
    monkeypatch.chdir(folder)
    return lambda name: Sheet(SHEETS[name](folder))


@pytest.mark.parametrize(("name", "one"), CASES)
def test_a_moved_control_changes_tables_and_pictures_and_no_file(made, folder, own_cables, name, one):
    sheet = made(name)
    for control, value in one.before:
        sheet.move(control, value)
    tables, pictures, on_disk = sheet.tables(), sheet.pictures(), files(folder)
    sheet.move(one.control, one.to)
    assert not sheet.refusals()
    assert (sheet.tables() != tables) == one.tables
    changed = {number for number, shapes in enumerate(sheet.pictures()) if shapes != pictures[number]}
    assert changed == one.pictures
    assert files(folder) == on_disk
    assert not files(own_cables)


@pytest.mark.parametrize("name", MOVES)
def test_every_control_is_moved_by_a_test_and_described(made, name):
    controls = made(name).controls
    moved = {one.control for one in MOVES[name]} | BY_BUTTON.get(name, set())
    families = {prefix for prefix in ALIKE if any(each.startswith(prefix) for each in moved)}
    assert {each for each in controls if not each.startswith(tuple(families))} <= moved
    for each, control in controls.items():
        assert control.description, each
        assert control.tooltip, each
        if isinstance(control, widgets.FloatSlider):
            steps = (control.value - control.min) / control.step
            # off a step the browser would move the slider by itself
            assert steps == pytest.approx(round(steps), abs=1e-6), each


@pytest.mark.parametrize(
    ("name", "control", "text", "word"), [(name, *wrong) for name, found in WRONG.items() for wrong in found]
)
def test_a_wrong_entry_is_answered_in_place_and_what_was_shown_stays(made, folder, name, control, text, word):
    sheet = made(name)
    pictures, tables, on_disk = sheet.pictures(), sheet.tables(), files(folder)
    sheet.move(control, text)
    assert word in sheet.refusals()
    assert sheet.pictures() == pictures
    assert sheet.tables() == tables
    assert files(folder) == on_disk
