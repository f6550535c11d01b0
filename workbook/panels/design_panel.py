"""What all worksheets on a design share: choosing and loading its file, saying what is not saved, and saving it."""

import threading
from abc import ABC, abstractmethod
from pathlib import Path
from typing import Generic, Protocol, Self, TypeVar

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.files import shipped
from workbook.panels import controls
from workbook.plan.store import Changes, Design, load_design

DEMO = "heron-fen-ring.toml"


class Controls(Protocol):
    """Fresh controls over one loaded design."""

    design: Design

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""

    def changes(self) -> Changes:
        """Return what the controls say otherwise than the file."""

    def look_like(self, other: Self) -> None:
        """Take over what is only looked at, not saved, from the controls before."""

    def close(self) -> None:
        """Let go of the controls."""


C = TypeVar("C", bound=Controls)


def design_files(folder: Path) -> tuple[str, ...]:
    """Return the design files at hand: those in the folder, else the bundled demo."""
    here = sorted(path.name for path in folder.glob("*.toml"))
    return tuple(here) or (str(shipped("notebooks") / DEMO),)


class DesignPanel(ABC, Generic[C]):
    """A panel that holds a design as it was loaded, its controls, and the design as they change it.

    Whoever extends it makes the controls, works a design out, and draws what came of it; then calls `start`.
    """

    variation: C
    shown: Design

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        # JupyterLab may hand the messages of two controls to the kernel in two threads at once
        self._one_at_a_time = threading.RLock()
        self.file = controls.choice("file", "design file", "the design files in this folder", design_files(folder))
        self.path = controls.entry("path", "another file", "path of a design file elsewhere", "path/to/design.toml")
        self.save = controls.button("save", "save to the design file", "write the controls' values into the file")
        self.again = controls.button("again", "load again", "read the file anew; what is not saved is dropped")
        self.buttons = widgets.HBox([self.save, self.again], layout=widgets.Layout(flex_flow="row wrap"))
        # until a design is loaded there is nothing to save
        self.save.disabled = self.again.disabled = True
        self.sliders = controls.column()
        self.status, self.where = controls.page("status"), controls.page("where")
        self.file.observe(lambda change: self._pick(change.new), "value")
        self.path.observe(lambda change: self._type(change.new.strip()), "value")
        self.save.on_click(lambda _: self._save())
        self.again.on_click(lambda _: self._again())

    @abstractmethod
    def make_controls(self, design: Design) -> C:
        """Return fresh controls, which call `show` when one is moved."""

    @abstractmethod
    def work_out(self, design: Design) -> None:
        """Hold what comes of a design; a refusal leaves everything as it was."""

    @abstractmethod
    def draw(self) -> None:
        """Show what was worked out."""

    def forget(self) -> None:
        """Let go of what belongs to the design before, when another is loaded."""

    def remark(self, saved: Design) -> str:
        """Return what else to say of a design just saved."""
        return ""

    def start(self) -> None:
        """Show the first design of the folder; if it cannot be read, say so, and show the next that can."""
        if self._load(str(self.folder / self.file.value)):
            return
        refusal, others = self.status.value, (*self.file.options[1:], str(shipped("notebooks") / DEMO))
        self.file.value = None
        any(self._load(str(self.folder / name)) for name in others)
        self.status.value = refusal

    def show(self) -> None:
        """Work out and draw the design as the controls change it; what cannot be is answered in one sentence."""
        with self._one_at_a_time:
            self._show()

    def _show(self) -> None:
        try:
            shown = self.variation.design.changed(self.variation.changes())
            self.work_out(shown)
        except InputError as error:
            self._say(str(error), "refused")
            self.save.disabled = True
            return
        self.shown, self.save.disabled = shown, False
        self._say("", "done")
        text = f"{shown.path}: {'changed here and not saved.' if shown.changes else 'as it is in the file.'}"
        self.where.value = controls.tables(controls.sentence(text, "todo" if shown.changes else "done"))
        self.draw()

    def _pick(self, name: str | None) -> None:
        """Load a design chosen from the list."""
        if name:
            self.path.value = ""
            self._load(str(self.folder / name))

    def _type(self, path: str) -> None:
        """Load a design by its path; the list then shows none, so that any of it can be chosen again."""
        if path and self._load(path):
            self.file.value = None

    def _again(self) -> None:
        self._load(str(self.shown.path))

    def _load(self, path: str) -> bool:
        """Read a design and set the controls to it; a design that cannot be read leaves everything as it is."""
        try:
            design = load_design(path)
            self.work_out(design)
        except InputError as error:
            self._say(str(error), "refused")
            return False
        self.forget()
        self.take(design)
        self._say(f"{path}: loaded.", "done")
        return True

    def take(self, design: Design) -> None:
        """Start from a design with fresh controls."""
        old, self.variation = getattr(self, "variation", None), self.make_controls(design)
        self.sliders.children = self.variation.rows
        if old:
            old.close()
        self.again.disabled = False
        self.show()

    def _save(self) -> None:
        try:
            saved = self.shown.save()
        except InputError as error:
            self._say(str(error), "refused")
            return
        old = self.variation
        self.take(saved)
        self.variation.look_like(old)
        remark = self.remark(saved)
        self._say(f"{saved.path}: saved.{remark}", "todo" if remark else "done")

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind))
