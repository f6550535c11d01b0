"""One small table that prints as text, HTML or CSV, so that every list is written once."""

import csv
import html
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

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

    def text(self) -> str:
        """Return the table for a terminal, columns lined up, numbers to the right."""
        lines = (self.headings, *self.rows)
        widths = [max(len(line[i]) for line in lines) for i in range(len(self.headings))]
        right = [all(row[i][:1].isdigit() or row[i][:1] in "-+" for row in self.rows) for i in range(len(widths))]
        padded = (
            "  ".join(c.rjust(w) if r else c.ljust(w) for c, w, r in zip(line, widths, right, strict=True))
            for line in lines
        )
        return "\n".join((self.title, *(line.rstrip() for line in padded)))

    def html(self) -> str:
        """Return the table as HTML, all text escaped; what stands in brackets goes on a line of its own.

        Every cell carries its heading, so that a narrow page can show a row as a list.
        """
        head = "".join(f'<th scope="col">{html.escape(heading)}</th>' for heading in self.headings)
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


def _cell(heading: str, cell: str) -> str:
    text = html.escape(cell)
    # a sentence wraps by itself; of a length the second way of writing goes on a line of its own
    kind, text = (' class="text"', text) if len(cell) > LONG else ("", text.replace(" (", "<br>("))
    return f'<td{kind} data-heading="{html.escape(heading)}"><span>{text}</span></td>'
