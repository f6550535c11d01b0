"""What errors of the feeds cost in RDF and front-to-back, beside the pattern that is planned."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from workbook.array.ground import nothing_arrives
from workbook.array.merit import Arrival, FiguresOfMerit
from workbook.design.directions import Feeds
from workbook.plan.patterns import HARDLY, Field
from workbook.plan.results import Cost
from workbook.units import ComplexArray, Floats, IntArray


def most(costs: Iterable[Cost]) -> Cost | None:
    """Return the greatest loss of each figure, None of nothing."""
    found = tuple(costs)
    return Cost(*(float(max(column)) for column in zip(*found, strict=True))) if found else None


@dataclass(frozen=True, eq=False)
class PatternCosts:
    """The pattern as planned, to which wrong feeds are compared.

    Parameters
    ----------
    field
        Where the array stands and fires.
    planned
        What every direction is planned to have, (D, N).
    bands
        Frequencies [Hz] by name; bands on which nothing arrives have no cost.
    deepest_db
        A front-to-back beyond this counts as this [dB], so that losing what lies beyond costs nothing.
    """

    field: Field
    planned: Feeds
    bands: Mapping[str, float]
    deepest_db: float = HARDLY

    @cached_property
    def _arrivals(self) -> dict[str, Arrival]:
        on = self.field
        return {
            name: Arrival(on.metres, hertz, on.azimuths, on.elevation, on.ground)
            for name, hertz in self.bands.items()
            if not nothing_arrives(on.ground, hertz, on.elevation)
        }

    @property
    def known(self) -> bool:
        """Whether anything arrives on a band, so that there is a pattern."""
        return bool(self._arrivals)

    @cached_property
    def _weights(self) -> dict[str, ComplexArray]:
        return {name: self.planned.weights(hertz) for name, hertz in self.bands.items()}

    @cached_property
    def _as_planned(self) -> dict[str, tuple[Floats, Floats]]:
        return {name: self._figures(name, self._weights[name]) for name in self._arrivals}

    def _figures(self, band: str, weights: ComplexArray) -> tuple[Floats, Floats]:
        """Return RDF and front-to-back [dB]; of a back deeper than counts only so much."""
        found = FiguresOfMerit(self._arrivals[band], weights)
        return found.rdf_db, np.minimum(found.front_to_back_db, self.deepest_db)

    def of_weights(self, band: str, weights: ComplexArray) -> Cost | None:
        """Return the cost of other weights (..., D, N) on a band, the most of all; None where nothing arrives."""
        return most(self.by_direction(band, weights))

    def by_direction(self, band: str, weights: ComplexArray) -> tuple[Cost, ...]:
        """Return the most that other weights (..., D, N) cost each direction; nothing where nothing arrives."""
        if band not in self._arrivals:
            return ()
        pairs = zip(self._as_planned[band], self._figures(band, weights), strict=True)
        lost = [np.max((before - after).reshape(-1, len(before)), axis=0) for before, after in pairs]
        return tuple(Cost(float(rdf), float(back)) for rdf, back in zip(*lost, strict=True))

    def of_phase(self, band: str, late_deg: Floats) -> Cost | None:
        """Return the cost of channels that are late by degrees (..., D, N) on a band."""
        if band not in self._arrivals:
            return None
        return self.of_weights(band, self._weights[band] * np.exp(-1j * np.radians(late_deg)))

    def of_steps(self, band: str, step_deg: float, steps: IntArray) -> Cost | None:
        """Return the cost of channels that are late by so many whole steps (..., D, N) of some degrees on a band."""
        return most(self.steps_by_direction(band, step_deg, steps))

    def steps_by_direction(self, band: str, step_deg: float, steps: IntArray) -> tuple[Cost, ...]:
        """Return the same for each direction by itself."""
        if band not in self._arrivals:
            return ()
        # the few phases that occur are computed once each
        most_steps = int(np.abs(steps).max(initial=0))
        phases = np.exp(-1j * np.radians(step_deg) * np.arange(-most_steps, most_steps + 1))
        return self.by_direction(band, self._weights[band] * phases[steps + most_steps])

    def of_feeds(self, given: Feeds) -> Cost | None:
        """Return the cost of other feeds (D, N), the most over all bands; None where nothing arrives."""
        found = (self.of_weights(name, given.weights(hertz)) for name, hertz in self.bands.items())
        return most(cost for cost in found if cost is not None)
