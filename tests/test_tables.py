"""One table as text, HTML and CSV."""

import csv
import io
from html.parser import HTMLParser

import pytest

from workbook.tables.table import Table

TABLE = Table("Lines", ("line", "length m"), (("A", "7.912"), ("BB", "-12.5"), ("C", "")))


def test_text_lines_up_with_numbers_to_the_right():
    title, *lines = TABLE.text().splitlines()
    assert title == "Lines"
    assert lines[0].split() == ["line", "length", "m"]
    assert lines[1].endswith("7.912")
    assert len(lines[0]) == len(lines[1]) == len(lines[2])
    assert lines[1].index("A") == lines[2].index("BB") == lines[3].index("C")
    assert not any(line.endswith(" ") for line in lines)


def test_a_table_without_rows_has_its_headings():
    empty = Table("None", ("line", "length m"), ())
    assert "length m" in empty.text()
    assert "<th" in empty.html()
    assert empty.csv() == "line,length m\r\n"


class Cells(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags, self.headings, self.text = [], [], ""

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.headings += [value for key, value in attrs if key == "data-heading"]

    def handle_data(self, data):
        self.text += data + "|"


NASTY = '<b onclick="x">&"\'</b> (y)'


def test_everything_in_html_is_text():
    cells = Cells()
    cells.feed(Table(NASTY, (NASTY, "b"), ((NASTY, "1"),)).html())
    assert "b" not in cells.tags
    assert cells.text.count("<b onclick") == 3
    assert cells.headings == [NASTY, "b"]


def test_every_cell_has_its_heading():
    cells = Cells()
    cells.feed(TABLE.html())
    assert cells.headings == ["line", "length m"] * 3
    assert cells.tags.count("tr") == 4
    assert TABLE._repr_html_() == TABLE.html()


def test_what_stands_in_brackets_goes_below():
    assert "18.200 m<br>(59 ft 8 1/2 in)" in Table("", ("a",), (("18.200 m (59 ft 8 1/2 in)",),)).html()


def test_csv_reads_back():
    rows = (("with, comma", '18" of "it"'), ("two\nlines", "ü"))
    table = Table("not in the file", ("a", "b"), rows)
    assert tuple(map(tuple, csv.reader(io.StringIO(table.csv(), newline="")))) == (("a", "b"), *rows)
    assert "not in the file" not in table.csv()


def test_a_table_cannot_be_changed():
    with pytest.raises(AttributeError):
        TABLE.title = "Other"
