"""Leaving a mismatch as it is: what it loses, and the ripple that it causes with the length of a line."""

from typing import Any, NamedTuple

import numpy as np

from workbook.checks import check_broadcast, not_negative, positive
from workbook.formulas import lines, twoports
from workbook.line.cable import Cable
from workbook.matching.match import Match, Section, are_matched, end, impedances, resistances, single
from workbook.units import NEPER_IN_DB, with_unit


class Ripple(NamedTuple):
    """How far loss [dB, from least to greatest] and phase [degree, to either side] wander as a line grows longer."""

    loss: Any
    phase: Any


def leave_it(source: Any, load: Any) -> Match:
    """Return source and load joined directly, as a match."""
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    left = "there is no mismatch" if are_matched(source_ohms, load_ohms) else "the mismatch stays"
    return Match("leave it", f"nothing to build; {left}", source_ohms, load_ohms, ())


def leave_over(source: Any, load: Any, cable: Cable, length: Any, frequency: Any) -> Match:
    """Return source and load joined by a run of cable that matches nothing, as a match.

    Parameters
    ----------
    source, load
        Impedances of both ends.
    cable, length
        What lies between them.
    frequency
        Where the run's electrical length is told.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> leave_over("75 ohm", "50 ohm", ideal_cable("75 ohm", 0.8), "10 m", "6 MHz").swr_in("6 MHz")
    1.5
    """
    metres = single(positive(length, "m", "length"), "length")
    hertz = single(positive(frequency, "Hz", "frequency"), "frequency")
    gamma, impedance = cable.constants(hertz)
    run = Section(complex(impedance), float(gamma.imag * metres), hertz, cable, 1, metres)
    return Match("leave it", "only a run of cable, not to match", end(source, "source"), end(load, "load"), (run,))


def mismatch_loss(source: Any, load: Any) -> Any:
    """Return what is lost when source and load are joined directly [dB]; 0 dB for conjugate impedances.

    Examples
    --------
    >>> mismatch_loss("75 ohm", "50 ohm").m_as("dB")
    0.1773
    """
    source_ohms, load_ohms = impedances(source, "source"), impedances(load, "load")
    check_broadcast(source_ohms, load_ohms)
    passed = twoports.scattering(twoports.THROUGH, source_ohms, load_ohms)[2]
    return with_unit(np.maximum(-NEPER_IN_DB * np.log(np.abs(passed)), 0.0), "dB")


def length_ripple(source: Any, load: Any, line: Any) -> Ripple:
    """Return how far loss and phase may wander with the length of a lossless line between two mismatched ends.

    The transfer holds 1/(1 - p q e^(-2j beta l)), p and q the reflections at both ends, so its size lies between
    1/(1 + |pq|) and 1/(1 - |pq|) and its phase within arcsin |pq| of the line's own. A line that matches either end
    has no ripple.

    Parameters
    ----------
    source, load, line
        Impedances of both ends, and that of the line, a resistance.

    Examples
    --------
    >>> ripple = length_ripple("75 ohm", "50 ohm", "93 ohm")
    >>> ripple.loss.m_as("dB"), ripple.phase.m_as("degree")
    (0.559, 1.84)
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    impedance = resistances(line, "line")
    both = np.abs(lines.reflection(source_ohms, impedance) * lines.reflection(load_ohms, impedance))
    loss = NEPER_IN_DB * np.log((1 + both) / (1 - both))
    return Ripple(with_unit(loss, "dB"), with_unit(np.degrees(np.arcsin(both)), "degree"))


def loss_with_length(source: Any, load: Any, cable: Cable, length: Any, frequency: Any) -> Any:
    """Return the insertion loss of a run of cable between two ends left as they are [dB], for any lengths."""
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    metres = not_negative(length, "m", "length")
    hertz = positive(frequency, "Hz", "frequency")
    check_broadcast(metres, hertz)
    gamma, impedance = cable.constants(hertz)
    passed = twoports.scattering(twoports.line(gamma * metres, impedance), source_ohms, load_ohms)[2]
    return with_unit(-NEPER_IN_DB * np.log(np.abs(passed)), "dB")
