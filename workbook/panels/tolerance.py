"""Worksheet *tolerance*: how exactly the array is built in; how its figures spread, and what to hold, out."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.figures.style import for_screen
from workbook.figures.tolerance import distribution_picture, envelope_picture, ranking_picture
from workbook.panels import controls
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.panels.tolerance_controls import ToleranceControls
from workbook.plan.designs import Design
from workbook.plan.element_lines import element_lines
from workbook.plan.tolerances import Kept, possible, run_plan, widest, widest_alone
from workbook.tables.hold import widest_table
from workbook.tables.tolerance import NAMES, ranking, sensitivity_table
from workbook.tables.trials import bands_table, spread_sentence, tolerance_answer
from workbook.tolerance.kinds import Tolerance
from workbook.tolerance.result import ToleranceResult
from workbook.tolerance.run import Progress

DEEP = 30.0
"""A null deeper than this [dB] need not be kept."""
QUICK, SHARE_TRIALS = 2048, 8192
"""Trials that follow a slider, and trials behind each bar of the ranking after a longer run."""
RUNS = (("10,000", 10_000), ("100,000", 100_000), ("1,000,000", 1_000_000))
EXACT, MOVE = "every tolerance is zero, so that the array is exact", "move a slider"
SPREAD, CAUSES, HOLD = "Judge the spread", "Find what spreads it", "Choose what to hold"
"""What is done with each fold of tables."""
ENVELOPE, SHARES = "between which levels the pattern lies", "what spreads the figure"
ASSUMED = "The design file has no [tolerance]: what a careful builder holds is shown until you move a slider."


@dataclass(eq=False)
class Job:
    """A computation in a thread of its own, which the stop button ends and another move of a control discards."""

    stopping: threading.Event = field(default_factory=threading.Event)
    thread: threading.Thread | None = None


class TolerancePanel(PlanPanel[ToleranceControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown, its plan and the trials."""

    parts = ("delay_lines", "directions", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.results: dict[str, ToleranceResult] = {}
        self.direction = ""
        self.held: tuple[Tolerance, ...] = ()
        self._found = ""
        self.job: Job | None = None
        self.trials = controls.choice("trials", "trials", "how many arrays to try", RUNS)
        self.run = controls.button("run", "run trials", "try so many arrays, all figures on every band")
        self.find = controls.button("find", "find the widest", "the widest tolerances that keep the figure")
        self.stop = controls.button("stop", "stop", "stop, and keep what is done")
        self.stop.disabled = True
        self.bar = widgets.FloatProgress(min=0, max=1, layout=widgets.Layout(width="auto", display="none"))
        self.bar.add_class("progress")
        self.left = controls.page("left")
        self.spread, self.envelope, self.shares = Picture(), Picture(), Picture()
        self.picture = controls.choice("picture", "picture", "what the second picture shows", (ENVELOPE, SHARES))
        self.answer, self.page = Answer(), Folds(SPREAD, CAUSES, HOLD)
        self.picture.observe(lambda _: self._choose_picture(), "value")
        self.run.on_click(lambda _: self._begin(self._run))
        self.find.on_click(lambda _: self._begin(self._find))
        self.stop.on_click(lambda _: self._stop())
        self._choose_picture()
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        buttons = widgets.HBox((self.run, self.find, self.stop), layout=widgets.Layout(flex_flow="row wrap"))
        runs = Group("Trials and widest tolerances", (self.trials, buttons, self.bar, self.left))
        return worksheet(
            (self.design_group.box(), self.sliders, runs.box()),
            (self.old, self.answer.page),
            (self.spread, widgets.VBox((self.picture, self.envelope, self.shares))),
            self.page,
            self.status,
        )

    def _choose_picture(self) -> None:
        """Show the second picture that is chosen; both are drawn, so that none waits."""
        for name, picture in ((ENVELOPE, self.envelope), (SHARES, self.shares)):
            picture.layout.display = None if self.picture.value == name else "none"

    def make_controls(self, design: Design) -> ToleranceControls:
        """Return fresh controls."""
        return ToleranceControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def draw(self) -> None:
        """Show a few trials at once, for what the controls say now; what ran before is of something else."""
        self._discard()
        made = self.design_controls
        figures = tuple(dict.fromkeys(("rdf", "front_to_back", made.figure.value)))
        try:
            if not self._tolerances():
                raise InputError(EXACT, remedy=MOVE)
            self.direction = made.direction.value
            self.results = {
                band.name: run_plan(self.plan, (self.direction, band.name), self._tolerances(), QUICK, figures)
                for band in self.plan.bands
            }
            self._show_results()
        except InputError as error:
            self.results = {}
            self.page.clear()
            self.page.show(SPREAD, controls.sentence(str(error), "refused"))
            self.answer.page.value = self.spread.svg = self.envelope.svg = self.shares.svg = ""
            self.run.disabled = self.find.disabled = True

    def draw_view(self) -> None:
        """Show the trials there are where they hold what is shown now; else run new ones."""
        made = self.design_controls
        found = self.results.get(made.band.value)
        if found and made.direction.value == self.direction and made.figure.value in found.figures:
            if not self.job:
                self._let_go()
            self._show_results()
        else:
            self.draw()

    def _tolerances(self) -> tuple[Tolerance, ...]:
        return possible(self.design_controls.tolerances, element_lines(self.plan, self.design_controls.direction.value))

    def _show_results(self) -> None:
        """Show the trials there are, in the order of how soon each part is ready."""
        made, plan = self.design_controls, self.plan
        direction, band, figure = made.direction.value, made.band.value, made.figure.value
        coverage, result = made.coverage.value / 100, self.results[band]
        self.mark_current()
        self.run.disabled = self.find.disabled = self.job is not None
        said = spread_sentence(result, figure, coverage, band)
        state = f"{direction} on {band}, {result.count:,} trials"
        self.spread.svg = for_screen(distribution_picture(result, figure, coverage, plan.name, state).svg())
        self.spread.describes = said
        shares = result.sensitivities(figure, min(result.count, SHARE_TRIALS))
        at = f"{direction}, {band} at {plan.band(band).frequency_hz / 1e6:.7g} MHz"
        self.answer.show(tolerance_answer(result, shares, coverage, at, self.held, plan.units))
        self.shares.svg = for_screen(ranking_picture(shares, figure, state).svg())
        self.shares.describes = ranking(shares, figure)
        self.envelope.svg = for_screen(envelope_picture(plan, result, direction, band, coverage).svg())
        self.envelope.describes = f"Between which levels the pattern lies, {state}"
        self.page.show(
            SPREAD,
            *(
                controls.sentence(text, kind)
                for text, kind in ((said, "done"), (ASSUMED if made.assumed else "", "note"))
            ),
            bands_table(self.results, direction, coverage).html(),
            *(controls.sentence(text, "warning") for text in plan.warnings),
        )
        causes = sensitivity_table(shares, figure, plan.units).html()
        self.page.show(CAUSES, controls.sentence(ranking(shares, figure), "done"), causes)
        self._show_hold()

    def _show_hold(self, found: str | None = None) -> None:
        """Say what the widest tolerances are to keep, and what was found; None for what was found before."""
        self._found = self._found if found is None else found
        goal = self._keeping()
        say = controls.sentence(f"The button finds the widest tolerances that keep {goal}." if goal else "", "note")
        self.page.show(HOLD, say, self._found)

    def _let_go(self) -> None:
        """Drop the widest tolerances, which are of something else."""
        self.held, self._found = (), ""

    # --- what takes longer ----------------------------------------------------------------------------------

    def _begin(self, work: Callable[[Job], None]) -> None:
        """Start a computation in a thread, so that the stop button is answered meanwhile."""
        with self._one_at_a_time:
            if self.job or not self.results:
                return
            self.job = job = Job()
            job.thread = threading.Thread(target=self._working, args=(work, job), daemon=True)
            self.run.disabled = self.find.disabled = True
            self.stop.disabled, self.bar.value, self.bar.layout.display = False, 0.0, None
            job.thread.start()

    def _working(self, work: Callable[[Job], None], job: Job) -> None:
        try:
            work(job)
        except InputError as error:
            with self._one_at_a_time:
                if self.job is job:
                    self._show_hold(controls.sentence(str(error), "refused"))
                    self.page.open(HOLD)
        finally:
            with self._one_at_a_time:
                if self.job is job:
                    self._finish()

    def _finish(self) -> None:
        self.job, self.stop.disabled, self.bar.layout.display, self.left.value = None, True, "none", ""
        self.run.disabled = self.find.disabled = not self.results

    def _stop(self) -> None:
        if job := self.job:
            job.stopping.set()

    def _discard(self) -> None:
        """Let go of a computation that is of what was before."""
        self._let_go()
        if job := self.job:
            job.stopping.set()
            self._finish()

    def _report_progress(self, job: Job, share: float, text: str) -> bool:
        """Show how far a computation is; return whether to go on."""
        if self.job is job:
            self.bar.value, self.left.value = share, controls.tables(controls.sentence(text, "note"))
        return not job.stopping.is_set()

    def _run(self, job: Job) -> None:
        """Try many arrays on every band, the one shown first; what is stopped keeps what it has."""
        made, plan, tolerances = self.design_controls, self.plan, self._tolerances()
        direction, trials, shown = made.direction.value, self.trials.value, made.band.value
        bands = sorted((band.name for band in plan.bands), key=lambda name: name != shown)
        for number, band in enumerate(bands):

            def report(progress: Progress, number: int = number, band: str = band) -> bool:
                share = (number + progress.done / progress.total) / len(bands)
                return self._report_progress(job, share, f"{direction} on {band}: {progress}")

            found = run_plan(plan, (direction, band), tolerances, trials, tuple(NAMES), report)
            with self._one_at_a_time:
                if self.job is not job:
                    return
                self.results = {**self.results, band: found}
                self._show_results()
            if job.stopping.is_set():
                return

    def _goal(self) -> Kept | None:
        """Return what the widest tolerances are to keep; None of an angle."""
        made = self.design_controls
        figure, band = made.figure.value, made.band.value
        if figure == "pointing":
            return None
        # a null too deep to build is kept where it is deep enough
        exact = min(self.results[band].nominal(figure), DEEP)
        return Kept(self.direction, band, figure, exact - made.lost.value)

    def _keeping(self) -> str:
        """Say what the widest tolerances are to keep."""
        goal = self._goal()
        if goal is None:
            return ""
        share = f"{self.design_controls.coverage.value:g} % of arrays"
        return f"{NAMES[goal.figure]} above {goal.least_db:.2f} dB in {share}, {goal.direction} on {goal.band}"

    def _find(self, job: Job) -> None:
        """Find the widest tolerances that keep the figure shown: all together, then each with the others exact."""
        made, plan, tolerances = self.design_controls, self.plan, self._tolerances()
        confidence, goal, keeping = made.coverage.value / 100, self._goal(), self._keeping()
        if goal is None:
            raise InputError("an angle is not lost in dB", where="figure", remedy="show another figure")
        began, steps = time.monotonic(), len(tolerances) + 1

        def going(done: int) -> bool:
            each = (time.monotonic() - began) / done if done else 0.0
            left = f", about {each * (steps - done):.0f} s left" if done else ""
            return self._report_progress(job, done / steps, f"{done} of {steps} searched{left}")

        going(0)
        together, alone = widest(plan, goal, tolerances, confidence), list[Tolerance | None]()
        for number, one in enumerate(tolerances, 1):
            if not going(number):
                return
            alone.append(widest_alone(plan, goal, one, confidence))
        with self._one_at_a_time:
            if self.job is job:
                self.held, self._found = together, widest_table(tolerances, together, alone, keeping, plan.units).html()
                self._show_results()
                self.page.open(HOLD)


def tolerance(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *tolerance*, on the design files of a folder."""
    return TolerancePanel(Path(folder)).widget
