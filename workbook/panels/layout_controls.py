"""The controls of the worksheet *layout and stake-out*: shape, hub, bearings, and what is only viewed."""

import datetime
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Self

import ipywidgets as widgets
import numpy as np

from workbook.design.site import ARRAYS, MOST, AnyArray, Site
from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design

STEP, TURN_STEP, LONGEST = 0.1, 0.5, 60.0
TIPS = MappingProxyType(
    {
        "diameter": "across the ring",
        "side": "from corner to corner along a side",
        "spacing": "from one element of a row to the next",
        "width": "from one row to the other",
    }
)
TURNS = MappingProxyType(
    {
        "first_azimuth": ("first azimuth (deg)", "of element 1 from the centre, from true north"),
        "azimuth": ("azimuth (deg)", "along the row, toward its element 1, from true north"),
    }
)
NO_COMPASS, ENTERED, BY_PLACE = "no compass", "declination entered", "from place and date"
PLACE_KEYS = ("latitude", "longitude", "date")

Found = dict[tuple[str, ...], Any]


def sized(kind: str, count: int, distance: float, shape: float) -> dict[str, float]:
    """Return the sizes of a kind of array so far across [m]; `shape` is a row's distance to the next in spacings."""
    made = ARRAYS[kind]
    one = {key: shape if key == "width" else 1.0 for key in made.lengths}
    return {key: size * distance / made.across(count, one) for key, size in one.items()}


class ShapeControls:
    """Kind, count, sizes and turn of the array; a kind that is chosen is as far across as the one before."""

    def __init__(self, array: AnyArray, changed: Callable[[], None], units: LengthUnits) -> None:
        self.array, self._changed, self._units = array, changed, units
        metres = array.layout().metres
        self.total = min(len(metres), MOST)
        self.distance = float(np.linalg.norm(metres[:, None] - metres, axis=-1).max())
        self.sizes: dict[str, LinkedSlider] = {}
        self.turn_deg = float(getattr(array, array.turned_by).m_as("degree")) if array.turned_by else 0.0
        self.shape = array.sizes["width"] / array.sizes["spacing"] if array.kind == "two-row" else 1.0
        kinds = [kind for kind in ARRAYS if kind != "custom" or array.kind == "custom"]
        self.kind = controls.choice("kind", "kind", "how the elements are set out", kinds)
        self.kind.value = array.kind
        self.box = inner_column()
        self._fresh(array.sizes)
        self.kind.observe(lambda change: self._other_kind(change.old), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.kind, self.box)

    def count(self, kind: str) -> int:
        """Return how many elements a kind would have, of two rows those in each."""
        return math.ceil(self.total / 2) if kind == "two-row" else self.total

    def changes(self) -> Found:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        kind = self.kind.value
        made = ARRAYS[kind]
        if made.turned_by is None:
            return {}
        wanted: dict[str, Any] = {name: size.text for name, size in self.sizes.items()}
        if made.most:
            wanted["count"] = self.count(kind)
        wanted[made.turned_by] = f"{self.turn_deg:.6g} deg"
        if kind == self.array.kind:
            return {("array", name): value for name, value in wanted.items() if not self._is_filed(name)}
        whole = dict.fromkeys(sorted(self.array.model_fields_set)) | {"kind": kind} | wanted
        return {("array", name): value for name, value in whole.items()}

    def _is_filed(self, name: str) -> bool:
        filed = getattr(self.array, name)
        if name == "count":
            return bool(filed == self.count(self.kind.value))
        if name in self.sizes:
            return self.sizes[name].matches(float(filed.m_as("m")))
        return math.isclose(filed.m_as("degree"), self.turn_deg, abs_tol=1e-6)

    def _other_kind(self, old: str) -> None:
        kind = self.kind.value
        if old != "custom":
            sizes = {name: size.value for name, size in self.sizes.items()}
            self.distance = ARRAYS[old].across(self.count(old), sizes)
            self.shape = sizes["width"] / sizes["spacing"] if old == "two-row" else self.shape
        self._fresh({} if kind == "custom" else sized(kind, self.count(kind), self.distance, self.shape))
        self._changed()

    def _fresh(self, sizes: Mapping[str, float]) -> None:
        """Make the controls of the kind."""
        for control in self.box.children:
            controls.close(control)
        self.sizes = {name: self._size(name, metres) for name, metres in sizes.items()}
        self._before, self._after = self._counts(), self._turns()
        self._arrange()

    def _arrange(self) -> None:
        sizes = (size.row for size in self.sizes.values())
        self.box.children = (*self._before, *sizes, *self._after) or (_as_entered(),)

    def _size(self, key: str, metres: float) -> LinkedSlider:
        return LinkedSlider(Scale(key, key, TIPS[key], 1.0, LONGEST, STEP), "m", metres, self._changed, self._units)

    def _counts(self) -> tuple[widgets.Widget, ...]:
        """Return the slider of the count, where there is anything to count."""
        kind = self.kind.value
        most = ARRAYS[kind].most
        if most is None:
            return ()
        label = "count in each row" if kind == "two-row" else "count"
        made = controls.steps("count", label, "how many elements", range(2, most + 1))
        made.value = self.count(kind)
        made.observe(lambda change: self._recount(change.new), "value")
        return (made,)

    def _turns(self) -> tuple[widgets.Widget, ...]:
        """Return the slider that turns the array, where there is one."""
        key = ARRAYS[self.kind.value].turned_by
        if key is None:
            return ()
        made = controls.slider("azimuth", *TURNS[key], 0, 360, TURN_STEP)
        controls.place(made, self.turn_deg % 360)
        made.observe(lambda change: self._turn(change.new), "value")
        return (made,)

    def _recount(self, count: int) -> None:
        self.total = 2 * count if self.kind.value == "two-row" else count
        self._changed()

    def _turn(self, degrees: float) -> None:
        self.turn_deg = degrees
        self._changed()


def _as_entered() -> widgets.HTML:
    words = "Every position is entered; it is changed under Stakes, and another kind takes its place."
    return widgets.HTML(controls.tables(controls.sentence(words, "done")))


class HubControls:
    """Where the hub stands."""

    def __init__(self, design: Design, changed: Callable[[], None], units: LengthUnits) -> None:
        self.filed = [float(place.m_as("m")) for place in design.content.hub.position]
        size = float(np.abs(design.content.array.layout().metres).max())
        reach = math.ceil(max(30.0, 2 * size, *(2 * abs(place) for place in self.filed)))
        self.amounts = tuple(
            LinkedSlider(
                Scale(f"hub-{side}", f"hub {side}", f"how far {side} of the centre", -reach, reach, STEP, "any"),
                *("m", metres, changed, units),
            )
            for side, metres in zip(("east", "north"), self.filed, strict=True)
        )

    @property
    def sliders(self) -> tuple[widgets.FloatSlider, ...]:
        """How far east and north of the centre."""
        return tuple(amount.slider for amount in self.amounts)

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return tuple(amount.row for amount in self.amounts)

    def changes(self) -> Found:
        """Return what the controls say otherwise than the file."""
        if all(amount.matches(filed) for amount, filed in zip(self.amounts, self.filed, strict=True)):
            return {}
        return {("hub", "position"): [amount.text for amount in self.amounts]}


class BearingControls:
    """How bearings by compass are found; only what applies is shown."""

    def __init__(self, site: Site | None, changed: Callable[[], None]) -> None:
        self.site = site
        filed = NO_COMPASS if site is None else BY_PLACE if site.declination is None else ENTERED
        self.mode = controls.choice(
            "bearings", "bearings by compass", "what is known of magnetic north here", (NO_COMPASS, ENTERED, BY_PLACE)
        )
        self.mode.value = self.filed_mode = filed
        self.entries = {
            "declination": controls.entry(
                "declination", "declination (deg)", "how far magnetic north lies east of true north", "such as -3.5"
            ),
            "latitude": controls.entry("latitude", "latitude (deg)", "north positive, south negative", "such as 52.3"),
            "longitude": controls.entry("longitude", "longitude (deg)", "east positive, west negative", "such as -1.2"),
            "date": controls.entry("date", "date", "the day of staking out, year-month-day", "such as 2026-11-25"),
        }
        self.filed = {key: _written(getattr(site, key, None)) for key in self.entries}
        # today is the one thing that can be known
        first = self.filed | {"date": self.filed["date"] or datetime.date.today().isoformat()}
        for key, entry in self.entries.items():
            entry.value = first[key]
        self._appear()
        self.mode.observe(lambda _: self._appear(), "value")
        for control in self.rows:
            control.observe(lambda _: changed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (self.mode, *self.entries.values())

    def _appear(self) -> None:
        for key, entry in self.entries.items():
            entry.layout.display = None if key in self._wanted() else "none"

    def _wanted(self) -> tuple[str, ...]:
        return {NO_COMPASS: (), ENTERED: ("declination",), BY_PLACE: PLACE_KEYS}[self.mode.value]

    def changes(self) -> Found:
        """Return what the controls say otherwise than the file; an entry left blank is refused."""
        if self.mode.value == NO_COMPASS:
            return {} if self.site is None else {("site",): None}
        found: Found = {}
        for key, entry in self.entries.items():
            text = entry.value.strip()
            if key not in self._wanted():
                found |= {("site", key): None} if self.filed[key] else {}
            elif not text:
                raise InputError(
                    "is blank", where=key, remedy=f"write it like '{entry.placeholder.removeprefix('such as ')}'"
                )
            elif text != self.filed[key]:
                found["site", key] = text if key == "date" else controls.with_default_unit(text, "deg")
        return found


def _written(value: Any) -> str:
    if value is None:
        return ""
    return value.isoformat() if isinstance(value, datetime.date) else f"{value.m_as('degree'):.8g} deg"


class LayoutControls:
    """All of them, fresh for each design."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design, self._viewed = design, viewed
        self.shape = ShapeControls(design.content.array, changed, units)
        self.hub = HubControls(design, changed, units)
        self.bearings = BearingControls(design.content.site, changed)
        bands = design.content.bands
        names = sorted(bands, key=lambda name: bands[name].m_as("Hz"))
        labels = ("band", "highest band", "highest band that the stakes are set out for")
        self.band_row = BandRow(labels, {name: bands[name] for name in names}, viewed, changed)
        self.band_row.choose(names[-1])
        self.accept = controls.slider(
            "accept", "phase error (deg)", "phase error that a stake out of place may cause", 0.2, 10, STEP
        )
        controls.place(self.accept, 1.0)
        self.stake_box = inner_column()
        self.stake = self._stakes(design.content.array.layout().count)
        self.accept.observe(lambda _: viewed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (
            *(*self.shape.rows, *self.hub.rows, *self.bearings.rows),
            *(self.band_row.row, self.accept, self.stake_box),
        )

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (
            Group("Array", self.shape.rows),
            Group("Hub", self.hub.rows),
            Group("Compass", self.bearings.rows),
            Group("View", (self.band_row.row, self.accept, self.stake_box)),
        )

    @property
    def band(self) -> widgets.SelectionSlider:
        """The highest band."""
        return self.band_row.band

    def chosen(self, count: int) -> int:
        """Return the stake whose tapes are shown, among so many."""
        if count != len(self.stake.options):
            controls.close(self.stake)
            self.stake = self._stakes(count, self.stake.value)
        return int(self.stake.value)

    def _stakes(self, count: int, chosen: int = 3) -> widgets.Dropdown:
        made = controls.choice("stake", "tapes to stake", "stake to which tapes are drawn", range(1, count + 1))
        made.value = min(chosen, count)
        made.observe(lambda _: self._viewed(), "value")
        self.stake_box.children = [made]
        return made

    def changes(self) -> Found:
        """Return what the controls say otherwise than the file."""
        return self.shape.changes() | self.hub.changes() | self.bearings.changes() | self.band_row.changes()

    def copy_view(self, other: Self) -> None:
        """Show what the controls before showed."""
        self.band.value, self.accept.value = other.band.value, other.accept.value
        self.stake.value = min(other.stake.value, len(self.stake.options))  # there may be fewer now

    def close(self) -> None:
        """Let go of the controls."""
        for row in self.rows:
            controls.close(row)


def inner_column() -> widgets.VBox:
    """Return a column within a column, whose controls' edges are not cut off."""
    made = controls.column()
    made.layout.overflow = "visible"
    return made
