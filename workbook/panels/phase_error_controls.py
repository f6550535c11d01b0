"""The controls of the worksheet *phase error*: velocity factors, which cables they concern, and other faults."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Self

import ipywidgets as widgets

from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cable
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.design_controls import DelayLineControls
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.plan.cuts import design_cable
from workbook.plan.designs import Design
from workbook.plan.known_faults import CableFault, KnownFaults

SLOWEST, FASTEST, STEP = 0.6, 1.0, 0.0005
NO_RUN, EVERY_RUN = "no run", "every run"
NOTHING = "nothing else"
FAULTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        NOTHING: (),
        "chosen cables too long": ("excess",),
        "chosen cables warmer": ("kelvin", "drift"),
        "an element elsewhere": ("element", "east", "north"),
        "two lines swapped": ("element", "other"),
        "a dead element": ("element",),
        "a reversed element": ("element",),
        "unmatched ends": ("source", "port"),
    }
)
"""Further faults, and the controls that each needs."""
_TOO_LONG = Scale("excess", "too long by", "how much too long; negative is too short", -200, 200, 1, "any")
_EAST = Scale("east", "too far east", "negative is west", -500, 500, 5, "any")
_NORTH = Scale("north", "too far north", "negative is south", -500, 500, 5, "any")
AMOUNTS: Mapping[str, tuple[Scale, str, float, float]] = MappingProxyType(
    {
        "excess": (_TOO_LONG, "cm", 10.0, 4 * 2.54),
        "east": (_EAST, "cm", 50.0, 20 * 2.54),
        "north": (_NORTH, "cm", 0.0, 0.0),
        "source": (Scale("source", "source", "what drives each line", 10, 300, 1), "ohm", 50.0, 50.0),
        "port": (Scale("port", "port", "what ends each line", 10, 300, 1), "ohm", 50.0, 50.0),
    }
)
"""Amounts that a fault needs: their scales, units, and where they begin, also where lengths are in feet."""


class VelocityControls:
    """Assumed and true velocity factor, and the cables that they concern."""

    def __init__(self, design: Design, viewed: Callable[[], None]) -> None:
        self._viewed, self._setting = viewed, False
        tip = "velocity factor that the lengths are computed with"
        self.assumed = _velocity("assumed", "VF assumed", tip)
        self.true = _velocity("true", "VF true", "velocity factor that the cable has on the cut band")
        self.ticks: dict[str, widgets.Checkbox] = {}
        self._ticked: dict[str, bool] = {}
        self.lines = widgets.Box(layout=widgets.Layout(flex_flow="row wrap", width="100%", min_width="0"))
        count = design.content.array.layout().count
        names = (NO_RUN, EVERY_RUN, *(f"the run of element {number}" for number in range(1, count + 1)))
        self.runs = controls.choice("runs", "and of the runs", "element runs of the same cable", names)
        self.offer(())
        self.start_from(design, design.content.cables.delay_line)
        for control in (self.assumed, self.true, self.runs):
            control.observe(lambda _: self._moved(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.assumed, self.true, self.lines, self.runs)

    def start_from(self, design: Design, name: str) -> None:
        """Set both to a cable: assumed as printed, true as the design has it on the cut band."""
        self._setting = True
        controls.place(self.assumed, cable(name).nominal_velocity_factor)
        controls.place(self.true, float(design_cable(design.content, name).velocity(design.content.cut_hertz)))
        self._setting = False

    def offer(self, labels: tuple[str, ...]) -> None:
        """Offer the delay lines that there are; those that were there before keep their ticks."""
        if tuple(self.ticks) == labels and self.lines.children:
            return
        before, self.ticks = self.ticks, {}
        self._ticked |= {label: tick.value for label, tick in before.items()}
        for label in labels:
            made = controls.tick("line", label, f"whether line {label} is of that cable", "4em")
            made.value = self._ticked.get(label, True)
            made.observe(lambda _: self._moved(), "value")
            self.ticks[label] = made
        self.lines.children = (widgets.Label("delay lines concerned:"), *self.ticks.values())
        for old in before.values():
            old.close()

    @property
    def chosen_runs(self) -> tuple[int, ...]:
        """Indices of elements whose runs are concerned."""
        if self.runs.value in (NO_RUN, EVERY_RUN):
            return () if self.runs.value == NO_RUN else tuple(range(len(self.runs.options) - 2))
        return (self.runs.index - 2,)

    def copy_view(self, other: "VelocityControls") -> None:
        """Stand as the controls before stood."""
        for mine, before in ((self.assumed, other.assumed), (self.true, other.true), (self.runs, other.runs)):
            mine.value = before.value
        # lines are offered when the design is worked out, and then ticked as they were
        self._ticked = other._ticked | {label: tick.value for label, tick in other.ticks.items()}

    def _moved(self) -> None:
        if not self._setting:
            self._viewed()


class OtherFault:
    """One fault more, with what it needs; the rest is not shown."""

    def __init__(self, count: int, viewed: Callable[[], None], units: LengthUnits) -> None:
        self.fault = controls.choice("fault", "and besides", "another fault at the same time", tuple(FAULTS))
        numbers = range(1, count + 1)
        self.amounts = {
            name: LinkedSlider(scale, unit, value, viewed, units, in_feet)
            for name, (scale, unit, value, in_feet) in AMOUNTS.items()
        }
        self.choices: dict[str, Any] = {
            "kelvin": _placed(Scale("kelvin", "warmer by (K)", "such as cable in the sun", -40, 60, 1), 30),
            "drift": _placed(Scale("drift", "delay drift (ppm/K)", "change of delay per kelvin", -300, 300, 5), 50),
            "element": controls.choice("element", "element", "which element", numbers),
            "other": controls.choice("other", "and element", "its line and the other are swapped", numbers),
        }
        self.choices["other"].value = min(2, count)
        self.fault.observe(lambda _: self._appear(), "value")
        self._appear()
        for control in (self.fault, *self.choices.values()):
            control.observe(lambda _: viewed(), "value")

    @property
    def parts(self) -> dict[str, widgets.Widget]:
        """The rows by name, in the order of the work."""
        return {**self.choices, **{name: amount.row for name, amount in self.amounts.items()}}

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.fault, *self.parts.values())

    def value(self, name: str) -> float:
        """Return a control's value where the chosen fault has it, else 0; lengths in centimetres."""
        if name not in FAULTS[self.fault.value]:
            return 0.0
        return float(self.amounts[name].value if name in self.amounts else self.choices[name].value)

    @property
    def element(self) -> int:
        """Index of the chosen element."""
        return int(self.choices["element"].value) - 1

    @property
    def wrong(self) -> InputError | None:
        """What is typed and shown but cannot be read; None where all can."""
        for name, amount in self.amounts.items():
            if name in FAULTS[self.fault.value] and (error := amount.refusal()):
                return error
        return None

    def copy_view(self, other: "OtherFault") -> None:
        """Stand as the controls before stood."""
        self.fault.value = other.fault.value
        for name, choice in self.choices.items():
            choice.value = other.choices[name].value
        for name, amount in self.amounts.items():
            amount.stand_as(other.amounts[name])

    def _appear(self) -> None:
        for name, control in self.parts.items():
            control.layout.display = None if name in FAULTS[self.fault.value] else "none"


class PhaseErrorControls(DelayLineControls):
    """Fresh controls over one design: those that change it, and those that only try something."""

    def __init__(
        self,
        design: Design,
        changed: Callable[[], None],
        viewed: Callable[[], None],
        units: LengthUnits,
    ) -> None:
        self._redraw = changed
        super().__init__(design, self._change, viewed, units)
        content = design.content
        self._started_from = content.cables.delay_line
        names = ("shown-band", "show band", "which band is drawn")
        self.shown_row = BandRow(names, content.bands, viewed, changed)
        self.shown_row.choose(content.phasing.cut_band)
        self.shown_row.share(self.band_row)
        self.velocity = VelocityControls(design, viewed)
        self.other = OtherFault(content.array.layout().count, viewed, units)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings: what is tried and never saved, then the design's."""
        lines, array, view = super().groups
        return (
            Group("Velocity factor", self.velocity.rows),
            Group("Another error", self.other.rows),
            Group(view.title, (self.shown_row.row, *view.rows)),
            lines,
            array,
        )

    @property
    def shown_band(self) -> widgets.SelectionSlider:
        """The band that is drawn."""
        return self.shown_row.band

    @property
    def faults(self) -> KnownFaults:
        """What the controls say is wrong."""
        chosen, other = self.other.fault.value, self.other
        concerned = CableFault(
            assumed=self.velocity.assumed.value,
            true=self.velocity.true.value,
            lines=tuple(label for label, tick in self.velocity.ticks.items() if tick.value),
            runs=self.velocity.chosen_runs,
            excess_m=other.value("excess") / 100,
            warmer=(other.value("kelvin"), other.value("drift") * 1e-6),
        )
        moved = {other.element: (other.value("east") / 100, other.value("north") / 100)}
        swapped = (other.element, int(other.choices["other"].value) - 1)
        return KnownFaults(
            concerned,
            moved=moved if chosen == "an element elsewhere" else {},
            swapped=swapped if chosen == "two lines swapped" else None,
            dead=other.element if chosen == "a dead element" else None,
            turned=other.element if chosen == "a reversed element" else None,
            ends_ohm=(other.value("source"), other.value("port")) if chosen == "unmatched ends" else None,
        )

    def _change(self) -> None:
        """Start from the velocity factors of a cable that was just chosen, then show the changed design."""
        if self.cable.value != self._started_from:
            self._started_from = self.cable.value
            self.velocity.start_from(self.design, self.cable.value)
        self._redraw()

    def copy_view(self, other: Self) -> None:
        """Show and try what the controls before did."""
        super().copy_view(other)
        self.shown_band.value = other.shown_band.value
        self.velocity.copy_view(other.velocity)
        self.other.copy_view(other.other)

    def close(self) -> None:
        """Let go of the controls."""
        for group in self.groups:
            for row in group.rows:
                controls.close(row)


def _velocity(name: str, label: str, tip: str) -> widgets.FloatSlider:
    made = controls.slider(name, label, tip, SLOWEST, FASTEST, STEP)
    made.readout_format = ".4f"
    return made


def _placed(scale: Scale, value: float) -> widgets.FloatSlider:
    """Return a slider of a scale, which may begin below zero, placed at a value."""
    made = controls.slider(scale.name, scale.label, scale.tip, scale.low, scale.high, scale.step)
    controls.place(made, value)
    return made
