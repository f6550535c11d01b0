"""The controls of the worksheet *delay lines for a design*, with the lines that are cut and which delays share one."""

import re
from collections.abc import Callable
from typing import Any

from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.design_controls import DelayLineControls
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design


class CutControls(DelayLineControls):
    """Fresh controls over one design."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        super().__init__(design, changed, viewed, units)
        self._unit = units.scale[0]
        tip = "lengths between connectors or delays of lines that are cut already, separated by commas"
        example = f"none; such as {units.joined('9.94 m', '32 ft 7 in')}, 120 ns"
        self.kept = controls.entry("hub-lines", "lines already cut", tip, example)
        self.kept.value = self._filed = ", ".join(
            units.entered(line) if line.check("[length]") else f"{line:.9g~P}"
            for line in design.content.hub.lines or ()
        )
        self.kept.observe(lambda _: changed(), "value")
        merge = design.content.hub.merge
        tip = "delays that differ by less than this on the highest band share one line"
        self.merge = controls.entry("merge", "merge within (deg)", tip, "none; such as 1.5")
        self.merge.value = self._merged = "" if merge is None else f"{merge:.9g~P}"
        self.merge.observe(lambda _: changed(), "value")

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        lines, *others = super().groups
        return (Group(lines.title, (*lines.rows, self.kept, self.merge)), *others)

    def close(self) -> None:
        """Let go of the controls."""
        super().close()
        self.kept.close()
        self.merge.close()

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; merging does not go with lines that are there."""
        found = super().changes()
        if self.merge.value != self._merged:
            typed = self.merge.value.strip()
            found["hub", "merge"] = controls.with_default_unit(typed, "deg") if typed else None
        if self.kept.value == self._filed:
            return found
        # a comma within a number is no separator, so that 1,5 m is refused
        entries = [part for part in re.split(r",\s+|,$|;", self.kept.value.strip()) if part.strip()]
        found["hub", "lines"] = [controls.with_default_unit(part, self._unit) for part in entries] or None
        if entries and self.design.content.hub.merge is not None:
            found["hub", "merge"] = None
        return found
