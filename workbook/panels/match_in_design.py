"""A match put into a design file, or taken from one; only a button writes."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from workbook.design.store import Changes
from workbook.errors import InputError
from workbook.files import demo
from workbook.matching.candidates import TRANSFORMER, Candidate
from workbook.matching.match import Match
from workbook.matching.parts import Windings, described
from workbook.panels import controls
from workbook.panels.matching_controls import MatchingControls
from workbook.plan.designs import load_design
from workbook.worksheets import design_files, names_of_designs, remember_design


class MatchInDesign:
    """A list of design files with two buttons; `shown` returns the match in detail, or None while there is none."""

    def __init__(
        self, folder: Path, asked: MatchingControls, shown: Callable[[], Candidate | None], changed: Callable[[], None]
    ) -> None:
        self.folder, self.asked, self.shown, self._changed = folder, asked, shown, changed
        names = names_of_designs(folder, design_files(folder))
        self.file = controls.choice("design", "design file", "the design files at hand", tuple(dict.fromkeys(names)))
        self.file.observe(lambda change: remember_design(folder, folder / change.new), "value")
        self.put = controls.button("put", "put into the design file", "writes the match in detail under [match]")
        self.take = controls.button("take", "take from the design file", "sets bands, ends, limits and cables above")
        self.said = controls.page("in-design")
        self._warned = ""
        self.put.on_click(lambda _: self._answer(self._put))
        self.take.on_click(lambda _: self._answer(self._take))

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The list, the buttons and what they answer."""
        buttons = widgets.HBox([self.put, self.take], layout=widgets.Layout(flex_flow="row wrap"))
        return (self.file, buttons, self.said)

    def _answer(self, act: Callable[[], str]) -> None:
        try:
            said, kind = act(), "done"
        except InputError as error:
            said, kind = str(error), "refused"
        self.said.value = controls.tables(controls.sentence(said, kind))

    def _put(self) -> str:
        candidate = self.shown()
        if candidate is None:
            raise InputError("there is no match to write yet", where="match", remedy="correct what is refused above")
        path = self.folder / self.file.value
        if path == demo():
            raise InputError(
                "this is the demo itself", where=str(path), remedy="put a design of your own beside this worksheet"
            )
        design = load_design(path).changed(self._changes(candidate.match))
        planned = design.plan().match
        assert planned is not None
        shown = described(candidate.match.parts, design.content.units)
        on_its_bands = f"on the file's own bands ({', '.join(design.content.bands)}), {planned.way}: {planned.parts}"
        if planned.parts != shown and on_its_bands != self._warned:
            self._warned = on_its_bands
            raise InputError(
                f"not saved yet; {shown} is for the bands and cables above, but {on_its_bands}",
                where=str(path),
                remedy="press again to save that, or take bands and cables from the design file first",
            )
        saved, self._warned = design.save(), ""
        return f"{saved.path}: saved; {on_its_bands}."

    def _changes(self, match: Match) -> Changes:
        """Return the keys of the file that hold the match and what it was chosen by."""
        if match.source_ohms.imag or match.load_ohms.imag:
            raise InputError("a design file holds resistances only", where="match", remedy="set both reactances to 0")
        swr, decibel = self.asked.limits
        table = {
            "way": match.name,
            "source": f"{match.source_ohms.real:.9g} ohm",
            "load": f"{match.load_ohms.real:.9g} ohm",
            "cables": list(self.asked.cable_names),
            "most_swr": swr,
            "most_loss": f"{decibel:g} dB",
            **_windings(match),
        }
        return {("match", key): value for key, value in table.items()}

    def _take(self) -> str:
        design = load_design(self.folder / self.file.value)
        match, content = design.content.match, design.content
        if match is None:
            raise InputError(
                "there is nothing under [match]", where=str(design.path), remedy="put a match into it first"
            )
        own = sorted({content.cables.delay_line, content.cables.element_run})
        self.asked.take(match, content.bands, match.cables or own)
        self._changed()
        said = f"{design.path}: bands, ends, limits, cables and core are those of the file."
        shown = self.shown()
        if match.turns is None or shown is None or shown.method is not TRANSFORMER:
            return said
        if _windings(shown.match)["turns"] == match.turns:
            return said
        return (
            f"{said} The file has {match.turns[0]} to {match.turns[1]} turns; shown are the best with so many at most."
        )


def _windings(match: Match) -> dict[str, Any]:
    """Return the keys of turns and core; None takes them out of the file."""
    wound = match.parts[0] if match.parts else None
    if not isinstance(wound, Windings):
        return {"turns": None, "core": None}
    core = {
        "inductance": f"{wound.henry_per_turn2 * 1e9:.9g} nH",
        "coupling": wound.coupling,
        "core_q": wound.core_q,
        "winding_q": wound.winding_q,
    }
    return {"turns": [int(wound.source_turns), int(wound.load_turns)], "core": core}
