"""An amount that is set by a slider or typed exactly where no step of the slider has it, each following the other."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import ipywidgets as widgets

from workbook.checks import positive
from workbook.errors import InputError
from workbook.formatting import feet_inches
from workbook.panels import controls
from workbook.units import Quantity

LONGEST_TAPE_M = 1e9


@dataclass(frozen=True)
class Scale:
    """What a slider is made of: CSS class, label with the unit, tip, usual ends, and step."""

    name: str
    label: str
    tip: str
    low: float
    high: float
    step: float

    def slider(self, value: float) -> widgets.FloatSlider:
        """Return a fresh slider placed at a value, with longer ends where it needs them."""
        # steps are counted from the lower end, so it has to be a whole number of them, and cannot be zero
        low = max(1, math.floor(min(self.low, value) / self.step)) * self.step
        # what is far beyond all use is refused elsewhere, and gets no slider either
        high = math.ceil(max(self.high, min(2 * value, 100 * self.high)))
        made = controls.slider(self.name, self.label, self.tip, round(low, 9), high, self.step)
        controls.place(made, value)
        return made


def in_feet(metres: float) -> str:
    """Return a length [m] as a tape says it, with its sign."""
    if abs(metres) > LONGEST_TAPE_M:
        return "longer than any tape"
    return f"{'−' if metres < 0 else ''}{feet_inches(Quantity(abs(metres), 'm'))}"


def feet_row(name: str, label: str) -> widgets.HTML:
    """Return the place where a slider's length stands in feet, labelled as the slider is."""
    whole = label.replace("(m)", "(ft, in)")
    return controls.readout(f"{name}-feet", whole, "the same length in feet, inches and sixteenths")


class LinkedSlider:
    """The slider, the entry, if there is one, and the value that both say, of a length in feet too; `bare` is whether a
    number alone has the slider's unit.
    """

    def __init__(
        self,
        scale: Scale,
        unit: str,
        value: float,
        exact: widgets.Text | None,
        changed: Callable[[], None],
        bare: bool = True,
    ) -> None:
        self.scale, self.unit, self.value, self.exact = scale, unit, value, exact
        self._changed, self._bare, self._linking, self._understood = changed, bare, False, True
        self.slider = self._fresh()
        self.feet = feet_row(scale.name, scale.label) if unit == "m" else None
        self._write_feet()
        if exact is not None:
            exact.observe(lambda change: self._type(change.new), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The slider, what it is in feet, and the entry."""
        return (self.slider, *(part for part in (self.feet, self.exact) if part is not None))

    @property
    def text(self) -> str:
        """The amount as it goes into a file: as typed, else as it was slid."""
        return self._read(self.exact.value if self.exact else "") or f"{self.value:.6g} {self.unit}"

    def matches(self, value: float) -> bool:
        """Return whether the controls stand at this value; an entry that cannot be read matches none."""
        return self._understood and math.isclose(value, self.value, rel_tol=1e-7, abs_tol=1e-6)

    def set(self, value: float) -> None:
        """Set both without calling `changed`."""
        self.value, self._understood = value, True
        self._link("")

    def renew(self) -> bool:
        """Make a longer slider where the value lies beyond this one, and return whether one was made."""
        # a live slider whose range is changed answers late, from the browser, with a value that nobody chose
        old = self.slider
        if old.min <= self.value <= old.max:
            return False
        self.slider = self._fresh()
        old.close()
        return True

    def _fresh(self) -> widgets.FloatSlider:
        made = self.scale.slider(self.value)
        made.observe(lambda change: self._move(change.new), "value")
        return made

    def _read(self, text: str) -> str:
        return controls.with_default_unit(text, self.unit) if self._bare else text.strip()

    def _link(self, text: str) -> None:
        """Set both to the value; a slider that stands there already is left as it is."""
        self._linking = True
        if self.exact is not None:
            self.exact.value = text
        if self.slider.value != self.value:
            controls.place(self.slider, self.value)
        self._linking = False
        self._write_feet()

    def _write_feet(self) -> None:
        if self.feet is not None:
            self.feet.value = in_feet(self.value)

    def _move(self, value: float) -> None:
        if not self._linking:
            self.value, self._understood = value, True
            self._link("")
            self._changed()

    def _type(self, text: str) -> None:
        """Take what was typed; what cannot be read leaves the value, and is refused by what reads `text`."""
        if self._linking:
            return
        try:
            self.value = float(positive(self._read(text), self.unit, self.scale.name))
        except InputError:
            self._understood = not text.strip()
        else:
            self._understood = True
            self._link(text)
        self._changed()
