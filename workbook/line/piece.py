"""One piece of cable told by its length, its delay or its degrees: what the others are, and what can go wrong with it.

A piece may be reckoned with the velocity factor that the cable has at the frequency of use (true) or with the one
printed on it (nominal), which holds only at high frequency.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from workbook.bands import Band, band, bands
from workbook.checks import check_broadcast, magnitude, one_of, positive, real
from workbook.errors import InputError
from workbook.formatting import both_lengths, feet_inches, rounded
from workbook.formulas import lines
from workbook.line.cable import Cable
from workbook.line.lengths import check_frequency
from workbook.line.models import CoaxModel
from workbook.table import Table
from workbook.units import quantity, scalar, with_unit

UNITS: Mapping[str, str] = MappingProxyType({"length": "m", "delay": "ns", "degrees": "degree"})
"""How a piece may be told, and the unit of each."""
VELOCITIES = ("true", "nominal")
WARMING_KELVIN = 20.0
_MOST_PPM = 5000.0


@dataclass(frozen=True)
class Piece:
    """One piece of cable at one frequency.

    `amount` is what was given, `velocity` says which velocity factor it was reckoned with, `velocity_factor` is that
    factor. `length` is what to cut, `delay` and `electrical_length` are what the reckoning says of it, `wavelengths`
    counts those in the cable. `check_frequency` is what an analyser will show of that length with its far end open,
    whatever it was reckoned with; None where it has none or it cannot be said.
    """

    cable: Cable
    frequency: Any
    amount: Any
    velocity: str
    velocity_factor: Any
    length: Any
    delay: Any
    electrical_length: Any
    wavelengths: Any
    check_frequency: Any

    @property
    def in_truth(self) -> "Piece":
        """What the length to cut really is."""
        return self if self.velocity == "true" else piece(self.cable, self.frequency, self.length)


def kind_of(amount: Any) -> str:
    """Return how an amount tells a piece: ``"length"``, ``"delay"`` or ``"degrees"``.

    Raises
    ------
    InputError
        When it is none of them.

    Examples
    --------
    >>> kind_of("88 ft 3 1/2 in"), kind_of("120 ns"), kind_of("71 deg")
    ('length', 'delay', 'degrees')
    """
    value = quantity(amount) if isinstance(amount, str) else amount
    for kind, unit in UNITS.items():
        try:
            magnitude(value, unit, "amount")
        except InputError:
            continue
        return kind
    raise InputError(
        f"{amount} is no length, delay or angle",
        where="amount",
        remedy="write it like '26.9 m', '88 ft 3 1/2 in', '120 ns', '71 deg'",
    )


def piece(cable: Cable, frequency: Any, amount: Any, velocity: str = "true") -> Piece:
    """Return a piece of cable told by one of its length, its delay or its degrees.

    Parameters
    ----------
    cable
        What it is cut from.
    frequency
        Where it is used; its degrees and its true velocity factor are of this frequency.
    amount
        A length, a time or an angle; the kind of quantity says which.
    velocity
        ``"true"``: reckon with the velocity factor at the frequency; ``"nominal"``: with the printed one.

    Raises
    ------
    InputError
        When the amount is of another kind or not above zero, or the velocity is another word.

    Examples
    --------
    >>> from workbook.line.cable import ideal_cable
    >>> piece(ideal_cable("75 ohm", 0.66), "200 MHz", "45 deg").length.m_as("m")
    0.12366
    """
    hertz = positive(frequency, "Hz", "frequency")
    kind = kind_of(amount)
    value = positive(amount, UNITS[kind], "amount")
    check_broadcast(hertz, value)
    nominal = one_of(velocity, VELOCITIES, "velocity") == "nominal"
    factor = cable.nominal_velocity_factor if nominal else cable.velocity(hertz)
    metres = _metres(kind, value, hertz, factor)
    turns = lines.phase(metres, hertz, factor) / (2 * np.pi)
    return Piece(
        cable=cable,
        frequency=with_unit(hertz, "Hz"),
        amount=with_unit(value, UNITS[kind]),
        velocity=velocity,
        velocity_factor=scalar(factor),
        length=with_unit(metres, "m"),
        delay=with_unit(turns / hertz * 1e9, "ns"),
        electrical_length=with_unit(360 * turns, "degree"),
        wavelengths=scalar(turns),
        check_frequency=_check(cable, metres),
    )


def _metres(kind: str, value: Any, hertz: Any, factor: Any) -> Any:
    if kind == "length":
        return value + 0 * hertz
    if kind == "delay":
        return lines.length_of_delay(value * 1e-9, factor)
    return lines.length_of_phase(np.radians(value), hertz, factor)


def _check(cable: Cable, metres: Any) -> Any:
    try:
        return check_frequency(cable, with_unit(metres, "m"))
    except InputError:  # so long that its loss hides the far end
        return None


def claddings(cable: Cable) -> Any:
    """Return (least, typical, greatest) cladding of a cable, one quantity of three; None where its centre is not clad.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> claddings(cable("series-6-clad")).m_as("um").round().tolist()
    [8.0, 15.0, 35.0]
    """
    model = cable.model
    if not isinstance(model, CoaxModel) or model.cladding_range is None:
        return None
    least, greatest = model.cladding_range
    return with_unit(np.array([least, model.cladding, greatest]) * 1e6, "um")


def over_claddings(one: Piece, whole: Cable) -> tuple[Piece, Piece]:
    """Return the same piece at the slowest and at the fastest of all claddings and steels that a cable may have.

    Parameters
    ----------
    one
        The piece. Reckoned with the true velocity factor, what was given stays; reckoned with the nominal one, the
        length stays, since it has been cut.
    whole
        Its cable with the whole range of its record.

    Returns
    -------
    (Piece, Piece)
        Without check frequencies: how the velocity changes with frequency depends on which cladding it is.
    """
    slowest, _, fastest = whole.span("velocity_factor", one.frequency)
    amount = one.amount if one.velocity == "true" else one.length
    at_slowest, at_fastest = (
        piece(whole.with_velocity_factor(factor, one.frequency), one.frequency, amount) for factor in (slowest, fastest)
    )
    return replace(at_slowest, check_frequency=None), replace(at_fastest, check_frequency=None)


@dataclass(frozen=True)
class NominalError:
    """What a piece cut by the nominal velocity factor is off by in the middle of one band; positive = too long.

    `wanted` is what the delay comes to there in degrees, `velocity_factor` the true one there.
    """

    band: Band
    velocity_factor: Any
    wanted: Any
    phase_error: Any
    length_error: Any


def nominal_errors(one: Piece, region: int = 2) -> tuple[NominalError, ...]:
    """Return, for every band, what cutting the piece's delay by the nominal velocity factor would cost."""
    seconds = one.delay.m_as("s")
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


# --- warmth -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class PrintedCoefficient:
    """What is said about the delay coefficient of a kind of cable [ppm/K], and how far to trust it."""

    kind: str
    least: float
    greatest: float
    sign_known: bool
    standing: str


# No value here is fixed for any cable: two figures for one class differ by a factor of eight.
PRINTED_COEFFICIENTS = (
    PrintedCoefficient("solid polyethylene", -250, -200, True, "from memory, order of magnitude only"),
    PrintedCoefficient("foamed polyethylene", -100, -20, True, "from memory, order of magnitude only"),
    PrintedCoefficient(
        "one class of solid polyethylene, printed",
        -480,
        -480,
        True,
        "mailing list quoting a navy report on phase stability; report not seen",
    ),
    PrintedCoefficient(
        "the same class, measured", 58, 65, False, "mailing list, 100 ft between 10 and 70 degF; sign not stated"
    ),
)


def delay_coefficient(value: Any) -> Any:
    """Check a delay coefficient: one change of delay per kelvin, such as ``"-220 ppm/K"``.

    Raises
    ------
    InputError
        When it is of another kind, or far beyond what any cable does.
    """
    ppm = real(value, "ppm/K", "coefficient")
    if np.any(np.abs(ppm) > _MOST_PPM):
        raise InputError(
            f"{ppm:g} ppm/K is far beyond any cable's tens to hundreds",
            where="coefficient",
            remedy="write it like '-220 ppm/K'",
        )
    return with_unit(ppm, "ppm/K")


def warmed(one: Piece, coefficient: Any = None) -> Any:
    """Return by how many degrees of phase 20 K of warming lengthens a piece; None while the coefficient is unknown.

    Parameters
    ----------
    one
        The piece.
    coefficient
        Change of delay per kelvin, such as ``"-220 ppm/K"``; negative where delay falls as the cable warms.

    Examples
    --------
    >>> from workbook.line.cable import ideal_cable
    >>> warmed(piece(ideal_cable("75 ohm", 0.66), "1.83 MHz", "100 deg"), "-250 ppm/K").m_as("degree")
    -0.5
    """
    if coefficient is None:
        return None
    share = delay_coefficient(coefficient).m_as("ppm/K") * 1e-6 * WARMING_KELVIN
    return one.in_truth.electrical_length * share


# --- tables -----------------------------------------------------------------------------------------------


def piece_table(one: Piece, whole: Cable) -> Table:
    """Return what a piece is: as reckoned, as it really is, and at both ends of what its cable may be."""
    where = f"{one.frequency.m_as('MHz'):g} MHz"
    rows = [_row(f"true at {where}" if one.velocity == "true" else "nominal", one)]
    if one.velocity == "nominal":
        rows.append(_row(f"what it really is at {where}", one.in_truth))
    if whole.is_clad:
        slowest, fastest = over_claddings(one, whole)
        rows += [_row("slowest known cladding", slowest), _row("fastest known cladding", fastest)]
    headings = (
        "velocity factor",
        "value",
        "degrees",
        "delay ns",
        "wavelengths in the cable",
        "length to cut",
        "check MHz, far end open",
    )
    return Table(f"A piece of {one.cable.name} of {one.amount:.6g~P} at {where}", headings, tuple(rows))


def _row(name: str, one: Piece) -> tuple[str, ...]:
    check = one.check_frequency
    return (
        name,
        f"{one.velocity_factor:.4f}",
        f"{one.electrical_length.m_as('degree'):.2f}",
        f"{one.delay.m_as('ns'):.3f}",
        f"{one.wavelengths:.4f}",
        both_lengths(one.length.m_as("m")),
        "cannot be said" if check is None else f"{check.m_as('MHz'):.4f}",
    )


def sixteenth_note(one: Piece) -> str:
    """Say what the last sixteenth of an inch is worth, so that nobody chases it."""
    per_metre = one.in_truth.electrical_length.m_as("degree") / one.length.m_as("m")
    worth = per_metre * 0.0254 / 16
    return f"The last sixteenth of an inch is worth {worth:.2g} degree at {one.frequency.m_as('MHz'):g} MHz."


def nominal_table(one: Piece) -> Table:
    """Return what the nominal velocity factor would have cost on every band."""
    rows = tuple(
        (
            row.band.name,
            f"{row.band.centre.m_as('MHz'):g}",
            f"{row.velocity_factor:.4f}",
            f"{row.wanted.m_as('degree'):.2f}",
            rounded(row.phase_error.m_as("degree"), 2, "+"),
            _signed_length(row.length_error.m_as("m")),
        )
        for row in nominal_errors(one)
    )
    headings = ("band", "middle MHz", "true velocity factor", "wanted deg", "off deg", "off cm (tape)")
    return Table("What the nominal value would cost (+ = too long)", headings, rows)


def nominal_note(one: Piece) -> str:
    """Say how long the piece is by the nominal velocity factor, whatever the band."""
    nominal = one.cable.nominal_velocity_factor
    metres = lines.length_of_delay(one.delay.m_as("s"), nominal)
    return f"By the nominal {nominal:g}, {one.delay.m_as('ns'):.3f} ns is {both_lengths(metres)} on every band."


def _signed_length(metres: float) -> str:
    whole = round(metres, 3)
    return f"{rounded(metres * 100, 1, '+')} ({'-' if whole < 0 else '+'}{feet_inches(with_unit(abs(whole), 'm'))})"


def warmth_table(one: Piece, coefficient: Any = None) -> Table:
    """Return what 20 K of warming does: by the entered coefficient, and by what is said of such cables."""
    entered = warmed(one, coefficient)
    own = (
        ("this cable", "unknown", "unknown", "enter the coefficient above if you know it")
        if entered is None
        else (
            "this cable",
            f"{delay_coefficient(coefficient).m_as('ppm/K'):+g}",
            rounded(entered.m_as("degree"), 3, "+"),
            "as entered above",
        )
    )
    degrees = one.in_truth.electrical_length.m_as("degree")
    rows = (own, *(_printed_row(printed, degrees) for printed in PRINTED_COEFFICIENTS))
    headings = ("kind of cable", "delay ppm/K", "20 K warmer, deg", "where from")
    return Table(f"What 20 K of warming does to {degrees:.2f} deg (+ = longer)", headings, rows)


def _printed_row(printed: PrintedCoefficient, degrees: float) -> tuple[str, ...]:
    ends = sorted({printed.least, printed.greatest}, key=abs)
    sign = "+" if printed.sign_known else ""
    before = "" if printed.sign_known else "± "
    does = [degrees * end * 1e-6 * WARMING_KELVIN for end in ends]
    return (
        printed.kind,
        before + " to ".join(f"{end:{sign}g}" for end in ends),
        before + " to ".join(f"{value:{sign}.3f}" for value in does),
        printed.standing,
    )
