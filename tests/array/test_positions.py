"""Positions from a CSV file: what is read, and that everything wrong is told with its row and column."""

import re

import numpy as np
import pytest

import workbook as wb


@pytest.fixture
def written(tmp_path):
    """Write a file of positions and return its path."""

    def write(text):
        path = tmp_path / "positions.csv"
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    return write


GOOD = {
    "unit in the headings": ("east (m),north (ft)\n3,10\n-4,0\n", [[3, 3.048], [-4, 0]]),
    "square brackets, any case, spaces": (" East [cm] , NORTH (m)\n300 , 10\n-400,0\n", [[3, 10], [-4, 0]]),
    "unit in every cell": ("east,north\n3 m,18 ft 3 1/2 in\n0 m,-12 in\n", [[3, 5.5753], [0, -0.3048]]),
    "unit in one heading": ("east (m),north\n3,10 ft\n-4,0 m\n", [[3, 3.048], [-4, 0]]),
    "north first": ("north (m),east (m)\n10,3\n0,-4\n", [[3, 10], [-4, 0]]),
    "elements in another order": ("element,east (m),north (m)\n3,1,2\n1,5,6\n2,3,4\n", [[5, 6], [3, 4], [1, 2]]),
    "byte order mark, carriage returns": ("\ufeffeast (m),north (m)\r\n3,10\r\n-4,0\r\n", [[3, 10], [-4, 0]]),
    "empty rows": ("\n,\neast (m),north (m)\n\n3,10\n , \n-4,0\n\n", [[3, 10], [-4, 0]]),
    "inches with their mark": ('east,north\n18\' 3 1/2",0 m\n"-12""",0 m\n', [[5.5753, 0], [-0.3048, 0]]),
    "fractions under a unit": ("east (in),north (m)\n3 1/2,0\n0,1e1\n", [[0.0889, 0], [0, 10]]),
    "no newline at the end": ("east (m),north (m)\n3,10\n-4,0", [[3, 10], [-4, 0]]),
}


@pytest.mark.parametrize("name", GOOD)
def test_positions_are_read(written, name):
    text, wanted = GOOD[name]
    assert wb.read_positions(written(text)).positions.m_as("m") == pytest.approx(np.array(wanted))
    assert wb.read_positions(str(written(text))).count == len(wanted)


HEAD = "east (m),north (m)\n"
BAD = {
    "blank": ("", ["blank", "east (m),north (m)"]),
    "only spaces": (" \n,,\n", ["blank"]),
    "only a heading": (HEAD, ["1 to 64"]),
    "too many": (HEAD + "".join(f"{n},0\n" for n in range(65)), ["1 to 64"]),
    "misspelt column": ("esat (m),north (m)\n1,2\n3,4\n", ["'esat (m)'", "did you mean east?"]),
    "unknown column": (
        "east (m),north (m),colour\n1,2,red\n3,4,red\n",
        ["'colour'", "north, distance, azimuth, element"],
    ),
    "missing column": ("element,north (m)\n1,2\n2,4\n", ["no column east", "east (m),north (m)"]),
    "twice": ("east (m),north (m),East\n1,2,3\n3,4,5\n", ["column east twice"]),
    "no heading": ("1,2\n3,4\n", ["unknown column '1'"]),
    "heights": ("east (m),north (m),Height (m)\n1,2,3\n4,5,6\n", ["height", "flat", "tape", "take that column out"]),
    "elevation": ("elevation,east (m),north (m)\n1 m,2,3\n4 m,5,6\n", ["elevation", "flat"]),
    "no unit": ("east,north (m)\n1 m,2\n3,4\n", ["row 3, column east", "'3'", "without a unit"]),
    "two units": (HEAD + "1,2\n3 ft,4\n", ["row 3, column east", "'3 ft'", "heading"]),
    "not a length": (HEAD.replace("(m)", "(MHz)") + "1,2\n3,4\n", ["heading of east", "MHz", "m is wanted"]),
    "a cell that is not a length": ("east,north\n1 m,2 m\n1 deg,2 m\n", ["row 3, column east", "deg", "m is wanted"]),
    "unknown unit": (HEAD.replace("(m)", "(mtr)") + "1,2\n3,4\n", ["heading of east", "unknown unit"]),
    "empty brackets": (HEAD.replace("(m)", "()") + "1,2\n3,4\n", ["heading of east", "unit"]),
    "unit of elements": ("element (m)," + HEAD + "1,2,3\n2,4,5\n", ["element", "take the unit out"]),
    "empty cell": (HEAD + "1,2\n3,\n", ["row 3, column north", "is empty"]),
    "word": (HEAD + "1,2\n3,two\n", ["row 3, column north", "two m"]),
    "not a number": (HEAD + "1,2\n3,nan\n", ["row 3, column north"]),
    "no end": (HEAD + "1,2\n3,1e999\n", ["row 3, column north", "too large"]),
    "very far": (HEAD + "1,2\n3,1e50\n", ["km"]),
    "decimal comma": (HEAD + '1,2\n"3,5",4\n', ["row 3, column east", "decimal point"]),
    "decimal comma, bare": (HEAD + "1,2\n3,5,4\n", ["row 3 has 3 cells", "2 columns", "decimal points"]),
    "cell missing": (HEAD + "1,2\n3\n", ["row 3 has 1 cell"]),
    "semicolons": ("east (m);north (m)\n1,5;2\n3;4\n", ["semicolons", "commas"]),
    "tabs": ("east (m)\tnorth (m)\n1\t2\n3\t4\n", ["tabs", "commas"]),
    "open quote": (HEAD + '1,2\n"3,4\n5,6\n', ["not valid CSV", "quotes"]),
    "giant cell": (HEAD + "1,2\n" + "3" * 200_000 + ",4\n", ["row 3", "CSV"]),
    "long cell": (HEAD + "1,2\n" + "3 " * 50_000 + ",4\n", ["row 3"]),
    "long heading": ("e" + " (" * 50_000 + ",north (m)\n1,2\n3,4\n", ["unknown column"]),
    "not UTF-8": ("east (m),north (m)\n1,2\n3,4\n# Stra\u00dfe".encode("latin-1"), ["UTF-8"]),
    "UTF-16": (HEAD.encode("utf-16"), ["UTF-8"]),
    "zero bytes": (b"\0" * 100, ["column"]),
    "large": (HEAD + "1,2\n" * 250_000, ["larger than 1 MB"]),
    "one place": (HEAD + "1,2\n3,4\n1,2\n", ["elements 1 and 3", "same place"]),
    "element twice": ("element," + HEAD + "1,2,3\n1,4,5\n", ["row 3, column element", "'1'", "1 to 2"]),
    "element zero": ("element," + HEAD + "0,2,3\n1,4,5\n", ["row 2, column element", "'0'"]),
    "element beyond": ("element," + HEAD + "1,2,3\n3,4,5\n", ["row 3, column element", "'3'"]),
    "element in words": ("element," + HEAD + "1,2,3\nsecond,4,5\n", ["row 3, column element", "'second'"]),
    "element in other digits": ("element," + HEAD + "1,2,3\n\u0662,4,5\n", ["row 3, column element"]),
}


@pytest.mark.parametrize("name", BAD)
def test_refuses_a_bad_file_with_its_place(refused, written, name):
    text, words = BAD[name]
    path = written(text)
    sentence = refused(lambda: wb.read_positions(path), *words)
    assert sentence.startswith(f"{path}: ")


def test_rejects_what_is_not_a_file(refused, tmp_path):
    refused(lambda: wb.read_positions(tmp_path), "not a file")
    refused(lambda: wb.read_positions(tmp_path / "none.csv"), "none.csv", "cannot be read")
    refused(lambda: wb.read_positions("a\0b.csv"), "a file name")
    refused(lambda: wb.read_positions(None), "path", "None")
    refused(lambda: wb.read_positions(5), "path", "5")


def test_a_row_is_counted_as_the_editor_counts_lines(refused, written):
    """Blank lines and cells of two lines count: the number is that of the line where the row ends."""
    sentence = refused(lambda: wb.read_positions(written('east (m),north (m)\n\n1,2\n"3\n ",4\n5,x\n')), "column north")
    assert re.search(r"row 6,", sentence)
