"""One piece of cable, given by its length, its delay or its electrical length, and the errors of cutting it.

A piece may be cut by the velocity factor of the cable at the frequency of use (true) or by the printed one (nominal),
which holds only at high frequency.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from workbook.bands import Band, band, bands
from workbook.checks import check_broadcast, instance, magnitude, one_of, positive, real, single
from workbook.errors import InputError, shown
from workbook.formulas import lines
from workbook.line.cable import Cable, check_cable
from workbook.line.lengths import check_frequency
from workbook.units import Angle, Floats, Frequency, Length, Quantity, Time, quantity, scalar, with_unit

UNITS: Mapping[str, str] = MappingProxyType({"length": "m", "delay": "ns", "degrees": "degree"})
"""How a piece may be given, and the unit of each."""
VELOCITIES = ("true", "nominal")
WARMING_KELVIN = 20.0
CLADDINGS = 15
"""Thicknesses of a cladding that are tried."""
_MOST_PPM = 5000.0


@dataclass(frozen=True)
class Piece:
    """One piece of cable at one frequency.

    Attributes
    ----------
    cable
        What it is cut from.
    frequency
        Frequency of use.
    given
        The length, delay or angle that it was given by.
    velocity
        ``"true"`` or ``"nominal"``: which velocity factor it is cut by.
    velocity_factor
        That velocity factor, a plain number.
    length
        Length to cut [m].
    delay
        Delay of that length at that velocity factor [ns].
    electrical_length
        Electrical length at that velocity factor [degree].
    wavelengths
        The same in wavelengths in the cable, a plain number.
    check_frequency
        True check frequency of that length with its far end open [Hz]; None where its loss hides the far end.
    """

    cable: Cable
    frequency: Frequency
    given: Quantity
    velocity: str
    velocity_factor: Floats
    length: Length
    delay: Time
    electrical_length: Angle
    wavelengths: Floats
    check_frequency: Frequency | None

    @property
    def actual(self) -> "Piece":
        """The piece of the same length at the true velocity factor."""
        return self if self.velocity == "true" else piece(self.cable, self.frequency, self.length)


def kind_of(given: Length | Time | Angle) -> str:
    """Return the kind of a quantity that gives a piece: ``"length"``, ``"delay"`` or ``"degrees"``.

    Raises
    ------
    InputError
        When it is none of them.

    Examples
    --------
    >>> kind_of("88 ft 3 1/2 in"), kind_of("120 ns"), kind_of("71 deg")
    ('length', 'delay', 'degrees')
    """
    value = quantity(given) if isinstance(given, str) else given
    for kind, unit in UNITS.items():
        try:
            magnitude(value, unit, "given")
        except InputError:
            continue
        return kind
    raise InputError(
        f"got {shown(given)}",
        where="given",
        wanted="a length, delay or angle",
        remedy="write it like '26.9 m', '88 ft 3 1/2 in', '120 ns', '71 deg'",
    )


def piece(cable: Cable, frequency: Frequency, given: Length | Time | Angle, velocity: str = "true") -> Piece:
    """Return a piece of cable given by one of its length, its delay or its electrical length.

    Parameters
    ----------
    cable
        What it is cut from.
    frequency
        Frequency of use; electrical length and true velocity factor are of this frequency.
    given
        A length, a time or an angle above zero; the kind of quantity says which.
    velocity
        ``"true"``: cut by the velocity factor at the frequency; ``"nominal"``: by the printed one.

    Returns
    -------
    Piece
        Array arguments broadcast.

    Raises
    ------
    InputError
        When the quantity is of another kind or not above zero, or the velocity is another word.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> piece(ideal_cable("75 ohm", 0.66), "200 MHz", "45 deg").length.m_as("m")
    0.12366
    """
    check_cable(cable)
    hertz = positive(frequency, "Hz", "frequency")
    kind = kind_of(given)
    value = positive(given, UNITS[kind], "given")
    check_broadcast(hertz, value)
    nominal = one_of(velocity, VELOCITIES, "velocity") == "nominal"
    factor = cable.nominal_velocity_factor if nominal else cable.velocity(hertz)
    metres = _metres(kind, value, hertz, factor)
    turns = lines.phase(metres, hertz, factor) / (2 * np.pi)
    return Piece(
        cable=cable,
        frequency=with_unit(hertz, "Hz"),
        given=with_unit(value, UNITS[kind]),
        velocity=velocity,
        velocity_factor=scalar(factor),
        length=with_unit(metres, "m"),
        delay=with_unit(turns / hertz * 1e9, "ns"),
        electrical_length=with_unit(360 * turns, "degree"),
        wavelengths=scalar(turns),
        check_frequency=_check(cable, metres),
    )


def _metres(kind: str, value: Floats, hertz: Floats, factor: Floats) -> Floats:
    if kind == "length":
        return value + 0 * hertz
    if kind == "delay":
        return lines.length_of_delay(value * 1e-9, factor)
    return lines.length_of_phase(np.radians(value), hertz, factor)


def _check(cable: Cable, metres: Floats) -> Frequency | None:
    try:
        return check_frequency(cable, with_unit(metres, "m"))
    except InputError:  # so long that its loss hides the far end
        return None


def over_claddings(one: Piece, whole: Cable) -> tuple[Piece, Piece]:
    """Return the same piece at the slowest and at the fastest of all claddings and steels that a cable may have.

    Parameters
    ----------
    one
        The piece. Cut by the true velocity factor, what was given stays; cut by the nominal one, the length stays.
    whole
        Its cable with the whole range of its record.

    Returns
    -------
    (Piece, Piece)
        Without check frequencies: how the velocity changes with frequency depends on which cladding it is.
    """
    slowest, _, fastest = check_cable(whole, "whole").span("velocity_factor", _piece(one).frequency)
    given = one.given if one.velocity == "true" else one.length
    at_slowest, at_fastest = (
        piece(whole.with_velocity_factor(factor, one.frequency), one.frequency, given) for factor in (slowest, fastest)
    )
    return replace(at_slowest, check_frequency=None), replace(at_fastest, check_frequency=None)


def check_range(one: Piece, whole: Cable) -> tuple[Frequency, Frequency] | None:
    """Return between which check frequencies a cut piece lies, whatever cladding its cable has.

    Several thicknesses over the range of the record are tried, since a check frequency has a maximum inside it.

    Parameters
    ----------
    one
        The piece; its length counts.
    whole
        Its cable with the whole range of its record.

    Returns
    -------
    (quantity [Hz], quantity [Hz]) or None
        None where the cable is not clad, or its loss hides the far end.
    """
    metres, claddings = _piece(one).length.m_as("m"), check_cable(whole, "whole").claddings
    if claddings is None:
        return None
    least, _, greatest = claddings.m_as("um")
    tried = (whole.with_cladding(with_unit(um, "um")) for um in np.linspace(least, greatest, CLADDINGS))
    found = [_check(each, metres) for each in tried]
    known = [each for each in found if each is not None]
    return (min(known), max(known)) if len(known) == len(found) else None


def _piece(one: Any) -> Piece:
    return instance(one, Piece, "one", "make one with workbook.line.piece.piece")


@dataclass(frozen=True)
class NominalError:
    """Error of a piece cut by the nominal velocity factor in the middle of one band; positive = too long.

    Attributes
    ----------
    band
        The band.
    velocity_factor
        The true one there.
    wanted
        Phase of the delay there [degree].
    phase_error
        Electrical length less that [degree].
    length_error
        Length less that of the delay there [m].
    """

    band: Band
    velocity_factor: Floats
    wanted: Angle
    phase_error: Angle
    length_error: Length


def nominal_errors(one: Piece, region: int = 2) -> tuple[NominalError, ...]:
    """Return the errors on every band of an ITU region of cutting the piece's delay by the nominal velocity factor."""
    seconds = _piece(one).delay.m_as("s")
    cut = lines.length_of_delay(seconds, one.cable.nominal_velocity_factor)
    found = []
    for name in bands(region):
        where = band(name, region)
        hertz = where.centre.m_as("Hz")
        factor = one.cable.velocity(hertz)
        wanted = 360 * hertz * seconds
        off = np.degrees(lines.phase(cut, hertz, factor)) - wanted
        too_long = cut - lines.length_of_delay(seconds, factor)
        found.append(
            NominalError(where, factor, with_unit(wanted, "degree"), with_unit(off, "degree"), with_unit(too_long, "m"))
        )
    return tuple(found)


# --- temperature -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PublishedCoefficient:
    """A published delay coefficient of a kind of cable [ppm/K]; `status` says how reliable it is."""

    kind: str
    least: float
    greatest: float
    sign_known: bool
    status: str


# None of these belongs to a cable of the catalogue: two values for one class differ by a factor of eight.
PUBLISHED_COEFFICIENTS = (
    PublishedCoefficient("solid polyethylene", -250, -200, True, "from memory, order of magnitude only"),
    PublishedCoefficient("foamed polyethylene", -100, -20, True, "from memory, order of magnitude only"),
    PublishedCoefficient(
        "one class of solid polyethylene, printed",
        -480,
        -480,
        True,
        "mailing list quoting a navy report on phase stability; report not seen",
    ),
    PublishedCoefficient(
        "the same class, measured", 58, 65, False, "mailing list, one piece between 10 and 70 degF; sign not stated"
    ),
)


def delay_coefficient(value: Quantity) -> Quantity:
    """Check a delay coefficient: one change of delay per kelvin, such as ``"-220 ppm/K"``.

    Parameters
    ----------
    value
        One quantity per kelvin.

    Returns
    -------
    quantity [ppm/K]

    Raises
    ------
    InputError
        When it is of another kind, or far beyond that of any cable.
    """
    ppm = single(real(value, "ppm/K", "coefficient"), "coefficient")
    if abs(ppm) > _MOST_PPM:
        raise InputError(
            f"{ppm:g} ppm/K is far beyond any cable's tens to hundreds",
            where="coefficient",
            remedy="write it like '-220 ppm/K'",
        )
    return with_unit(ppm, "ppm/K")


def thermal_drift(one: Piece, coefficient: Quantity | None = None) -> Angle | None:
    """Return the change of a piece's electrical length by 20 K of warming; None while the coefficient is unknown.

    Parameters
    ----------
    one
        The piece.
    coefficient
        Change of delay per kelvin, such as ``"-220 ppm/K"``; negative where delay falls as the cable warms.

    Returns
    -------
    quantity [degree]
        Positive is longer.

    Raises
    ------
    InputError
        When the coefficient is of another kind, or far beyond that of any cable.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> thermal_drift(piece(ideal_cable("75 ohm", 0.66), "1.83 MHz", "100 deg"), "-250 ppm/K").m_as("degree")
    -0.5
    """
    if coefficient is None:
        return None
    relative = delay_coefficient(coefficient).m_as("ppm/K") * 1e-6 * WARMING_KELVIN
    return _piece(one).actual.electrical_length * relative
