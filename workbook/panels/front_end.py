"""Worksheet *element front end*: vertical, chokes and buffer in; response, phase between elements and levels out."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Self

import ipywidgets as widgets

from workbook.design.reception import usual_front_end
from workbook.errors import InputError
from workbook.figures.front_end import front_end_picture
from workbook.figures.style import for_screen
from workbook.formatting import FOOT, LengthUnits
from workbook.panels import controls
from workbook.panels.key_controls import Key, KeySliders, with_usual
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.plan.designs import Design
from workbook.receive.transmitters import Transmitter
from workbook.tables import receive
from workbook.units import Quantity

RESPONSE, MATCH, PROTECT = "Read the response on each band", "Match the chokes", "Protect the buffers"
"""What is done with each fold of tables."""
ASSUMED = "The design file has no [front_end]: what many build is shown until you move a control."
VERTICAL = (
    Key("front_end", "height", Scale("height", "height", "of the vertical above ground", 0.5, 15, 0.1), "m"),
    Key("front_end", "diameter", Scale("diameter", "diameter", "of the rod or wire", 1, 200, 1), "mm"),
)
CHOKES = (
    Key(
        "front_end",
        "choke_inductance",
        Scale("inductance", "chokes in series", "inductance of all together; 0 for none", 0, 600, 5, "zero"),
        "uH",
    ),
    Key("front_end", "choke_q", Scale("q", "Q of the chokes", "0 for no loss", 0, 300, 1, "zero"), none=0.0),
    Key(
        "front_end",
        "choke_capacitance",
        Scale("choke-capacitance", "self-capacitance", "of all chokes in series", 0, 20, 0.1, "zero"),
        "pF",
    ),
    Key(
        "front_end",
        "choke_tolerance",
        Scale("choke-tolerance", "tolerance (%)", "of the inductance from element to element", 0, 40, 0.5, "zero"),
        times=100.0,
    ),
)
BUFFER = (
    Key(
        "front_end",
        "input_resistance",
        Scale("input-resistance", "input resistance", "of the buffer", 1, 2000, 1),
        "kohm",
    ),
    Key(
        "front_end",
        "input_capacitance",
        Scale("input-capacitance", "input capacitance", "of the buffer with its wiring", 0, 100, 1, "zero"),
        "pF",
    ),
    Key(
        "front_end",
        "greatest_voltage",
        Scale("limit", "survives", "greatest voltage (rms) at the buffer's input", 0.1, 50, 0.1),
        "V",
    ),
)


class FrontEndControls:
    """Fresh controls over one design: its front end, and a transmitter to try, which is not saved."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design = design
        self._usual = usual_keys(design, units)
        content = design.changed(self._usual).content
        self.vertical, self.chokes, self.buffer = (
            KeySliders(keys, content, changed, units) for keys in (VERTICAL, CHOKES, BUFFER)
        )
        self.power = LinkedSlider(
            Scale("power", "power radiated", "of a transmitter to try", 1, 2000, 1), "W", 400.0, viewed
        )
        self.distance = LinkedSlider(
            Scale("distance", "distance", "from its antenna to the nearest element", 5, 500, 1),
            "m",
            100.0,
            viewed,
            units,
            300 * FOOT,
        )
        self.frequency = LinkedSlider(
            Scale("frequency", "frequency", "of that transmitter", 1.8, 30, 0.05), "MHz", 7.1, viewed
        )

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        tried = (self.power.row, self.distance.row, self.frequency.row)
        return (
            Group("Vertical", self.vertical.rows),
            Group("Chokes", self.chokes.rows),
            Group("Buffer", self.buffer.rows),
            Group("Transmitter to try", tried),
        )

    @property
    def assumed(self) -> bool:
        """Whether the file says no front end, and none was moved."""
        return bool(self._usual) and not self.changes()

    @property
    def transmitter(self) -> Transmitter:
        """The transmitter to try."""
        name = f"to try, {self.frequency.value:.4g} MHz"
        return Transmitter(name, self.power.text, self.distance.text, self.frequency.text)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file."""
        moved = {**self.vertical.changes(), **self.chokes.changes(), **self.buffer.changes()}
        return with_usual(moved, self._usual)

    def copy_view(self, other: Self) -> None:
        """Try the transmitter that the controls before tried."""
        for name in ("power", "distance", "frequency"):
            getattr(self, name).stand_as(getattr(other, name))

    def close(self) -> None:
        """Let go of the controls."""
        for each in (self.vertical, self.chokes, self.buffer):
            each.close()
        for amount in (self.power, self.distance, self.frequency):
            controls.close(amount.row)


def usual_keys(design: Design, units: LengthUnits) -> dict[tuple[str, ...], Any]:
    """Return what is taken where a design says no front end; nothing where it does, but for the voltage survived."""
    content = design.content
    usual = usual_front_end(max(content.band_hertz.values()), units)
    if content.front_end is None:
        return usual
    limit = ("front_end", "greatest_voltage")
    return {} if content.front_end.greatest_voltage is not None else {limit: usual[limit]}


class FrontEndPanel(PlanPanel[FrontEndControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("reception",)

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.picture, self.answer, self.page = Picture(), Answer(), Folds(RESPONSE, MATCH, PROTECT)
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (self.design_group.box(), self.sliders)
        return worksheet(groups, (self.old, self.answer.page), (self.picture,), self.page, self.status)

    def make_controls(self, design: Design) -> FrontEndControls:
        """Return fresh controls."""
        return FrontEndControls(design, self.show, self.look, self.units.value)

    def work_out(self, design: Design, moved: bool) -> None:
        """Plan the design, with the usual front end where it says none."""
        super().work_out(design.changed(usual_keys(design, self.units.value)), moved)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.answer.value)

    def draw(self) -> None:
        """Show what the front end does."""
        found, table = self.plan.reception, self.plan.design.front_end
        assert found is not None  # the usual front end is there where the design says none
        assert table is not None
        front_end = table.front_end()
        try:
            tried = self.plan.chain.voltages([self.design_controls.transmitter])
        except InputError as error:
            self.refuse(error)
            return
        bands = {band.name: band.frequency_hz for band in self.plan.bands}
        self.mark_current(ASSUMED if self.design_controls.assumed else "")
        self.answer.show(receive.front_end_answer(found, tried[0], self.plan.name))
        self.picture.svg = for_screen(front_end_picture(front_end, table.choke_tolerance, bands).svg())
        self.picture.describes = receive.front_end_sentence(front_end)
        frequencies = {name: Quantity(hertz, "Hz") for name, hertz in bands.items()}
        said = controls.sentence(receive.front_end_sentence(front_end), "done")
        self.page.show(RESPONSE, said, receive.response_table(front_end, frequencies).html())
        matched = controls.sentence(receive.choke_sentence(found), "done")
        self.page.show(MATCH, matched, receive.choke_table(found).html())
        own = (*found.transmitters, *tried)
        sentences = (controls.sentence(text, "note") for text in receive.transmitter_sentences(own))
        self.page.show(PROTECT, receive.transmitter_table(own).html(), *sentences)


def front_end(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *element front end*, on the design files of a folder."""
    return FrontEndPanel(Path(folder)).widget
