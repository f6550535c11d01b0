"""The switch *metric | feet* that all worksheets share: it is remembered for the folder, as the chosen design is."""

import contextlib
from collections.abc import Callable
from pathlib import Path

from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.plan.designs import load_design
from workbook.worksheets import design_files, names_of_designs, remember_units, remembered_units

SYSTEMS = (LengthUnits.METRIC, LengthUnits.FEET)


class UnitsSwitch:
    """Shows one system alone; until one was chosen in the folder it is that of the design, else metric."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.control = controls.choice("units", "lengths in", "the system that lengths are shown in", SYSTEMS)
        self._chosen, self._following = remembered_units(folder), False
        if self._chosen in SYSTEMS:
            self.control.value = LengthUnits(self._chosen)
        else:
            with contextlib.suppress(InputError):  # a design that cannot be read is refused where it is chosen
                self.follow(load_design(folder / names_of_designs(folder, design_files(folder))[0]).content.units)

    @property
    def value(self) -> LengthUnits:
        """The system shown."""
        return LengthUnits(self.control.value)

    def follow(self, units: LengthUnits) -> None:
        """Show the system of a design, metric where it has both, unless another was chosen here."""
        if self._chosen not in SYSTEMS:
            self._following = True
            self.control.value = units if units in SYSTEMS else LengthUnits.METRIC
            self._following = False

    def observe(self, changed: Callable[[], None]) -> None:
        """Call when the reader chooses the other system, which is remembered."""

        def choose(_: object) -> None:
            if self._following:
                return
            self._chosen = str(self.control.value)
            remember_units(self._folder, self._chosen)
            changed()

        self.control.observe(choose, "value")
