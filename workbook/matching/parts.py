"""What a match is built of: lengths of line, resistors, windings on a core; each a two-port over frequency."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.formulas import twoports
from workbook.formulas.twoports import Chain
from workbook.line.cable import Cable
from workbook.line.lengths import check_frequency
from workbook.units import NEPER_IN_DB, Angle, Floats, Frequency, Impedance, Length, Quantity, with_unit

MOST_DECIBEL = 100.0
"""Loss of a section [dB] above which nothing useful passes."""


class Component(NamedTuple):
    """One component: what it is, and its value as a quantity or a plain number of turns."""

    what: str
    value: Any


class Part(Protocol):
    """What a match is built of."""

    def chain(self, hertz: Floats) -> Chain:
        """Return the two-port at plain frequencies [Hz]."""

    def lag(self, hertz: Floats) -> Floats:
        """Return by how much the part alone delays a wave [rad]; 0 for what is not a line."""

    def components(self) -> tuple[Component, ...]:
        """Return what has to be bought or wound; nothing for a line."""

    def described(self, units: LengthUnits) -> str:
        """Return the part in words, as in a parts list."""


def described(parts: Iterable[Part], units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return parts in words, in their order."""
    return "; ".join(part.described(units) for part in parts) or "none"


@dataclass(frozen=True)
class Section:
    """A length of line in a match; plain numbers inside, each with its unit in its name.

    Without a cable it is lossless, its lag goes with frequency, and it has no length in metres. `count` lines of the
    same cable and length lie in parallel.
    """

    ohms: complex
    radians: float
    hertz: float
    cable: Cable | None = None
    count: int = 1
    metres: float | None = None

    @property
    def impedance(self) -> Impedance:
        """Characteristic impedance [ohm] on the design frequency, of all lines in parallel; complex with a cable."""
        return with_unit(self.ohms if self.ohms.imag else self.ohms.real, "ohm")

    @property
    def electrical_length(self) -> Angle:
        """Electrical length on the design frequency [degree]."""
        return Quantity(np.degrees(self.radians).item(), "degree")

    @property
    def length(self) -> Length | None:
        """Length at the cable's true velocity factor [m], None without a cable."""
        return None if self.metres is None else Quantity(self.metres, "m")

    @property
    def check_frequency(self) -> Frequency | None:
        """Frequency at which one cut line is checked, far end open; None without a cable, or where it has none."""
        if self.cable is None or not self.metres:
            return None
        try:
            return check_frequency(self.cable, self.length)
        except InputError:  # so long and lossy that its reactance never vanishes
            return None

    def described(self, units: LengthUnits) -> str:
        """Return cable, length and electrical length."""
        degrees = f"{np.degrees(self.radians):.1f} deg"
        if self.cable is None or self.metres is None:
            return f"{degrees} of {self.ohms.real:.4g} ohm"
        which = self.cable.name if self.count == 1 else f"two {self.cable.name} in parallel"
        return f"{which}, {units.text(self.metres)}, {degrees}"

    def chain(self, hertz: Floats) -> Chain:
        """Return the two-port at plain frequencies [Hz]."""
        if self.cable is None:
            return twoports.line(1j * self.lag(hertz), self.ohms)
        gamma, impedance = self.cable.constants(hertz)
        return twoports.line(gamma * self.metres, impedance / self.count)

    def lag(self, hertz: Floats) -> Floats:
        """Return the electrical length at plain frequencies [rad]."""
        if self.cable is None:
            return self.radians * (hertz / self.hertz)
        return self.cable.constants(hertz)[0].imag * self.metres

    def components(self) -> tuple[Component, ...]:
        """Return nothing: a line is cut, not bought as a component."""
        return ()


def section(made_of: Cable | float, radians: float, hertz: float, count: int = 1) -> Section:
    """Return a section of so much lag at a frequency, of a `Cable` or of a plain impedance [ohm] without loss."""
    if not isinstance(made_of, Cable):
        return Section(complex(made_of) / count, float(radians), hertz, count=count)
    gamma, impedance = made_of.constants(hertz)
    decibel = float(gamma.real / gamma.imag * radians) * NEPER_IN_DB
    if decibel > MOST_DECIBEL:
        loses = f"{made_of.name} loses {decibel:.0f} dB in {np.degrees(radians):.1f} degrees"
        raise InputError(f"{loses} at {hertz / 1e6:.4g} MHz", where="cable", remedy="choose a cable with less loss")
    return Section(complex(impedance) / count, float(radians), hertz, made_of, count, float(radians / gamma.imag))


@dataclass(frozen=True)
class Resistor:
    """A resistor in series or across the line."""

    ohms: float
    is_shunt: bool

    def described(self, units: LengthUnits) -> str:
        """Return value and place."""
        return f"{self.ohms:.5g} ohm {'across' if self.is_shunt else 'in series'}"

    def chain(self, hertz: Floats) -> Chain:
        """Return the two-port, the same at every frequency."""
        return twoports.shunt(self.ohms) if self.is_shunt else twoports.series(self.ohms)

    def lag(self, hertz: Floats) -> Floats:
        """Return 0: a resistor is not a line."""
        return 0.0

    def components(self) -> tuple[Component, ...]:
        """Return the resistor."""
        return (Component("resistor across" if self.is_shunt else "resistor in series", Quantity(self.ohms, "ohm")),)


@dataclass(frozen=True)
class Windings:
    """Two windings on one core: turns (arrays of them while they are searched), and the core's numbers.

    Equivalent circuit: leakage (1 - k) L1 in series, magnetising k L1 across, ideal ratio n1 to n2, leakage (1 - k) L2
    in series; the same as two coupled inductances L1, L2 with mutual inductance k sqrt(L1 L2).
    """

    source_turns: Any
    load_turns: Any
    henry_per_turn2: float
    coupling: float
    core_q: float
    winding_q: float

    @property
    def magnetising_inductance(self) -> Any:
        """Magnetising inductance, seen at the source's winding [H]."""
        return Quantity(self.coupling * self.henry_per_turn2 * self.source_turns**2, "H")

    @property
    def leakage_inductance(self) -> Any:
        """Leakage inductance of both windings together, seen at the source's winding [H]."""
        return Quantity(2 * (1 - self.coupling) * self.henry_per_turn2 * self.source_turns**2, "H")

    def described(self, units: LengthUnits) -> str:
        """Return turns and inductances."""
        turns = f"{self.source_turns} to {self.load_turns} turns"
        magnetising, leakage = self.magnetising_inductance.m_as("uH"), self.leakage_inductance.m_as("nH")
        return f"{turns}, magnetising {magnetising:.3g} uH, leakage {leakage:.3g} nH"

    def chain(self, hertz: Floats) -> Chain:
        """Return the two-port at plain frequencies [Hz]."""
        first = 2 * np.pi * hertz * self.henry_per_turn2 * self.source_turns**2
        second = 2 * np.pi * hertz * self.henry_per_turn2 * self.load_turns**2
        leaking = (1 - self.coupling) * (1j + 1 / self.winding_q)
        magnetising = self.coupling * first / (1 / self.core_q - 1j)
        return twoports.cascade(
            (
                twoports.series(leaking * first),
                twoports.shunt(magnetising),
                twoports.transformer(self.source_turns / self.load_turns),
                twoports.series(leaking * second),
            )
        )

    def lag(self, hertz: Floats) -> Floats:
        """Return 0: windings are not a line."""
        return 0.0

    def components(self) -> tuple[Component, ...]:
        """Return turns and inductances."""
        return (
            Component("turns at the source", self.source_turns),
            Component("turns at the load", self.load_turns),
            Component("magnetising inductance", self.magnetising_inductance.to("uH")),
            Component("leakage inductance", self.leakage_inductance.to("nH")),
        )
