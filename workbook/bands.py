"""Band edges of the amateur service from 160 m to 10 m.

Source: ITU Radio Regulations, Article 5, as amended by the conferences of 2003 (7.1 to 7.2 MHz) and 2015
(5351.5 kHz). Edges from memory but for 160, 80, 30, 20, 17 and 15 m, which agree with 47 CFR 97.301(b) as seen.
National limits differ: the builder's licence decides.
"""

from dataclasses import dataclass

from workbook.checks import one_of, whole_number
from workbook.units import Frequency, Quantity

_ALL = {
    "30 m": (10.100, 10.150),
    "20 m": (14.000, 14.350),
    "17 m": (18.068, 18.168),
    "15 m": (21.000, 21.450),
    "12 m": (24.890, 24.990),
    "10 m": (28.000, 29.700),
}
_60 = (5.3515, 5.3665)
_EDGES = {
    1: {"160 m": (1.810, 1.850), "80 m": (3.500, 3.800), "60 m": _60, "40 m": (7.000, 7.200), **_ALL},
    2: {"160 m": (1.800, 2.000), "80 m": (3.500, 4.000), "60 m": _60, "40 m": (7.000, 7.300), **_ALL},
    3: {"160 m": (1.800, 2.000), "80 m": (3.500, 3.900), "60 m": _60, "40 m": (7.000, 7.200), **_ALL},
}


@dataclass(frozen=True)
class Band:
    """One band.

    Attributes
    ----------
    name
        Such as ``"160 m"``.
    low, high
        Its edges [MHz].
    centre
        Halfway between them [MHz].
    """

    name: str
    low: Frequency
    high: Frequency
    centre: Frequency


def bands(region: int = 2) -> tuple[str, ...]:
    """Return the names of the bands of an ITU region, lowest frequency first.

    Parameters
    ----------
    region
        1, 2 or 3.

    Returns
    -------
    tuple of str
        ``"160 m"`` to ``"10 m"``.

    Raises
    ------
    InputError
        When the region is not 1, 2 or 3.

    Examples
    --------
    >>> bands()[:3]
    ('160 m', '80 m', '60 m')
    """
    return tuple(_edges(region))


def band(name: str, region: int = 2) -> Band:
    """Return one band of an ITU region; its centre is halfway between its edges.

    Parameters
    ----------
    name
        Name of the band, such as ``"160 m"``.
    region
        1, 2 or 3.

    Returns
    -------
    Band
        Name, edges and centre [MHz].

    Raises
    ------
    InputError
        When the region is not 1, 2 or 3, or has no such band (the nearest names are offered).

    Examples
    --------
    >>> band("80 m", region=1).centre.m_as("MHz")
    3.65
    """
    edges = _edges(region)
    low, high = edges[one_of(name, edges, "band")]
    return Band(name, Quantity(low, "MHz"), Quantity(high, "MHz"), Quantity((low + high) / 2, "MHz"))


def edges_hz(region: int) -> dict[str, tuple[float, float]]:
    """Return the edges of every band of an ITU region as plain numbers [Hz]."""
    return {name: (low * 1e6, high * 1e6) for name, (low, high) in _edges(region).items()}


def _edges(region: int) -> dict[str, tuple[float, float]]:
    return _EDGES[whole_number(region, "region", 1, 3)]
