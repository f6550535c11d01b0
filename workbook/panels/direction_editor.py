"""Directions that are named, aimed, added and removed in the worksheet *spacing, directions and pattern*."""

from collections.abc import Callable
from functools import partial

from workbook.checks import real
from workbook.design.directions import Direction
from workbook.design.editing import add_direction, aim_direction, remove_direction, rename_direction
from workbook.errors import InputError
from workbook.panels import controls
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design


class DirectionEditor:
    """Name and beam heading of the direction that is shown, and buttons for one more or one less.

    `edit` is called with what changes a design, the name of the direction that is shown then, and what was done.
    """

    def __init__(self, edit: Callable[[Callable[[Design], Design], str, str], None]) -> None:
        self._edit, self._writing = edit, False
        self._directions: tuple[Direction, ...] = ()
        self._shown = ""
        self.name = controls.entry("direction-name", "name", "of the direction that is shown, on the switch", "north")
        self.heading = controls.entry(
            "heading", "beam heading (deg)", "of the direction that is shown, from true north", "45"
        )
        self.add = controls.button(
            "add-direction", "add a direction", "adds one in the widest gap between beam headings; then name and aim it"
        )
        self.remove = controls.button(
            "remove-direction", "remove this direction", "removes the direction that is shown"
        )
        self.name.observe(lambda _: self._renamed(), "value")
        self.heading.observe(lambda _: self._aimed(), "value")
        self.add.on_click(lambda _: self._added())
        self.remove.on_click(lambda _: self._removed())

    @property
    def group(self) -> Group:
        """The controls under their heading."""
        return Group("Directions", (self.name, self.heading, controls.row(self.add, self.remove)))

    def show(self, design: Design, name: str, waits: bool) -> None:
        """Show a direction of a design; while one that was added waits for its search no further one is added."""
        self._directions, self._shown, self._writing = tuple(design.content.directions), name, True
        found = next(one for one in self._directions if one.name == name)
        self.name.value, self.heading.value = name, f"{_degrees(found):.8g}"
        self.remove.disabled, self.add.disabled = len(self._directions) == 1, waits
        self._writing = False

    def _renamed(self) -> None:
        old, new = self._shown, self.name.value.strip()
        if not self._writing and new != old:
            self._edit(partial(rename_direction, name=old, new_name=new), new, f"{old} is {new} now")

    def _aimed(self) -> None:
        if not self._writing:
            name, heading = self._shown, controls.with_default_unit(self.heading.value, "deg")
            new = self._name_of(heading) or name

            def change(design: Design) -> Design:
                aimed = aim_direction(design, name, heading)
                return aimed if new == name else rename_direction(aimed, name, new)

            self._edit(change, new, f"{name} points to {heading} now")

    def _name_of(self, heading: str) -> str:
        """Return the name that goes with another heading; nothing where the builder gave the direction its own."""
        found = next(one for one in self._directions if one.name == self._shown)
        if found.name != f"{_degrees(found):g} deg":
            return ""
        try:
            name = f"{float(real(heading, 'degree', 'azimuth')) % 360:g} deg"
        except InputError:  # refused when it is aimed
            return ""
        return "" if name in [one.name for one in self._directions] else name

    def _added(self) -> None:
        if self.add.disabled:  # pressed again before the browser knew
            return
        heading = _widest_gap([_degrees(one) for one in self._directions])
        name, number = f"{heading:g} deg", 2
        while name in [one.name for one in self._directions]:
            name, number = f"{heading:g} deg, {number}", number + 1
        self._edit(partial(add_direction, name=name, azimuth=f"{heading:g} deg"), name, f"{name} is added")

    def _removed(self) -> None:
        rest = [one.name for one in self._directions if one.name != self._shown]
        if not rest:
            raise InputError("it is the only direction", where="directions", remedy="add another one first")
        self._edit(partial(remove_direction, name=self._shown), rest[0], f"{self._shown} is removed")


def _degrees(direction: Direction) -> float:
    return float(direction.azimuth.m_as("degree"))


def _widest_gap(headings: list[float]) -> float:
    """Return the middle of the widest gap between beam headings [degree], to half a degree."""
    turning = sorted(heading % 360 for heading in headings)
    gaps = [(after - before, before) for before, after in zip(turning, [*turning[1:], turning[0] + 360], strict=True)]
    width, start = max(gaps, key=lambda gap: (round(gap[0], 6), -gap[1]))
    return round(2 * (start + width / 2)) / 2 % 360
