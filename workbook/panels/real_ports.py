"""Worksheet *delay lines between real ports*: ends in; errors of every channel, compensated lengths and pattern out."""

import math
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Self

import ipywidgets as widgets
import numpy as np

from workbook.design.hubs import HUBS
from workbook.errors import InputError
from workbook.figures.real_ports import LinesAlone, channel_picture, ends_of, length_picture, side_by_side_picture
from workbook.figures.style import for_screen
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cables
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.picture import Picture
from workbook.panels.plan_panel import PlanPanel
from workbook.panels.skeleton import Answer, Folds, Group, worksheet
from workbook.plan.cuts import design_cable
from workbook.plan.designs import Design
from workbook.plan.results import Terminations
from workbook.plan.stages import AnyPlan
from workbook.plan.terminations import LineAlone, line_alone
from workbook.tables import terminations
from workbook.tables.pattern import figure, front_to_back

UNSAID_OHM, LEAST_OHM, MOST_OHM, MOST_PERCENT = 75.0, 10.0, 300.0, 30.0
ASKED_DEG = (0.5, 1.0, 2.0, 5.0)
BY_LENGTH, FROM_ABOVE = "error against length", "from above: ideal, real, compensated"
HUB_WORDS = {
    "joined": "run and delay line form one path from the element's output to the port, and the combiner between them "
    "is taken as transparent, so that the run counts too.",
    "ladder": "as joined; a channel's line is made of the pieces up to its tap, and the taps between do not load it.",
    "ports": "run and delay line form one path from the element's output to its port, so that the run counts too, and "
    "the error of a channel differs from that of its line alone.",
}
STAGE_WORDS = "the hub's summing stage keeps runs and lines apart: it drives each line, and equal runs shift all alike."


class End(LinkedSlider):
    """One end of the lines: its impedance by slider or as typed, and by how much it may be off."""

    def __init__(
        self, name: str, held: Any, tolerance: float, tips: tuple[str, str], changed: Callable[[], None]
    ) -> None:
        self.name, self._unsaid = name, held is None
        self._filed = UNSAID_OHM if held is None else float(held.m_as("ohm"))
        super().__init__(Scale(name, name, tips[0], LEAST_OHM, MOST_OHM, 1), "ohm", self._filed, changed)
        most = max(MOST_PERCENT, math.ceil(tolerance * 100))
        self.tolerance = controls.slider(f"{name}-tolerance", f"{name} off by (%)", tips[1], 0, most, 0.5)
        controls.place(self.tolerance, tolerance * 100)
        self._tolerance_at_first = self.tolerance.value
        self.tolerance.observe(lambda _: changed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (*super().rows, self.tolerance)

    @property
    def assumed(self) -> bool:
        """Whether the impedance is neither the file's nor moved."""
        return self._unsaid and self.matches(self._filed)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what is said otherwise than in the file; what the file does not say at all is said."""
        found: dict[tuple[str, ...], Any] = {}
        if self._unsaid or not self.matches(self._filed):
            found["hub", f"{self.name}_impedance"] = self.text
        if self.tolerance.value != self._tolerance_at_first:
            found["hub", f"{self.name}_tolerance"] = round(self.tolerance.value / 100, 6)
        return found


class RealPortsControls:
    """Fresh controls over one design: what changes it in `rows`, what is only viewed in `looks`."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design, content = design, design.content
        hub = content.hub
        tip = "tolerance of this impedance, of each channel by itself"
        self.source = End(
            "source", hub.source_impedance, hub.source_tolerance, ("impedance of what drives each line", tip), changed
        )
        self.port = End(
            "port", hub.port_impedance, hub.port_tolerance, ("impedance of what ends each line", tip), changed
        )
        self.hub = controls.choice("hub", "kind of hub", "how elements are joined to the delay lines", tuple(HUBS))
        self.hub.value = hub.kind
        labels = ("cut-band", "cut band", "lines have exactly their delay on this band")
        self.cut_row = BandRow(labels, content.bands, changed, changed)
        self.cut_row.choose(content.phasing.cut_band)
        self.cut_band = self.cut_row.band
        self.cable = controls.choice("cable", "delay-line cable", "what the delay lines are made of", cables())
        self.cable.value = content.cables.delay_line
        self._slack = float(content.lengths.slack.m_as("m"))
        tip = "added to the longest run; all runs get that length"
        self.slack_amount = LinkedSlider(
            Scale("slack", "runs longer by", tip, 0, 30, 0.1, "zero"), "m", self._slack, changed, units
        )
        for control in (self.hub, self.cable):
            control.observe(lambda _: changed(), "value")
        self._looks(changed, viewed)

    def _looks(self, changed: Callable[[], None], viewed: Callable[[], None]) -> None:
        content = self.design.content
        labels = ("band", "show band", "which band the second picture shows")
        self.band_row = BandRow(labels, content.bands, viewed, changed)
        self.band_row.choose(content.phasing.cut_band)
        self.band_row.share(self.cut_row)
        self.band = self.band_row.band
        self.length = controls.slider(
            "length",
            "single line (deg)",
            "electrical length of one line on the band shown, for the second picture",
            0,
            360,
            1,
        )
        self.length.value = 45.0
        names = [direction.name for direction in content.directions]
        self.direction = controls.choice(
            "direction", "show direction", "switch position of the pattern that is shown", names
        )
        for control in (self.length, self.direction):
            control.observe(lambda _: viewed(), "value")

    @property
    def rows(self) -> tuple[widgets.Widget, ...]:
        """The controls in the order of the work."""
        return (*self.source.rows, *self.port.rows, self.hub, self.cut_row.row, self.cable, self.slack_amount.row)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        ends, lines = (*self.source.rows, *self.port.rows), (self.cut_row.row, self.cable, self.slack_amount.row)
        return (
            Group("Ends of the lines", (*ends, self.hub)),
            Group("Delay lines", lines),
            Group("View", (self.band_row.row, self.length, self.direction)),
        )

    @property
    def slack(self) -> widgets.FloatSlider:
        """By how much the runs are longer."""
        return self.slack_amount.slider

    @property
    def looks(self) -> tuple[widgets.Widget, ...]:
        """The controls of the second picture."""
        return (self.band, self.length, self.direction)

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file; untouched keys keep their text."""
        content, found = self.design.content, {**self.source.changes(), **self.port.changes(), **self.cut_row.changes()}
        for control, key, held in (
            (self.hub, ("hub", "kind"), content.hub.kind),
            (self.cut_band, ("phasing", "cut_band"), content.phasing.cut_band),
            (self.cable, ("cables", "delay_line"), content.cables.delay_line),
        ):
            if control.value != held:
                found[key] = control.value
        if not HUBS[self.hub.value].sums_first and content.hub.summing_impedance is not None:
            # only a hub that sums before its lines has such a stage
            found["hub", "summing_impedance"] = None
        if not self.slack_amount.matches(self._slack):
            found["lengths", "slack"] = self.slack_amount.text
        return found

    @property
    def assumed(self) -> bool:
        """Whether both ends are what the file leaves unsaid."""
        return self.source.assumed and self.port.assumed

    @property
    def untouched(self) -> bool:
        """Whether nothing but assumed ends is said otherwise than in the file."""
        return self.assumed and len(self.changes()) == len((self.source, self.port))

    def copy_view(self, other: Self) -> None:
        """Show the band, length and direction that the controls before showed."""
        for mine, before in zip(self.looks, other.looks, strict=True):
            mine.value = before.value

    def appear(self, picture: str) -> None:
        """Show what goes with the second picture."""
        self.length.layout.display = None if picture == BY_LENGTH else "none"
        self.direction.layout.display = None if picture == FROM_ABOVE else "none"

    def close(self) -> None:
        """Let go of the controls."""
        for group in self.groups:
            for row in group.rows:
                controls.close(row)


def needed(design: Design, plan: AnyPlan, band: str) -> str:
    """Return the answers to how well ends must be matched, for the accepted error first."""
    made_of = design_cable(design.content, design.content.cables.delay_line)
    errors = dict.fromkeys((plan.accept_deg, *ASKED_DEG))
    return terminations.needed_table(made_of, band, plan.band(band).frequency_hz, tuple(errors)).html()


CHANNELS, SECOND = "Read the error of every channel", "Read the second picture"
COMPENSATE, MATCHED = "Compensate and level", "Match the ends well enough"
PATTERNS = "Compare the patterns"
"""What is done with each fold of tables."""


def pages(plan: AnyPlan, ends: Terminations) -> dict[str, tuple[str, ...]]:
    """Return what the folds hold of a plan with its ends."""
    runs = plan.units.text(plan.element_runs.length_m)
    said = HUB_WORDS[plan.hub] if ends.summing_ohm is None else STAGE_WORDS
    done = "todo" if ends.worth_doing else "done"
    return {
        CHANNELS: (
            *(controls.sentence(text, "warning") for text in plan.warnings),
            controls.sentence(terminations.verdict(ends, plan.accept_deg), done),
            terminations.channel_table(plan, ends).html(),
            controls.sentence(f"Hub {plan.hub}, runs of {runs}: {said}", "note"),
        ),
        COMPENSATE: (
            "" if ends.worth_doing else controls.sentence(ends.note, "done"),
            terminations.compensation_table(plan, ends).html(),
            terminations.levelling_table(plan, ends).html(),
        ),
        PATTERNS: (terminations.side_by_side_table(plan, ends).html(),),
    }


def fired(plan: AnyPlan, ends: Terminations, direction: str, band: str) -> str:
    """Say what the ends do to the pattern of one direction on one band."""
    ideal = next(one for one in plan.direction(direction).bands if one.name == band)
    real = next(one for one in ends.directions if (one.direction, one.name) == (direction, band))
    rdf = (ideal.rdf_db, real.rdf_db, real.compensated_rdf_db)
    back = (ideal.front_to_back_db, real.front_to_back_db, real.compensated_front_to_back_db)
    return controls.sentence(
        f"Beam {direction} on {band}: RDF in dB {_by_kind(figure(one, 2) for one in rdf)}; "
        f"front-to-back in dB {_by_kind(map(front_to_back, rdf, back))}.",
        "done",
    )


def _by_kind(texts: Iterable[str]) -> str:
    return ", ".join(f"{text} {kind}" for text, kind in zip(texts, terminations.KINDS, strict=True))


class RealPortsPanel(PlanPanel[RealPortsControls]):
    """The controls of the worksheet and what they do; holds the design as it is shown and its plan."""

    parts = ("delay_lines", "warnings")

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.picture = controls.choice("picture", "picture", "what the second picture shows", (BY_LENGTH, FROM_ABOVE))
        self.errors, self.second = Picture(), Picture()
        self.note, self.answer = controls.page("note"), Answer()
        self.page = Folds(CHANNELS, SECOND, COMPENSATE, PATTERNS, MATCHED)
        self.picture.observe(lambda _: self.look(), "value")
        self.start()

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        return worksheet(
            (self.design_group.box(), self.note, self.sliders),
            (self.old, self.answer.page),
            (self.errors, widgets.VBox((self.picture, self.second))),
            self.page,
            self.status,
        )

    def make_controls(self, design: Design) -> RealPortsControls:
        """Return fresh controls."""
        return RealPortsControls(design, self.show, self.look, self.units.value)

    def has_results(self) -> bool:
        """Return whether anything is shown yet."""
        return bool(self.page.value)

    def standing(self, shown: Design) -> tuple[str, str]:
        """Return how the design stands to its file; that its ends are assumed is no change of the user's."""
        if self.design_controls.untouched:
            return f"as it is in the file; saving adds the assumed {UNSAID_OHM:g} ohm.", "done"
        return super().standing(shown)

    def as_changed(self) -> Design:
        """Return the design with what its reader changed here, which ends that are only assumed are not."""
        held = self.design_controls
        if not held.assumed:
            return self.shown
        ends = [("hub", f"{end.name}_impedance") for end in (held.source, held.port)]
        return held.design.changed({key: value for key, value in self.shown.changes.items() if key not in ends})

    def draw(self) -> None:
        """Show the plan, in the order of how soon each part is ready, since the browser shows each as it comes."""
        plan, ends = self.plan, self.plan.terminations
        self.mark_current()
        text = (
            f"The design gives no impedances of the hub: {UNSAID_OHM:g} ohm at both ends is assumed until you set them."
        )
        self.note.value = controls.tables(controls.sentence(text, "todo")) if self.design_controls.assumed else ""
        if ends is None:
            text = "This design needs no delay lines, so that its channels are all alike."
            warnings = (controls.sentence(text, "warning") for text in plan.warnings)
            self.page.clear()
            self.page.show(CHANNELS, *warnings, controls.sentence(text, "done"))
            self.answer.page.value = self.errors.svg = ""
        else:
            self.answer.show(terminations.terminations_answer(plan, ends))
            for title, parts in pages(plan, ends).items():
                self.page.show(title, *parts)
            self.page.show(MATCHED, needed(self.shown, plan, plan.cut_band))
            self.errors.svg = for_screen(channel_picture(plan, ends).svg())
            self.errors.describes = f"Phase error of every channel, {ends_of(plan, ends)}"
        self.draw_view()

    def draw_view(self) -> None:
        """Show the second picture and what belongs to it, or say why it cannot be."""
        picture, ends = self.picture.value, self.plan.terminations
        self.design_controls.appear(picture)
        if ends is None:
            self.second.svg = ""
            return
        band, direction = self.design_controls.band.value, self.design_controls.direction.value
        try:
            if picture == BY_LENGTH:
                lines = self._lines(ends, band)
                svg = length_picture(self.plan, lines, ends_of(self.plan, ends)).svg()
                said = terminations.line_table(
                    lines.looked_at, self.design_controls.cable.value, band, self.units.value
                ).html()
            else:
                svg = side_by_side_picture(self.plan, ends, direction, band).svg()
                said = fired(self.plan, ends, direction, band)
        except InputError as error:
            svg, said = "", controls.sentence(str(error), "refused")
        self.second.svg = for_screen(svg)
        self.page.show(SECOND, said)
        self.second.describes = f"{picture}, {direction} on {band}, {ends_of(self.plan, ends)}"

    def _lines(self, ends: Terminations, band: str) -> LinesAlone:
        """Return the lines by themselves: all lengths and the design's on every band, and the one viewed."""
        content = self.shown.content
        made_of = design_cable(content, content.cables.delay_line)
        pieces = np.array([[one.electrical_length_deg for one in line.bands] for line in self.plan.delay_lines])
        own = self.plan.hub_kind.at_taps(pieces)
        all_lengths = np.linspace(0, max(360.0, 45 * math.ceil(own.max() / 45)), 181)

        def alone(degrees: Any, hertz: float) -> LineAlone:
            return line_alone(made_of, degrees, hertz, ends.source_ohm, ends.port_ohm)

        bands = self.plan.bands
        return LinesAlone(
            curves={one.name: alone(all_lengths, one.frequency_hz) for one in bands},
            own={one.name: alone(own[:, number], one.frequency_hz) for number, one in enumerate(bands)},
            looked_at=alone(self.design_controls.length.value, self.plan.band(band).frequency_hz),
            band=band,
        )


def real_ports(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *delay lines between real ports*, on the design files of a folder."""
    return RealPortsPanel(Path(folder)).widget
