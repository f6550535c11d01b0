"""What an error of one line, channel or run costs in RDF and front-to-back, beside the plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from workbook.design.directions import Feeds
from workbook.plan.costs import PatternCosts, most
from workbook.plan.firings import ground_of, layout_of
from workbook.plan.patterns import Field, planned
from workbook.plan.results import Cost
from workbook.plan.stages import AnyPlan
from workbook.units import BoolArray, FloatArray, Floats, IntArray


@dataclass(frozen=True, eq=False)
class LineCosts:
    """Costs of errors in a plan's lines; degrees are late, and each is the most of all directions."""

    plan: AnyPlan

    @cached_property
    def _costs(self) -> PatternCosts:
        plan = self.plan
        rows = [planned(one) for one in plan.directions]
        delays, sizes = (np.array(column) for column in zip(*rows, strict=True))
        feeds = Feeds(np.nan_to_num(delays), np.sign(sizes).astype(int), np.abs(sizes))
        azimuths = np.radians([one.azimuth_deg for one in plan.directions])
        field = Field(layout_of(plan).metres, azimuths, float(np.radians(plan.elevation_deg)), ground_of(plan.ground))
        return PatternCosts(field, feeds, {band.name: band.frequency_hz for band in plan.bands})

    @cached_property
    def _labels(self) -> list[str]:
        return [line.label for line in self.plan.delay_lines]

    @cached_property
    def _lines(self) -> IntArray:
        """Place of the line that delays each element (D, N), -1 where none does."""
        places = {label: place for place, label in enumerate(self._labels)}
        rows = [[places.get(feed.line or "", -1) for feed in one.elements] for one in self.plan.directions]
        return np.array(rows)

    def _through(self, label: str) -> BoolArray:
        """Return which elements a piece of line delays, (D, N); in a ladder all that enter farther out."""
        labels = self.plan.hub_kind.through(self._labels, label)
        return np.asarray(np.isin(self._lines, [self._labels.index(one) for one in labels]))

    def of_line(self, label: str, band: str, late_deg: float) -> Cost | None:
        """Return the cost of a piece of line that is late on a band, of all its copies alike."""
        return self._costs.of_phase(band, late_deg * self._through(label))

    def of_lines(self, band: str, late_deg: Mapping[str, float]) -> Cost | None:
        """Return the cost of several pieces of line, each late by its own error on a band."""
        late: FloatArray = sum(degrees * self._through(label) for label, degrees in late_deg.items()) + np.zeros(1)
        return self._costs.of_phase(band, np.broadcast_to(late, self._costs.planned.delays.shape))

    def of_channel(self, label: str, band: str, error_deg: float) -> Cost | None:
        """Return the cost of a channel that is off on a band, early or late, whichever costs more."""
        here = self._lines == self._labels.index(label)
        return self._costs.of_phase(band, np.array([-error_deg, error_deg])[:, None, None] * here)

    def of_delay(self, label: str, seconds: float) -> Cost | None:
        """Return the cost of a piece of line that is late by a time, the most of all bands."""
        return self._of_time(seconds * self._through(label))

    def of_run(self, seconds: float) -> Cost | None:
        """Return the cost of one element run that is late by a time, at the worst element, the most of all bands."""
        alone = np.eye(len(self.plan.elements))[:, None]
        return self._of_time(seconds * alone)

    def of_element(self, band: str, error_deg: float) -> Cost | None:
        """Return the cost of one element that is early or late on a band, as of a stake off by so much of a wave.

        It is that of the worst element, and of early or late, whichever costs more.
        """
        alone = np.eye(len(self.plan.elements))[:, None]
        return self._costs.of_phase(band, error_deg * np.concatenate((-alone, alone)))

    def _of_time(self, late: Floats) -> Cost | None:
        found = (self._costs.of_phase(band.name, 360 * band.frequency_hz * late) for band in self.plan.bands)
        return most(cost for cost in found if cost is not None)
