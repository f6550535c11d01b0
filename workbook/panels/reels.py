"""Worksheet *reels and cutting plan*: reels in stock in; which piece to cut from which reel, in which order, out."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Self

import ipywidgets as widgets

from workbook.design.schema import ONE_REEL, ReelTable
from workbook.errors import InputError, shown
from workbook.figures.reels import reels_picture
from workbook.figures.style import for_screen
from workbook.files import write_all
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.key_controls import Key, KeySliders
from workbook.panels.linked_slider import Scale
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.plan.designs import Design
from workbook.tables.buy import to_cut
from workbook.tables.reels import cutting_sentences, cutting_table, needed_table, reel_table, reels_answer

CUT, REELS, HAVE = "Cut in this order", "See each reel", "Know what is needed"
"""What is done with each fold of tables."""
CUTTING = (
    Key("cutting", "kerf", Scale("kerf", "lost in each cut", "length that each cut wastes", 0, 50, 1, "zero"), "mm"),
    Key("cutting", "trim", Scale("trim", "first cut longer by", "for trimming", 0, 50, 1, "zero"), "cm"),
    Key("cutting", "time_limit", Scale("time-limit", "search at most", "then the best plan found", 1, 60, 1), "s"),
)
FILE = "reels.csv"


def example(units: LengthUnits) -> str:
    """Return reels as they may be typed."""
    one, other = (units.joined(*either) for either in (("305 m", "1000 ft"), ("152 m", "500 ft")))
    return f"R1, {one}\nR2, {other}, 0.832"


def stock_text(reels: list[ReelTable], cable: str, units: LengthUnits) -> str:
    """Write the reels of a cable, one a line: label, length, and the velocity factor where one was measured."""
    rows = []
    for reel in reels:
        if reel.cable == cable:
            measured = "" if reel.velocity_factor is None else f", {reel.velocity_factor:g}"
            rows.append(f"{reel.label}, {units.entered(reel.length)}{measured}")
    return "\n".join(rows)


def stock_tables(text: str, cable: str, units: LengthUnits) -> list[dict[str, Any]]:
    """Read reels as they are typed, as tables of the design file; a number alone is in the system shown.

    Raises
    ------
    InputError
        When a line is not two or three parts, or a velocity factor is not a number.
    """
    found = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        parts = [part.strip() for part in line.split(",")]
        if not 2 <= len(parts) <= 3:
            remedy = f"write label, length, as in {example(units).splitlines()[0]}"
            raise InputError(f"got {shown(line)}", where="reels", remedy=remedy)
        table: dict[str, Any] = {
            "label": parts[0],
            "cable": cable,
            "length": controls.with_default_unit(parts[1], units.scale[0]),
        }
        if len(parts) == 3:
            try:
                table["velocity_factor"] = float(parts[2])
            except ValueError:
                remedy = "write it like 0.832, or leave it out"
                raise InputError(f"the velocity factor is {shown(parts[2])}", where="reels", remedy=remedy) from None
        found.append(table)
    return found


def _as_filed(reel: ReelTable) -> dict[str, Any]:
    """Return a reel as a table of the design file."""
    table = {"label": reel.label, "cable": reel.cable, "length": f"{reel.length:.12g~P}"}
    return table if reel.velocity_factor is None else table | {"velocity_factor": reel.velocity_factor}


class ReelControls:
    """Fresh controls over one design: the reels of one cable, typed one a line, and how they are cut."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design, self._changed, self._linking, self._units = design, changed, False, units
        content = design.content
        names = dict.fromkeys((content.cables.delay_line, content.cables.element_run))
        if content.has_receiver_run:
            names[content.cables.receiver_run] = None
        self.cable = controls.choice("cable", "cable", "reels of this cable are typed below", tuple(names))
        self._filed = {name: stock_text(content.stock, name, units) for name in names}
        self._typed: dict[str, str] = {}
        tip = "one a line: label, length, and the velocity factor where you measured it"
        self.reels = controls.text_area("reels", "reels in stock", tip, example(units), 6)
        self.reels.value = self._filed[self.cable.value]
        self.together = controls.choice("one-reel", "from one reel", "what should have one velocity factor", ONE_REEL)
        self.together.value = content.cutting.one_reel
        self.cutting = KeySliders(CUTTING, content, changed, units)
        self.cable.observe(lambda _: self._choose(), "value")
        self.reels.observe(lambda _: self._type(), "value")
        self.together.observe(lambda _: changed(), "value")

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (
            Group("Stock", (self.cable, self.reels)),
            Group("Cutting", (self.together, *self.cutting.rows)),
        )

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file."""
        content, found = self.design.content, dict[tuple[str, ...], Any](self.cutting.changes())
        typed = {name: text for name, text in self._typed.items() if text != self._filed[name]}
        if typed:
            kept = [reel for reel in content.stock if reel.cable not in typed]
            stock = [_as_filed(reel) for reel in kept]
            stock += [table for name, text in typed.items() for table in stock_tables(text, name, self._units)]
            found["stock",] = stock or None
        if self.together.value != content.cutting.one_reel:
            found["cutting", "one_reel"] = self.together.value
        return found

    def copy_view(self, other: Self) -> None:
        """Show the cable that the controls before showed."""
        if other.cable.value in self.cable.options:
            self.cable.value = other.cable.value

    def close(self) -> None:
        """Let go of the controls."""
        self.cutting.close()
        for control in (self.cable, self.reels, self.together):
            control.close()

    def _choose(self) -> None:
        name = self.cable.value
        self._linking = True
        self.reels.value = self._typed.get(name, self._filed[name])
        self._linking = False

    def _type(self) -> None:
        if not self._linking:
            self._typed[self.cable.value] = self.reels.value
            self._changed()


class ReelsPanel(PlanPanel[ReelControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "match", "reels")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.picture, self.answer, self.page = Picture(), Answer(), Folds(CUT, REELS, HAVE)
        self.write = controls.button("write-cuts", f"write {FILE}", "the cuts in order, as a spreadsheet")
        self.write.on_click(lambda _: self._write())
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (self.design_group.box(), self.sliders, Group("Sheets", (self.write,)).box())
        return worksheet(groups, (self.old, self.answer.page), (self.picture,), self.page, self.status)

    def make_controls(self, design: Design) -> ReelControls:
        """Return fresh controls."""
        return ReelControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.answer.value)

    def draw(self) -> None:
        """Show what is cut from which reel."""
        plan, found, units = self.plan, self.plan.reels, self.units.value
        missing = [one.cable for one in plan.totals if one.cable not in {each.cable for each in found}]
        note = f"No reel of {', '.join(missing)} in stock: type what you have into reels in stock." if missing else ""
        self.mark_current(note)
        cut = any(one.reels for one in found)
        self.write.disabled = not cut
        self.answer.show(reels_answer(found, plan.totals, plan.name, units))
        said = cutting_sentences(found, units)
        # without a reel there is nothing to draw; the note above says what to type
        self.picture.svg = for_screen(reels_picture(found, plan.name, units).svg()) if cut else ""
        self.picture.describes = " ".join(said) or note
        kinds = ("refused" if one.problem else "done" for one in found)
        sentences = (controls.sentence(text, kind) for text, kind in zip(said, kinds, strict=True))
        self.page.show(CUT, *sentences, cutting_table(found, units).html() if cut else "")
        self.page.show(REELS, reel_table(found, units).html() if cut else "")
        self.page.show(HAVE, needed_table(to_cut(plan), units).html())

    def _write(self) -> None:
        path = self.folder / FILE
        try:
            write_all({path: cutting_table(self.plan.reels, self.units.value).csv()})
        except OSError as error:
            self.say(f"{path}: cannot be written ({error.strerror}).", "refused")
        else:
            self.say(f"{path}: written.", "done")


def reels_and_cutting_plan(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *reels and cutting plan*, on the design files of a folder."""
    return ReelsPanel(Path(folder)).widget
