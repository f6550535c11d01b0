"""What all worksheets on a plan share: moved controls are answered at once, and a search follows when they rest."""

import threading
import time
from abc import abstractmethod
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import ClassVar, Generic

from workbook.errors import InputError
from workbook.panels import controls
from workbook.panels.design_panel import C, DesignPanel
from workbook.panels.skeleton import OLD, PREVIOUS
from workbook.plan.designs import Design
from workbook.plan.feeds import Progress
from workbook.plan.stages import Stages

REST_SECONDS = 0.3
"""How long the controls must rest before a search begins."""
SAID_AFTER_SECONDS = 0.1
"""A search that takes longer says how far it is."""
THREAD = "search for fewest delays"

PROVISIONAL = (
    "Provisional: rows on the lines of the last search, with delays adjusted. The full search runs when the controls "
    "rest."
)

SEARCHING = "Figures of the last plan; the search for the present settings is running."


class SearchStopped(Exception):
    """A search was needed where none can be waited for, or its answer is no longer wanted."""


class BackgroundSearch:
    """Does the latest piece of work in a thread, one at a time, once nothing newer has come for a while."""

    def __init__(self) -> None:
        self._one_at_a_time = threading.Lock()
        self._stopped = threading.Event()

    def stop(self) -> None:
        """Drop the work that waits or runs."""
        self._stopped.set()

    def start(self, work: Callable[[threading.Event], None]) -> None:
        """Do a piece of work later, in place of any before; it is given the event that says it is dropped."""
        self.stop()
        self._stopped = threading.Event()
        threading.Thread(target=self._run, args=(work, self._stopped), name=THREAD, daemon=True).start()

    def _run(self, work: Callable[[threading.Event], None], stopped: threading.Event) -> None:
        if stopped.wait(REST_SECONDS):
            return
        with self._one_at_a_time:
            if not stopped.is_set():
                work(stopped)


class PlanPanel(DesignPanel[C], Generic[C]):
    """A panel that holds the plan of its design.

    A design that is loaded waits for its search. A moved control or an edited direction never does: what the last
    search found is continued, marked as provisional, or stays in sight in grey, until a thread has made the search.
    """

    parts: ClassVar[tuple[str, ...]]
    """The stages of the plan that are computed before anything is shown."""
    plan: Stages

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.old = controls.page("old")
        self._waiting = False
        self._search = BackgroundSearch()

    @abstractmethod
    def has_results(self) -> bool:
        """Return whether anything is shown yet."""

    def work_out(self, design: Design, moved: bool) -> None:
        """Compute what is shown; where a moved control requires a search, and nothing is continued, wait for it."""
        if not moved:
            self.plan = design.stages(self._reporting(design)).computed(*self.parts)
        else:
            before = self.plan.searched if hasattr(self, "plan") else ()
            try:
                self.plan = design.stages(_stop, before).computed(*self.parts)
            except SearchStopped:
                self._waiting = True
                return
        self._waiting = False

    def ready(self) -> bool:
        """Return whether the plan is that of the design which is shown, and not of the one before."""
        return not self._waiting

    def show(self) -> None:
        """Show what the controls say at once as far as it needs no search, and search when they rest."""
        with self._one_at_a_time:
            self._search.stop()
            try:
                self._work_out(self.design_controls, moved=True)
            except InputError as error:
                self.refuse(error)
                return
            self.present_moved()
            if self._waiting:
                self.say("The search begins when the controls rest.", "todo")
            self._search_later()

    def _search_later(self) -> None:
        """Search when the controls rest, if what they say needs it."""
        if self._waiting or (not self.save.disabled and self.plan.provisional):
            held = self.design_controls
            self._search.start(partial(self._search_and_show, held.design.changed(held.changes())))

    def mark_old(self, why: str = "") -> None:
        """Say above pictures and tables that they are old, and why if it is not said elsewhere."""
        shown = self.has_results()
        note = (SEARCHING if self._waiting else PREVIOUS) if shown else ""
        self.old.value = controls.tables(controls.sentence(why, "refused"), controls.sentence(note, "todo"))
        if shown:
            self.old.add_class(OLD)

    def mark_current(self, note: str = "") -> None:
        """Say above pictures and tables whether they are provisional, and what else to know; not after a refusal."""
        if not self.save.disabled:
            self.old.remove_class(OLD)
            said = (PROVISIONAL if self.plan.provisional else "", note)
            self.old.value = controls.tables(*(controls.sentence(text, "todo") for text in said)) if any(said) else ""

    def _take(self, design: Design, saved: bool) -> None:
        super()._take(design, saved)
        self._search.stop()
        self._search_later()

    def _search_and_show(self, design: Design, stopped: threading.Event) -> None:
        """Search for a design and show its plan, unless a control is moved meanwhile."""
        refusal = None
        try:
            design.stages(self._reporting(design, stopped)).search()
        except SearchStopped:
            return
        except InputError as error:
            refusal = error
        with self._one_at_a_time:
            if stopped.is_set():
                return
            if refusal:
                self.refuse(refusal)
            else:
                # the search's answer is remembered now
                super().show()

    def _reporting(self, design: Design, stopped: threading.Event | None = None) -> Progress:
        """Return what says how far a search is, and ends one whose answer is no longer wanted."""
        began, count = time.monotonic(), len(design.content.directions)

        def report(number: int, name: str, share: float) -> None:
            seconds = time.monotonic() - began
            with self._one_at_a_time:
                if stopped and stopped.is_set():
                    raise SearchStopped
                if seconds > SAID_AFTER_SECONDS:
                    self.say(
                        f"Searching every assignment of rows to {design.content.phasing.written('lines')} delay lines, "
                        f"{name} ({number + 1} of {count}): {seconds:.1f} s so far.",
                        "todo",
                    )

        return report


def _stop(number: int, name: str, share: float) -> None:
    raise SearchStopped
