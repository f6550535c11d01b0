"""The answer line above the pictures of a worksheet: the few figures that a builder decides by."""

import html
from dataclasses import dataclass

from workbook.errors import InputError
from workbook.glossary import explained

LEAST_FIGURES, MOST_FIGURES = 3, 6
"""How many figures an answer line has: more are not read."""


@dataclass(frozen=True)
class Figure:
    """One figure of an answer line: what it is, its value as written, and its unit."""

    label: str
    value: str
    unit: str = ""

    def text(self) -> str:
        """Return the figure in one line."""
        return f"{self.label} {self.value} {self.unit}".rstrip()

    def html(self) -> str:
        """Return the figure as a term with its value; a term of the glossary explains itself when pointed at."""
        term = explained(self.label)
        title = f' title="{html.escape(f"{term.name}: {term.meaning}")}"' if term else ""
        unit = f" <small>{html.escape(self.unit)}</small>" if self.unit else ""
        return f"<div{title}><dt>{html.escape(self.label)}</dt><dd>{html.escape(self.value)}{unit}</dd></div>"


@dataclass(frozen=True)
class AnswerLine:
    """What the figures are of, and three to six of them.

    Examples
    --------
    >>> figures = Figure("RDF", "7.32", "dB"), Figure("front-to-back", "7.3", "dB"), Figure("delay lines", "4")
    >>> AnswerLine("north, 160 m", figures).text()
    'north, 160 m: RDF 7.32 dB, front-to-back 7.3 dB, delay lines 4'
    """

    title: str
    figures: tuple[Figure, ...]

    def __post_init__(self) -> None:
        if not LEAST_FIGURES <= len(self.figures) <= MOST_FIGURES:
            raise InputError(
                f"got {len(self.figures)} figures", where="figures", wanted=f"{LEAST_FIGURES} to {MOST_FIGURES}"
            )

    def text(self) -> str:
        """Return the line as plain text."""
        return f"{self.title}: {', '.join(figure.text() for figure in self.figures)}"

    def html(self) -> str:
        """Return the line as HTML, all text escaped."""
        figures = "".join(figure.html() for figure in self.figures)
        return f'<p class="answer-title">{html.escape(self.title)}</p><dl class="answer-line">{figures}</dl>'
