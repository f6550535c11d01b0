"""The same matches built with scikit-rf alone."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import skrf

from workbook.matching.match import Match
from workbook.matching.parts import Resistor, Section

C = 299_792_458.0


def media(hertz: Any, gamma: Any = 1j, impedance: Any = 50.0) -> Any:
    grid = skrf.Frequency.from_f(hertz, unit="Hz")
    return skrf.media.DefinedGammaZ0(grid, z0_port=50, z0=impedance, gamma=gamma + 0 * hertz)


def line(part: Section, hertz: Any) -> Any:
    if part.cable is None:
        free = media(hertz, 2j * np.pi * hertz / C, part.ohms.real)
        return free.line(part.radians / (2 * np.pi * part.hertz) * C, "m")
    gamma, impedance = part.cable.constants(hertz)
    one = media(hertz, gamma, impedance).line(part.metres, "m")
    # lines in parallel: their admittances add
    return skrf.Network(frequency=one.frequency, s=skrf.network.y2s(part.count * one.y, 50), z0=50)


def windings(part: Any, hertz: Any) -> Any:
    """From the impedance matrix of two coupled inductances, with the losses of their leakage and magnetising parts."""
    omega = 2 * np.pi * hertz
    first, second = (part.henry_per_turn2 * n**2 for n in (part.source_turns, part.load_turns))
    mutual = part.coupling * np.sqrt(first * second)
    shared = 1 / (1 / (1j * omega * mutual) + 1 / (part.core_q * omega * mutual))
    ratio = part.source_turns / part.load_turns
    z = np.empty((len(hertz), 2, 2), complex)
    z[:, 0, 0] = omega * (first - mutual * ratio) * (1j + 1 / part.winding_q) + shared * ratio
    z[:, 1, 1] = omega * (second - mutual / ratio) * (1j + 1 / part.winding_q) + shared / ratio
    z[:, 0, 1] = z[:, 1, 0] = shared
    return skrf.Network(frequency=skrf.Frequency.from_f(hertz, unit="Hz"), s=skrf.network.z2s(z, 50), z0=50)


def built(part: Any, hertz: Any) -> Any:
    if isinstance(part, Section):
        return line(part, hertz)
    if isinstance(part, Resistor):
        plain = media(hertz)
        resistor = plain.resistor(part.ohms)
        return plain.shunt(resistor ** plain.short()) if part.is_shunt else resistor
    return windings(part, hertz)


@pytest.fixture(scope="session")
def by_library() -> Callable[[Match, Any], Any]:
    """S of a match (n, 2, 2) between its own ends, power waves, by scikit-rf's elements and cascade."""

    def cascade(match: Match, hertz: Any) -> Any:
        whole = media(hertz).thru()
        for part in match.parts:
            whole = whole ** built(part, hertz)
        ends = np.tile([complex(match.source_ohms), complex(match.load_ohms)], (len(hertz), 1))
        # renormalising a plain connection would be 1e-9 off: the library nudges matrices without an inverse
        return skrf.network.a2s(whole.a, ends)

    return cascade
