"""A design file that can be planned."""

from pathlib import Path

from workbook import __version__
from workbook.design.store import MEMORY, StoredDesign
from workbook.errors import InputError
from workbook.plan.build import build_plan
from workbook.plan.results import Plan


class Design(StoredDesign):
    """A design: its content, the file it was read from, and its plan."""

    def plan(self) -> Plan:
        """Return the plan: delays, lines to cut, runs, totals and warnings.

        Raises
        ------
        InputError
            When the design cannot be built, naming file, key and remedy.
        """
        try:
            return build_plan(self.content, __version__, self.sha256)
        except InputError as error:
            raise error.within(str(self.path or MEMORY)) from None


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
