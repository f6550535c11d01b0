"""Arguments of this room: impedances of both ends, limits, bands and cables, checked and taken to plain numbers."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from workbook.bands import Band, band
from workbook.checks import magnitude, plain_number, positive, single
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.line.catalogue import cable, cable_files, load_cable
from workbook.units import FloatArray, Floats, Frequency, Impedance, Loss

LEAST_OHMS, MOST_OHMS = 1e-3, 1e6
"""Least resistance and greatest impedance [ohm] of an end; beyond these nothing can be built."""

LEAST_HERTZ, MOST_HERTZ = 1.0, 1e12
"""Frequencies [Hz] on which matches are computed."""

LEAST_LIMIT = 1e-6
"""Least limit of loss [dB], and of SWR above 1."""

SAME = 1e-9
"""Relative difference below which two ends count as equal."""

POINTS = 21
"""Frequencies sampled in each band, its edges among them."""

Edges = tuple[tuple[str, float, float], ...]
"""Name, low and high edge [Hz] of each band."""

Limits = tuple[float, float]
"""Greatest SWR at either end and greatest insertion loss [dB]."""


def is_sequence(value: Any) -> bool:
    """Return whether there are several values to go through; text is one value, and so is a quantity of one number."""
    is_many = isinstance(value, Iterable) and not isinstance(value, (str, bytes))
    # an array of no axis says that it can be gone through, and cannot
    plain = getattr(value, "magnitude", value if isinstance(value, np.ndarray) else [0])
    return is_many and np.ndim(plain) > 0


# --- ends -------------------------------------------------------------------------------------------------


def impedances(value: Impedance, name: str) -> Floats:
    """Return impedances of ends [ohm], one or an array, real where none has reactance; refuse what cannot be built."""
    ohms = magnitude(value, "ohm", name)
    possible = np.ravel((np.real(ohms) >= LEAST_OHMS) & (np.abs(ohms) <= MOST_OHMS))
    if not np.all(possible):
        first = np.ravel(ohms)[~possible][0]
        raise InputError(
            f"{(first if np.imag(first) else np.real(first)):g} ohm cannot be matched",
            where=name,
            remedy="give a resistance from 0.001 ohm up, above 0, and at most 1 Mohm with any reactance",
        )
    return ohms if np.any(np.imag(ohms)) else np.real(ohms)


def resistances(value: Impedance, name: str) -> Floats:
    """Return resistances [ohm], one or an array, within the same limits as `impedances`."""
    ohms = impedances(value, name)
    if np.iscomplexobj(ohms):
        came = np.ravel(ohms)[np.flatnonzero(np.imag(ohms))[0]]
        raise InputError(
            f"{came:g} ohm has reactance, but only a resistance is understood here",
            where=name,
            remedy="give a resistance, or use wb.series_section_match for a load with reactance",
        )
    return ohms


def end(value: Impedance, name: str) -> float | complex:
    """Return the impedance of one end [ohm], a float where it is a resistance."""
    ohms: float | complex = single(impedances(value, name), name)
    return ohms


def resistance(value: Impedance, name: str) -> float:
    """Return the resistance of one end [ohm]."""
    return float(single(resistances(value, name), name))


def are_matched(source_ohms: complex, load_ohms: complex) -> bool:
    """Return whether two ends [ohm] are conjugate to within rounding, so that no match is needed."""
    return bool(abs(source_ohms - np.conj(load_ohms)) <= SAME * abs(source_ohms))


def frequencies(value: Frequency) -> Floats:
    """Return frequencies [Hz], within the range where figures do not overflow."""
    hertz = positive(value, "Hz", "frequency")
    beyond = np.ravel((hertz < LEAST_HERTZ) | (hertz > MOST_HERTZ))
    if np.any(beyond):
        raise InputError(
            f"{np.ravel(hertz)[beyond][0]:g} Hz is out of range", where="frequency", wanted="1 Hz to 1 THz"
        )
    return hertz


def one_frequency(value: Frequency) -> float:
    """Return one frequency [Hz]: a match is designed for one."""
    return float(single(frequencies(value), "frequency"))


# --- limits -----------------------------------------------------------------------------------------------


def limit_pair(most_swr: float, most_loss: Loss) -> Limits:
    """Check the limits of SWR and loss, and return them as plain numbers [1, dB]."""
    decibel = single(positive(most_loss, "dB", "most_loss"), "most_loss")
    swr = plain_number(most_swr, "most_swr", 1, 1e9, "1.2")
    if swr < 1 + LEAST_LIMIT:
        raise InputError("an SWR of 1 cannot be built", where="most_swr", remedy="write a limit above 1, such as 1.2")
    if decibel < LEAST_LIMIT:
        raise InputError(
            f"{decibel:g} dB is less than can be measured", where="most_loss", remedy="write a limit such as 1 dB"
        )
    return swr, float(decibel)


# --- bands ------------------------------------------------------------------------------------------------


def band_edges(bands: Iterable[Any], region: int = 2) -> Edges:
    """Return name, low and high edge [Hz] of bands given by name or as (low, high) frequencies."""
    remedy = "write band names such as ('160 m', '80 m'), or (low, high) frequencies"
    if not is_sequence(bands):
        raise InputError(f"got {shown(bands)}", where="bands", wanted="a sequence of bands", remedy=remedy)
    found = tuple(_edges(each, region) for each in bands)
    if not found:
        raise InputError("the sequence is empty", where="bands", remedy=remedy)
    return found


def _edges(each: Any, region: int) -> tuple[str, float, float]:
    if isinstance(each, str):
        named = _named_band(each, region)
        return each, named.low.m_as("Hz"), named.high.m_as("Hz")
    is_pair = isinstance(each, Sequence) or np.ndim(getattr(each, "magnitude", each)) == 1
    if isinstance(each, bytes) or not is_pair or len(each) != 2:
        raise InputError(
            f"got {shown(each)}",
            where="bands",
            wanted="a band",
            remedy="write a name such as '160 m', or ('1.8 MHz', '2 MHz')",
        )
    low, high = (float(single(positive(edge, "Hz", "bands"), "bands")) for edge in each)
    if low > high:
        raise InputError(
            f"{low / 1e6:g} to {high / 1e6:g} MHz runs downward", where="bands", remedy="write the lower edge first"
        )
    return f"{low / 1e6:g} to {high / 1e6:g} MHz", low, high


def _named_band(name: str, region: int) -> Band:
    try:
        return band(name, region)
    except InputError as error:
        raise error.renamed("band", "bands") from None


def sampled(edges: Edges) -> FloatArray:
    """Return frequencies [Hz] at which bands are judged, a row for each band."""
    return np.array([np.linspace(low, high, POINTS) for _, low, high in edges])


# --- cables -----------------------------------------------------------------------------------------------


def chosen_cables(names: Iterable[Any] | None) -> tuple[Cable, ...]:
    """Return the cables meant by names or cables; the coaxial cables of the catalogue for None."""
    if names is None:
        # a balanced pair is not a section of coaxial line
        known = (load_cable(path) for _, path in sorted(cable_files().items()))
        return tuple(each for each in known if not each.is_balanced)
    if not is_sequence(names):
        raise InputError(
            f"got {shown(names)}",
            where="cables",
            wanted="a sequence of cables",
            remedy="write names such as ('series-6-copper', 'rg-58-solid-pe')",
        )
    found = tuple(each if isinstance(each, Cable) else _named_cable(each) for each in names)
    if not found:
        raise InputError(
            "the sequence is empty", where="cables", remedy="name at least one cable, or leave it out for all"
        )
    return found


def _named_cable(name: Any) -> Cable:
    try:
        return cable(name)
    except InputError as error:
        # a fault in a cable's own file is placed by its path
        raise error.renamed("name", "cables") from None
