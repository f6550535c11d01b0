"""Staking out a layout: place and bearing of each stake, two tapes to set it by, and every distance to check.

Plain SI numbers whose names carry the unit, as in a plan. One inch of error on two tapes moves a stake by at most
1 inch / sin(half the angle between the tapes), which tests/array/test_stakeout.py derives.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from workbook.array.layout import Layout, check_layout
from workbook.checks import check_broadcast, positive, real
from workbook.errors import InputError, shown
from workbook.formulas.waves import wave_number
from workbook.units import Angle, FloatArray, Frequency, Length, with_unit

CENTRE = "centre"
"""Name of the stake at the origin of the positions; every other has the number of its element."""

INCH = 0.0254
NEGLIGIBLE = 1e-3
"""What no tape resolves [m]: lengths that differ by less are equal, a stake nearer to the centre stands at it."""

IN_LINE = np.radians(10)
"""Two tapes that meet at less than this [rad] set no position: an inch becomes a foot."""


@dataclass(frozen=True)
class Stake:
    """A stake from the centre; bearings clockwise, 0 at the centre itself, magnetic None without a declination."""

    element: int
    east_m: float
    north_m: float
    distance_m: float
    azimuth_deg: float
    magnetic_deg: float | None


@dataclass(frozen=True)
class Tape:
    """A tape from one stake to another, each `CENTRE` or an element's number as text.

    `place_error_m` is how far one inch of error, on this tape and on the other that it sets the stake with, moves the
    stake at worst, to first order; None where the tape sets no place.
    """

    start: str
    end: str
    length_m: float
    place_error_m: float | None


@dataclass(frozen=True)
class Fix:
    """How one stake is set by tapes.

    `ahead_m` and `right_m` are where the stake lies for one who looks from the centre to the first stake. `tapes` come
    from the centre and from the first stake. Where these two meet too sharply, a third follows, from a stake that sets
    this one together with the centre. Where no stake does, as in a row, the stake is set `by_string`: so far ahead
    along a string from the centre through the first stake (behind the centre if negative), then square to it so far
    to the right (left if negative). The first stake itself has the tape from the centre alone, since a compass brings
    it on its bearing; a stake at the centre has none.
    """

    element: int
    ahead_m: float
    right_m: float
    tapes: tuple[Tape, ...]

    @property
    def side(self) -> str:
        """Where the stake lies for one who looks from the centre to the first: left, right, ahead, behind, centre."""
        if not self.tapes:
            return CENTRE
        if abs(self.right_m) > NEGLIGIBLE:
            return "right" if self.right_m > 0 else "left"
        return "ahead" if self.ahead_m > 0 else "behind"

    @property
    def by_string(self) -> bool:
        """Whether no two tapes set the stake, so that it is measured along a string and square to it."""
        return len(self.tapes) == 2 and self.place_error_m is None

    @property
    def place_error_m(self) -> float | None:
        """What an inch does on the two tapes that set the stake, None where tapes alone do not."""
        return self.tapes[0].place_error_m if self.tapes else None


@dataclass(frozen=True)
class Distance:
    """A distance between stakes, and all pairs of elements that have it to the millimetre.

    `kind` is "neighbour" when the circle over the pair holds no other stake, "across" when the pair lies opposite
    through the centre, "in line" when another stake stands on the line between, else "diagonal".
    """

    kind: str
    length_m: float
    pairs: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class StakeOut:
    """A layout for stakes and tapes; `first` is the element at the second fixed stake (the centre is the other)."""

    declination_deg: float | None
    first: int
    stakes: tuple[Stake, ...]
    fixes: tuple[Fix, ...]
    distances: tuple[Distance, ...]

    @property
    def tapes(self) -> tuple[Tape, ...]:
        """Every tape that sets a stake, in the order of staking."""
        return tuple(tape for fix in self.fixes for tape in fix.tapes)


def stake_out(layout: Layout, declination: Angle | None = None) -> StakeOut:
    """Return everything for staking a layout out from its centre, the origin of its positions.

    Parameters
    ----------
    layout
        Where the elements stand.
    declination
        How far magnetic north lies east of true north; without it no magnetic bearings are given.

    Returns
    -------
    StakeOut

    Raises
    ------
    InputError
        On anything but a `Layout`, or a declination beyond half a turn.

    Examples
    --------
    >>> from workbook.array.layout import ring
    >>> stake_out(ring(8, "42 m", "0 deg"), "12 deg").stakes[1].magnetic_deg
    33.0
    """
    check_layout(layout)
    variation = None if declination is None else _declination(declination)
    distance = np.hypot(*layout.metres.T)
    first = int(np.argmax(distance >= NEGLIGIBLE))
    return StakeOut(
        declination_deg=variation,
        first=first + 1,
        stakes=tuple(_stake(number, east, north, variation) for number, (east, north) in enumerate(layout.metres, 1)),
        fixes=tuple(_fix(layout.metres, first, element) for element in range(layout.count)),
        distances=_distances(layout.metres),
    )


def position_tolerance(frequency: Frequency, accept: Angle = "1 deg") -> Length:
    """Return how far a stake may be off toward a wave on the horizon before its phase is wrong by `accept`.

    Waves from above, and stakes that are off sideways, suffer less: accept/k, with k the wave number.

    Parameters
    ----------
    frequency
        Frequencies; arrays broadcast.
    accept
        Phase error that is acceptable.

    Returns
    -------
    length quantity

    Raises
    ------
    InputError
        On a frequency or phase of zero or less.

    Examples
    --------
    >>> position_tolerance("3.65 MHz", "1 deg").m_as("m")
    0.228
    """
    hertz = positive(frequency, "Hz", "frequency")
    phase = positive(accept, "radian", "accept")
    check_broadcast(hertz, phase)
    return with_unit(phase / wave_number(hertz), "m")


def _declination(value: Angle) -> float:
    east = real(value, "degree", "declination")
    if np.ndim(east) or not -180 <= east <= 180:
        raise InputError(
            f"got {shown(value)}",
            where="declination",
            wanted="one angle from -180 to 180 deg",
            remedy="write it like '-7.5 deg'",
        )
    return float(east)


def _stake(number: int, east: float, north: float, declination: float | None) -> Stake:
    distance = float(np.hypot(east, north))
    azimuth = _bearing(np.degrees(np.arctan2(east, north))) if distance >= NEGLIGIBLE else 0.0
    magnetic = None if declination is None else _bearing(azimuth - declination)
    return Stake(number, float(east), float(north), distance, azimuth, magnetic)


def _bearing(degrees: float) -> float:
    # a rounding error below zero would become 360 the first time
    return float(degrees % 360 % 360)


def worst_off(angle: float) -> float | None:
    """Return how far one inch of error on two tapes that meet at an angle [rad] moves a stake [m], or None."""
    acute = min(angle, np.pi - angle)
    return None if acute < IN_LINE else float(INCH / np.sin(acute / 2))


def _off(stake: FloatArray, one: FloatArray, other: FloatArray) -> float | None:
    """Return `worst_off` of a stake set from two others, all of them positions (2,) [m]."""
    one, other = one - stake, other - stake
    cross, along = one[0] * other[1] - one[1] * other[0], one @ other
    return worst_off(abs(float(np.arctan2(cross, along))))


def _fix(metres: FloatArray, first: int, element: int) -> Fix:
    """Return how to set one element, numbers from 0."""
    stake, base = metres[element], metres[first]
    # an array of one element at the centre has no first stake: north is ahead
    ahead = base / np.hypot(*base) if np.hypot(*base) >= NEGLIGIBLE else np.array([0.0, 1.0])
    along, right = float(stake @ ahead), float(stake[0] * ahead[1] - stake[1] * ahead[0])
    return Fix(element + 1, along, right, _tapes(metres, first, element))


def _tapes(metres: FloatArray, first: int, element: int) -> tuple[Tape, ...]:
    stake, centre, base = metres[element], np.zeros(2), metres[first]
    if np.hypot(*stake) < NEGLIGIBLE:
        return ()
    if element == first:
        return (_tape(CENTRE, centre, element, stake, None),)
    error = _off(stake, centre, base)
    third = _third(metres, first, element) if error is None else None
    with_third = None if third is None else _off(stake, centre, metres[third])
    tapes = [(CENTRE, centre, error or with_third), (str(first + 1), base, error)]
    if third is not None:
        tapes.append((str(third + 1), metres[third], with_third))
    return tuple(_tape(name, place, element, stake, moved) for name, place, moved in tapes)


def _tape(name: str, start: FloatArray, element: int, stake: FloatArray, error: float | None) -> Tape:
    return Tape(name, str(element + 1), float(np.hypot(*(stake - start))), error)


def _third(metres: FloatArray, first: int, element: int) -> int | None:
    """Return the stake that best fixes an element together with the centre: one already set, if any will do."""
    centre, base = np.zeros(2), metres[first]
    usable = [
        (other > element, off, other)
        for other, place in enumerate(metres)
        if other not in (first, element)
        and np.hypot(*place) >= NEGLIGIBLE
        and _off(place, centre, base) is not None
        and (off := _off(metres[element], centre, place)) is not None
    ]
    return min(usable)[2] if usable else None


def _distances(metres: FloatArray) -> tuple[Distance, ...]:
    """Sort all pairs into classes of one kind and equal length, shortest first."""
    found: dict[str, list[tuple[float, tuple[int, int]]]] = {}
    for one, other in combinations(range(len(metres)), 2):
        length = float(np.hypot(*(metres[other] - metres[one])))
        found.setdefault(_kind(metres, one, other), []).append((length, (one + 1, other + 1)))
    classes = [each for kind, pairs in found.items() for each in _classes(kind, sorted(pairs))]
    return tuple(sorted(classes, key=lambda each: (each.length_m, each.kind)))


def _classes(kind: str, pairs: Sequence[tuple[float, tuple[int, int]]]) -> list[Distance]:
    lengths = np.array([length for length, _ in pairs])
    starts = np.flatnonzero(np.diff(lengths) > NEGLIGIBLE) + 1
    return [
        Distance(kind, float(lengths[group].mean()), tuple(sorted(pairs[n][1] for n in group)))
        for group in np.split(np.arange(len(pairs)), starts)
    ]


def _kind(metres: FloatArray, one: int, other: int) -> str:
    middle, half = (metres[one] + metres[other]) / 2, (metres[other] - metres[one]) / 2
    radius = np.hypot(*half)
    rest = np.delete(metres, (one, other), axis=0) - middle
    inside = np.hypot(*rest.T) < radius + NEGLIGIBLE
    if not inside.any():
        return "neighbour"
    if np.hypot(*middle) < NEGLIGIBLE:
        return "across"
    beside = np.abs(rest[:, 0] * half[1] - rest[:, 1] * half[0]) < NEGLIGIBLE * radius
    return "in line" if (inside & beside).any() else "diagonal"
