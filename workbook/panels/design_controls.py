"""The sliders over one loaded design: what they stand at, and what they say otherwise than the file."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Self

import ipywidgets as widgets

from workbook.design.site import AnyArray
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cables
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design

STEP, SHORTEST, LONGEST = 0.1, 1.0, 60.0
WORDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "across": ("size across", "how wide the whole array is"),
        "spacing": ("spacing", "from one element to the next"),
        "width": ("width", "from one row to the other"),
    }
)
# what the slider of a key of the file says, where it is not the spacing
OWN = MappingProxyType({"diameter": "across", "width": "width"})


class SizeControls:
    """The size of an array: what its file says of it, and one row more that follows, across it or to the next
    element, whichever the file does not say. Where every position is entered there are none.
    """

    def __init__(self, array: AnyArray, changed: Callable[[], None], units: LengthUnits) -> None:
        self._changed, self._units = changed, units
        self._count, self.filed = getattr(array, "count", 4), array.sizes
        self.amounts = {key: self._amount(array, OWN.get(key, "spacing"), self.filed[key]) for key in self.filed}
        self._shown = {OWN.get(key, "spacing"): amount for key, amount in self.amounts.items()}
        if not self.filed:
            return
        name, self._measure = ("spacing", array.to_next) if "across" in self._shown else ("across", array.across)
        self._other = LinkedSlider(self._scale(array, name), "m", self._measured(), self._resize, units)
        self._shown[name] = self._other

    @property
    def sliders(self) -> dict[str, widgets.FloatSlider]:
        """The sliders by name."""
        return {name: amount.slider for name, amount in self._shown.items()}

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The rows in the order of the work."""
        return tuple(self._shown[name].row for name in WORDS if name in self._shown)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        moved = {key: amount for key, amount in self.amounts.items() if not amount.matches(self.filed[key])}
        return {("array", key): amount.text for key, amount in moved.items()}

    def _scale(self, array: AnyArray, name: str) -> Scale:
        """Return what a slider is made of; that across reaches as far as that of the spacing does."""
        times = (
            array.across(self._count, self.filed) / array.to_next(self._count, self.filed) if name == "across" else 1
        )
        return Scale(name, *WORDS[name], times * SHORTEST, times * LONGEST, STEP)

    def _amount(self, array: AnyArray, name: str, metres: float) -> LinkedSlider:
        return LinkedSlider(self._scale(array, name), "m", metres, self._follow, self._units)

    def _measured(self) -> float:
        return self._measure(self._count, {key: amount.value for key, amount in self.amounts.items()})

    def _follow(self) -> None:
        """Move the other slider along with what the file says."""
        self._other.set(self._measured())
        self._changed()

    def _resize(self) -> None:
        """Make the whole array larger or smaller in its own shape."""
        times = self._other.value / self._measured()
        for amount in self.amounts.values():
            amount.set(times * amount.value)
        self._changed()


class DesignControls:
    """Fresh controls of an array's size, the elevation and the direction, set to a design. New ones for each design: a
    live slider whose range is changed answers late, from the browser, with a value that was not chosen.
    """

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        content = design.content
        self.design, self._changed = design, changed
        self.size = SizeControls(content.array, changed, units)
        self.elevation = controls.slider(
            "elevation", "elevation (deg)", "of the signals that are to add in phase", 0, 90, STEP
        )
        controls.place(self.elevation, content.phasing.elevation.m_as("degree"))
        self._elevation_at_first = self.elevation.value
        names = [direction.name for direction in content.directions]
        self.direction = controls.choice("direction", "show direction", "switch position that is shown", names)
        self.elevation.observe(lambda _: changed(), "value")
        self.direction.observe(lambda _: viewed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (*self.size.rows, self.elevation, self.direction)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (Group("Array", self.size.rows), Group("Phasing", (self.elevation,)), Group("View", (self.direction,)))

    @property
    def across(self) -> widgets.FloatSlider:
        """How wide the whole array is."""
        return self.size.sliders["across"]

    @property
    def spacing(self) -> widgets.FloatSlider:
        """How far it is to the next element."""
        return self.size.sliders["spacing"]

    @property
    def exact(self) -> widgets.Text:
        """The first of the array's lengths as typed."""
        return next(iter(self.size.amounts.values())).exact

    def copy_view(self, other: Self) -> None:
        """Show the direction that the controls before showed."""
        if other.direction.value in self.direction.options:  # it may be removed or renamed
            self.direction.value = other.direction.value

    def close(self) -> None:
        """Let go of the controls."""
        for control in self.rows:
            controls.close(control)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        found = self.size.changes()
        if self.elevation.value != self._elevation_at_first:
            found["phasing", "elevation"] = f"{self.elevation.value:.6g} deg"
        return found


class DelayLineControls(DesignControls):
    """The same, with the cut band and the cable of the delay lines."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        super().__init__(design, changed, viewed, units)
        content = design.content
        labels = ("band", "cut band", "lines have exactly their delay on this band")
        self.band_row = BandRow(labels, content.bands, changed, changed)
        self.band_row.choose(content.phasing.cut_band)
        self.cable = controls.choice("cable", "delay-line cable", "what the delay lines are made of", cables())
        self.cable.value = content.cables.delay_line
        self.elevation.disabled = content.phasing.enters_feeds
        self.cable.observe(lambda _: changed(), "value")

    @property
    def band(self) -> widgets.SelectionSlider:
        """The cut band."""
        return self.band_row.band

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.band_row.row, self.cable, *super().rows)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        lines, sizes = Group("Delay lines", (self.band_row.row, self.cable)), self.size.rows
        return (lines, Group("Array", (*sizes, self.elevation)), Group("View", (self.direction,)))

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        content, found = self.design.content, super().changes() | self.band_row.changes()
        if self.band.value != content.phasing.cut_band:
            found["phasing", "cut_band"] = self.band.value
        if self.cable.value != content.cables.delay_line:
            found["cables", "delay_line"] = self.cable.value
        return found
