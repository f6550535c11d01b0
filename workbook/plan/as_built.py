"""The array as it was built: measured lines and runs in place of planned ones, and which correction would gain most."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern import front_to_back, rdf
from workbook.bench.measured import Measured
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.measuring import measure_resonance
from workbook.errors import InputError
from workbook.plan.firings import firing
from workbook.plan.patterns import HARDLY
from workbook.plan.results import SMALL_FRONT_TO_BACK_DB, SMALL_RDF_DB, Cost, PlanBand
from workbook.plan.stages import Stages
from workbook.plan.trimming import RUN, line_of, wanted_piece
from workbook.tolerance.report import FaultReport
from workbook.units import FloatArray, Frequency, Quantity

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

    def late_deg(self, direction: str, band: str, without: str = "") -> FloatArray:
        """Return how late each element's channel is [degree] (N,), with one piece taken as right."""
        plan, hertz = self.plan, self.plan.band(band).frequency_hz
        feeds = plan.direction(direction).elements
        order = [line.label for line in plan.delay_lines]
        late = np.zeros(len(feeds))
        for label, pieces in self._pieces.items():
            # of several pieces of a line it is not known which is used: the farthest off counts
            errors = [0.0 if piece == without else self.late_s[piece][band] for piece in pieces]
            worst = max(errors, key=abs)
            through = plan.hub_kind.through(order, label) if label != RUN else ()
            late += worst * np.array([feed.line in through for feed in feeds])
        for piece, by_band in self.late_s.items():
            if line_of(plan, piece) == RUN and piece != without:
                late[int(piece.rpartition(" ")[2]) - 1] += by_band[band]
        return 360 * hertz * late

    @cached_property
    def _pieces(self) -> dict[str, list[str]]:
        """The measured pieces of each line."""
        found: dict[str, list[str]] = {}
        for piece in self.late_s:
            if (label := line_of(self.plan, piece)) != RUN:
                found.setdefault(label, []).append(piece)
        return found

    def firing(self, direction: str, band: str, without: str = "") -> Firing:
        """Return the array as built, fired in a direction on a band."""
        planned = firing(self.plan, direction, band)
        late = np.exp(-1j * np.radians(self.late_deg(direction, band, without)))
        return replace(planned, weights=planned.weights * late)

    def report(self, direction: str, band: str) -> FaultReport:
        """Return the direction on the band before and after the errors of the pieces, for the picture of both."""
        late = self.late_deg(direction, band)
        level = Quantity(np.zeros(len(late)), "dB")
        before = firing(self.plan, direction, band)
        return FaultReport(before, self.firing(direction, band), Quantity(late, "degree"), level)

    @cached_property
    def figures(self) -> tuple[BuiltFigures, ...]:
        """Planned and built figures of every direction on every band."""
        found = []
        for band in self.plan.bands:
            for one in self.plan.directions:
                planned = _figures(firing(self.plan, one.name, band.name))
                built = _figures(self.firing(one.name, band.name))
                found.append(BuiltFigures(one.name, band.name, planned[0], built[0], planned[1], built[1]))
        return tuple(found)

    @cached_property
    def corrections(self) -> tuple[Correction, ...]:
        """What the correction of each measured piece would gain at most, the greatest gain first."""
        found = [max(self._gains(piece), key=lambda one: one.worth) for piece in self.late_s]
        return tuple(sorted(found, key=lambda one: -one.worth))

    def _gains(self, piece: str) -> list[Correction]:
        found = []
        for built in self.figures:
            gain, back = _figures(self.firing(built.direction, built.band, piece))
            found.append(
                Correction(
                    piece,
                    built.direction,
                    built.band,
                    gain - built.built_rdf_db,
                    back - built.built_front_to_back_db,
                )
            )
        return found


def _figures(fired: Firing) -> tuple[float, float]:
    return float(rdf(fired).m_as("dB")), min(float(front_to_back(fired).m_as("dB")), HARDLY)


def as_built(plan: Stages, readings: Mapping[str, Reading]) -> AsBuilt:
    """Return the array with measured pieces in place of planned ones.

    Parameters
    ----------
    plan
        The plan that was built.
    readings
        What was measured, by piece: ``"A"``, ``"A 2"`` for the second piece of line A, ``"run 3"`` for the run of
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
