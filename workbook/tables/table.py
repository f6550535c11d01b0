"""One small table that prints as text, HTML or CSV, so that every list is written once."""

import csv
import html
import io
import itertools
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from workbook.glossary import explained

LONG = 40
"""A cell with more letters than this is a sentence, which wraps."""


def gathered(rows: Iterable[tuple[str, ...]], names: Sequence[int]) -> tuple[tuple[str, ...], ...]:
    """Return rows with those made one that are equal but for some columns, whose cells are then listed.

    Examples
    --------
    >>> gathered([("80 m", "north", "3.1"), ("80 m", "east", "3.1"), ("80 m", "south", "2.9")], (1,))
    (('80 m', 'north, east', '3.1'), ('80 m', 'south', '2.9'))
    """
    alike: dict[tuple[str, ...], list[tuple[str, ...]]] = {}
    for row in rows:
        key = tuple(cell for column, cell in enumerate(row) if column not in names)
        alike.setdefault(key, []).append(row)
    return tuple(
        tuple(
            ", ".join(dict.fromkeys(row[column] for row in same)) if column in names else same[0][column]
            for column in range(len(same[0]))
        )
        for same in alike.values()
    )


@dataclass(frozen=True)
class Table:
    """A title, column headings with their units, and rows of text."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def text(self, width: int = 80) -> str:
        """Return the table for a terminal, columns lined up, numbers to the right; what is too wide wraps.

        Parameters
        ----------
        width
            Columns of the terminal; a table of words too long for it is wider.
        """
        widths = self._widths(width)
        right = [all(row[i][:1].isdigit() or row[i][:1] in "-+" for row in self.rows) for i in range(len(widths))]
        lines = []
        for cells in (self.headings, *self.rows):
            wrapped = (textwrap.wrap(cell, w, break_on_hyphens=False) for cell, w in zip(cells, widths, strict=True))
            for parts in itertools.zip_longest(*wrapped, fillvalue=""):
                padded = (c.rjust(w) if r else c.ljust(w) for c, w, r in zip(parts, widths, right, strict=True))
                lines.append("  ".join(padded).rstrip())
        return "\n".join((*textwrap.wrap(self.title, width), *lines))

    def _widths(self, width: int) -> list[int]:
        """Return the widths of the columns: headings wrap first, then the widest cells, never within a word."""
        columns = list(zip(self.headings, *self.rows, strict=True))
        widths, words = [max(map(len, column)) for column in columns], [_longest_word(column) for column in columns]
        room = width - 2 * (len(widths) - 1)
        if sum(widths) > room:
            heads = [_longest_word(column[:1]) for column in columns]
            widths = [max(head, *map(len, column[1:]), 1) for head, column in zip(heads, columns, strict=True)]
        while sum(widths) > room and any(w > least for w, least in zip(widths, words, strict=True)):
            place = max((n for n, least in enumerate(words) if widths[n] > least), key=lambda n: widths[n])
            widths[place] -= 1
        return widths

    def without_empty_columns(self) -> "Table":
        """Return the table without the columns in which no cell says anything.

        Examples
        --------
        >>> Table("", ("stake", "magnetic"), (("1", "-"), ("2", "-"))).without_empty_columns().headings
        ('stake',)
        """
        kept = [n for n in range(len(self.headings)) if any(row[n] not in ("", "-") for row in self.rows)]
        headings, *rows = (tuple(line[n] for n in kept) for line in (self.headings, *self.rows))
        return replace(self, headings=headings, rows=tuple(rows))

    def html(self) -> str:
        """Return the table as HTML, all text escaped; what stands in brackets goes on a line of its own.

        Every heading that the glossary knows explains itself when pointed at, and every cell carries its heading, so
        that a narrow page can show a row as a list.
        """
        head = "".join(map(heading_html, self.headings))
        body = "".join(f"<tr>{self._cells(row)}</tr>" for row in self.rows)
        caption = f"<caption>{html.escape(self.title)}</caption>"
        return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def _cells(self, row: tuple[str, ...]) -> str:
        return "".join(_cell(heading, cell) for heading, cell in zip(self.headings, row, strict=True))

    def csv(self) -> str:
        """Return the table as CSV (RFC 4180) with one heading line."""
        stream = io.StringIO()
        csv.writer(stream).writerows((self.headings, *self.rows))
        return stream.getvalue()

    def _repr_html_(self) -> str:
        return self.html()


def heading_html(heading: str) -> str:
    """Return a column heading as HTML, with what the glossary says of it as its title."""
    term = explained(heading)
    title = f' title="{html.escape(f"{term.name}: {term.meaning}")}"' if term else ""
    return f'<th scope="col"{title}>{html.escape(heading)}</th>'


def _longest_word(cells: Sequence[str]) -> int:
    return max((len(word) for cell in cells for word in cell.split()), default=1)


def _cell(heading: str, cell: str) -> str:
    text = html.escape(cell)
    # a sentence wraps by itself; of a length the second way of writing goes on a line of its own
    kind, text = (' class="text"', text) if len(cell) > LONG else ("", text.replace(" (", "<br>("))
    return f'<td{kind} data-heading="{html.escape(heading)}"><span>{text}</span></td>'
