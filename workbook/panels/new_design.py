"""A form that writes a fresh design file from a few choices."""

from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from workbook.design.template import FRESH_RULES, KINDS, USUAL_BANDS, NewDesign, completed, write_design
from workbook.errors import InputError
from workbook.line.catalogue import cable_files
from workbook.panels import controls

UNITS = ("metric", "feet")
_COUNTED = {"ring": "elements", "row": "elements", "two-row": "elements in each row"}
_SIZED = {"ring": "diameter", "square": "side", "row": "spacing", "two-row": "spacing in a row"}


class NewDesignForm:
    """The choices and the button; `written` is called with the path of every file that is written."""

    def __init__(self, folder: Path, written: Callable[[Path], None]) -> None:
        self.folder, self.written = folder, written
        self.name = controls.entry("new-name", "name", "name of the array; the file is called after it", "Long Meadow")
        self.kind = controls.choice("new-kind", "kind", "how the elements stand", KINDS)
        self.units = controls.choice("new-units", "lengths in", "what a bare number is, and the usual lengths", UNITS)
        self.count = controls.entry("new-count", "elements", "how many; left blank, a usual number", "8")
        self.size = controls.entry("new-size", "diameter", "with its unit; left blank, a usual size", "46 m")
        self.width = controls.entry("new-width", "between the rows", "from one row to the other", "46 m")
        self.bands = controls.entry(
            "new-bands", "bands", "separated by commas, with a frequency where it matters", "160 m = 1.83 MHz, 80 m"
        )
        self.bands.value = ", ".join(USUAL_BANDS)
        self.directions = controls.entry(
            "new-directions", "directions", "how many, spread evenly; left blank, a usual number", "8"
        )
        self.azimuth = controls.entry("new-azimuth", "first azimuth (deg)", "where the first direction points", "0")
        self.rule = controls.choice("new-rule", "phasing rule", "how the delays are found", FRESH_RULES)
        self.rule.value = NewDesign("").rule
        self.cable = controls.choice("new-cable", "cable", "of delay lines and element runs", sorted(cable_files()))
        self.cable.value = NewDesign("").cable
        self.write = controls.button("new-write", "write the design file", "writes a new file beside the worksheets")
        self.answer = controls.page("new-answer")
        for control in (self.kind, self.units):
            control.observe(lambda _: self._fit(), "value")
        self.write.on_click(lambda _: self._write())
        self._fit()

    @property
    def widget(self) -> widgets.Widget:
        """The whole form."""
        size = (self.name, self.kind, self.units, self.count, self.size, self.width)
        work = (self.bands, self.directions, self.azimuth, self.rule, self.cable)
        return controls.column(*size, *work, self.write, self.answer)

    def _fit(self) -> None:
        """Show the fields that the kind of array has, under their names and with the usual values."""
        kind = self.kind.value
        usual = completed(NewDesign("", kind=kind, feet=self.units.value == "feet"))
        self.count.placeholder, self.directions.placeholder = str(usual.count), str(usual.directions)
        self.size.placeholder, self.width.placeholder = usual.size, usual.width
        self.count.description = _COUNTED.get(kind, "elements")
        self.count.layout.display = None if kind in _COUNTED else "none"
        self.size.description = _SIZED[kind]
        self.width.layout.display = None if kind == "two-row" else "none"

    def _choices(self) -> NewDesign:
        kind, text = self.kind.value, self.name.value.strip()
        if not text:
            raise InputError("is blank", where="name", remedy="give the array a name, such as Long Meadow")
        return NewDesign(
            text,
            kind=kind,
            count=_number(self.count.value, "elements") if kind in _COUNTED else None,
            size=self.size.value,
            width=self.width.value if kind == "two-row" else "",
            bands=tuple(entry for entry in self.bands.value.split(",") if entry.strip()),
            directions=_number(self.directions.value, "directions"),
            first_azimuth=self.azimuth.value.strip() or "0",
            rule=self.rule.value,
            cable=self.cable.value,
            feet=self.units.value == "feet",
        )

    def _write(self) -> None:
        try:
            choices = self._choices()
            path = write_design(self.folder / f"{file_name(choices.name)}.toml", choices)
        except InputError as error:
            self.answer.value = controls.tables(controls.sentence(str(error), "refused"))
            return
        self.answer.value = controls.tables(controls.sentence(f"{path}: written, and chosen above.", "done"))
        self.written(path)


def file_name(name: str) -> str:
    """Return the name of a design as a file name without spaces and signs."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "design"


def _number(text: str, where: str) -> int | None:
    """Return a whole number that was typed, None where the field is blank."""
    plain = text.strip()
    if plain and not plain.isdecimal():
        raise InputError(f"got '{plain}'", where=where, wanted="a whole number")
    return int(plain) if plain else None
