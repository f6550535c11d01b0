"""A design file that cannot be used: one sentence with the file, the key and what to write instead."""

import datetime
import functools
import json
import math
import re
from collections.abc import Iterator
from typing import Any

import pytest
from designs import ABSENT, BASES

import workbook as wb


def custom(*positions: list[str]) -> dict[tuple[str | int, ...], Any]:
    return {("array",): {"kind": "custom", "positions": list(positions)}}


def first(**keys: Any) -> dict[tuple[str | int, ...], Any]:
    """The first direction, changed."""
    return {("directions", 0, key): value for key, value in keys.items()}


def two_rows(**keys: Any) -> dict[tuple[str | int, ...], Any]:
    """Two rows, changed."""
    table = {"kind": "two-row", "count": 2, "spacing": "20 m", "width": "9 m", "azimuth": "0 deg", **keys}
    return {("array",): {key: value for key, value in table.items() if value is not ABSENT}}


def positions_file(name: Any) -> dict[tuple[str | int, ...], Any]:
    return {("array",): {"kind": "custom", "positions_file": name}}


# what is wrong: the base, the change, the words of the refusal
ROWS: dict[str, tuple[str, dict[tuple[str | int, ...], Any], list[str]]] = {
    # units and numbers
    "bare number": ("square", {("array", "side"): 20}, ["array.side", "20", "unit"]),
    "bare float": ("square", {("cutting", "trim"): 0.1}, ["cutting.trim", "0.1", "unit"]),
    "no unit": ("square", {("array", "side"): "20"}, ["array.side", "'20'", "without a unit"]),
    "decimal comma": ("square", {("array", "side"): "20,5 m"}, ["array.side", "comma", "decimal point"]),
    "unit of another kind": ("square", {("array", "side"): "20 MHz"}, ["array.side", "MHz", "m "]),
    "frequency in metres": ("square", {("bands", "160 m"): "160 m"}, ["bands.160 m", "Hz"]),
    "angle in metres": ("square", {("phasing", "elevation"): "20 m"}, ["phasing.elevation", "degree"]),
    "delay in metres": ("full", {("ends", "delay_line", "delay"): "3 m"}, ["ends.delay_line.delay", "m", "s "]),
    "strip in time": ("full", {("ends", "element_run", "strip"): "3 ns"}, ["ends.element_run.strip", "ns", "m "]),
    "misspelt unit": ("square", {("bands", "160 m"): "1.83 Mhz"}, ["bands.160 m", "Mhz", "MHz"]),
    "empty length": ("square", {("array", "side"): ""}, ["array.side", "empty"]),
    "length with more": ("square", {("array", "side"): "20 m across"}, ["array.side", "20 m across"]),
    "negative side": ("square", {("array", "side"): "-20 m"}, ["array.side", "-20", "above"]),
    "no side": ("square", {("array", "side"): "0 m"}, ["array.side", "above"]),
    "negative slack": ("square", {("lengths", "slack"): "-1 m"}, ["lengths.slack", "negative"]),
    "negative trim": ("square", {("cutting", "trim"): "-1 cm"}, ["cutting.trim", "negative"]),
    "negative strip": ("full", {("ends", "delay_line", "strip"): "-1 cm"}, ["ends.delay_line.strip", "negative"]),
    "negative connector": ("full", {("ends", "delay_line", "delay"): "-1 ns"}, ["ends.delay_line.delay", "negative"]),
    "no frequency": ("square", {("bands", "160 m"): "0 MHz"}, ["bands.160 m", "above"]),
    "audio": ("square", {("bands", "160 m"): "1.83 kHz"}, ["bands.160 m", "1.83 kHz", "MHz"]),
    "light": ("square", {("bands", "160 m"): "1.83 THz"}, ["bands.160 m"]),
    "elevation below": ("square", {("phasing", "elevation"): "-1 deg"}, ["phasing", "elevation", "0 to 90"]),
    "elevation beyond": ("square", {("phasing", "elevation"): "91 deg"}, ["phasing", "elevation", "0 to 90"]),
    "nothing accepted": ("square", {("cutting", "accept"): "0 deg"}, ["cutting", "accept", "1 deg"]),
    "everything accepted": ("square", {("cutting", "accept"): "90 deg"}, ["cutting", "accept", "1 deg"]),
    # words
    "other format": ("square", {("format",): 2}, ["format", "2", "format = 1"]),
    "format as text": ("square", {("format",): "1"}, ["format", "format = 1"]),
    "no name": ("square", {("name",): ""}, ["name", "1 to 80"]),
    "spaces for a name": ("square", {("name",): "   "}, ["name", "1 to 80"]),
    "name of two lines": ("square", {("name",): "a\nb"}, ["name", "one line"]),
    "long name": ("square", {("name",): "x" * 81}, ["name", "1 to 80"]),
    "number for a name": ("square", {("name",): 5}, ["name", "5"]),
    "unknown kind": ("square", {("array", "kind"): "rings"}, ["array", "kind", "rings", "did you mean ring"]),
    "kind far off": ("square", {("array", "kind"): "hexagon"}, ["array", "kind", "hexagon", "ring", "custom"]),
    "kind in capitals": ("square", {("array", "kind"): "Square"}, ["array", "kind", "Square", "square"]),
    "number for a kind": ("square", {("array", "kind"): 4}, ["array", "kind", "4", "square"]),
    "unknown rule": ("square", {("phasing", "rule"): "align"}, ["phasing.rule", "align", "aligned"]),
    "rule with a space": ("square", {("phasing", "rule"): "fewest delays"}, ["phasing.rule", "fewest-delays"]),
    "rule far off": ("square", {("phasing", "rule"): "best"}, ["phasing.rule", "best", "aligned", "greatest-rdf"]),
    "unknown hub": ("square", {("hub", "kind"): "port"}, ["hub.kind", "port", "did you mean ports"]),
    "cut band not there": ("full", {("phasing", "cut_band"): "30 m"}, ["phasing.cut_band", "30 m", "[bands]", "80 m"]),
    "cut band misspelt": ("full", {("phasing", "cut_band"): "160m"}, ["phasing.cut_band", "160m", "160 m"]),
    "no bands": ("square", {("bands",): {}}, ["bands", "1.83 MHz"]),
    "no such delay cable": (
        "square",
        {("cables", "delay_line"): "series-6"},
        ["cables.delay_line", "series-6", "series-6-clad", "series-6-copper"],
    ),
    "no such run cable": ("square", {("cables", "element_run"): "rg-6"}, ["cables.element_run", "rg-6-solid-pe"]),
    "no such receiver cable": ("full", {("cables", "receiver_run"): "seris-11-clad"}, ["series-11-clad"]),
    "number for a cable": ("square", {("cables", "delay_line"): 6}, ["cables.delay_line", "6"]),
    "cable not measured": (
        "square",
        {("velocity_factor", "series-6-coper"): {"value": 0.8, "frequency": "1.83 MHz"}},
        ["velocity_factor", "series-6-coper", "series-6-copper"],
    ),
    "measured per cent": ("full", {("velocity_factor", "series-6-clad", "value"): 82}, ["value", "82", "0.82"]),
    "measured nothing": ("full", {("velocity_factor", "series-6-clad", "value"): 0}, ["value", "0 to 1"]),
    "measured as text": ("full", {("velocity_factor", "series-6-clad", "value"): "0.82"}, ["value", "plain number"]),
    "measured list": ("full", {("velocity_factor", "series-6-clad", "value"): [0.82]}, ["velocity_factor", "value"]),
    "measured at no frequency": (
        "full",
        {("velocity_factor", "series-6-clad"): {"value": 0.82}},
        ["velocity_factor.series-6-clad", "frequency", "1.83 MHz"],
    ),
    "measured bare": ("full", {("velocity_factor", "series-6-clad"): 0.82}, ["velocity_factor.series-6-clad", "value"]),
    # the rules and their keys
    "lines of nought": ("fewest", {("phasing", "lines"): 0}, ["phasing.lines", "0", "1 to 4"]),
    "five lines": ("fewest", {("phasing", "lines"): 5}, ["phasing.lines", "5", "1 to 4"]),
    "half lines": ("fewest", {("phasing", "lines"): 2.5}, ["phasing.lines", "2.5", "1 to 4"]),
    "whole float of lines": ("fewest", {("phasing", "lines"): 2.0}, ["phasing.lines", "2.0", "1 to 4"]),
    "lines of yes": ("fewest", {("phasing", "lines"): True}, ["phasing.lines", "True", "1 to 4"]),
    "lines as text": ("fewest", {("phasing", "lines"): "2"}, ["phasing.lines", "'2'", "1 to 4"]),
    "lines under aligned": ("full", {("phasing", "lines"): 2}, ["phasing", "lines", "fewest-delays"]),
    "lines under greatest": ("greatest", {("phasing", "lines"): 2}, ["phasing", "lines", "fewest-delays"]),
    "no lines": ("fewest", {("phasing", "lines"): ABSENT}, ["phasing", "lines = 2"]),
    "null under aligned": ("full", {("phasing", "null_elevation"): "20 deg"}, ["phasing", "null_elevation", "endfire"]),
    "null under fewest": ("fewest", {("phasing", "null_elevation"): "20 deg"}, ["null_elevation", "endfire"]),
    "null below": ("endfire", {("phasing", "null_elevation"): "-1 deg"}, ["null_elevation", "0 to 90"]),
    "null beyond": ("endfire", {("phasing", "null_elevation"): "91 deg"}, ["null_elevation", "0 to 90"]),
    "null bare": ("endfire", {("phasing", "null_elevation"): 30}, ["phasing.null_elevation", "30", "deg"]),
    "null in metres": ("endfire", {("phasing", "null_elevation"): "3 m"}, ["phasing.null_elevation", "degree"]),
    "inversion under aligned": (
        "full",
        {("phasing", "polarity_inversion"): True},
        ["polarity_inversion", "endfire", "fewest-delays"],
    ),
    "inversion under entered": ("entered", {("phasing", "polarity_inversion"): False}, ["polarity_inversion", "rule"]),
    "inversion as text": (
        "endfire",
        {("phasing", "polarity_inversion"): "true"},
        ["phasing.polarity_inversion", "'true'", "without quotes"],
    ),
    "inversion as a number": (
        "fewest",
        {("phasing", "polarity_inversion"): 1},
        ["polarity_inversion", "true or false"],
    ),
    "no limit": (
        "greatest",
        {("phasing", "least_white_noise_gain"): ABSENT},
        ["phasing", 'least_white_noise_gain = "-8 dB"'],
    ),
    "limit bare": ("greatest", {("phasing", "least_white_noise_gain"): -8}, ["least_white_noise_gain", "-8 dB"]),
    "limit in metres": ("greatest", {("phasing", "least_white_noise_gain"): "-8 m"}, ["least_white_noise_gain", "dB"]),
    "limit under aligned": (
        "full",
        {("phasing", "least_white_noise_gain"): "-8 dB"},
        ["greatest-rdf", "fewest-delays"],
    ),
    "limit under endfire": ("endfire", {("phasing", "least_white_noise_gain"): "-8 dB"}, ["greatest-rdf"]),
    # the ground
    "half a ground": ("full", {("ground", "conductivity"): ABSENT}, ["ground", "relative_permittivity = 13", "5 mS/m"]),
    "the other half": ("full", {("ground", "relative_permittivity"): ABSENT}, ["ground", "relative_permittivity = 13"]),
    "ground of nothing": ("full", {("ground",): {}}, ["ground", "relative_permittivity = 13", "perfect"]),
    "ground twice": ("full", {("ground", "kind"): "perfect"}, ["ground", "kind", "alone"]),
    "unknown ground": ("full", {("ground",): {"kind": "wet"}}, ["ground.kind", "wet", "wet ground"]),
    "ground as a number": ("full", {("ground",): {"kind": 13}}, ["ground.kind", "13"]),
    "permittivity of less than air": ("full", {("ground", "relative_permittivity"): 0.5}, ["0.5", "1 to 1000"]),
    "permittivity as text": ("full", {("ground", "relative_permittivity"): "13"}, ["relative_permittivity", "'13'"]),
    "conductivity bare": ("full", {("ground", "conductivity"): 0.005}, ["ground.conductivity", "0.005", "5 mS/m"]),
    "conductivity per length missing": ("full", {("ground", "conductivity"): "5 mS"}, ["ground.conductivity", "S/m"]),
    "negative conductivity": ("full", {("ground", "conductivity"): "-5 mS/m"}, ["ground.conductivity", "negative"]),
    "conductivity of a metal": ("full", {("ground", "conductivity"): "58 MS/m"}, ["ground", "conductivity"]),
    # the site
    "site of nothing": ("full", {("site",): {}}, ["site", "declination", "latitude"]),
    "site of both": ("full", {("site", "declination"): "-3 deg"}, ["site", "declination", "alone"]),
    "site without a date": ("full", {("site", "date"): ABSENT}, ["site", "date = 2026-11-25"]),
    "site without longitude": ("full", {("site", "longitude"): ABSENT}, ["site", "longitude"]),
    "declination beyond": ("full", {("site",): {"declination": "190 deg"}}, ["site", "declination", "180"]),
    "declination bare": ("full", {("site",): {"declination": -3}}, ["site.declination", "-3", "deg"]),
    "latitude beyond": ("full", {("site", "latitude"): "91 deg"}, ["site", "latitude", "91"]),
    "date of old": ("full", {("site", "date"): datetime.date(1999, 1, 1)}, ["site", "date", "1999"]),
    "date in words": ("full", {("site", "date"): "in May"}, ["site.date", "in May", "2026-11-25"]),
    "date as a number": ("full", {("site", "date"): 2026}, ["site.date", "2026"]),
    "height bare": ("full", {("site", "height"): 12}, ["site.height", "12", "m"]),
    # two rows, and positions in a file
    "two rows of one": ("square", two_rows(count=1), ["array.count", "1", "2 to 12"]),
    "two rows of many": ("square", two_rows(count=13), ["array.count", "13", "2 to 12"]),
    "two rows without width": ("square", two_rows(width=ABSENT), ["array", "width ="]),
    "two rows without azimuth": ("square", two_rows(azimuth=ABSENT), ["array", 'azimuth = "45 deg"']),
    "two rows in one": ("square", two_rows(width="1 mm"), ["array", "width", "1 and 3"]),
    "two rows of no width": ("square", two_rows(width="0 m"), ["array.width", "above"]),
    "two rows misspelt": ("square", {("array", "kind"): "two-rows"}, ["array", "kind", "two-row"]),
    "width of a row": (
        "square",
        {("array",): {"kind": "row", "count": 3, "spacing": "9 m", "azimuth": "0 deg", "width": "4 m"}},
        ["array", "unknown key 'width'"],
    ),
    "neither positions nor a file": ("square", {("array",): {"kind": "custom"}}, ["array", "positions_file ="]),
    "positions twice": (
        "entered",
        {("array", "positions_file"): "stakes.csv"},
        ["array", "stakes.csv"],
    ),
    "positions in no file": ("square", positions_file("nowhere.csv"), ["array.positions_file", "nowhere.csv", "read"]),
    "positions file of no name": ("square", positions_file(" "), ["array.positions_file", "stakes.csv"]),
    "positions file as a number": ("square", positions_file(5), ["array.positions_file", "5", "stakes.csv"]),
    # the ends of lines
    "one end only": (
        "ends",
        {("hub", "port_impedance"): ABSENT},
        ["hub", "source_impedance", "port_impedance", "both"],
    ),
    "tolerance without ends": (
        "square",
        {("hub", "port_tolerance"): 0.1},
        ["hub", "port_tolerance", "source_impedance"],
    ),
    "tolerance in per cent": ("ends", {("hub", "source_tolerance"): 5}, ["hub.source_tolerance", "5", "0.05"]),
    "impedance bare": ("ends", {("hub", "source_impedance"): 75}, ["hub.source_impedance", "75 ohm"]),
    "impedance of nothing": ("ends", {("hub", "port_impedance"): "0 ohm"}, ["hub.port_impedance", "above"]),
    # the match
    "unknown way": ("ends", {("match", "way"): "transformer"}, ["match.way", "transformer", "wideband transformer"]),
    "swr below one": ("ends", {("match", "most_swr"): 0.9}, ["match.most_swr", "0.9"]),
    "loss of nothing": ("ends", {("match", "most_loss"): "0 dB"}, ["match", "most_loss", "1 dB"]),
    "match of no cables": ("ends", {("match", "cables"): []}, ["match", "cables"]),
    "match of unknown cable": ("ends", {("match", "cables"): ["rg-6"]}, ["match.cables[1]", "rg-6-solid-pe"]),
    # the array
    "one element": ("full", {("array", "count"): 1}, ["array.count", "1", "2 to 24"]),
    "many elements": ("full", {("array", "count"): 25}, ["array.count", "25", "2 to 24"]),
    "half an element": ("full", {("array", "count"): 4.5}, ["array.count", "4.5", "whole number"]),
    "count as text": ("full", {("array", "count"): "8"}, ["array.count", "'8'", "whole number"]),
    "count of yes": ("full", {("array", "count"): True}, ["array.count", "whole number"]),
    "row without spacing": (
        "square",
        {("array",): {"kind": "row", "count": 3, "azimuth": "0 deg"}},
        ["array", "spacing", "20 m"],
    ),
    "key of another kind": ("full", {("array", "side"): "20 m"}, ["array", "side", "unknown key"]),
    "coincident": ("square", custom(["0 m", "0 m"], ["5 m", "0 m"], ["0 m", "0 m"]), ["array", "1 and 3"]),
    "almost coincident": ("square", custom(["0 m", "0 m"], ["0 m", "9 mm"]), ["array", "1 and 2"]),
    "coincident ring": ("full", {("array", "diameter"): "1 cm"}, ["array", "1 and 2"]),
    "no positions": ("square", custom(), ["array.positions", "at least one"]),
    "frequency in feet": ("square", {("bands", "160 m"): "1.84 ft"}, ["bands.160 m", "a frequency", '"1.83 MHz"']),
    "frequency a thousand times too high": ("square", {("bands", "160 m"): "1840 MHz"}, ["did you mean", '"1.84 MHz"']),
    "frequency in bare kilohertz": ("square", {("bands", "160 m"): 1840}, ["bands.160 m", "unit", '"1840 kHz"']),
    "frequency of letters": ("square", {("bands", "160 m"): "abc"}, ["bands.160 m", "'abc'", '"1.83 MHz"']),
    "count in quotes": ("full", {("array", "count"): "8"}, ["array.count", "write 8, without quotes"]),
    "declination as on a map": ("square", {("site",): {"declination": "12 E"}}, ["site.declination", '"12 deg"']),
    "declination west": ("square", {("site",): {"declination": "12.5 W"}}, ["site.declination", '"-12.5 deg"']),
    "merge bare": ("square", {("hub", "merge"): 1}, ["hub.merge", "unit", '"1 deg"']),
    "drop cable by its trade name": ("square", {("cables", "delay_line"): "RG-6"}, ["series-6-copper", "0.66"]),
    "kept lines bare": ("square", {("hub", "lines"): [9.94]}, ["hub.lines[1]", "unit", "9.94 m"]),
    "kept lines of no length": ("square", {("hub", "lines"): ["0 m"]}, ["hub.lines[1]", "above"]),
    "kept lines in degrees": ("square", {("hub", "lines"): ["30 deg"]}, ["hub.lines[1]", "check the unit"]),
    "no kept lines": ("square", {("hub", "lines"): []}, ["hub.lines", "from 1 to 48"]),
    "kept lines and merge": ("square", {("hub", "lines"): ["9 m"], ("hub", "merge"): "1 deg"}, ["hub.merge", "lines"]),
    "too many positions": ("square", custom(*[[f"{n} m", "0 m"] for n in range(65)]), ["array.positions", "64"]),
    "half a position": ("square", custom(["0 m", "0 m"], ["5 m"]), ["array.positions[2]"]),
    "no position": ("square", custom(["0 m", "0 m"], []), ["array.positions[2]"]),
    "position with height": ("square", custom(["0 m", "0 m", "0 m"], ["5 m", "0 m"]), ["array.positions[1]"]),
    "bare position": (
        "square",
        {("array",): {"kind": "custom", "positions": [["0 m", "0 m"], [5, 0]]}},
        ["array.positions[2]", "5", "unit"],
    ),
    "position of no list": ("square", {("array",): {"kind": "custom", "positions": "0 m"}}, ["array.positions"]),
    "hub of one number": ("square", {("hub", "position"): ["0 m"]}, ["hub.position"]),
    "hub nowhere": ("square", {("hub", "position"): []}, ["hub.position"]),
    "hub in the air": ("square", {("hub", "position"): ["0 m", "0 m", "3 m"]}, ["hub.position"]),
    "hub bare": ("square", {("hub", "position"): [0, 0]}, ["hub.position", "unit"]),
    # directions
    "no directions": ("square", {("directions",): []}, ["directions", "[[directions]]"]),
    "one table of directions": (
        "square",
        {("directions",): {"name": "north", "azimuth": "0 deg"}},
        ["directions", "[[directions]]"],
    ),
    "same name twice": (
        "full",
        {("directions", 1, "name"): "north-east"},
        ["directions[2].name", "north-east", "twice"],
    ),
    "same name but for a space": ("full", {("directions", 1, "name"): " north-east "}, ["directions[2].name", "twice"]),
    "delays under aligned": (
        "square",
        first(delays=["0 ns"] * 4),
        ["directions[1]", "north", "delays", "entered"],
    ),
    "polarity under aligned": ("square", first(polarity=[1] * 4), ["directions[1]", "polarity", "entered"]),
    "no delays": ("entered", first(delays=ABSENT), ["directions[1]", "north", "delays", "phases", "entered"]),
    "both": ("entered", first(phases=["0 deg"] * 3), ["directions[1]", "delays", "phases"]),
    "too few delays": ("entered", first(delays=["0 ns", "38 ns"]), ["directions[1]", "delays", "2", "3 elements"]),
    "too many delays": ("entered", first(delays=["0 ns"] * 4), ["directions[1]", "delays", "4", "3 elements"]),
    "no delay at all": ("entered", first(delays=[]), ["directions[1]", "delays", "0 entries", "3 elements"]),
    "too few phases": (
        "entered",
        first(delays=ABSENT, phases=["0 deg", "71 deg"]),
        ["directions[1]", "phases", "2", "3 elements"],
    ),
    "too few polarities": ("entered", first(polarity=[1, -1]), ["directions[1]", "polarity", "2", "3 elements"]),
    "all off": ("entered", first(delays=["off"] * 3), ["directions[1]", "delays", "off"]),
    "all phases off": ("entered", first(delays=ABSENT, phases=["off"] * 3), ["directions[1]", "phases", "off"]),
    "delay in degrees": ("entered", first(delays=["0 ns", "38 deg", "0 ns"]), ["directions[1].delays[2]", "deg", "s "]),
    "delay in metres once": ("entered", first(delays=["0 ns", "3 m", "0 ns"]), ["directions[1].delays[2]", "s "]),
    "bare delay": ("entered", first(delays=["0 ns", 38, "0 ns"]), ["directions[1].delays[2]", "38", "unit"]),
    "delay without unit": ("entered", first(delays=["0 ns", "38", "0 ns"]), ["directions[1].delays[2]", "unit"]),
    "off misspelt": ("entered", first(delays=["0 ns", "of", "0 ns"]), ["directions[1].delays[2]", "of"]),
    "phase in time": (
        "entered",
        first(delays=ABSENT, phases=["0 deg", "38 ns", "0 deg"]),
        ["directions[1].phases[2]", "ns", "degree"],
    ),
    "one delay for all": ("entered", first(delays="38 ns"), ["directions[1].delays"]),
    "polarity of nought": ("entered", first(polarity=[1, 0, 1]), ["directions[1].polarity[2]", "0", "-1"]),
    "polarity as text": ("entered", first(polarity=[1, "-1", 1]), ["directions[1].polarity[2]", "-1"]),
    "azimuth bare": ("square", first(azimuth=45), ["directions[1].azimuth", "45", "deg"]),
    "azimuth in words": ("square", first(azimuth="north"), ["directions[1].azimuth", "north"]),
    # what belongs together
    "band twice but for a space": ("square", {("bands", "160 m "): "1.9 MHz"}, ["bands", "160 m"]),
    "band without a name": ("square", {("bands", ""): "1.9 MHz"}, ["bands", "name"]),
    # from the verticals to the receiver
    "unknown environment": ("receive", {("environment", "noise"): "quiet"}, ["environment.noise", "quiet rural"]),
    "noise without its source": ("receive", {("environment", "source"): ABSENT}, ["environment.source", "entered"]),
    "source without its noise": ("receive", {("environment", "entered"): ABSENT}, ["environment.entered", "source"]),
    "noise on an unknown band": (
        "receive",
        {("environment", "entered"): {"30 m": "50 dB"}},
        ["environment.entered", "'30 m'", "80 m"],
    ),
    "environment alone": ("receive", {("front_end",): ABSENT}, ["environment", "front_end", "height ="]),
    "a vertical as thick as high": ("receive", {("front_end", "height"): "4 cm"}, ["front_end.height", "diameters"]),
    "tolerance of chokes in per cent": ("receive", {("front_end", "choke_tolerance"): 20}, ["choke_tolerance", "0.99"]),
    "transmitters without a limit": (
        "receive",
        {("front_end", "greatest_voltage"): ABSENT},
        ["transmitters", "greatest_voltage ="],
    ),
    "power in volts": ("receive", {("transmitters", 0, "power"): "56 V"}, ["transmitters[1].power", "W"]),
    "supply below what is needed": ("receive", {("feed", "supply"): "9 V"}, ["feed.supply", "10", "above"]),
    "gauge beyond the table": ("receive", {("feed", "pair_gauge"): 50}, ["feed.pair_gauge", "0", "40"]),
    "price of an unknown cable": ("receive", {("prices", "rg-7"): {"price": 1}}, ["prices", "rg-7"]),
    "price without a number": ("receive", {("prices", "series-11-clad"): 0.4}, ["prices.series-11-clad", "price"]),
    "labels of reels twice": ("receive", {("stock", 1, "label"): "R1"}, ["stock[2].label", "'R1'", "twice"]),
    "reel of an unknown cable": ("receive", {("stock", 0, "cable"): "series-66"}, ["stock[1].cable", "series-6"]),
    # unknown keys, with the nearest known one
    "unknown table": ("square", {("cable",): {}}, ["unknown key 'cable'", "cables"]),
    "unknown key": ("square", {("array", "sides"): "4 m"}, ["array", "'sides'", "side"]),
    "unknown in a direction": ("square", first(azimut="0 deg"), ["directions[1]", "'azimut'", "azimuth"]),
    "unknown in the ends": ("full", {("ends", "delay_lines"): {}}, ["ends", "'delay_lines'", "delay_line"]),
    "unknown in an end": ("full", {("ends", "delay_line", "strips"): "1 cm"}, ["ends.delay_line", "'strips'", "strip"]),
    "unknown in the cut": ("square", {("cutting", "trimm"): "1 cm"}, ["cutting", "'trimm'", "trim"]),
    "unknown in a measurement": (
        "full",
        {("velocity_factor", "series-6-clad", "frequnecy"): "1 MHz"},
        ["velocity_factor.series-6-clad", "'frequnecy'", "frequency"],
    ),
}


@pytest.mark.parametrize("what", ROWS)
def test_it_is_refused_by_file_key_and_remedy(write, refused, what):
    base, change, words = ROWS[what]
    path = write(base, change)
    sentence = refused(lambda: wb.load_design(path), *words)
    assert sentence.startswith(f"{path}: ")


NEEDED = {
    ("name",): ["name ="],
    ("bands",): ["bands", "1.83 MHz"],
    ("array",): ["array", "kind"],
    ("array", "kind"): ["array", "kind", "ring"],
    ("array", "count"): ["array", "count = 8"],
    ("array", "diameter"): ["array", "diameter ="],
    ("phasing",): ["phasing", "rule"],
    ("phasing", "rule"): ["phasing", 'rule = "aligned"'],
    ("directions",): ["directions", "name"],
    ("directions", 0, "name"): ["directions[1]", "name ="],
    ("directions", 0, "azimuth"): ["directions[1]", 'azimuth = "45 deg"'],
    ("cables",): ["cables", "delay_line"],
    ("cables", "delay_line"): ["cables", "delay_line ="],
    ("velocity_factor", "series-6-clad", "value"): ["velocity_factor.series-6-clad", "value = "],
}


@pytest.mark.parametrize("key", NEEDED, ids=lambda key: ".".join(map(str, key)))
def test_a_missing_key_is_named_with_an_example(write, refused, key):
    path = write("full", {key: ABSENT})
    refused(lambda: wb.load_design(path), "missing", *NEEDED[key])


MAY_BE_LEFT_OUT = [
    ("array", "first_azimuth"),
    ("hub", "position"),
    ("lengths", "slack"),
    ("ends",),
    ("ends", "delay_line"),
    ("ends", "element_run"),
    ("ends", "delay_line", "delay"),
    ("ends", "delay_line", "strip"),
    ("cutting", "accept"),
    ("velocity_factor",),
    ("ground",),
    ("site",),
    ("site", "height"),
]


@pytest.mark.parametrize("key", MAY_BE_LEFT_OUT, ids=".".join)
def test_what_may_be_left_out(plan, key):
    assert plan("full", {key: ABSENT}).delay_lines


@pytest.mark.parametrize(
    ("base", "key"),
    [
        ("endfire", ("phasing", "null_elevation")),
        ("endfire", ("phasing", "polarity_inversion")),
        ("greatest", ("phasing", "polarity_inversion")),
        ("fewest", ("phasing", "polarity_inversion")),
        ("fewest", ("phasing", "least_white_noise_gain")),
        *(("ends", ("hub", key)) for key in ("source_tolerance", "port_tolerance")),
        *(("ends", ("match", key)) for key in ("way", "source", "load", "cables", "most_swr", "most_loss")),
    ],
)
def test_what_a_rule_the_hub_and_a_match_may_leave_out(plan, base, key):
    assert plan(base, {key: ABSENT}).delay_lines


def test_without_a_receiver_run(plan):
    made = plan("full", {("lengths", "receiver_run"): ABSENT, ("cables", "receiver_run"): ABSENT})
    assert made.receiver_run is None


# --- anything anywhere ------------------------------------------------------------------------------------

STRANGE: tuple[Any, ...] = (
    *(5, 0, -1, 1.5, True, math.nan, math.inf, 10**30),
    *(datetime.date(2024, 2, 29), datetime.time(12), datetime.datetime(2024, 2, 29, tzinfo=datetime.UTC)),
    *([], [1], ["a"], [[]], [{}], {}, {"a": 1}, {"kind": "ring"}),
    *("", " ", "x", "5", "0 m", "5 m", "-5 m", "5 MHz", "5 deg", "5 xyz", "off", "10,5 m", "1e400 m", "nan m"),
    *("a\nb", "\u202eright to left", "ﬁ ½ Ω 🦉", "x" * 2000, "1" * 2000, "'\"\\"),
)


def places(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if path:
        yield path
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in entries:
        yield from places(value, (*path, key))


# one place of each sort is enough: the first of a list, the first band, the first measurement
REPEATED = {"80 m", "40 m", "series-6-copper", *range(1, 10)}
PLACES = [(b, path) for b in BASES for path in places(BASES[b]) if b != "square" and not REPEATED & set(path)]
OF_BASE = {
    "entered": ("array", "directions"),
    "ends": ("hub", "match"),
    "receive": ("cutting", "environment", "front_end", "receiver", "transmitters", "feed", "prices", "stock"),
    **dict.fromkeys(("endfire", "greatest", "fewest"), ("phasing",)),
}
PLACES = [(b, path) for b, path in PLACES if b == "full" or path[0] in OF_BASE[b]]
PLACES = [*PLACES, ("entered", ("directions", 0, "phases")), ("entered", ("directions", 0, "polarity"))]


def again(error: Exception) -> None:
    raise error


@pytest.mark.parametrize(("base", "path"), PLACES, ids=lambda value: value if type(value) is str else repr(value))
def test_anything_anywhere_is_used_or_refused_clearly(write, refused, base, path):
    """Whatever stands in a place, there is a plan of finite numbers or one sentence that names the place."""
    name = [str(key) for key in path if type(key) is str][-1]
    wrong = []
    for value in STRANGE:
        file = write(base, {path: value})
        try:
            made = wb.load_design(file).plan()
        except Exception as error:
            try:
                refused(functools.partial(again, error), name if path[0] != "array" else "array")
            except (AssertionError, Exception) as unclear:
                wrong.append(f"{value!r:.50} -> {type(error).__name__}: {error!s:.200} [{unclear!s:.60}]")
        else:
            json.dumps(made.to_dict(), allow_nan=False)
    assert not wrong, "\n".join(wrong)


# --- the file itself --------------------------------------------------------------------------------------


@pytest.fixture
def raw(write):
    return write("full").read_bytes()


BROKEN = {
    "cut off": lambda raw: raw[: raw.index(b"Otter") + 3],
    "a quote missing": lambda raw: raw.replace(b'"Otter Mead"', b'"Otter Mead'),
    "a bracket missing": lambda raw: raw.replace(b"[hub]", b"[hub"),
    "a table twice": lambda raw: raw + b"\n[hub]\n",
    "a key twice": lambda raw: raw.replace(b"count = 8", b"count = 8\ncount = 9"),
    "no value": lambda raw: raw.replace(b"count = 8", b"count ="),
    "no quotes": lambda raw: raw.replace(b'"Otter Mead"', b"Otter Mead"),
    "a strange escape": lambda raw: raw.replace(b"Otter", b"\\q"),
    "a day that never was": lambda raw: raw.replace(b"format = 1", b"format = 2024-02-31"),
    "binary": lambda raw: raw + b"\x00\x01\x02",
    "json": lambda raw: b'{"format": 1}',
    "old line ends": lambda raw: raw.replace(b"\n", b"\r"),
    "brackets without end": lambda raw: raw + b"\nx = " + b"[" * 20_000,
    "tables without end": lambda raw: raw + b"\nx = " + b"{a=" * 20_000,
    "digits without end": lambda raw: raw.replace(b"count = 8", b"count = " + b"8" * 20_000),
    "merge marks": lambda raw: b"<<<<<<< mine\n" + raw,
}


@pytest.mark.parametrize("what", BROKEN)
def test_what_is_no_toml_is_refused(tmp_path, refused, raw, what):
    path = tmp_path / "broken.toml"
    path.write_bytes(BROKEN[what](raw))
    assert path.read_bytes() != raw
    refused(lambda: wb.load_design(path), "broken.toml", "TOML")


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_another_encoding_is_refused(tmp_path, refused, raw, encoding):
    path = tmp_path / "coded.toml"
    path.write_bytes(raw.decode().replace("Otter", "Ötter").encode(encoding))
    refused(lambda: wb.load_design(path), "coded.toml", "UTF-8")


def test_a_mark_of_byte_order_is_passed_over_or_named(tmp_path, raw):
    """Some editors write one; nobody sees it, so a refusal must say what it is."""
    path = tmp_path / "marked.toml"
    path.write_bytes(b"\xef\xbb\xbf" + raw)
    try:
        assert wb.load_design(path).plan().name == "Otter Mead"
    except wb.InputError as error:
        said = str(error)
    else:
        return
    assert re.search("byte order mark|BOM", said), said


def test_line_ends_and_comments_do_not_matter(tmp_path, raw):
    path = tmp_path / "dos.toml"
    path.write_bytes(b"# a note: \xc3\xbc\r\n" + raw.replace(b"\n", b"\r\n"))
    assert wb.load_design(path).content == wb.load_design(tmp_path / "design.toml").content


def test_a_file_too_large_to_be_a_design(tmp_path, refused, raw):
    path = tmp_path / "large.toml"
    path.write_bytes(raw + b"#" * 1_000_001)
    refused(lambda: wb.load_design(path), "large.toml", "1 MB")


def test_an_empty_file(tmp_path, refused):
    path = tmp_path / "empty.toml"
    path.touch()
    refused(lambda: wb.load_design(path), "empty.toml", "name")


@pytest.mark.parametrize("name", ["nowhere.toml", "no-folder/design.toml", ".", "x" * 300 + ".toml", "nul\0.toml"])
def test_a_file_that_is_not_there(tmp_path, name):
    with pytest.raises(wb.InputError, match=r"read|file name"):
        wb.load_design(tmp_path / name)


@pytest.mark.parametrize("path", [None, 5, b"design.toml", ["design.toml"]])
def test_what_is_no_path(path):
    with pytest.raises((wb.InputError, TypeError)):
        wb.load_design(path)


def test_text_and_path_are_the_same(write):
    path = write("full")
    assert wb.load_design(str(path)).content == wb.load_design(path).content


def test_the_bases_of_these_tests_are_whole(plan):
    for base in BASES:
        assert plan(base).delay_lines


def test_a_measured_velocity_that_passes_that_of_light_on_a_band_is_refused(refused, write):
    measured = {("velocity_factor",): {"series-6-copper": {"value": 0.999, "frequency": "1.83 MHz"}}}
    changes = measured | {("cables", "delay_line"): "series-6-copper"}
    refused(lambda: wb.load_design(write("square", changes)).plan(), "velocity_factor.series-6-copper", "light")


def test_more_bands_or_directions_than_a_plan_is_made_for_are_refused(refused, write):
    bands = {f"{n} m": f"{n} MHz" for n in range(1, 26)}
    refused(lambda: wb.load_design(write("square", {("bands",): bands, ("phasing", "cut_band"): "1 m"})), "bands", "24")
    many = [{"name": f"d{n}", "azimuth": f"{n} deg"} for n in range(361)]
    refused(lambda: wb.load_design(write("square", {("directions",): many})), "directions", "361", "at most 360")
