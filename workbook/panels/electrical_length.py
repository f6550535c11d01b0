"""Worksheet *electrical length and velocity factor*: one piece of cable given in one quantity, shown in all others."""

import contextlib
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from workbook.bands import band, bands
from workbook.design.schema import End
from workbook.errors import InputError
from workbook.figures.style import for_screen
from workbook.figures.velocity import velocity
from workbook.files import demo
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cable, cables, first_readable
from workbook.line.piece import (
    UNITS,
    VELOCITIES,
    Piece,
    delay_coefficient,
    kind_of,
    piece,
)
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import Scale
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import BackgroundSearch
from workbook.panels.reel import ReelCalibration
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.panels.units_switch import UnitsSwitch
from workbook.plan.designs import Design, load_design
from workbook.plan.line_costs import LineCosts
from workbook.plan.results import Cost
from workbook.tables.cables import band_table
from workbook.tables.lines import (
    check_note,
    ends_note,
    given_text,
    nominal_note,
    nominal_table,
    piece_answer,
    piece_table,
    sixteenth_note,
    temperature_table,
)
from workbook.units import Frequency, Quantity
from workbook.worksheets import remembered_design

FIRST_CABLE = "series-6-clad"
LOWEST_MHZ, HIGHEST_MHZ, LONGEST_M = 0.1, 1000.0, 10_000.0
# how far each amount slider goes, and its step
_REACH = {"length": (100.0, 0.01), "delay": (500.0, 0.1), "degrees": (720.0, 0.1)}
_REACH_FEET = (300.0, 0.05)
_CLADDING_STEP = 0.1
CUT, ERRORS, WARM = "Cut and check the piece", "Compare with the printed velocity factor", "Allow for temperature"
REEL = "Read the cable on every band"
"""What is done with each fold of tables."""
SEARCHING = "What these errors cost in the design follows as soon as its delay lines are found."
_WORDS = (
    "No settled value is published: two values for one class of solid polyethylene differ by a factor of eight. "
    "Take them as orders of magnitude, and measure your own reel cold and warm where it matters."
)


class ElectricalLengthPanel:
    """The controls and what they do; holds what is shown: frequency, cable, amount and delay coefficient."""

    def __init__(self, folder: Path) -> None:
        self.units, self.design = UnitsSwitch(folder), _design_of(folder)
        labels = ("band", "band", "band on which the piece is used")
        self.band = BandRow(labels, _frequencies_of(self.design), self._to_frequency, self._to_frequency, nearest=True)
        self.cable = controls.choice("cable", "cable", "what the piece is cut from", cables())
        self.given = controls.choice("given", "given as", "what you know of the piece", tuple(UNITS))
        self.exact = controls.entry("exact", "exact", "an exact amount; its unit says what it is", "")
        self.velocity = controls.choice("velocity", "velocity factor", "the one that the piece is cut by", VELOCITIES)
        self.coefficient = controls.entry(
            "coefficient", "delay drift (ppm/K)", "change of delay per kelvin; empty is unknown", "unknown"
        )
        self.cladding_place, self.amount_place = controls.column(), controls.column()
        self.answers = {
            name: _silent(controls.page(f"{name}-answer")) for name in ("frequency", "cable", "exact", "coefficient")
        }
        self.drawing, self.answer, self.page = Picture(), Answer(), Folds(CUT, ERRORS, REEL, WARM)
        self.drift: Any = None
        self._listing = False
        self.amount = Quantity(100.0, UNITS["delay"])
        self.given.value = "delay"
        searches = self.design is not None and self.design.content.phasing.searches
        self._costs = None if searches else _costs_of(self.design)
        self._search, self._searching, self._one_at_a_time = BackgroundSearch(), False, threading.RLock()
        if searches:
            self.page.when_opened(ERRORS, self._find_costs)
        self.cable.value = first_readable(FIRST_CABLE if self.design is None else self.design.content.cables.delay_line)
        self.whole = self.made_of = cable(self.cable.value)
        if self.design is not None and self.design.content.phasing.cut_band in self.band.band.options:
            self.band.choose(self.design.content.phasing.cut_band)
        self.used_at = self.band.frequency
        self.reel = ReelCalibration(self.units, lambda: self.whole, self._list_cables)
        self._fresh_cladding()
        self._observe()
        self._other_units()

    def _observe(self) -> None:
        self.units.observe(self._other_units)
        self.cable.observe(lambda _: None if self._listing else self._answered("cable", self._read_cable), "value")
        self.reel.observe(self._show_reel)
        self.given.observe(lambda _: self._convert(), "value")
        self.exact.observe(lambda _: self._answered("exact", self._read_exact), "value")
        self.velocity.observe(lambda _: self._show(), "value")
        self.coefficient.observe(lambda _: self._answered("coefficient", self._read_coefficient), "value")

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        said = self.answers
        groups = (
            Group("Piece", (self.given, self.amount_place, self.exact, said["exact"], self.velocity)),
            Group("Cable", (self.cable, said["cable"], self.cladding_place, self.coefficient, said["coefficient"])),
            Group("View", (self.band.row, said["frequency"], self.units.control)),
            Group("Calibrate the reel", self.reel.rows),
        )
        boxes = [group.box() for group in groups]
        return worksheet(boxes, (self.answer.page,), (self.drawing,), self.page)

    @property
    def shown(self) -> Piece:
        """The piece that all controls set."""
        return piece(self.made_of, self.used_at, self.amount, self.velocity.value)

    # --- what is entered ----------------------------------------------------------------------------------

    def _answered(self, name: str, read: Callable[[], None]) -> None:
        """Read an entry and show what it makes; one that cannot be used is answered below it."""
        answer = self.answers[name]
        try:
            read()
            _silent(answer)
        except InputError as error:
            answer.value = controls.tables(controls.sentence(f"{error} {self._still(name)}", "refused"))
            answer.layout.display = None
        self._show()

    def _still(self, name: str) -> str:
        """Return what stays shown while an entry cannot be used."""
        kept = {
            "frequency": _mhz(self.used_at),
            "cable": self.whole.name,
            "exact": f"{self.amount:.6g~P}",
            "coefficient": "a cable of unknown drift",
        }
        return f"Until then this is of {kept[name]}."

    def _to_frequency(self) -> None:
        self._answered("frequency", self._read_frequency)

    def _read_frequency(self) -> None:
        megahertz = self.band.frequency.m_as("MHz")
        if not LOWEST_MHZ <= megahertz <= HIGHEST_MHZ:
            raise InputError(
                f"got {megahertz:g} MHz", where="frequency", wanted=f"{LOWEST_MHZ:g} to {HIGHEST_MHZ:g} MHz"
            )
        self.used_at = Quantity(megahertz, "MHz")

    def _list_cables(self) -> None:
        """List the cables again after one was saved; the same stays chosen."""
        chosen, self._listing = self.cable.value, True
        self.cable.options = cables()
        self.cable.value = chosen
        self._listing = False

    def _other_reel(self) -> None:
        """Calibrate again, for another cable or in the other system."""
        self.reel.compute()
        self._show_reel()

    def _show_reel(self) -> None:
        self.page.show(REEL, band_table(self.reel.calibrated, self.units.value).html())

    def _read_cable(self) -> None:
        self.whole = self.made_of = cable(self.cable.value)
        self._fresh_cladding()
        self._other_reel()

    def _read_exact(self) -> None:
        if not self.exact.value.strip():
            return  # a moved slider has emptied it
        text = self.exact.value
        entered = piece(self.made_of, self.used_at, text, self.velocity.value)
        if entered.length.m_as("m") > LONGEST_M:
            raise InputError(
                f"{text} makes a piece longer than {LONGEST_M / 1000.0:g} km", where="exact", remedy="check the unit"
            )
        self.amount = entered.given
        if kind_of(self.amount) == "length":
            self.amount = self.amount.to(self.units.value.scale[0])
        if self.given.value == kind_of(entered.given):
            self._fresh_amount()
        else:
            self.given.value = kind_of(entered.given)

    def _read_coefficient(self) -> None:
        self.drift = None
        if text := controls.with_default_unit(self.coefficient.value, "ppm/K"):
            self.drift = delay_coefficient(text)

    # --- new sliders whenever their range or unit is another -----------------------------------------

    def _convert(self) -> None:
        """Give the same piece by its length, its delay or its electrical length."""
        kind, one = self.given.value, self.shown
        if kind_of(self.amount) != kind:
            converted = {"length": one.length, "delay": one.delay, "degrees": one.electrical_length}[kind]
            self.amount = converted.to(self._unit)
            self.exact.value = ""
        self._fresh_amount()
        self._show()

    def _other_units(self) -> None:
        units = self.units.value
        self.exact.description = f"exact ({units.scale[0]}, ns, deg)"
        self.exact.placeholder = f"such as {units.joined('26.9 m', '88 ft 3 1/2 in')}"
        if self.given.value == "length":
            self.amount = self.amount.to(self._unit)
        self._fresh_amount()
        self._other_reel()
        self._show()

    @property
    def _unit(self) -> str:
        """Unit of what is given."""
        kind = str(self.given.value)
        return self.units.value.scale[0] if kind == "length" else UNITS[kind]

    def _fresh_amount(self) -> None:
        kind, unit = self.given.value, self._unit
        reach, step = _REACH[kind]
        if unit == "ft":
            reach, step = _REACH_FEET
        label = f"{kind} ({'deg' if unit == 'degree' else unit})"
        made = Scale("amount", label, "of the piece, as given above", step, reach, step).slider(self.amount.m_as(unit))
        made.observe(lambda change: self._slide_amount(change.new), "value")
        controls.replace(self.amount_place, made)

    def _slide_amount(self, value: float) -> None:
        self.amount = Quantity(value, self._unit)
        self.exact.value = ""
        _silent(self.answers["exact"])
        self._show()

    def _fresh_cladding(self) -> None:
        found = self.whole.claddings
        least, typical, greatest = (
            (0.0, 0.0, 0.0) if found is None else (round(float(um), 3) for um in found.m_as("um"))
        )
        movable = greatest - least > _CLADDING_STEP
        why = "" if movable else ": none" if found is None else ": known"
        made = controls.slider(
            "cladding",
            f"cladding (um){why}",
            "copper on the steel of a clad centre, over the range of its record",
            *(least, greatest if movable else least + 1, _CLADDING_STEP),
        )
        made.disabled = not movable
        controls.place(made, typical)
        made.observe(lambda change: self._slide_cladding(change.new), "value")
        controls.replace(self.cladding_place, made)

    def _slide_cladding(self, um: float) -> None:
        self.made_of = self.whole.with_cladding(Quantity(um, "um"))
        self._show()

    # --- what is shown --------------------------------------------------------------------------------------

    def _find_costs(self) -> None:
        """Find what errors cost in a design that needs a search, once its table is opened; controls do not wait."""
        if self._costs is None and not self._searching:
            self._searching = True
            self._show()
            self._search.start(self._costs_found)

    def _costs_found(self, _: threading.Event) -> None:
        found = _costs_of(self.design)
        with self._one_at_a_time:
            self._costs, self._searching = found, False
            self._show()

    def _show(self) -> None:
        with self._one_at_a_time:
            self._show_piece()

    def _show_piece(self) -> None:
        one, units = self.shown, self.units.value
        state = _state(one, units)
        self.answer.show(piece_answer(one, units))
        self.page.show(CUT, *self._cut(one, units))
        costs = None if self._costs is None else self._cost
        waits = controls.sentence(SEARCHING if self._searching else "", "todo")
        note = controls.sentence(nominal_note(one, units), "note")
        self.page.show(ERRORS, waits, nominal_table(one, units, costs).html(), note)
        self.page.show(WARM, temperature_table(one, self.drift).html(), controls.sentence(_WORDS, "note"))
        self.drawing.describes = f"Velocity factor of {one.cable.name} against frequency, {state}"
        self.drawing.svg = for_screen(velocity(one, self.whole, state, self.drift).svg())

    def _cut(self, one: Piece, units: LengthUnits) -> Iterator[str]:
        """Yield what to cut, and over which length it counts."""
        yield piece_table(one, self.whole, units).html()
        end = End() if self.design is None else self.design.content.ends.delay_line
        with contextlib.suppress(InputError):  # so long that it has no check frequency, which the next note says
            yield controls.sentence(ends_note(one, end.strip.m_as("m"), end.delay.m_as("s"), units), "note")
        for text in filter(None, (check_note(one, self.whole), sixteenth_note(one, units))):
            yield controls.sentence(text, "note")
        guessed = self.whole.estimated_below
        if guessed is not None and one.frequency < guessed:
            text = f"Estimated: nothing is published of {self.whole.name} below {_mhz(guessed)}."
            yield controls.sentence(text, "warning")

    def _cost(self, name: str, late_deg: float) -> Cost | None:
        """Return what it costs the design if its longest line is late by so much on a band; None on other bands."""
        plan = None if self._costs is None else self._costs.plan
        if self._costs is None or plan is None or name not in [one.name for one in plan.bands]:
            return None
        return self._costs.of_line(plan.cut_order[0].label, name, late_deg)


def _design_of(folder: Path) -> Design | None:
    """Return the design chosen last for the worksheets, else the demo; None where it cannot be read."""
    try:
        return load_design(remembered_design(folder) or demo())
    except InputError:
        return None


def _frequencies_of(design: Design | None) -> dict[str, Frequency]:
    """Return the middle of every band, and the frequencies that a design has, in rising order."""
    own = {} if design is None else dict(design.content.bands)
    found = {name: band(name).centre for name in bands()} | own
    inside = {name: at for name, at in found.items() if LOWEST_MHZ <= at.m_as("MHz") <= HIGHEST_MHZ}
    return dict(sorted(inside.items(), key=lambda one: float(one[1].m_as("Hz"))))


def _costs_of(design: Design | None) -> LineCosts | None:
    """Return what errors of lines cost in a design that has lines, searched for where its rule requires it."""
    if design is None:
        return None
    try:
        plan = design.stages().computed("directions", "delay_lines")
    except InputError:
        return None
    return LineCosts(plan) if plan.delay_lines else None


def _state(one: Piece, units: LengthUnits) -> str:
    """Return in one line what the picture shows."""
    found = one.cable.claddings
    copper = "" if found is None else f"{found.m_as('um')[1]:g} um of copper; "
    factor = f"{one.velocity_factor:.4f}" if one.velocity == "true" else f"{one.velocity_factor:g}"
    return f"{copper}{given_text(one, units)} at {_mhz(one.frequency)} by {one.velocity} {factor}"


def _mhz(frequency: Any) -> str:
    return f"{frequency.m_as('MHz'):g} MHz"


def _silent(answer: widgets.HTML) -> widgets.HTML:
    """Empty an answer, and hide its row."""
    answer.value, answer.layout.display = "", "none"
    return answer


def electrical_length(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *electrical length and velocity factor*, beginning with the chosen design."""
    return ElectricalLengthPanel(Path(folder)).widget
