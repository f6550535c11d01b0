"""Cutting pieces from reels with the least total length of reels opened: an integer program, solved by HiGHS.

Lengths are counted in whole nanometres, so that pieces which fill a reel exactly are known to.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from workbook.checks import between, check_velocity_factor, listed, one_of, positive, single
from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits
from workbook.receive import packing
from workbook.receive.packing import Item
from workbook.units import Length, Quantity, Time

NANOMETRES = 1e9
LONGEST = 1e6
"""Longest reel or piece [m]."""


class Piece(NamedTuple):
    """A piece to cut: label, length, and the group that should come from one reel, None for none."""

    label: str
    length: Length
    group: str | None = None


class Reel(NamedTuple):
    """A reel in stock: label, length, and the velocity factor measured on it, None where none was."""

    label: str
    length: Length
    velocity_factor: float | None = None


class Cut(NamedTuple):
    """One reel opened: its label, the labels of the pieces in the order of cutting."""

    reel: str
    pieces: tuple[str, ...]


@dataclass(frozen=True)
class CutPlan:
    """A cutting plan.

    `cuts` = (reel label, piece labels in the order of cutting) per opened reel; `waste` = opened reels less pieces [m];
    `proven`: no plan opens less; `gap` = (opened - bound)/opened, the share by which an unknown plan might at best be
    shorter (0 when proven). `pieces`, `reels` and `kerf` are what it was made from.
    """

    cuts: tuple[Cut, ...]
    waste: Length
    proven: bool
    gap: float
    pieces: tuple[Piece, ...]
    reels: tuple[Reel, ...]
    kerf: Length

    @property
    def opened(self) -> Length:
        """Total length of the reels opened [m]."""
        lengths = {reel.label: reel.length.m_as("m") for reel in self.reels}
        return Quantity(float(sum(lengths[cut.reel] for cut in self.cuts)), "m")


def cut_plan(
    pieces: Iterable[Piece | Sequence[object]],
    reels: Iterable[Reel | Sequence[object]],
    kerf: Length,
    together: Iterable[str] = (),
    time_limit: Time = "20 s",
    units: LengthUnits = LengthUnits.BOTH,
) -> CutPlan:
    """Return how to cut pieces from reels so that the least total length of reels is opened.

    Each piece but the last of a reel costs one kerf, the last too unless it ends at the reel's end. What must match in
    velocity factor goes into one group, and groups named in `together` come from one reel.

    Parameters
    ----------
    pieces
        (label, length, group or None) per piece, labels distinct.
    reels
        (label, length) per reel in stock, labels distinct; a measured velocity factor may come third.
    kerf
        Length that each cut wastes.
    together
        Groups whose pieces must come from one reel.
    time_limit
        Time after which the best plan found is returned, with its gap.
    units
        How a refusal writes lengths: ``"metric"``, ``"feet"`` or ``"both"``.

    Returns
    -------
    CutPlan
        Lengths in m.

    Raises
    ------
    InputError
        When a piece or group is longer than any reel, the pieces do not fit into the stock, a group is unknown, or
        labels occur twice.

    Examples
    --------
    >>> plan = cut_plan([("A", "30 m", None), ("B", "20 m", None)], [("old", "40 m"), ("new", "60 m")], "5 mm")
    >>> plan.cuts, plan.waste.m_as("m"), plan.proven
    ((Cut(reel='new', pieces=('A', 'B')),), 10.0, True)
    """
    wanted = tuple(_piece(row, n) for n, row in enumerate(_rows(pieces, "pieces"), 1))
    stock = tuple(_reel(row, n) for n, row in enumerate(_rows(reels, "reels"), 1))
    _check_distinct([piece.label for piece in wanted], "pieces")
    _check_distinct([reel.label for reel in stock], "reels")
    blade = _nanometres(Quantity(single(between(kerf, "m", "kerf", 0, LONGEST), "kerf"), "m"))
    seconds = single(positive(time_limit, "s", "time_limit"), "time_limit")
    items = _items(wanted, _groups(together, wanted))
    lengths = [_nanometres(reel.length) for reel in stock]
    _check_fits(items, wanted, stock, blade, LengthUnits(one_of(units, tuple(LengthUnits), "units")))
    packed = packing.pack(items, lengths, blade, seconds)
    if packed is None:
        raise InputError(f"no plan was found within {seconds:g} s", where="time_limit", remedy="allow more time")
    if not packed.bins:
        remedy = "add a reel, or take groups out of together"
        raise InputError("the pieces do not fit into the reels in stock", where="reels", remedy=remedy)
    cuts = tuple(Cut(stock[n].label, _order(held, wanted)) for n, held in enumerate(packed.bins) if held)
    opened = sum(length for length, held in zip(lengths, packed.bins, strict=True) if held)
    waste = (opened - sum(item.length for item in items)) / NANOMETRES
    gap = 0.0 if packed.proven else max(0.0, (opened - packed.bound) / opened)
    return CutPlan(cuts, Quantity(waste, "m"), packed.proven, gap, wanted, stock, Quantity(blade / NANOMETRES, "m"))


def _rows(values: Iterable[object], name: str) -> list[object]:
    found = listed(values, name, _ROW[name])
    if not found:
        raise InputError("the list is empty", where=name, remedy=_ROW[name])
    return found


_ROW = {"pieces": "write rows like ('A', '26.9 m', None)", "reels": "write rows like ('R1', '152.4 m')"}


def _fields(row: object, name: str, number: int, least: int) -> list[object]:
    where = f"{name}[{number}]"
    if not isinstance(row, (tuple, list)) or not least <= len(row) <= 3:
        raise InputError(f"got {shown(row)}", where=where, remedy=_ROW[name])
    found = list(row) + [None] * (3 - len(row))
    if not isinstance(found[0], str) or not found[0].strip():
        raise InputError(f"got the label {shown(found[0])}", where=where, wanted="a text", remedy=_ROW[name])
    found[1] = Quantity(single(between(found[1], "m", where, 1 / NANOMETRES, LONGEST), where), "m")
    return found


def _piece(row: object, number: int) -> Piece:
    piece = Piece(*_fields(row, "pieces", number, 2))  # type: ignore[arg-type]
    if piece.group is not None and not isinstance(piece.group, str):
        where = f"pieces[{number}]"
        raise InputError(f"got the group {shown(piece.group)}", where=where, wanted="a text, or None for none")
    return piece


def _reel(row: object, number: int) -> Reel:
    reel = Reel(*_fields(row, "reels", number, 2))  # type: ignore[arg-type]
    if reel.velocity_factor is not None:
        check_velocity_factor(reel.velocity_factor, f"reels[{number}]")
    return reel


def _check_distinct(labels: list[str], name: str) -> None:
    twice = [label for label, count in Counter(labels).items() if count > 1]
    if twice:
        raise InputError(f"the label {shown(twice[0])} occurs twice", where=name, remedy="give each its own label")


def _nanometres(length: Quantity) -> int:
    return round(length.m_as("m") * NANOMETRES)


def _groups(together: Iterable[str], pieces: tuple[Piece, ...]) -> set[str]:
    known = {piece.group for piece in pieces if piece.group is not None}
    found = listed(together, "together", "write ('pairs',)")
    for group in found:
        if not isinstance(group, str) or group not in known:
            names = f"known are {', '.join(sorted(known)[:6])}" if known else "no piece has a group"
            raise InputError(f"there is no group {shown(group)}", where="together", remedy=names)
    return set(found)


def _items(pieces: tuple[Piece, ...], together: set[str]) -> list[Item]:
    """Return what goes into reels: single pieces, and groups that stay together as one."""
    held: dict[object, list[int]] = {}
    for n, piece in enumerate(pieces):
        held.setdefault(piece.group if piece.group in together else n, []).append(n)
    return [Item(sum(_nanometres(pieces[n].length) for n in each), tuple(each)) for each in held.values()]


def _check_fits(
    items: list[Item], pieces: tuple[Piece, ...], reels: tuple[Reel, ...], kerf: int, units: LengthUnits
) -> None:
    longest = max(_nanometres(reel.length) for reel in reels)
    for item in items:
        if not any(packing.fits([item], _nanometres(reel.length), kerf) for reel in reels):
            alone = len(item.pieces) == 1
            one = shown(pieces[item.pieces[0]].label if alone else pieces[item.pieces[0]].group)
            needed, most = (units.text(length / NANOMETRES) for length in (item.length, longest))
            raise InputError(
                f"{'the piece' if alone else 'the group'} {one} needs {needed} and room for its cuts, and no reel "
                "holds it",
                where="pieces",
                remedy=f"the longest reel has {most}: get a longer one"
                + ("" if alone else ", or take the group out of together"),
            )


def _order(held: tuple[Item, ...], pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """Return labels in the order of cutting: groups side by side, longest first."""
    cut = [pieces[n] for item in held for n in item.pieces]
    longest: dict[str | None, float] = {}
    for piece in cut:
        longest[piece.group] = max(longest.get(piece.group, 0.0), piece.length.m_as("m"))
    cut.sort(key=lambda piece: (-longest[piece.group], piece.group or "", -piece.length.m_as("m"), piece.label))
    return tuple(piece.label for piece in cut)
