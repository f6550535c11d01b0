"""Lengths of line that match: quarter wave, twelfth-wave pair, series section, any pair; and cables for them."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook.checks import whole_number
from workbook.errors import InputError, shown
from workbook.formulas import twoports
from workbook.line.cable import Cable, check_cable
from workbook.matching.arguments import are_matched, chosen_cables, end, one_frequency, resistance
from workbook.matching.match import MATCHED, Match
from workbook.matching.parts import Section, section
from workbook.units import Frequency, Impedance, Quantity

QUARTER_WAVE, TWELFTH_WAVE, PAIR, SERIES = "quarter-wave line", "twelfth-wave pair", "pair of lines", "series section"
"""Names of the matches of line, as in a design file; the twelfth-wave pair's between complex ends is `PAIR`."""

Material = Cable | float
"""What a section is made of: a cable, or a plain impedance [ohm] without loss."""


# --- one line ---------------------------------------------------------------------------------------------


def quarter_wave_match(source: Impedance, load: Impedance, frequency: Frequency, cable: Cable | None = None) -> Match:
    """Return the quarter-wave line between source and load.

    Between resistances R1 and R2 it is a quarter wave of sqrt(R1 R2), as in any textbook. Complex ends may have one
    line that matches them; it is then longer or shorter than a quarter wave, but for two equal ends.

    Parameters
    ----------
    source, load
        Impedances to be matched.
    frequency
        Design frequency.
    cable
        What the line is made of, for its length, loss and true impedance; None = lossless and of just the impedance
        that is wanted.

    Returns
    -------
    the match, with one section

    Raises
    ------
    InputError
        When source and load are equal, so that no section is needed, or no single line matches them.

    Examples
    --------
    >>> line = quarter_wave_match("75 ohm", "50 ohm", "1.83 MHz").sections[0]
    >>> line.impedance.m_as("ohm"), line.electrical_length.m_as("degree")
    (61.237, 90.0)
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    hertz = one_frequency(frequency)
    made_of = None if cable is None else check_cable(cable, "cable")
    ohms, radians = single_line(source_ohms, load_ohms)
    return quarter_wave(source_ohms, load_ohms, hertz, made_of or ohms, radians)


def quarter_wave_impedance(source: Impedance, load: Impedance) -> Impedance:
    """Return the impedance of the line that matches source and load; sqrt(R1 R2) between resistances.

    Parameters
    ----------
    source, load
        Impedances to be matched.

    Returns
    -------
    impedance of the line, a resistance [ohm]

    Raises
    ------
    InputError
        When source and load are equal, or no single line matches them.

    Examples
    --------
    >>> quarter_wave_impedance("75 ohm", "50 ohm").m_as("ohm")
    61.237
    """
    return Quantity(single_line(end(source, "source"), end(load, "load"))[0], "ohm")


def quarter_wave(
    source_ohms: complex, load_ohms: complex, hertz: float, made_of: Material, radians: float, count: int = 1
) -> Match:
    """Return a match of one line, on plain numbers."""
    line = section(made_of, radians, hertz, count)
    return _with_result(Match(QUARTER_WAVE, _length_of(line), source_ohms, load_ohms, (line,), hertz), hertz)


def single_line(source_ohms: complex, load_ohms: complex) -> tuple[float, float]:
    """Return impedance [ohm] and lag [rad] of the one line that matches two ends, or refuse."""
    if are_matched(source_ohms, load_ohms):
        raise needless("source", "load")
    ohms, radians = (float(value) for value in twoports.single_line(source_ohms, load_ohms))
    if not (math.isfinite(ohms) and ohms > 0):
        raise InputError(
            f"no single line matches {load_ohms:.4g} to {source_ohms:.4g} ohm",
            where="load",
            remedy="take out the reactance, or use two lines (wb.series_section_match)",
        )
    return ohms, radians


def needless(one: str, other: str) -> InputError:
    """Return the refusal of a section between ends that match already."""
    return InputError(f"equals {other}, so no section is needed", where=one, remedy="join them directly")


def _with_result(match: Match, hertz: float) -> Match:
    """Return a match with its reason extended by what it does on the design frequency."""
    left = float(match.plain(hertz).swr_in)
    does = "no mismatch is left at the source" if left < MATCHED else f"an SWR of {left:.2f} is left at the source"
    return replace(match, reason=f"{match.reason}: {does} at {hertz / 1e6:.4g} MHz")


# --- two lines --------------------------------------------------------------------------------------------


def twelfth_wave_match(
    source: Impedance, load: Impedance, frequency: Frequency, cables: tuple[Cable, Cable] | None = None
) -> Match:
    """Return the pair of lines, each near a twelfth of a wave, of the load's and then of the source's impedance.

    Each has the lag arctan(1/sqrt(r + 1 + 1/r)), r = source/load: 29.3 degrees for 75 to 50 ohm (J. Bramham,
    1961, from memory). In the wrong order the pair does not match.

    Parameters
    ----------
    source, load
        Resistances to be matched.
    frequency
        Design frequency.
    cables
        What the two lines are made of, the one at the source (of the load's impedance) first; their lengths are then
        those which match with their true impedances. None = lossless lines of just these impedances.

    Returns
    -------
    the match, with two sections

    Raises
    ------
    InputError
        When source and load are equal, so that no section is needed, or the two cables cannot match them.

    Examples
    --------
    >>> [s.electrical_length.m_as("degree") for s in twelfth_wave_match("75 ohm", "50 ohm", "1.83 MHz").sections]
    [29.334, 29.334]
    """
    source_ohms, load_ohms = resistance(source, "source"), resistance(load, "load")
    hertz = one_frequency(frequency)
    made_of = (load_ohms, source_ohms) if cables is None else _two_cables(cables)
    if are_matched(source_ohms, load_ohms):
        raise needless("source", "load")
    parts = pair(source_ohms, made_of, load_ohms, hertz)
    if parts is None:
        raise out_of_range("cables", source_ohms, made_of, load_ohms, hertz)
    return pair_match(TWELFTH_WAVE, source_ohms, parts, load_ohms, hertz)


def _two_cables(cables: Any) -> tuple[Cable, Cable]:
    if not isinstance(cables, (tuple, list)) or len(cables) != 2:
        raise InputError(
            f"got {shown(cables)}",
            where="cables",
            wanted="two cables, the one at the source first",
            remedy="write (wb.cable('rg-58-solid-pe'), wb.cable('series-6-copper'))",
        )
    return check_cable(cables[0], "cables"), check_cable(cables[1], "cables")


def series_section_match(
    line: Impedance | Cable, section: Impedance | Cable, load: Impedance, frequency: Frequency
) -> Match:
    """Return the series section: a length of another impedance, then a length of the line itself, before the load.

    The source is the line: with a `Cable` its nominal impedance. Of the two solutions, the shorter (F. Regier,
    QST, 1978, from memory).

    Parameters
    ----------
    line
        The line that goes on to the source: an impedance, lossless, or a `Cable`.
    section
        What the section is made of, likewise.
    load
        Impedance to be matched.
    frequency
        Design frequency.

    Returns
    -------
    the match, with two sections: section, then line

    Raises
    ------
    InputError
        When the load matches the line already, or the section's impedance is too near to the line's; the sentence
        says which impedances do.

    Examples
    --------
    >>> sections = series_section_match("50 ohm", "75 ohm", "100 ohm", "7.1 MHz").sections
    >>> [s.electrical_length.m_as("degree") for s in sections]
    [58.05, 14.96]
    """
    load_ohms, hertz = end(load, "load"), one_frequency(frequency)
    source_ohms = resistance(line.nominal_impedance if isinstance(line, Cable) else line, "line")
    made_of = (
        section if isinstance(section, Cable) else resistance(section, "section"),
        line if isinstance(line, Cable) else source_ohms,
    )
    if are_matched(source_ohms, load_ohms):
        raise needless("load", "the line's impedance")
    parts = pair(source_ohms, made_of, load_ohms, hertz)
    if parts is None:
        raise out_of_range("section", source_ohms, made_of, load_ohms, hertz)
    return pair_match(SERIES, source_ohms, parts, load_ohms, hertz)


def pair_match(
    name: str, source_ohms: complex, parts: tuple[Section, Section], load_ohms: complex, hertz: float
) -> Match:
    """Return two sections as a match, on plain numbers."""
    made = f"{_length_of(parts[0])} at the source and {_length_of(parts[1])} at the load"
    return _with_result(Match(name, made, source_ohms, load_ohms, parts, hertz), hertz)


def pair(
    source_ohms: complex,
    made_of: tuple[Material, Material],
    load_ohms: complex,
    hertz: float,
    counts: tuple[int, int] = (1, 1),
) -> tuple[Section, Section] | None:
    """Return the shortest two sections of two materials that match, None where no lengths do.

    A cable's impedance is taken as its resistance on the design frequency; what its small reactance and its loss
    leave is in the response.
    """
    first, second = (_characteristic(made, hertz) / count for made, count in zip(made_of, counts, strict=True))
    lags = twoports.pair_lags(source_ohms, first, second, load_ohms)[0]
    if not np.all(np.isfinite(lags)):
        return None
    one, other = (section(*each) for each in zip(made_of, lags, (hertz, hertz), counts, strict=True))
    return one, other


def out_of_range(
    name: str, source: complex, made_of: tuple[Material, Material], load: complex, hertz: float
) -> InputError:
    """Return the refusal of a section that does not match, with the impedances that would, and the nearest of them."""
    ohms, other = (_characteristic(made, hertz) for made in made_of)
    least, most, beyond = (float(edge) for edge in twoports.first_line_edges(source, other, load))
    failed = f"{ohms:.4g} ohm before {other:.4g} ohm matches {load:.4g} to {source:.4g} ohm at no lengths"
    if not math.isfinite(least + most) or (not beyond and most == 0):
        return InputError(f"{failed}, nor would another impedance", where=name, remedy="use another line at the load")
    # rounded so that what is written does match
    inward, outward = (math.floor, math.ceil) if beyond else (math.ceil, math.floor)
    low, high = inward(least * 100) / 100, outward(most * 100) / 100
    if not beyond and low > high:
        return InputError(failed, where=name, remedy=f"only {most:.2f} ohm would")
    near = low if low > 0 and abs(ohms - low) < abs(ohms - high) else high
    allowed = f"{low:.2f} to {high:.2f} ohm would"
    if beyond:
        below = f"{low:.2f} ohm or less would, or {high:.2f} ohm or more"
        allowed = below if low > 0 else f"{high:.2f} ohm or more would"
    return InputError(failed, where=name, remedy=f"{allowed}, the nearest being {near:.2f} ohm")


def _characteristic(made_of: Material, hertz: float) -> float:
    """Return the real part of the characteristic impedance [ohm] of a cable, or a plain impedance itself."""
    return float(np.real(made_of.constants(hertz)[1])) if isinstance(made_of, Cable) else made_of


def _length_of(line: Section) -> str:
    which = f"of {line.cable.name}" if line.cable else f"of {line.ohms.real:.4g} ohm"
    return f"{math.degrees(line.radians):.1f} degrees {'of two in parallel, ' if line.count > 1 else ''}{which}"


# --- which cables -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class CableChoice:
    """A cable, how many in parallel, and their impedance [ohm, complex] at the frequency wanted."""

    cable: Cable
    count: int
    ohms: complex

    @property
    def impedance(self) -> Impedance:
        """Characteristic impedance of all in parallel [ohm], complex."""
        return Quantity(self.ohms, "ohm")

    @property
    def nominal_ohms(self) -> float:
        """Nominal impedance of all in parallel [ohm]."""
        return float(self.cable.nominal_impedance.m_as("ohm")) / self.count

    @property
    def name(self) -> str:
        """The cable's name, after 'two' where two lie in parallel."""
        return self.cable.name if self.count == 1 else f"two {self.cable.name}"


def nearest_cables(
    impedance: Impedance, frequency: Frequency, cables: Iterable[Any] | None = None, most_parallel: int = 2
) -> tuple[CableChoice, ...]:
    """Return cables, single or in parallel, nearest to an impedance first, by their true impedance.

    Parameters
    ----------
    impedance
        Resistance wanted.
    frequency
        Frequency at which the cables' own impedance counts.
    cables
        Cables or names of cables to choose from; None = the coaxial cables of the catalogue.
    most_parallel
        1 or 2.

    Returns
    -------
    choices, each with its complex impedance [ohm]

    Raises
    ------
    InputError
        When there is no such cable, or more than two are to lie in parallel.

    Examples
    --------
    >>> nearest_cables("37.5 ohm", "1.83 MHz", ("rg-58-solid-pe", "rg-6-solid-pe"))[0].name
    'two rg-6-solid-pe'
    """
    ohms, hertz = resistance(impedance, "impedance"), one_frequency(frequency)
    return nearest_to(ohms, hertz, chosen_cables(cables), whole_number(most_parallel, "most_parallel", 1, 2))


def nearest_to(ohms: float, hertz: float, among: tuple[Cable, ...], most_parallel: int = 2) -> tuple[CableChoice, ...]:
    """Return `nearest_cables` on plain numbers."""
    return tuple(sorted(cable_choices(hertz, among, most_parallel), key=lambda choice: abs(choice.ohms - ohms)))


def cable_choices(hertz: float, among: tuple[Cable, ...], most_parallel: int = 2) -> tuple[CableChoice, ...]:
    """Return every cable, single and in parallel, with its impedance."""
    found = ((each, complex(each.constants(hertz)[1])) for each in among)
    return tuple(CableChoice(each, n, ohms / n) for each, ohms in found for n in range(1, most_parallel + 1))
