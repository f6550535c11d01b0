"""The controls of the worksheet *spacing, directions and pattern*: what is shown, the rule, and the ground."""

from collections.abc import Callable
from typing import Any, Self

import ipywidgets as widgets
import numpy as np

from workbook.array.fewest import MOST_LINES
from workbook.array.ground import GROUND_CLASSES, Ground
from workbook.design.phasing import RULES
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.design_controls import STEP, DesignControls
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design

LEAST_GAIN, FIRST_GAIN = -25.0, -8.0
AS_FILED, ENTERED = "as in the file", "entered below"
NO_LIMIT, LIMIT = "no limit", "not below"


class RuleControls:
    """The phasing rule and what goes with it; only what applies is shown."""

    def __init__(self, design: Design, elevation: widgets.FloatSlider) -> None:
        self.phasing, self.directions, self.elevation = design.content.phasing, design.content.directions, elevation
        rules = [rule for rule in RULES if self.phasing.enters_feeds or not RULES[rule].enters_feeds]
        self.rule = controls.choice("rule", "phasing rule", "how the delays are found", rules)
        self.rule.value = self.phasing.rule
        self.null = controls.slider(
            "null", "null elevation (deg)", "of the signals from behind that are to cancel", 0, 90, STEP
        )
        self.inversion = controls.choice(
            "inversion", "polarity inversion", "whether rows may be reversed", ("no", "yes")
        )
        self.lines = controls.steps(
            "lines", "delay lines", "how many different ones each direction may use", range(1, MOST_LINES + 1)
        )
        tip = "limit for the noise that the elements' amplifiers add"
        self.limited = controls.choice("limited", "gain limit", tip, (NO_LIMIT, LIMIT))
        top = np.floor(100 * np.log10(design.content.array.layout().count) + 1e-9) / 10
        self.gain = controls.slider("gain", "white-noise gain (dB)", tip, LEAST_GAIN, float(top), STEP)
        self._set()
        self._first = self._states()

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.rule, self.null, self.lines, self.inversion, self.limited, self.gain)

    def observe(self, changed: Callable[[], None]) -> None:
        """Call when any of it is changed by the user."""
        self._following = False
        self.rule.observe(lambda _: self._other_rule(changed), "value")
        self.null.observe(lambda _: None if self._following else self._own_null(changed), "value")
        self.elevation.observe(lambda _: self._follow(), "value")
        self.limited.observe(lambda _: self._appear(), "value")
        for control in (self.inversion, self.limited, self.gain, self.lines):
            control.observe(lambda _: None if self._following else changed(), "value")

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        rule = self.rule.value
        found: dict[tuple[str, ...], Any] = {}
        if rule != self.phasing.rule:
            found["phasing", "rule"] = rule
        if self.drops_entries:
            kept = ({"name": one.name, "azimuth": f"{one.azimuth.m_as('degree'):.10g} deg"} for one in self.directions)
            found["directions",] = list(kept)
        states = self._states()
        for key, value in self._said(rule).items():
            held = self.phasing.written(key)
            if key not in RULES[rule].keys:
                value = None
            elif held is not None and states[key] == self._first[key]:
                continue
            if value is not None or held is not None:
                found["phasing", key] = value
        return found

    @property
    def drops_entries(self) -> bool:
        """Whether the rule is no longer that of the delays entered in the file, so that they go."""
        return self.phasing.enters_feeds and not RULES[self.rule.value].enters_feeds

    def _said(self, rule: str) -> dict[str, Any]:
        """Return what the controls say of every key, None where it need not be said."""
        reverse = self.inversion.value == "yes"
        usual = self.phasing.written("polarity_inversion") is None and reverse == _usual(rule, "polarity_inversion")
        unlimited = _optional(rule, "least_white_noise_gain") and self.limited.value == NO_LIMIT
        return {
            "null_elevation": f"{self.null.value:.6g} deg" if self._null_is_own else None,
            "polarity_inversion": None if usual else reverse,
            "least_white_noise_gain": None if unlimited else f"{self.gain.value:.6g} dB",
            "lines": self.lines.value,
        }  # fmt: skip

    def _states(self) -> dict[str, Any]:
        return {
            "null_elevation": self.null.value,
            "polarity_inversion": self.inversion.value,
            "least_white_noise_gain": (self.limited.value, self.gain.value),
            "lines": self.lines.value,
        }

    def _set(self) -> None:
        """Set the controls to the file, and where it says nothing to what is usual."""
        phasing = self.phasing
        null = phasing.written("null_elevation")
        self._null_is_own = null is not None
        controls.place(self.null, self.elevation.value if null is None else null.m_as("degree"))
        self._usual_inversion()
        self.lines.value = phasing.written("lines") or 2
        limit = phasing.written("least_white_noise_gain")
        # without a limit the search finds what no one can build, so one is there unless the file wants none
        self.limited.value = NO_LIMIT if limit is None and _optional(phasing.rule, "least_white_noise_gain") else LIMIT
        controls.place(self.gain, FIRST_GAIN if limit is None else float(np.clip(limit.m_as("dB"), LEAST_GAIN, 99)))
        self._appear()

    def _usual_inversion(self) -> None:
        held = self.phasing.written("polarity_inversion")
        usual = _usual(self.rule.value, "polarity_inversion") if held is None else held
        self.inversion.value = "yes" if usual else "no"

    def _appear(self) -> None:
        rule = self.rule.value
        for control, key in (
            (self.null, "null_elevation"),
            (self.inversion, "polarity_inversion"),
            (self.lines, "lines"),
        ):
            control.layout.display = None if key in RULES[rule].keys else "none"
        limited, optional = "least_white_noise_gain" in RULES[rule].keys, _optional(rule, "least_white_noise_gain")
        self.limited.layout.display = None if optional else "none"
        self.gain.layout.display = "none" if not limited or (optional and self.limited.value == NO_LIMIT) else None

    def _other_rule(self, changed: Callable[[], None]) -> None:
        self._following = True
        self._usual_inversion()
        self._following = False
        self._appear()
        changed()

    def _own_null(self, changed: Callable[[], None]) -> None:
        self._null_is_own = (
            self.phasing.written("null_elevation") is not None or self.null.value != self.elevation.value
        )
        changed()

    def _follow(self) -> None:
        """Move the null along with the elevation, as long as it has not been set apart."""
        if not self._null_is_own:
            self._following = True
            controls.place(self.null, self.elevation.value)
            self._following = False


def _usual(rule: str, key: str) -> Any:
    """Return what a rule takes where the file does not write a key; None for a key that is not the rule's."""
    return RULES[rule].model_fields[key].default if key in RULES[rule].keys else None


def _optional(rule: str, key: str) -> bool:
    """Return whether a rule has a key that the file need not write."""
    return key in RULES[rule].keys and not RULES[rule].model_fields[key].is_required()


class GroundControls:
    """The ground: the file's own, a class, or two numbers."""

    def __init__(self, design: Design) -> None:
        content = design.content
        self.table, below = content.ground, content.ground_below()
        tip = "what the elements stand on"
        self.ground = controls.choice("ground", "ground", tip, (AS_FILED, *GROUND_CLASSES, ENTERED))
        self.permittivity = controls.slider(
            "permittivity", "relative permittivity", "13 is usual soil, 80 fresh water", 1, 81, 0.5
        )
        self.conductivity = controls.slider("conductivity", "conductivity (mS/m)", "5 is usual soil", 0, 100, STEP)
        known = below if isinstance(below, Ground) else Ground(13.0, "5 mS/m")
        controls.place(self.permittivity, min(known.relative_permittivity, 81.0))
        controls.place(self.conductivity, min(known.conductivity.m_as("mS/m"), 100.0))
        self._appear()

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.ground, self.permittivity, self.conductivity)

    def observe(self, changed: Callable[[], None]) -> None:
        """Call when any of it is changed by the user."""
        self.ground.observe(lambda _: self._appear(), "value")
        for control in self.rows:
            control.observe(lambda _: changed(), "value")

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file."""
        chosen = self.ground.value
        if chosen == AS_FILED:
            return {}
        wanted: dict[str, Any] = {"kind": chosen, "relative_permittivity": None, "conductivity": None}
        if chosen == ENTERED:
            conductivity = f"{self.conductivity.value:.6g} mS/m"
            wanted = {"relative_permittivity": self.permittivity.value, "conductivity": conductivity, "kind": None}
        held = {key: getattr(self.table, key, None) for key in wanted}
        return {("ground", key): value for key, value in wanted.items() if value is not None or held[key] is not None}

    def _appear(self) -> None:
        for control in (self.permittivity, self.conductivity):
            control.layout.display = None if self.ground.value == ENTERED else "none"


class PatternControls(DesignControls):
    """All controls over one design."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        super().__init__(design, changed, viewed, units)
        labels = ("band", "show band", "which band pattern and figures show")
        self.band_row = BandRow(labels, design.content.bands, viewed, changed)
        self.band_row.choose(design.content.phasing.cut_band)
        self.rule, self.ground = RuleControls(design, self.elevation), GroundControls(design)
        self.rule.observe(changed)
        self.ground.observe(changed)

    @property
    def band(self) -> widgets.SelectionSlider:
        """The band that is shown."""
        return self.band_row.band

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (
            Group("Array", self.size.rows),
            Group("Phasing", (*self.rule.rows[:1], self.elevation, *self.rule.rows[1:])),
            Group("View", (self.band_row.row, self.direction)),
            Group("Ground", self.ground.rows),
        )

    def copy_view(self, other: Self) -> None:
        """Show the direction and the band that the controls before showed."""
        super().copy_view(other)
        self.band.value = other.band.value

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        return {**super().changes(), **self.band_row.changes(), **self.rule.changes(), **self.ground.changes()}
