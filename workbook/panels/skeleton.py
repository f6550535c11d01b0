"""The one face of all worksheets: controls in named groups, the answer above the pictures, folds of tables below.

Columns, sticky pictures and the order on a phone are in the lab's `page.css`, by the classes that are set here.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import ipywidgets as widgets

from workbook.panels import controls
from workbook.tables.answer import AnswerLine


@dataclass(frozen=True)
class Group:
    """Controls that belong together under a heading, one row each."""

    title: str
    rows: Sequence[widgets.Widget]

    def box(self) -> widgets.VBox:
        """Return the heading and the rows."""
        heading = widgets.HTML(f"<h3>{self.title}</h3>")
        heading.add_class("worksheet-heading")
        made = widgets.VBox((heading, *self.rows))
        made.add_class("worksheet-group")
        return made


class Answer:
    """The line of figures above the pictures, and above it what makes them old or provisional."""

    def __init__(self) -> None:
        self.page = controls.page("answer")

    @property
    def value(self) -> str:
        """What is shown, as HTML."""
        return str(self.page.value)

    def show(self, line: AnswerLine) -> None:
        """Show a line in place of the one before."""
        self.page.value = controls.tables(line.html())


class Folds:
    """Pages of tables, each named by what is done with it; one without content is hidden, the first with it is open."""

    def __init__(self, *titles: str) -> None:
        self.pages: Mapping[str, widgets.HTML] = {title: widgets.HTML() for title in titles}
        self._folds = {title: self._fold(title, page) for title, page in self.pages.items()}
        self._said = dict.fromkeys(titles, "")
        self._first = titles[0]
        self._folds[self._first].selected_index = 0
        self.widget = widgets.VBox(tuple(self._folds.values()))
        self.widget.add_class("results")
        self.widget.add_class("worksheet-folds")

    @staticmethod
    def _fold(title: str, page: widgets.HTML) -> widgets.Accordion:
        made = widgets.Accordion((page,), titles=(title,), selected_index=None)
        page.add_class("fold-" + "".join(c if c.isalnum() else "-" for c in title.lower()))
        made.layout.display = "none"
        return made

    @property
    def value(self) -> str:
        """All that the pages say, as HTML; blank where they say nothing."""
        said = "".join(self._said.values())
        return controls.tables(said) if said else ""

    def clear(self) -> None:
        """Empty all pages."""
        for title in self.pages:
            self.show(title)

    def open(self, title: str) -> None:
        """Open a fold whose page was asked for."""
        self._folds[title].selected_index = 0

    def when_opened(self, title: str, action: Callable[[], None]) -> None:
        """Call whenever a fold is opened, such as to compute what only its page shows."""
        self._folds[title].observe(lambda change: action() if change.new == 0 else None, "selected_index")

    def show(self, title: str, *parts: str) -> None:
        """Put tables and sentences into the page of this title, in place of what was there; without any hide it."""
        self._said[title] = said = "".join(parts)
        self.pages[title].value = controls.tables(said) if said else ""
        self._folds[title].layout.display = None if said else "none"
        first = next((title for title, said in self._said.items() if said), self._first)
        if first != self._first:
            self._folds[self._first].selected_index, self._folds[first].selected_index = None, 0
            self._first = first


PREVIOUS = "The pictures and tables below are still those of the previous settings."
OLD = "old-figures"
"""Class of the sentence that makes the lab show figures, pictures and tables in grey."""


class OldMark:
    """A sentence above the answer while what is shown is from before."""

    def __init__(self) -> None:
        self.page = controls.page("old")

    def mark(self, text: str) -> None:
        """Say that what is shown is old, and show it in grey; without text nothing is shown yet."""
        self.page.value = controls.tables(controls.sentence(text, "todo")) if text else ""
        if text:
            self.page.add_class(OLD)

    def clear(self) -> None:
        """Say nothing: what is shown is of now."""
        self.page.value = ""
        self.page.remove_class(OLD)


def worksheet(
    groups: Sequence[widgets.Widget],
    answer: Sequence[widgets.Widget],
    pictures: Sequence[widgets.Widget],
    folds: Folds,
    status: widgets.Widget | None = None,
) -> widgets.Widget:
    """Return a whole worksheet.

    Parameters
    ----------
    groups
        Boxes of groups of controls, or columns that hold such boxes: the left column.
    answer
        The answer line and what is said of it, such as that it is provisional: above the pictures.
    pictures
        Pictures, each with its own choice of what it shows, if any: in sight while any control is moved.
    folds
        Tables below both columns.
    status
        Where controls are refused: it stays in sight at the lower end of the left column.
    """
    left = widgets.VBox(tuple(groups) if status is None else (*groups, status))
    left.add_class("worksheet-controls")
    if status is not None:
        status.add_class("worksheet-status")
    heading, drawn = widgets.VBox(tuple(answer)), widgets.Box(tuple(pictures))
    heading.add_class("worksheet-answer")
    drawn.add_class("worksheet-pictures")
    drawn.add_class(f"pictures-{len(pictures)}")
    right = widgets.VBox((heading, drawn))
    right.add_class("worksheet-view")
    top = widgets.Box((left, right))
    top.add_class("worksheet-columns")
    whole = widgets.VBox((top, folds.widget))
    whole.add_class("worksheet-sheet")
    return whole
