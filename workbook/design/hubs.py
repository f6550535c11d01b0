"""The kinds of hub: how delay lines are shared, chained and combined in each."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Discriminator, Field, Tag, model_validator

from workbook.errors import InputError, shown
from workbook.schema import Impedance, LengthOrDelay, Place, Strict, Tolerance, number
from workbook.units import BoolArray, FloatArray, IntArray, Quantity

MOST_KEPT = 48
"""The most lines that a hub may have already."""

Groups = Sequence[Counter[tuple[int, int]]]
"""For each direction, how many elements share a line (-1 for none) and a polarity."""


class HubBase(Strict):
    """Where the runs meet. Class methods say what differs between the kinds; they serve a plan too, by `HUBS`."""

    in_series: ClassVar[bool] = False
    """Whether lines lie one behind the other, so that a tap's delay is the sum of the pieces before it."""
    sums_first: ClassVar[bool] = True
    """Whether elements of equal delay are summed before the line."""
    numbers_ports: ClassVar[bool] = False
    """Whether every element on a line has a piece and a port of its own."""
    line_word: ClassVar[str] = "line"
    """What one length of delay line is called."""

    kind: str
    """Kind of hub."""
    position: Place = (Quantity(0.0, "m"), Quantity(0.0, "m"))
    """East and north of the centre, such as ["3 m", "-4 m"]; the centre unless given."""
    merge: Tolerance | None = Field(default=None, examples=['"1 deg"'])
    """Delays within this angle on the highest band share a line, as after stakes were measured."""
    lines: list[LengthOrDelay] | None = Field(default=None, examples=['["9.94 m", "18.2 m"]'])
    """Delay lines that are cut already: lengths between connectors, or delays; the plan then says what they give."""
    source_impedance: Impedance | None = None
    """Impedance of the elements' outputs, to compute what real terminations do."""
    port_impedance: Impedance | None = None
    """Impedance of the hub's ports; goes with source_impedance."""
    summing_impedance: Impedance | None = None
    """Output impedance of an active stage that sums before the lines."""
    source_tolerance: Annotated[float, number(0, 0.9, "0.05")] = 0.0
    """Tolerance of source_impedance, 0.05 for 5 %."""
    port_tolerance: Annotated[float, number(0, 0.9, "0.05")] = 0.0
    """Tolerance of port_impedance."""

    @model_validator(mode="after")
    def _consistent(self) -> "HubBase":
        if self.merge is not None and not 0 < self.merge.m_as("degree") <= 30:
            raise InputError(
                f"got {self.merge:~P}",
                where="merge",
                wanted="an angle above 0 and at most 30 deg",
                remedy='try "1 deg"',
            )
        if self.lines is not None and not 0 < len(self.lines) <= MOST_KEPT:
            raise InputError(
                f"has {len(self.lines)} entries",
                where="lines",
                wanted=f"from 1 to {MOST_KEPT} lines that are cut already",
                remedy='write them like lines = ["9.94 m", "18.2 m"], or leave the key out',
            )
        if self.lines is not None and self.merge is not None:
            raise InputError(
                "does not go with lines, which are cut already", where="merge", remedy="take merge or lines out"
            )
        if (self.source_impedance is None) != (self.port_impedance is None):
            missing = "source_impedance" if self.source_impedance is None else "port_impedance"
            raise InputError(
                "source_impedance and port_impedance go together",
                where=missing,
                remedy='write both, such as "75 ohm", or neither',
            )
        if self.summing_impedance is not None and (not self.sums_first or self.source_impedance is None):
            raise InputError(
                "goes with source_impedance in a hub that sums before its lines, joined or ladder",
                where="summing_impedance",
                remedy="take it out",
            )
        if self.source_impedance is None and (self.source_tolerance or self.port_tolerance):
            raise InputError(
                "source_tolerance and port_tolerance go with source_impedance",
                where="source_impedance",
                remedy='write it, such as "75 ohm"',
            )
        return self

    @property
    def merge_deg(self) -> float | None:
        """Within how many degrees on the highest band delays share a line; None for the usual rule."""
        return None if self.merge is None else float(self.merge.m_as("degree"))

    @property
    def place_m(self) -> tuple[float, float]:
        """East and north [m]."""
        east, north = (float(part.m_as("m")) for part in self.position)
        return east, north

    @classmethod
    def pieces(cls, at_taps: FloatArray) -> FloatArray:
        """Return what each length of line has (delay, length) of what is wanted up to its tap, (L, ...)."""
        return np.diff(at_taps, axis=0, prepend=0.0) if cls.in_series else np.asarray(at_taps)

    @classmethod
    def at_taps(cls, pieces: FloatArray) -> FloatArray:
        """Return what lies before each tap (delay, length, degrees) of what the lengths of line have, (L, ...)."""
        return np.cumsum(pieces, axis=0) if cls.in_series else np.asarray(pieces)

    @classmethod
    def through(cls, labels: Sequence[str], label: str) -> tuple[str, ...]:
        """Return the labels of the taps whose signals pass through a line, which come from farther out too."""
        return tuple(labels[labels.index(label) :]) if cls.in_series else (label,)

    @classmethod
    def line_count(cls, uses: BoolArray, polarity: IntArray) -> int:
        """Return how many pieces of one line are cut.

        Parameters
        ----------
        uses
            Whether an element uses it, (D, N).
        polarity
            1, -1 or 0, (D, N).
        """
        raise NotImplementedError

    @classmethod
    def combiner_inputs(cls, groups: Groups, lines: int) -> Iterator[int]:
        """Yield the number of inputs of each combiner, the most that any direction needs."""
        for count in _most(groups).values():
            yield from _combiner(count)

    @classmethod
    def inverting_transformers(cls, groups: Groups) -> int:
        """Return how many inverting transformers there are: one for each line that some direction feeds reversed."""
        return len({line for row in groups for line, sign in row if sign < 0})


def _most(rows: Sequence[Counter[Any]]) -> Counter[Any]:
    """Return the greatest count of each key in any row."""
    most: Counter[Any] = Counter()
    for row in rows:
        most |= row
    return most


def _combiner(inputs: int) -> Iterator[int]:
    if inputs > 1:
        yield inputs


class Joined(HubBase):
    """Elements of equal delay and polarity are summed before one line."""

    kind: Literal["joined"] = "joined"

    @classmethod
    def line_count(cls, uses: BoolArray, polarity: IntArray) -> int:
        """Return one for each polarity that a direction needs at once."""
        signs = ((uses & (polarity == sign)).any(axis=-1) for sign in (1, -1))
        return int(sum(signs).max())

    @classmethod
    def combiner_inputs(cls, groups: Groups, lines: int) -> Iterator[int]:
        """Yield one combiner before each line, and one for all lines."""
        yield from super().combiner_inputs(groups, lines)
        yield from _combiner(max(map(len, groups)))


class Ports(HubBase):
    """Every delayed element has a line and a port of its own."""

    sums_first = False
    numbers_ports = True

    kind: Literal["ports"]

    @classmethod
    def line_count(cls, uses: BoolArray, polarity: IntArray) -> int:
        """Return the most elements that use it in any one direction."""
        return int(uses.sum(axis=1).max())

    @classmethod
    def combiner_inputs(cls, groups: Groups, lines: int) -> Iterator[int]:
        """Yield one combiner for all elements."""
        yield from _combiner(max(sum(row.values()) for row in groups))

    @classmethod
    def inverting_transformers(cls, groups: Groups) -> int:
        """Return one for each reversed element, as many as one direction reverses at most."""
        return max(sum(count for (_, sign), count in row.items() if sign < 0) for row in groups)


class Ladder(HubBase):
    """Each distinct delay is a tap of one chain of lines."""

    in_series = True
    line_word = "piece"

    kind: Literal["ladder"]

    @classmethod
    def line_count(cls, uses: BoolArray, polarity: IntArray) -> int:
        """Return one: every element farther out uses it too."""
        return 1

    @classmethod
    def combiner_inputs(cls, groups: Groups, lines: int) -> Iterator[int]:
        """Yield one combiner for each group, and one at every tap, which joins what comes down the chain."""
        yield from super().combiner_inputs(groups, lines)
        joined = _most([Counter(tap for tap, _ in row) for row in groups])
        for line in range(-1, lines - 1):
            yield 1 + joined[line]
        yield from _combiner(joined[lines - 1])


def grouped(lines: IntArray, polarity: IntArray) -> Groups:
    """Return how many elements share a line and a polarity in each direction, of arrays (D, N)."""
    return [
        Counter((line, sign) for line, sign in zip(row.tolist(), signs.tolist(), strict=True) if sign)
        for row, signs in zip(lines, polarity, strict=True)
    ]


def hub_kind(table: Any) -> str:
    """Return the kind of hub that a table names; a table without the key is of the usual kind."""
    kind = table.get("kind", "joined") if isinstance(table, Mapping) else getattr(table, "kind", "joined")
    return kind if isinstance(kind, str) else shown(kind)


AnyHub = Annotated[
    Annotated[Joined, Tag("joined")] | Annotated[Ports, Tag("ports")] | Annotated[Ladder, Tag("ladder")],
    Discriminator(hub_kind),
]
HUBS: Mapping[str, type[HubBase]] = MappingProxyType({"joined": Joined, "ports": Ports, "ladder": Ladder})
"""Every kind of hub by its name in the file."""
