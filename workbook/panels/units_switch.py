"""The switch *metric | feet* that all worksheets share: it is remembered for the folder, as the chosen design is."""

from collections.abc import Callable
from pathlib import Path

from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.worksheets import remember_units, remembered_units

SYSTEMS = (LengthUnits.METRIC, LengthUnits.FEET)


class UnitsSwitch:
    """Shows one system alone; until one was chosen in the folder it is that of the design, else metric."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.control = controls.choice("units", "lengths in", "the system that lengths are shown in", SYSTEMS)
        self._chosen, self._following = remembered_units(folder), False
        if self._chosen in SYSTEMS:
            self.control.value = LengthUnits(self._chosen)

    @property
    def value(self) -> LengthUnits:
        """The system shown."""
        return LengthUnits(self.control.value)

    def follow(self, units: LengthUnits) -> None:
        """Show the system of a design, unless another was chosen here."""
        if self._chosen not in SYSTEMS and units in SYSTEMS:
            self._following = True
            self.control.value = units
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
