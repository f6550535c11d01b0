"""The minimum-loss pad: two resistors that match two resistances both ways, exact or of preferred values."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, positive
from workbook.errors import InputError, shown
from workbook.formulas import twoports
from workbook.matching.arguments import SAME, end, resistances
from workbook.matching.match import MATCHED, Match
from workbook.matching.parts import Resistor
from workbook.units import NEPER_IN_DB, FloatArray, Floats, Impedance, Loss, scalar, with_unit

# preferred values of IEC 60063, from memory; E24 is a list of its own, E96 are the powers of ten by 1/96 to three
# figures
_E24 = "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1"
_VALUES: Mapping[int, FloatArray] = MappingProxyType(
    {
        24: np.array([float(value) for value in _E24.split()]),
        96: np.round(10 ** (np.arange(96) / 96), 2),
    }
)

NAMES: Mapping[int | None, str] = MappingProxyType(
    {
        None: "minimum-loss pad, exact",
        24: "minimum-loss pad, E24 resistors",
        96: "minimum-loss pad, E96 resistors",
    }
)
"""Names of the pads by the values per decade of their resistors, as in a design file; None = exact."""


@dataclass(frozen=True)
class Pad:
    """Resistor in series on the high side [ohm], resistor across the low side [ohm], and loss [dB]."""

    series: Impedance
    shunt: Impedance
    loss: Loss


@dataclass(frozen=True)
class RealPad(Pad):
    """A pad of preferred resistors, with the SWR that it leaves at its high and at its low side."""

    swr_high: Any
    swr_low: Any


def minimum_loss_pad(high: Impedance, low: Impedance) -> Pad:
    """Return the pad that matches two resistances both ways with the least loss.

    Parameters
    ----------
    high, low
        The greater and the smaller resistance.

    Returns
    -------
    both resistors [ohm] and the loss [dB], in the shape that the resistances broadcast to

    Raises
    ------
    InputError
        When `high` is not above `low`.

    Examples
    --------
    >>> pad = minimum_loss_pad("75 ohm", "50 ohm")
    >>> pad.series.m_as("ohm"), pad.shunt.m_as("ohm"), pad.loss.m_as("dB")
    (43.301, 86.603, 5.7195)
    """
    upper, lower = _ends(high, low)
    series, shunt, loss = twoports.minimum_loss_pad(upper, lower)
    return Pad(with_unit(series, "ohm"), with_unit(shunt, "ohm"), with_unit(loss * NEPER_IN_DB, "dB"))


def nearest_value(resistance: Impedance, values_per_decade: int = 96) -> Impedance:
    """Return the preferred resistor value of IEC 60063 nearest by ratio.

    Parameters
    ----------
    resistance
        Resistances wanted, any shape.
    values_per_decade
        24 or 96, for the series E24 and E96.

    Returns
    -------
    preferred values [ohm] in the shape of the resistances

    Raises
    ------
    InputError
        When a resistance is not above zero, or there is no such series.

    Examples
    --------
    >>> nearest_value("43.3 ohm", 24).m_as("ohm")
    43.0
    """
    return with_unit(_nearest(positive(resistance, "ohm", "resistance"), values_per_decade), "ohm")


def real_pad(high: Impedance, low: Impedance, values_per_decade: int = 96) -> RealPad:
    """Return the minimum-loss pad with the nearest preferred resistors, its loss and the SWR at both ends.

    Parameters
    ----------
    high, low
        The greater and the smaller resistance.
    values_per_decade
        24 or 96, for the series E24 and E96 of IEC 60063.

    Returns
    -------
    both resistors [ohm], the loss [dB] and SWR, in the shape that the resistances broadcast to

    Raises
    ------
    InputError
        When `high` is not above `low`, or there is no such series.

    Examples
    --------
    >>> pad = real_pad("75 ohm", "50 ohm", 24)
    >>> pad.series.m_as("ohm"), pad.shunt.m_as("ohm"), pad.swr_high
    (43.0, 91.0, 1.01)
    """
    upper, lower = _ends(high, low)
    series, shunt = (_nearest(ohms, values_per_decade) for ohms in twoports.minimum_loss_pad(upper, lower)[:2])
    chain = twoports.cascade((twoports.series(series), twoports.shunt(shunt)))
    back_in, _, passed, back_out = twoports.scattering(chain, upper, lower)
    loss = with_unit(-20 * np.log10(passed), "dB")
    swr_high, swr_low = scalar(twoports.swr(back_in)), scalar(twoports.swr(back_out))
    return RealPad(with_unit(series, "ohm"), with_unit(shunt, "ohm"), loss, swr_high, swr_low)


def pad_match(source: Impedance, load: Impedance, values_per_decade: int | None = None) -> Match:
    """Return the minimum-loss pad as a match, exact or of preferred resistors; for complex ends by their moduli.

    Parameters
    ----------
    source, load
        Impedances to be matched.
    values_per_decade
        24 or 96 for preferred resistors, None for the exact ones.

    Returns
    -------
    the match, with two resistors as its parts

    Raises
    ------
    InputError
        When both ends have the same modulus, so that no pad is needed.

    Examples
    --------
    >>> pad_match("75 ohm", "50 ohm", 24).description
    '43 ohm in series; 91 ohm across'
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    sizes = abs(source_ohms), abs(load_ohms)
    if np.isclose(*sizes, rtol=SAME, atol=0):
        raise InputError("equals load, so no pad is needed", where="source", remedy="join them directly")
    ohms = twoports.minimum_loss_pad(max(sizes), min(sizes))[:2]
    if values_per_decade is not None:
        ohms = tuple(_nearest(value, values_per_decade) for value in ohms)
    resistors = Resistor(float(ohms[0]), False), Resistor(float(ohms[1]), True)
    parts = resistors if sizes[0] > sizes[1] else resistors[::-1]
    made = Match(NAMES[values_per_decade], "", source_ohms, load_ohms, parts)
    left = max(made.plain(1.0)[:2])  # the same on every frequency
    does = "matches both ends" if left < MATCHED else f"leaves an SWR of {left:.2f}"
    return replace(made, reason=f"{does} on every frequency, at the cost of loss")


def _ends(high: Impedance, low: Impedance) -> tuple[Floats, Floats]:
    upper, lower = resistances(high, "high"), resistances(low, "low")
    check_broadcast(upper, lower)
    if np.any(np.isclose(upper, lower, rtol=SAME, atol=0)):
        raise InputError("equals low, so no pad is needed", where="high", remedy="join them directly")
    if np.any(upper < lower):
        raise InputError(
            "is smaller than low", where="high", remedy="exchange the two: the series resistor is on the high side"
        )
    return upper, lower


def _nearest(ohms: Floats, values_per_decade: int) -> Floats:
    is_whole = isinstance(values_per_decade, (int, np.integer)) and not isinstance(values_per_decade, bool)
    if not is_whole or values_per_decade not in _VALUES:
        raise InputError(
            f"got {shown(values_per_decade)}",
            where="values_per_decade",
            wanted="a series of resistors",
            remedy="write 24 or 96",
        )
    # the first value of the next decade may be the nearest
    values = np.append(_VALUES[values_per_decade], 10.0)
    decade = 10.0 ** np.floor(np.log10(ohms))
    far = np.abs(np.log(values / np.asarray(ohms / decade)[..., None]))
    # to three figures, which multiplying by the decade may spoil
    return np.round(values[np.argmin(far, axis=-1)], 2) * decade
