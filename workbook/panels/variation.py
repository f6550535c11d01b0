"""The sliders over one loaded design: what they stand at, and what they say otherwise than the file."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Self

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.line.catalogue import cables
from workbook.panels import controls
from workbook.plan.places import RingArray, RowArray, SquareArray
from workbook.plan.store import Design
from workbook.units import positive

STEP = 0.1


@dataclass(frozen=True)
class Size:
    """How a kind of array is sized: its key in the file, and the key and the width across per spacing."""

    key: str
    key_per_spacing: float
    across_per_spacing: float


def size_of(array: Any) -> Size | None:
    """Return how an array is sized; None where every position is entered."""
    if isinstance(array, RingArray):
        ratio = 1 / math.sin(math.pi / array.count)
        return Size("diameter", ratio, ratio)
    if isinstance(array, SquareArray):
        return Size("side", 1.0, math.sqrt(2))
    if isinstance(array, RowArray):
        return Size("spacing", 1.0, array.count - 1)
    return None


class Sized:
    """Fresh controls of an array's size, the elevation and the direction, set to a design. New ones for each design: a
    live slider whose range is changed answers late, from the browser, with a value that nobody chose.
    """

    unsaid_elevation = 0.0
    """Where the elevation [degree] begins when the file says none; 0 leaves it unsaid."""

    def __init__(self, design: Design, changed: Callable[[], None]) -> None:
        content = design.content
        self.design, self._changed, self._linking = design, changed, False
        self.size = size_of(content.array)
        self.spacing_m = self._spacing_in_file() if self.size else 0.0
        self.across, self.spacing = self._size_sliders()
        self.elevation = controls.slider("elevation", "elevation (deg)", "of the waves to add in step", 0, 90, STEP)
        controls.place(self.elevation, self.unsaid_elevation)
        self._elevation_at_first = 0.0
        if content.phasing.elevation is not None:
            controls.place(self.elevation, content.phasing.elevation.m_as("degree"))
            self._elevation_at_first = self.elevation.value
        label = f"{self.size.key} (m or ft)" if self.size else "size (m or ft)"
        self.exact = controls.entry(
            "exact", label, "a size that no slider has, such as 138 ft 3 1/2 in", "such as 42.5 m"
        )
        for control in (self.across, self.spacing, self.exact):
            control.layout.display = None if self.size else "none"
        names = [direction.name for direction in content.directions]
        self.direction = controls.choice("direction", "show direction", "which one is shown", names)
        for control in (self.across, self.spacing):
            control.observe(lambda change: self._resize(change.owner), "value")
        self.exact.observe(lambda change: self._take_exact(change.new), "value")
        for control in (self.elevation, self.direction):
            control.observe(lambda change: changed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.across, self.spacing, self.exact, self.elevation, self.direction)

    def look_like(self, other: Self) -> None:
        """Show the direction that the controls before showed."""
        self.direction.value = other.direction.value

    def close(self) -> None:
        """Let go of the controls."""
        for control in self.rows:
            control.close()

    def _spacing_in_file(self) -> float:
        assert self.size is not None
        return float(getattr(self.design.content.array, self.size.key).m_as("m")) / self.size.key_per_spacing

    def _size_sliders(self) -> tuple[widgets.FloatSlider, widgets.FloatSlider]:
        across_per_spacing = self.size.across_per_spacing if self.size else 1.0
        top, bottom = max(60.0, 2 * self.spacing_m), min(1.0, self.spacing_m)
        made = []
        for name, label, tip, ratio in (
            ("across", "size across (m)", "how wide the whole array is", across_per_spacing),
            ("spacing", "spacing (m)", "from one element to the next", 1.0),
        ):
            # steps are counted from the lower end, so it has to be a whole number of them
            low = math.ceil(bottom * ratio / STEP) * STEP
            control = controls.slider(name, label, tip, round(low, 9), math.ceil(top * ratio), STEP)
            control.disabled = self.size is None
            if self.size:
                controls.place(control, self.spacing_m * ratio)
            made.append(control)
        return made[0], made[1]

    def _resize(self, moved: widgets.FloatSlider) -> None:
        """Move the other size slider along, since an array has only one size."""
        if self._linking or self.size is None:
            return
        ratio = self.size.across_per_spacing
        self.spacing_m = moved.value / ratio if moved is self.across else moved.value
        self._linking = True
        self.exact.value = ""
        if moved is self.across:
            controls.place(self.spacing, self.spacing_m)
        else:
            controls.place(self.across, self.spacing_m * ratio)
        self._linking = False
        self._changed()

    def _take_exact(self, text: str) -> None:
        """Take a size as it was typed; what is no length is refused when the design is changed by it."""
        if self._linking or self.size is None:
            return
        try:
            self.spacing_m = float(positive(controls.with_unit(text, "m"), "m", "size")) / self.size.key_per_spacing
        except InputError:
            self._changed()
            return
        self._linking = True
        controls.place(self.spacing, self.spacing_m)
        controls.place(self.across, self.spacing_m * self.size.across_per_spacing)
        self._linking = False
        self._changed()

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        found: dict[tuple[str, ...], Any] = {}
        if self.elevation.value != self._elevation_at_first:
            found["phasing", "elevation"] = f"{self.elevation.value:.6g} deg"
        if self.size and self.exact.value.strip():
            found["array", self.size.key] = controls.with_unit(self.exact.value, "m")
        elif self.size and not math.isclose(self.spacing_m, self._spacing_in_file(), abs_tol=1e-6):
            found["array", self.size.key] = f"{self.spacing_m * self.size.key_per_spacing:.6g} m"
        return found


class Variation(Sized):
    """The same, with the cut band and the cable of the delay lines."""

    def __init__(self, design: Design, changed: Callable[[], None]) -> None:
        super().__init__(design, changed)
        content = design.content
        self.band = controls.steps("band", "cut band", "lines have exactly their delay on this band", content.bands)
        self.band.value = content.phasing.cut_band
        self.cable = controls.choice("cable", "delay-line cable", "what the delay lines are made of", cables())
        self.cable.value = content.cables.delay_line
        self.elevation.disabled = content.phasing.rule == "entered"
        for control in (self.band, self.cable):
            control.observe(lambda change: changed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.band, self.cable, *super().rows)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        content, found = self.design.content, super().changes()
        if self.band.value != content.phasing.cut_band:
            found["phasing", "cut_band"] = self.band.value
        if self.cable.value != content.cables.delay_line:
            found["cables", "delay_line"] = self.cable.value
        return found
