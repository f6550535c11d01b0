"""A builder who follows the worksheets and never looks into the truth: plan, measure, trim, sort, check, correct."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from truth import figures

import workbook as wb
from workbook.plan.marks import used_marks
from workbook.plan.reel_velocity import reel_velocity
from workbook.plan.single_faults import likeliest_fault, source, toward_and_away

DESIGN = wb.load_design(Path(__file__).parent / "eight.toml")
PLAN = DESIGN.stages()
CABLE = "series-6-clad"
STRIP, CONNECTOR = 0.014, "0.11 ns"
RUNS = tuple(f"run {number}" for number in range(1, 9))
LINES = ("A", "B1", "B2")
CHANNELS = {"dead": "dead channel", "reversed": "reversed channel", "swapped": "swapped runs"}
"""Faults that levels show, as they are planted."""
Q = wb.Quantity


@dataclass(frozen=True)
class Found:
    """A suspicion: kind of fault, what it is about, and how many times its limit the sign of it is."""

    kind: str
    where: object
    times: float


class Builder:
    """Builds one array in one world; `pieces` are the finished ones, `readings` their last check frequencies [Hz]."""

    def __init__(self, truth):
        """Begin with the design as it is, and nothing cut."""
        self.truth, self.plan, self.cable = truth, PLAN, wb.cable(CABLE)
        self.pieces, self.readings, self.velocity, self.resistance = {}, {}, {}, {}
        self.noticed, self.spoiled = [], 0

    # --- the bench ----------------------------------------------------------------------------------------

    def measured(self, piece, length=None):
        """Sweep a piece with its far end open."""
        hertz, s = self.truth.sweep(piece)
        sweep = wb.Sweep(Q(hertz, "Hz"), s[:, None, None], Q(50.0, "ohm"))
        metres = None if length is None else Q(length, "m")
        return wb.measure_line(open=sweep, length=metres, cable=wb.cable(CABLE), connector_delay=CONNECTOR)

    def read(self, piece):
        """Return the check frequency of a piece [Hz]."""
        return self.measured(piece).check_frequency.value.m_as("Hz")

    def measure_reel(self):
        """Cut the first run as a sample of the reel, and type what it says into the design."""
        metres = self.plan.element_runs.first_cut_m
        self.pieces["run 1"] = self.truth.cut(metres, "run 1")
        band = Q(self.plan.bands[0].frequency_hz, "Hz")
        found = self.measured(self.pieces["run 1"], metres - 2 * STRIP).velocity_factor(band)
        self.retype(self.truth.type_in(found.value), band.m_as("Hz"))

    def retype(self, velocity, hertz):
        """Put a velocity factor into the design, and plan again."""
        measured = {"value": round(velocity, 4), "frequency": f"{hertz / 1e6:.6g} MHz"}
        self.plan = DESIGN.changed({("velocity_factor", CABLE): measured}).stages()
        self.cable = wb.cable(CABLE).with_velocity_factor(round(velocity, 4), Q(hertz, "Hz"))

    def wanted(self, name):
        """Return the row of the plan for a piece, and its delay [s]."""
        if name in RUNS:
            row, band = self.plan.element_runs, self.plan.bands[0]
            return row, row.bands[0].electrical_length_deg / 360 / band.frequency_hz
        row = self.plan.line(name[0])
        return row, row.delay_s

    def begin(self, name):
        """Cut a piece at its first cut and read it; what the reading says of its reel is kept beside it."""
        row, _ = self.wanted(name)
        if name not in self.pieces:
            self.pieces[name] = self.truth.cut(row.first_cut_m, name)
            self.readings[name] = self.read(self.pieces[name])
            share = self.readings[name] / row.check.first_cut_frequency_hz
            self.velocity[name] = share * self.plan.delay_lines[0].velocity_factor

    def make(self, name):
        """Cut a piece and trim it to its check frequency; one that is too short is made again, longer."""
        self.begin(name)
        for longer in (1.01, 1.03, 1.06):
            if self.trim(name):
                return
            self.spoiled += 1
            self.pieces[name] = self.truth.cut(self.wanted(name)[0].first_cut_m * longer, name)
        self.trim(name)

    def trim(self, name):
        """Trim a piece until it is accepted; False where it is too short."""
        band = Q(self.plan.bands[0].frequency_hz, "Hz")
        wanted, accept = Q(self.wanted(name)[1], "s"), Q(self.plan.accept_deg, "degree")
        for _ in range(12):
            self.readings[name] = self.read(self.pieces[name])
            reading = Q(self.readings[name], "Hz")
            advice = wb.trim_advice(self.cable, reading, wanted, band, accept, connector_delay=CONNECTOR)
            if advice.verdict != "trim":
                return advice.verdict == "keep"
            whole, half = (each.m_as("m") for each in (advice.cut_off, advice.first_cut_off))
            self.truth.shorten(self.pieces[name], half if whole > 0.1 else whole)
        return True

    def make_all(self):
        """Measure the reel, cut and trim every piece; three first cuts off by one share mean a wrong number."""
        self.measure_reel()
        for name in ("B1", "A", "run 2"):
            self.begin(name)
        readings = {name: self.readings[name] for name in ("B1", "A", "run 2")}
        agreed = reel_velocity(self.plan, readings)
        if agreed is not None:
            # less than 0.6 per cent is what a reel drifts along its length
            self.noticed = [Found("wrong velocity factor", agreed.velocity_factor, abs(agreed.share) / 0.006)]
            self.retype(agreed.velocity_factor, agreed.hertz)
        for name in ("B1", "B2", "A", *RUNS):
            self.make(name)
        self.resistance = {name: self.truth.loop_resistance(piece) for name, piece in self.pieces.items()}

    def sort(self):
        """Pair chokes so that the sums agree, and take the eight buffers that are most alike."""
        chokes = {str(number): Q(self.truth.choke(number), "H") for number in range(24)}
        pairs = wb.matched_pairs_in_series(chokes, 8).sets
        seen = {str(number): self.truth.buffer(number) for number in range(12)}
        buffers = {label: (Q(gain, "dB"), Q(phase, "degree")) for label, (gain, phase) in seen.items()}
        alike = wb.matched_sets(buffers, 8, 1, scales=(Q(0.1, "dB"), Q(1.0, "degree"))).sets[0]
        return np.array(pairs, dtype=int), np.array(alike, dtype=int)

    # --- the field ----------------------------------------------------------------------------------------

    def install(self, chokes, buffers):
        """Set the stakes and connect everything."""
        places = [(one.east_m, one.north_m) for one in self.plan.elements]
        self.array = self.truth.install(places, chokes, buffers, self.pieces)

    def feeds(self, direction):
        """What every port of the hub is switched to in a direction: a piece or None, and the polarity."""
        behind = used_marks(self.plan, direction)
        return [(line, feed.polarity) for line, feed in zip(behind, direction.elements, strict=True)]

    def reached(self):
        """RDF and front-to-back [dB] of the array as it stands, (bands, directions, 2): for the report, not for him."""
        azimuths = [one.azimuth_deg for one in self.plan.directions]
        feeds, rows = [self.feeds(one) for one in self.plan.directions], []
        for band in self.plan.bands:
            weights = np.array([self.truth.weights(self.array, each, band.frequency_hz) for each in feeds])
            rows.append(figures(self.array.places, weights, band.frequency_hz, azimuths))
        return np.array(rows)

    # --- looking for the fault ----------------------------------------------------------------------------

    def search(self):
        """Check readings, pieces, stakes and levels; return every suspicion, the strongest first."""
        found = [*self.first_cuts(), *self.finished_pieces(), *self.stakes(), *self.levels()]
        return sorted((one for one in found if one.times > 1), key=lambda one: -one.times)

    def first_cuts(self):
        """All off by one share meant the design's number; one alone off means that it is from another reel."""
        yield from self.noticed
        usual = float(np.median(list(self.velocity.values())))
        for name, velocity in self.velocity.items():
            yield Found("wrong reel", name, abs(velocity / usual - 1) / 0.01)

    def finished_pieces(self):
        """Sweep and measure every finished piece once more, beside what was written down."""
        for name, piece in self.pieces.items():
            yield Found("long line", name, abs(self.read(piece) / self.readings[name] - 1) / 0.003)
            yield Found("bad joint", name, self.truth.loop_resistance(piece) - self.resistance[name])

    def stakes(self):
        """Tape every stake from the centre and from its neighbours; the one with most of the errors is named."""
        places = np.array([(one.east_m, one.north_m) for one in self.plan.elements])
        pairs = [(one, None) for one in range(8)] + [(one, (one + step) % 8) for one in range(8) for step in (1, 2)]
        plain = [np.hypot(*(places[one] - (0 if other is None else places[other]))) for one, other in pairs]
        off = np.array([self.truth.tape(self.array, *pair) for pair in pairs]) - plain
        errors = [np.sum(off[[number in pair for pair in pairs]] ** 2) for number in range(8)]
        yield Found("moved stake", int(np.argmax(errors)), float(np.abs(off).max()) / 0.25)

    def levels(self):
        """Disconnect one element after the other; where one signal leaves several faults, take another signal too."""
        left = []
        for heading in self.plan.directions[:6:2]:
            signal = source(self.plan.bands[0].name, Q(heading.azimuth_deg, "degree"), Q(22.0, "degree"))
            changes = {name: self.changes(name, signal) for name in toward_and_away(self.plan, signal)}
            found = likeliest_fault(self.plan, signal, changes)
            names = (found.fault, *found.not_distinguishable)
            left = [one for one in left if one in names] if left else list(names)
            if len(left) < 2:
                break
        if left and left[0].kind in CHANNELS:
            yield Found(CHANNELS[left[0].kind], tuple(number - 1 for number in left[0].elements), 1.5)

    def changes(self, position, signal):
        """Change of level in a position of the switch when each element is disconnected."""
        feeds, hertz = self.feeds(self.plan.direction(position)), self.plan.bands[0].frequency_hz
        whole, *less = (
            self.truth.level(self.array, feeds, hertz, signal.azimuth_deg, one) for one in (None, *range(8))
        )
        return [Q(level - whole, "dB") for level in less]

    # --- correcting it ------------------------------------------------------------------------------------

    def correct(self, found):
        """Do what a suspicion calls for; a wrong number was corrected as soon as it was noticed."""
        if found.kind in ("wrong reel", "long line", "bad joint"):
            self.spoiled += 1
            del self.pieces[found.where]
            self.make(found.where)
        elif found.kind == "moved stake":
            self.truth.set_again(self.array, found.where, self.plan.elements[found.where])
        elif found.kind != "wrong velocity factor":
            self.truth.reconnect(self.array, found.kind, found.where)
