"""The array as it was built: measured lines and runs in place of planned ones, and which correction would gain most."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from workbook.array.ground import nothing_arrives
from workbook.array.merit import Arrival, FiguresOfMerit
from workbook.bench.measured import Measured
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.measuring import measure_resonance
from workbook.errors import InputError
from workbook.plan.firings import firing, ground_of, layout_of
from workbook.plan.marks import RUN
from workbook.plan.patterns import HARDLY, planned
from workbook.plan.results import SMALL_FRONT_TO_BACK_DB, SMALL_RDF_DB, Cost, PlanBand
from workbook.plan.stages import Stages
from workbook.plan.trimming import line_of, wanted_piece
from workbook.tolerance.report import FaultReport
from workbook.units import BoolArray, FloatArray, Frequency, Quantity

Reading = Frequency | Measured | MeasuredLine
"""What was measured of a piece: its check frequency with the far end open, or the line itself."""


@dataclass(frozen=True)
class BuiltFigures:
    """RDF and front-to-back [dB] of a direction on a band, planned and as built; a back beyond 60 dB counts as that."""

    direction: str
    band: str
    rdf_db: float
    built_rdf_db: float
    front_to_back_db: float
    built_front_to_back_db: float

    @property
    def cost(self) -> Cost:
        """What the pieces as built cost beside the plan."""
        return Cost(self.rdf_db - self.built_rdf_db, self.front_to_back_db - self.built_front_to_back_db)


@dataclass(frozen=True)
class Correction:
    """What it would gain to have one piece exactly right: the direction and band of the most gain, and the gain."""

    piece: str
    direction: str
    band: str
    rdf_gained_db: float
    front_to_back_gained_db: float

    @property
    def worth(self) -> float:
        """The gain in units of what matters: 0.05 dB of RDF, or 0.5 dB of front-to-back."""
        return max(self.rdf_gained_db / SMALL_RDF_DB, self.front_to_back_gained_db / SMALL_FRONT_TO_BACK_DB)


@dataclass(frozen=True, eq=False)
class AsBuilt:
    """A plan with the errors of its measured pieces.

    Attributes
    ----------
    plan
        The plan.
    late_s
        By piece and band, how much later it is than planned [s]; a piece that was not measured counts as right.
    """

    plan: Stages
    late_s: Mapping[str, Mapping[str, float]]

    def late_deg(self, direction: str, band: str) -> FloatArray:
        """Return how late each element's channel is on a band [degree] (N,)."""
        number = [one.name for one in self.plan.directions].index(self.plan.direction(direction).name)
        return self._late(band)[number]

    def _late(self, band: str, without: str = "") -> FloatArray:
        """Return how late the channels of every direction are [degree] (D, N), with one piece taken as right."""
        late = np.zeros((len(self.plan.directions), len(self.plan.elements)))
        for label, pieces in self._pieces.items():
            # of several pieces of a line it is not known which is used: the farthest off counts
            errors = [0.0 if piece == without else self.late_s[piece][band] for piece in pieces]
            late += max(errors, key=abs) * self._through[label]
        for piece, by_band in self.late_s.items():
            if line_of(self.plan, piece) == RUN and piece != without:
                late[:, int(piece.rpartition(" ")[2]) - 1] += by_band[band]
        return 360 * self.plan.band(band).frequency_hz * late

    @cached_property
    def _pieces(self) -> dict[str, list[str]]:
        """The measured pieces of each line."""
        found: dict[str, list[str]] = {}
        for piece in self.late_s:
            if (label := line_of(self.plan, piece)) != RUN:
                found.setdefault(label, []).append(piece)
        return found

    @cached_property
    def _through(self) -> dict[str, BoolArray]:
        """Which elements each measured line delays (D, N); in a ladder all that enter farther out."""
        order = [line.label for line in self.plan.delay_lines]
        served = {label: self.plan.hub_kind.through(order, label) for label in self._pieces}
        return {
            label: np.array([[feed.line in lines for feed in one.elements] for one in self.plan.directions])
            for label, lines in served.items()
        }

    def report(self, direction: str, band: str, hertz: float | None = None) -> FaultReport:
        """Return the direction on the band before and after the errors of the pieces, for the picture of both.

        An exact frequency [Hz] takes the place of that of the band; how late a piece is [s] is that on the band.
        """
        usual = self.plan.band(band).frequency_hz
        late = self.late_deg(direction, band) * (hertz or usual) / usual
        before = firing(self.plan, direction, band, hertz)
        after = replace(before, weights=before.weights * np.exp(-1j * np.radians(late)))
        return FaultReport(before, after, Quantity(late, "degree"), Quantity(np.zeros(len(late)), "dB"))

    def _figures(self, band: PlanBand, late_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return RDF and front-to-back [dB] (..., D) of channels that are late (..., D, N); none where none arrives."""
        azimuths = np.radians([one.azimuth_deg for one in self.plan.directions])
        elevation, ground = float(np.radians(self.plan.elevation_deg)), ground_of(self.plan.ground)
        arrival = Arrival(layout_of(self.plan).metres, band.frequency_hz, azimuths, elevation, ground)
        delays, sizes = (np.array(column) for column in zip(*map(planned, self.plan.directions), strict=True))
        turn = 2 * np.pi * band.frequency_hz * np.nan_to_num(delays) + np.radians(late_deg)
        found = FiguresOfMerit(arrival, sizes * np.exp(-1j * turn))
        return found.rdf_db, np.minimum(found.front_to_back_db, HARDLY)

    @cached_property
    def figures(self) -> tuple[BuiltFigures, ...]:
        """Planned and built figures of every direction on every band on which anything arrives."""
        found, elevation = [], float(np.radians(self.plan.elevation_deg))
        for band in self.plan.bands:
            if nothing_arrives(ground_of(self.plan.ground), band.frequency_hz, elevation):
                continue
            late = self._late(band.name)
            gain, back = self._figures(band, np.stack([0 * late, late]))
            for number, one in enumerate(self.plan.directions):
                row = (*gain[:, number].tolist(), *back[:, number].tolist())
                found.append(BuiltFigures(one.name, band.name, *row))
        return tuple(found)

    @cached_property
    def corrections(self) -> tuple[Correction, ...]:
        """What the correction of each measured piece would gain at most, the greatest gain first."""
        gains: dict[str, list[Correction]] = {piece: [] for piece in self.late_s}
        count = len(self.plan.directions)
        for place in range(0, len(self.figures), count):
            built = self.figures[place : place + count]
            band = self.plan.band(built[0].band)
            late = [self._late(band.name, piece) for piece in gains]
            gain, back = self._figures(band, np.array(late)) if late else (np.zeros(0), np.zeros(0))
            for piece, rdfs, backs in zip(gains, gain.tolist(), back.tolist(), strict=True):
                gains[piece] += [
                    Correction(piece, one.direction, one.band, a - one.built_rdf_db, b - one.built_front_to_back_db)
                    for one, a, b in zip(built, rdfs, backs, strict=True)
                ]
        found = [max(rows, key=lambda one: one.worth) for rows in gains.values() if rows]
        return tuple(sorted(found, key=lambda one: -one.worth))


def as_built(plan: Stages, readings: Mapping[str, Reading]) -> AsBuilt:
    """Return the array with measured pieces in place of planned ones.

    Parameters
    ----------
    plan
        The plan that was built.
    readings
        What was measured, by piece: ``"A"``, ``"A2"`` for the second piece of line A, ``"run 3"`` for the run of
        element 3.

    Raises
    ------
    InputError
        When there is no such piece, or a reading cannot be one of it.
    """
    late = {}
    for piece, reading in readings.items():
        line = line_of(plan, piece)
        if line == RUN and piece == RUN:
            raise InputError("it is not known which", where=RUN, remedy="name the element too, such as 'run 3'")
        try:
            late[piece] = _late(plan, line, reading)
        except InputError as error:
            raise error.within(piece) from None
    return AsBuilt(plan, late)


def _late(plan: Stages, line: str, reading: Reading) -> dict[str, float]:
    """Return by how much a piece is later than planned on each band [s]."""
    wanted = wanted_piece(plan, line)
    if not isinstance(reading, MeasuredLine):
        reading = measure_resonance(wanted.made_of, reading, connector_delay=wanted.end.delay)
    return {band.name: _delay(reading, band) - _planned(plan, line, band) for band in plan.bands}


def _delay(measured: MeasuredLine, band: PlanBand) -> float:
    return float(measured.fit_delay(band.frequency_hz))


def _planned(plan: Stages, line: str, band: PlanBand) -> float:
    bands = plan.element_runs.bands if line == RUN else plan.line(line).bands
    degrees = next(one.electrical_length_deg for one in bands if one.name == band.name)
    return degrees / 360 / band.frequency_hz
