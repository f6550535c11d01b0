"""What all worksheets on a design share: choosing and loading its file, saying what is not saved, and saving it."""

import threading
from abc import ABC, abstractmethod
from collections.abc import Callable
from pathlib import Path
from typing import Generic, Protocol, Self, TypeVar

import ipywidgets as widgets

from workbook.design.store import Changes
from workbook.errors import InputError
from workbook.files import demo
from workbook.panels import controls
from workbook.panels.skeleton import Group
from workbook.panels.units_switch import UnitsSwitch
from workbook.plan.designs import Design, load_design
from workbook.worksheets import design_files, names_of_designs, remember_design


class Controls(Protocol):
    """Fresh controls over one loaded design."""

    design: Design

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings, in the order of the work."""

    def changes(self) -> Changes:
        """Return what the controls say otherwise than the file."""

    def copy_view(self, other: Self) -> None:
        """Show what the previous controls showed: what is only viewed, not saved."""

    def close(self) -> None:
        """Let go of the controls."""


C = TypeVar("C", bound=Controls)


class DesignPanel(ABC, Generic[C]):
    """A panel that holds a design as it was loaded, its controls, and the design as they change it.

    Whoever extends it makes the controls, works a design out, and draws what came of it; then calls `start`.
    """

    design_controls: C
    shown: Design

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        # JupyterLab may hand the messages of two controls to the kernel in two threads at once
        self._one_at_a_time = threading.RLock()
        self._taking = False
        self._listed: str | None = None
        self.file = controls.choice("file", "design file", "the design files in this folder", design_files(folder))
        self.path = controls.entry("path", "another file", "path of a design file elsewhere", "path/to/design.toml")
        self.units = UnitsSwitch(folder)
        self.save = controls.button("save", "save to the design file", "write the controls' values into the file")
        self.again = controls.button("again", "reload", "read the file again; what is not saved is dropped")
        self.buttons = widgets.HBox([self.save, self.again], layout=widgets.Layout(flex_flow="row wrap"))
        # until a design is loaded there is nothing to save
        self.save.disabled = self.again.disabled = True
        self.sliders = controls.column()
        self.status, self.where = controls.page("status"), controls.page("where")
        self.file.observe(lambda change: self._pick(change.new), "value")
        self.path.observe(lambda change: self._type(change.new.strip()), "value")
        self.save.on_click(lambda _: self._save())
        self.again.on_click(lambda _: self._again())
        self.units.observe(self._other_units)

    @property
    def design_group(self) -> Group:
        """The design file with what is said of it, for the skeleton."""
        return Group("Design", (self.file, self.path, self.units.control, self.where, self.buttons))

    @abstractmethod
    def make_controls(self, design: Design) -> C:
        """Return fresh controls, which call `show`, or `look` where only something else is viewed."""

    @abstractmethod
    def work_out(self, design: Design, moved: bool) -> None:
        """Hold what comes of a design, which a moved control made or a file; a refusal leaves everything as it was."""

    @abstractmethod
    def draw(self) -> None:
        """Show what was worked out."""

    def draw_view(self) -> None:
        """Show what goes with the controls that only choose what is viewed."""
        self.draw()

    def place_controls(self) -> None:
        """Put fresh controls in their place."""
        old = self.sliders.children
        self.sliders.children = tuple(group.box() for group in self.design_controls.groups)
        for box in old:
            controls.close(box)

    def ready(self) -> bool:
        """Return whether the design that is shown is worked out; not while a search for it runs."""
        return True

    def show_design(self) -> None:
        """Show what is known of the design before it is worked out, such as which directions it has."""

    def mark_old(self) -> None:
        """Say that what is shown is from before, since what the controls say is refused."""

    def forget(self) -> None:
        """Let go of what belongs to the design before, when another is loaded."""

    def remark(self, design: Design) -> str:
        """Return what else to say of a design that is shown, such as 'it makes no plan yet'."""
        return ""

    def standing(self, shown: Design) -> tuple[str, str]:
        """Return how the design that is shown stands to its file, and which kind of sentence that is.

        The lab asks before a worksheet with a sentence of kind `todo` here is left.
        """
        return ("changed here and not saved.", "todo") if shown.is_changed else ("as it is in the file.", "done")

    def as_changed(self) -> Design:
        """Return the design with what its reader changed here."""
        return self.shown

    def start(self) -> None:
        """Show the design chosen last, else the first of the folder; if it cannot be read, the next."""
        names = names_of_designs(self.folder, self.file.options)
        if self._load(str(self.folder / names[0])):
            # the list shows none where the design lies elsewhere
            self._listed = self.file.value = names[0] if names[0] in self.file.options else None
            return
        refusal = self.status.value
        self.file.value = None
        any(self._load(str(self.folder / name)) for name in (*names[1:], str(demo())))
        self.status.value = refusal

    def show(self) -> None:
        """Work out and draw the design as the controls change it; what cannot be is answered in one sentence."""
        with self._one_at_a_time:
            try:
                self._work_out(self.design_controls, moved=True)
            except InputError as error:
                self.refuse(error)
            else:
                self.present_moved()

    def refuse(self, error: InputError) -> None:
        """Answer what the controls say in one sentence; what is shown stays, marked as old."""
        self.say(str(error), "refused")
        self.save.disabled = True
        self.mark_old()

    def present_moved(self) -> None:
        """Show what a moved control made of the design."""
        self.say("", "done")
        self._present()
        if remark := self.remark(self.shown):
            self.say(f"As {'changed here' if self.shown.is_changed else 'it is in the file'}, {remark}", "todo")

    def look(self) -> None:
        """Show what is worked out already as it is now viewed."""
        with self._one_at_a_time:
            if not self._taking:
                self.show_design()
                if self.ready():
                    self.draw_view()

    def edit(self, change: Callable[[Design], Design], done: str) -> bool:
        """Change what no slider holds, such as a direction; return whether it could be, not saved yet."""
        with self._one_at_a_time:
            try:
                self._take(change(self.shown), saved=True)
            except InputError as error:
                self.say(str(error), "refused")
                return False
            self.say(f"{done}; it is not saved yet.", "todo")
            return True

    def _other_units(self) -> None:
        """Show the design as it is changed here under fresh controls in the other system."""
        with self._one_at_a_time:
            if hasattr(self, "shown"):
                old, fresh = self.design_controls, self.make_controls(self.as_changed())
                self.design_controls = fresh
                self._view_as_before(old)
                self.place_controls()
                old.close()
                self.show()

    def _view_as_before(self, old: C) -> None:
        self._taking = True
        self.design_controls.copy_view(old)
        self._taking = False

    def _work_out(self, held: C, moved: bool) -> None:
        shown = held.design.changed(held.changes()).in_units(self.units.value)
        self.work_out(shown, moved)
        self.shown = shown

    def _present(self) -> None:
        shown, self.save.disabled = self.shown, not self.ready()
        text, kind = self.standing(shown)
        self.where.value = controls.tables(controls.sentence(f"{shown.path}: {text}", kind))
        self.show_design()
        if self.ready():
            self.draw()
        else:
            self.mark_old()

    def _pick(self, name: str | None) -> None:
        """Load a design chosen from the list; where it cannot be shown, the list goes back to what is."""
        if not name or name == self._listed:
            return
        if self._load(str(self.folder / name), self._still()):
            self._listed, self.path.value = name, ""
            remember_design(self.folder, self.folder / name)
        else:
            self.file.value = self._listed

    def _still(self) -> str:
        return f" {self.shown.path} is still the design that is shown." if hasattr(self, "shown") else ""

    def _type(self, path: str) -> None:
        """Load a design by its path; the list then shows none, so that any of it can be chosen again."""
        if path and self._load(path):
            self._listed = self.file.value = None
            remember_design(self.folder, Path(path))

    def _again(self) -> None:
        self._load(str(self.shown.path))

    def _load(self, path: str, otherwise: str = "") -> bool:
        """Read a design and set the controls to it; one that cannot be shown leaves everything as it is."""
        with self._one_at_a_time:
            try:
                self._take(load_design(path), saved=False)
            except InputError as error:
                self.say(f"{error}{otherwise}", "refused")
                return False
            self._report(f"{path}: loaded.")
            return True

    def _take(self, design: Design, saved: bool) -> None:
        """Start from a design with fresh controls; one saved or edited just now is viewed as before."""
        self.units.follow(design.content.units)
        old, fresh = getattr(self, "design_controls", None), self.make_controls(design)
        try:
            self._work_out(fresh, moved=saved)
        except InputError:
            fresh.close()
            raise
        self.design_controls = fresh
        if saved and old:
            self._view_as_before(old)
        else:
            self.forget()
        self.place_controls()
        if old:
            old.close()
        self.again.disabled = False
        self._present()

    def _save(self) -> None:
        with self._one_at_a_time:
            try:
                saved = self.shown.save()
                self._take(saved, saved=True)
            except InputError as error:
                self.say(str(error), "refused")
                return
            self._report(f"{saved.path}: saved.")

    def _report(self, done: str) -> None:
        """Say what was done, and what else is to be said of the design."""
        remark = self.remark(self.shown)
        self.say(f"{done} But {remark}" if remark else done, "todo" if remark else "done")

    def say(self, text: str, kind: str) -> None:
        """Put one sentence into the status line."""
        self.status.value = controls.tables(controls.sentence(text, kind))
