"""An amount in one row: a slider, a field that takes it exactly and in any unit, and what it is, each following."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Self

import ipywidgets as widgets

from workbook.checks import not_negative, positive, real
from workbook.errors import InputError
from workbook.formatting import FOOT, LengthUnits
from workbook.panels import controls
from workbook.units import Quantity

LONGEST_TAPE_M = 1e9
METRES = MappingProxyType({"m": 1.0, "cm": 0.01, "mm": 0.001})
"""Units of lengths; those below the metre are of small ones, which are shown in inches where others are in feet."""
QUARTER_FOOT, SIXTEENTH = FOOT / 4, FOOT / 12 / 16
"""The steps of a slid length that is shown in feet, and of a small one [m]."""
_FROM = {"above zero": positive, "zero": not_negative, "any": real}


@dataclass(frozen=True)
class Scale:
    """What a slider is made of: CSS class, label, tip, usual ends, and step; `least` is what may be typed:
    "above zero", "zero" and more, or "any" number.
    """

    name: str
    label: str
    tip: str
    low: float
    high: float
    step: float
    least: str = "above zero"

    def slider(self, value: float) -> widgets.FloatSlider:
        """Return a fresh slider placed at a value, with longer ends where it needs them."""
        # steps are counted from the lower end, so it has to be a whole number of them, and cannot be zero
        least = 1 if self.least == "above zero" else 0 if self.least == "zero" else -math.inf
        lowest = min(self.low, 2 * value if value < self.low < 0 else value)
        low = max(least, math.floor(lowest / self.step)) * self.step
        # what is far beyond all use is refused elsewhere, and gets no slider either
        high = math.ceil(max(self.high, min(2 * value, 100 * self.high)))
        made = controls.slider(self.name, self.label, self.tip, round(low, 9), high, self.step)
        controls.place(made, value)
        return made


class LinkedSlider:
    """The slider, the field and the readout of one amount, and the value that all three say.

    A length is read out in `units`, and a number alone is taken in them: a small one, held in centimetres or
    millimetres, in inches where others are in feet. Any other amount is in its own unit. Where the first value is a
    usual one, `in_feet` is the usual one in that system, in the same unit; it follows the units until it is moved.
    """

    def __init__(
        self,
        scale: Scale,
        unit: str,
        value: float,
        changed: Callable[[], None],
        units: LengthUnits = LengthUnits.METRIC,
        in_feet: float | None = None,
    ) -> None:
        self.scale, self.unit, self.units = scale, unit, units
        self._usual = value, value if in_feet is None else in_feet
        self.value = self._usual[self._in_feet]
        self._changed, self._linking, self._understood = changed, False, True
        self._typed = ""
        tip = f"{scale.tip}; any unit may be typed"
        self.exact = controls.entry(f"{scale.name}-exact", f"{scale.label}, exact", tip, "")
        self.readout = widgets.HTML()
        self.readout.add_class(f"{scale.name}-readout")
        self.readout.add_class("amount-readout")
        self.exact.add_class("amount-field")
        self.row = widgets.Box((self._fresh(), self.exact, self.readout))
        self.row.add_class("amount-row")
        self._write()
        self.exact.observe(lambda change: self._type(change.new), "value")

    @property
    def slider(self) -> widgets.FloatSlider:
        """The slider as it is now: a longer one takes its place where a value needs it."""
        return self.row.children[0]

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The one row."""
        return (self.row,)

    @property
    def text(self) -> str:
        """The amount as it goes into a file: as typed, else as it was slid."""
        return self._read(self._typed) if self._typed else self._written()

    def use(self, units: LengthUnits) -> None:
        """Show a length in another system; a number that was typed alone would be another length in it."""
        was_usual, self.units = self.is_usual, units
        if self._understood:
            self._typed = ""
        if was_usual:
            self.set(self._usual[self._in_feet])
        else:
            self._write()

    @property
    def is_usual(self) -> bool:
        """Whether it stands at its first value, and nothing was typed."""
        return not self._typed and self.value == self._usual[self._in_feet]

    def stand_as(self, other: Self) -> None:
        """Stand where one of the same amount stood; one that was not moved stays at the usual value of this system."""
        if not other.is_usual:
            self.set(other.value)

    def matches(self, value: float) -> bool:
        """Return whether the controls stand at this value; an entry that cannot be read matches none."""
        return self._understood and math.isclose(value, self.value, rel_tol=1e-7, abs_tol=1e-6)

    def refusal(self) -> InputError | None:
        """Return why what is typed cannot be read; None where it can."""
        try:
            self._check()
        except InputError as error:
            return error
        return None

    def set(self, value: float) -> None:
        """Set all three without calling `changed`."""
        self.value, self._understood, self._typed = value, True, ""
        self._link()

    @property
    def quantity(self) -> Quantity:
        """The amount as it goes into a computation, or a refusal in the units shown."""
        return Quantity(self._check(), self.unit)

    @property
    def _alone(self) -> str:
        """The unit of a number alone."""
        return ("ft" if self.unit == "m" else "in") if self._in_feet else self.unit

    @property
    def _in_feet(self) -> bool:
        return self.unit in METRES and self.units is LengthUnits.FEET

    @property
    def _step(self) -> float:
        """The step of what is slid where it is shown in feet, in the amount's own unit."""
        return (QUARTER_FOOT if self.unit == "m" else SIXTEENTH) / METRES[self.unit]

    def _fresh(self) -> widgets.FloatSlider:
        made = self.scale.slider(self.value)
        made.readout = False
        made.add_class("amount-slider")
        made.observe(lambda change: self._move(change.new), "value")
        return made

    def _read(self, text: str) -> str:
        return controls.with_default_unit(text, self._alone)

    def _written(self) -> str:
        """Return the value for a file: in feet exactly what is shown, in metres what is shown to the millimetre."""
        if self._in_feet and math.isclose(steps := self.value / self._step, round(steps), abs_tol=1e-6):
            return f"{round(steps) / 4:g} ft" if self.unit == "m" else f"{round(steps) / 16:g} in"
        if self._in_feet:
            return self._shown()
        return f"{round(self.value, 5):.9g} m" if self.unit == "m" else f"{self.value:.6g} {self.unit}"

    def _link(self) -> None:
        """Set all to the value; a slider that stands there already is left as it is."""
        self._linking = True
        if not self.slider.min <= self.value <= self.slider.max:
            # a live slider whose range is changed answers late, from the browser, with a value that was not chosen
            old, self.row.children = self.slider, (self._fresh(), self.exact, self.readout)
            old.close()
        elif self.slider.value != self.value:
            controls.place(self.slider, self.value)
        self._linking = False
        self._write()

    def _write(self) -> None:
        """Write the value into readout and field; what was typed stays as it was typed."""
        linking, self._linking = self._linking, True
        said = self._shown()
        self.readout.value = said
        self.exact.value = self._typed or said
        self._linking = linking

    def _shown(self) -> str:
        if self.unit == "m" or self._in_feet:
            metres = self.value * METRES[self.unit]
            if self._in_feet and 0 < abs(metres) < SIXTEENTH / 2:
                return f"{12 * metres / FOOT:.2g} in"  # less than a tape shows, and not zero
            return "longer than any tape" if abs(metres) > LONGEST_TAPE_M else self.units.signed(metres)
        return f"{self.value:.6g} {self.unit}"

    def _move(self, value: float) -> None:
        if not self._linking:
            self.value = round(value / self._step) * self._step if self._in_feet else value
            self._understood, self._typed = True, ""
            self._write()
            self._changed()

    def _check(self) -> float:
        """Return the value that the text says; a refusal is in the unit in which a number alone is taken."""
        check: Any = _FROM[self.scale.least]
        size = {"ft": FOOT, "in": FOOT / 12}.get(self._alone)
        value = float(check(self.text, self._alone, self.scale.label))
        return value if size is None else value * size / METRES[self.unit]

    def _type(self, text: str) -> None:
        """Take what was typed; what cannot be read leaves the value, and is refused by what reads `text`."""
        if self._linking:
            return
        if not text.strip():
            self.set(self.value)
            self._changed()
            return
        self._typed = text.strip()
        try:
            self.value = self._check()
        except InputError:
            self._understood = False
        else:
            self._understood = True
            self._link()
        self._changed()
