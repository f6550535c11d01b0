"""Worksheet *ground and entry*: rods, soil, strap and surge in; resistances, voltages, drawing and checklists out."""

import math
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import ipywidgets as widgets

from workbook.array.ground import USUAL_GROUND, Ground
from workbook.errors import InputError
from workbook.figures.ground import entry_drawing, strap_picture
from workbook.figures.style import for_screen
from workbook.files import demo
from workbook.formatting import FOOT, LengthUnits
from workbook.ground.conductors import SURGE_WAVES
from workbook.ground.entry import Entry, Rods, Strap
from workbook.ground.rods import SHAPES, SOILS, ground_resistivity
from workbook.ground.shield import shield_choke
from workbook.panels import controls
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.picture import Picture
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.panels.units_switch import UnitsSwitch
from workbook.plan.designs import load_design
from workbook.receive.front_end import FrontEnd
from workbook.receive.vertical import short_vertical
from workbook.tables import ground as tables
from workbook.tables.ground_checklists import CAUTIONS, checklists
from workbook.units import Quantity, quantity
from workbook.worksheets import design_files, names_of_designs, remember_design

OF_DESIGN, ENTERED = "ground of the design", "entered"
COUNTS = (1, 2, 3, 4, 6, 8, 12, 16, 20, 24, 32)
CARE, RODS, JOIN, ELEMENTS, METALS, CHECK = (
    "Take care first",
    "Drive the rods",
    "Join everything at one point",
    "Ground the elements",
    "Choose metals",
    "Check and measure",
)
"""What is done with each fold of tables."""
AMOUNTS = MappingProxyType(
    {
        "resistivity": ("resistivity", "of the soil; a measured one replaces it", 5, 2000, 5, "ohm*m", 200.0, None),
        "rod-length": ("rod length", "length of each rod in the soil", 0.5, 6, 0.05, "m", 2.4, 8 * FOOT),
        "rod-spacing": ("rod spacing", "from each rod to the next", 0.5, 15, 0.05, "m", 2.4, 8 * FOOT),
        "strap-length": ("strap length", "from the panel to the first rod", 0.1, 10, 0.05, "m", 0.6, 2 * FOOT),
        "strap-width": ("strap width", "of the flat strap", 5, 300, 5, "mm", 50.0, 50.8),
        "distance": ("other earth at", "distance of an earth that is not joined", 3, 100, 0.5, "m", 20.0, 65 * FOOT),
        "element-ground": ("ground of element", "resistance of an element's rods", 5, 1000, 5, "ohm", 100.0, None),
        "turn-resistance": ("turn, resistance", "of one turn of cable on the core", 1, 200, 1, "ohm", 25.0, None),
        "turn-reactance": ("turn, reactance", "of one turn of cable on the core", 0, 200, 1, "ohm", 20.0, None),
    }
)
"""Amounts: label, what it is, usual ends, step, unit, and the value at first, also where lengths are in feet."""
SMALL = MappingProxyType(
    {"rod diameter": ("of each rod", "16", "5/8 in"), "strap thickness": ("of the strap", "0.5", "0.02")}
)
"""Sizes that are only typed: what each is, and the usual one in millimetres and in inches."""
USUAL_VERTICAL = MappingProxyType({LengthUnits.METRIC: ("7 m", "25 mm"), LengthUnits.FEET: ("23 ft", "1 in")})
"""Height and diameter of the vertical where the design has no `[front_end]`."""


class GroundPanel:
    """The controls of the worksheet and what they do; nothing is written."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.units = folder, UnitsSwitch(folder)
        names = tuple(dict.fromkeys(names_of_designs(folder, design_files(folder))))
        self.file = controls.choice("file", "design file", "gives ground, bands and front end", names)
        self.soil = controls.choice("soil", "soil", "sets the resistivity", (OF_DESIGN, *SOILS, ENTERED))
        self.amounts: Mapping[str, LinkedSlider] = {name: self._amount(name) for name in AMOUNTS}
        self.shape = controls.choice("shape", "rods stand in a", "how the rods are set out", SHAPES)
        self.count = controls.steps("count", "rods", "how many rods are joined", COUNTS)
        self.small = {
            name: controls.entry(name.replace(" ", "-"), name, about, "") for name, (about, *_) in SMALL.items()
        }
        self.diameter, self.thickness = self.small.values()
        self.wave = controls.choice("wave", "surge", "a standard wave: front/half time in µs", tuple(SURGE_WAVES))
        self.share = controls.slider("share", "share of it (%)", "that takes this path", 1, 100, 1)
        self.rejection = controls.slider("rejection", "rejection (dB)", "of shield current, wanted", 6, 60, 1)
        self.count.value = 2
        self.share.value, self.rejection.value = 100, 30
        self.drawing, self.chart, self.answer = Picture(), Picture(), Answer()
        self.page = Folds(CARE, RODS, JOIN, ELEMENTS, METALS, CHECK)
        self.status = controls.page("status")
        self._placing, self._small_unit = False, "mm"
        self._write_small(self.units.value)
        self._listen()
        self._start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        row = {name: amount.row for name, amount in self.amounts.items()}
        rods = (row["rod-length"], row["rod-spacing"], self.diameter)
        strap = (row["strap-length"], row["strap-width"], self.thickness)
        turn = (row["turn-resistance"], row["turn-reactance"])
        groups = (
            Group("Design", (self.file, self.units.control)),
            Group("Soil and rods", (self.soil, row["resistivity"], self.shape, self.count, *rods)),
            Group("Strap and surge", (*strap, self.wave, self.share, row["distance"])),
            Group("Element and choke", (row["element-ground"], self.rejection, *turn)),
        )
        boxes = [group.box() for group in groups]
        return worksheet(boxes, [self.answer.page], [self.drawing, self.chart], self.page, self.status)

    def _amount(self, name: str) -> LinkedSlider:
        label, tip, low, high, step, unit, value, in_feet = AMOUNTS[name]
        least = "zero" if name == "turn-reactance" else "above zero"
        changed = self._enter if name == "resistivity" else self._show
        scale = Scale(name, label, tip, low, high, step, least)
        return LinkedSlider(scale, unit, value, changed, self.units.value, in_feet)

    def _listen(self) -> None:
        for control in (self.shape, self.count, *self.small.values(), self.wave, self.share, self.rejection):
            control.observe(lambda _: None if self._placing else self._show(), "value")
        self.file.observe(lambda _: self._load(), "value")
        self.soil.observe(lambda _: self._choose_soil(), "value")
        self.units.observe(self._other_units)

    # --- what is known of the design and the soil -------------------------------------------------------------

    def _start(self) -> None:
        """Show the design chosen last, else the first that can be read; say which one cannot."""
        refused = ""
        for name in self.file.options:
            try:
                self.design = load_design(self.folder / name)
            except InputError as error:
                refused = refused or str(error)
                continue
            self._place(self.file, name)
            break
        else:
            self.design = load_design(demo())
        self._follow_design()
        if refused:
            self._say(refused)

    def _place(self, control: widgets.Dropdown | widgets.Text, value: str | None) -> None:
        """Set a control without following it."""
        self._placing, before = True, self._placing
        control.value = value
        self._placing = before

    def _load(self) -> None:
        """Read the design that was chosen; one that cannot be read is answered, and the list goes back."""
        if self._placing:
            return
        try:
            design = load_design(self.folder / self.file.value)
        except InputError as error:
            path = self.design.path
            here = [name for name in self.file.options if path is not None and (self.folder / name) == path]
            self._place(self.file, here[0] if here else None)
            self._say(str(error))
            return
        self.design = design
        remember_design(self.folder, self.folder / self.file.value)
        self._follow_design()

    def _follow_design(self) -> None:
        """Show lengths, ground and bands as the design has them."""
        self.units.follow(self.design.content.units)
        self._follow_soil()
        self._other_units()

    def _follow_soil(self) -> None:
        """Set the resistivity to that of the soil: of a range its geometric middle."""
        if self.soil.value == ENTERED:
            return
        if self.soil.value == OF_DESIGN:
            below = self.design.content.ground_below()
            real = below if isinstance(below, Ground) and below.conductivity.magnitude > 0 else USUAL_GROUND
            middle = ground_resistivity(real.conductivity).m_as("ohm*m")
        else:
            found = SOILS[self.soil.value]
            middle = math.sqrt(found.least.m_as("ohm*m") * found.greatest.m_as("ohm*m"))
        self.amounts["resistivity"].set(round(middle, 1))

    def _choose_soil(self) -> None:
        if not self._placing:
            self._follow_soil()
            self._show()

    def _enter(self) -> None:
        """A resistivity that was set is no longer that of a kind of soil."""
        self._place(self.soil, ENTERED)
        self._show()

    def _other_units(self) -> None:
        for amount in self.amounts.values():
            amount.use(self.units.value)
        self._write_small(self.units.value)
        self._show()

    def _write_small(self, units: LengthUnits) -> None:
        """Write the usual sizes in this system; a number that was typed keeps its unit."""
        before, (unit, _) = self._small_unit, units.small_scale
        self._small_unit = unit
        for name, control in self.small.items():
            usual = dict(zip(("mm", "in"), SMALL[name][1:], strict=True))
            control.description, control.placeholder = f"{name} ({unit})", f"such as {usual[unit]}"
            if control.value in ("", usual[before]):
                self._place(control, usual[unit])
            elif unit != before:
                self._place(control, controls.with_default_unit(control.value, before))

    # --- what comes of it -------------------------------------------------------------------------------------

    def _read(self, name: str) -> Quantity:
        return self.amounts[name].quantity

    def _entry(self) -> Entry:
        """Return what the controls say, or refuse."""
        diameter, thickness = (
            quantity(controls.with_default_unit(control.value, self._small_unit)) for control in self.small.values()
        )
        rods = Rods(
            self._read("resistivity"),
            self._read("rod-length"),
            diameter,
            self._read("rod-spacing"),
            self.count.value,
            self.shape.value,
        )
        strap = Strap(self._read("strap-length"), self._read("strap-width"), thickness)
        return Entry(rods, strap, self.wave.value, self.share.value / 100, self._read("distance"))

    def _front_end(self) -> tuple[FrontEnd, str]:
        table = self.design.content.front_end
        if table is not None:
            return table.front_end(), ""
        height, diameter = USUAL_VERTICAL[self.units.value]
        said = f"Computed for a vertical of {height} before 1 Mohm and 15 pF, since the design has no [front_end]."
        return FrontEnd(short_vertical(height, diameter), "1 Mohm", "15 pF"), said

    def _show(self) -> None:
        """Show what the controls say; a refusal is answered, and the last result stays."""
        try:
            entry = self._entry()
            line = tables.entry_answer(entry, self.design.content.bands)
            pages = {CARE: self._care(), RODS: self._rods(entry), JOIN: self._join(entry), ELEMENTS: self._elements()}
        except InputError as error:
            self._say(f"{error} What is shown is the last result that could be computed.")
            return
        self.status.value = ""
        self.answer.show(line)
        for title, parts in pages.items():
            self.page.show(title, *parts)
        self.page.show(METALS, tables.metals_table().html())
        self.page.show(CHECK, *(table.html() for table in checklists()))
        self.drawing.describes = f"Entry panel, strap and {entry.rods.count} rods in a {entry.rods.shape}"
        self.drawing.svg = for_screen(entry_drawing(entry, self.design.content.bands, self.units.value))
        self.chart.describes = "Voltage along a wire and straps against their length while a surge rises"
        self.chart.svg = for_screen(strap_picture(entry, self.units.value).svg())

    def _care(self) -> tuple[str, ...]:
        return tuple(controls.sentence(text, "warning") for text in CAUTIONS)

    def _rods(self, entry: Entry) -> tuple[str, ...]:
        table = tables.rods_table(entry.rods, self.units.value)
        return (table.html(), controls.sentence(tables.RADIO_GROUND, "note"), tables.soils_table().html())

    def _join(self, entry: Entry) -> tuple[str, ...]:
        lengths = tables.strap_lengths(entry.strap, self.units.value)
        return (
            controls.sentence(tables.one_point_sentence(entry.along, entry.rise, entry.between), "note"),
            tables.surge_table(entry.strap.inductance, entry.rods.resistance, share=entry.share).html(),
            tables.reactance_table(lengths, self.design.content.bands).html(),
            controls.sentence(tables.BRAID_AND_BENDS, "note"),
        )

    def _elements(self) -> tuple[str, ...]:
        front_end, usual = self._front_end()
        ground = self._read("element-ground")
        turn = Quantity(
            complex(self._read("turn-resistance").m_as("ohm"), self._read("turn-reactance").m_as("ohm")), "ohm"
        )
        wanted = Quantity(self.rejection.value, "dB")
        return (
            tables.element_table(front_end, self.design.content.bands, ground).html(),
            controls.sentence(usual, "note"),
            controls.sentence(tables.choke_sentence(shield_choke(turn, ground, wanted), wanted, ground), "note"),
        )

    def _say(self, text: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, "refused"))


def ground_and_entry(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *ground and entry*, on the design files of a folder."""
    return GroundPanel(Path(folder)).widget
