"""The bands for which matches are compared."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from workbook.bands import Band, band
from workbook.checks import positive
from workbook.errors import InputError, shown
from workbook.matching.match import single

Edges = tuple[tuple[str, float, float], ...]
"""Name, low and high edge [Hz] of each band."""

POINTS = 21
"""Frequencies looked at in each band, its edges among them."""


def named_edges(bands: Iterable[Any], region: int = 2) -> Edges:
    """Return name, low and high edge [Hz] of bands given by name or as (low, high) frequencies."""
    if isinstance(bands, str) or not isinstance(bands, Iterable) or np.ndim(getattr(bands, "magnitude", [0])) == 0:
        raise InputError(
            f"a row of bands is wanted, not {shown(bands)}", where="bands", remedy="write ('160 m', '80 m')"
        )
    found = tuple(_edges(each, region) for each in bands)
    if not found:
        raise InputError(
            "is empty", where="bands", remedy="write band names such as ('160 m', '80 m') or (low, high) frequencies"
        )
    return found


def _edges(each: Any, region: int) -> tuple[str, float, float]:
    if isinstance(each, str):
        named = _named(each, region)
        return each, named.low.m_as("Hz"), named.high.m_as("Hz")
    if (not isinstance(each, Sequence) and not np.ndim(each) == 1) or len(each) != 2:
        raise InputError(
            f"{shown(each)} is no band", where="bands", remedy="write a name such as '160 m', or ('1.8 MHz', '2 MHz')"
        )
    low, high = (single(positive(edge, "Hz", "bands"), "bands") for edge in each)
    if low > high:
        raise InputError(
            f"{low / 1000000.0:g} to {high / 1000000.0:g} MHz runs downward",
            where="bands",
            remedy="write the lower edge first",
        )
    return f"{low / 1e6:g} to {high / 1e6:g} MHz", low, high


def _named(name: str, region: int) -> Band:
    try:
        return band(name, region)
    except InputError as error:
        raise error.renamed("band", "bands") from None


def sampled(edges: Edges) -> Any:
    """Return frequencies [Hz] to look at, as a row for each band."""
    return np.array([np.linspace(low, high, POINTS) for _, low, high in edges])
