"""Lengths of line that match: quarter wave, twelfth-wave pair, series section, any pair."""

import math
from dataclasses import replace
from typing import Any

import numpy as np

from workbook.checks import positive
from workbook.errors import InputError, shown
from workbook.formulas import twoports
from workbook.line.cable import Cable
from workbook.matching.match import MATCHED, Match, Section, are_matched, end, resistance, section, single
from workbook.units import Quantity


def quarter_wave_match(source: Any, load: Any, frequency: Any, cable: Cable | None = None) -> Match:
    """Return the quarter-wave line between source and load.

    Between resistances R1 and R2 it is a quarter wave of sqrt(R1 R2). Complex ends may have one line that matches
    them; it is then longer or shorter than a quarter wave, but for two equal ends.

    Parameters
    ----------
    source, load
        Impedances to be matched.
    frequency
        Design frequency.
    cable
        What the line is made of, for its length, loss and true impedance; None = lossless and of just the impedance
        that is wanted.

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
    hertz = _hertz(frequency)
    ohms, radians = single_line(source_ohms, load_ohms)
    return quarter_wave(source_ohms, load_ohms, hertz, _cable(cable, "cable") or ohms, radians)


def quarter_wave(source_ohms: Any, load_ohms: Any, hertz: float, made_of: Any, radians: float, count: int = 1) -> Match:
    """Return a match of one line, on plain numbers; `made_of` is a `Cable` or an impedance [ohm]."""
    line = section(made_of, radians, hertz, count)
    return _told(Match("quarter-wave line", _long(line), source_ohms, load_ohms, (line,), hertz), hertz)


def _told(match: Match, hertz: float) -> Match:
    """Return a match that says behind its parts what they do on the design frequency."""
    left = float(match.plain(hertz).swr_in)
    does = "no mismatch is left at the source" if left < MATCHED else f"an SWR of {left:.2f} is left at the source"
    return replace(match, reason=f"{match.reason}: {does} at {hertz / 1e6:.4g} MHz")


def single_line(source_ohms: Any, load_ohms: Any) -> tuple[float, float]:
    """Return impedance [ohm] and lag [rad] of the one line that matches two ends, or refuse."""
    if are_matched(source_ohms, load_ohms):
        raise InputError("is equal to load, so no section is needed", where="source", remedy="join them directly")
    ohms, radians = (float(value) for value in twoports.single_line(source_ohms, load_ohms))
    if not (math.isfinite(ohms) and ohms > 0):
        raise InputError(
            f"no single line matches {load_ohms:.4g} to {source_ohms:.4g} ohm",
            where="load",
            remedy="take out the reactance, or use two lines (wb.series_section_match)",
        )
    return ohms, radians


def twelfth_wave_match(source: Any, load: Any, frequency: Any, cables: tuple[Cable, Cable] | None = None) -> Match:
    """Return the pair of lines, each near a twelfth of a wave, of the load's and then of the source's impedance.

    Each has the lag arctan(1/sqrt(r + 1 + 1/r)), r = source/load: 29.3 degrees for 75 to 50 ohm. In the wrong order
    the pair does not match.

    Parameters
    ----------
    source, load
        Resistances to be matched.
    frequency
        Design frequency.
    cables
        What the two lines are made of, the one at the source (of the load's impedance) first; their lengths are then
        those which match with their true impedances. None = lossless lines of just these impedances.

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
    hertz = _hertz(frequency)
    if are_matched(source_ohms, load_ohms):
        raise InputError("is equal to load, so no section is needed", where="source", remedy="join them directly")
    made_of = (load_ohms, source_ohms) if cables is None else tuple(_cable(cable, "cables") for cable in _two(cables))
    parts = pair(source_ohms, made_of, load_ohms, hertz)
    if parts is None:
        raise InputError(out_of_range("cables", source_ohms, made_of, load_ohms, hertz))
    return pair_match("twelfth-wave pair", source_ohms, parts, load_ohms, hertz)


def series_section_match(line: Any, section: Any, load: Any, frequency: Any) -> Match:
    """Return the series section: a length of another impedance, then a length of the line itself, before the load.

    The source is the line: with a `Cable` its nominal impedance. Of the two ways to do it, the shorter.

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
    load_ohms, hertz = end(load, "load"), _hertz(frequency)
    source_ohms = resistance(line.nominal_impedance if isinstance(line, Cable) else line, "line")
    made_of = (
        section if isinstance(section, Cable) else resistance(section, "section"),
        line if isinstance(line, Cable) else source_ohms,
    )
    if are_matched(source_ohms, load_ohms):
        raise InputError(
            "is equal to the line's impedance, so no section is needed", where="load", remedy="join them directly"
        )
    parts = pair(source_ohms, made_of, load_ohms, hertz)
    if parts is None:
        raise InputError(out_of_range("section", source_ohms, made_of, load_ohms, hertz))
    return pair_match("series section", source_ohms, parts, load_ohms, hertz)


def out_of_range(name: str, source: Any, made_of: Any, load: Any, hertz: float) -> str:
    """Say that a section does not match, which impedances at the source would, and which of them is the nearest."""
    ohms, other = (characteristic(made, hertz) for made in made_of)
    least, most, beyond = (float(edge) for edge in twoports.first_line_edges(source, other, load))
    failed = f"{name}: {ohms:.4g} ohm before {other:.4g} ohm matches {load:.4g} to {source:.4g} ohm at no lengths"
    if not math.isfinite(least + most) or (not beyond and most == 0):
        return f"{failed}, nor would another impedance; use another line at the load."
    # rounded so that what is written does match
    toward, away = (math.floor, math.ceil) if beyond else (math.ceil, math.floor)
    low, high = toward(least * 100) / 100, away(most * 100) / 100
    if not beyond and low > high:
        return f"{failed}; only {most:.2f} ohm would."
    near = low if low > 0 and abs(ohms - low) < abs(ohms - high) else high
    allowed = f"{low:.2f} to {high:.2f} ohm would"
    if beyond:
        allowed = (
            f"{low:.2f} ohm or less would, or {high:.2f} ohm or more" if low > 0 else f"{high:.2f} ohm or more would"
        )
    return f"{failed}; {allowed}, the nearest being {near:.2f} ohm."


def pair_match(name: str, source_ohms: Any, parts: tuple[Section, Section], load_ohms: Any, hertz: float) -> Match:
    """Return two sections as a match, on plain numbers."""
    made = f"{_long(parts[0])} at the source and {_long(parts[1])} at the load"
    return _told(Match(name, made, source_ohms, load_ohms, parts, hertz), hertz)


def pair(
    source_ohms: Any, made_of: Any, load_ohms: Any, hertz: float, counts: tuple[int, int] = (1, 1)
) -> tuple[Section, Section] | None:
    """Return the shortest two sections of two materials that match, None where no lengths do.

    A cable's impedance is taken as its resistance on the design frequency; what its small reactance and its loss
    leave is in the response.
    """
    first, second = (characteristic(made, hertz) / count for made, count in zip(made_of, counts, strict=True))
    lags = twoports.pair_lags(source_ohms, first, second, load_ohms)[0]
    if not np.all(np.isfinite(lags)):
        return None
    one, other = (section(*each) for each in zip(made_of, lags, (hertz, hertz), counts, strict=True))
    return one, other


def characteristic(made_of: Any, hertz: float) -> float:
    """Return the real part of the characteristic impedance [ohm] of a cable, or a plain impedance itself."""
    return float(np.real(made_of.constants(hertz)[1])) if isinstance(made_of, Cable) else made_of


def _long(line: Section) -> str:
    which = f"of {line.cable.name}" if line.cable else f"of {line.ohms.real:.4g} ohm"
    return f"{math.degrees(line.radians):.1f} degrees {'of two in parallel, ' if line.count > 1 else ''}{which}"


def _hertz(frequency: Any) -> float:
    return single(positive(frequency, "Hz", "frequency"), "frequency")


def _cable(cable: Any, name: str) -> Any:
    if cable is not None and not isinstance(cable, Cable):
        raise InputError(
            f"{shown(cable)} is no cable", where=name, remedy="write wb.cable('series-6-copper') or another name"
        )
    return cable


def _two(cables: Any) -> tuple[Any, Any]:
    if not isinstance(cables, (tuple, list)) or len(cables) != 2 or None in cables:
        raise InputError(
            "a pair is wanted, at the source first",
            where="cables",
            remedy="write (wb.cable('rg-58-solid-pe'), another)",
        )
    return tuple(cables)


def quarter_wave_impedance(source: Any, load: Any) -> Any:
    """Return the impedance of the line that matches source and load [ohm]; sqrt(R1 R2) between resistances.

    Examples
    --------
    >>> quarter_wave_impedance("75 ohm", "50 ohm").m_as("ohm")
    61.237
    """
    return Quantity(single_line(end(source, "source"), end(load, "load"))[0], "ohm")
