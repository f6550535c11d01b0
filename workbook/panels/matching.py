"""Worksheet *75 to 50 ohms*: two ends, bands and limits in; the usual ways compared, and one of them in detail out."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.figures.matching import one_way, overlay, run_picture
from workbook.figures.style import for_screen
from workbook.matching.candidates import DIRECT, QUARTER_WAVE, TRANSFORMER, Candidate, Comparison, compare
from workbook.matching.cores import ASSUMED, MODEL, limiting_part
from workbook.matching.direct import length_sweep
from workbook.matching.ranking import standing
from workbook.matching.touchstone import save_touchstone
from workbook.panels import controls
from workbook.panels.match_in_design import MatchInDesign
from workbook.panels.matching_controls import FIRST, RUN, MatchingControls
from workbook.panels.picture import Picture
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.panels.units_switch import UnitsSwitch
from workbook.tables.matching import (
    band_table,
    limit_table,
    limiting_sentence,
    match_answer,
    nearest_cables_table,
    parts_table,
    rank_table,
    rejected_table,
    ripple_note,
)
from workbook.units import Quantity

COMPARE, BUILD, CHECK = "Compare the methods", "Build the method in detail", "Check it on the bands"
"""What is done with each fold of tables."""
FIRST_FILE = "match.s2p"
_FILE_NAME = re.compile(r"\w[\w .+-]{0,80}")


class MatchingPanel:
    """The worksheet: `view` holds all ways as they are shown; only the button writes."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.units = folder, UnitsSwitch(folder)
        self.controls = MatchingControls(self.units.value)
        self.overlay, self.second = Picture(), Picture()
        for picture in (self.overlay, self.second):
            picture.add_class("tall-picture")
        self.status, self.first, self.answer = controls.page("status"), controls.page("first"), Answer()
        self.page = Folds(COMPARE, BUILD, CHECK)
        self.name = controls.entry("file", "file name", "in the folder of this worksheet; ends in .s2p", FIRST_FILE)
        self.name.value = FIRST_FILE
        self.write = controls.button(
            "write", "write a Touchstone file", "writes the match in detail over the frequencies drawn"
        )
        self.written = controls.page("written")
        self.in_design = MatchInDesign(folder, self.controls, lambda: self.shown if self.view else None, self._show)
        self.view: Comparison | None = None
        self._drawn: tuple[Comparison, int] | None = None
        self.controls.observe(self._show, self._look)
        self.units.observe(self._other_units)
        self.write.on_click(lambda _: self._write())
        self._show()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        view, *others = self.controls.groups
        groups = (
            Group(view.title, (*view.rows, self.units.control)),
            *others,
            Group("Into the design file, or from it", self.in_design.rows),
            Group("For other programs", (self.name, self.write, self.written)),
        )
        boxes = [group.box() for group in groups]
        return worksheet(boxes, (self.answer.page, self.first), (self.overlay, self.second), self.page, self.status)

    def _other_units(self) -> None:
        self.controls.use(self.units.value)
        self._show()

    @property
    def place(self) -> int:
        """Place of the match in detail; the first where the chosen one cannot match."""
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
        said = [controls.sentence(f"First is {first.name}: {first.reason}.", "done")]
        if not standing(first, view.wanted.edges, view.wanted.limits).is_within:
            said.append(controls.sentence(limiting_sentence(limiting_part(view.wanted), view.wanted), "todo"))
        self.first.value = controls.tables(*said)
        # the picture that follows the slider first, then what is read
        self._draw_overlay(view)
        left_out = (rejected_table(view).html(),) if view.rejected else ()
        self.page.show(COMPARE, rank_table(view, self.units.value).html(), *left_out)
        self._look()

    def _look(self) -> None:
        """Show one match in detail."""
        view = self.view
        if view is None:
            return
        self._draw_overlay(view)
        self.answer.show(match_answer(view, self.place))
        self.page.show(BUILD, *self._parts(view))
        self.page.show(CHECK, *self._checks(view))
        self._draw_second(view)

    def _draw_overlay(self, view: Comparison) -> None:
        """Draw all ways together, unless they are there already."""
        if self._drawn is None or self._drawn[0] is not view or self._drawn[1] != self.place:
            self.overlay.describes = (
                f"SWR and loss against frequency of {len(view.ranked)} matches from {view.wanted.description}"
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
            self.second.svg = for_screen(run_picture(view.wanted.description, sweep, self.units.value).svg())

    def _parts(self, view: Comparison) -> Iterator[str]:
        chosen = self.controls.way.value
        if chosen != FIRST and view.place(chosen) is None:
            text = f"The {chosen} cannot match {view.wanted.description}; the first of the list is in detail instead."
            yield controls.sentence(text, "refused")
        yield parts_table(self.shown.match, self.units.value).html()
        if self.shown.method is QUARTER_WAVE and (nearest := nearest_cables_table(view)) is not None:
            yield nearest.html()
        if self.shown.method is TRANSFORMER:
            yield controls.sentence(f"{MODEL[0].upper()}{MODEL[1:]}; {ASSUMED}.", "note")

    def _checks(self, view: Comparison) -> Iterator[str]:
        match, wanted = self.shown.match, view.wanted
        yield from (band_table(match, wanted.edges).html(), limit_table(match, wanted.limits).html())
        if self.shown.method is DIRECT or self.controls.picture.value == RUN:
            yield controls.sentence(ripple_note(view), "note")

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
