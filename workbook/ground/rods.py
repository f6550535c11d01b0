"""Resistance of ground rods: one, two, or any number in a line, ring or square; and the soil they stand in."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from workbook.checks import check_broadcast, not_negative, one_of, positive, whole_number
from workbook.errors import InputError
from workbook.formulas import grounding
from workbook.units import ComplexArray, Floats, Impedance, Length, Quantity, with_unit

SHAPES = ("line", "ring", "square")
MOST_RODS = 64


@dataclass(frozen=True)
class Soil:
    """A kind of soil with the range of its resistivity.

    `least` and `greatest` are quantities in ohm m, `source` says where they come from.
    """

    name: str
    least: Quantity
    greatest: Quantity
    source: str


_HANDBOOK = "MIL-HDBK-419A, table of soil resistivities, from memory"
SOILS: Mapping[str, Soil] = MappingProxyType(
    {
        name: Soil(name, Quantity(least, "ohm*m"), Quantity(greatest, "ohm*m"), _HANDBOOK)
        for name, least, greatest in (
            ("surface soil, loam", 1.0, 50.0),
            ("clay", 2.0, 100.0),
            ("sand and gravel", 50.0, 1000.0),
            ("surface limestone", 100.0, 10000.0),
            ("shale", 5.0, 100.0),
            ("sandstone", 20.0, 2000.0),
            ("granite, basalt", 1000.0, 1000.0),
        )
    }
)
"""Kinds of soil by name. The same soil differs tenfold with water, salt and frost: a measurement replaces them."""


def ground_resistivity(conductivity: Quantity) -> Quantity:
    """Return the resistivity that belongs to a conductivity: one over it.

    The conductivity with which patterns are computed holds at radio frequencies, where losses of wet soil are larger;
    for direct current and at 50 or 60 Hz the same soil may have a few times this resistivity. Measure the rod.

    Parameters
    ----------
    conductivity
        Conductivity of the ground, such as that of the design.

    Returns
    -------
    quantity in ohm m

    Raises
    ------
    InputError
        When the conductivity is not above zero.

    Examples
    --------
    >>> ground_resistivity("5 mS/m").m_as("ohm*m")
    200.0
    """
    return with_unit(1 / positive(conductivity, "S/m", "conductivity"), "ohm*m")


def _rod(resistivity: Quantity, length: Length, diameter: Length, *more: Floats) -> tuple[Floats, Floats, Floats]:
    ohm_metres = positive(resistivity, "ohm*m", "resistivity")
    metres = positive(length, "m", "length")
    thick = positive(diameter, "m", "diameter")
    check_broadcast(ohm_metres, metres, thick, *more)
    if np.any(metres <= thick):
        raise InputError("a rod must be longer than its diameter", where="length", remedy="check the units of both")
    return ohm_metres, metres, thick


def rod_resistance(resistivity: Quantity, length: Length, diameter: Length) -> Impedance:
    """Return the resistance of one ground rod, driven from the surface, to far earth.

    rho/(2 pi L) (ln(4 L/a) - 1), a the radius (H. B. Dwight, "Calculation of Resistances to Ground", 1936).

    Parameters
    ----------
    resistivity
        Resistivity of the soil, such as "100 ohm*m".
    length
        Length in the soil.
    diameter
        Diameter of the rod.

    Returns
    -------
    quantity in ohm

    Raises
    ------
    InputError
        When one is not above zero, or the rod is not longer than its diameter.

    Examples
    --------
    >>> rod_resistance("100 ohm*m", "10 ft", "5/8 in").m_as("ohm")
    33.1
    """
    return with_unit(grounding.rod_resistance(*_rod(resistivity, length, diameter)), "ohm")


def two_rods_resistance(resistivity: Quantity, length: Length, diameter: Length, spacing: Length) -> Impedance:
    """Return the resistance of two equal rods that are joined, to far earth.

    rho/(4 pi L) (ln(4 L/a) - 1) + rho/(4 pi s) (1 - L^2/(3 s^2) + 2 L^4/(5 s^4)) (H. B. Dwight, 1936). The series is
    short: at a spacing of one length `rods_resistance`, which has no series, gives a few per cent less.

    Parameters
    ----------
    resistivity
        Resistivity of the soil, such as "100 ohm*m".
    length
        Length in the soil.
    diameter
        Diameter of the rods.
    spacing
        Distance between the rods, at least their length.

    Returns
    -------
    quantity in ohm

    Raises
    ------
    InputError
        When one is not above zero, or the spacing is less than the length.

    Examples
    --------
    >>> two_rods_resistance("100 ohm*m", "10 ft", "5/8 in", "20 ft").m_as("ohm")
    17.8
    """
    apart = positive(spacing, "m", "spacing")
    ohm_metres, metres, thick = _rod(resistivity, length, diameter, apart)
    # the length itself may come back from feet a bit in its last place greater
    if np.any(apart < metres * (1 - 1e-12)):
        raise InputError(
            "the formula for two rods needs a spacing of at least their length",
            where="spacing",
            remedy="use wb.rods_resistance with count=2, which takes any spacing",
        )
    return with_unit(grounding.two_rods_resistance(ohm_metres, metres, thick, apart), "ohm")


def rods_resistance(
    resistivity: Quantity, length: Length, diameter: Length, spacing: Length, count: int, shape: str = "line"
) -> Impedance:
    """Return the resistance of several equal rods that are joined, to far earth.

    All rods are at one potential; what one takes from another is the mean potential along it (E. D. Sunde, "Earth
    Conduction Effects in Transmission Systems", from memory). The conductor that joins them is counted as insulated;
    bare and in the soil it lowers the resistance further.

    Parameters
    ----------
    resistivity
        Resistivity of the soil, such as "100 ohm*m".
    length
        Length in the soil.
    diameter
        Diameter of the rods.
    spacing
        Distance from each rod to the next.
    count
        Number of rods, 1 to 64; for a square a multiple of 4.
    shape
        "line", "ring", or "square" for the sides of one.

    Returns
    -------
    quantity in ohm

    Raises
    ------
    InputError
        When a figure is not above zero, the spacing is not above the diameter, or the count does not fit the shape.

    Examples
    --------
    Four rods in a square have not a quarter of the resistance of one, but 0.34 of it when they are a length apart.

    >>> rods_resistance("100 ohm*m", "10 ft", "5/8 in", "10 ft", 4, "square").m_as("ohm")
    11.25
    """
    apart = positive(spacing, "m", "spacing")
    ohm_metres, metres, thick = _rod(resistivity, length, diameter, apart)
    number = whole_number(count, "count", 1, MOST_RODS)
    places = rod_places(one_of(shape, SHAPES, "shape"), number)
    if np.any(apart <= thick):
        raise InputError("the rods touch each other", where="spacing", wanted="more than the diameter")
    units = np.abs(places[:, None] - places)
    distances = np.asarray(apart)[..., None, None] * units
    return with_unit(grounding.joined_rods_resistance(ohm_metres, metres, thick, distances), "ohm")


def rod_places(shape: str, count: int) -> ComplexArray:
    """Return where rods stand, as complex numbers in units of the spacing."""
    steps = np.arange(count)
    if shape == "line" or count < 3:
        return steps.astype(complex)
    if shape == "ring":
        return np.exp(2j * np.pi * steps / count) / (2 * np.sin(np.pi / count))
    side, rest = divmod(count, 4)
    if rest:
        raise InputError(f"{count} rods do not fill a square evenly", where="count", wanted="a multiple of 4")
    return np.concatenate([1j**turn * (np.arange(side) - side / 2 - side / 2 * 1j) for turn in range(4)])


def potential_between_earths(
    current: Quantity, resistance: Impedance, resistivity: Quantity, distance: Length
) -> Quantity:
    """Return the voltage between an earth that takes a surge and another that is not joined to it.

    current (R - rho/(2 pi d)): the other earth takes only the potential that the soil has at its distance, seen from
    far away as from a point. Joined earths share the current and rise together.

    Parameters
    ----------
    current
        Peak current into the earth.
    resistance
        Resistance of that earth.
    resistivity
        Resistivity of the soil between them.
    distance
        Distance between the two.

    Returns
    -------
    quantity in V

    Raises
    ------
    InputError
        When one is negative, or the other earth is so near that the soil there would have a higher potential than the
        earth itself.

    Examples
    --------
    A hundredth of a stroke is enough for more than any isolation transformer.

    >>> potential_between_earths("1 kA", "33 ohm", "100 ohm*m", "20 m").m_as("kV")
    32.2
    """
    amperes = not_negative(current, "A", "current")
    ohms = not_negative(resistance, "ohm", "resistance")
    ohm_metres = not_negative(resistivity, "ohm*m", "resistivity")
    metres = positive(distance, "m", "distance")
    check_broadcast(amperes, ohms, ohm_metres, metres)
    shared = ohm_metres / (2 * np.pi * metres)
    if np.any(shared > ohms):
        raise InputError(
            "the soil at this distance would have a higher potential than the earth itself",
            where="distance",
            remedy="take a distance of some rod lengths, or correct resistance or resistivity",
        )
    return with_unit(amperes * (ohms - shared), "V")
