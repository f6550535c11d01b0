"""Cores that a builder has, by material and size, and which part of a transformer keeps it from its limits."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.matching.candidates import Requirements
from workbook.matching.ranking import standing
from workbook.matching.transformer import USUAL_TURNS, Core, best_transformer, core_numbers
from workbook.units import Quantity

# --- cores ------------------------------------------------------------------------------------------------

ASSUMED = "coupling and both Q are assumed, common practice, no published source"
MODEL = "inductance from size and permeability: IEC 60205, ring core, from memory"


class Material(NamedTuple):
    """What a core is made of: initial permeability, and the coupling and the Q of the core that are assumed."""

    name: str
    permeability: float
    coupling: float
    core_q: float


MIX_LOW, MIX_MIDDLE = Material("NiZn ferrite", 125, 0.99, 50), Material("NiZn ferrite", 850, 0.998, 5)
MIX_HIGH, MIX_HIGHEST = Material("MnZn ferrite", 2000, 0.999, 2), Material("MnZn ferrite", 5000, 0.9995, 1)
POWDER = Material("powder", 125, 0.98, 80)
SMALL, TALL, LARGE = (12.7, 7.9, 6.4), (22.1, 13.7, 10.0), (35.6, 22.9, 12.7)
"""Outer and inner diameter and height of rings [mm]."""


@dataclass(frozen=True)
class UsualCore:
    """A ring core: its material, and outer diameter, inner diameter and height [mm]."""

    material: Material
    millimetres: tuple[float, float, float]

    @property
    def henry(self) -> float:
        """Inductance for each turn squared [H]: mu0 mu_i h ln(outer/inner)/2 pi."""
        outer, inner, height = self.millimetres
        return 2e-7 * self.material.permeability * height * 1e-3 * float(np.log(outer / inner))

    def label(self, units: LengthUnits) -> str:
        """Return material, permeability, size and inductance in a few words.

        Examples
        --------
        >>> [USUAL_CORES[1].label(units).split(", ")[2] for units in (LengthUnits.METRIC, LengthUnits.FEET)]
        ['35.6 mm ring: 950 nH', '1.4 in ring: 950 nH']
        """
        kind, outer = f"{self.material.name}, µi {self.material.permeability:g}", self.millimetres[0]
        size = units.joined(f"{outer:.3g} mm", f"{outer / 25.4:.2g} in")
        return f"{kind}, {size} ring: {round(self.henry * 1e9, -1):,.0f} nH"

    @property
    def name(self) -> str:
        """Its label in metric units, by which it is known whatever is shown."""
        return self.label(LengthUnits.METRIC)

    @property
    def core(self) -> Core:
        """The core as a transformer takes it; windings on it are assumed to have a Q of 50."""
        return Core(Quantity(round(self.henry * 1e9), "nH"), self.material.coupling, self.material.core_q)


USUAL_CORES: tuple[UsualCore, ...] = (
    UsualCore(MIX_MIDDLE, SMALL),
    UsualCore(MIX_MIDDLE, LARGE),
    UsualCore(MIX_LOW, LARGE),
    UsualCore(MIX_HIGH, SMALL),
    UsualCore(MIX_HIGHEST, SMALL),
    UsualCore(MIX_HIGHEST, TALL),
    UsualCore(POWDER, LARGE),
)


# --- what limits ------------------------------------------------------------------------------------------


class Limiting(NamedTuple):
    """The part that keeps a transformer from its limits, and the value that would do; None where no single part."""

    part: str
    enough: float | None


TURNS, COUPLING, CORE, LOSS, SEVERAL = "turns", "coupling", "core", "core loss", "several"
_STEPS: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        COUPLING: (0.98, 0.99, 0.995, 0.998, 0.999, 0.9995, 0.9999),
        CORE: (100e-9, 200e-9, 400e-9, 800e-9, 1600e-9, 3000e-9, 5000e-9),
        LOSS: (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0),
    }
)
"""What is tried of each part alone, in steps that can be had."""


def limiting_part(wanted: Requirements) -> Limiting | None:
    """Return which of turns, coupling, core and its loss keeps the transformer from the limits; None where none does.

    Each part is improved alone, the others as they are: first the turns, then the coupling, then the inductance of the
    core, then its loss, in usual steps up to the best that can be had.
    """
    if _keeps(wanted):
        return None
    for turns in range(wanted.most_turns + 1, USUAL_TURNS + 1):
        if _keeps(replace(wanted, most_turns=turns)):
            return Limiting(TURNS, turns)
    for part, tried in _alone(wanted):
        if _keeps(replace(wanted, core=tried)):
            return Limiting(part, _value(part, tried))
    return Limiting(SEVERAL, None)


def _alone(wanted: Requirements) -> Iterator[tuple[str, Core]]:
    now = Core() if wanted.core is None else wanted.core
    for part, steps in _STEPS.items():
        for step in steps:
            if step > _value(part, now):
                yield part, _changed(now, part, step)


def _value(part: str, core: Core) -> float:
    henry, coupling, core_q, _ = core_numbers(core)
    return {CORE: henry, COUPLING: coupling, LOSS: core_q}[part]


def _changed(core: Core, part: str, value: float) -> Core:
    if part == CORE:
        return replace(core, inductance_factor=Quantity(value, "H"))
    return replace(core, coupling=value) if part == COUPLING else replace(core, core_q=value)


def _keeps(wanted: Requirements) -> bool:
    try:
        made = best_transformer(wanted.source, wanted.load, wanted.core, wanted.most_turns, wanted.hertz, wanted.limits)
    except InputError:  # so few turns have no ratio near enough
        return False
    return standing(made, wanted.edges, wanted.limits).is_within
