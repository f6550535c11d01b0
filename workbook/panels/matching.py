"""Worksheet *75 to 50 ohms*: two ends, bands and limits in; the usual ways compared, and one of them in detail out."""

import os
import re
from pathlib import Path

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.figures.matching import one_way, overlay, run_picture
from workbook.figures.style import for_screen
from workbook.matching.candidates import DIRECT, QUARTER_WAVE, Candidate, Comparison, compare
from workbook.matching.direct import length_sweep
from workbook.matching.touchstone import save_touchstone
from workbook.panels import controls
from workbook.panels.match_in_design import MatchInDesign
from workbook.panels.matching_controls import FIRST, RUN, MatchingControls
from workbook.panels.picture import Picture
from workbook.tables.matching import (
    band_table,
    limit_table,
    nearest_cables_table,
    parts_table,
    rank_table,
    rejected_table,
    ripple_note,
)
from workbook.units import Quantity

FIRST_FILE = "match.s2p"
_FILE_NAME = re.compile(r"\w[\w .+-]{0,80}")


class MatchingPanel:
    """The worksheet: `view` holds all ways as they are shown; only the button writes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.controls = MatchingControls()
        self.overlay, self.second = Picture(), Picture()
        self.status, self.first = controls.page("status"), controls.page("first")
        self.page, self.detail = controls.page("results"), controls.page("detail")
        self.name = controls.entry("file", "file name", "in the folder of this worksheet; ends in .s2p", FIRST_FILE)
        self.name.value = FIRST_FILE
        self.write = controls.button(
            "write", "write a Touchstone file", "writes the way in detail over the frequencies drawn"
        )
        self.written = controls.page("written")
        self.in_design = MatchInDesign(folder, self.controls, lambda: self.shown if self.view else None, self._show)
        self.view: Comparison | None = None
        self._drawn: tuple[Comparison, int] | None = None
        self.controls.observe(self._show, self._look)
        self.write.on_click(lambda _: self._write())
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel: controls beside the pictures where there is room, the tables below."""
        entries = controls.column(*self.controls.entries)
        entries.layout.width, entries.layout.flex, entries.layout.padding = "auto", "1 1 340px", "0 6px 0 0"
        pictures = controls.column(self.overlay, self.second)
        pictures.layout.width, pictures.layout.flex = "auto", "0 1 490px"
        beside = widgets.Box([entries, pictures], layout=widgets.Layout(flex_flow="row wrap", width="100%"))
        file = (self.name, self.write, self.written)
        return controls.column(
            *self.controls.ticks, self.status, self.first, beside, self.page, self.detail, *self.in_design.rows, *file
        )

    @property
    def place(self) -> int:
        """Place of the way in detail; the first where the chosen one cannot match."""
        assert self.view is not None
        chosen = self.controls.way.value
        return 0 if chosen == FIRST else self.view.place(chosen) or 0

    @property
    def shown(self) -> Candidate:
        """The match in detail."""
        assert self.view is not None
        return self.view.ranked[self.place]

    def _show(self) -> None:
        """Compare again; a refusal is shown, and the last result stays."""
        try:
            self.view = compare(*self.controls.wanted())
        except InputError as error:
            stays = " Below is the last result that could be computed." if self.view else ""
            self.status.value = controls.tables(controls.sentence(f"{error}{stays}", "refused"))
            return
        self.status.value = ""
        view, first = self.view, self.view.matches[0]
        self.first.value = controls.tables(controls.sentence(f"First is {first.name}: {first.reason}.", "done"))
        # the picture that follows the slider first, then what is read
        self._draw_overlay(view)
        left_out = rejected_table(view).html() if view.rejected else ""
        self.page.value = controls.tables(rank_table(view).html(), left_out)
        self._look()

    def _look(self) -> None:
        """Show one way in detail."""
        view = self.view
        if view is None:
            return
        self._draw_overlay(view)
        self.detail.value = self._details(view)
        self._draw_second(view)

    def _draw_overlay(self, view: Comparison) -> None:
        """Draw all ways together, unless they are there already."""
        if self._drawn is None or self._drawn[0] is not view or self._drawn[1] != self.place:
            self.overlay.describes = (
                f"SWR and loss against frequency of {len(view.ranked)} ways from {view.wanted.description}"
            )
            self.overlay.svg = for_screen(overlay(view, self.place).svg())
        self._drawn = view, self.place

    def _draw_second(self, view: Comparison) -> None:
        run = view.wanted.run if self.controls.picture.value == RUN else None
        if run is None:
            self.second.describes = f"SWR at both ends and phase shift of the {self.shown.match.name} against frequency"
            self.second.svg = for_screen(one_way(view, self.place).svg())
        else:
            sweep = length_sweep(*view.wanted.ends, run, view.wanted.edges)
            self.second.describes = f"Loss against length of a run of {sweep.cable}, {view.wanted.description}"
            self.second.svg = for_screen(run_picture(view.wanted.description, sweep).svg())

    def _details(self, view: Comparison) -> str:
        chosen, match = self.controls.way.value, self.shown.match
        parts = []
        if chosen != FIRST and view.place(chosen) is None:
            text = f"The {chosen} cannot match {view.wanted.description}; the first of the list is in detail instead."
            parts.append(controls.sentence(text, "refused"))
        method = self.shown.method
        parts += [parts_table(match).html(), band_table(match, view.wanted.edges).html()]
        parts.append(limit_table(match, view.wanted.limits).html())
        if method is QUARTER_WAVE and (nearest := nearest_cables_table(view)) is not None:
            parts.append(nearest.html())
        if method is DIRECT or self.controls.picture.value == RUN:
            parts.append(controls.sentence(ripple_note(view), "note"))
        return controls.tables(*parts)

    # --- the file -----------------------------------------------------------------------------------------

    def _write(self) -> None:
        try:
            path = self._target()
            assert self.view is not None
            save_touchstone(self.shown.match, Quantity(self.view.hertz, "Hz"), path)
        except InputError as error:
            self.written.value = controls.tables(controls.sentence(str(error), "refused"))
            return
        what = f"the {self.shown.match.name} between two ports of 50 ohm"
        text = f"{path}: written, {what}, {len(self.view.hertz)} frequencies."
        self.written.value = controls.tables(controls.sentence(text, "done"))

    def _target(self) -> Path:
        """Return where to write, or refuse a name that leads elsewhere or to a file that is there."""
        name = self.name.value.strip()
        if self.view is None:
            raise InputError("there is no match to write yet", where="file", remedy="correct what is refused above")
        if not _FILE_NAME.fullmatch(name):
            raise InputError(
                f"{name[:40]!r} is not a plain file name",
                where="file",
                remedy=f"write letters, digits and .s2p, such as {FIRST_FILE}",
            )
        path = self.folder / name
        if os.path.lexists(path):
            raise InputError(f"{name} is there already and stays as it is", where="file", remedy="choose another name")
        return path


def matching() -> widgets.Widget:
    """Return the panel of the worksheet *75 to 50 ohms*; files are written into the working folder."""
    return MatchingPanel(Path.cwd()).widget
