"""A design file that can be planned."""

from dataclasses import dataclass, field
from pathlib import Path

from workbook.checks import instance
from workbook.design.searches import SearchMemory
from workbook.design.store import MEMORY, StoredDesign
from workbook.plan.feeds import Progress, Searches
from workbook.plan.plan import Plan
from workbook.plan.stages import Stages, stages


@dataclass(frozen=True)
class Design(StoredDesign):
    """A design: its content, the file it was read from, and its plan.

    Answers of searches are kept for the designs it is changed into.
    """

    memory: SearchMemory = field(default_factory=SearchMemory, repr=False, compare=False)

    def stages(self, progress: Progress | None = None, before: Searches = ()) -> Stages:
        """Return the plan in stages, each computed when it is first read.

        Parameters
        ----------
        progress
            Receives how far a search for fewest delays is: the place of the direction (from 0), its name, and the
            share of its search that is done. An error that it raises ends the search.
        before
            `searched` of the stages of a design that differs a little: where the search has not been made yet, its
            answers are continued instead, and the plan is `provisional`.

        Returns
        -------
        Stages
            Attributes as of `Plan`; reading one raises `InputError` where the design cannot be built.

        Raises
        ------
        InputError
            When `before` is not the answers of other stages.
        """
        instance(before, tuple, "before", "give the attribute searched of other stages")
        source = str(self.path or MEMORY)
        return stages(self.content, self.sha256, self.memory, progress, source, before)

    def plan(self, progress: Progress | None = None) -> Plan:
        """Return the plan: delays, lines to cut, runs, totals and warnings.

        Parameters
        ----------
        progress
            As for `stages`.

        Returns
        -------
        Plan
            Plain numbers, their units in the names.

        Raises
        ------
        InputError
            When the design cannot be built, naming file, key and remedy.
        """
        return self.stages(progress).plan()


def load_design(path: Path | str) -> Design:
    """Return a design read from its TOML file.

    Parameters
    ----------
    path
        Name of the file.

    Returns
    -------
    Design
        The design, its content checked.

    Raises
    ------
    InputError
        When the file cannot be read or holds no valid design; one sentence naming the file, the key and the remedy.
    """
    return Design.load(path)
