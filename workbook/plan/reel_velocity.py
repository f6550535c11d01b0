"""Readings of first cuts that are all off by the same share: the velocity factor of the reel they came from."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.bench.measured import Measured, weighted_mean
from workbook.bench.measured_line import MeasuredLine
from workbook.errors import InputError
from workbook.line.reel import calibrate_by_check_frequency
from workbook.plan.cuts import design_cable
from workbook.plan.marks import RUN, marks, piece_marks
from workbook.plan.pieces import DelayLine, ElementRuns
from workbook.plan.stages import Stages
from workbook.units import Frequency, Quantity

ALIKE = 0.005
"""Shares that differ by more than this are not one reel's."""
LEAST_SHARE = 0.002
"""A smaller share is what tape and connectors explain."""


@dataclass(frozen=True)
class ReelVelocity:
    """What several readings agree on.

    Attributes
    ----------
    cable
        Name of the cable.
    velocity_factor, assumed
        What the readings mean on the cut band, and what the plan was made with.
    hertz
        Frequency of the cut band [Hz].
    readings
        How many readings agree.
    good
        How many more are within the accept range, as those of trimmed pieces are.
    """

    cable: str
    velocity_factor: float
    assumed: float
    hertz: float
    readings: int
    good: int = 0

    @property
    def share(self) -> float:
        """By which share the cable is faster than assumed."""
        return self.velocity_factor / self.assumed - 1

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what to change in the design, as `Design.changed` takes it."""
        return velocity_changes(self.cable, self.velocity_factor, self.hertz)


def velocity_changes(
    cable: str, velocity_factor: float, hertz: float, date: datetime.date | None = None
) -> dict[tuple[str, ...], Any]:
    """Return what to change in a design, so that its lines are cut by a measured velocity factor.

    Parameters
    ----------
    cable
        Name of the cable.
    velocity_factor
        As it was measured.
    hertz
        Frequency of the measurement [Hz].
    date
        Day of the measurement.
    """
    measured: dict[str, Any] = {"value": round(velocity_factor, 4), "frequency": f"{hertz / 1e6:.6g} MHz"}
    return {("velocity_factor", cable): measured | ({} if date is None else {"date": date})}


def measured_velocity(lines: Sequence[MeasuredLine], frequency: Frequency) -> Measured:
    """Return the velocity factor of a reel at a frequency: the weighted mean of measured pieces of known length.

    Parameters
    ----------
    lines
        Measured pieces of the reel, each with its length.
    frequency
        One frequency.

    Returns
    -------
    Measured
        Plain numbers.

    Raises
    ------
    InputError
        When there is no piece, one has no length, or one was not measured at that frequency.
    """
    return weighted_mean([line.velocity_factor(frequency) for line in lines])


def reel_velocity(plan: Stages, readings: Mapping[str, float]) -> ReelVelocity | None:
    """Return the velocity factor of the delay lines' reel, None where the readings do not agree on another one.

    At least two pieces, measured as first cut, must be off by the same share, to half a per cent, and by more than
    they differ from each other. A reading in a piece's accept range is of a trimmed piece, which says nothing about
    its reel.

    Parameters
    ----------
    plan
        The plan that the pieces were cut by.
    readings
        Check frequencies [Hz] by piece, far end open; those of element runs count where these are of the same cable.
    """
    design = plan.design
    made_of = design_cable(design, design.cables.delay_line)
    pieces: dict[str, DelayLine | ElementRuns] = {
        mark: plan.line(line) for mark, line in piece_marks(plan).items() if line != RUN
    }
    if design.cables.element_run == design.cables.delay_line:
        pieces |= dict.fromkeys(marks(RUN, plan.element_runs), plan.element_runs)
    measured = [(pieces[name], hertz) for name, hertz in readings.items() if name in pieces]
    first_cuts = [(piece, hertz) for piece, hertz in measured if not _is_good(piece, hertz)]
    shares = np.array(list(_shares(plan, first_cuts)))
    if len(shares) < 2 or np.ptp(shares) > ALIKE:
        return None
    share = float(shares.mean())
    if abs(share - 1) < max(LEAST_SHARE, float(np.ptp(shares))):
        return None
    assumed = float(made_of.velocity(design.cut_hertz))
    return ReelVelocity(
        made_of.name, share * assumed, assumed, design.cut_hertz, len(shares), len(measured) - len(first_cuts)
    )


def _is_good(piece: DelayLine | ElementRuns, hertz: float) -> bool:
    return piece.check.least_good_hz <= hertz <= (piece.check.greatest_good_hz or np.inf)


def _shares(plan: Stages, readings: Sequence[tuple[DelayLine | ElementRuns, float]]) -> Iterator[float]:
    """Yield how many times as fast as assumed each first cut is."""
    design = plan.design
    made_of = design_cable(design, design.cables.delay_line)
    for piece, hertz in readings:
        end = design.ends.delay_line if isinstance(piece, DelayLine) else design.ends.element_run
        length = Quantity(piece.first_cut_m - 2 * end.strip.m_as("m"), "m")
        try:
            found = calibrate_by_check_frequency(made_of, Quantity(hertz, "Hz"), length, connector_delay=end.delay)
        except InputError:  # a reading of another piece, or a slip
            continue
        if found.velocity_factor is not None:
            yield found.velocity_factor / float(made_of.velocity(hertz))
