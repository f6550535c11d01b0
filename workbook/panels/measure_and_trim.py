"""Worksheet *measure and trim*: readings and sweeps of a plan's pieces in, verdicts and the array as built out."""

import datetime
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import numpy as np

from workbook.bench.distance import distance_response
from workbook.bench.measured import Measured
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.measuring import measure_line, measure_resonance
from workbook.bench.reading import sweep_in
from workbook.bench.record import append_measurements, measurement, read_record, record_path
from workbook.bench.sweeps import Sweep, impedance_sweep
from workbook.checks import positive
from workbook.errors import InputError
from workbook.figures.measuring import distance_chart, sweep_chart
from workbook.figures.phase_error import before_after_picture
from workbook.figures.style import for_screen
from workbook.files import shipped
from workbook.line.lengths import input_impedance, length_from_check_frequency
from workbook.panels import controls
from workbook.panels.band_row import BandRow
from workbook.panels.picture import Picture
from workbook.panels.skeleton import PREVIOUS, Answer, Folds, Group, OldMark, worksheet
from workbook.panels.units_switch import UnitsSwitch
from workbook.plan.as_built import AsBuilt, as_built
from workbook.plan.designs import load_design
from workbook.plan.reel_velocity import measured_velocity, velocity_changes
from workbook.plan.single_faults import SourceSignal, levels_in, likeliest_fault, source
from workbook.plan.stages import Stages
from workbook.plan.trimming import PieceTrim, line_of, piece_names, trim_plan, wanted_piece
from workbook.tables.as_built import built_table, correction_sentence
from workbook.tables.measuring import contradictions, distance_sentences, line_table, trim_answer
from workbook.tables.record import movement_sentences
from workbook.tables.reel_velocity import reel_mean_sentence
from workbook.tables.single_faults import fault_sentence, levels_table
from workbook.tables.trimming import short_sentence, trim_table
from workbook.units import FloatArray, Frequency, Quantity
from workbook.worksheets import design_files, names_of_designs, remember_design, remember_readings, remembered_readings

TRIM, BUILT, REEL = "Trim the pieces", "As built", "Measure the reel"
LEVELS, SEASON = "Find a fault by levels", "Compare with last season"
SWEEP, DISTANCE, PATTERN = "sweep", "distance", "pattern as built"
PRACTICE = shipped("notebooks") / "practice"
SIMULATED = "These are simulated practice sweeps with planted faults, measured on nothing."
REACH = 1.25
"""How far the picture of distance reaches, in lengths of the piece."""
_GRID: FloatArray = np.arange(0.05e6, 40.01e6, 0.05e6)


class MeasureAndTrimPanel:
    """The controls and what they do; nothing is written but by the button, which appends to the record."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.typed, self.sweeps = folder, dict[str, str](), dict[str, Sweep]()
        self.lines: dict[str, MeasuredLine] = {}
        self.tapes: dict[str, str] = {}
        self.reel: Measured | None = None
        self.trims: tuple[PieceTrim, ...] = ()
        self._known: tuple[Any, Any] = ((), None)
        names = design_files(folder)
        self.file = controls.choice("file", "design file", "the design files in this folder", names)
        chosen = names_of_designs(folder, names)[0]
        self.file.options = tuple(dict.fromkeys((*self.file.options, chosen)))
        self.file.value = chosen
        self.piece = controls.choice("piece", "piece", "the piece that is measured; runs by their element")
        tip = "lowest frequency of zero reactance, connectors fitted, far end open"
        self.units = UnitsSwitch(folder)
        self.reading = controls.entry("reading", "reading (MHz)", tip, "such as 1.9552")
        self.upload = widgets.FileUpload(accept=".s1p,.csv,.txt", multiple=False, description="or a sweep file")
        self.upload.tooltip = "one port, far end open, connectors fitted: Touchstone or a table of R and X"
        self.upload.add_class("upload")
        self.practice = controls.tick("practice", "practice set", "simulated sweeps of every piece of the demo")
        self.keep = controls.button("keep", "write into the record", "appends the readings to a CSV beside the design")
        self.picture_of = controls.choice("picture", "picture", "which picture is shown", (SWEEP, DISTANCE, PATTERN))
        self.direction = controls.choice("direction", "direction", "the switch position of the pattern as built")
        self.band_place = controls.column()
        tip = "cable between the connectors of this piece by tape; gives the velocity factor of its reel"
        self.tape = controls.entry("tape", "length by tape", tip, "")
        self.put = controls.button(
            "put-reel", "put it into the design", "writes the velocity factor into the design file"
        )
        self.put.on_click(lambda _: self._put())
        self._make_levels()
        self.old, self.answer, self.page = OldMark(), Answer(), Folds(TRIM, BUILT, REEL, LEVELS, SEASON)
        self.picture, self.status = Picture(), controls.page("status")
        self._taking = False
        self._load()
        for control, action in (
            (self.file, self._load),
            (self.piece, self._choose),
            (self.reading, self._type),
            (self.practice, self._practise),
        ):
            control.observe(lambda _, action=action: None if self._taking else action(), "value")
        self.tape.observe(lambda _: None if self._taking else self._tape(), "value")
        for control in (self.picture_of, self.direction, self.azimuth, self.levels):
            control.observe(lambda _: None if self._taking else self._show(), "value")
        self.units.observe(self._other_units)
        self.upload.observe(lambda change: self._take(change.new), "value")
        self.keep.on_click(lambda _: self._keep())

    def _make_levels(self) -> None:
        """Make the fields of the signal and of the levels when one element at a time is disconnected."""
        self.azimuth = controls.entry("azimuth", "signal from (deg)", "azimuth that it comes from", "such as 60")
        self.azimuth.value = "60"
        tip = "change of level when element 1, 2, ... is disconnected, a line for each switch position"
        self.levels = controls.text_area("levels", "levels dB", tip, "north: -1.2, -0.9, -, -1.1", 3)

    @property
    def widget(self) -> widgets.Widget:
        """The whole panel."""
        groups = (
            Group("Design", (self.file, self.units.control, self.practice)),
            Group("Measure a piece", (self.piece, self.reading, self.upload, self.keep)),
            Group("Measure the reel", (self.tape, self.put)),
            Group("As built", (self.direction, self.band_place)),
            Group("Disconnect one element at a time", (self.azimuth, self.levels)),
        )
        boxes = tuple(group.box() for group in groups)
        pictures = (widgets.VBox((self.picture_of, self.picture)),)
        return worksheet(boxes, (self.old.page, self.answer.page), pictures, self.page, self.status)

    # --- what moves -----------------------------------------------------------------------------------------

    def _load(self) -> None:
        """Show another design, with what was typed for its pieces."""
        path = self.folder / self.file.value
        try:
            plan = self._planned(path)
        except InputError as error:
            self._refuse(error)
            return
        self.plan, self.path = plan, path
        remember_design(self.folder, path)
        self.sweeps, self.lines, self.tapes = {}, {}, {}
        known = remembered_readings(path)
        self.typed = {name: known[name] for name in piece_names(plan) if name in known}
        self._taking = True
        self.piece.options = names = piece_names(plan)
        self.piece.value = names[0]
        labels = ("band", "band", "of the pattern, and of the signal that is received")
        usual = {band.name: Quantity(band.frequency_hz, "Hz") for band in plan.bands}
        # fresh, since its bands are those of the design
        self.band = BandRow(labels, usual, self._show, self._show)
        controls.replace(self.band_place, self.band.row)
        self.direction.options = directions = tuple(one.name for one in plan.directions)
        self.direction.value = directions[0]
        self.practice.value, self.levels.value = False, ""
        self.practice.disabled = not self._practice_files()
        self._taking = False
        self._choose()

    def _planned(self, path: Path) -> Stages:
        """Return the plan of a design, and name the unit of lengths, both in the system shown."""
        design = load_design(path)
        self.units.follow(design.content.units)
        plan = design.in_units(self.units.value).stages().computed("delay_lines", "element_runs", "directions")
        self._unit = plan.units.scale[0]
        self.tape.description = f"length by tape ({self._unit})"
        self.tape.placeholder = f"such as {plan.units.joined('24.68 m', '80 ft 11 1/2 in')}"
        return plan

    def _other_units(self) -> None:
        """Show everything in the other system; a length that was typed keeps its unit."""
        try:
            self.plan = self._planned(self.path)
        except InputError as error:
            self._refuse(error)
            return
        self._taking = True
        self.tape.value = self.tapes.get(self.piece.value, "")
        self._taking = False
        self._show()

    def _practice_files(self) -> dict[str, Path]:
        """Return the practice sweep of every piece, nothing for designs that have none."""
        found = {name: PRACTICE / f"{name.replace(' ', '-')}.s1p" for name in piece_names(self.plan)}
        is_demo = self.plan.name == "Heron Fen eight"
        return found if is_demo and all(path.is_file() for path in found.values()) else {}

    def _choose(self) -> None:
        self._taking = True
        self.reading.value = self.typed.get(self.piece.value, "")
        self.tape.value = self.tapes.get(self.piece.value, "")
        self._taking = False
        self._show()

    def _type(self) -> None:
        """Take a typed reading in place of the sweep of the piece."""
        name = self.piece.value
        self.sweeps.pop(name, None)
        self.lines.pop(name, None)
        self.typed[name] = self.reading.value.strip()
        typed = remembered_readings(self.path) | {name: self.typed[name]}
        remember_readings(self.path, {piece: text for piece, text in typed.items() if text})
        self._show()

    def _tape(self) -> None:
        self.tapes[self.piece.value] = controls.with_default_unit(self.tape.value, self._unit)
        self._show()

    def _take(self, files: Any) -> None:
        """Take an uploaded sweep of the piece; a file is read as text and nothing in it is executed."""
        if not files:
            return
        try:
            self._add(self.piece.value, bytes(files[0]["content"]))
        except InputError as error:
            self._say(str(error.within(str(files[0]["name"]))), "refused")
            return
        self._show()

    def _add(self, name: str, content: bytes) -> None:
        wanted = wanted_piece(self.plan, line_of(self.plan, name))
        sweep = sweep_in(content)
        self.lines[name] = measure_line(open=sweep, cable=wanted.made_of, connector_delay=wanted.end.delay)
        self.sweeps[name] = sweep

    def _practise(self) -> None:
        """Take the practice set, or let go of it."""
        self.sweeps, self.lines = {}, {}
        self._taking = True
        self.levels.value = ""
        if self.practice.value:
            for name, path in self._practice_files().items():
                self._add(name, path.read_bytes())
            lines = (PRACTICE / "levels.txt").read_text().splitlines()
            self.levels.value = "\n".join(line for line in lines if not line.startswith("#"))
        self._taking = False
        self._show()

    def _keep(self) -> None:
        """Append every reading to the record."""
        day, rows = datetime.date.today(), []
        try:
            for trim in self.trims:
                name = trim.name
                seen = self.lines[name].check_frequency if name in self.lines else Quantity(self._typed_hz(name), "Hz")
                note = "simulated practice sweep" if self.practice.value else ""
                rows.append(measurement(name, "check frequency", seen, day, instrument=note))
            if not rows:
                raise InputError("nothing was measured yet", where="record", remedy="enter a reading")
            append_measurements(record_path(self.path), rows)
        except InputError as error:
            self._say(str(error), "refused")
            return
        self._show()
        self._say(f"{record_path(self.path)}: {len(rows)} readings appended.", "done")

    # --- what is shown --------------------------------------------------------------------------------------

    def _typed_hz(self, name: str) -> float:
        return float(positive(controls.with_default_unit(self.typed[name], "MHz"), "Hz", name))

    def _readings(self) -> dict[str, Any]:
        typed = {name: Quantity(self._typed_hz(name), "Hz") for name, text in self.typed.items() if text}
        return {name: (typed | self.lines)[name] for name in piece_names(self.plan) if name in typed | self.lines}

    def _work_out(self) -> tuple[dict[str, Any], AsBuilt]:
        """Return readings and the array as built; they and the verdicts are computed again only when one is another."""
        # lines and plan are kept below, so that no other can have their identity
        key = (id(self.plan), *self.typed.items(), *((name, id(line)) for name, line in self.lines.items()))
        if key != self._known[0]:
            readings = self._readings()
            self.trims = trim_plan(self.plan, readings)
            self._known = key, (readings, as_built(self.plan, readings))
        return self._known[1]

    def _show(self) -> None:
        try:
            readings, built = self._work_out()
            by_name = {trim.name: trim for trim in self.trims}
            picture = self._picture(by_name.get(self.piece.value), built)
            self.reel = self._reel(readings)
            levels = self._levels()
            moved = movement_sentences(read_record(record_path(self.path)))
        except InputError as error:
            self._refuse(error)
            return
        self.old.clear()
        self._say(SIMULATED if self.practice.value else "", "todo")
        self.answer.show(trim_answer(self.plan, self.piece.value, by_name.get(self.piece.value)))
        self.picture.svg, self.picture.describes = picture, f"{self.picture_of.value} of {self.piece.value}"
        said = [short_sentence(trim) for trim in self.trims]
        notes = [controls.sentence(text, "note") for text in (*said, *self._measured_notes()) if text]
        table = trim_table(self.plan, self.trims).html() if self.trims else ""
        self.page.show(TRIM, table, *notes, self._measured_table())
        corrected = controls.sentence(correction_sentence(built), "note")
        self.page.show(BUILT, *((corrected, built_table(built).html()) if readings else ()))
        self.put.disabled = self.reel is None
        self.page.show(REEL, controls.sentence(self._reel_said(), "todo"))
        self.page.show(LEVELS, *levels)
        self.page.show(SEASON, *(controls.sentence(text, "note") for text in moved))

    def _measured_notes(self) -> tuple[str, ...]:
        name = self.piece.value
        if name not in self.lines:
            return ()
        wanted = wanted_piece(self.plan, line_of(self.plan, name))
        at = Quantity(self.plan.design.cut_hertz, "Hz")
        seen = distance_response(self.sweeps[name], wanted.made_of)
        found = (*contradictions(self.lines[name], at), *distance_sentences(seen, self.plan.units))
        return tuple(f"{name}: {text}" for text in found)

    def _measured_table(self) -> str:
        line = self.lines.get(self.piece.value)
        bands = {band.name: Quantity(band.frequency_hz, "Hz") for band in self.plan.bands}
        return line_table(line, bands, self.plan.units).html() if line else ""

    def _reel(self, readings: dict[str, Any]) -> Measured | None:
        """Return the velocity factor of the delay lines' reel on the cut band by every piece with a length by tape."""
        design, found = self.plan.design, []
        for name, tape in self.tapes.items():
            wanted = wanted_piece(self.plan, line_of(self.plan, name))
            if not tape or name not in readings or wanted.made_of.name != design.cables.delay_line:
                continue
            seen = self.lines[name].check_frequency if name in self.lines else readings[name]
            delay = wanted.end.delay
            found.append(measure_resonance(wanted.made_of, seen, length=tape, connector_delay=delay))
        return measured_velocity(found, Quantity(design.cut_hertz, "Hz")) if found else None

    def _reel_said(self) -> str:
        if self.reel is None:
            return ""
        return reel_mean_sentence(self.plan.design.cables.delay_line, self.reel, self.plan.design.cut_hertz)

    def _put(self) -> None:
        """Write the velocity factor into the design file, with frequency and date."""
        if self.reel is None:
            return
        design, today = self.plan.design, datetime.date.today()
        changes = velocity_changes(design.cables.delay_line, self.reel.value, design.cut_hertz, today)
        try:
            load_design(self.path).changed(changes).save()
        except InputError as error:
            self._say(str(error), "refused")
            return
        said = f"{self.path}: saved; the plan now cuts by a velocity factor of {self.reel.value:.4f}."
        self._load()
        self._say(said, "done")

    def _picture(self, trim: PieceTrim | None, built: AsBuilt) -> str:
        """Return the picture of the piece: its sweep, or without one what its record expects of it."""
        name = self.piece.value
        if self.picture_of.value == PATTERN:
            direction, at, on = self.direction.value, self._exact(), self._signal().on
            report = built.report(direction, self.band.name, None if at is None else at.m_as("Hz"))
            return for_screen(before_after_picture(self.plan, report, direction, on).svg())
        wanted = wanted_piece(self.plan, line_of(self.plan, name))
        measured = trim.measured_hz if trim else wanted.check.frequency_hz
        sweep = self.sweeps.get(name) or self._expected(name, measured)
        if self.picture_of.value == SWEEP:
            read, computed = trim.measured_hz if trim else None, name not in self.sweeps
            return for_screen(sweep_chart(sweep, read, wanted.check.frequency_hz, computed).svg())
        end = wanted.end.delay
        metres = length_from_check_frequency(wanted.made_of, Quantity(measured, "Hz"), connector_delay=end).m_as("m")
        response = distance_response(sweep, wanted.made_of)
        reach, computed = min(REACH * metres, response.farthest.m_as("m")), name not in self.sweeps
        return for_screen(distance_chart(response, reach, computed, self.plan.units).svg())

    def _expected(self, name: str, hertz: float) -> Sweep:
        """Return the sweep that a piece of that check frequency would show by its cable's record."""
        wanted = wanted_piece(self.plan, line_of(self.plan, name))
        metres = length_from_check_frequency(wanted.made_of, Quantity(hertz, "Hz"), connector_delay=wanted.end.delay)
        grid = Quantity(_GRID, "Hz")
        ohms = input_impedance(wanted.made_of, metres, grid, Quantity(float("inf"), "ohm")).m_as("ohm")
        # a measured velocity factor leaves impedance and loss as the record has them, which gives an open line far
        # below its resonance a resistance below zero, by some hundredths of its reactance at most
        return impedance_sweep(grid, Quantity(np.maximum(ohms.real, 0) + 1j * ohms.imag, "ohm"))

    def _exact(self) -> Frequency | None:
        """Return the frequency typed for the band; None for that of the design."""
        return self.band.frequency if self.band.name in self.band.typed else None

    def _signal(self) -> SourceSignal:
        azimuth = controls.with_default_unit(self.azimuth.value, "deg")
        return source(self.band.name, azimuth, frequency=self._exact())

    def _levels(self) -> tuple[str, ...]:
        signal, said = self._signal(), ""
        if self.levels.value.strip():
            said = fault_sentence(likeliest_fault(self.plan, signal, levels_in(self.levels.value)))
        table = levels_table(self.plan, signal).html()
        return (controls.sentence(said, "note"), table) if said else (table,)

    def _refuse(self, error: InputError) -> None:
        self._say(str(error), "refused")
        self.old.mark(f"{PREVIOUS} They are of the design {self.plan.name}." if self.answer.value else "")

    def _say(self, text: str, kind: str) -> None:
        self.status.value = controls.tables(controls.sentence(text, kind)) if text else ""


def measure_and_trim(folder: str | Path = ".") -> widgets.Widget:
    """Return the panel of the worksheet *measure and trim*, on the design files of a folder."""
    return MeasureAndTrimPanel(Path(folder)).widget
