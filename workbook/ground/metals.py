"""Corrosion where two metals meet: a galvanic series, and which pairs to avoid outdoors."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from workbook.checks import one_of
from workbook.units import Quantity

SOURCE = "anodic index of MIL-STD-889 and MIL-F-14072, from memory"
METALS: Mapping[str, float] = MappingProxyType(
    {
        "gold": 0.00,
        "silver": 0.15,
        "nickel": 0.30,
        "copper": 0.35,
        "bronze": 0.40,
        "brass": 0.45,
        "stainless steel": 0.50,
        "tin plate": 0.60,
        "tin-lead solder": 0.65,
        "lead": 0.70,
        "steel": 0.85,
        "aluminium": 0.90,
        "galvanized steel": 1.20,
        "zinc": 1.25,
    }
)
"""Metals and finishes with their anodic index [V]; of two that touch, the one with the higher index corrodes."""
OUTDOORS, SHELTERED = 0.15, 0.25


@dataclass(frozen=True)
class MetalPair:
    """Two metals that touch.

    `difference` of their anodic index [V]; `corrodes`: the metal that goes, None where both are alike; `outdoors` and
    `sheltered`: whether the pair lasts in rain or salt air (up to 0.15 V), and under a roof (up to 0.25 V).
    """

    metals: tuple[str, str]
    difference: Quantity
    corrodes: str | None
    outdoors: bool
    sheltered: bool


def metal_pair(one: str, other: str) -> MetalPair:
    """Return whether two metals may touch outdoors, by a galvanic series (MIL-STD-889, from memory).

    Parameters
    ----------
    one, other
        Metals or finishes, such as "copper" and "galvanized steel".

    Returns
    -------
    MetalPair

    Raises
    ------
    InputError
        When a metal is not in the series.

    Examples
    --------
    >>> pair = metal_pair("copper", "galvanized steel")
    >>> pair.difference.m_as("V"), pair.corrodes, pair.outdoors
    (0.85, 'galvanized steel', False)
    """
    names = one_of(one, METALS, "one"), one_of(other, METALS, "other")
    first, second = (METALS[name] for name in names)
    volts = round(abs(first - second), 3)
    corrodes = None if volts == 0 else names[0] if first > second else names[1]
    return MetalPair(names, Quantity(volts, "V"), corrodes, volts <= OUTDOORS, volts <= SHELTERED)
