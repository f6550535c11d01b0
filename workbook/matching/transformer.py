"""A wideband transformer of two windings on one core: inductances, losses, and the edges of its band."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import check_velocity_factor, positive
from workbook.errors import InputError, shown
from workbook.formulas import twoports
from workbook.formulas.twoports import Chain
from workbook.matching.frequencies import named_edges
from workbook.matching.match import Component, Match, end, limit_pair, single
from workbook.matching.turns import Turns, transformer_turns
from workbook.units import Quantity, with_unit


@dataclass(frozen=True)
class Core:
    """A core with its winding, as entered.

    `inductance_factor` is the inductance for each turn squared, such as ``"400 nH"``; `coupling` the coupling factor
    of the two windings, above 0 and at most 1. `core_q` is the Q of the magnetising inductance (core loss in parallel
    with it), `winding_q` that of the leakage inductance (winding loss in series with it); both the same at every
    frequency, as in a first estimate.
    """

    inductance_factor: Any = "400 nH"
    coupling: float = 0.998
    core_q: float = 5.0
    winding_q: float = 50.0


@dataclass(frozen=True)
class Windings:
    """Two windings on one core, in a match: turns (arrays of them while they are searched), and the core's numbers.

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

    def chain(self, hertz: Any) -> Chain:
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

    def lag(self, hertz: Any) -> Any:
        """Return 0: windings are no line."""
        return 0.0

    def components(self) -> tuple[Component, ...]:
        """Return turns and inductances."""
        return (
            Component("turns at the source", self.source_turns),
            Component("turns at the load", self.load_turns),
            Component("magnetising inductance", self.magnetising_inductance.to("uH")),
            Component("leakage inductance", self.leakage_inductance.to("nH")),
        )


def transformer_match(
    source: Any,
    load: Any,
    core: Core | None = None,
    turns: Turns | None = None,
    bands: Iterable[Any] = (),
    most_swr: float = 1.2,
    most_loss: Any = "1 dB",
) -> Match:
    """Return a wideband transformer as a match.

    Parameters
    ----------
    source, load
        Impedances to be matched; complex ones by their moduli.
    core
        Core and winding; None = a small ferrite core as an example.
    turns
        Turns of both windings, from `transformer_turns` or entered; None = the nearest ratio with at most 12 turns.
    bands
        Band names or (low, high) frequencies that must not lie below the low edge; none = not looked at.
    most_swr, most_loss
        Limits that define the edges.

    Raises
    ------
    InputError
        When a band begins below the transformer's low edge; the sentence says the edge.

    Examples
    --------
    >>> match = transformer_match("75 ohm", "50 ohm")
    >>> match.components[0].value, match.components[1].value
    (11, 9)
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    if turns is None:
        turns = transformer_turns(with_unit(abs(source_ohms), "ohm"), with_unit(abs(load_ohms), "ohm"), 12)
    match = wound(source_ohms, load_ohms, _windings(turns, core))
    wanted = named_edges(bands) if bands else ()
    if wanted:
        _not_below(match, wanted, most_swr, most_loss)
    return match


def wound(source_ohms: Any, load_ohms: Any, windings: Windings, remedy: str = "") -> Match:
    """Return windings as a match, on plain numbers."""
    reason = f"{windings.source_turns} to {windings.load_turns} turns, for as wide a band as the core carries"
    return Match("wideband transformer", reason, source_ohms, load_ohms, (windings,), remedy=remedy)


def _not_below(match: Match, wanted: Any, most_swr: float, most_loss: Any) -> None:
    swr, decibel = limit_pair(most_swr, most_loss)
    limits = f"SWR {swr:g} and {decibel:g} dB"
    usable = match.usable_band(most_swr, most_loss)
    if usable is None:
        raise InputError(
            f"keeps nowhere within {limits}", where="core", remedy="use more turns, another core, or wider limits"
        )
    low = usable[0].m_as("Hz")
    for name, begins, _ in wanted:
        if begins < low * (1 - 1e-9):
            raise InputError(
                (
                    f"{name} begins at {begins / 1000000.0:.4g} MHz, below the transformer's low edge of "
                    f"{low / 1000000.0:.4g} MHz for {limits}"
                ),
                where="bands",
                remedy="use more turns or a core with a greater inductance factor",
            )


def core_numbers(core: Core | None) -> tuple[float, float, float, float]:
    """Check a core, and return inductance factor [H], coupling, core Q and winding Q; None = the example."""
    core = Core() if core is None else core
    if not isinstance(core, Core):
        raise InputError(
            f"{shown(core)} is no core", where="core", remedy="write wb.Core('400 nH', 0.998), or leave it out"
        )
    henry = single(positive(core.inductance_factor, "H", "inductance_factor"), "inductance_factor")
    coupling = single(check_velocity_factor(core.coupling, "coupling"), "coupling")
    return henry, float(coupling), _quality(core.core_q, "core_q"), _quality(core.winding_q, "winding_q")


def _windings(turns: Turns, core: Core | None) -> Windings:
    if not isinstance(turns, Turns):
        raise InputError(
            f"{shown(turns)} are no turns", where="turns", remedy="write wb.transformer_turns('75 ohm', '50 ohm', 12)"
        )
    first, second = (single(n, "turns") for n in (turns.source, turns.load))
    if not all(isinstance(n, int) and n > 0 for n in (first, second)):
        raise InputError(
            f"{first!r:.20} to {second!r:.20} make no windings", where="turns", remedy="give whole numbers above 0"
        )
    return Windings(first, second, *core_numbers(core))


def _quality(value: Any, name: str) -> float:
    plain = isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)
    if not plain or not value > 0:
        raise InputError(f"{value!r:.40} is no Q", where=name, remedy="write a plain number above 0, such as 50")
    return float(value)
