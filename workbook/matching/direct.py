"""The direct connection: what a mismatch loses, and the ripple that it causes with the length of a line."""

from typing import Any, NamedTuple

import numpy as np

from workbook.checks import check_broadcast, not_negative, positive, single
from workbook.formulas import lines, twoports
from workbook.line.cable import Cable, check_cable
from workbook.matching.arguments import Edges, are_matched, end, frequencies, impedances, one_frequency, resistances
from workbook.matching.match import Match
from workbook.matching.parts import Section
from workbook.units import NEPER_IN_DB, FloatArray, Frequency, Impedance, Length, Loss, with_unit

NAME = "no matching"
"""The direct connection's name, as in a design file."""

LONGEST, LENGTHS, MOST_BANDS = 100.0, 301, 4
"""Longest run [m] between two ends; how many lengths, and on how many bands, are computed for a sweep."""


class Ripple(NamedTuple):
    """How far loss [dB, from least to greatest] and phase [degree, to either side] vary as a line grows longer."""

    loss: Any
    phase: Any


def direct_connection(source: Impedance, load: Impedance) -> Match:
    """Return source and load joined directly, as a match.

    Parameters
    ----------
    source, load
        Impedances of both ends.

    Returns
    -------
    the match; its insertion loss is the mismatch loss

    Raises
    ------
    InputError
        When an end has no resistance above zero.

    Examples
    --------
    >>> direct_connection("75 ohm", "50 ohm").swr_in("7 MHz")
    1.5
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    left = "there is no mismatch" if are_matched(source_ohms, load_ohms) else "the mismatch stays"
    return Match(NAME, f"nothing to build; {left}", source_ohms, load_ohms, ())


def run_connection(source: Impedance, load: Impedance, cable: Cable, length: Length, frequency: Frequency) -> Match:
    """Return source and load joined by a run of cable that does not match them, as a match.

    Parameters
    ----------
    source, load
        Impedances of both ends.
    cable, length
        What lies between them.
    frequency
        Frequency for which the run's electrical length is given.

    Returns
    -------
    the match, with the run as its only section

    Raises
    ------
    InputError
        When an end has no resistance above zero, or the length is not above zero.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> run_connection("75 ohm", "50 ohm", ideal_cable("75 ohm", 0.8), "10 m", "6 MHz").swr_in("6 MHz")
    1.5
    """
    metres = float(single(positive(length, "m", "length"), "length"))
    hertz = one_frequency(frequency)
    gamma, impedance = check_cable(cable, "cable").constants(hertz)
    run = Section(complex(impedance), float(gamma.imag * metres), hertz, cable, 1, metres)
    return Match(NAME, "only a run of cable, not to match", end(source, "source"), end(load, "load"), (run,))


def mismatch_loss(source: Impedance, load: Impedance) -> Loss:
    """Return what is lost when source and load are joined directly; 0 dB for conjugate impedances.

    It is 10 log10(|Zs + ZL|^2/(4 Rs RL)), the power that the source can give over the power in the load.

    Parameters
    ----------
    source, load
        Impedances of both ends.

    Returns
    -------
    loss [dB] in the shape that both broadcast to

    Raises
    ------
    InputError
        When an end has no resistance above zero.

    Examples
    --------
    >>> mismatch_loss("75 ohm", "50 ohm").m_as("dB")
    0.1773
    """
    source_ohms, load_ohms = impedances(source, "source"), impedances(load, "load")
    check_broadcast(source_ohms, load_ohms)
    passed = twoports.scattering(twoports.THROUGH, source_ohms, load_ohms)[2]
    return with_unit(np.maximum(-NEPER_IN_DB * np.log(np.abs(passed)), 0.0), "dB")


def length_ripple(source: Impedance, load: Impedance, line: Impedance) -> Ripple:
    """Return how far loss and phase may vary with the length of a lossless line between two mismatched ends.

    The transfer holds 1/(1 - p q e^(-2j beta l)), p and q the reflections at both ends, so its size lies between
    1/(1 + |pq|) and 1/(1 - |pq|) and its phase within arcsin |pq| of the line's own. A line that matches either end
    has no ripple.

    Parameters
    ----------
    source, load
        Impedances of both ends.
    line
        Impedances of lines, resistances.

    Returns
    -------
    loss from least to greatest [dB] and phase to either side [degree], in the shape of the lines

    Raises
    ------
    InputError
        When an end has no resistance above zero, or a line has reactance.

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


def loss_with_length(source: Impedance, load: Impedance, cable: Cable, length: Length, frequency: Frequency) -> Loss:
    """Return the insertion loss of a run of cable between two ends that it does not match.

    Parameters
    ----------
    source, load
        Impedances of both ends.
    cable
        What the run is made of.
    length, frequency
        Lengths and frequencies, of shapes that broadcast.

    Returns
    -------
    loss [dB] in the shape that lengths and frequencies broadcast to

    Raises
    ------
    InputError
        When an end has no resistance above zero, a length is negative or a frequency not above zero.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> loss_with_length("75 ohm", "50 ohm", cable("rg-58-solid-pe"), "10 m", "3.65 MHz").m_as("dB")
    0.431
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    metres = not_negative(length, "m", "length")
    hertz = frequencies(frequency)
    check_broadcast(metres, hertz)
    gamma, impedance = check_cable(cable, "cable").constants(hertz)
    passed = twoports.scattering(twoports.line(gamma * metres, impedance), source_ohms, load_ohms)[2]
    return with_unit(-NEPER_IN_DB * np.log(np.abs(passed)), "dB")


class LengthSweep(NamedTuple):
    """Loss [dB] of a run of cable between two ends by its length [m], a row for the middle of a few bands."""

    cable: str
    bands: tuple[str, ...]
    metres: FloatArray
    present: float
    loss: FloatArray


def length_sweep(source: Impedance, load: Impedance, run: tuple[Cable, float], edges: Edges) -> LengthSweep:
    """Return the loss against the length of a run of cable, of which `run` holds the present length [m] too."""
    cable, present = run
    metres = np.linspace(0.0, LONGEST, LENGTHS)
    few = np.unique(np.linspace(0, len(edges) - 1, MOST_BANDS).round().astype(int))
    names, lows, highs = zip(*(edges[n] for n in few), strict=True)
    middles = (np.array(lows) + np.array(highs)) / 2
    loss = loss_with_length(source, load, cable, with_unit(metres, "m"), with_unit(middles[:, None], "Hz"))
    return LengthSweep(cable.name, names, metres, present, loss.m_as("dB"))
